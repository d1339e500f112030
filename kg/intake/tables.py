"""Tables of text: CSV and TSV files read row by row, within stated limits.

Every cell stays text, also one that a spreadsheet would calculate. RFC 4180 quoting is kept to strictly.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from kg.intake.faults import BadTable

#: The limits of one table. A larger one is taken in by parts, each with the headings in its first row.
MOST_BYTES = 200_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 200
MOST_CHARACTERS = 100_000
"""Characters in one cell."""

#: Encodings that a mapping may declare. UTF-8 with or without a byte order mark needs no declaring.
ENCODINGS = ("utf-8", "latin-1", "cp1252", "utf-16")
_MARKS = ((b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"), (b"PK\x03\x04", "a spreadsheet or zip file"))


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as a spreadsheet counts (headings are row 1) and its cells by heading."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """A table file, with its headings read and its limits checked; the rows are read when asked for."""

    path: Path
    headings: tuple[str, ...]
    encoding: str
    delimiter: str

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    def rows(self) -> Iterator[Row]:
        """The rows in order, empty ones left out; surrounding blanks of a cell are no part of it.

        :raises BadTable: at the first row that is no row of this table.
        """
        width = len(self.headings)
        for count, (number, cells) in enumerate(_records(self)):
            if number == 1 or not any(cells):
                continue
            if count > MOST_ROWS:
                raise BadTable(
                    f"{self.name} has more than {MOST_ROWS:,} rows. Cut it into parts and take in each."
                )
            if len(cells) != width:
                raise BadTable(
                    f"{self.name}, row {number}: {len(cells)} cells found; expected {width}, one for each heading. "
                    "Put quotation marks round a cell that holds the separator."
                )
            yield Row(number, dict(zip(self.headings, (cell.strip() for cell in cells), strict=True)))

    def digest(self) -> str:
        """SHA-256 of the file's bytes, in hexadecimal."""
        with self.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()


def open_table(path: Path, *, encoding: str = "utf-8", delimiter: str | None = None) -> Table:
    """The table in a file; the separator is a TAB for ``.tsv`` and a comma else, where none is given.

    :raises BadTable: if the file is absent, empty, too large, no text in that encoding, or its headings are not
        there once each.
    """
    _check_file(path)
    separator = delimiter or ("\t" if path.suffix.lower() in {".tsv", ".tab"} else ",")
    codec = "utf-8-sig" if encoding == "utf-8" else encoding
    blank = Table(path, (), codec, separator)
    first = next(_records(blank), None)
    if first is None or not any(cell.strip() for cell in first[1]):
        raise BadTable(f"{path.name} has no headings in its first row. Put one above each column.")
    headings = tuple(cell.strip() for cell in first[1])
    _check_headings(path.name, headings, separator)
    table = Table(path, headings, codec, separator)
    if next(table.rows(), None) is None:
        raise BadTable(f"{path.name} holds headings and no row. There is nothing to take in.")
    return table


def _check_file(path: Path) -> None:
    if not path.is_file():
        raise BadTable(f"There is no table file {path}. Check the name.")
    size = path.stat().st_size
    if size == 0:
        raise BadTable(f"{path.name} is empty. Export the table again.")
    if size > MOST_BYTES:
        raise BadTable(
            f"{path.name} has {size:,} bytes; at most {MOST_BYTES:,} are taken in at once. Cut it into parts."
        )


def _check_headings(name: str, headings: Sequence[str], separator: str) -> None:
    if len(headings) > MOST_COLUMNS:
        raise BadTable(
            f"{name} has {len(headings)} columns; at most {MOST_COLUMNS} are taken in. Leave some out."
        )
    if "" in headings:
        raise BadTable(
            f"{name}: column {headings.index('') + 1} has no heading. Name it, or leave the column out."
        )
    twice = sorted({heading for heading in headings if headings.count(heading) > 1})
    if twice:
        raise BadTable(
            f"{name}: the heading {twice[0]!r} stands over more than one column. Rename one of them."
        )
    other = next((mark for mark in ";\t," if mark != separator and mark in headings[0]), None)
    if len(headings) == 1 and other:
        wanted = "tab" if other == "\t" else other
        raise BadTable(
            f"{name}: one column found, {headings[0]!r}. If {wanted!r} parts the columns, "
            f'write delimiter = "{wanted}" in the mapping.'
        )


def _records(table: Table) -> Iterator[tuple[int, list[str]]]:
    """Each record's number and cells; what cannot be read becomes a BadTable with its place."""
    number = 0
    _check_mark(table)
    try:
        with table.path.open(encoding=table.encoding, newline="") as file:
            for number, cells in enumerate(_strictly(_lines(table, file), table.delimiter), start=1):
                if any("\0" in cell for cell in cells):
                    raise BadTable(
                        f"{table.name}, row {number}: a NUL byte found; expected text. "
                        "The file is damaged, no table, or UTF-16 without a mark: save it as UTF-8."
                    )
                if any(len(cell) > MOST_CHARACTERS for cell in cells):
                    raise _too_long(table, number)
                yield number, cells
    except UnicodeDecodeError as error:
        raise BadTable(
            f"{table.name}, after row {number}: the byte 0x{error.object[error.start]:02x} "
            f"is no {error.encoding} text. "
            'Save the file as UTF-8, or write encoding = "latin-1" in the mapping if that is what it is.'
        ) from error
    except UnicodeError as error:
        raise BadTable(
            f"{table.name}, after row {number}: it is no {table.encoding} text ({error}). Save the file as UTF-8."
        ) from error
    except csv.Error as error:
        raise _csv_fault(table, number + 1, error) from error


def _strictly(lines: Iterator[str], delimiter: str) -> Iterator[list[str]]:
    return csv.reader(lines, delimiter=delimiter, strict=True)


def _lines(table: Table, file: object) -> Iterator[str]:
    """The lines of a file; one longer than a whole row may be is refused before it fills the memory."""
    most = MOST_CHARACTERS * 10
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


def _check_mark(table: Table) -> None:
    with table.path.open("rb") as file:
        head = file.read(4)
    if head.startswith(b"\xef\xbb\xbf") and table.encoding != "utf-8-sig":
        raise BadTable(
            f"{table.name} is UTF-8; the mapping declares {table.encoding}. Leave encoding out of the mapping."
        )
    for mark, what in _MARKS:
        if head.startswith(mark) and not (what == "UTF-16" and table.encoding == "utf-16"):
            way = (
                ', or write encoding = "utf-16" in the mapping'
                if what == "UTF-16"
                else " with the ending .csv"
            )
            raise BadTable(
                f"{table.name} is {what}; expected {table.encoding} text. Save it as CSV in UTF-8{way}."
            )


def _too_long(table: Table, number: int) -> BadTable:
    return BadTable(
        f"{table.name}, row {number}: a cell has more than {MOST_CHARACTERS:,} characters. "
        "Look for a quotation mark that is opened and not closed, or shorten the text."
    )


def _csv_fault(table: Table, number: int, error: csv.Error) -> BadTable:
    if "field limit" in str(error):
        return _too_long(table, number)
    return BadTable(
        f"{table.name}, row {number}: a quotation mark is out of place ({error}). "
        'A cell in quotation marks ends with one, and writes one inside it twice: "the ""Lady"" model".'
    )
