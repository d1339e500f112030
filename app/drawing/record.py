"""The record on screen: claims as rows, entries as a history."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from app.drawing.words import claim_link, parts, plain
from kg.asking.history import Touch
from kg.asking.parts import Part
from kg.asking.rows import Row


def about(rows: Iterable[Row]) -> str:
    """Claims about the thing whose page this is: property, value, and where it is printed."""
    return "".join(
        f'<div class="k-rec">{_label(row, is_repeated)}<div>{_value(row)}{_under(row)}</div></div>'
        for row, is_repeated in _with_repeats(rows)
    )


def _with_repeats(rows: Iterable[Row]) -> Iterable[tuple[Row, bool]]:
    before = None
    for row in rows:
        yield row, row.property == before
        before = row.property


def _label(row: Row, is_repeated: bool) -> str:
    """The property; a repeated one is kept for screen readers alone."""
    hidden = " k-again" if is_repeated else ""
    return f'<div class="k-prop{hidden}">{plain(row.property)}</div>'


def _value(row: Row) -> str:
    read = f' <span class="k-small">({plain(row.read_as)})</span>' if row.read_as else ""
    return f'<div class="k-claim">{parts([row.value])}{read}{tags(row)}</div>'


def sentences(rows: Iterable[Row], page_of: str | None = None) -> str:
    """Claims as sentences, each with its source; the thing whose page this is bears no link to itself."""
    return "".join(
        f'<div class="k-rec k-wide"><div><div class="k-claim">{parts(_unlinked(row.sentence, page_of))}'
        f"{f' <span class=k-small>({plain(row.read_as)})</span>' if row.read_as else ''}{tags(row)}</div>"
        f"{_under(row)}</div></div>"
        for row in rows
    )


def subjects(rows: Iterable[Row]) -> str:
    """The subjects of claims whose heading says the rest, each with its source."""
    return "".join(
        f'<div class="k-rec k-wide"><div><div class="k-claim">{parts(row.sentence[:1])}{tags(row)}</div>'
        f"{_under(row)}</div></div>"
        for row in rows
    )


def _unlinked(given: Iterable[Part], page_of: str | None) -> Iterable[Part]:
    return (replace(one, thing=None) if one.thing == page_of else one for one in given)


def _under(row: Row) -> str:
    quotation = f"<blockquote>{plain(row.quotation)}</blockquote>" if row.quotation else ""
    why = f'<div class="k-rule">{plain(row.standing)}: {plain(row.why)}</div>' if row.why else ""
    fault = f'<div class="k-rule">Takes no part: {plain(row.fault)}.</div>' if row.fault else ""
    return f'<div class="k-cite">{parts(row.cited)} <code>{claim_link(row.claim)}</code></div>{quotation}{why}{fault}'


def tags(row: Row) -> str:
    """The words beside a claim: its standing where not simply held, its strength where not hard, "confidential"."""
    words = [row.standing, row.strength, "confidential" if row.is_confidential else None]
    return "".join(f' <span class="k-tag">{plain(word)}</span>' for word in words if word)


def history(touches: Iterable[Touch]) -> str:
    """Entries, the latest first."""
    return "".join(
        f'<div class="k-rec"><div class="k-prop">{plain(touch.day)}</div><div>'
        f'<div>{plain(touch.researcher)} <span class="k-small">{plain(touch.holds)}</span></div>'
        f"{f'<div class=k-rule>{plain(touch.note)}</div>' if touch.note else ''}</div></div>"
        for touch in touches
    )


def listed(lines: Iterable[tuple[str, str]]) -> str:
    """Some lines, each with its name; what stands on them is markup already."""
    return "".join(
        f'<div class="k-rec"><div class="k-prop">{plain(name)}</div><div>{said}</div></div>'
        for name, said in lines
    )


def titled(title: str, markup: str) -> str:
    """A section with its heading; nothing where there is nothing to show."""
    return f'<section class="k-sec"><h2>{plain(title)}</h2>{markup}</section>' if markup else ""
