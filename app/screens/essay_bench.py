"""The screen *Essay bench*: the text of an essay, and beside it what the daybook says of it, version by version."""

from __future__ import annotations

import streamlit as st

from app.address import address, as_of, part
from app.daybook import desk
from app.drawing import essay_panels, essay_text
from app.drawing.essay_draft import Draft
from app.drawing.going import go_to
from app.drawing.words import link, notice, plain, refusal, thing_link
from app.sign_in import admitted, at_the_desk, signature
from kg.asking.essays import (
    Opened,
    essays_on_record,
    opened_draft,
    opened_essay,
    pieces_to_draft,
    save_version,
)
from kg.asking.essays_text import fault_of
from kg.asking.roles import Act
from kg.asking.standpoint import Standpoint
from kg.errors import KilnmarkError

#: What was done last is told once, under this key; the panel that is chosen is kept under the other.
SAID, FAILED, PANEL = "essay_bench said", "essay_bench failed", "essay_bench panel"

_NOTHING_TO_DRAFT = """<p>An essay is drafted from the claims about a piece, and there is no piece on record that may be
printed. Add one with a finding about it, or see what a note looks like:</p><pre>kilnmark add --example
kilnmark add NOTE.toml</pre>"""


def screen() -> None:
    """The whole screen."""
    standpoint = desk().standpoint(as_of())
    essay, piece = part("id"), part("piece")
    if not essay and not piece:
        _choose(standpoint)
        return
    with st.spinner("Opening the text"):
        opened = opened_essay(standpoint, essay) if essay else opened_draft(standpoint, piece)
    st.set_page_config(page_title=f"{opened.title} – Kilnmark")
    draft = Draft(opened, None if as_of() is None else standpoint.view.as_of)
    _head(opened)
    said = st.session_state.pop(SAID, None)
    if said is not None:
        st.html(notice(said, ""))
    left, right = st.columns(2, gap="large")
    with left:
        _editor(opened, draft)
    with right:
        _beside(standpoint, opened, draft)


def _choose(standpoint: Standpoint) -> None:
    """What can be worked on: essays on record, drafts of this window, pieces to draft from."""
    st.title("Essay bench")
    pieces = pieces_to_draft(standpoint)
    essays = essays_on_record(standpoint)
    if not pieces and not essays:
        st.html(notice("There is nothing to write about yet", _NOTHING_TO_DRAFT))
        return
    names = {one.slug: one.text for one in pieces}
    st.selectbox(
        "Draft an essay on a piece",
        list(names),
        format_func=lambda slug: names.get(slug, slug),
        index=None,
        key="essay_bench-piece",
        placeholder="Type part of its name",
        on_change=_piece_chosen,
    )
    if open_drafts := Draft.unsaved():
        st.header("Not saved yet, kept while this window stays open")
        lines = "".join(
            f"<li>{link(address('essay_bench', **to), plain(title))}</li>" for title, to in open_drafts
        )
        st.html(f'<ul class="k-list">{lines}</ul>')
    st.header("Essays on record")
    if essays:
        st.html(essay_text.on_record((one, address("essay_bench", id=one.slug)) for one in essays))
    else:
        st.html("<p>None is saved yet. Draft one from a piece, above, and save it.</p>")


def _piece_chosen() -> None:
    chosen = st.session_state["essay_bench-piece"]
    if chosen:
        go_to(address("essay_bench", piece=chosen))


def _head(opened: Opened) -> None:
    about = ", ".join(thing_link(one.slug, one.text) for one in opened.pieces)
    kind = "a new draft" if opened.is_draft else f"essay <code>{plain(opened.essay)}</code>"
    others = "".join(
        f"<p>On record already: {link(address('essay_bench', id=one.slug), plain(one.text))}. "
        "Saving this draft makes its next version, or a further essay.</p>"
        for one in opened.on_record
    )
    st.html(
        f'<div class="k-thing"><p class="k-asked">{kind}{f" on {about}" if about else ""}</p>'
        f"<h1>{plain(opened.title)}</h1><p>{plain(opened.said)} "
        f"{link(address('essay_bench'), 'Another essay or piece')}</p>{others}</div>"
    )


def _editor(opened: Opened, draft: Draft) -> None:
    """The text, what is wrong with it, and the way to save it."""
    st.header("Text")
    if draft.day is not None:
        st.html(essay_text.source(draft.text))
        st.html(
            f"<p>As of {plain(draft.day.isoformat())} the text is shown as it stood and cannot be changed. "
            "Go back to today, above, to write.</p>"
        )
        return
    draft.field()
    _unsaved(opened, draft)
    if not admitted(Act.ADD):
        return
    failed = st.session_state.pop(FAILED, None)
    if failed is not None:
        st.html(refusal("Nothing was saved", failed))
    is_signed = signature()
    st.button(
        f"Save as version {draft.seen + 1}",
        key="essay_bench-save",
        type="primary",
        disabled=not is_signed,
        on_click=_save,
        args=(opened, draft),
    )


def _unsaved(opened: Opened, draft: Draft) -> None:
    """Whether the text differs from what is saved, and whether somebody saved meanwhile."""
    if draft.seen < opened.number:
        st.html(
            notice(
                f"Version {opened.number} was saved meanwhile",
                f"<p>{plain(opened.said)} Your text began from version {draft.seen}. See what differs under "
                "Versions, and take over what you want.</p>",
                "k-cannot",
            )
        )
        with st.container(horizontal=True):
            st.button("I have seen it: keep my text", key="essay_bench-seen", on_click=draft.see)
            st.button("Take the saved text instead", key="essay_bench-take", on_click=draft.take_saved)
    elif draft.is_changed:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.html('<p role="status"><strong>Not saved yet.</strong> Kept while this window stays open.</p>')
            st.button("Go back to the text as it was", key="essay_bench-back", on_click=draft.take_saved)
    elif not opened.is_draft:
        st.html('<p role="status">Saved; nothing has been changed since.</p>')


def _save(opened: Opened, draft: Draft) -> None:
    """Record the text as it stands on the screen, signed by whoever is at the desk."""
    draft.catch_up()
    try:
        entry = save_version(desk(), at_the_desk(), opened, draft.text, draft.seen, as_of())
    except KilnmarkError as error:
        st.session_state[FAILED] = error
        return
    number = draft.seen + 1
    draft.saved()
    st.session_state[SAID] = f"Version {number} is saved, as entry {entry.name}."
    if opened.is_draft:
        go_to(address("essay_bench", id=opened.essay))


def _beside(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """What stands beside the text: one panel at a time."""
    chosen = st.segmented_control(
        "Beside the text",
        list(essay_panels.PANELS),
        key="essay_bench-panel",
        default=st.session_state.get(PANEL, next(iter(essay_panels.PANELS))),
        required=True,
        wrap=True,
    )
    st.session_state[PANEL] = chosen
    panel = chosen or next(iter(essay_panels.PANELS))
    fault = fault_of(standpoint, draft.text)
    if fault is not None:
        st.html(refusal("The text cannot be read as an essay", fault))
    if fault is not None and panel in essay_panels.NEED_A_TEXT:
        return
    try:
        essay_panels.PANELS[panel](standpoint, opened, draft)
    except KilnmarkError as error:
        st.html(refusal("This cannot be shown", error))
