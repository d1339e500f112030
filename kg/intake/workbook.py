"""Workbooks: one sheet of an Excel file (.xlsx), read row by row as text.

The file is a zip of XML. It is checked before anything is unpacked: how many members it has, how large they are, how
far they are pressed together, and that none declares entities. A formula stays the text of the formula, no macro is
loaded, a date becomes its ISO text.
"""

from __future__ import annotations

import itertools
import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import ParseError

from kg.intake import rows
from kg.intake.faults import BadTable
from kg.intake.rows import Table

if TYPE_CHECKING:
    from openpyxl.workbook import Workbook

#: Members of the zip; a workbook has about ten and one more for each sheet.
MOST_MEMBERS = 1_000
#: Sheets of one workbook.
MOST_SHEETS = 200
#: Bytes of all members together, unpacked.
MOST_UNPACKED = 500_000_000
#: Bytes of the shared texts, and of any other part but a sheet: these are read whole, a sheet row by row.
MOST_TEXTS, MOST_PART = 200_000_000, 20_000_000
#: How many times as large a member may be unpacked as it is packed; tables come to about 20.
MOST_RATIO = 100
#: Smaller members than this do no harm, whatever their ratio.
SMALL_MEMBER = 100_000
#: Rows of a sheet in the format itself.
LAST_ROW = 1_048_576
_BATCH = 200
_PIECE = 1_000_000
_ENCODING = re.compile(rb"""encoding\s*=\s*["']([^"']*)["']""")
_AGAIN = "Copy the table into a new workbook and save that."
_ODS = "opendocument"
#: What the libraries raise at a file that is no workbook, or a damaged one. They give no error of their own: a part
#: packed by a method that zipfile does not know is a NotImplementedError, a cell that refers to nothing a KeyError.
_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, ParseError, struct.error, EOFError, KeyError, ValueError, TypeError, IndexError,
    AttributeError, OverflowError, NotImplementedError, RecursionError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SheetTable(Table):
    """One sheet of a workbook."""

    title: str

    def records(self) -> Iterator[tuple[int, list[str]]]:
        """Every record with its number, the headings first; blank cells after the last heading are none."""
        width = len(self.headings)
        walked = 0
        for number, cells in enumerate(_rows_of(self), start=1):
            walked += len(cells)
            if walked > rows.MOST_ROWS * rows.MOST_COLUMNS:
                raise BadTable(
                    f"{self.name} has more than {rows.MOST_ROWS * rows.MOST_COLUMNS:,} cells, most of them empty. "
                    "Copy the table into a new workbook and save that."
                )
            texts = [_text(cell) for cell in cells]
            if any(len(text) > rows.MOST_CHARACTERS for text in texts):
                raise rows.too_long(self.name, number)
            while len(texts) > width and not texts[-1].strip():
                texts.pop()
            texts += [""] * (width - len(texts))
            yield number, texts

    @property
    def remedy_for_width(self) -> str:
        """What to do where a row has more cells than headings."""
        return "Put a heading above each column, or clear what stands beside the table."


def open_sheet(path: Path, sheet: str | None = None) -> Table:
    """A sheet of a workbook, the first one where none is named.

    :raises BadTable: if the file is no workbook that is read here, or has no such sheet.
    """
    check_package(path)
    with _opened(path) as book:
        titles = [page.title for page in book.worksheets]
        if not titles:
            raise BadTable(f"{path.name} has no sheet with cells. Save the table in a sheet of its own.")
        if len(titles) > MOST_SHEETS:
            raise BadTable(
                f"{path.name} has {len(titles)} sheets; at most {MOST_SHEETS} are read. Save the one that you need."
            )
    if sheet is not None and sheet not in titles:
        raise BadTable(f"{path.name} has no sheet {sheet!r}; it has: {', '.join(titles[:20])}.")
    title = sheet or titles[0]
    return SheetTable(path, (), title if len(titles) > 1 else None, title).with_headings()


def check_package(path: Path) -> None:
    """Check the zip of a workbook before anything of it is unpacked.

    :raises BadTable: saying what it is instead of a workbook, or what makes it unsafe to unpack.
    """
    try:
        with zipfile.ZipFile(path) as package:
            members = package.infolist()
            _check_members(path.name, members)
            _check_kind(path.name, package)
            for member in members:
                if member.filename.lower().endswith((".xml", ".rels")):
                    _check_member(path.name, package, member)
    except _UNREADABLE as error:
        raise _damaged(path.name, error) from error


