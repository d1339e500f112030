"""The address of a screen: what is shown, and as of which day, so that it can be kept, sent and gone back to."""

from __future__ import annotations

from contextvars import ContextVar
from datetime import date
from urllib.parse import quote, urlencode

import streamlit as st

#: The part of an address that names a past day.
AS_OF = "as-of"

#: The screen that the desk opens with: it has no name in the address.
FIRST = "today"

_day: ContextVar[date | None] = ContextVar("day", default=None)


def as_of() -> date | None:
    """The past day that the screens show; None is today. The frame sets it before a screen is drawn."""
    return _day.get()


def show_as_of(day: date | None) -> None:
    """Show that day from here on in this run; the frame alone calls it."""
    _day.set(day)


def parts_with_day(parts: dict[str, str]) -> dict[str, str]:
    """The parts of an address together with the past day, where one is shown."""
    day = as_of()
    return {**parts, **({AS_OF: day.isoformat()} if day else {})}


def address(screen: str, **parts: str) -> str:
    """The relative address of a screen (its module's name) with its parts, keeping the past day.

    >>> address("fit_a_date", subject="head & hair")
    'fit-a-date?subject=head%20%26%20hair'
    >>> address("today")
    './'
    """
    path = "./" if screen == FIRST else screen.replace("_", "-")
    found = parts_with_day(parts)
    return f"{path}?{urlencode(found, quote_via=quote)}" if found else path


def part(name: str) -> str:
    """A part of the present address; empty where it is missing."""
    return st.query_params.get(name, "")


def put(**parts: str | None) -> None:
    """Make the present address say this, keeping the past day; parts that are None are left out."""
    st.query_params.from_dict(
        parts_with_day({name: text for name, text in parts.items() if text is not None})
    )
    st.session_state["address now"] = _present()


def is_new() -> bool:
    """Whether the reader came to the present address (by a link, the Back button, a bookmark) since the last look.

    A screen that keeps what was asked takes it from the address then, and else from what it keeps.
    """
    present = _present()
    changed = st.session_state.get("address now") != present
    st.session_state["address now"] = present
    return changed


def _present() -> tuple[str, tuple[tuple[str, str], ...]]:
    return st.session_state.get("screen now", ""), tuple(sorted(st.query_params.items()))
