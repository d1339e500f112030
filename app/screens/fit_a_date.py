"""The screen *Fit a date*: a piece, part or maker, a date as a catalogue prints it, and whether they fit."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from app.address import as_of, is_new, put
from app.daybook import desk
from app.drawing import along_the_years, network, reasons, verdicts
from app.drawing.words import claim, notice, refusal
from kg.asking import Answer, Asking, Bound, Choice, Stock, date_conventions
from kg.errors import KilnmarkError

#: Where the question last asked, and the claims set aside in it, are kept between runs.
ASKED, ASIDE = "asked", "aside"


def screen() -> None:
    """The whole screen."""
    st.session_state["drawn"] = set()
    st.title("Fit a date")
    stock = desk().stock(as_of())
    if not stock.subjects:
        st.html(notice("The daybook is empty", _HOW_TO_BEGIN))
        return
    asked = ask_for(stock)
    if asked is None:
        st.html(notice("Nothing is asked yet", _WHAT_TO_ASK))
        return
    answer_to(asked)


_HOW_TO_BEGIN = """<p>It holds no piece, part or maker that a date could be asked of.
See what a note looks like, write one and add it:</p><pre>kilnmark add --example
kilnmark add NOTE.toml</pre><p>Or look at the invented trade of the demo:</p><pre>kilnmark demo</pre>"""

_WHAT_TO_ASK = """<p>Choose a piece, part or maker and type a date as a catalogue prints it,
in English, French or German: about 1878; early 1870s; vers 1872; um 1890; last quarter of the 19th century;
before 1914.</p>"""


def ask_for(stock: Stock) -> Asking | None:
    """The form, filled in as it was last; the question last asked, if there is one."""
    if is_new() and st.query_params.get("subject"):
        _forget()
    asked: Asking | None = st.session_state.get(ASKED) or _from_address(stock)
    _fill_in(asked, stock)
    with st.form("question"):
        left, right = st.columns([3, 2])
        with left:
            _choose("Piece, part or maker", stock.subjects, "subject", "Type part of a name")
        right.text_input(
            "Date as the catalogue prints it", key="phrase", placeholder="about 1878", max_chars=300
        )
        with st.expander("More: a maker supposed, the date convention, the width of circa"):
            one, two, three = st.columns(3)
            with one:
                _choose("Suppose that it was made by", stock.makers, "maker", "Nobody supposed")
            two.selectbox("Date convention of the catalogue", date_conventions(), key="convention")
            three.number_input(
                "Circa, in years each way", 0, 100, key="circa", placeholder="As the convention says"
            )
        is_sent = st.form_submit_button("Test the date", type="primary")
    if is_sent:
        asked = _typed()
    st.session_state[ASKED] = asked
    return asked


def _forget() -> None:
    """Take the question from the address, not from what was asked before."""
    for key in (ASKED, ASIDE, *_ADDRESS):
        st.session_state.pop(key, None)


def _choose(label: str, choices: Sequence[Choice], key: str, placeholder: str) -> None:
    texts = {choice.slug: choice.text for choice in choices}
    st.selectbox(
        label, list(texts), format_func=texts.__getitem__, index=None, key=key, placeholder=placeholder
    )


def _typed() -> Asking | None:
    """The question as it stands in the form; the address of the page then says the same."""
    state = st.session_state
    if not state.subject or not state.phrase.strip():
        return None
    before: Asking | None = state.get(ASKED)
    if before is None or before.subject != state.subject:
        state[ASIDE] = frozenset()
    asked = Asking(state.subject, state.phrase.strip(), state.maker, state.convention, state.circa)
    put(**{key: str(getattr(asked, key)) for key in _ADDRESS if getattr(asked, key) is not None})
    return asked


#: The parts of a question that the address of the page carries.
_ADDRESS = ("subject", "phrase", "maker", "convention", "circa")


def _from_address(stock: Stock) -> Asking | None:
    """The question in the page's address; parts that the daybook does not know are passed over."""
    params = st.query_params
    subject, phrase = params.get("subject"), params.get("phrase", "").strip()
    if not phrase or subject is None or subject not in {choice.slug for choice in stock.subjects}:
        return None
    maker, convention, circa = params.get("maker"), params.get("convention"), params.get("circa", "")
    return Asking(
        subject,
        phrase[:300],
        maker if maker in {choice.slug for choice in stock.makers} else None,
        convention if convention in date_conventions() else None,
        min(int(circa), 100) if circa.isascii() and circa.isdigit() else None,
    )


