"""What came of recording: the entry with its claims, or why nothing was recorded."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from app.daybook import desk
from app.drawing import record
from app.drawing.words import notice, plain, refusal
from kg.asking.recording import Recorded, recorded
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


def failed(screen: str) -> None:
    """Why nothing was recorded at the last attempt, told once."""
    error = st.session_state.pop(_failed(screen), None)
    if error is not None:
        st.html(refusal("Nothing was recorded", error))


def _body(told: Recorded) -> str:
    more = f"<p>… and {plain(told.more)} more.</p>" if told.more else ""
    undo = f"<p class=k-small>It can be undone by a further entry: <code>kilnmark undo {plain(told.entry)}</code></p>"
    return record.sentences(told.rows) + more + undo


def _done(screen: str) -> str:
    return f"{screen} done"


def _failed(screen: str) -> str:
    return f"{screen} failed"
