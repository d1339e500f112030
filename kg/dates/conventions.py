"""How a source means its vague words: how wide "circa" is, what a century is, what "early" is.

EDTF and the catalogues give no numbers for these. Each convention here is data with its basis, and a
source may carry the name of the one that it follows.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import lru_cache

from kg.dates.window import Window, year_of
from kg.errors import KilnmarkError
from kg.resources import resource

#: The convention used where a source names none.
DEFAULT = "widens-with-age"


class ConventionUnknown(KilnmarkError, LookupError):
    """A convention was named that the table does not hold."""


@dataclass(frozen=True, slots=True)
class Width:
    """How many years a word widens a date by, on each side, from some year on."""

    from_year: int | None
    years: int
    basis: str


@dataclass(frozen=True, slots=True)
class Convention:
    """What a source means by circa, by a question mark and by a century, with the basis for each."""

    name: str
    circa: tuple[Width, ...]
    perhaps: tuple[Width, ...]
    century_from: int
    century_basis: str
    #: Whether "c. 1910-15" is vague at both ends, or only at the one where "c." is printed.
    circa_spreads: bool = True

    def circa_width(self, year: int) -> Width:
        """The half-width of circa for a date in some year."""
        return _in_force(self.circa, year)

    def perhaps_width(self, year: int) -> Width:
        """The half-width of a question mark for a date in some year."""
        return _in_force(self.perhaps, year)

    def with_circa(self, years: int) -> Convention:
        """The same convention with one half-width of circa, stated by the reader.

        :raises ValueError: if the width is below 0.
        """
        if years < 0:
            raise ValueError(f"circa width {years} found; expected 0 or more years")
        return replace(self, circa=(Width(None, years, "stated by the reader"),))

    def widened(self, core: Window, begin: str | None, end: str | None) -> tuple[Window, tuple[Width, ...]]:
        """A window widened for the qualifiers of its two ends, and the widths that were used.

        The qualifiers are those of EDTF: ``approximate``, ``uncertain``, ``both`` or None.
        """
        at_begin = self._width(begin, core.first if core.first is not None else core.begin_latest)
        at_end = self._width(end, core.last if core.last is not None else core.end_earliest)
        used = tuple(dict.fromkeys(w for w in (at_begin, at_end) if w is not None))
        return core.widened(at_begin.years if at_begin else 0, at_end.years if at_end else 0), used

    def _width(self, qualifier: str | None, day: int | None) -> Width | None:
        if qualifier is None or day is None:
            return None
        year = year_of(day)
        if qualifier == "approximate":
            return self.circa_width(year)
        if qualifier == "uncertain":
            return self.perhaps_width(year)
        return max(self.circa_width(year), self.perhaps_width(year), key=lambda width: width.years)


def _in_force(widths: tuple[Width, ...], year: int) -> Width:
    return max(
        (w for w in widths if w.from_year is None or w.from_year <= year),
        key=lambda w: (w.from_year is not None, w.from_year or 0),
    )


@dataclass(frozen=True, slots=True)
class Part:
    """Where "early" or "late" lies in a century, decade, year or month: first and last step of it."""

    first: int
    last: int
    basis: str


def convention(name: str = DEFAULT) -> Convention:
    """The convention of a name.

    :raises ConventionUnknown: if there is none; the message lists those there are.

    >>> convention().circa_width(1878).years, convention().circa_width(1650).years
    (5, 15)
    """
    try:
        return conventions()[name]
    except KeyError:
        known = ", ".join(sorted(conventions()))
        raise ConventionUnknown(f"no convention {name!r}; choose one of {known}") from None


@lru_cache(maxsize=1)
def conventions() -> dict[str, Convention]:
    """Every convention of sources/conventions/dates.csv, by name."""
    grouped: dict[str, list[dict[str, str]]] = {}
    for row in _rows("dates.csv"):
        grouped.setdefault(row["convention"], []).append(row)
    return {name: _from_rows(name, rows) for name, rows in grouped.items()}


def _from_rows(name: str, rows: list[dict[str, str]]) -> Convention:
    century = next(row for row in rows if row["rule"] == "century")
    spreads = next(row for row in rows if row["rule"] == "circa-in-range")["value"] == "both-ends"
    return Convention(
        name,
        _widths(rows, "circa"),
        _widths(rows, "perhaps"),
        int(century["value"]),
        century["basis"],
        spreads,
    )


def _widths(rows: list[dict[str, str]], rule: str) -> tuple[Width, ...]:
    return tuple(
        Width(int(row["from_year"]) if row["from_year"] else None, int(row["value"]), row["basis"])
        for row in rows
        if row["rule"] == rule
    )


@lru_cache(maxsize=1)
def parts() -> dict[tuple[str, str], Part]:
    """Every part of a century, decade, year or month of sources/conventions/parts.csv."""
    return {
        (row["unit"], row["part"]): Part(int(row["first"]), int(row["last"]), row["basis"])
        for row in _rows("parts.csv")
    }


def _rows(name: str) -> list[dict[str, str]]:
    with resource(f"sources/conventions/{name}").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