def _fill_in(asked: Asking | None, stock: Stock) -> None:
    """Give each field of the form what was last asked, unless the reader has changed it since."""
    state = st.session_state
    given = asked or Asking(st.query_params.get("subject", ""), st.query_params.get("phrase", "")[:300])
    known = {choice.slug for choice in stock.subjects}
    state.setdefault("subject", given.subject if given.subject in known else None)
    for key, value in (
        ("phrase", given.phrase),
        ("maker", given.maker),
        ("convention", given.convention or date_conventions()[0]),
        ("circa", given.circa),
    ):
        state.setdefault(key, value)


def answer_to(asked: Asking) -> None:
    """The answer to a question, or why there is none."""
    aside: frozenset[str] = st.session_state.get(ASIDE, frozenset())
    question = Asking(asked.subject, asked.phrase, asked.maker, asked.convention, asked.circa, aside)
    try:
        answer = desk().ask(question, as_of())
    except KilnmarkError as error:
        st.html(refusal("No answer", error))
        return
    show(answer)


def show(answer: Answer) -> None:
    """The answer from its verdict down to the network of its claims."""
    st.html(verdicts.panel(answer))
    _left_out(answer.left_out)
    st.header("Along the years")
    st.html(along_the_years.drawn(answer.timeline))
    _excluding(answer)
    st.header("The claims that bind")
    for place, bound in zip(st.columns(2, gap="medium"), answer.bounds, strict=True):
        with place:
            _bound(bound)
    if answer.numbers:
        st.header("What would change the verdict")
        st.html(reasons.deciders(answer))
    told = answer.told
    _section("Strained, though not impossible", reasons.strains(told))
    _section("Each date that is left open, by itself", reasons.tried(told["alternatives"]))
    _section("Other datings on record, tested the same way", reasons.tried(told["datings"]))
    _section("Set aside by the daybook, because they clash", reasons.set_aside(told))
    _section("Caution", reasons.cautions(told))
    _network(answer)


def _excluding(answer: Answer) -> None:
    """Why the maker supposed is excluded whatever the date, where that is so."""
    if not answer.excluding:
        return
    st.header("Why this maker is excluded")
    st.html("<p>These cannot all be true:</p>")
    for number, told in answer.excluding:
        st.html(reasons.numbered(number, claim(told)))
        _switch(told, number)


def _bound(bound: Bound) -> None:
    with st.container(border=True):
        st.html(reasons.bound_head(bound))
        for link in bound.links:
            st.html(reasons.link(link))
            if link.told:
                _switch(link.told, link.number)


def _switch(told: Mapping[str, Any], number: int | None = None) -> None:
    """The what-if switch of a claim; a claim supposed for the question has none."""
    if told["standing"] == "supposed":
        return
    name = f"claim {number}" if number else f"claim {told['claim']}"
    key, ident = f"aside-{told['claim']}", told["claim"]
    if key in _drawn():
        return
    _drawn().add(key)
    st.session_state[key] = ident in st.session_state.get(ASIDE, frozenset())
    st.toggle(f"Set {name} aside", key=key, on_change=_turned(ident, key))


def _drawn() -> set[str]:
    """The switches that stand on the screen in this run: a claim that binds both sides has one."""
    found: set[str] = st.session_state.setdefault("drawn", set())
    return found


def _turned(ident: str, key: str) -> Callable[[], None]:
    def turn() -> None:
        aside: frozenset[str] = st.session_state.get(ASIDE, frozenset())
        st.session_state[ASIDE] = aside | {ident} if st.session_state[key] else aside - {ident}

    return turn


def _left_out(told: Sequence[Mapping[str, Any]]) -> None:
    if not told:
        return
    st.header("Set aside for this question")
    for one in told:
        st.html(f'<div class="k-item">{claim(one)}</div>')
        _switch(one)


def _section(title: str, markup: str) -> None:
    if markup:
        st.header(title)
        st.html(markup)


def _network(answer: Answer) -> None:
    picture = answer.picture
    if not picture.rows:
        return
    st.header("The network of these claims")
    network.show(picture, "fit-network")
    st.html(network.listed(picture))
