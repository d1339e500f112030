"""What came of recording: the entry with its claims, or why nothing was recorded."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from app.address import as_of
from app.daybook import desk
from app.drawing import record
from app.drawing.words import notice, plain, refusal
from app.sign_in import at_the_desk
from kg.asking.recording import Recorded, recorded, undo_entry
from kg.asking.roles import Act
from kg.daybook.record import Entry
from kg.errors import KilnmarkError


def attempt(screen: str, work: Callable[[], Entry | None]) -> bool:
    """Record something, and keep what came of it for the next time that the screen is drawn."""
    st.session_state.pop(_failed(screen), None)
    try:
        entry = work()
    except KilnmarkError as error:
        st.session_state[_failed(screen)] = error
        return False
    if entry is not None:
        st.session_state[_done(screen)] = entry.name
    return True


def done(screen: str) -> None:
    """The entry that was recorded last, told once."""
    name = st.session_state.pop(_done(screen), None)
    if name is None:
        return
    told = recorded(desk().standpoint(), name)
    st.html(notice(told.headline, _body(told)))
    if at_the_desk().may(Act.UNDO):
        st.button("Undo it by a further entry", key=f"{screen}-undo", on_click=_undo, args=(screen, name))


def _undo(screen: str, name: str) -> None:
    attempt(screen, lambda: undo_entry(desk(), at_the_desk(), name, "undone at once, at the desk", as_of()))


def failed(screen: str) -> None:
    """Why nothing was recorded at the last attempt, told once."""
    error = st.session_state.pop(_failed(screen), None)
    if error is not None:
        st.html(refusal("Nothing was recorded", error))


def _body(told: Recorded) -> str:
    more = f"<p>… and {plain(told.more)} more.</p>" if told.more else ""
    return record.sentences(told.rows) + more


def _done(screen: str) -> str:
    return f"{screen} done"


def _failed(screen: str) -> str:
    return f"{screen} failed"
