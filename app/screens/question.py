"""The screen *Question*: an open question with its competing answers, each with claims for it and against."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from app.address import address, as_of, is_new, part
from app.daybook import desk
from app.drawing import record
from app.drawing.deciding import Make, decide
from app.drawing.fields import Fields
from app.drawing.recording import done
from app.drawing.words import link, notice, parts, plain, thing_link
from app.sign_in import admitted
from kg.asking.adding import things_of
from kg.asking.questions import (
    AGAINST,
    FOR,
    Answer,
    QuestionPage,
    Supported,
    answer_note,
    question_note,
    question_page,
    questions_on,
    support_note,
)
from kg.asking.roles import Act
from kg.asking.standpoint import Standpoint


def screen() -> None:
    """The whole screen."""
    slug, about = part("id"), part("about") or None
    standpoint = desk().standpoint(as_of())
    if not slug:
        st.title("Questions")
    done("question")
    fields = Fields("question")
    if slug:
        page = question_page(standpoint, slug)
        st.html(_page(page))
        if as_of() is None and admitted(Act.ADD):
            _further(standpoint, fields, page)
        return
    st.html(_listed(standpoint, about))
    if is_new() and about:
        fields.put("about", about)
    if admitted(Act.ADD):
        _ask(standpoint, fields)


def _listed(standpoint: Standpoint, about: str | None) -> str:
    found = questions_on(standpoint, about)
    asked = f"<p>Asked of {thing_link(about, standpoint.view.label(about))}.</p>" if about else ""
    items = "".join(f"<li>{link(address('question', id=one.slug), plain(one.text))}</li>" for one in found)
    if items:
        return asked + record.titled("On record", f'<ul class="k-list">{items}</ul>')
    return asked + notice(
        "No question is open here", "<p>Ask one below; answers are then held side by side until one wins.</p>"
    )


def _page(page: QuestionPage) -> str:
    asked = "; ".join(parts([one]) for one in page.asked_of)
    answers = "".join(map(_answer, page.answers)) or "<p>No answer is given yet.</p>"
    return (
        f'<div class="k-thing"><p class="k-asked">question · asked of {asked or "nothing yet"}</p>'
        f"<h1>{plain(page.label)}</h1></div>{record.titled('Answers', answers)}"
    )


def _answer(one: Answer) -> str:
    says = parts(one.says) or parts([one.name])
    sides = _side("For it", one.for_it) + _side("Against it", one.against_it)
    return f'<div class="k-part"><h3>{says}</h3>{sides}</div>'


def _side(title: str, given: Sequence[Supported]) -> str:
    rows = record.sentences(one.row for one in given)
    return f'<p class="k-small">{title}</p>{rows or "<p class=k-small>nothing yet</p>"}'


def _ask(standpoint: Standpoint, fields: Fields) -> None:
    st.header("Ask a question")
    words = fields.text("words", "The question", placeholder="Who made the head?")
    about = _thing(standpoint, fields, "about", "Asked of")
    why = fields.text("why", "Why it is open, if you wish")
    if words.strip():
        _decide(
            fields,
            "Record the question",
            lambda view, name: question_note(view, words, about or "", why, name),
            ("words", "why"),
        )


def _further(standpoint: Standpoint, fields: Fields, page: QuestionPage) -> None:
    """A further answer, or a claim for or against one that is given."""
    ways = {"answer": "A further answer"} | (
        {"claim": "A claim for or against an answer"} if page.answers else {}
    )
    st.header("Add to it")
    way = fields.one_of("way", "What is to be added", ways, horizontal=True)
    if way == "answer":
        thing = _thing(standpoint, fields, "thing", "It is")
        why = fields.text("why", "What first speaks for it")
        make: Make = lambda view, name: answer_note(view, page.slug, thing or "", why, name)  # noqa: E731
        is_begun = bool(thing)
    else:
        names = {one.slug: standpoint.view.label(one.slug) for one in page.answers}
        answer = fields.choice("answer", "Answer", names, placeholder="Choose")
        side = fields.one_of(
            "side", "The claim speaks", {FOR: "for it", AGAINST: "against it"}, horizontal=True
        )
        claim = fields.text("claim", "Claim, by its id")
        why = fields.text("why", "In what way")
        make = lambda view, name: support_note(view, answer or "", claim, side, why, name)  # noqa: E731
        is_begun = bool(answer and claim.strip())
    if is_begun:
        _decide(fields, "Record it", make, ("thing", "claim", "why"))


def _decide(fields: Fields, label: str, make: Make, clearing: tuple[str, ...]) -> None:
    decide("question", label, make, lambda: fields.clear(*clearing))


def _thing(standpoint: Standpoint, fields: Fields, name: str, label: str) -> str | None:
    texts = {one.slug: one.text for one in things_of(standpoint, "Thing")}
    return fields.choice(name, label, texts, placeholder="Type part of a name")
