"""The network drawn: a picture whose things and lines lead on, its legend, and the same as a list of links."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

import streamlit as st

from app.address import address
from app.drawing.words import claim_link, link, plain, thing_link
from kg.picture import Line, Node, Picture, Row, drawing_script

_SCRIPT = (Path(__file__).resolve().parent / "network.js").read_text(encoding="utf-8")

#: A script that only loads a library must still say that it draws nothing by itself.
_NO_COMPONENT = "\nexport default function () {}\n"

#: What the script fills: the way in and out of the picture, and the picture.
_FRAME = """<div class="k-net"><div class="k-net-tools">
<button type="button" data-do="nearer">Nearer</button><button type="button" data-do="farther">Farther</button>
<button type="button" data-do="whole">All of it</button></div>
<div class="k-net-box" role="img" aria-label="Drawing of the things and claims; the list below it says the same">
</div></div>"""


def show(picture: Picture, key: str, faded: Collection[str] = ()) -> None:
    """The picture with its legend; a click on a thing opens its page, one on a line its claims."""
    st.html(legend(picture))
    # The drawing script is sent once to each open desk, by itself, since what does not change is not sent again.
    st.components.v2.component("network_script", js=drawing_script() + _NO_COMPONENT)(
        key=f"{key}-script", height=1
    )
    st.components.v2.component("network", html=_FRAME, js=_SCRIPT, isolate_styles=False)(
        data=data_of(picture, faded), key=key
    )


def show_with_list(picture: Picture, key: str, faded: Collection[str] = ()) -> None:
    """The picture, what is not in it, and the same as a list of links."""
    show(picture, key, faded)
    if picture.left_out:
        said = "more things lie within these steps; leave kinds out, or go fewer steps, to see them"
        st.html(f'<p class="k-small">{picture.left_out} {said}.</p>')
    with st.expander(
        f"The same as a list: {len(picture.lines)} line{'' if len(picture.lines) == 1 else 's'}"
    ):
        st.html(links(picture))


def data_of(picture: Picture, faded: Collection[str] = ()) -> dict[str, Any]:
    """What the script draws: things and lines, each with the address that it leads to."""
    drawn = picture.drawn(faded)
    nodes = [one | {"go": _page_of(node)} for one, node in zip(drawn["nodes"], picture.nodes, strict=True)]
    lines = [one | {"go": _claims_of(line)} for one, line in zip(drawn["lines"], picture.lines, strict=True)]
    return {"nodes": nodes, "lines": lines, "height": picture.height_px}


def _page_of(node: Node) -> str | None:
    if node.is_thing:
        return address("thing", id=node.key)
    return address("claim", id=node.claim) if node.claim else None


def _claims_of(line: Line) -> str | None:
    """The page of the one claim, or the list of all that join the two."""
    if len(line.claims) > 1:
        return address("threads", **{"from": line.tail, "to": line.head, "joined": "1"})
    return address("claim", id=line.claims[0]) if line.claims else None


def legend(picture: Picture) -> str:
    """What the signs and lines mean, as far as they are there."""
    signs = "".join(
        f'<li><span class="k-sign k-f-{family.name}" aria-hidden="true">{family.sign}</span> '
        f"{plain(family.label)}</li>"
        for family in picture.families
        if family.sign
    )
    lines = "".join(
        f'<li><span class="k-manner k-m-{manner.name}" aria-hidden="true"></span> {plain(manner.label)}</li>'
        for manner in picture.manners
    )
    return f'<ul class="k-legend" aria-label="What the signs and lines mean">{signs}{lines}</ul>'


def links(picture: Picture) -> str:
    """Every line of the picture as a sorted list of links, for the keyboard and the screen reader."""
    names = {node.key: node for node in picture.nodes}
    rows = sorted(picture.lines, key=lambda line: (names[line.tail].label.casefold(), line.label, line.head))
    said = "".join(f"<li>{_linked(line, names)}</li>" for line in rows)
    return f'<ul class="k-list k-network" aria-label="The lines of the picture">{said}</ul>'


def _linked(line: Line, names: Mapping[str, Node]) -> str:
    to = _claims_of(line)
    label = f"{line.label} ({len(line.claims)} claims)" if len(line.claims) > 1 else line.label
    middle = plain(label) if to is None else link(to, plain(label))
    return f"{_named(names[line.tail])} {middle} {_named(names[line.head])}, {plain(line.manner.label)}"


def _named(node: Node) -> str:
    sign = f'<span class="k-sign k-f-{node.family.name}" aria-hidden="true">{node.family.sign}</span> '
    confidential = ' <span class="k-tag">confidential</span>' if node.is_confidential else ""
    said = thing_link(node.key, node.label) if node.is_thing else plain(node.label)
    return f"{sign if node.family.sign else ''}{said}{confidential}"


def listed(picture: Picture) -> str:
    """Every claim of the picture as a sorted list, for the keyboard and the screen reader."""
    more = (
        f"<p>{plain(picture.left_out)} things were too many for the picture.</p>" if picture.left_out else ""
    )
    rows = "".join(f"<li>{_row(row)}</li>" for row in picture.rows)
    return f'<ul class="k-list k-network" aria-label="The claims of the network">{rows}</ul>{more}'


def _row(row: Row) -> str:
    number = f'<span class="k-number">{plain(row.number)}</span> ' if row.number else ""
    confidential = ' <span class="k-tag">confidential</span>' if row.is_confidential else ""
    if row.source is None:
        sentence, cited, ident = plain(row.sentence), plain(row.citation), plain(row.claim)
    else:
        sentence, cited = claim_link(row.claim, row.sentence), thing_link(row.source, row.citation)
        ident = claim_link(row.claim)
    return f'{number}{sentence}{confidential}<div class="k-cite">{cited} <code>{ident}</code></div>'
