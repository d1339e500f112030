"""What lies round a thing, drawn on its own page when the reader asks for it."""

from __future__ import annotations

import streamlit as st

from app.address import address
from app.drawing import network
from app.drawing.words import link, notice, plain
from kg.asking.standpoint import Standpoint
from kg.asking.threads import Sought, threads_page


def show(slug: str, standpoint: Standpoint) -> None:
    """The picture of what claims join to the thing, behind a switch, since it weighs them all."""
    if not st.toggle("Draw what lies round it", key=f"threads-round-{slug}"):
        return
    picture = threads_page(standpoint, Sought(begin=slug)).picture
    if picture is None or not picture.lines:
        st.html(notice("Nothing lies round it", "<p>No claim joins it to another thing.</p>"))
        return
    network.show_with_list(picture, f"threads-round-picture-{slug}")
    further = link(
        address("threads", **{"from": slug, "steps": "2"}), plain("Two steps round it, in Threads")
    )
    st.html(f"<p>{further}</p>")
