"""Judging from the desk: a claim held, doubted, set aside or withdrawn; two things said to be one, or two."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kg.asking.lines import Line, line_of
from kg.asking.parts import Part, named
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, kinds_text
from kg.daybook.daybook import Note
from kg.daybook.notes import note_from_tables
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.reconcile.joining import Basis, chain, different_note, merge_note, split_note
from kg.intake.reconcile.proposals import ACTOR, Proposal, Reconciler
from kg.intake.reconcile.records import EXCLUDES, known_different

#: What can be said of two things.
SAME, SPLIT, DIFFERENT = "same", "split", "different"

#: What each standing means, as the form tells it.
MEANINGS = {
    "held": "held: it takes part",
    "doubted": "doubted: it still takes part, and gives way first",
    "setAside": "set aside: on record, and takes part in nothing",
    "withdrawn": "withdrawn: it should never have been noted so",
}

#: Things that are offered as probably the same.
MOST_OFFERED = 12


class NoJudgement(KilnmarkError):
    """A judgement lacks what it needs, or says what stands already."""


def standings(view: WorkingView) -> tuple[Choice, ...]:
    """What can be found of a claim."""
    return tuple(Choice(name, MEANINGS.get(name, label)) for name, label in view.vocabulary.standings.items())


def judgement_note(view: WorkingView, claim: str, standing: str, why: str, researcher: str) -> Note:
    """The note that passes a judgement on a claim.

    :raises NoJudgement: if no reason is given, or the claim was last judged so.
    :raises kg.daybook.note_reader.BadNote: if there is no such claim, or the reason cannot be written so.
    """
    judged = view.judgements.get(claim)
    if judged is not None and judged.standing == standing:
        word = view.vocabulary.standings.get(standing, standing)
        raise NoJudgement(f"It is {word} already: {judged.why} Choose another standing.")
    if not why.strip():
        raise NoJudgement("No reason is given. Say why, so that a later reader can judge it.")
    row = {"claim": claim, "finds": standing, "why": why.strip()}
    return note_from_tables({"judgement": [row]}, view, researcher)


def joining_note(view: WorkingView, how: str, pair: tuple[str, str], basis: Basis) -> Note:
    """The note that says that two things are one, takes that back, or says that they are two.

    :raises kg.intake.reconcile.joining.CannotJoin: if that makes no sense, stands already, or gives no reason.
    """
    make = {SAME: merge_note, SPLIT: split_note, DIFFERENT: different_note}[how]
    return make(view, *pair, basis)


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for or against two things being one."""

    says: str
    decibans: str
    """Its weight as one reads it; "never" for what rules it out."""
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """Two things side by side: how they stand now, and what speaks for their being one."""

    one: Part
    other: Part
    stands: str
    because: tuple[Line, ...]
    """The claims by which they stand so."""
    offered: tuple[str, ...]
    """What can be said of them: of `SAME`, `SPLIT` and `DIFFERENT`."""
    verdict: str
    reasons: tuple[Reason, ...]
    total: str | None


def compared(standpoint: Standpoint, one: str, other: str) -> Compared:
    """Two things of the daybook compared; nothing is written.

    :raises kg.daybook.view.NotInDaybook: if one is not there.
    """
    with standpoint.lock:
        view = standpoint.view
        one, other = view.thing(one).slug, view.thing(other).slug
        way, apart = chain(view, one, other), known_different(view, one, other)
        lines = tuple(line_of(view, view, claim) for claim in (way or apart))
        if way:
            offered = (SPLIT, DIFFERENT) if len(way) == 1 else ()
            return Compared(
                named(view, one), named(view, other), "on record as one", lines, offered, "", (), None
            )
        found = _compare(standpoint, one, other)
        return Compared(
            named(view, one),
            named(view, other),
            "on record as two" if apart else "nothing on record says whether they are one",
            lines,
            (SAME,) if apart else (SAME, DIFFERENT),
            found.relation.value,
            tuple(_reason(view, reason) for reason in found.reasons),
            None
            if any(r.weight == EXCLUDES for r in found.reasons)
            else f"{found.weight:+.1f} decibans in all",
        )


def _compare(standpoint: Standpoint, one: str, other: str) -> Proposal:
    view = standpoint.view
    are_actors = all(view.vocabulary.is_a(view.kinds(slug), ACTOR) for slug in (one, other))
    return _reconciler(standpoint, ACTOR if are_actors else "Thing").compare(one, other)


def _reconciler(standpoint: Standpoint, kind: str) -> Reconciler:
    return standpoint.kept(
        ("reconciler", kind),
        lambda: Reconciler(standpoint.view, kind, chronology=standpoint.chronology),
    )


def _reason(view: WorkingView, reason: Any) -> Reason:
    weight = "never" if reason.weight == EXCLUDES else f"{reason.weight:+.1f}"
    lines = tuple(line_of(view, view, claim) for claim in reason.claims)
    return Reason(reason.says, weight, lines)


def others_like(standpoint: Standpoint, slug: str) -> tuple[Choice, ...]:
    """The things that are probably the same as one, the likeliest first, with their weight."""
    with standpoint.lock:
        view = standpoint.view
        kind = _kind_of(view, slug)
        found = standpoint.kept(("pairs", kind), lambda: _reconciler(standpoint, kind).found(0.0))
        mine = [p for p in found.proposals if slug in (p.one, p.other)]
        told: Mapping[str, Proposal] = {p.other if p.one == slug else p.one: p for p in mine[:MOST_OFFERED]}
        return tuple(
            Choice(other, f"{view.label(other)} ({kinds_text(view, view.kinds(other))}): {p.relation.value}, "
                   f"{p.weight:+.0f} decibans")
            for other, p in told.items()
        )  # fmt: skip


def _kind_of(view: WorkingView, slug: str) -> str:
    """The class among whose things others are looked for."""
    kinds = view.kinds(slug)
    if view.vocabulary.is_a(kinds, ACTOR):
        return ACTOR
    return "Source" if view.vocabulary.is_a(kinds, "Source") else (kinds[0] if kinds else "Thing")
