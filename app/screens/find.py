"""The screen *Find*: what answers to some words, the best first."""

from __future__ import annotations

import streamlit as st

from app.address import as_of, part
from app.daybook import desk
from app.drawing.words import claim_link, notice, plain, thing_link
from kg.asking.found import MOST_SHOWN, Found, Hit, find


def screen() -> None:
    """The whole screen."""
    words = part("words")
    st.title("Find")
    if not words.strip():
        st.html(notice("Nothing is looked for yet", _WHAT_TO_TYPE))
        return
    standpoint = desk().standpoint(as_of())
    with standpoint.lock:
        found = standpoint.kept(("found", words), lambda: find(standpoint, words))
    st.html(_told(found))


_WHAT_TO_TYPE = """<p>Type part of a name, a number, a mark or a claim's id in the box above.
Capitals and accents do not matter.</p>"""


def _told(found: Found) -> str:
    claim = f"<p>The claim {claim_link(found.claim)} has this id.</p>" if found.claim else ""
    if not found.hits:
        nothing = notice(f"Nothing answers to “{found.words}”", _WHAT_TO_TYPE) if not claim else ""
        return claim + nothing
    rows = "".join(map(_hit, found.hits))
    return f'<p class="k-lead">{_count(found)}</p>{claim}<div class="k-hits">{rows}</div>'


def _count(found: Found) -> str:
    words = f"“{plain(found.words)}”"
    if found.is_near_only:
        return f"Nothing answers to {words}; spelled alike:"
    if found.count > MOST_SHOWN:
        return f"The best {MOST_SHOWN} of {found.count} that answer to {words}. More words narrow it."
    return f"{found.count} answer{'s' if found.count == 1 else ''} to {words}."


def _hit(hit: Hit) -> str:
    answering = f'<div class="k-rule">also “{plain(hit.answering)}”</div>' if hit.answering else ""
    confidential = ' <span class="k-tag">confidential</span>' if hit.is_confidential else ""
    count = f"{hit.claim_count} claim{'' if hit.claim_count == 1 else 's'}"
    return (
        f'<div class="k-rec"><div class="k-prop">{plain(hit.kinds)}</div><div><div class="k-claim">'
        f'{thing_link(hit.slug, hit.label)}{confidential} <span class="k-small">{count}</span></div>'
        f"{answering}</div></div>"
    )
