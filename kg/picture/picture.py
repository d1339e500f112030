"""The network picture: a few claims as things and lines, safe to show and needing no outside address.

pyvis holds the nodes and lines; the page is our own template, because the one that comes with pyvis reaches
for outside addresses and lets names through as markup. Places are computed here, so that nothing moves between
two looks.
"""

from __future__ import annotations

import hashlib
import math
import secrets
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: More things than this are no picture any more; those farthest from the subject are left out.
MOST_NODES = 150

#: Distance between two things side by side and between two rows, in the picture's own units.
_BESIDE, _BELOW = 235, 132
_LONGEST_LABEL = 64
_LEAST_HEIGHT, _MOST_HEIGHT = 90, 760

#: Unguessable per process, so that a page's nonce is the same at each look and yet cannot be foreseen.
_SECRET = secrets.token_bytes(32)


@dataclass(frozen=True, slots=True)
class Node:
    """A thing or a value in the picture, with its place."""

    key: str
    label: str
    is_thing: bool
    is_centre: bool
    is_confidential: bool
    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Line:
    """A claim in the picture: from its subject to its value."""

    tail: str
    head: str
    label: str
    number: int | None
    is_doubted: bool


@dataclass(frozen=True, slots=True)
class Row:
    """A claim as one line of the list that says the same as the picture."""

    number: int | None
    sentence: str
    citation: str
    claim: str
    is_confidential: bool


@dataclass(frozen=True, slots=True)
class Ink:
    """The colours of a picture."""

    paper: str
    text: str
    line: str
    accent: str
    box: str


LIGHT = Ink("#fbf8f1", "#2b2620", "#7a6f60", "#2f5d62", "#f1ebde")
DARK = Ink("#1d1a17", "#ece5d8", "#a2978a", "#8fc1c4", "#2b2722")


@dataclass(frozen=True, slots=True)
class Picture:
    """The things and claims of a picture with their places, and the same as a sorted list."""

    nodes: tuple[Node, ...]
    lines: tuple[Line, ...]
    rows: tuple[Row, ...]
    left_out: int
    """How many things were too many for the picture; the list has their claims."""

    @property
    def height_px(self) -> int:
        """How high the picture is drawn: as its rows need, within bounds."""
        heights = [node.y for node in self.nodes] or [0]
        return min(_LEAST_HEIGHT + max(heights) - min(heights), _MOST_HEIGHT)

    def to_html(self, ink: Ink = LIGHT) -> str:
        """A whole page that draws the picture, with its script inside and no outside address."""
        height_px = self.height_px
        nodes, edges = self._drawn(ink)
        nonce = hashlib.sha256(_SECRET + repr((self, ink, height_px)).encode()).hexdigest()[:32]
        page: str = _page().render(
            nodes=nodes, edges=edges, ink=ink, height_px=height_px, nonce=nonce, script=_script()
        )
        return page

    def _drawn(self, ink: Ink) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
        from pyvis.network import Network

        network = Network(directed=True)
        ids = {node.key: number for number, node in enumerate(self.nodes)}
        for node in self.nodes:
            border = ink.accent if node.is_centre else ink.line
            colours = {"background": ink.box if node.is_thing else ink.paper, "border": border}
            label = _shortened(node.label) + (" (confidential)" if node.is_confidential else "")
            look = {
                "shape": "box",
                "x": node.x,
                "y": node.y,
                "physics": False,
                "borderWidth": 3 if node.is_centre else 1,
            }
            network.add_node(ids[node.key], label, color={**colours, "highlight": colours}, **look)
        for line in self.lines:
            label = f"{line.number} {line.label}" if line.number else line.label
            network.add_edge(ids[line.tail], ids[line.head], label=label, dashes=line.is_doubted)
        nodes, edges, *_ = network.get_network_data()
        # Each thing and line carries what we gave it and nothing else: a title would be read as markup.
        keep = {"id", "label", "color", "shape", "x", "y", "physics", "borderWidth", "from", "to", "dashes"}
        return [{k: v for k, v in n.items() if k in keep} for n in nodes], [
            {k: v for k, v in e.items() if k in keep} for e in edges
        ]


