"""The screen *One or two?*: two things side by side, what speaks for their being one, and the entry that says so."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from app.address import is_new, part
from app.daybook import desk
from app.drawing import effects, record
from app.drawing.deciding import decide
from app.drawing.fields import Fields
from app.drawing.recording import done
from app.drawing.words import parts, plain
from app.sign_in import admitted
from kg.asking.adding import things_of
from kg.asking.judging import DIFFERENT, SAME, SPLIT, Compared, Reason, compared, joining_note, others_like
from kg.asking.roles import Act
from kg.asking.standpoint import Standpoint
from kg.intake.reconcile.joining import Basis

_SAID = {
    SAME: "They are one: every claim on either counts for both, each under the name its source prints",
    SPLIT: "They are not one after all: take back what joins them",
    DIFFERENT: "They are two, though easily taken for one",
}


def screen() -> None:
    """The whole screen."""
    st.title("One or two?")
    if not admitted(Act.JOIN):
        return
    standpoint, fields = desk().standpoint(), Fields("join")
    if is_new() and part("id"):
        fields.put("one", part("id"))
        fields.put("other", part("other") or None)
    done("join")
    one, other = _two(standpoint, fields)
    if not one:
        st.html("<p>Choose two things that may be one: two spellings of a maker, a book noted twice.</p>")
        return
    if not other:
        _others(standpoint, fields, one)
        return
    found = compared(standpoint, one, other)
    st.html(_side_by_side(found))
    if not found.offered:
        st.html("<p>They are one by way of others: part one of those pairs.</p>")
        return
    how = fields.one_of("how", "What is to be said", {name: _SAID[name] for name in found.offered})
    why = fields.page("why", "Why", height=80, max_chars=900)
    source, locator = _source(standpoint, fields)
    if not why.strip():
        st.html("<p>Give the reason to see what it would change.</p>")
        return
    decide(
        "join",
        "Record it",
        lambda view, name: joining_note(view, how, (one, other), Basis(why, name, source, locator)),
        lambda: fields.clear("how", "why", "source", "locator"),
    )


def _two(standpoint: Standpoint, fields: Fields) -> tuple[str | None, str | None]:
    texts = {one.slug: one.text for one in things_of(standpoint, "Thing")}
    left, right = st.columns(2, gap="medium")
    with left:
        one = fields.choice("one", "One thing", texts, placeholder="Type part of a name")
    with right:
        other = fields.choice("other", "Another", texts, placeholder="Type part of a name")
    return one, other


def _others(standpoint: Standpoint, fields: Fields, one: str) -> None:
    """The things that are probably the same, when they are asked for: it may take a while."""
    if not st.button("Look for others that may be the same", key="join-look"):
        return
    with st.spinner("Comparing names, places and years"):
        found = others_like(standpoint, one)
    if not found:
        st.html("<p>No other bears a name that is near.</p>")
    for choice in found:
        st.button(plain(choice.text), key=f"join-with-{choice.slug}", on_click=_take, args=(choice.slug,))


def _take(slug: str) -> None:
    Fields("join").put("other", slug)


def _source(standpoint: Standpoint, fields: Fields) -> tuple[str | None, str | None]:
    """The source that says so, where it is not the researcher's own judgement."""
    with st.expander("More: a source says so; else it is your own judgement"):
        texts = {one.slug: one.text for one in things_of(standpoint, "Source")}
        source = fields.choice("source", "Source", texts, placeholder="My own judgement")
        locator = fields.text("locator", "Place in it", placeholder="p. 12")
    return (source, locator or None) if source else (None, None)


def _side_by_side(found: Compared) -> str:
    total = f'<p class="k-small">{plain(found.total)}</p>' if found.total else ""
    pair = f"{parts([found.one])} and {parts([found.other])}"
    weighed = record.titled(f"By names, places and years: {found.verdict}", _reasons(found.reasons) + total)
    return f"<p>{pair}: {plain(found.stands)}.</p>{effects.lines(found.because)}{weighed if found.verdict else ''}"


def _reasons(given: Iterable[Reason]) -> str:
    return record.listed((one.decibans, f"{plain(one.says)}{effects.lines(one.lines)}") for one in given)
