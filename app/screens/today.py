"""Today: what was added lately and what came of it, what lost its footing, what to look at first, the ways on."""

from __future__ import annotations

import streamlit as st

from app.address import address, as_of, part
from app.daybook import desk
from app.drawing import lately as drawn
from app.drawing import loose, record
from app.drawing.words import link, notice, plain
from app.frame import ways_on
from kg.asking.today import brought, lately

_EMPTY = """<p>It holds no entry yet. Add a finding of your own or take in a table, with the links above;
or look at the invented trade of the demo:</p><pre>kilnmark demo</pre>"""


def screen() -> None:
    """The whole screen."""
    standpoint = desk().standpoint(as_of())
    page = lately(standpoint, part("back"))
    st.html(
        f'<div class="k-thing"><h1>Today</h1><p class="k-asked">{plain(page.title)}: {plain(page.holds)}</p></div>'
    )
    st.html(
        ways_on(
            [
                (True, "fit_a_date", {}, "Fit a date"),
                (as_of() is None, "add", {}, "Add a finding"),
                (as_of() is None, "take_in", {}, "Take in"),
            ]
        )
    )
    if page.is_empty:
        st.html(notice("The daybook is empty", _EMPTY))
        return
    st.html(
        f'<section class="k-sec"><h2>Added lately</h2>{drawn.stretches(page)}<p>{plain(page.heading)}</p>'
        f"{drawn.sittings(page)}</section>"
    )
    with st.spinner("Looking at what came of it"), standpoint.lock:
        found = brought(desk(), standpoint, page.since)
    open_ends = "".join(map(loose.end, found.ends))
    every = link(address("loose_ends"), f"All {found.end_count} loose ends")
    st.html(
        record.titled("What contradicts", drawn.conflicts(found))
        + record.titled("Datings that stand otherwise than then", drawn.turned(found))
        + record.titled("Printed or written, and no longer founded", drawn.unfounded(found))
        + record.titled("Loose ends that matter most", f"{open_ends}<p>{every}</p>" if open_ends else "")
    )
