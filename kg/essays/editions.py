"""Print editions: an essay frozen as it went to print on a day, each sentence with the claims that it rests on.

The sentences are recorded as printed sentences, so that `weigh` and `loose-ends` tell of them as of any other print.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from kg.chronology.telling import MONTHS
from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Entry, Thing
from kg.daybook.view import LIVE, WorkingView
from kg.errors import KilnmarkError
from kg.essays.hedges import hedges
from kg.essays.private_names import private_surnames
from kg.essays.stored import latest, title_of
from kg.essays.syntax import (
    Emphasis,
    Inline,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Strong,
    Text,
    plain_words,
    read_essay,
    references_in,
)
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.printed import Footing, Printed, Sentence

EDITION, EDITION_OF, PRINTED_TEXT, PUBLISHED_ON = "Edition", "editionOf", "printedText", "publishedOn"
_CLOSED = re.compile(r"[.!?…][”’\"')*_]*\s*$")
_CLOSING = re.compile(r"^[.!?…][”’\"')*_]*")


class CannotFreeze(KilnmarkError):
    """An essay cannot go to print as it is; every reason is named and nothing was recorded."""

    def __init__(self, slug: str, reasons: list[str]) -> None:
        self.reasons = tuple(reasons)
        told = "\n".join(f"  - {reason}" for reason in reasons)
        super().__init__(f"{slug} was not frozen. Mend this first:\n{told}")


@dataclass(frozen=True, slots=True)
class Passage:
    """A sentence of an essay, plain, with the ids of the claims in its notes."""

    text: str
    claims: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Edition:
    """A frozen print edition: its name, its day as printed, its text, and its sentences that rest on claims."""

    slug: str
    label: str
    essay: str
    day: str
    text: str
    sentences: tuple[Sentence, ...]


def passages(markdown: str) -> tuple[Passage, ...]:
    """The sentences of an essay that carry notes, in their order.

    A sentence goes from the end of the one before to its full stop and the notes at it; headings have none.

    :raises kg.essays.syntax.EssayNotUnderstood: if the text cannot be read as an essay.

    >>> [p.claims for p in passages("She is by Tarn.[^c3ov][^c5iw] She sold well.[^own]")]
    [('c3ov', 'c5iw'), ()]
    """
    essay = read_essay(markdown)
    remarks = {name: tuple(references_in(inlines)) for name, inlines in essay.remarks}
    paragraphs = (block for block in essay.prose() if isinstance(block, Paragraph))
    return tuple(p for paragraph in paragraphs for p in _sentences(paragraph, remarks))


def _sentences(paragraph: Paragraph, remarks: Mapping[str, Iterable[NoteReference]]) -> Iterator[Passage]:
    text, claims, is_noted = "", list[str](), False
    for part in _flat(paragraph.inlines):
        if isinstance(part, NoteReference):
            every = (part, *remarks.get(part.remark or "", ()))
            claims += [note.claim for note in every if note.claim is not None]
            is_noted = True
            continue
        closing = _CLOSING.match(part) if is_noted else None
        if closing is not None:
            text, part = text + closing[0], part[closing.end() :]
        if is_noted and _CLOSED.search(text):
            yield _passage(text, claims)
            text, claims = "", []
        text, is_noted = text + part, False
    if claims or is_noted:
        yield _passage(text, claims)


def _passage(text: str, claims: Iterable[str]) -> Passage:
    return Passage(" ".join(text.split()), tuple(dict.fromkeys(claims)))


def _flat(inlines: Iterable[Inline]) -> Iterator[str | NoteReference]:
    """Words and notes in their order, without the marks around them."""
    for inline in inlines:
        if isinstance(inline, NoteReference):
            yield inline
        elif isinstance(inline, Emphasis | Strong | Link):
            yield from _flat(inline.inlines)
        elif isinstance(inline, Text | LineBreak):
            yield plain_words((inline,))


def freeze(
    book: Daybook, slug: str, researcher: str, *, day: date | None = None, title: str | None = None
) -> Entry:
    """Record the print edition of an essay: its text and its claims as they stood at the end of the day.

    :raises kg.essays.stored.NoSuchEssay: if there was no such essay on that day.
    :raises CannotFreeze: if a note names no claim of that day, one that fell, or what is confidential.
    """
    note = edition_note(book, slug, researcher, day=day or book.clock().date(), title=title)
    return book.record(book.compose(note))


def edition_note(book: Daybook, slug: str, researcher: str, *, day: date, title: str | None = None) -> Note:
    """The note by which a print edition is recorded.

    :raises kg.essays.stored.NoSuchEssay: if there was no such essay on that day.
    :raises CannotFreeze: if a note names no claim of that day, one that fell, or what is confidential.
    """
    view = book.view(day)
    version = latest(view, slug)
    edition = f"edition-{slug.removeprefix('essay-')}-{day.isoformat()}"
    found = passages(version.text)
    reasons = [*_known_already(book.view(), edition), *_unfit(view, version.text, found)]
    if reasons:
        raise CannotFreeze(slug, reasons)
    name = title or title_of(version.text) or slug
    label = f"{name}, edition of {_day_words(day)}"
    drafts = [
        Draft(edition, EDITION_OF, slug, Citation(edition, f"from version {version.number}")),
        Draft(edition, PUBLISHED_ON, day.isoformat(), Citation(edition, "imprint"), written=_day_words(day)),
        Draft(edition, PRINTED_TEXT, version.text, Citation(edition, "whole")),
    ]
    things = [Thing(edition, (EDITION,), label)]
    for number, passage in enumerate((p for p in found if _standing(view, p)), start=1):
        sentence = f"sentence-{edition.removeprefix('edition-')}-{number}"
        things.append(Thing(sentence, ("Sentence",), f"{label}, sentence {number}"))
        drafts += _sentence_drafts(view, edition, sentence, number, passage)
    return Note(researcher, f"Print edition of {slug}, {day.isoformat()}.", tuple(things), tuple(drafts))


def _sentence_drafts(
    view: WorkingView, edition: str, sentence: str, number: int, passage: Passage
) -> list[Draft]:
    place = Citation(edition, f"sentence {number}")
    drafts = [
        Draft(sentence, "sentenceOf", edition, place),
        Draft(sentence, "sentenceText", passage.text, place),
    ]
    return drafts + [Draft(sentence, "restsOn", claim, place) for claim in _standing(view, passage)]


def _standing(view: WorkingView, passage: Passage) -> tuple[str, ...]:
    """The claims of a sentence that take part on that day; what is told as former is no footing."""
    return tuple(name for name in passage.claims if view.standing(name) in LIVE)


def _known_already(view: WorkingView, edition: str) -> Iterator[str]:
    if edition in view.things:
        yield f"There is an edition of that day already: {edition}. Freeze another day, or keep that one."


def _unfit(view: WorkingView, text: str, found: Iterable[Passage]) -> Iterator[str]:
    """Why a text must not go to print: what its notes and its words say that may not stand there."""
    for passage in found:
        for name in passage.claims:
            claim = view.claims.get(name)
            where = f"“{passage.text[:60]}…”" if len(passage.text) > 60 else f"“{passage.text}”"
            if claim is None:
                yield f"{where} cites {name}, which is no claim{_as_of(view)}. Correct the note."
            elif view.is_confidential(claim):
                yield f"{where} cites {name}, which is confidential. Leave it out."
            elif view.standing(name) not in LIVE and not _says_former(passage.text):
                standing = view.vocabulary.standings[view.standing(name)]
                yield f"{where} rests on {name}, which is {standing}. Rewrite it, or tell it as former."
    folded = text.casefold()
    named = [t for t in view.things.values() if t.is_confidential and t.label.casefold() in folded]
    for thing in named:
        yield f"The text names {thing.slug}, which is confidential. Write “private collection”."
    surname = surnames.search(text) if (surnames := private_surnames(view)) else None
    if surname and not named:
        yield f"The text names “{surname[0]}”, who is confidential. Write “private collection”."


def _as_of(view: WorkingView) -> str:
    return f" of {view.as_of}" if view.as_of else ""


def _says_former(text: str) -> bool:
    """Whether a sentence tells what was given up, by the words of a house's table."""
    leads = {row.text("\0").partition("\0")[0].strip() for row in hedges() if row.certainty == "formerly"}
    folded = text.casefold()
    return any(lead.casefold() in folded for lead in leads if lead)


