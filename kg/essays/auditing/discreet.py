"""Confidential matter in an essay: in its notes, its words, its headings and captions, its pictures and links."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.passages import Passage
from kg.essays.private_names import unmasked
from kg.essays.syntax import Emphasis, Essay, Figure, Inline, Link, Place, Strong

_WORD = re.compile(r"\w(?:\S*\w)?")
#: So many words are looked at together to find which of them give the matter away.
_MOST_WORDS = 12
_LEAVE_OUT = "Leave it out; write “private collection” for an owner."


def told_in_notes(evidence: Evidence, passage: Passage) -> Iterator[Finding]:
    """Notes to confidential claims, and places in notes that name what is confidential."""
    for note in passage.notes:
        claim = evidence.whole.claims.get(note.claim or "")
        if claim is not None and evidence.is_confidential(claim):
            yield Finding(
                Kind.CONFIDENTIAL,
                note.place,
                f"[^{note.claim}]",
                f"{note.claim} is confidential: it speaks of what must not be printed.",
                "Take the note and what it carries out of the sentence.",
                (claim.id,),
            )
        elif evidence.discretion.names_one(note.locator):
            yield _names(note.place, note.locator or "")


def told_in_words(evidence: Evidence, passage: Passage) -> Iterator[Finding]:
    """Words that name a confidential thing, a confidential person's surname, or what a confidential claim quotes."""
    if not evidence.discretion.names_one(passage.text):
        surname = evidence.surnames.search(passage.text) if evidence.surnames else None
        if surname is not None:
            yield _names(passage.place(surname.start()), surname[0])
        else:
            yield from _hidden(evidence, passage)
        return
    first, last = _span(evidence, passage.text)
    yield _names(passage.place(first), passage.text[first:last])


def _hidden(evidence: Evidence, passage: Passage) -> Iterator[Finding]:
    """A name that signs which are not seen, or letters that only look Latin, would keep from being found."""
    text, where = unmasked(passage.text)
    if text == passage.text:
        return
    if evidence.discretion.names_one(text):
        first, last = _span(evidence, text)
    elif evidence.surnames is not None and (surname := evidence.surnames.search(text)) is not None:
        first, last = surname.span()
    else:
        return
    yield _names(passage.place(where[first]), text[first:last])


def _names(place: Place, words: str) -> Finding:
    return Finding(Kind.CONFIDENTIAL, place, words, f"“{words}” gives away what is confidential.", _LEAVE_OUT)


def _span(evidence: Evidence, text: str) -> tuple[int, int]:
    """The fewest words in a row that give the matter away; all of them if it takes more than a dozen."""
    words = [(found.start(), found.end()) for found in _WORD.finditer(text)]
    for count in range(1, min(_MOST_WORDS, len(words)) + 1):
        for number in range(len(words) - count + 1):
            first, last = words[number][0], words[number + count - 1][1]
            if evidence.discretion.names_one(text[first:last]):
                return first, last
    return 0, len(text)


def told_beside(evidence: Evidence, essay: Essay, about: Iterable[str]) -> Iterator[Finding]:
    """Pictures and links that name what is confidential, and an essay on a thing that is."""
    hidden = evidence.discretion.things
    for thing in about:
        if thing in hidden:
            label = evidence.whole.label(thing)
            yield Finding(
                Kind.CONFIDENTIAL,
                Place(essay.first_line, 1),
                label,
                f"The essay is about {label}, which is confidential.",
                "Release the thing first, or write no essay on it.",
            )
    for block in essay.prose():
        if isinstance(block, Figure):
            yield from _picture(evidence, block)
        else:
            yield from _links(evidence, block.inlines)


def _picture(evidence: Evidence, figure: Figure) -> Iterator[Finding]:
    name = figure.picture.name
    if name in evidence.discretion.things or evidence.discretion.names_one(name):
        yield Finding(
            Kind.CONFIDENTIAL,
            figure.place,
            name,
            f"The picture {name} is confidential.",
            "Take another picture.",
        )


def _links(evidence: Evidence, inlines: Iterable[Inline]) -> Iterator[Finding]:
    for inline in inlines:
        if isinstance(inline, Link) and evidence.discretion.names_one(
            re.sub(r"[-_/.%+]+", " ", inline.target)
        ):
            yield _names(inline.place, inline.target)
        if isinstance(inline, Link | Emphasis | Strong):
            yield from _links(evidence, inline.inlines)
