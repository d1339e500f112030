"""Who has it from whom: boxes in layers with lines between them, and the list that says the same."""

from __future__ import annotations

from base64 import b64encode

from app.drawing.words import parts, plain
from kg.asking.lineage import HIGH, WIDE, Box, Following, Lineage


def drawn(given: Lineage, caption: str) -> str:
    """The picture; ``caption`` is words of our own. Its list says the same for those who cannot see it."""
    if not given.boxes:
        return "<p>These are too many to be drawn; the list names them all.</p>"
    # A screen reader takes the list; the boxes are links for the eye and the mouse, the lines nothing but lines.
    return (
        f'<figure class="w-picture"><div class="w-scroll" role="group" aria-label="{caption}" tabindex="0">'
        f'<div class="w-canvas" style="width:{given.width}px;height:{given.height}px">{_lines(given)}'
        f"{''.join(map(_box, given.boxes))}</div></div><figcaption>{caption} {_LEGEND}</figcaption></figure>"
    )


_LEGEND = "Solid frame: first-hand. Dashed frame: what it follows is not known. Double frame: all of it passes here."


def _lines(given: Lineage) -> str:
    """The lines as a mask, so that they take the colour of the theme in force."""
    strokes = "".join(f'<path d="{path}"/>' for path in given.paths)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{given.width}" height="{given.height}">'
        f'<g fill="none" stroke="#000" stroke-width="1.6">{strokes}</g></svg>'
    )
    address = f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"
    return f'<i class="w-lines" aria-hidden="true" style="mask-image:url({address})"></i>'


def _box(one: Box) -> str:
    kind = " w-marked" if one.is_marked else ""
    kind += " w-end-box" if one.is_end else ""
    kind += " w-first" if one.note == "first-hand" else " w-unknown" if one.note else ""
    note = f"<span>{plain(one.note)}</span>" if one.note else ""
    note += "<span>confidential</span>" if one.is_confidential else ""
    return (
        f'<div class="w-box{kind}" style="left:{one.left}px;top:{one.top}px;width:{WIDE}px;height:{HIGH}px">'
        f"<div>{parts([one.said])}</div>{note}</div>"
    )


def listed(given: Lineage) -> str:
    """The same as a list: each source, and from whom it has its matter, with the claims that say so."""
    return f'<ul class="k-list w-list">{"".join(map(_line, given.rows))}</ul>'


def _line(one: Following) -> str:
    marked = " <strong>(all of it passes here)</strong>" if one.is_marked else ""
    confidential = ' <span class="k-tag">confidential</span>' if one.is_confidential else ""
    follows = "".join(
        f'<div class="k-small">follows {parts([source])}, by {", ".join(f"<code>{parts([c])}</code>" for c in claims)}'
        "</div>"
        for source, claims in one.has_from
    )
    return (
        f'<li>{parts([one.source])}{confidential}{marked} <span class="k-small">{plain(one.origin)}</span>'
        f"{follows}</li>"
    )
