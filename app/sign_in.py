"""Who is at the desk: by sign-in where it is set up, else by the name that is asked for once and kept."""

from __future__ import annotations

import os
from pathlib import Path

import streamlit as st

from app.address import as_of
from app.drawing.words import notice, plain, refusal
from kg.asking.recording import require_today
from kg.asking.roles import Act, Colleague, Colleagues, keep_name, kept_name, signing
from kg.errors import KilnmarkError

#: Names the file in which the name that signs is kept on this machine; the command `kilnmark desk` sets it.
VARIABLE = "KILNMARK_SIGNER_FILE"

#: Names the file of the colleagues' roles; the command sets it where sign-in is set up, and only there.
COLLEAGUES = "KILNMARK_COLLEAGUES"

_NAME, _TYPED = "signs", "sign-name"

#: Keeps the address that was asked for while the reader is away at the sign-in, and goes back to it.
_KEEP = """
export default function ({ data }) {
  const key = "k-asked-for", here = window.location.pathname + window.location.search;
  if (data.away) { if (here !== "/") window.sessionStorage.setItem(key, here); return; }
  const to = window.sessionStorage.getItem(key);
  window.sessionStorage.removeItem(key);
  if (to && to.startsWith("/") && !to.startsWith("//") && to !== here) {
    window.history.pushState({}, "", to);
    window.dispatchEvent(new PopStateEvent("popstate"));
  }
}
"""


def is_set_up() -> bool:
    """Whether colleagues sign in to this desk."""
    return bool(os.environ.get(COLLEAGUES))


def gate() -> bool:
    """Whether the screens may be seen: by all where there is no sign-in, else by who has signed in."""
    if not is_set_up():
        return True
    if not st.user.get("is_logged_in", False):
        st.title("Kilnmark")
        st.html(notice("Sign in to see this daybook", "<p>You are then led to what you asked for.</p>"))
        st.button("Sign in", key="sign-in", type="primary", on_click=st.login)
        st.components.v2.component("keep_address", js=_KEEP)(data={"away": True}, height=1, key="k-keep")
        return False
    try:
        colleague = at_the_desk()
    except KilnmarkError as error:
        st.html(refusal("Nobody can be let in", error))
        st.button("Sign out", key="sign-out", on_click=st.logout, type="tertiary")
        return False
    with st.container(horizontal=True, vertical_alignment="center", key="k-signed-in"):
        st.html(f"<p class=k-small>{plain(colleague.name)}, {plain(colleague.role.word)}</p>")
        st.button("Sign out", key="sign-out", on_click=st.logout, type="tertiary")
        st.components.v2.component("keep_address", js=_KEEP)(data={"away": False}, height=1, key="k-keep")
    return True


def at_the_desk() -> Colleague:
    """Whoever is at the desk; without a name yet where none was given.

    :raises kg.asking.roles.BadColleagues: if the file of the colleagues cannot be used any more.
    """
    if is_set_up():
        return Colleagues.read(Path(os.environ[COLLEAGUES])).by_claims(st.user.to_dict())
    if _NAME not in st.session_state:
        st.session_state[_NAME] = kept_name(_file())
    return Colleague(st.session_state[_NAME])


def admitted(act: Act) -> bool:
    """Whether whoever is at the desk may do this now; else it is told, with the way on."""
    try:
        require_today(as_of())
        at_the_desk().require([act])
    except KilnmarkError as error:
        st.html(refusal("Nothing can be recorded here", error))
        return False
    return True


def signature() -> bool:
    """Who signs, drawn beside what is recorded; asks for the name where there is none. Whether somebody signs."""
    colleague = at_the_desk()
    if colleague.name:
        with st.container(horizontal=True, vertical_alignment="center", key="k-signs"):
            st.html(
                f"<p>Signed by <strong>{plain(colleague.name)}</strong>, {plain(colleague.role.word)}.</p>"
            )
            if not is_set_up():
                st.button("Sign with another name", key="sign-other", on_click=_ask_anew, type="tertiary")
        return True
    st.text_input(
        "Your name, as your entries are to bear it", key=_TYPED, max_chars=200, on_change=_named, width=420
    )
    if fault := st.session_state.pop("sign fault", None):
        st.html(notice("No name yet", f"<p>{plain(fault)}</p>", "k-cannot"))
    return False


def _named() -> None:
    try:
        name = signing(st.session_state[_TYPED])
        keep_name(_file(), name)
    except KilnmarkError as error:
        st.session_state["sign fault"] = str(error)
        return
    st.session_state[_NAME] = name


def _ask_anew() -> None:
    st.session_state[_NAME] = ""


def _file() -> Path | None:
    named = os.environ.get(VARIABLE)
    return Path(named) if named else None
