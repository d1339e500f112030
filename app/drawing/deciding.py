"""A note that is tried on the screen and recorded by one button: what it would change, who signs, the record."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from app.address import as_of
from app.daybook import desk
from app.drawing import effects, record
from app.drawing.recording import attempt, failed
from app.drawing.words import refusal
from app.sign_in import at_the_desk, signature
from kg.asking.recording import Trial, record_note, try_note
from kg.asking.roles import UNSIGNED
from kg.asking.standpoint import Standpoint
from kg.daybook.daybook import Note
from kg.daybook.record import Entry
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError

#: Makes the note from the daybook as it stands and the name that signs.
Make = Callable[[WorkingView, str], Note]


def decide(
    screen: str, label: str, make: Make, then: Callable[[], None], *, shows_lines: bool = True
) -> None:
    """Draw what a note would change, and the button that records it; ``then`` clears the form afterwards."""
    failed(screen)
    tried = tried_out(desk().standpoint(), make)
    if tried is None:
        return
    if shows_lines:
        st.html(record.titled("To be recorded", effects.lines(tried.lines)))
    st.html(effects.trial(tried))
    is_signed = signature()

    def press() -> None:
        colleague = at_the_desk()

        def work() -> Entry:
            note = make(desk().standpoint().view, colleague.name)
            return record_note(desk(), colleague, note, as_of())

        if attempt(screen, work):
            then()

    st.button(
        label,
        key=f"{screen}-record",
        type="primary",
        disabled=not is_signed or tried.effect.is_refused,
        on_click=press,
    )


def tried_out(standpoint: Standpoint, make: Make) -> Trial | None:
    """A note tried, kept for this state of the daybook; what is wrong with it is told."""
    try:
        note = make(standpoint.view, at_the_desk().name or UNSIGNED)
        with st.spinner("Looking at what it would change"):
            return standpoint.kept(("tried", note), lambda: try_note(desk(), note))
    except KilnmarkError as error:
        st.html(refusal("Not ready to be recorded", error))
        return None
