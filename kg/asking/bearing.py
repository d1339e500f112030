"""The sources that bear most: those with which most claims would fall or lose their anchor."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kg.asking.lineage import origin_words
from kg.asking.parts import Part, named
from kg.asking.standpoint import Standpoint
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import Fall, Impact

#: Sources in the table to start from.
MOST_BEARING = 15


@dataclass(frozen=True, slots=True)
class Bearing:
    """A source with what it bears: one line of the table to start from."""

    source: Part
    is_confidential: bool
    origin: str
    claims: int
    """Claims that cite it."""
    following: int
    """Claims elsewhere that had it by no other line."""
    unanchored: int
    """Claims that would stand, and lead to no first-hand evidence any more."""
    datings: int
    """Datings whose verdict would be another."""
    sentences: int
    """Sentences in print that would lose their footing."""
    share: float
    """How much falls with it, beside the first in the table; for a bar."""


def impact_of(standpoint: Standpoint) -> Impact:
    """The working view ready to be asked what falls."""
    return standpoint.kept("impact", lambda: Impact(standpoint.weighed, standpoint.audit))


def most_bearing(standpoint: Standpoint) -> tuple[Bearing, ...]:
    """The sources with which most claims fall or lose their anchor, the first first."""
    return standpoint.kept("most bearing", lambda: tuple(_most_bearing(standpoint)))


def _most_bearing(standpoint: Standpoint) -> Iterable[Bearing]:
    """No source bears more than all that it and its followers say, so those that say little need not be tried."""
    weighed, impact = standpoint.weighed, impact_of(standpoint)
    found: list[tuple[int, str, Fall]] = []
    for bound, source in _bounds(weighed):
        if len(found) >= MOST_BEARING and bound <= found[MOST_BEARING - 1][0]:
            break
        fall = impact.of(sources=[source])
        found.append((_weight(fall), source, fall))
        found.sort(key=lambda one: (-one[0], one[1]))
    shown = [one for one in found[:MOST_BEARING] if one[0]]
    return (_bearing(weighed, one, shown[0][0]) for one in shown)


def _bounds(weighed: Weighed) -> list[tuple[int, str]]:
    """For each source, how many claims could fall with it at most; the greatest first."""
    derivation, by_source = weighed.derivation, weighed.by_source
    single: dict[int, int] = {}
    for above in derivation.of_claim.values():
        for n in derivation.above(above):
            single[n] = single.get(n, 0) + 1
    found = []
    for source, n in derivation.number.items():
        names = (derivation.sources[below] for below in derivation.below([n]))
        found.append((sum(len(by_source.get(name, ())) for name in names) + single.get(n, 0), source))
    return sorted(found, key=lambda one: (-one[0], one[1]))


def _weight(fall: Fall) -> int:
    return len(fall.direct) + len(fall.following) + len(fall.unanchored)


def _bearing(weighed: Weighed, one: tuple[int, str, Fall], greatest: int) -> Bearing:
    weight, source, fall = one
    return Bearing(
        named(weighed.view, source),
        is_confidential(weighed.view, source),
        origin_words(weighed, source),
        len(fall.direct),
        len(fall.following),
        len(fall.unanchored),
        len(fall.verdicts),
        len(fall.sentences),
        weight / greatest,
    )


def is_confidential(view: WorkingView, slug: str) -> bool:
    """Whether a thing is confidential."""
    return slug in view.things and view.things[slug].is_confidential
