"""What stands beside the text of an essay: findings, the text as printed, claims, versions, print editions, papers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime

import streamlit as st

from app.address import as_of
from app.daybook import desk
from app.drawing import essay_text
from app.drawing.essay_draft import Draft
from app.drawing.essay_papers import papers
from app.drawing.words import notice, refusal
from app.sign_in import admitted, at_the_desk
from kg.asking.essays import Opened, editions_told, freeze_edition, versions_told, why_not_frozen
from kg.asking.essays_findings import audited, since_print
from kg.asking.essays_text import differences_from, palette, places_for_notes, preview, with_note
from kg.asking.roles import Act
from kg.asking.standpoint import Standpoint
from kg.errors import KilnmarkError

_FROZEN, _UNFROZEN, _UNPUT = "essay_bench frozen", "essay_bench not frozen", "essay_bench not put"

_END = "the end"


def findings(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """What the audit finds in the text as it stands."""
    with st.spinner("Auditing the text"):
        told = audited(standpoint, draft.text, (one.slug for one in opened.pieces), opened.day)
    st.html(essay_text.findings(told))


def as_printed(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The text as it will be printed, its notes leading to the claims."""
    with st.spinner("Reading the text"):
        shown = preview(standpoint, draft.text)
    if not shown.essay.blocks:
        st.html(notice("The text is empty", "<p>Write, or go back to the text as it was.</p>"))
        return
    st.html(essay_text.printed(shown))


# ---------------------------------------------------------------- claims


def claims(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The claims that the text can rest on, and the way to put a note into it."""
    with st.spinner("Gathering the claims"):
        groups = palette(standpoint, (one.slug for one in opened.pieces), draft.text)
    if not groups:
        what = "<p>Nothing that may be printed is on record about it. Add a finding first.</p>"
        st.html(notice("No claims to rest on", what))
        return
    if draft.day is None:
        _put_in(standpoint, {one.note: one.line for group in groups for one in group.claims}, draft)
    st.html(essay_text.claims(groups))


def _put_in(standpoint: Standpoint, notes: Mapping[str, str], draft: Draft) -> None:
    """Choose a claim and a sentence, and put the note behind it; or copy the note."""
    places = {
        _END: "The last sentence",
        **{one.slug: one.text for one in places_for_notes(standpoint, draft.text)},
    }
    note = st.selectbox(
        "Claim to cite",
        list(notes),
        format_func=lambda one: notes.get(one, one),
        index=None,
        key="essay_bench-note",
        placeholder="Type part of what it says, or of its source",
    )
    behind = st.selectbox(
        "Put its note behind",
        list(places),
        format_func=lambda one: places.get(one, one),
        key="essay_bench-behind",
    )
    with st.container(horizontal=True, vertical_alignment="center"):
        st.button(
            "Put the note in",
            key="essay_bench-put",
            disabled=note is None,
            on_click=_put,
            args=(draft, note, behind),
        )
        if note is not None:
            st.code(note, language=None, width="content")
    unput = st.session_state.pop(_UNPUT, None)
    if unput is not None:
        st.html(refusal("No note was put in", unput))


def _put(draft: Draft, note: str, behind: str | None) -> None:
    try:
        draft.put(with_note(draft.text, note, None if behind in (None, _END) else behind))
    except KilnmarkError as error:
        st.session_state[_UNPUT] = error


# ---------------------------------------------------------------- versions


def versions(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The versions of an essay, and what differs between one and another, or the text."""
    told = versions_told(standpoint, opened.essay)
    if not told:
        st.html(notice("No version is saved yet", "<p>Save the text; it becomes version 1.</p>"))
        return
    st.html(essay_text.versions(told))
    texts = {str(one.number): one.text for one in told}
    names = {str(one.number): one.said for one in told}
    before = st.selectbox(
        "What differs from", list(texts), format_func=lambda one: names.get(one, one), key="essay_bench-from"
    )
    texts["now"], names["now"] = (
        draft.text,
        "The text as it stands" if draft.day is None else "The text of that day",
    )
    after = st.selectbox(
        "to",
        ["now", *list(texts)[:-1]],
        format_func=lambda one: names.get(one, one),
        key="essay_bench-to",
    )
    with st.spinner("Comparing"):
        found = differences_from(standpoint, texts[before], texts[after])
    st.html(essay_text.differences(found) if found else "<p>Nothing differs.</p>")
    if draft.day is None:
        st.button(
            f"Take the text of version {before} into the field",
            key="essay_bench-older",
            on_click=draft.put,
            args=(texts[before],),
        )


# ---------------------------------------------------------------- print editions


def print_editions(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The print editions of an essay, what they have lost, and the way to freeze the next."""
    frozen = st.session_state.pop(_FROZEN, None)
    if frozen is not None:
        st.html(notice(frozen, ""))
    found = editions_told(standpoint, opened.essay)
    with st.spinner("Holding the print against today's evidence"):
        since = dict(since_print(desk(), standpoint, opened.essay))
    st.html(essay_text.editions(found, since) if found else "<p>None has gone to print yet.</p>")
    if draft.day is not None:
        return
    if opened.is_draft:
        st.html("<p>Save the text first; what is saved can go to print.</p>")
    elif admitted(Act.PUBLISH):
        _freeze(opened, draft)


def _freeze(opened: Opened, draft: Draft) -> None:
    st.subheader("Freeze an edition")
    if draft.is_changed:
        st.html("<p>What is not saved yet is not in it.</p>")
    today = datetime.now(UTC).date()
    day = st.date_input(
        "Day of print", today, max_value=today, format="YYYY-MM-DD", key="essay_bench-day", width=190
    )
    title = st.text_input("Called, if not by the essay's title", key="essay_bench-title", max_chars=200)
    if not isinstance(day, date):
        return
    reasons: tuple[str, ...] = ()
    try:
        reasons = why_not_frozen(desk(), opened.essay, day)
    except KilnmarkError as error:
        st.html(refusal("It cannot go to print on that day", error))
        return
    if reasons:
        st.html(essay_text.reasons("It cannot go to print yet. Mend this first, and save", reasons))
    unfrozen = st.session_state.pop(_UNFROZEN, None)
    if unfrozen is not None:
        st.html(refusal("Nothing was frozen", unfrozen))
    is_signed = bool(at_the_desk().name)  # who signs is asked for beside the text
    st.button(
        "Freeze it as it is saved",
        key="essay_bench-freeze",
        disabled=bool(reasons) or not is_signed,
        on_click=_frozen,
        args=(opened, day, title),
    )


def _frozen(opened: Opened, day: date, title: str) -> None:
    try:
        entry = freeze_edition(desk(), at_the_desk(), opened.essay, day, title, as_of())
    except KilnmarkError as error:
        st.session_state[_UNFROZEN] = error
        return
    st.session_state[_FROZEN] = f"The edition of {day.isoformat()} is frozen, as entry {entry.name}."


#: The panels by their names, in their order.
PANELS: dict[str, Callable[[Standpoint, Opened, Draft], None]] = {
    "Findings": findings,
    "As printed": as_printed,
    "Claims": claims,
    "Versions": versions,
    "Editions": print_editions,
    "Papers": papers,
}

#: The panels that show nothing of a text that cannot be read.
NEED_A_TEXT = frozenset({"Findings", "As printed"})
