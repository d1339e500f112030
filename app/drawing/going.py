"""Links that are followed inside the open desk, so that the next screen comes at once and drafts are kept.

The links are plain addresses: without this they work too, by loading the page anew.
"""

from __future__ import annotations

from uuid import uuid4

import streamlit as st

#: Goes to an address as the Back button does: the address changes once, and the desk is told. A link that names no day
#: keeps the past day that is shown, unless it says that it leads to today. ``data`` holds an address to go to at once.
_SCRIPT = """
function go(to) {
  if (to.href !== window.location.href) window.history.pushState({}, "", to.pathname + to.search);
  window.dispatchEvent(new PopStateEvent("popstate"));
  const main = document.querySelector('[data-testid="stMain"]');
  if (main) main.scrollTop = 0;
}
function follow(event) {
  const isPlain = !(event.button || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey);
  if (event.defaultPrevented || !isPlain) return;
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!link || (link.target && link.target !== "_self") || link.hasAttribute("download")) return;
  const to = new URL(link.href, window.location.href);
  if (to.origin !== window.location.origin || to.hash) return;
  const day = new URLSearchParams(window.location.search).get("as-of");
  if (day && !to.searchParams.has("as-of") && !link.classList.contains("k-today")) to.searchParams.set("as-of", day);
  event.preventDefault();
  event.stopPropagation();
  go(to);
  const side = link.closest('[data-testid="stSidebar"]');
  const close = side && window.innerWidth < 768 && side.querySelector('[data-testid="stSidebarCollapseButton"] button');
  if (close) close.click();
}
export default function ({ data }) {
  if (!window.kFollows) {
    window.kFollows = {};
    document.addEventListener("click", follow, true);
  }
  if (data && data.turn !== window.kFollows.turn) {
    window.kFollows.turn = data.turn;
    go(new URL(data.to, window.location.href));
  }
}
"""

_WHERE, _TURN = "going to", "turns gone"


def follow_links() -> None:
    """Let the links of this screen be followed inside the open desk, and go where `go_to` said."""
    to = st.session_state.pop(_WHERE, None)
    data = {"to": to, "turn": st.session_state[_TURN]} if to else None
    st.components.v2.component("follow_links", js=_SCRIPT)(data=data, height=1, key="k-going")
    if to:
        st.stop()  # the next screen is on its way; this one need not be drawn once more


def go_to(to: str) -> None:
    """Go to an `app.address.address` at the next run: for a callback, where a link would do for the reader."""
    st.session_state[_WHERE] = to
    st.session_state[_TURN] = f"{uuid4()}"
