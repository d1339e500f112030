"""Tables as rows of text, whatever file they stand in, and the limits that all of them keep."""

from __future__ import annotations

import hashlib
from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Self

from kg.intake.faults import BadTable

#: The limits of one table. A larger one is taken in by parts, each with the headings in its first row.
MOST_BYTES = 200_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 200
MOST_CHARACTERS = 100_000
"""Characters in one cell."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as a spreadsheet counts (headings are row 1) and its cells by heading."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Table(ABC):
    """A table file, with its headings read and its limits checked; the rows are read when asked for."""

    path: Path
    headings: tuple[str, ...]
    sheet: str | None
    """The sheet, where the file is a workbook of several."""

    @abstractmethod
    def records(self) -> Iterator[tuple[int, list[str]]]:
        """Every record with its number, the headings first, as the file has them.

        :raises BadTable: at the first that cannot be read.
        """

    @property
    def name(self) -> str:
        """The file's name, and the sheet's where there are several."""
        return self.path.name if self.sheet is None else f"{self.path.name}, sheet {self.sheet}"

    def rows(self) -> Iterator[Row]:
        """The rows in order, empty ones left out; surrounding blanks of a cell are no part of it.

        :raises BadTable: at the first row that is no row of this table.
        """
        width, count = len(self.headings), 0
        for number, cells in self.records():
            if number == 1 or not any(cells):
                continue
            count += 1
            if count > MOST_ROWS:
                raise BadTable(
                    f"{self.name} has more than {MOST_ROWS:,} rows. Cut it into parts and take in each."
                )
            if len(cells) != width:
                raise BadTable(
                    f"{self.name}, row {number}: {len(cells)} cells found; expected {width}, one for each heading. "
                    f"{self.remedy_for_width}"
                )
            yield Row(number, dict(zip(self.headings, (cell.strip() for cell in cells), strict=True)))

    @property
    def remedy_for_width(self) -> str:
        """What to do where a row has too many or too few cells."""
        return "Put quotation marks round a cell that holds the separator."

    def digest(self) -> str:
        """SHA-256 of the file's bytes, in hexadecimal."""
        with self.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()

    def with_headings(self) -> Self:
        """The same table with its headings, read from the first record and checked.

        :raises BadTable: if they are not there once each, or no row follows.
        """
        first = next(self.records(), None)
        if first is None or not any(cell.strip() for cell in first[1]):
            raise BadTable(f"{self.name} has no headings in its first row. Put one above each column.")
        headings = tuple(cell.strip() for cell in first[1])
        check_headings(self.name, headings)
        table = replace(self, headings=headings)
        if next(table.rows(), None) is None:
            raise BadTable(f"{self.name} holds headings and no row. There is nothing to take in.")
        return table


def check_headings(name: str, headings: Sequence[str]) -> None:
    """Check that every column has a heading of its own, and that there are not too many.

    :raises BadTable: naming the column.
    """
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


def check_file(path: Path) -> None:
    """Check that a path is a file of a size that is taken in, before it is opened.

    :raises BadTable: if there is none, it is no regular file, empty or too large.
    """
    try:
        is_there, is_folder = path.exists(), path.is_dir()
    except OSError:  # a ring of symbolic links, or a name that no file can have
        is_there = is_folder = False
    if is_folder:
        raise BadTable(f"{path} is a folder. Name a table file in it.")
    if is_there and not path.is_file():
        raise BadTable(f"{path} is no file but a device or a pipe. Save the table as a file first.")
    if not is_there:
        raise BadTable(f"There is no table file {path}. Check the name.")
    size = path.stat().st_size
    if size == 0:
        raise BadTable(f"{path.name} is empty. Export the table again.")
    if size > MOST_BYTES:
        raise BadTable(
            f"{path.name} has {size:,} bytes; at most {MOST_BYTES:,} are taken in at once. Cut it into parts."
        )


def too_long(name: str, number: int) -> BadTable:
    """The fault of a cell with too many characters."""
    return BadTable(
        f"{name}, row {number}: a cell has more than {MOST_CHARACTERS:,} characters. "
        "Look for a quotation mark that is opened and not closed, or shorten the text."
    )
