"""The network picture: a few claims as things and lines with their places, and the same as a sorted list.

pyvis holds the things and lines for the drawing script. Places are computed here, so that nothing moves between two
looks; and each thing and line carries what we gave it and nothing else, since the script would read a title as markup.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.picture.layout import BROKEN, ROW, distances, places
from kg.picture.looks import DOUBTED, FAMILIES, HELD, MANNERS, VALUE, Family, Manner, family_of

#: More things than this are no picture any more; those farthest from the subject are left out.
MOST_NODES = 150

_LONGEST_LABEL = 56
_LEAST_HEIGHT, _MOST_HEIGHT = 130, 900

#: A picture that is wider than this on a usual screen is drawn smaller.
_WIDE = 1180

#: In a picture of more lines than this their words would cover each other; the list has them.
_MOST_WORDS = 60

#: How far a line bends that has another beside it, or would run through the things of its own column.
_BEND, _BEND_ALONG = 0.22, 0.4


@dataclass(frozen=True, slots=True)
class Node:
    """A thing or a value in the picture, with its place."""

    key: str
    """The slug of a thing; any other word for a value."""
    label: str
    family: Family
    claim: str | None
    """The claim whose value it is, where it is no thing and the claim is on record."""
    is_centre: bool
    is_confidential: bool
    x: int
    y: int

    @property
    def is_thing(self) -> bool:
        """Whether it has a page of its own."""
        return self.family is not VALUE


@dataclass(frozen=True, slots=True)
class Line:
    """One or several claims in the picture: from the subject to the value of the first."""

    tail: str
    head: str
    label: str
    number: int | None
    manner: Manner
    claims: tuple[str, ...]
    """Those on record; what is only supposed for a question has no page."""


@dataclass(frozen=True, slots=True)
class Row:
    """A claim as one line of the list that says the same as the picture."""

    number: int | None
    sentence: str
    citation: str
    source: str | None
    """The slug of its source; None for what is only supposed."""
    claim: str
    is_confidential: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """The things and claims of a picture with their places, and the same as a sorted list."""

    nodes: tuple[Node, ...]
    lines: tuple[Line, ...]
    rows: tuple[Row, ...]
    left_out: int
    """How many things were too many for the picture."""

    @property
    def height_px(self) -> int:
        """How high the picture is drawn: as its rows need, within bounds."""
        down, across = ([place[n] for place in self._places] or [0] for n in (1, 0))
        high, wide = max(down) - min(down) + 2 * ROW, max(across) - min(across) + BROKEN
        return min(max(_LEAST_HEIGHT, round(high * min(1, _WIDE / wide))), _MOST_HEIGHT)

    @property
    def _places(self) -> list[tuple[int, int]]:
        return [(node.x, node.y) for node in self.nodes]

    @property
    def families(self) -> tuple[Family, ...]:
        """The families that are there, for the legend."""
        there = {node.family for node in self.nodes}
        return tuple(family for family in (*FAMILIES, VALUE) if family in there)

    @property
    def manners(self) -> tuple[Manner, ...]:
        """The manners of line that are there, for the legend."""
        there = {line.manner for line in self.lines}
        return tuple(manner for manner in MANNERS if manner in there)

    def drawn(self, faded: Collection[str] = ()) -> dict[str, list[dict[str, Any]]]:
        """The things and lines as the drawing script takes them, numbered in their order; some things faded."""
        from pyvis.network import Network

        network = Network(directed=True)
        ids = {node.key: number for number, node in enumerate(self.nodes)}
        for node in self.nodes:
            place = {"x": node.x, "y": node.y, "physics": False}
            mine: dict[str, Any] = {"group": node.family.name, "borderWidth": 3 if node.is_centre else 1}
            network.add_node(ids[node.key], _label(node), shape="box", **place, **mine)
        beside: Counter[frozenset[str]] = Counter()
        for line in self.lines:
            ends = frozenset((line.tail, line.head))
            bend = self._bend(line, ids, beside[ends])
            beside[ends] += 1
            mine = {"width": line.manner.width, "dashes": list(line.manner.dashes) or False}
            label = _said(line) if len(self.lines) <= _MOST_WORDS else ""
            network.add_edge(ids[line.tail], ids[line.head], label=label, bend=bend, **mine)
        nodes, edges, *_ = network.get_network_data()
        gone = set(faded)
        return {
            "nodes": [
                _only(node, _OF_NODES) | {"faded": ours.key in gone}
                for node, ours in zip(nodes, self.nodes, strict=True)
            ],
            "lines": [
                _only(edge, _OF_LINES) | {"faded": not gone.isdisjoint((ours.tail, ours.head))}
                for edge, ours in zip(edges, self.lines, strict=True)
            ],
        }

    def _bend(self, line: Line, ids: Mapping[str, int], before: int) -> float:
        """How far a line bends: clockwise above 0. Along a column it always bends away from the centre."""
        tail, head = (self.nodes[ids[end]] for end in (line.tail, line.head))
        if tail.x == head.x and abs(tail.y - head.y) > ROW:
            return _BEND_ALONG * (-1 if tail.y > head.y else 1)
        return round(_BEND * before, 2)


_OF_NODES = frozenset({"id", "label", "shape", "x", "y", "physics", "borderWidth", "group"})
_OF_LINES = frozenset({"from", "to", "label", "width", "dashes", "bend"})


def _only(given: Mapping[str, Any], wanted: frozenset[str]) -> dict[str, Any]:
    return {name: value for name, value in given.items() if name in wanted}


def _label(node: Node) -> str:
    sign = f"{node.family.sign} " if node.family.sign else ""
    return f"{sign}{_shortened(node.label)}{' (confidential)' if node.is_confidential else ''}"


def _said(line: Line) -> str:
    more = f" +{len(line.claims) - 1}" if len(line.claims) > 1 else ""
    return f"{f'{line.number} ' if line.number else ''}{line.label}{more}"


def _shortened(label: str) -> str:
    text = " ".join(label.split()) or "(no name)"
    return text if len(text) <= _LONGEST_LABEL else text[: _LONGEST_LABEL - 1] + "…"


def picture(
    view: WorkingView, claims: Iterable[Claim], centre: str, numbers: Mapping[str, int] | None = None
) -> Picture:
    """The picture of some claims round a thing; ``numbers`` are those that the claims bear on the screen."""
    numbers = numbers or {}
    given = list(dict.fromkeys(claims))
    ends = {claim.id: (claim.subject, _value_key(view, claim)) for claim in given}
    far = distances(ends.values(), centre)
    kept = sorted(far, key=lambda key: (far[key], key != centre, key))[:MOST_NODES]
    near = set(kept)
    lasting = {ident: pair for ident, pair in ends.items() if near.issuperset(pair)}
    at = places(lasting.values(), {key: far[key] for key in kept})
    values = {f"value of {claim.id}": claim for claim in given}
    nodes = tuple(_node(view, values.get(key), key, key == centre, at[key]) for key in kept)
    lines = tuple(_line(view, c, lasting[c.id], numbers.get(c.id)) for c in given if c.id in lasting)
    rows = [_row(view, claim, numbers.get(claim.id)) for claim in given]
    rows.sort(key=lambda row: (row.number is None, row.number or 0, row.sentence.casefold(), row.claim))
    return Picture(nodes, lines, tuple(rows), len(far) - len(kept))


def thing_node(view: WorkingView, slug: str, is_centre: bool, at: tuple[int, int]) -> Node:
    """A thing at its place."""
    thing = view.things.get(slug)
    family = family_of(view.vocabulary, view.kinds(slug))
    is_confidential = thing is not None and thing.is_confidential
    return Node(slug, view.label(slug), family, None, is_centre, is_confidential, *at)


def says(view: WorkingView, claim: Claim) -> str:
    """The property of a claim as one reads it."""
    prop = view.vocabulary.properties.get(claim.property)
    return prop.label if prop else claim.property


def _value_key(view: WorkingView, claim: Claim) -> str:
    """The thing that a claim leads to; a date or text is a node of its own for each claim."""
    prop = view.vocabulary.properties.get(claim.property)
    return claim.value if prop is not None and prop.is_link else f"value of {claim.id}"


def _node(view: WorkingView, claim: Claim | None, key: str, is_centre: bool, at: tuple[int, int]) -> Node:
    if claim is None:
        return thing_node(view, key, is_centre, at)
    ident = claim.id if claim.entry else None
    return Node(key, view.value_text(claim), VALUE, ident, False, view.is_confidential(claim), *at)


def _line(view: WorkingView, claim: Claim, ends: tuple[str, str], number: int | None) -> Line:
    manner = DOUBTED if view.standing(claim.id) == "doubted" else HELD
    return Line(*ends, says(view, claim), number, manner, (claim.id,) if claim.entry else ())


def _row(view: WorkingView, claim: Claim, number: int | None) -> Row:
    is_supposed = claim.entry == ""
    cited = claim.citation.locator if is_supposed else view.cite(claim.citation)
    source = None if is_supposed else claim.citation.source
    return Row(number, view.sentence(claim), cited, source, claim.id, view.is_confidential(claim))


@lru_cache(maxsize=1)
def drawing_script() -> str:
    """The drawing script that the pyvis package carries: the library's own file, no text of a user."""
    import pyvis

    found = Path(pyvis.__file__).parent / "templates" / "lib" / "vis-9.1.2" / "vis-network.min.js"
    return found.read_text(encoding="utf-8")
