"""The screen *Threads*: the most trustworthy ways from one thing to another, what lies round one, and both in time."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from app.address import address, as_of, is_new, put
from app.daybook import desk
from app.drawing import along_the_years, network, record
from app.drawing.words import link, notice, parts, plain
from kg.asking.standpoint import Standpoint
from kg.asking.threads import (
    FARTHEST,
    LEAST,
    Joint,
    Sought,
    ThreadsPage,
    Told,
    families_to_choose,
    things_to_choose,
    threads_page,
)

#: Where what was sought last is kept, for who comes back without an address.
_LAST = "threads last sought"


def screen() -> None:
    """The whole screen."""
    standpoint = desk().standpoint(as_of())
    st.title("Threads")
    if not things_to_choose(standpoint):
        st.html(notice("The daybook is empty", _HOW_TO_BEGIN))
        return
    sought = _sought()
    _form(standpoint, sought)
    if sought.is_nothing:
        st.html(notice("Nothing is chosen yet", _WHAT_TO_CHOOSE))
        return
    with st.spinner("Weighing the claims and following them …", show_time=False):
        page = threads_page(standpoint, sought)
    _show(page)


_HOW_TO_BEGIN = """<p>It holds nothing that a thread could join. See what a note looks like, write one and add it:</p>
<pre>kilnmark add --example
kilnmark add NOTE.toml</pre>"""

_WHAT_TO_CHOOSE = """<p>Choose two things to see how the record joins them, each step with its source; or one alone to
see what lies round it. Or draw all makers, registrations or pieces along the years.</p>"""


def _sought() -> Sought:
    """What the address asks for; without one, what was sought last."""
    sought = Sought.from_parts(dict(st.query_params.items()))
    if is_new() and sought.is_nothing and isinstance(st.session_state.get(_LAST), Sought):
        sought = st.session_state[_LAST]
        put(**sought.to_parts())
    st.session_state[_LAST] = sought
    return sought


def _form(standpoint: Standpoint, sought: Sought) -> None:
    """The fields, filled in as the address says; each change is a new address."""
    texts = {choice.slug: choice.text for choice in things_to_choose(standpoint)}
    state = st.session_state
    state["threads-from"] = sought.begin if sought.begin in texts else None
    state["threads-to"] = sought.end if sought.end in texts else None
    left, right = st.columns(2)
    with left:
        _thing("From", "threads-from", texts, "Type part of a name")
    with right:
        _thing("To", "threads-to", texts, "Leave it empty to see what lies round the one")
    with st.expander("What to pass through, how far, and more along the years"):
        _narrowing(sought)
        _along(sought, texts)


def _thing(label: str, key: str, texts: dict[str, str], placeholder: str) -> None:
    st.selectbox(
        label,
        list(texts),
        format_func=texts.__getitem__,
        index=None,
        key=key,
        placeholder=placeholder,
        on_change=_changed,
    )


def _narrowing(sought: Sought) -> None:
    state = st.session_state
    families = {family.name: family for family in families_to_choose()}
    state["threads-without"] = [name for name in families if name in sought.without]
    state["threads-least"] = sought.least
    state["threads-steps"] = sought.steps
    state["threads-shared"] = sought.is_sharing
    one, two, three = st.columns([3, 3, 2])
    one.multiselect(
        "Leave out",
        list(families),
        format_func=lambda name: f"{families[name].sign} {families[name].label}",
        key="threads-without",
        placeholder="Nothing is left out",
        on_change=_changed,
    )
    two.selectbox(
        "No claim below",
        list(LEAST),
        format_func=lambda name: LEAST[name].value,
        index=None,
        key="threads-least",
        placeholder="Any standing, doubted ones too",
        on_change=_changed,
    )
    three.segmented_control(
        "Steps round one thing", range(1, FARTHEST + 1), key="threads-steps", on_change=_changed
    )
    st.toggle(
        "Threads may lead over what very many things share: places, materials, features",
        key="threads-shared",
        on_change=_changed,
    )


def _along(sought: Sought, texts: dict[str, str]) -> None:
    state = st.session_state
    families = {family.name: family for family in families_to_choose()}
    state["threads-beside"] = [slug for slug in sought.beside if slug in texts]
    state["threads-all"] = sought.every
    left, right = st.columns(2)
    left.multiselect(
        "Also along the years",
        list(texts),
        format_func=texts.__getitem__,
        key="threads-beside",
        placeholder="Type part of a name",
        on_change=_changed,
    )
    right.selectbox(
        "Along the years, all",
        list(families),
        format_func=lambda name: families[name].label,
        index=None,
        key="threads-all",
        placeholder="Makers, registrations, pieces …",
        on_change=_changed,
    )


def _changed() -> None:
    """Take what the fields say into the address."""
    state = st.session_state
    before: Sought = state.get(_LAST, Sought())
    same_ends = (before.begin, before.end) == (state["threads-from"], state["threads-to"])
    sought = replace(
        before,
        begin=state["threads-from"],
        end=state["threads-to"],
        without=frozenset(state["threads-without"]),
        least=state["threads-least"],
        steps=state["threads-steps"] or before.steps,
        is_sharing=state["threads-shared"],
        beside=tuple(state["threads-beside"]),
        every=state["threads-all"],
        years=before.years if same_ends else None,
        explained=before.explained if same_ends else None,
        is_joined=before.is_joined and same_ends,
    )
    _go(sought)


def _go(sought: Sought) -> None:
    st.session_state[_LAST] = sought
    put(**sought.to_parts())


def _show(page: ThreadsPage) -> None:
    if page.title:
        st.set_page_config(page_title=f"{page.title} – Kilnmark")
        st.html(_head(page))
    if page.advice:
        st.html(notice("No thread was found", f"<p>{plain(page.advice)}</p>"))
    if page.sought.is_joined and page.begin and page.end:
        _joined(page)
        return
    if page.threads:
        st.html("".join(map(_thread, page.threads)))
    _picture(page)
    if page.timeline is not None:
        st.header("The same along the years" if page.picture else "Along the years")
        st.html(along_the_years.with_reasons(page.timeline, "The things along the years", _explaining(page)))
    elif page.sought.beside or page.sought.every:
        st.html(
            notice("Nothing to draw along the years", "<p>The record bounds the time of none of these.</p>")
        )


def _head(page: ThreadsPage) -> str:
    if page.begin and page.end:
        word = "What joins {} and {}" if page.sought.is_joined else "From {} to {}"
        return f'<div class="k-found"><h2>{word.format(parts([page.begin]), parts([page.end]))}</h2></div>'
    return f'<div class="k-found"><h2>Round {parts([page.begin])}</h2></div>' if page.begin else ""


def _joined(page: ThreadsPage) -> None:
    if not page.joined:
        st.html(
            notice("No claim joins the two directly", f"<p>{_ways(page, 'See the threads between them')}</p>")
        )
        return
    more = page.joined_count - len(page.joined)
    st.html(record.sentences(page.joined) + (f'<p class="k-small">{more} more.</p>' if more else ""))
    st.html(f"<p>{_ways(page, 'See the threads between them')}</p>")


def _ways(page: ThreadsPage, said: str) -> str:
    return link(address("threads", **replace(page.sought, is_joined=False).to_parts()), plain(said))


def _thread(told: Told) -> str:
    steps = "".join(_joint(joint, number) for number, joint in enumerate(told.joints, start=1))
    way = " → ".join(parts([one]) for one in told.way)
    return (
        f'<section class="k-thread"><h3>{plain(told.number)}. {way}</h3>'
        f'<p class="k-small">{plain(told.headline)}</p>{steps}</section>'
    )


def _joint(joint: Joint, number: int) -> str:
    others = ""
    if joint.others:
        more = f'<p class="k-small">{joint.more_others} more.</p>' if joint.more_others else ""
        count = len(joint.others) + joint.more_others
        word = "claim joins" if count == 1 else "claims join"
        others = (
            f'<details class="k-as-table"><summary>{count} more {word} them</summary>'
            f"{record.sentences(joint.others)}{more}</details>"
        )
    return (
        f'<div class="k-joint"><span class="k-number">{number}</span><div>'
        f'{record.sentences([joint.claim])}<div class="k-rule">{plain(joint.standing)}</div>{others}</div></div>'
    )


def _picture(page: ThreadsPage) -> None:
    if page.picture is None:
        return
    if not page.picture.lines:
        st.html(
            notice("Nothing lies round it", "<p>No claim joins it to another thing in the way asked for.</p>")
        )
        return
    st.header("The picture")
    if page.range:
        _years(page.range, page.sought)
    network.show_with_list(page.picture, "threads-network", page.faded)


def _years(whole: tuple[int, int], sought: Sought) -> None:
    """The years that are looked at; what lies outside is faded."""
    given = sought.years or whole
    st.session_state["threads-years"] = tuple(min(max(year, whole[0]), whole[1]) for year in given)
    st.slider(
        "Fade what lies outside these years",
        whole[0],
        whole[1],
        key="threads-years",
        on_change=_years_changed,
        args=(whole,),
    )


def _years_changed(whole: tuple[int, int]) -> None:
    first, last = st.session_state["threads-years"]
    before: Sought = st.session_state.get(_LAST, Sought())
    _go(replace(before, years=None if (first, last) == whole else (first, last)))


def _explaining(page: ThreadsPage) -> dict[str, str]:
    """For each thing along the years, the address that explains its limits."""
    if page.timeline is None:
        return {}
    things = {bar.thing for bar in page.timeline.bars if bar.thing}
    return {slug: address("threads", **replace(page.sought, explained=slug).to_parts()) for slug in things}
