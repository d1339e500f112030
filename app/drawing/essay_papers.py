"""What is taken from the essay bench: made when it is asked for, then offered to be kept."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial

import streamlit as st

from app.drawing.essay_draft import Draft
from app.drawing.words import plain, refusal
from kg.asking.essays import Opened
from kg.asking.essays_papers import Paper, sheet_paper, sheets_of, text_paper
from kg.asking.standpoint import Standpoint
from kg.errors import KilnmarkError

#: What was asked for last, so that it is offered until something else is asked for.
_ASKED = "essay_bench asked"


def papers(standpoint: Standpoint, opened: Opened, draft: Draft) -> None:
    """The text, the print, and the evidence sheet."""
    st.subheader("The text as it is written")
    st.html('<p class="k-small">Markdown whose notes name the claims; it can be taken back.</p>')
    _offer(text_paper(opened, draft.text), "essay_bench-take-text")
    for one in sheets_of(standpoint, opened):
        st.subheader("The evidence on two pages")
        st.html(
            f'<p class="k-small">What decides date and maker of {plain(one.text)}, to take to the viewing.</p>'
        )
        _made(("sheet", one.slug), "Make the evidence sheet", partial(sheet_paper, standpoint, one.slug))


def _made(name: Hashable, said: str, make: Callable[[], Paper]) -> None:
    """A button that makes a paper; then what was made, or why it was not."""
    key = f"essay_bench-make-{'-'.join(map(str, name)) if isinstance(name, tuple) else name}"
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


def _ask(name: Hashable) -> None:
    st.session_state[_ASKED] = name


def _offer(paper: Paper, key: str) -> None:
    told = "".join(f"<li>{plain(one)}</li>" for one in paper.told)
    if told:
        st.html(f'<ul class="k-list">{told}</ul>')
    st.download_button(
        f"Keep {paper.name}", paper.content, paper.name, paper.media_type, key=key, on_click="ignore"
    )
