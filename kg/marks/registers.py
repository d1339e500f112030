"""Registers: from a number on a piece to the time when that number was given out.

The tables lie in sources/registers/. Each row keeps its source, its confidence and what its year means. A table
of years gives the year of each number; a table of anchors gives only some dated numbers, and what lies between
two of them is bounded by both.
"""

from __future__ import annotations

import csv
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from kg.dates.window import Window, day_of, shifted, year_of
from kg.errors import KilnmarkError
from kg.marks.bounds import DatedBound, Strength, as_strength, bound, day_in_words, edtf_window
from kg.resources import resource

FOLDER = "sources/registers"


class RegisterUnknown(KilnmarkError, LookupError):
    """A register was named that the program has no table of."""


@dataclass(frozen=True, slots=True)
class Row:
    """A stretch of numbers given out between two days; ``last`` is None where the table does not say."""

    first: int
    last: int | None
    earliest: int
    latest: int | None
    margin_years: int
    confidence: str
    source: str
    note: str
    label: str

    @property
    def is_from_memory(self) -> bool:
        """Whether a figure in this row, or all of it, rests on memory and not on a printed table."""
        return "memory" in self.confidence or "remembered" in self.confidence


@dataclass(frozen=True, slots=True)
class Registered:
    """When a number was given out, by the table: the window, its rows, and what the table cannot say."""

    register: Register
    lowest: int
    highest: int | None
    rows: tuple[Row, ...]
    window: Window
    limits: tuple[str, ...]

    @property
    def bounds(self) -> tuple[DatedBound, ...]:
        """What the number says of the making of a piece that bears it: not before the number was given out.

        Where the row may be a year out, or protection could begin before the number was given out, the hard bound
        allows for both and a usual one stands at the row's year.
        """
        if not self.rows:
            return ()
        row, register = self.rows[0], self.register
        meaning = (
            f"No. {_span(self.lowest, self.highest)} was given out {self.when}, the time of {register.year_means}; "
            f"a piece can bear the number for years afterwards"
        )

        def at(day: int, strength: Strength, allowance: str = "") -> DatedBound:
            return bound(
                day,
                None,
                strength=strength,
                confidence=row.confidence,
                source=row.source,
                row=f"{register.name}, row {row.label}",
                meaning=meaning + allowance,
            )

        allowed = row.margin_years + register.filed_years_before
        if not allowed:
            return (at(row.earliest, register.strength),)
        loose = at(shifted(row.earliest, -allowed), register.strength, self._allowance(row))
        return (loose, at(row.earliest, "usual")) if register.strength == "hard" else (loose,)

    def _allowance(self, row: Row) -> str:
        """Why the hard bound stands before the row, in words."""
        inexact, filed = row.margin_years, self.register.filed_years_before
        parts = [f"{_years(inexact)} allowed, because the row is not exact"] if inexact else []
        parts += (
            [f"{_years(filed)} allowed, because protection can begin before the {self.register.year_means}"]
            if filed
            else []
        )
        return "".join(f"; {part}" for part in parts)

    @property
    def when(self) -> str:
        """The time of giving out, in words."""
        if not self.rows:
            return "outside the table"
        first, last = self.window.first, self.window.last
        begin = day_in_words(first) if first is not None else "an unknown time"
        if last is None:
            return f"in {begin} or later"
        end = day_in_words(last)
        return f"in {begin}" if begin == end else f"from {begin} to {end}"