def _check_members(name: str, members: list[zipfile.ZipInfo]) -> None:
    remedy = "It is no table as a spreadsheet saves one. Copy the table into a new workbook and save that."
    if len(members) > MOST_MEMBERS:
        raise BadTable(f"{name} holds {len(members):,} files; at most {MOST_MEMBERS:,} expected. {remedy}")
    if any(member.flag_bits & 1 for member in members):
        raise BadTable(
            f"{name} is locked by a password. Open it, take the password off, and save it as .xlsx."
        )
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_UNPACKED:
        raise BadTable(
            f"{name} would unpack to {unpacked:,} bytes; at most {MOST_UNPACKED:,} are taken in. {remedy}"
        )
    for member in members:
        _check_size(name, member)
        ratio = member.file_size / max(member.compress_size, 1)
        if member.file_size > SMALL_MEMBER and ratio > MOST_RATIO:
            raise BadTable(
                f"{name}: its part {member.filename[:80]!r} would unpack to {ratio:.0f} times its size; "
                f"at most {MOST_RATIO} times expected. {remedy}"
            )


def _check_size(name: str, member: zipfile.ZipInfo) -> None:
    """Tell a part that is read whole and is too large for that."""
    part = member.filename.lower()
    if not part.endswith((".xml", ".rels")) or part.startswith("xl/worksheets/"):
        return
    most = MOST_TEXTS if part == "xl/sharedstrings.xml" else MOST_PART
    if member.file_size > most:
        raise BadTable(
            f"{name}: its part {member.filename[:80]!r} would unpack to {member.file_size:,} bytes; "
            f"at most {most:,} expected. {_AGAIN}"
        )


def _check_kind(name: str, package: zipfile.ZipFile) -> None:
    """Tell other files that are zips too."""
    names = set(package.namelist())
    save = "Save it as .xlsx, or as CSV in UTF-8."
    if "mimetype" in names and _ODS in package.open("mimetype").read(200).decode("ascii", "replace"):
        raise BadTable(f"{name} is an OpenDocument file. {save}")
    if "xl/workbook.bin" in names:
        raise BadTable(f"{name} is a binary workbook (.xlsb). {save}")
    if "[Content_Types].xml" not in names or "xl/workbook.xml" not in names:
        raise BadTable(f"{name} is a zip file and no Excel workbook. {save}")


def _check_member(name: str, package: zipfile.ZipFile, member: zipfile.ZipInfo) -> None:
    """Tell a part that declares entities, wherever it does, or hides that it does by its encoding."""
    before = b""
    with package.open(member) as file:
        while piece := file.read(_PIECE):
            if not before and _is_otherwise_encoded(piece):
                raise BadTable(f"{name}: its part {member.filename[:80]!r} is no UTF-8 text. {_AGAIN}")
            if b"<!DOCTYPE" in before + piece or b"<!ENTITY" in before + piece:
                raise _declares_entities(name)
            before = piece[-9:]


def _is_otherwise_encoded(head: bytes) -> bool:
    declared = _ENCODING.search(head[:200])
    is_other = declared is not None and declared[1].lower() not in {b"utf-8", b"us-ascii"}
    return is_other or b"\0" in head[:200]


def _declares_entities(name: str) -> BadTable:
    return BadTable(f"{name} declares entities of its own, which no spreadsheet writes. {_AGAIN}")


@contextmanager
def _opened(path: Path) -> Iterator[Workbook]:
    """The workbook, its rows not read yet.

    :raises BadTable: if it cannot be read.
    """
    from defusedxml.common import DefusedXmlException
    from openpyxl import load_workbook

    with path.open("rb") as file:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # of styles and lists that are not read here anyway
                # read_only walks the rows; formulas are kept as text, macros and outside links are not loaded
                book = load_workbook(file, read_only=True, data_only=False, keep_vba=False, keep_links=False)
        except DefusedXmlException as error:
            raise _declares_entities(path.name) from error
        except _UNREADABLE as error:
            raise _damaged(path.name, error) from error
        try:
            yield book
        finally:
            book.close()


def _rows_of(table: SheetTable) -> Iterator[tuple[Any, ...]]:
    """The rows of a sheet as the library gives them."""
    from defusedxml.common import DefusedXmlException

    with _opened(table.path) as book:
        page: Any = book[table.title]
        page.reset_dimensions()  # what the file says of its own size is not trusted
        walk = page.iter_rows(min_row=1, max_row=LAST_ROW, values_only=True)
        try:
            while True:
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore")  # of dates outside the calendar: the cell reads #VALUE!
                    batch = list(itertools.islice(walk, _BATCH))
                if not batch:
                    return
                yield from batch
        except DefusedXmlException as error:
            raise _declares_entities(table.name) from error
        except _UNREADABLE as error:
            raise _damaged(table.name, error) from error


def _damaged(name: str, error: Exception) -> BadTable:
    return BadTable(
        f"{name} cannot be read as a workbook ({type(error).__name__}); it is damaged or cut short. "
        "Save it again as .xlsx, or as CSV in UTF-8."
    )


def _text(cell: Any) -> str:
    """A cell as text: numbers without a needless fraction, dates in ISO form, a formula as it is written.

    >>> _text(320.0), _text(datetime(1878, 5, 1)), _text("=A1+1"), _text(None), _text(True)
    ('320', '1878-05-01', '=A1+1', '', 'true')
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() else repr(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    return str(getattr(cell, "text", cell))
