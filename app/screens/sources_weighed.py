"""Sources weighed: how many witnesses a claim has and through whom, and what falls if a source falls."""

from __future__ import annotations

import streamlit as st

from app.address import address, as_of, part
from app.daybook import desk
from app.drawing import lineage, record, weighed
from app.drawing.going import go_to
from app.drawing.words import link, notice, plain, refusal
from kg.asking.bearing import most_bearing
from kg.asking.lineage import Lineage
from kg.asking.standpoint import Standpoint
from kg.asking.weighed import WeighedPage, sources_to_choose, weighed_page
from kg.errors import KilnmarkError

_NOTHING = """<p>No claim is recorded yet, so there is no source to weigh. Add a finding with its source first.</p>"""

_WHAT = """<p>A claim repeated by five books that all follow one has one witness. Choose a source or a claim;
or begin with the sources that bear most: with these, most other claims would fall or lose
their first-hand evidence.</p>"""


def screen() -> None:
    """The whole screen."""
    st.title("Sources weighed")
    standpoint = desk().standpoint(as_of())
    name = part("id")
    _choose(standpoint, name)
    with st.spinner("Weighing the sources"), standpoint.lock:
        try:
            page = weighed_page(standpoint, name) if name else None
        except KilnmarkError as error:
            st.html(refusal("This cannot be weighed", error))
            page = None
        bearing = () if page else most_bearing(standpoint)
    if page is not None:
        _page(page)
    elif bearing:
        st.html(_WHAT + record.titled("The sources that bear most", weighed.table(bearing)))
    else:
        st.html(notice("Nothing to weigh", _NOTHING))


def _choose(standpoint: Standpoint, name: str) -> None:
    """The list of sources, and the box for a claim's id."""
    texts = {choice.slug: choice.text for choice in sources_to_choose(standpoint)}
    st.session_state["sources_weighed source"] = name if name in texts else None
    st.session_state["sources_weighed claim"] = name if name in standpoint.view.claims else ""
    left, right = st.columns([3, 2])
    left.selectbox(
        "Source",
        list(texts),
        format_func=texts.__getitem__,
        index=None,
        key="sources_weighed source",
        placeholder="Type part of its name",
        on_change=_chosen,
        args=("sources_weighed source",),
    )
    right.text_input(
        "Or a claim's id",
        key="sources_weighed claim",
        max_chars=40,
        placeholder="It stands beside every claim",
        on_change=_chosen,
        args=("sources_weighed claim",),
    )


def _chosen(key: str) -> None:
    name = (st.session_state[key] or "").strip()
    go_to(address("sources_weighed", **({"id": name} if name else {})))


def _page(page: WeighedPage) -> None:
    every = link(address("sources_weighed"), "The sources that bear most")
    st.html(f'{weighed.head(page)}<nav class="k-ways" aria-label="From here">{every}</nav>')
    if page.lineage is not None:
        st.html(record.titled("Who has it from whom", _picture(page.lineage, page.left_out)))
    st.html(
        record.titled("Routes that share no source", weighed.routes(page))
        + record.titled("Sources that follow each other in a circle", weighed.circles(page))
        + record.titled("What falls", "".join(map(weighed.falling, page.falls)))
        + weighed.said(page.said)
        + record.titled("In print, resting on it", weighed.in_print(page.in_print))
    )


def _picture(given: Lineage, left_out: str | None) -> str:
    more = f'<p class="k-small">{plain(left_out)}</p>' if left_out else ""
    picture = lineage.drawn(given, "From left to right: where it begins, who took it over, who says it.")
    return f"{picture}{more}{lineage.listed(given)}"
