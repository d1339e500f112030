"""Rows laid along the years: bars with certain middles and uncertain ends, as fractions of the width."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from kg.chronology.chronology import Conflict
from kg.chronology.telling import told_claim, year_text
from kg.dates.window import Window, day_of, year_of
from kg.daybook.view import WorkingView

Kind = Literal["claimed", "allowed", "possible", "dating", "maker", "stretch", "moment"]

#: How far from the days that must be seen others are drawn.
_REACH_DAYS = 30 * 365

#: About how many labelled years the axis bears.
_TICKS = 7
_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000)

#: Conflicts whose claims are listed; the others are counted.
MOST_CLASHES = 6


@dataclass(frozen=True, slots=True)
class Mark:
    """A labelled place on the axis: a year, or a day that binds."""

    at: float
    text: str

    @property
    def is_in_left_half(self) -> bool:
        """Whether there is more room for its words on the right of it."""
        return self.at < 0.5


@dataclass(frozen=True, slots=True)
class Bar:
    """One row of the drawing; each place is a fraction of the width.

    From ``first`` to ``last`` it is possible, from ``sure_first`` to ``sure_last`` certain (None: nothing is).
    """

    kind: Kind
    label: str
    text: str
    first: float
    last: float
    sure_first: float | None
    sure_last: float | None
    is_open_left: bool
    is_open_right: bool
    is_sure_open_left: bool
    is_sure_open_right: bool
    is_confidential: bool = False
    thing: str | None = None
    """The thing whose span it is."""
    begin: str = ""
    end: str = ""
    """When it begins and ends, in words, for the table."""
    numbers: tuple[Mark, ...] = ()
    """Where the numbered claims of a chain bind."""
    clashes: tuple[int, ...] = ()
    """The numbers of the conflicts that claims about the thing are in."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of the chain that leads to a limit."""

    number: int | None
    """The number of its claim in the drawing; None where a rule speaks without a claim."""
    told: Mapping[str, Any]
    """The claim as `told_claim` tells it; empty for a rule alone."""
    rule: str
    strength: str
    convention: str | None
    follows: str | None


@dataclass(frozen=True, slots=True)
class Chain:
    """The reasons for one limit of a span, in order from the calendar to the thing."""

    title: str
    day: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """Claims that cannot all be true, with the number that marks them in the drawing."""

    number: int
    told: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """The rows, the years of the axis and the days that bind; and what the rows rest on."""

    bars: tuple[Bar, ...]
    years: tuple[Mark, ...]
    binding: tuple[Mark, ...]
    chains: tuple[Chain, ...] = ()
    clashes: tuple[Clash, ...] = ()
    more_clashes: int = 0
    """Further conflicts, which are counted only."""
    left_out: int = 0
    """Things that were too many to be drawn."""
    unknown: tuple[str, ...] = ()
    """Things of whose time nothing is known, by name; the first of them."""
    more_unknown: int = 0
    beyond: tuple[str, ...] = ()
    """Things that lie wholly beyond these years, with their time; the first of them."""
    more_beyond: int = 0


@dataclass(frozen=True, slots=True)
class Row:
    """A row in days, before it is laid on the width."""

    kind: Kind
    label: str
    text: str
    outer: Window
    sure: tuple[int | None, int | None] | None
    is_confidential: bool = False
    thing: str | None = None
    span: str = ""
    begin: str = ""
    end: str = ""
    days: tuple[tuple[int, str], ...] = ()
    """The days at which numbered claims bind."""
    clashes: tuple[int, ...] = ()


def days_of(row: Row) -> Iterator[int]:
    """The days that a row begins and ends on, certain or not."""
    yield from (day for day in (row.outer.first, row.outer.last, *(row.sure or ())) if day is not None)
    yield from (day for day, _ in row.days)


def numbered_clashes(
    view: WorkingView, conflicts: Iterable[Conflict], things: Iterable[str]
) -> tuple[tuple[Clash, ...], dict[str, tuple[int, ...]], int]:
    """The conflicts of claims about some things; the numbers by thing; how many further conflicts there are."""
    wanted = set(things)
    touching = [c for c in conflicts if not wanted.isdisjoint(claim.subject for claim in c.claims)]
    shown = touching[:MOST_CLASHES]
    clashes = tuple(
        Clash(number, tuple(told_claim(view, claim) for claim in conflict.claims))
        for number, conflict in enumerate(shown, start=1)
    )
    marked: dict[str, tuple[int, ...]] = {}
    for number, conflict in enumerate(shown, start=1):
        for subject in dict.fromkeys(claim.subject for claim in conflict.claims):
            marked[subject] = (*marked.get(subject, ()), number)
    return clashes, marked, len(touching) - len(shown)


def with_clashes(rows: Iterable[Row], marked: Mapping[str, tuple[int, ...]]) -> list[Row]:
    """The rows, each with the numbers of the conflicts of its thing."""
    return [replace(row, clashes=marked.get(row.thing or "", ())) for row in rows]


class Scale:
    """The stretch of days that the drawing covers, and the place of each day on it.

    Days far from those that must be seen lie beyond the edge: a birth known only by the longest life on record
    would else press everything that matters into a corner.
    """

    def __init__(self, telling: Iterable[int], others: Iterable[int]) -> None:
        seen = sorted(telling) or [day_of(1850), day_of(1900)]
        reach = max(_REACH_DAYS, seen[-1] - seen[0])
        known = sorted([*seen, *(day for day in others if seen[0] - reach <= day <= seen[-1] + reach)])
        margin = max((known[-1] - known[0]) // 12, 2 * 365)
        self.first, self.last = known[0] - margin, known[-1] + margin

    def at(self, day: int) -> float:
        """The place of a day; beyond the edge it is the edge."""
        return min(max((day - self.first) / (self.last - self.first), 0.0), 1.0)

    def bar(self, row: Row) -> Bar:
        """A row on the width."""
        sure = row.sure or (None, None)
        first, last = self.ends(row.outer.first, row.outer.last)
        sure_first, sure_last = self.ends(*sure) if row.sure else (None, None)
        return Bar(
            row.kind,
            row.label,
            row.text,
            first,
            last,
            sure_first,
            sure_last,
            self.is_before(row.outer.first),
            self.is_after(row.outer.last),
            self.is_before(sure[0]),
            self.is_after(sure[1]),
            row.is_confidential,
            row.thing,
            row.begin,
            row.end,
            tuple(Mark(self.at(day), text) for day, text in row.days),
            row.clashes,
        )

    def ends(self, first: int | None, last: int | None) -> tuple[float, float]:
        """The places of two days; one that is not known lies at the edge."""
        return 0.0 if first is None else self.at(first), 1.0 if last is None else self.at(last + 1)

    def is_before(self, first: int | None) -> bool:
        """Whether a begin is not known, or lies before the edge."""
        return first is None or first < self.first

    def is_after(self, last: int | None) -> bool:
        """Whether an end is not known, or lies beyond the edge."""
        return last is None or last > self.last

    def is_beyond(self, row: Row) -> bool:
        """Whether a row lies wholly outside what is drawn."""
        first, last = row.outer.first, row.outer.last
        return (first is not None and first > self.last) or (last is not None and last < self.first)

    def years(self) -> Iterator[Mark]:
        """The years that the axis is labelled with."""
        begin, end = year_of(self.first), year_of(self.last)
        step = next((s for s in _STEPS if (end - begin) / s <= _TICKS), _STEPS[-1])
        for year in range(begin - begin % step, end + 1, step):
            if self.first <= day_of(year) <= self.last:
                yield Mark(self.at(day_of(year)), year_text(year))
