"""Loose ends on screen: what is open, the claims, what would settle it, and where to go on."""

from __future__ import annotations

from app.address import address
from app.drawing import record
from app.drawing.words import link, parts, plain
from app.frame import present
from kg.asking.loose import LoosePage, OpenEnd, Way


def end(one: OpenEnd, level: int = 3) -> str:
    """One loose end as a framed item."""
    more = f" and {one.more_names} more" if one.more_names else ""
    amount = f' <span class="k-small">({plain(one.amount)})</span>' if one.amount else ""
    names = "; ".join(parts([name]) for name in one.about)
    left = f'<p class="k-small">and {one.more_claims} more</p>' if one.more_claims else ""
    bears = f"<strong>{plain(one.bears)}</strong> " if one.bears else ""
    return (
        f'<article class="w-end"><h{level}>{plain(one.open)}</h{level}><p class="w-about">{names}{more}{amount}</p>'
        f"{record.sentences(one.claims)}{left}"
        f'<p class="w-settle">{bears}{plain(one.settled_by)}</p>{ways(one.ways)}</article>'
    )


def ways(given: tuple[Way, ...]) -> str:
    """Links to the screens where it can be worked on, as far as they are there."""
    there = present()
    offered = [
        link(address(way.screen, **dict(way.parts)), plain(way.said)) for way in given if way.screen in there
    ]
    return f'<div class="k-ways">{"".join(offered)}</div>' if offered else ""


def kinds(page: LoosePage) -> str:
    """The kinds to choose from, each with how many there are."""
    items = [_kind(None, "All kinds", page.count, page)]
    items += [_kind(one.name, one.open, one.count, page) for one in page.kinds]
    return f'<nav class="w-kinds" aria-label="Kinds of loose ends"><ul>{"".join(items)}</ul></nav>'


def _kind(name: str | None, said: str, count: int, page: LoosePage) -> str:
    words = f"<span>{plain(said)}</span> <strong>{plain(count)}</strong>"
    if name == page.kind:
        return f'<li class="w-now" aria-current="true">{words}</li>'
    return f"<li>{link(address('loose_ends', **({'kind': name} if name else {})), words)}</li>"


def turning(page: LoosePage) -> str:
    """The way to the pages before and after."""
    kind = {"kind": page.kind} if page.kind else {}
    before = link(address("loose_ends", **kind, page=f"{page.number - 1}"), "Those before")
    after = link(address("loose_ends", **kind, page=f"{page.number + 1}"), "Those that follow")
    offered = before * (page.number > 1) + after * (page.number < page.pages)
    return f'<nav class="k-ways" aria-label="Pages">{offered}</nav>' if offered else ""
