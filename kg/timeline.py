"""An answer drawn along the years: bars with certain middles and uncertain ends, as fractions of the width."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from kg.chronology.chronology import Chronology, window_at
from kg.chronology.telling import day_text, window_text, year_text
from kg.chronology.verdict import Fit, Verdict
from kg.dates.window import Window, day_of, year_of
from kg.daybook.view import WorkingView

Kind = Literal["claimed", "allowed", "possible", "dating", "maker"]

#: Rows of other datings and of makers that are drawn; the rest stand in the lists.
MOST_DATINGS, MOST_MAKERS = 5, 3

#: How far from the days that must be seen others are drawn.
_REACH_DAYS = 30 * 365

#: About how many labelled years the axis bears.
_TICKS = 7
_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000)


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
class Timeline:
    """The rows, the years of the axis and the days that bind."""

    bars: tuple[Bar, ...]
    years: tuple[Mark, ...]
    binding: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    """A row in days, before it is laid on the width."""

    kind: Kind
    label: str
    text: str
    outer: Window
    sure: tuple[int | None, int | None] | None
    is_confidential: bool = False


def timeline(fit: Fit, chronology: Chronology) -> Timeline:
    """The drawing of an answer; no more than the answer and the makers' own windows stand in it."""
    rows = [
        *_claimed(fit),
        *_allowed(fit),
        *_possible(fit),
        *_makers(fit, chronology),
        *_datings(fit, chronology),
    ]
    scale = _Scale(_telling_days(fit), (day for row in rows for day in _days(row)))
    sides = (("not before", fit.not_before.day), ("not after", fit.not_after.day))
    binding = [
        Mark(scale.at(day), f"{word} {day_text(day)}")
        for word, day in sides
        if day is not None and scale.first <= day <= scale.last
    ]
    return Timeline(tuple(map(scale.bar, rows)), tuple(scale.years()), tuple(binding))


def _telling_days(fit: Fit) -> Iterator[int]:
    """The days that must be seen: those of the claimed date, and the limits that cut into it."""
    first, last = fit.claimed.first, fit.claimed.last
    low, high = fit.not_before.day, fit.not_after.day
    yield from (day for day in (first, last) if day is not None)
    if low is not None and (first is None or first < low):
        yield low
    if high is not None and (last is None or last > high):
        yield high


def _days(row: _Row) -> Iterator[int]:
    yield from (day for day in (row.outer.first, row.outer.last, *(row.sure or ())) if day is not None)


def _claimed(fit: Fit) -> Iterator[_Row]:
    core = (fit.core.first, fit.core.last)
    text = window_text(fit.core)
    if fit.claimed != fit.core:
        text = f"{text}, widened to {window_text(fit.claimed)}"
    yield _Row("claimed", "The date as claimed", text, fit.claimed, core)


def _allowed(fit: Fit) -> Iterator[_Row]:
    low, high = fit.not_before.day, fit.not_after.day
    if low is None and high is None:
        return
    if low is not None and high is not None and low > high:
        window = Window.within(high, low)
        yield _Row(
            "allowed",
            "The making reaches at least",
            f"from {day_text(high)} to {day_text(low)}",
            window,
            (high, low),
        )
        return
    window = Window.within(low, high)
    yield _Row("allowed", "What the record allows", window_text(window), window, (low, high))


def _possible(fit: Fit) -> Iterator[_Row]:
    possible = fit.possible
    if possible is not None and fit.verdict is not Verdict.UNBOUNDED:
        yield _Row(
            "possible",
            "What remains possible",
            window_text(possible),
            possible,
            (possible.first, possible.last),
        )


def _makers(fit: Fit, chronology: Chronology) -> Iterator[_Row]:
    for maker in _makers_of(fit, chronology)[:MOST_MAKERS]:
        yield from maker_rows(maker, chronology)


def _makers_of(fit: Fit, chronology: Chronology) -> list[str]:
    view = chronology.view
    prop = next(p for p in view.vocabulary.properties.values() if p.is_attribution)
    named = [
        slug
        for slug in (fit.maker, fit.subject)
        if slug and view.vocabulary.is_a(view.kinds(slug), prop.range)
    ]
    named += [claim.value for claim in view.by_subject.get(fit.subject, ()) if claim.property == prop.name]
    return list(dict.fromkeys(named))