def _day_words(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def editions(view: WorkingView, slug: str | None = None) -> tuple[Edition, ...]:
    """The print editions of an essay, or of all essays, in order of entry."""
    printed = Printed(Weighed(view))
    return tuple(
        _edition(view, printed, claim)
        for claim in view.live
        if claim.property == EDITION_OF and slug in (None, claim.value)
    )


def _edition(view: WorkingView, printed: Printed, claim: Claim) -> Edition:
    said = {c.property: c for c in view.by_subject.get(claim.subject, ())}
    day, text = said.get(PUBLISHED_ON), said.get(PRINTED_TEXT)
    return Edition(
        claim.subject,
        view.label(claim.subject),
        claim.value,
        day.value if day else "",
        text.value if text else "",
        tuple(
            sorted(
                (s for s in printed.sentences if s.source == claim.subject), key=lambda s: _number(s.thing)
            )
        ),
    )


def _number(thing: str) -> tuple[int, str]:
    """The place of a printed sentence in its edition: the number at the end of its name."""
    last = thing.rpartition("-")[2]
    return (int(last) if last.isdecimal() else 0), thing


def stale(weighed: Weighed, edition: Edition) -> tuple[Sentence, ...]:
    """The sentences of an edition that have lost their footing: what they rest on was set aside or withdrawn."""
    printed = Printed(weighed)
    return tuple(one for one in edition.sentences if printed.footing(one) is Footing.LOST)
