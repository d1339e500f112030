"""Open questions and their competing answers, each with the claims for it and against."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kg.asking.parts import Part, named
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice
from kg.daybook.daybook import Note
from kg.daybook.notes import note_from_tables
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.reconcile.joining import own_judgement
from kg.intake.templates import Template

#: A claim speaks for an answer, or against it.
FOR, AGAINST = "supportedBy", "disputedBy"


class NoQuestion(KilnmarkError):
    """A question or answer lacks what it needs, or is not on record."""


@dataclass(frozen=True, slots=True)
class Supported:
    """A claim for or against an answer, with the claim that says so."""

    row: Row
    because: str
    """The id of the claim that brings it forward."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question."""

    slug: str
    name: Part
    says: tuple[Part, ...]
    for_it: tuple[Supported, ...]
    against_it: tuple[Supported, ...]


@dataclass(frozen=True, slots=True)
class QuestionPage:
    """A question with its answers side by side."""

    slug: str
    label: str
    asked_of: tuple[Part, ...]
    answers: tuple[Answer, ...]


def questions_on(standpoint: Standpoint, about: str | None = None) -> tuple[Choice, ...]:
    """The questions on record, or those that are asked of one thing."""
    view = standpoint.view
    questions = {slug for slug, thing in view.things.items() if view.vocabulary.is_a(thing.kinds, "Question")}
    if about is not None:
        asked = {claim.subject for claim in view.by_value.get(about, ()) if claim.property == "askedOf"}
        questions &= asked
    return tuple(
        Choice(slug, view.label(slug))
        for slug in sorted(questions, key=lambda slug: (view.label(slug).casefold(), slug))
    )


def question_page(standpoint: Standpoint, slug: str) -> QuestionPage:
    """A question with its answers, each with the claims for it and against.

    :raises NoQuestion: if there is no such question.
    """
    view = standpoint.view
    if not view.vocabulary.is_a(view.kinds(slug), "Question"):
        raise NoQuestion(f"{slug!r} is no question on record. Choose one from the list, or ask a new one.")
    asked = (c.value for c in view.by_subject.get(slug, ()) if c.property == "askedOf")
    answers = dict.fromkeys(c.subject for c in view.by_value.get(slug, ()) if c.property == "answers")
    return QuestionPage(
        slug,
        view.label(slug),
        tuple(named(view, one) for one in dict.fromkeys(asked)),
        tuple(_answer(view, one) for one in answers),
    )


def _answer(view: WorkingView, slug: str) -> Answer:
    claims = view.by_subject.get(slug, ())
    says = dict.fromkeys(claim.value for claim in claims if claim.property == "answerIs")
    return Answer(
        slug,
        named(view, slug),
        tuple(named(view, one) for one in says),
        tuple(_supported(view, slug, FOR)),
        tuple(_supported(view, slug, AGAINST)),
    )


def _supported(view: WorkingView, slug: str, says: str) -> Iterator[Supported]:
    for claim in view.by_subject.get(slug, ()):
        if claim.property == says and claim.value in view.claims:
            yield Supported(row(view, view.claims[claim.value]), claim.id)


def question_note(view: WorkingView, words: str, about: str, why: str, researcher: str) -> Note:
    """The note that asks a question of a thing.

    :raises NoQuestion: if it is not worded, or asked of nothing.
    :raises kg.daybook.note_reader.BadNote: if a text cannot be written so.
    """
    words = " ".join(words.split())
    if not words:
        raise NoQuestion("The question is not worded. Write it as you would ask a colleague.")
    if not about:
        raise NoQuestion("The question is asked of nothing. Choose the piece, maker or source.")
    slug = _new_slug(view, "question", words)
    thing = {"id": slug, "kind": "Question", "label": words}
    return _note(view, researcher, why or "asked at the desk", [thing], [(slug, "askedOf", about)])


def answer_note(view: WorkingView, question: str, thing: str, why: str, researcher: str) -> Note:
    """The note that gives a question a further answer: a thing on record.

    :raises NoQuestion: if no thing or reason is given, or the question has this answer already.
    """
    if not thing:
        raise NoQuestion("No answer is chosen. Choose the maker, model, source or other thing that it is.")
    if not why.strip():
        raise NoQuestion("No reason is given. Say what first speaks for it.")
    given = {c.subject for c in view.by_value.get(question, ()) if c.property == "answers"}
    said = {c.value for slug in given for c in view.by_subject.get(slug, ()) if c.property == "answerIs"}
    if thing in said:
        raise NoQuestion(f"{view.label(thing)} is an answer to it already. Bring forward a claim for it.")
    slug = _new_slug(view, "answer", f"{question.removeprefix('question-')} {thing}")
    described = {"id": slug, "kind": "Answer", "label": view.label(thing)}
    said_rows = [(slug, "answers", question), (slug, "answerIs", thing)]
    return _note(view, researcher, why, [described], said_rows)


def support_note(view: WorkingView, answer: str, claim: str, side: str, why: str, researcher: str) -> Note:
    """The note that brings a claim forward for an answer, or against it.

    :raises NoQuestion: if there is no such claim, no reason, or it was brought forward so already.
    """
    claim = claim.strip()
    if claim not in view.claims:
        raise NoQuestion(f"There is no claim {claim!r}. Ids of claims stand beside every row of a page.")
    if not why.strip():
        raise NoQuestion("No reason is given. Say in what way it speaks so.")
    if any(c.property == side and c.value == claim for c in view.by_subject.get(answer, ())):
        raise NoQuestion("This claim is brought forward so already.")
    return _note(view, researcher, why, [], [(answer, side, claim)])


def _new_slug(view: WorkingView, begin: str, words: str) -> str:
    base = Template.of("{begin}-{words}").slug({"begin": begin, "words": words.casefold()})
    number, slug = 2, base
    while slug in view.things:
        number, slug = number + 1, f"{base}-{number}"
    return slug


def _note(
    view: WorkingView,
    researcher: str,
    why: str,
    things: list[dict[str, Any]],
    said: list[tuple[str, str, str]],
) -> Note:
    """A note of the researcher's own judgement, which gives the reason as its place."""
    own = dict(own_judgement(researcher))
    if own["id"] not in view.things:
        things = [own, *things]
    rows = [
        {"about": about, "says": says, "value": value, "source": own["id"], "locator": why.strip()[:900]}
        for about, says, value in said
    ]
    return note_from_tables({"thing": things, "claim": rows, "remark": why.strip()}, view, researcher)
