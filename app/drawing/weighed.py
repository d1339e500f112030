"""A claim or source weighed: witnesses, routes, circles, what falls with it; and the table to start from."""

from __future__ import annotations

from collections.abc import Iterable

from app.address import address
from app.drawing import record
from app.drawing.words import link, parts, plain
from kg.asking.bearing import Bearing
from kg.asking.parts import Part
from kg.asking.weighed import Change, Falling, InPrint, Said, WeighedPage


def table(given: Iterable[Bearing]) -> str:
    """The sources that bear most, each with what falls with it."""
    heads = "".join(
        f"<th scope=col>{head}</th>"
        for head in (
            "Source",
            "Its claims",
            "Fall with it",
            "Lose their anchor",
            "Datings decided otherwise",
            "Sentences in print",
        )
    )
    rows = "".join(map(_row, given))
    return (
        '<div class="w-scroll" role="group" aria-label="The sources that bear most" tabindex="0">'
        f'<table class="w-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _row(one: Bearing) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if one.is_confidential else ""
    weigh = link(address("sources_weighed", id=one.source.thing or ""), plain(one.source.text))
    bar = f'<i class="w-bar" aria-hidden="true"><b style="width:{one.share:.1%}"></b></i>'
    numbers = (one.claims, one.following, one.unanchored, one.datings, one.sentences)
    cells = "".join(f"<td>{number or '–'}</td>" for number in numbers)
    return f"<tr><th scope=row>{weigh}{confidential}<div class=k-small>{plain(one.origin)}</div>{bar}</th>{cells}</tr>"


def head(page: WeighedPage) -> str:
    """What is weighed, and the count of its witnesses."""
    confidential = ' <span class="k-tag">confidential</span>' if page.is_confidential else ""
    kind = "claim" if page.is_claim else plain(page.about)
    where = f"<p>{plain(page.about)}</p>" if page.is_claim else ""
    further = "".join(f"<li>{plain(one)}</li>" for one in page.further)
    return (
        f'<div class="k-thing"><p class="k-asked">{kind} · <code>{_own(page)}</code></p>'
        f'<h2 class="w-title">{parts(page.title)}{confidential}</h2>{where}</div>'
        f'<p class="k-lead">{plain(page.headline)}</p>'
        f"{f'<ul class=k-list>{further}</ul>' if further else ''}"
    )


def _own(page: WeighedPage) -> str:
    part = Part(page.name, claim=page.name) if page.is_claim else Part(page.name, thing=page.name)
    return parts([part])


def routes(page: WeighedPage) -> str:
    """The routes that share no source, and the circles."""
    lines = "".join(
        f'<li>{" → ".join(parts([one]) for one in route)} <span class="k-small">({plain(begins)})</span></li>'
        for begins, route in page.routes
    )
    return f'<ol class="k-list">{lines}</ol>' if lines else ""


def circles(page: WeighedPage) -> str:
    """The circles of sources that only follow each other."""
    return "".join(
        f'<div class="k-item">{" → ".join(parts([one]) for one in circle)}</div>' for circle in page.circles
    )


def said(given: Iterable[Said]) -> str:
    """Claims under their headings."""
    return "".join(record.titled(one.title, record.sentences(one.rows) + _more(one.more)) for one in given)


def _more(count: int) -> str:
    return f'<p class="k-small">and {count} more</p>' if count else ""


def in_print(given: Iterable[InPrint]) -> str:
    """Printed sentences, each with its place and how it is founded."""
    return "".join(
        f'<div class="k-item"><blockquote>{plain(one.words)}</blockquote><div class="k-cite">{parts([one.where])}'
        f"; it {plain(one.footing)}</div></div>"
        for one in given
    )


def falling(one: Falling) -> str:
    """What falls: claims, datings decided otherwise, printed sentences, spans known less closely."""
    claims = "".join(
        f"<h4>{plain(each.title)}</h4>{record.sentences(each.rows)}{_more(each.more)}" for each in one.claims
    )
    return (
        f'<article class="w-end"><h3>{plain(one.title)}</h3><p class="k-lead">{plain(one.summary)}</p>'
        f"{_changes('Datings decided otherwise', one.verdicts, one.more_verdicts)}"
        f"{_under('Sentences in print that lose their footing', in_print(one.sentences), one.more_sentences)}"
        f"{_changes('Known less closely', one.wider, one.more_wider)}{claims}</article>"
    )


def _under(title: str, markup: str, more: int) -> str:
    return f"<h4>{plain(title)}</h4>{markup}{_more(more)}" if markup else ""


def _changes(title: str, given: Iterable[Change], more: int) -> str:
    lines = "".join(
        f"<li>{parts(one.what)}: {plain(one.before)} → <strong>{plain(one.after)}</strong></li>"
        for one in given
    )
    return _under(title, f'<ul class="k-list">{lines}</ul>' if lines else "", more)
