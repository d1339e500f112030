"""Tables of text: CSV and TSV files read row by row, within stated limits.

Every cell stays text, also one that a spreadsheet would calculate. RFC 4180 quoting is kept to strictly.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kg.intake import rows
from kg.intake.faults import BadTable
from kg.intake.rows import Row, Table

__all__ = ["ENCODINGS", "Row", "Table", "TextTable", "open_table"]

#: Encodings that a mapping may declare. UTF-8 with or without a byte order mark needs no declaring.
ENCODINGS = ("utf-8", "latin-1", "cp1252", "utf-16")
_MARKS = ((b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"))
#: How files begin that are no text: workbooks (zip), and the older Excel format, also of locked workbooks.
_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class TextTable(Table):
    """A CSV or TSV file."""

    encoding: str
    delimiter: str

    def records(self) -> Iterator[tuple[int, list[str]]]:
        """Every record with its number, the headings first."""
        return _records(self)


def open_table(
    path: Path, *, encoding: str = "utf-8", delimiter: str | None = None, sheet: str | None = None
) -> Table:
    """The table in a file: text, or a sheet of a workbook, as the file's first bytes say.

    The separator of a text is a TAB for ``.tsv`` and a comma else, where none is given. Of a workbook the first sheet
    is taken, where none is named.

    :raises BadTable: if the file is absent, empty, too large, no table that is read here, or its headings are not
        there once each.
    """
    rows.check_file(path)
    with path.open("rb") as file:
        head = file.read(4)
    if head == _OLE:
        raise BadTable(
            f"{path.name} is a workbook of the older Excel format (.xls), or one locked by a password. "
            "Open it, take the password off, and save it as .xlsx or as CSV in UTF-8."
        )
    if head == _ZIP:
        from kg.intake.workbook import open_sheet

        return open_sheet(path, sheet)
    if sheet is not None:
        raise BadTable(f"{path.name} is a text and has no sheets; take sheet = {sheet!r} out of the mapping.")
    separator = delimiter or ("\t" if path.suffix.lower() in {".tsv", ".tab"} else ",")
    codec = "utf-8-sig" if encoding == "utf-8" else encoding
    table = TextTable(path, (), None, codec, separator)
    _check_separator(table)
    return table.with_headings()


def _check_separator(table: TextTable) -> None:
    """Tell a table that another character parts: all its headings would be one."""
    first = next(_records(table), None)
    if first is None or len(first[1]) != 1:
        return
    (heading,) = first[1]
    other = next((mark for mark in ";\t," if mark != table.delimiter and mark in heading), None)
    if other:
        wanted = "tab" if other == "\t" else other
        raise BadTable(
            f"{table.name}: one column found, {heading.strip()!r}. If {wanted!r} parts the columns, "
            f'write delimiter = "{wanted}" in the mapping.'
        )


def _records(table: TextTable) -> Iterator[tuple[int, list[str]]]:
    """Each record's number and cells; what cannot be read becomes a BadTable with its place."""
    number = 0
    _check_mark(table)
    try:
        with table.path.open(encoding=table.encoding, newline="") as file:
            for number, cells in enumerate(_strictly(_lines(table, file), table.delimiter), start=1):
                if any("\0" in cell for cell in cells):
                    raise _holds_nul(table, number)
                if any(len(cell) > rows.MOST_CHARACTERS for cell in cells):
                    raise rows.too_long(table.name, number)
                yield number, cells
    except UnicodeDecodeError as error:
        if b"\0" in error.object:
            raise _holds_nul(table, number + 1) from error
        raise BadTable(
            f"{table.name}{_place(number)}: the byte 0x{error.object[error.start]:02x} "
            f"is no {error.encoding} text. "
            'Save the file as UTF-8, or write encoding = "latin-1" in the mapping if that is what it is.'
        ) from error
    except UnicodeError as error:
        raise BadTable(
            f"{table.name}{_place(number)}: it is no {table.encoding} text ({error}). Save the file as UTF-8."
        ) from error
    except csv.Error as error:
        raise _csv_fault(table, number + 1, error) from error


def _strictly(lines: Iterator[str], delimiter: str) -> Iterator[list[str]]:
    return csv.reader(lines, delimiter=delimiter, strict=True)


def _lines(table: TextTable, file: object) -> Iterator[str]:
    """The lines of a file; one longer than a whole row may be is refused before it fills the memory."""
    most = rows.MOST_CHARACTERS * 10
    readline = file.readline  # type: ignore[attr-defined]  # any text file has it
    count = 0
    while line := readline(most + 1):
        count += 1
        if len(line) > most:
            raise BadTable(
                f"{table.name}, line {count}: more than {most:,} characters in one line; expected a row of a table. "
                "The file is damaged or no table."
            )
        yield line


def _check_mark(table: TextTable) -> None:
    with table.path.open("rb") as file:
        head = file.read(4)
    if head.startswith(b"\xef\xbb\xbf") and table.encoding != "utf-8-sig":
        raise BadTable(
            f"{table.name} is UTF-8; the mapping declares {table.encoding}. Leave encoding out of the mapping."
        )
    for mark, what in _MARKS:
        if head.startswith(mark) and table.encoding != "utf-16":
            raise BadTable(
                f"{table.name} is {what}; expected {table.encoding.removesuffix('-sig')} text. Save it as CSV in "
                'UTF-8, or write encoding = "utf-16" in the mapping.'
            )


def _holds_nul(table: TextTable, number: int) -> BadTable:
    return BadTable(
        f"{table.name}, row {number}: a NUL byte found; expected text. "
        "The file is damaged, no table, or UTF-16 without a mark: save it as UTF-8."
    )


def _csv_fault(table: TextTable, number: int, error: csv.Error) -> BadTable:
    if "field limit" in str(error):
        return rows.too_long(table.name, number)
    return BadTable(
        f"{table.name}, row {number}: a quotation mark is out of place ({error}). "
        'A cell in quotation marks ends with one, and writes one inside it twice: "the ""Lady"" model".'
    )


def _place(number: int) -> str:
    """Where a file ceases to be text: the last row that was read; nothing before the first."""
    return f", after row {number}" if number else ""
