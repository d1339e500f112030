"""Marks, registrations, moulds and models of a piece and its parts, in words."""

from __future__ import annotations

from collections.abc import Iterator

from kg.daybook.record import Claim
from kg.essays.draft_text import Section, Sentence, plain, section, sentence
from kg.essays.draft_voice import Voice
from kg.essays.plan import Bench

#: Signs of the transcription for what is lost, restored or uncertain.
_TORN = ("[", "]", "⟨", "\u0323")


def mark_section(bench: Bench, voice: Voice) -> Section:
    """What stands on the piece and its parts, and what it is a mark of."""
    things = (voice.piece, *dict.fromkeys(claim.value for claim in bench.parts(voice.piece)))
    paragraphs: list[list[Sentence]] = []
    for thing in things:
        paragraphs += [[*_mark(bench, voice, claim)] for claim in bench.said(thing, "bears")]
        paragraphs += [[*_registration(bench, voice, c)] for c in bench.said(thing, "bearsRegistration")]
        paragraphs += [[voice.hedged([claim])] for claim in bench.said(thing, "inscribedOn")]
        paragraphs += [[*_mould(bench, voice, claim)] for claim in bench.said(thing, "fromMould")]
        paragraphs += [[*_model(bench, voice, claim)] for claim in bench.said(thing, "ofModel")]
    if not any(bench.said(thing, "bears", "bearsRegistration") for thing in things):
        paragraphs.insert(0, [sentence("no mark is recorded; that proves nothing", [], is_own=True)])
    return section("Mark", paragraphs)


def _mark(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    mark = claim.value
    read, places = bench.said(mark, "transcribed"), bench.said(mark, "markPlace")
    place = f" ({plain(places[0].value)})" if places else ""
    words = f"{voice.as_subject(claim.subject)} bears the mark {voice.mark(mark)}{place}"
    yield sentence(words, [claim, *read[:1], *places[:1]])
    for other in read[1:]:
        yield sentence(f"it has also been read “{plain(other.value)}”", [other])
    if any(sign in one.value for one in read for sign in _TORN):
        yield sentence("part of it is lost or cannot be read with certainty", read)
    for owner in bench.said(mark, "markOf")[:1]:
        yield sentence(f"it is recorded as the mark of {voice.name(owner.value)}", [owner])


def _registration(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    view, thing = bench.view, claim.value
    kinds = [view.vocabulary.kinds[k].label for k in view.kinds(thing) if k in view.vocabulary.kinds]
    kind = kinds[0] if kinds else "registration"
    yield sentence(f"{voice.as_subject(claim.subject)} bears a {kind}: {plain(view.label(thing))}", [claim])
    filed, by = bench.said(thing, "filedOn")[:1], bench.said(thing, "registeredBy")[:1]
    if filed:
        who = f" by {voice.name(by[0].value)}" if by else ""
        yield sentence(f"it was filed {bench.date(filed[0]).phrase}{who}", [*filed, *by])
    elif by:
        yield sentence(f"it was taken out by {voice.name(by[0].value)}", by)


def _mould(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    yield voice.hedged([claim])
    for first in bench.said(claim.value, "firstUsedOn", "usedIn")[:1]:
        use = "first used" if first.property == "firstUsedOn" else "in use"
        yield sentence(f"the mould was {use} {bench.date(first).phrase}", [first])


def _model(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    yield voice.hedged([claim])
    for said in bench.said(claim.value, "introducedOn", "producedIn")[:1]:
        made = "brought out" if said.property == "introducedOn" else "in production"
        yield sentence(f"the model was {made} {bench.date(said).phrase}", [said])
    for said in bench.said(claim.value, "protectedBy")[:1]:
        yield sentence(f"it was protected by {voice.name(said.value)}", [said])
