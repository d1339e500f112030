"""An answer drawn along the years: the date as claimed, what the record allows, the makers, the other datings."""

from __future__ import annotations

from collections.abc import Iterator

from kg.chronology.chronology import Chronology
from kg.chronology.telling import day_text, window_text
from kg.chronology.verdict import Fit, Verdict
from kg.dates.window import Window
from kg.timeline.drawing import Mark, Row, Scale, Timeline, days_of
from kg.timeline.things import maker_rows

#: Rows of other datings and of makers that are drawn; the rest stand in the lists.
MOST_DATINGS, MOST_MAKERS = 5, 3


def timeline(fit: Fit, chronology: Chronology) -> Timeline:
    """The drawing of an answer; no more than the answer and the makers' own windows stand in it."""
    rows = [
        *_claimed(fit),
        *_allowed(fit),
        *_possible(fit),
        *_makers(fit, chronology),
        *_datings(fit, chronology),
    ]
    scale = Scale(_telling_days(fit), (day for row in rows for day in days_of(row)))
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


def _claimed(fit: Fit) -> Iterator[Row]:
    core = (fit.core.first, fit.core.last)
    text = window_text(fit.core)
    if fit.claimed != fit.core:
        text = f"{text}, widened to {window_text(fit.claimed)}"
    yield Row("claimed", "The date as claimed", text, fit.claimed, core)


def _allowed(fit: Fit) -> Iterator[Row]:
    low, high = fit.not_before.day, fit.not_after.day
    if low is None and high is None:
        return
    if low is not None and high is not None and low > high:
        window = Window.within(high, low)
        yield Row(
            "allowed",
            "The making reaches at least",
            f"from {day_text(high)} to {day_text(low)}",
            window,
            (high, low),
        )
        return
    window = Window.within(low, high)
    yield Row("allowed", "What the record allows", window_text(window), window, (low, high))


def _possible(fit: Fit) -> Iterator[Row]:
    possible = fit.possible
    if possible is not None and fit.verdict is not Verdict.UNBOUNDED:
        yield Row(
            "possible",
            "What remains possible",
            window_text(possible),
            possible,
            (possible.first, possible.last),
        )


def _makers(fit: Fit, chronology: Chronology) -> Iterator[Row]:
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


def _datings(fit: Fit, chronology: Chronology) -> Iterator[Row]:
    view = chronology.view
    for dating in fit.datings[:MOST_DATINGS]:
        label = f"Dated by {view.label(dating.claim.citation.source)}"
        sure = (dating.window.begin_latest, dating.window.end_earliest)
        core = sure if None not in sure and sure[0] <= sure[1] else None  # type: ignore[operator]  # both are days
        is_confidential = view.is_confidential(dating.claim)
        yield Row(
            "dating",
            label,
            f"{view.value_text(dating.claim)}: {dating.verdict.value}",
            dating.window,
            core,
            is_confidential,
        )