def picture(
    view: WorkingView, claims: Iterable[Claim], centre: str, numbers: Mapping[str, int] | None = None
) -> Picture:
    """The picture of some claims round a thing; ``numbers`` are those that the claims bear on the screen."""
    numbers = numbers or {}
    given = list(dict.fromkeys(claims))
    ends = {claim.id: (claim.subject, _value_key(view, claim)) for claim in given}
    depths = _depths(ends.values(), centre)
    kept = set(sorted(depths, key=lambda key: (depths[key], key != centre, key))[:MOST_NODES])
    lasting = {ident: pair for ident, pair in ends.items() if set(pair) <= kept}
    nodes = _placed(view, given, _rows(lasting.values(), {key: depths[key] for key in kept}))
    nodes = tuple(replace(node, is_centre=node.key == centre) for node in nodes)
    lines = [
        Line(*lasting[c.id], _says(view, c), numbers.get(c.id), view.standing(c.id) == "doubted")
        for c in given
        if c.id in lasting
    ]
    rows = [_row(view, claim, numbers.get(claim.id)) for claim in given]
    rows.sort(key=lambda row: (row.number is None, row.number or 0, row.sentence.casefold(), row.claim))
    return Picture(nodes, tuple(lines), tuple(rows), len(depths) - len(kept))


def _value_key(view: WorkingView, claim: Claim) -> str:
    """The thing that a claim leads to; a date or text is a node of its own for each claim."""
    prop = view.vocabulary.properties.get(claim.property)
    return claim.value if prop is not None and prop.is_link else f"value of {claim.id}"


def _says(view: WorkingView, claim: Claim) -> str:
    prop = view.vocabulary.properties.get(claim.property)
    return prop.label if prop else claim.property


def _row(view: WorkingView, claim: Claim, number: int | None) -> Row:
    is_supposed = claim.entry == ""
    citation = claim.citation.locator if is_supposed else view.cite(claim.citation)
    return Row(number, view.sentence(claim), citation, claim.id, view.is_confidential(claim))