@dataclass(frozen=True, slots=True)
class Register:
    """A series of numbers that an office gave out, with the table that dates them."""

    id: str
    name: str
    kind: str
    country: str
    year_means: str
    #: How many years before the table's year protection, and so a piece with the number, may begin.
    filed_years_before: int
    strength: Strength
    printed_as: str
    note: str
    rows: tuple[Row, ...]

    def look_up(self, lowest: int, highest: int | None = -1) -> Registered:
        """When a number, or some number of a range, was given out; ``highest`` None is a range without end.

        :raises ValueError: if the range falls.
        """
        highest = lowest if highest == -1 else highest
        if highest is not None and highest < lowest:
            raise ValueError(f"range {lowest} to {highest} found; expected one that rises")
        limits: list[str] = []
        if highest is not None and highest < self.rows[0].first:
            limits.append(f"no. {highest} lies before the table, which begins at no. {self.rows[0].first}")
            return Registered(self, lowest, highest, (), Window(), tuple(limits))
        first, last = self._place(lowest), len(self.rows) - 1 if highest is None else self._place(highest)
        if lowest < self.rows[0].first:
            limits.append(f"numbers below {self.rows[0].first} lie before the table")
        rows = self.rows[first : last + 1]
        latest = rows[-1].latest
        end = rows[-1].last
        if last == len(self.rows) - 1 and (end is None or highest is None or highest > end):
            known = end if end is not None else rows[-1].first
            limits.append(
                f"the table is not known beyond no. {known} ({rows[-1].label}); such a number can be later"
            )
            latest = None
        return Registered(self, lowest, highest, rows, Window.within(rows[0].earliest, latest), tuple(limits))

    def _place(self, number: int) -> int:
        return max(0, bisect_right(self.rows, number, key=lambda row: row.first) - 1)


def register(name: str) -> Register:
    """The register of an id such as ``DRGM``.

    :raises RegisterUnknown: if there is none; the message lists those there are.

    >>> register("DRGM").look_up(17310).when
    'in 1893'
    """
    try:
        return registers()[name]
    except KeyError:
        raise RegisterUnknown(f"no register {name!r}; choose one of {', '.join(registers())}") from None


@lru_cache(maxsize=1)
def registers() -> Mapping[str, Register]:
    """Every register of sources/registers/registers.csv, by id."""
    found = {}
    for entry in read_table(f"{FOLDER}/registers.csv"):
        table = read_table(f"{FOLDER}/{entry['table']}")
        rows = _year_rows(table) if entry["layout"] == "years" else _anchor_rows(table)
        found[entry["id"]] = Register(
            entry["id"],
            entry["name"],
            entry["kind"],
            entry["country"],
            entry["year_means"],
            int(entry["filed_years_before"]),
            as_strength(entry["strength"]),
            entry["printed_as"],
            entry["note"],
            rows,
        )
    return found


def read_table(relative: str) -> list[dict[str, str]]:
    """The rows of a table that travels with the program."""
    with resource(relative).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def _year_rows(table: Sequence[Mapping[str, str]]) -> tuple[Row, ...]:
    return tuple(
        Row(
            int(row["first_number"]),
            int(row["last_number"]) if row["last_number"] else None,
            day_of(int(row["year"])),
            day_of(int(row["year"]), 12, 31),
            int(row["margin_years"] or 0),
            row["confidence"],
            row["source"],
            row["note"],
            row["year"],
        )
        for row in table
    )


def _anchor_rows(table: Sequence[Mapping[str, str]]) -> tuple[Row, ...]:
    """Rows between dated numbers: not before the one below was applied for, not after the one above was issued."""
    anchors = [row for row in table if row["number"].isdigit() and _first_date(row)]
    rows = []
    for here, above in zip(anchors, [*anchors[1:], None], strict=True):
        earliest = edtf_window(_first_date(here)).first
        assert earliest is not None, "a dated anchor has a first day"
        latest = edtf_window(above.get("issue_date") or _first_date(above)).last if above else None
        number = int(here["number"])
        rows.append(
            Row(
                number,
                int(above["number"]) - 1 if above else None,
                earliest,
                latest,
                0,
                here["confidence"],
                here["source"],
                here["meaning"],
                f"no. {number} ({year_of(earliest)})",
            )
        )
    return tuple(rows)


def _first_date(row: Mapping[str, str]) -> str:
    return row.get("application_date") or row.get("date") or ""


def _years(count: int) -> str:
    return f"{count} year{'' if count == 1 else 's'}"


def _span(lowest: int, highest: int | None) -> str:
    if highest is None:
        return f"{lowest} or higher"
    return str(lowest) if lowest == highest else f"{lowest} to {highest}"
