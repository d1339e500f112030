"""Who has it from whom, as a picture in layers: where it begins on the left, who says it on the right."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from kg.asking.parts import Part, named
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.derivation import Origin
from kg.sources_weighed.flow import strong_components

#: More sources than this are no picture any more; the list has them all.
MOST_BOXES = 36

#: The size of a box and the room between boxes, in the picture's own units.
WIDE, HIGH, BESIDE, BELOW = 146, 88, 34, 12


@dataclass(frozen=True, slots=True)
class Box:
    """A source in the picture, or the claim that it all leads to, with its place."""

    said: Part
    note: str
    """What must be known of it: "first-hand", "not known", nothing for one that follows others."""
    is_marked: bool
    is_confidential: bool
    is_end: bool
    """Whether it is the claim or source that the picture is about."""
    left: int
    top: int


@dataclass(frozen=True, slots=True)
class Following:
    """One line of the list that says the same: a source, and from whom it has its matter."""

    source: Part
    origin: str
    is_marked: bool
    is_confidential: bool
    has_from: tuple[tuple[Part, tuple[Part, ...]], ...]
    """Each source that it follows, with the claims that say so."""


@dataclass(frozen=True, slots=True)
class Lineage:
    """Sources as boxes in layers, with the lines between them, and the same as a list."""

    boxes: tuple[Box, ...]
    """None where there are too many to be drawn."""
    paths: tuple[str, ...]
    """The lines, as paths of SVG in the units of the places."""
    width: int
    height: int
    rows: tuple[Following, ...]


def lineage(weighed: Weighed, sources: Collection[int], marked: Collection[str], end: End) -> Lineage:
    """The picture of some sources, by their numbers."""
    layers = _layers(weighed, sources, end)
    rows = tuple(_rows(weighed, layers, marked))
    if len(sources) > MOST_BOXES:
        return Lineage((), (), 0, 0, rows)
    places = _places(weighed, layers, end)
    boxes = [_box(weighed, n, place, marked, end) for n, place in places.items() if n != _END]
    if end.claim is not None:
        boxes.append(Box(end.said, "", False, end.is_confidential, True, *places[_END]))
    width = max(left for left, _ in places.values()) + WIDE
    height = max(top for _, top in places.values()) + HIGH
    return Lineage(tuple(boxes), tuple(_paths(weighed, places, end)), width, height, rows)


@dataclass(frozen=True, slots=True)
class End:
    """What a picture is about: a claim with the sources that say it, or a source among those drawn."""

    said: Part
    is_confidential: bool = False
    claim: Claim | None = None
    stating: tuple[int, ...] = ()
    source: int | None = None
    more: Mapping[int, tuple[int, ...]] | None = None
    """What a source follows for this claim alone."""


#: Stands for the claim among the numbers of sources.
_END = -1


def _above(weighed: Weighed, source: int, end: End) -> tuple[int, ...]:
    own = (end.more or {}).get(source, ())
    return tuple(dict.fromkeys((*weighed.derivation.parents.get(source, ()), *own)))


def _layers(weighed: Weighed, sources: Collection[int], end: End) -> list[list[int]]:
    """The sources by layers: each to the right of all that it follows; those in a circle stand in one layer."""
    inside = {n: tuple(p for p in _above(weighed, n, end) if p in sources) for n in sorted(sources)}
    layer: dict[int, int] = {}
    for members in strong_components(list(inside), inside):
        above = {p for member in members for p in inside[member]} - set(members)
        layer |= dict.fromkeys(members, 1 + max((layer[p] for p in above), default=-1))
    found: list[list[int]] = [[] for _ in range(max(layer.values(), default=-1) + 1)]
    for n in sorted(layer, key=lambda n: (layer[n], n)):
        found[layer[n]].append(n)
    return found


def _places(weighed: Weighed, layers: Sequence[Sequence[int]], end: End) -> dict[int, tuple[int, int]]:
    """Left and top of each box; a layer stands in the middle of the height, near to what it follows."""
    columns = [list(layer) for layer in layers] + ([[_END]] if end.claim is not None else [])
    tallest = max(len(column) for column in columns)
    row: dict[int, float] = {}
    places = {}
    for at, column in enumerate(columns):
        column.sort(key=lambda n: _middle([row[p] for p in _above(weighed, n, end) if p in row]))
        for place, n in enumerate(column):
            row[n] = place + (tallest - len(column)) / 2
            places[n] = at * (WIDE + BESIDE), round(row[n] * (HIGH + BELOW))
    return places


def _middle(rows: Sequence[float]) -> float:
    return sum(rows) / len(rows) if rows else 0.0


def _paths(weighed: Weighed, places: Mapping[int, tuple[int, int]], end: End) -> Iterator[str]:
    for n in places:
        for parent in end.stating if n == _END else _above(weighed, n, end):
            if parent in places and parent != n:
                yield _path(places[parent], places[n])


def _path(tail: tuple[int, int], head: tuple[int, int]) -> str:
    """A curve from the right of a box to the left of another, ending in an arrow; within a layer, round the right."""
    x1, y1 = tail[0] + WIDE, tail[1] + HIGH // 2
    y2 = head[1] + HIGH // 2
    if tail[0] == head[0]:
        y1, y2 = y1 + 10, y2 - 10
        bend = x1 + BESIDE * 3 // 5
        return f"M{x1} {y1}C{bend} {y1} {bend} {y2} {x1 + 2} {y2}m7 -5l-7 5l7 5"
    x2 = head[0]
    half = (x2 - x1) // 2 if x2 > x1 else BESIDE
    return f"M{x1} {y1}C{x1 + half} {y1} {x2 - half} {y2} {x2 - 2} {y2}m-7 -5l7 5l-7 5"


def _box(weighed: Weighed, n: int, place: tuple[int, int], marked: Collection[str], end: End) -> Box:
    view, source = weighed.view, weighed.derivation.sources[n]
    origin = weighed.derivation.origin(n)
    note = "" if origin is Origin.FOLLOWS else _ORIGINS[origin]
    is_confidential = source in view.things and view.things[source].is_confidential
    return Box(named(view, source), note, source in marked, is_confidential, n == end.source, *place)


#: What is said of a source by what is recorded of where it has its matter from.
_ORIGINS = {
    Origin.FIRST_HAND: "first-hand",
    Origin.FOLLOWS: "follows others",
    Origin.NOT_KNOWN: "what it follows is not known",
}


def origin_words(weighed: Weighed, source: str) -> str:
    """What is recorded of where a source has its matter from, in words."""
    number = weighed.derivation.number.get(source)
    return _ORIGINS[Origin.NOT_KNOWN if number is None else weighed.derivation.origin(number)]


def _rows(weighed: Weighed, layers: Iterable[Iterable[int]], marked: Collection[str]) -> Iterator[Following]:
    derivation, view = weighed.derivation, weighed.view
    above: dict[int, list[int]] = {}
    for low, high in derivation.links:
        above.setdefault(low, []).append(high)
    for n in (n for layer in layers for n in layer):
        source = derivation.sources[n]
        thing = view.things.get(source)
        has_from = tuple(
            (
                named(view, derivation.sources[high]),
                tuple(Part(claim.id, claim=claim.id) for claim in derivation.links[n, high]),
            )
            for high in above.get(n, ())
        )
        is_confidential = thing is not None and thing.is_confidential
        yield Following(
            named(view, source), origin_words(weighed, source), source in marked, is_confidential, has_from
        )