def _neighbours(ends: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    near: dict[str, set[str]] = defaultdict(set)
    for tail, head in ends:
        near[tail].add(head)
        near[head].add(tail)
    return near


def _depths(ends: Iterable[tuple[str, str]], centre: str) -> dict[str, int]:
    """How many claims each node lies from the centre; nodes that hang together elsewhere follow below."""
    near = _neighbours(ends)
    depths: dict[str, int] = {}
    for start in [*([centre] if centre in near else []), *sorted(near)]:
        if start in depths:
            continue
        depth = max(depths.values(), default=-1) + 1
        edge = {start}
        while edge:
            depths.update(dict.fromkeys(edge, depth))
            edge = {n for key in edge for n in near[key]} - depths.keys()
            depth += 1
    return depths


def _rows(ends: Iterable[tuple[str, str]], depths: Mapping[str, int]) -> list[dict[str, float]]:
    """The nodes row by row with their places, each below the middle of those that it hangs from."""
    near = _neighbours(ends)
    rows: list[dict[str, float]] = []
    for depth in sorted(set(depths.values())):
        above = rows[-1] if rows else {}
        keys = [key for key in depths if depths[key] == depth]
        wished = {key: _mean([above[n] for n in near[key] if n in above]) for key in keys}
        rows.append(_apart(wished))
    return rows


def _apart(wished: Mapping[str, float]) -> dict[str, float]:
    """Places at least one step apart, in the order wished for and as near to it as that allows."""
    places: dict[str, float] = {}
    least = -math.inf
    for key in sorted(wished, key=lambda key: (wished[key], key)):
        places[key] = max(wished[key], least)
        least = places[key] + 1
    shift = _mean([wished[key] - places[key] for key in places])
    return {key: place + shift for key, place in places.items()}


def _mean(places: list[float]) -> float:
    return sum(places) / len(places) if places else 0.0


def _placed(view: WorkingView, claims: list[Claim], rows: list[dict[str, float]]) -> tuple[Node, ...]:
    values = {f"value of {claim.id}": claim for claim in claims}
    return tuple(
        _node(view, values, key, (round(place * _BESIDE), depth * _BELOW))
        for depth, row in enumerate(rows)
        for key, place in row.items()
    )


def _node(view: WorkingView, values: Mapping[str, Claim], key: str, at: tuple[int, int]) -> Node:
    claim, thing = values.get(key), view.things.get(key)
    is_confidential = thing.is_confidential if thing else claim is not None and view.is_confidential(claim)
    return Node(key, _label(view, values, key), claim is None, False, is_confidential, *at)


def _label(view: WorkingView, values: Mapping[str, Claim], key: str) -> str:
    return view.value_text(values[key]) if key in values else view.label(key)


def _shortened(label: str) -> str:
    text = " ".join(label.split()) or "(no name)"
    return text if len(text) <= _LONGEST_LABEL else text[: _LONGEST_LABEL - 1] + "…"


@lru_cache(maxsize=1)
def _script() -> Any:
    """The drawing script that the pyvis package carries, ready to stand inside a page."""
    import pyvis
    from markupsafe import Markup

    found = Path(pyvis.__file__).parent / "templates" / "lib" / "vis-9.1.2" / "vis-network.min.js"
    text = found.read_text(encoding="utf-8")
    return Markup(text.replace("</script", "<\\/script"))  # the library's own file, not a user's text


@lru_cache(maxsize=1)
def _page() -> Any:
    from jinja2 import Environment

    return Environment(autoescape=True).from_string(_TEMPLATE)


_TEMPLATE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'nonce-{{ nonce }}';
  style-src 'nonce-{{ nonce }}'; img-src data:; base-uri 'none'; form-action 'none'">
<title>Network of the claims</title>
<style nonce="{{ nonce }}">
html, body { margin: 0; padding: 0; background: {{ ink.paper }}; }
h1 { position: absolute; width: 1px; height: 1px; margin: 0; overflow: hidden; clip-path: inset(50%); }
#net { width: 100%; height: {{ height_px }}px; }
</style>
<script nonce="{{ nonce }}">{{ script }}</script>
</head>
<body>
<main>
<h1>Network of the claims</h1>
<div id="net" role="img" aria-label="Drawing of the claims; the list beside it says the same"></div>
</main>
<script nonce="{{ nonce }}">
const nodes = {{ nodes|tojson }}, edges = {{ edges|tojson }};
const font = { size: 17, face: "Georgia, 'Times New Roman', serif", color: {{ ink.text|tojson }} };
const options = {
  physics: false,
  interaction: { hover: false, dragNodes: false, zoomView: false, keyboard: false, tooltipDelay: 1e9 },
  nodes: { font: font, margin: 8, widthConstraint: { maximum: 180 }, shapeProperties: { borderRadius: 3 } },
  edges: {
    color: { color: {{ ink.line|tojson }}, highlight: {{ ink.accent|tojson }} }, smooth: false,
    width: 1.2, widthConstraint: { maximum: 120 },
    arrows: { to: { enabled: true, scaleFactor: 0.6 } },
    font: { size: 14, color: {{ ink.text|tojson }}, background: {{ ink.paper|tojson }}, strokeWidth: 0 }
  }
};
const net = new vis.Network(document.getElementById("net"), { nodes: nodes, edges: edges }, options);
const fit = function () { net.fit({ animation: false, maxZoomLevel: 1 }); };
fit();
window.addEventListener("resize", fit);
document.documentElement.setAttribute("data-drawn", String(nodes.length));
</script>
</body>
</html>
"""
