"""Loose ends: what is not settled, first what would change most, with what would settle it."""

from __future__ import annotations

import streamlit as st

from app.address import as_of, part
from app.daybook import desk
from app.drawing import loose
from app.drawing.words import notice, plain
from kg.asking.loose import loose_page

_NOTHING = """<p>Nothing in the daybook is open as far as it can be told: no claims that contradict each other,
no piece without a maker or date, no source that nobody has read.</p>"""

_WHAT = """<p>What one act would settle is one loose end. First comes what bears on most datings and sentences in print.
</p>"""


def screen() -> None:
    """The whole screen."""
    st.title("Loose ends")
    with st.spinner("Looking for what is not settled"):
        standpoint = desk().standpoint(as_of())
        with standpoint.lock:
            page = loose_page(standpoint, part("kind"), part("page"))
    if not page.count:
        st.html(notice("No loose ends", _NOTHING))
        return
    st.html(_WHAT + loose.kinds(page))
    st.html(
        f'<section class="k-sec" aria-label="Loose ends"><h2>{plain(page.heading)}</h2>'
        f"{''.join(map(loose.end, page.ends))}{loose.turning(page)}</section>"
    )
