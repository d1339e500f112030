"""A passage pasted from a source: its proposals are ticked, tried and recorded as one note."""

from __future__ import annotations

import streamlit as st

from app.address import as_of
from app.daybook import desk
from app.drawing import effects, record
from app.drawing.fields import Fields
from app.drawing.recording import attempt, failed
from app.drawing.words import notice, parts, plain, refusal
from app.sign_in import at_the_desk, signature
from kg.asking.adding import things_of
from kg.asking.passage import Proposed, ReadPassage, passage_note, read_passage
from kg.asking.recording import record_note, try_note
from kg.asking.roles import UNSIGNED
from kg.daybook.record import Entry
from kg.errors import KilnmarkError

_WHAT = """<p>Paste the sentences, and leave the field. What they seem to claim, by names that the daybook knows, is
then listed, to be ticked one by one. Nothing is recorded before you have seen what it comes to.</p>"""


def passage(fields: Fields) -> None:
    """The whole of it: source and place, the words, the proposals, what they would change, the record."""
    standpoint = desk().standpoint()
    left, right = st.columns(2, gap="medium")
    with left:
        sources = {one.slug: one.text for one in things_of(standpoint, "Source")}
        source = fields.choice("source", "Source", sources, placeholder="Type part of a name")
    with right:
        locator = fields.text("locator", "Place in it", placeholder="p. 12")
    text = fields.page("passage", "Passage, as it is printed", height=160, max_chars=100_000)
    if not text.strip():
        st.html(notice("No passage yet", _WHAT))
        return
    try:
        found = read_passage(standpoint, text, source)
    except KilnmarkError as error:
        st.html(refusal("This passage cannot be read", error))
        return
    ticked = _proposals(fields, found)
    if found.not_taken:
        st.html(record.titled("Seen and not taken", _not_taken(found)))
    failed("take_in")
    if not ticked:
        return
    _effect_and_record(text, ticked, source or "", locator)


def _proposals(fields: Fields, found: ReadPassage) -> tuple[int, ...]:
    """Each proposal with a box to tick; the numbers of those that are ticked."""
    st.header("What it seems to claim")
    if not found.proposals:
        st.html("<p>No claim was found by names that the daybook knows. Add a finding by hand.</p>")
        return ()
    open_ones = [number for number, one in enumerate(found.proposals) if not one.is_on_record]
    st.button("Tick all", key="take_in-all", on_click=_tick_all, args=(tuple(open_ones),))
    ticked = []
    for number, one in enumerate(found.proposals):
        left, right = st.columns([1, 11])
        with left:
            is_ticked = fields.tick(
                f"tick {number}",
                f"Proposal {number + 1}",
                label_visibility="collapsed",
                disabled=one.is_on_record,
            )
        right.html(_proposal(one))
        if is_ticked and not one.is_on_record:
            ticked.append(number)
    return tuple(ticked)


def _tick_all(numbers: tuple[int, ...]) -> None:
    fields = Fields("take_in")
    for number in numbers:
        fields.put(f"tick {number}", True)


def _proposal(one: Proposed) -> str:
    strength = f' <span class="k-tag">{plain(one.strength)}</span>' if one.strength else ""
    on_record = ' <span class="k-tag">on record already</span>' if one.is_on_record else ""
    notes = "".join(f'<div class="k-rule">{plain(note)}</div>' for note in one.notes)
    return (
        f'<div class="k-claim">{parts(one.said)}{strength}{on_record}</div>'
        f'<div class="k-cite">rests on {plain(one.rests_on)}</div>{notes}'
    )


def _not_taken(found: ReadPassage) -> str:
    return "".join(
        f'<div class="k-item">“{plain(words)}”: <span class="k-small">{plain(why)}</span></div>'
        for words, why in found.not_taken
    )


def _effect_and_record(text: str, ticked: tuple[int, ...], source: str, locator: str) -> None:
    standpoint = desk().standpoint()
    try:
        note = passage_note(standpoint, text, ticked, source, locator, UNSIGNED)
        with st.spinner("Looking at what it would change"):
            tried = standpoint.kept(("tried", note), lambda: try_note(desk(), note))
    except KilnmarkError as error:
        st.html(refusal("Not ready to be recorded", error))
        return
    st.html(effects.trial(tried))
    is_signed = signature()
    count = len(ticked)
    st.button(
        f"Record {count} claim{'' if count == 1 else 's'}",
        key="take_in-record",
        type="primary",
        disabled=not is_signed or tried.effect.is_refused,
        on_click=_record,
        args=(text, ticked, source, locator),
    )


def _record(text: str, ticked: tuple[int, ...], source: str, locator: str) -> None:
    colleague = at_the_desk()

    def work() -> Entry:
        note = passage_note(desk().standpoint(), text, ticked, source, locator, colleague.name)
        return record_note(desk(), colleague, note, as_of())

    if attempt("take_in", work):
        fields = Fields("take_in")
        fields.clear(*(name for name in tuple(fields.kept) if name.startswith("tick ")))
        fields.clear("passage")
