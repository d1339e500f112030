"""What the mark on a piece says for each maker: the one seam to the matching of marks.

A maker's piece bears a mark that is on record as the maker's with a chance learned from the recorded pieces; it then
explains the mark in hand as well as matching says. Otherwise it bears some other mark of the trade. Absence of a mark
proves nothing, and is not weighed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kg.attribution.observations import DOUBTED, unit_of
from kg.attribution.weight import Floats
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


def mark_evidence(
    view: WorkingView, piece: str, makers: Sequence[str], pieces_of: Mapping[str, Sequence[str]]
) -> tuple[MarkEvidence, ...]:
    """The marks that a piece and its original parts bear, each weighed for each maker."""
    found = []
    for thing in unit_of(view, piece):
        for bears in view.by_subject.get(thing, ()):
            if bears.property == "bears":
                for said in view.by_subject.get(bears.value, ()):
                    if said.property == "transcribed":
                        weighed = _weighed(view, bears, said, makers, pieces_of)
                        found += [weighed] if weighed is not None else []
    return tuple(found)


def _weighed(
    view: WorkingView,
    bears: Claim,
    said: Claim,
    makers: Sequence[str],
    pieces_of: Mapping[str, Sequence[str]],
) -> MarkEvidence | None:
    owners = _owners(view)
    best: dict[str, tuple[str, float, tuple[str, ...]]] = {}
    for mark, score, told in _matches(view, said.value):
        for owner in owners.get(mark, ()):
            if owner not in best or best[owner][1] < score:
                best[owner] = (mark, score, told)
    if not best:
        return None
    belief = 1.0 if all(view.standing(c.id) == "held" for c in (bears, said)) else DOUBTED
    logs = np.zeros(len(makers))
    for at, maker in enumerate(makers):
        if maker in best:
            usual = _share_marked(view, maker, pieces_of.get(maker, ()))
            ratio = usual * 10 ** (best[maker][1] / 10) + (1 - usual)
            logs[at] = math.log(belief * ratio + (1 - belief))
        elif maker in {m for owned in owners.values() for m in owned}:
            usual = _share_marked(view, maker, pieces_of.get(maker, ()))
            logs[at] = math.log(belief * (1 - usual) + (1 - belief))
    return MarkEvidence(said.value, logs, (bears, said), best, not set(said.value) & set(_DAMAGED))


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
            for thing in unit_of(view, piece)
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
