"""What is taken from the essay bench: made when it is asked for, then offered to be kept."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import streamlit as st

from app.drawing.essay_draft import Draft
from app.drawing.fields import Fields
from app.drawing.words import plain, refusal
from kg.asking.essays import Opened
from kg.asking.essays_papers import (
    FORM_NAMES,
    LANGUAGE_NAMES,
    Paper,
    glossary_paper,
    print_paper,
    sheet_paper,
    sheets_of,
    style_choices,
    text_paper,
)
from kg.asking.essays_text import mark_of
from kg.asking.standpoint import Standpoint
from kg.errors import KilnmarkError

#: What was asked for last, so that it is offered until something else is asked for.
_ASKED = "essay_bench asked"


def papers(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The text, the print, the terms, and the evidence sheet."""
    st.subheader("The text as it is written")
    st.html('<p class="k-small">Markdown whose notes name the claims; it can be taken back.</p>')
    _offer(text_paper(opened, draft.text), "essay_bench-take-text")
    _print(standpoint, opened, draft)
    for one in sheets_of(standpoint, opened):
        st.subheader("The evidence on two pages")
        st.html(
            f'<p class="k-small">What decides date and maker of {plain(one.text)}, to take to the viewing.</p>'
        )
        _made(("sheet", one.slug), "Make the evidence sheet", partial(sheet_paper, standpoint, one.slug))


def _print(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The print of the text as it stands, and the terms of attribution that it uses."""
    st.subheader("The print")
    fields = Fields("essay_bench-print")
    language = fields.one_of("language", "Language of notes and headings", LANGUAGE_NAMES, horizontal=True)
    form = fields.one_of("form", "Form", FORM_NAMES)
    named = {one.slug: one.text for one in style_choices(language)}
    style = st.selectbox(
        "Style of citation",
        list(named),
        format_func=lambda one: named.get(one, one),
        key=f"essay_bench-style-{language}",
    )
    known_by = mark_of(draft.text)
    work = partial(print_paper, standpoint, opened, draft.text, form, style, language)
    _made(("print", form, style, language, known_by), "Make the print", work, key="print")
    try:
        terms = glossary_paper(standpoint, opened, draft.text, language)
    except KilnmarkError:
        return  # the print tells what is wrong with the text
    st.subheader("Terms of attribution")
    if terms is None:
        st.html('<p class="k-small">The text uses no term of the house\'s table.</p>')
        return
    st.html('<p class="k-small">The terms that the text uses, with what the house means by each.</p>')
    _offer(terms, "essay_bench-take-terms")


def _made(name: tuple[str, ...], said: str, make: Callable[[], Paper], key: str = "") -> None:
    """A button that makes a paper; then what was made, or why it was not."""
    key = f"essay_bench-make-{key or '-'.join(name)}"
    st.button(said, key=key, on_click=_ask, args=(name,))
    if st.session_state.get(_ASKED) != name:
        return
    try:
        with st.spinner("Printing"):
            paper = make()
    except KilnmarkError as error:
        st.html(refusal("This cannot be printed", error))
        return
    _offer(paper, f"{key}-take")


def _ask(name: tuple[str, ...]) -> None:
    st.session_state[_ASKED] = name


def _offer(paper: Paper, key: str) -> None:
    if paper.told:
        told = "".join(f"<li>{plain(one)}</li>" for one in paper.told)
        count = f"{len(paper.told)} thing{'' if len(paper.told) == 1 else 's'} to know before it is printed"
        st.html(
            f'<details class="e-finding"><summary>{count}</summary><ul class="k-list">{told}</ul></details>'
        )
    st.download_button(
        f"Keep {paper.name}", paper.content, paper.name, paper.media_type, key=key, on_click="ignore"
    )
