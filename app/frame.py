"""The frame round every screen: which screens there are, the way about, the search, the day."""

from __future__ import annotations

import html
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from importlib import import_module
from pathlib import Path
from urllib.parse import quote, urlencode

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from app.address import AS_OF, address, as_of, part, show_as_of
from app.daybook import desk
from app.drawing.going import follow_links, go_to
from app.drawing.words import link, notice, plain, refusal
from kg.asking.day import NoPastDay, past_day
from kg.asking.found import find
from kg.errors import KilnmarkError

SCREENS = Path(__file__).resolve().parent / "screens"

#: The screens that are listed at the top, in the order of a day's work; those whose module is not there are left out.
LISTED = {
    "today": "Today",
    "fit_a_date": "Fit a date",
    "whose_is_it": "Whose is it?",
    "threads": "Threads",
    "sources_weighed": "Sources weighed",
    "essay_bench": "Essay bench",
    "take_in": "Take in",
    "loose_ends": "Loose ends",
}

#: Names of the screens that links lead to; another module is named after itself.
UNLISTED = {
    "thing": "On record",
    "claim": "Claim",
    "find": "Find",
    "add": "Add a finding",
    "judge": "Judge a claim",
    "join": "One or two?",
    "question": "Question",
}


@dataclass(frozen=True, slots=True)
class Screen:
    """A module of app/screens, with its title and whether it is listed at the top."""

    module: str
    title: str
    is_listed: bool

    @property
    def path(self) -> str:
        """Its place in the address."""
        return self.module.replace("_", "-")


def screens() -> list[Screen]:
    """The screens that there are: the listed ones in their order, then the others by name."""
    present = sorted(file.stem for file in SCREENS.glob("[!_]*.py"))
    listed = [Screen(name, title, True) for name, title in LISTED.items() if name in present]
    others = [name for name in present if name not in LISTED]
    return listed + [
        Screen(name, UNLISTED.get(name, name.replace("_", " ").capitalize()), False) for name in others
    ]


def present() -> frozenset[str]:
    """The modules of the screens that there are, for who would lead to one."""
    return frozenset(screen.module for screen in screens())


def ways_on(ways: Iterable[tuple[bool, str, dict[str, str], str]]) -> str:
    """Links to what can be done next: whether it applies, the screen, the parts of its address, our own words."""
    there = present()
    offered = [link(address(name, **at), said) for holds, name, at, said in ways if holds and name in there]
    return f'<nav class="k-ways" aria-label="From here">{"".join(offered)}</nav>' if offered else ""


def pages() -> dict[str, StreamlitPage]:
    """A page for each screen by its module's name; the first listed screen is the one that the desk opens with."""
    found = screens()
    made = {
        screen.module: st.Page(
            partial(_shown, screen.module),
            title=screen.title,
            url_path=screen.path,
            default=screen.module == "today",
            visibility="visible" if screen.is_listed else "hidden",
        )
        for screen in found
    }
    if "today" not in made:
        first = partial(_shown, found[0].module)
        made = {"": st.Page(first, title=found[0].title, default=True, visibility="hidden"), **made}
    return made


def _shown(module: str) -> None:
    """Draw a screen; what goes wrong in the specialist's sense is told in its place."""
    st.session_state["screen now"] = module
    try:
        import_module(f"app.screens.{module}").screen()
    except KilnmarkError as error:
        st.html(refusal("This cannot be shown", error))


def head() -> bool:
    """The head of every screen: search, day, and what is wrong with the daybook; False where there is no daybook."""
    follow_links()
    _take_day()
    try:
        standpoint = desk().standpoint(as_of())
    except KilnmarkError as error:
        st.html(refusal("There is no daybook to ask", error))
        return False
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small", key="k-head"):
        _search()
        _day_box()
    _band()
    if standpoint.damaged:
        named = ", ".join(standpoint.damaged)
        st.html(
            notice(
                "Some entries cannot be read and are left out",
                f"<p>{plain(named)}</p><p>Run kilnmark verify.</p>",
            )
        )
    return True


def _take_day() -> None:
    """Show the day that the address names; a day that cannot be read is told, and today is shown."""
    show_as_of(None)
    try:
        show_as_of(past_day(part(AS_OF)))
    except NoPastDay as error:
        st.html(refusal("Today is shown", error))


def _search() -> None:
    st.text_input(
        "Find",
        key="k-words",
        on_change=_sought,
        placeholder="A name, number, mark or claim id, then Enter",
        max_chars=200,
    )


def _sought() -> None:
    words = " ".join(st.session_state["k-words"].split())
    st.session_state["k-words"] = ""
    if words:
        go_to(_where_to(words))


def _where_to(words: str) -> str:
    """The page of the one thing or claim that is meant beyond doubt, or else all that answers."""
    show_as_of(None)
    with suppress(NoPastDay):
        show_as_of(past_day(part(AS_OF)))
    standpoint = desk().standpoint(as_of())
    with standpoint.lock:
        found = find(standpoint, words)
    if found.claim is not None:
        return address("claim", id=found.claim)
    if found.straight is None:
        return address("find", words=words)
    others = {"words": words} if found.count > 1 else {}
    return address("thing", id=found.straight, **others)


def _day_box() -> None:
    today = datetime.now(UTC).date()
    st.session_state["k-day"] = as_of()
    st.date_input(
        "As it stood on",
        key="k-day",
        value=None,
        min_value=date(1900, 1, 1),
        max_value=today,
        format="YYYY-MM-DD",
        on_change=_day_chosen,
        width=190,
    )


def _day_chosen() -> None:
    day = st.session_state["k-day"]
    if day is None or day >= datetime.now(UTC).date():
        st.query_params.pop(AS_OF, None)
    else:
        st.query_params[AS_OF] = day.isoformat()


def _address_of_today() -> str:
    """The present address without the past day, ready to stand in markup."""
    kept = {name: text for name, text in st.query_params.items() if name != AS_OF}
    return html.escape("?" + urlencode(kept, quote_via=quote))


def _band() -> None:
    """The band that marks a past day, and the way back to today."""
    day = as_of()
    if day is None:
        return
    st.html(
        f'<div class="k-band" role="status"><strong>As the daybook stood on {plain(day.isoformat())}.</strong> '
        "Later entries are left out, and nothing can be added. "
        f'<a class="k-go k-today" href="{_address_of_today()}">Back to today</a></div>'
    )
