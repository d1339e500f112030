"""The page of a claim: what it says and where, how it stands, who else says so, who says otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from app.address import as_of, part
from app.daybook import desk
from app.drawing import record
from app.drawing.words import notice, parts, plain
from app.frame import ways_on
from kg.asking.claim import ClaimPage, Judged, claim_page


def screen() -> None:
    """The whole screen."""
    ident = part("id")
    if not ident:
        st.title("Claim")
        st.html(notice("No claim is named", "<p>Type a claim's id in the box above, or come by a link.</p>"))
        return
    page = claim_page(desk().standpoint(as_of()), ident)
    st.set_page_config(page_title=f"{page.row.claim} – Kilnmark")
    st.html(_head(page) + _ways_on(page) + _said(page) + _standing(page))
    st.html(
        record.titled("Others say the same", record.sentences(page.agreeing))
        + record.titled("Others say otherwise", record.sentences(page.contrary))
        + record.titled("Claims about this claim", record.sentences(page.about_it))
        + record.titled(
            "In print", "".join(f'<div class="k-item">{parts([one])}</div>' for one in page.in_print)
        )
        + record.titled("Entry", record.history([page.entry]) if page.entry else "")
    )


def _head(page: ClaimPage) -> str:
    row = page.row
    heading = parts(replace(one, claim=None) if one.claim == row.claim else one for one in row.sentence)
    return (
        f'<div class="k-thing"><p class="k-asked">claim <code>{plain(row.claim)}</code></p>'
        f"<h1>{heading}{record.tags(row)}</h1></div>"
    )


def _ways_on(page: ClaimPage) -> str:
    ident = page.row.claim
    ways = [
        (True, "sources_weighed", {"id": ident}, "Weigh this claim"),
        (as_of() is None, "judge", {"id": ident}, "Judge this claim"),
    ]
    return ways_on(ways)


def _said(page: ClaimPage) -> str:
    """What the source says, and how it was read."""
    row = page.row
    lines = [("Source", f"{parts(row.cited[:1])} <span class=k-small>{plain(page.source_kinds)}</span>")]
    lines.append(("Place", plain(row.cited[1].text.removeprefix(", "))))
    if row.quotation:
        lines.append(("Its words", f"<blockquote>{plain(row.quotation)}</blockquote>"))
    if page.written:
        lines.append(("Date as printed", plain(page.written)))
    if page.edtf:
        read = f", which allows {plain(row.read_as)}" if row.read_as else ""
        lines.append(("Read as", f"<code>{plain(page.edtf)}</code>{read}"))
    if row.strength:
        lines.append(("Strength", plain(row.strength)))
    if page.comment:
        lines.append(("Meaning", plain(page.comment)))
    if row.fault:
        lines.append(("Takes no part", plain(row.fault)))
    return record.titled("What is said, and where", record.listed(lines))


def _standing(page: ClaimPage) -> str:
    lines = [("Standing", plain(page.standing)), ("How firm", plain(page.step))]
    lines.append(("Witnesses", plain(page.witnesses) + (f" {plain(page.fewest)}" if page.fewest else "")))
    if page.reasons:
        lines.append(("Because", "".join(f"<div>{plain(reason)}</div>" for reason in page.reasons)))
    return record.titled("How it stands", record.listed(lines) + _judged(page.judgements))


def _judged(given: Sequence[Judged]) -> str:
    return record.listed(
        [
            (
                one.day,
                f"<strong>{plain(one.standing)}</strong> by {plain(one.researcher)}"
                f'<div class="k-rule">{plain(one.why)}</div>',
            )
            for one in given
        ]
    )
