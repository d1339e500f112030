"""The evidence sheet of a piece: what she takes to the viewing or hands to a colleague, as plain values.

Nothing confidential is among them: the sheet is made from the bench's view, which has none of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kg.attribution.candidates import rank
from kg.attribution.shown import percent
from kg.attribution.telling import told_ranking
from kg.chronology.fit import Question, fit
from kg.chronology.telling import day_text, told_fit
from kg.chronology.verdict import Fit
from kg.dates.phrases import read_date
from kg.daybook.record import Claim
from kg.essays.compose import compose
from kg.essays.draft_text import Draft, Sentence
from kg.essays.house import height_in_house
from kg.essays.plan import Bench
from kg.essays.syntax import read_essay
from kg.essays.syntax_tree import Paragraph, plain_words
from kg.marks.reading import read_mark
from kg.marks.reading_telling import told_mark
from kg.marks.transcription import TranscriptionNotUnderstood
from kg.sources_weighed.telling import told_witnesses
from kg.timeline import Timeline, timeline, timeline_of_thing

#: Steering characters and what turns the direction of a line, which no paper may hold.
_UNPRINTED = dict.fromkeys(
    (*range(0x20), *range(0x7F, 0xA0), *range(0x200E, 0x2010), *range(0x202A, 0x202F), *range(0x2066, 0x206A))
)


#: Readings of one mark that are named; `read-mark` tells all.
MOST_READINGS = 6


@dataclass(frozen=True, slots=True)
class Rows:
    """Some lines of a list, and how many more there are."""

    lines: tuple[Mapping[str, Any], ...]
    more: int = 0


@dataclass(frozen=True)
class Sheet:
    """All that stands on the two pages."""

    piece: str
    title: str
    described: str
    seen: tuple[str, ...]
    date: Mapping[str, Any] | None
    line: Timeline | None
    marks: Rows
    witnesses: Rows
    makers: Mapping[str, Any]
    questions: Rows
    looks: Rows
    cautions: tuple[str, ...]
    sources: Rows
    footer: str
    limits: tuple[str, ...] = ()


def evidence_sheet(bench: Bench, piece: str, phrase: str | None = None) -> Sheet:
    """The evidence sheet of a piece, with a date put to the test: the one given, or the first that a source gives.

    :raises kg.essays.plan.NothingToDraft: if the thing is no piece, or is confidential itself.
    :raises kg.dates.errors.DateNotUnderstood: if the date cannot be read.
    """
    draft = compose(bench, piece)
    slug = draft.piece
    answer = _answer(bench, slug, phrase)
    told = told_fit(answer, bench.view) if answer else None
    binding = _binding(answer) if answer else _bounding(bench, slug)
    looked = _makers(bench, slug)
    return Sheet(
        piece=slug,
        title=bench.view.label(slug),
        described=_described(bench, slug),
        seen=tuple(_plain_sentence(sentence.text) for sentence in _first_sentences(draft)),
        date=told,
        line=timeline(answer, bench.chronology) if answer else timeline_of_thing(slug, bench.chronology),
        marks=_marks(bench, slug),
        witnesses=_witnesses(bench, binding),
        makers=looked,
        questions=_questions(bench, slug),
        looks=Rows(tuple(looked.get("looks", ()))),
        cautions=tuple(told["cautions"]) if told else (),
        sources=_sources(bench, binding),
        footer=_footer(bench),
        limits=_limits(bench, slug),
    )


def printable(text: str) -> str:
    """A text without what steers a printer or turns the direction of a line."""
    return " ".join(text.translate(_UNPRINTED).split())


# ---------------------------------------------------------------- the piece and its date


def _described(bench: Bench, piece: str) -> str:
    kinds = [
        bench.view.vocabulary.kinds[kind].label
        for kind in bench.view.kinds(piece)
        if kind != "ObjectExamined"
    ]
    heights = [claim.value for claim in bench.said(piece, "heightMm")]
    parts = [*kinds, *(height_in_house(int(value)) for value in heights[:1] if value.isdigit())]
    return ", ".join(parts)


def _first_sentences(draft: Draft) -> Iterator[Sentence]:
    for paragraph in draft.sections[0].paragraphs[:2] if draft.sections else ():
        yield from paragraph


def _plain_sentence(markdown: str) -> str:
    blocks = read_essay(markdown).prose()
    return " ".join(plain_words(block.inlines) for block in blocks if isinstance(block, Paragraph))


def _answer(bench: Bench, piece: str, phrase: str | None) -> Fit | None:
    given = phrase or next((claim.written or claim.value for claim in bench.said(piece, "madeOn")), None)
    if given is None:
        return None
    convention = bench.view.convention
    reading = read_date(given, convention) if convention else read_date(given)
    return fit(bench.chronology, Question(piece, reading)) if reading.window is not None else None


def _binding(answer: Fit) -> list[Claim]:
    sides = (answer.not_before, answer.not_after)
    return list(dict.fromkeys(claim for side in sides for claim in side.claims if claim.entry))


def _bounding(bench: Bench, piece: str) -> list[Claim]:
    return list(dict.fromkeys(claim for side in bench.limits(piece) for claim in side.claims if claim.entry))


def _limits(bench: Bench, piece: str) -> tuple[str, ...]:
    early, late = bench.limits(piece)
    told = [f"Not before {day_text(early.day)}" if early.day is not None else "Nothing says not before when"]
    told.append(f"not after {day_text(late.day)}" if late.day is not None else "nothing says not after when")
    return tuple(told)


# ---------------------------------------------------------------- marks, witnesses, sources


def _marks(bench: Bench, piece: str) -> Rows:
    bearers = [piece, *(claim.value for claim in bench.parts(piece))]
    borne = [claim for bearer in bearers for claim in bench.said(bearer, "bears")]
    rows = []
    for mark in dict.fromkeys(claim.value for claim in borne):
        for claim in bench.said(mark, "transcribed"):
            rows.append(_mark(bench, mark, claim))
        if not bench.said(mark, "transcribed"):
            rows.append(
                {"text": bench.view.label(mark), "place": "not transcribed", "says": [], "questions": []}
            )
    return Rows(tuple(rows))


def _mark(bench: Bench, mark: str, claim: Claim) -> Mapping[str, Any]:
    place = "; ".join(c.value for c in bench.said(mark, "markPlace"))
    try:
        told = told_mark(read_mark(claim.value), [])
    except TranscriptionNotUnderstood as error:
        return {
            "text": claim.value,
            "place": place,
            "says": [f"cannot be read: {error.wanted} was expected"],
            "questions": [],
        }
    window = told["window"]
    says = [
        f"{side} {window[which]} ({window[f'{which}_strength']})"
        for side, which in (("not before", "earliest"), ("not after", "latest"))
        if window[which]
    ]
    read = dict.fromkeys(f"{one['kind'].replace('-', ' ')} {one['text']}" for one in told["readings"])
    return {
        "text": claim.value,
        "place": place,
        "says": [*says, *(["may be read: " + ", ".join(list(read)[:MOST_READINGS])] if read else [])],
        "questions": told["questions"],
    }


def _witnesses(bench: Bench, claims: Sequence[Claim]) -> Rows:
    rows = []
    for claim in claims:
        told = told_witnesses(bench.weighed, claim)
        rows.append(
            {
                "sentence": told["sentence"],
                "headline": told["headline"],
                "narrow": [source["label"] for source in told["bottleneck"]],
                "against": len(told["contrary"]),
            }
        )
    return Rows(tuple(rows))


def _sources(bench: Bench, claims: Iterable[Claim]) -> Rows:
    cited = dict.fromkeys(claim.citation.source for claim in claims)
    return Rows(tuple({"label": bench.view.label(source)} for source in sorted(cited, key=bench.view.label)))


# ---------------------------------------------------------------- makers, questions, looks


def _makers(bench: Bench, piece: str) -> dict[str, Any]:
    """Who made it as recorded; where nobody is, the ranking and the next looks."""
    said = [(claim, claim.property) for claim in bench.said(piece, "madeBy", "attributedTo")]
    if said:
        rows = [
            {
                "label": bench.view.label(claim.value),
                "how": bench.view.vocabulary.properties[prop].label,
                "citation": bench.view.cite(claim.citation),
            }
            for claim, prop in said
        ]
        return {"recorded": rows, "ranked": [], "struck": [], "looks": [], "words": ""}
    told = told_ranking(rank(bench.view, piece, chronology=bench.chronology, inquiry=bench.inquiry))
    return {
        "recorded": [],
        "words": told["too_few"] or told["attribution"]["words"],
        "ranked": [
            {
                "label": c["label"],
                "chance": percent(c["probability"]),
                "decibans": f"{c['decibans']:+.1f}",
                "for": _best(c),
            }
            for c in told["candidates"]
            if not c["is_excluded"] and c["probability"] is not None
        ],
        "struck": [
            {"label": c["label"], "because": [claim["sentence"] for claim in c["excluded_by"]]}
            for c in told["candidates"]
            if c["is_excluded"]
        ],
        "looks": [
            {key: look[key] or "" for key in ("feature", "look_for", "cost", "caution")}
            for look in told["next_looks"]
        ],
    }


def _best(candidate: Mapping[str, Any]) -> str:
    speaking = sorted(candidate["reasons"], key=lambda reason: -reason["decibans"])[:3]
    return "; ".join(
        f"{r['feature']}: {r['found']} ({r['decibans']:+.0f})" for r in speaking if r["decibans"] > 0
    )


def _questions(bench: Bench, piece: str) -> Rows:
    view = bench.view
    about = {piece, *(claim.value for claim in view.by_subject.get(piece, ()))}
    asked = [
        claim.subject
        for slug in about
        for claim in view.by_value.get(slug, ())
        if claim.property == "askedOf"
    ]
    rows = []
    for question in dict.fromkeys(sorted(asked)):
        answers = [claim.subject for claim in view.by_value.get(question, ()) if claim.property == "answers"]
        rows.append(
            {
                "label": view.label(question),
                "answers": [_told_answer(bench, answer) for answer in dict.fromkeys(answers)],
            }
        )
    return Rows(tuple(rows))


def _told_answer(bench: Bench, answer: str) -> str:
    claims = bench.view.by_subject.get(answer, ())
    named = [bench.view.label(claim.value) for claim in claims if claim.property == "answerIs"]
    counts = [sum(claim.property == prop for claim in claims) for prop in ("supportedBy", "disputedBy")]
    return f"{', '.join(named) or bench.view.label(answer)} ({counts[0]} claims for, {counts[1]} against)"


def _footer(bench: Bench) -> str:
    day = bench.view.as_of.isoformat() if bench.view.as_of else "as it stands"
    hidden = len(bench.whole.claims) - len(bench.view.claims)
    left = f"{hidden} confidential claims left out" if hidden else "no confidential claim left out"
    return f"Daybook {day}, revision {bench.whole.revision[:12] or 'none'}; {left}."