def maker_rows(maker: str, chronology: Chronology) -> Iterator[_Row]:
    """The life and the activity of a maker, where something is known of them."""
    view = chronology.view
    for span, window in _spans_known(maker, chronology):
        label = f"{view.label(maker)}: {view.vocabulary.spans[span].label}"
        yield _span_row(label, maker, window, view)


def timeline_of_thing(slug: str, chronology: Chronology) -> Timeline | None:
    """A thing's own spans along the years, as all held evidence bounds them; None where nothing does."""
    view = chronology.view
    rows = [
        _span_row(view.vocabulary.spans[span].label.capitalize(), slug, window, view)
        for span, window in _spans_known(slug, chronology)
    ]
    if not rows:
        return None
    days = [day for row in rows for day in _days(row)]
    scale = _Scale(days, ())
    return Timeline(tuple(map(scale.bar, rows)), tuple(scale.years()), ())


def _spans_known(slug: str, chronology: Chronology) -> Iterator[tuple[str, Window]]:
    """The spans of a thing that the evidence bounds, each with its window."""
    view, solved = chronology.view, chronology.evidence
    known = []
    for span in view.vocabulary.spans_of(view.kinds(slug)):
        base = solved.made.bases.get((slug, span))
        if base is not None and (window := window_at(solved.repaired.solution, base)) != Window():
            known.append((span, window))
    yield from sorted(known, key=lambda pair: (_begins(pair[1]), pair[0]))


def _begins(window: Window) -> tuple[float, float]:
    """What tells which of two spans begins first: a life before the work, a making before the sale."""
    early, late = window.begin_earliest, window.begin_latest
    return (-math.inf if early is None else early), (math.inf if late is None else late)


def _span_row(label: str, slug: str, window: Window, view: WorkingView) -> _Row:
    b, c = window.begin_latest, window.end_earliest
    sure = (b, c) if b is not None and c is not None and b <= c else None
    thing = view.things.get(slug)
    return _Row("maker", label, _ends_text(window), window, sure, thing is not None and thing.is_confidential)


def _ends_text(window: Window) -> str:
    begin = window_text(Window.within(window.begin_earliest, window.begin_latest))
    end = window_text(Window.within(window.end_earliest, window.end_latest))
    return begin if begin == end else f"begin: {begin}; end: {end}"


def _datings(fit: Fit, chronology: Chronology) -> Iterator[_Row]:
    view = chronology.view
    for dating in fit.datings[:MOST_DATINGS]:
        label = f"Dated by {view.label(dating.claim.citation.source)}"
        sure = (dating.window.begin_latest, dating.window.end_earliest)
        core = sure if None not in sure and sure[0] <= sure[1] else None  # type: ignore[operator]  # both are days
        is_confidential = view.is_confidential(dating.claim)
        yield _Row(
            "dating",
            label,
            f"{view.value_text(dating.claim)}: {dating.verdict.value}",
            dating.window,
            core,
            is_confidential,
        )


class _Scale:
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
        return min(max((day - self.first) / (self.last - self.first), 0.0), 1.0)

    def bar(self, row: _Row) -> Bar:
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
        )

    def ends(self, first: int | None, last: int | None) -> tuple[float, float]:
        return 0.0 if first is None else self.at(first), 1.0 if last is None else self.at(last + 1)

    def is_before(self, first: int | None) -> bool:
        return first is None or first < self.first

    def is_after(self, last: int | None) -> bool:
        return last is None or last > self.last

    def years(self) -> Iterator[Mark]:
        begin, end = year_of(self.first), year_of(self.last)
        step = next((s for s in _STEPS if (end - begin) / s <= _TICKS), _STEPS[-1])
        for year in range(begin - begin % step, end + 1, step):
            if self.first <= day_of(year) <= self.last:
                yield Mark(self.at(day_of(year)), year_text(year))
