"""What the mark on a piece says for each maker: the one seam to the matching of marks.

A maker's piece bears a mark that is on record as the maker's with a chance learned from the recorded pieces; it then
explains the mark in hand as well as matching says. Otherwise it bears some other mark of the trade. Absence of a mark
proves nothing, and is not weighed.

*Which marks speak*: those on the thing that is asked about, and on its original head where nobody is recorded as the
head's own maker. A mark on a body or another part names who made that part. *What they are compared with*: marks on
record elsewhere. A mark is not compared with itself, nor with marks that only this piece and its parts bear; where a
source says whose mark it is, that is told as said and not as likeness. *How much one mark may say*: a likeness is
chosen from the marks on record, so n of them vouch for odds of n + 1 to one at most, for a maker or against.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kg.attribution.observations import DOUBTED, same_things, unit_of
from kg.attribution.weight import DECIBANS_PER_NAT, Floats
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: Recorded marks that are asked for at most.
MOST = 2_000
#: Signs of damage in a transcription: brackets of the Leiden conventions, and doubt.
_DAMAGED = "[]?\u0323"


@dataclass(frozen=True)
class MarkEvidence:
    """A mark in hand with its weight for each maker, in natural units, and the recorded marks that resemble it."""

    text: str
    logs: Floats
    claims: tuple[Claim, ...]
    nearest: Mapping[str, tuple[str, float, tuple[str, ...]]]
    """By maker: the recorded mark, its score in decibans, and what makes up the score."""
    is_whole: bool
    """Whether no character of it is lost, restored or uncertain."""
    cap: float
    """The most that it may say for a maker or against, in decibans."""
    said_of: tuple[str, ...] = ()
    """The makers whose mark a source says it is."""


def mark_evidence(
    view: WorkingView, piece: str, makers: Sequence[str], pieces_of: Mapping[str, Sequence[str]]
) -> tuple[MarkEvidence, ...]:
    """The marks that speak for a piece, each weighed for each maker."""
    found = []
    own = _borne_only_by(view, unit_of(view, piece))
    for thing in speaking(view, piece):
        for bears in view.by_subject.get(thing, ()):
            if bears.property == "bears":
                for said in view.by_subject.get(bears.value, ()):
                    if said.property == "transcribed":
                        weighed = _weighed(view, bears, said, makers, pieces_of, own | {bears.value})
                        found += [weighed] if weighed is not None else []
    return tuple(found)


def speaking(view: WorkingView, piece: str) -> tuple[str, ...]:
    """The things whose marks speak for the maker of a piece: itself, and its head if no maker of its own is recorded.

    A head whose own maker is recorded takes its mark with it, as a body does.
    """
    same = same_things(view, piece)
    heads = [
        part
        for part in unit_of(view, piece)
        if part not in same
        and view.vocabulary.is_a(view.kinds(part), "Head")
        and not any(_says_maker(view, c) for c in view.by_subject.get(part, ()))
    ]
    return (*same, *heads)


def _says_maker(view: WorkingView, claim: Claim) -> bool:
    known = view.vocabulary.properties.get(claim.property)
    return claim.property == "attributedTo" or (known is not None and known.is_attribution)


def _borne_only_by(view: WorkingView, unit: Sequence[str]) -> frozenset[str]:
    """The marks that nothing but these things bears."""
    borne = {c.value for thing in unit for c in view.by_subject.get(thing, ()) if c.property == "bears"}
    elsewhere = {
        mark
        for mark in borne
        for c in view.by_value.get(mark, ())
        if c.property == "bears" and c.subject not in unit
    }
    return frozenset(borne - elsewhere)


def cap_of(count: int) -> float:
    """The most that a likeness chosen from so many on record may say, in decibans.

    >>> round(cap_of(9), 2), cap_of(0)
    (10.0, 0.0)
    """
    return 10 * math.log10(count + 1)


def _weighed(
    view: WorkingView,
    bears: Claim,
    said: Claim,
    makers: Sequence[str],
    pieces_of: Mapping[str, Sequence[str]],
    not_compared: frozenset[str],
) -> MarkEvidence | None:
    owners = _owners(view)
    named = [c for c in view.by_subject.get(bears.value, ()) if c.property == "markOf"]
    on_record = {c.subject for c in view.live if c.property == "transcribed"} - not_compared
    cap = cap_of(len(on_record | ({bears.value} if named else set())))
    best: dict[str, tuple[str, float, tuple[str, ...]]] = {}
    for mark, score, told in _matches(view, said.value):
        for owner in owners.get(mark, ()) if mark not in not_compared else ():
            if owner not in best or best[owner][1] < score:
                best[owner] = (mark, score, told)
    for claim in named:
        belief = 1.0 if view.standing(claim.id) == "held" else DOUBTED
        score = 10 * math.log10(belief * 10 ** (cap / 10) + (1 - belief))
        best[claim.value] = (bears.value, score, (f"a source says whose mark it is: {score:+.1f}",))
    if not best:
        return None
    held = all(view.standing(c.id) == "held" for c in (bears, said))
    logs = _logs(view, makers, pieces_of, owners, best, 1.0 if held else DOUBTED)
    most = cap / DECIBANS_PER_NAT
    return MarkEvidence(
        said.value,
        np.clip(logs, -most, most),
        (bears, said, *named),
        best,
        not set(said.value) & set(_DAMAGED),
        cap,
        tuple(dict.fromkeys(c.value for c in named)),
    )


def _logs(
    view: WorkingView,
    makers: Sequence[str],
    pieces_of: Mapping[str, Sequence[str]],
    owners: Mapping[str, Sequence[str]],
    best: Mapping[str, tuple[str, float, tuple[str, ...]]],
    belief: float,
) -> Floats:
    """By maker: what the mark says before it is capped."""
    logs = np.zeros(len(makers))
    have_marks = {m for owned in owners.values() for m in owned}
    for at, maker in enumerate(makers):
        if maker in best or maker in have_marks:
            usual = _share_marked(view, maker, pieces_of.get(maker, ()))
            explained = usual * 10 ** (best[maker][1] / 10) if maker in best else 0.0
            logs[at] = math.log(belief * (explained + 1 - usual) + (1 - belief))
    return logs


def _owners(view: WorkingView) -> dict[str, tuple[str, ...]]:
    """By mark: the makers whose mark it is said to be."""
    found: dict[str, tuple[str, ...]] = {}
    for claim in view.live:
        if claim.property == "markOf":
            found[claim.subject] = tuple(dict.fromkeys((*found.get(claim.subject, ()), claim.value)))
    return found


def _share_marked(view: WorkingView, maker: str, pieces: Sequence[str]) -> float:
    """How often a marked piece of a maker bears a mark that is on record as the maker's."""
    owned = {mark for mark, makers in _owners(view).items() if maker in makers}
    marked = own = 0
    for piece in pieces:
        marks = {
            c.value
            for thing in speaking(view, piece)
            for c in view.by_subject.get(thing, ())
            if c.property == "bears"
        }
        marked += bool(marks)
        own += bool(marks & owned)
    return (own + 1) / (marked + 2)


def _matches(view: WorkingView, written: str) -> list[tuple[str, float, tuple[str, ...]]]:
    """Recorded marks by how well each explains a mark as written, in decibans against an unrelated mark."""
    # Matching is loaded when a mark is there to be matched, and nowhere else.
    from kg.marks.matching import NothingToMatch, nearest
    from kg.marks.transcription import Transcription, TranscriptionNotUnderstood, parse_transcription

    mark: Transcription | str
    try:
        mark = parse_transcription(written)
    except TranscriptionNotUnderstood:
        mark = written
    try:
        return [(match.id, match.decibans, match.told) for match in nearest(mark, view, MOST)]
    except NothingToMatch:
        return []
