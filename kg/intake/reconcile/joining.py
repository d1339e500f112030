"""The entries that say that two things are one, that they are not after all, or that they are known to be two.

Nothing is rewritten: each is a further note. Every claim keeps the thing and the name that its source prints.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from kg.attribution.observations import same_things
from kg.chronology.chronology import Chronology, Conflict
from kg.daybook.as_one import identity_property
from kg.daybook.daybook import Note
from kg.daybook.notes import note_from_tables
from kg.daybook.record import Claim, Entry
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.reconcile.letters import plain
from kg.intake.reconcile.records import DIFFERENT, classes_apart, known_different


class CannotJoin(KilnmarkError):
    """Two things were to be joined or parted in a way that makes no sense; nothing was recorded."""


@dataclass(frozen=True, slots=True)
class Basis:
    """Why two things are joined or parted, who says so, and where it is printed if it is printed anywhere."""

    why: str
    researcher: str
    source: str | None = None
    """None: it is the researcher's own judgement."""
    locator: str | None = None


def merge_note(view: WorkingView, one: str, other: str, basis: Basis) -> Note:
    """The note that says that two things are one. What said that they are two is judged in the same note.

    :raises CannotJoin: if they are one already, are the same thing, or are of classes that exclude each other.
    """
    one, other = _two_things(view, one, other)
    if other in same_things(view, one):
        raise CannotJoin(
            f"{one} and {other} are one on record already: {_told(view, chain(view, one, other))}. Nothing to record."
        )
    if (why := classes_apart(view, one, other)) is not None:
        raise CannotJoin(
            f"{view.label(one)} ({one}) and {view.label(other)} ({other}) cannot be one: {why}. "
            "If a class is wrong, record the right one with a note; a person and the firm are joined by founderOf."
        )
    return _note(
        view, basis, _claim(identity_property(view), one, other, basis), known_different(view, one, other)
    )


def split_note(view: WorkingView, one: str, other: str, basis: Basis) -> Note:
    """The note that takes back that two things are one: own claims are withdrawn, those of others set aside.

    :raises CannotJoin: if no claim joins them, or others do so only by way of a third.
    """
    one, other = _two_things(view, one, other)
    direct = _joining(view, one, other)
    if not direct:
        way = chain(view, one, other)
        if not way:
            raise CannotJoin(f"{one} and {other} are not joined on record; there is nothing to split.")
        raise CannotJoin(
            f"{one} and {other} are one by way of others: {_told(view, way)}. Split one of these pairs instead."
        )
    return _note(view, basis, None, direct)


def different_note(view: WorkingView, one: str, other: str, basis: Basis) -> Note:
    """The note that says that two things are two, though they are easily taken for one.

    :raises CannotJoin: if that is on record already, or others join them by way of a third.
    """
    one, other = _two_things(view, one, other)
    if found := known_different(view, one, other):
        raise CannotJoin(f"That is on record already: {_told(view, found)}. Nothing to record.")
    direct = _joining(view, one, other)
    way = chain(view, one, other)
    if way and not direct:
        raise CannotJoin(
            f"{one} and {other} are one by way of others: {_told(view, way)}. Split one of these pairs first."
        )
    return _note(view, basis, _claim(DIFFERENT, one, other, basis), direct)


def chain(view: WorkingView, one: str, other: str) -> tuple[Claim, ...]:
    """The fewest claims of identity that lead from one thing to another; none if nothing does."""
    identity = identity_property(view)
    ways: dict[str, tuple[Claim, ...]] = {one: ()}
    edge = [one]
    while edge and other not in ways:
        step: list[str] = []
        for at in edge:
            for claim in (*view.by_subject.get(at, ()), *view.by_value.get(at, ())):
                end = claim.value if claim.subject == at else claim.subject
                if claim.property == identity and end not in ways:
                    ways[end] = (*ways[at], claim)
                    step.append(end)
        edge = step
    return ways.get(other, ())


def view_with(view: WorkingView, entry: Entry) -> WorkingView:
    """The view as it would be with an entry recorded."""
    entries = [*view.entries.values(), entry]
    return WorkingView.of(view.vocabulary, entries, as_of=view.as_of, convention=view.convention)


def conflicts_of(after: WorkingView, entry: Entry) -> tuple[Conflict, ...]:
    """What cannot all be true in a view with an entry: the conflicts in which a claim of the entry takes part."""
    chronology = Chronology(after)
    everything = chronology.everything
    new = {claim.id for claim in entry.claims}
    numbers = dict.fromkeys((*everything.repaired.conflicts, *everything.all_conflicts.conflicts))
    conflicts = [chronology.conflict(found) for found in numbers]
    return tuple(c for c in conflicts if any(claim.id in new for claim in c.claims))


def _two_things(view: WorkingView, one: str, other: str) -> tuple[str, str]:
    slugs = view.thing(one).slug, view.thing(other).slug
    if slugs[0] == slugs[1]:
        raise CannotJoin(
            f"{one!r} and {other!r} are one and the same entry in the daybook, {slugs[0]}. Name two things."
        )
    return slugs


def _joining(view: WorkingView, one: str, other: str) -> tuple[Claim, ...]:
    """The live claims that say that just these two are one."""
    identity = identity_property(view)
    claims = (*view.by_subject.get(one, ()), *view.by_value.get(one, ()))
    return tuple(c for c in claims if c.property == identity and {c.subject, c.value} == {one, other})


def _claim(says: str, one: str, other: str, basis: Basis) -> Mapping[str, Any]:
    own = own_judgement(basis.researcher)
    return {
        "about": one,
        "says": says,
        "value": other,
        "source": basis.source or own["id"],
        "locator": basis.locator if basis.source else basis.why,
    }


def own_judgement(researcher: str) -> Mapping[str, Any]:
    """The source that stands for what a researcher concludes: its id, class and name."""
    name = "-".join(plain(researcher).split()) or "researcher"
    return {"id": f"judgement-of-{name}", "kind": "Source", "label": f"Own judgement of {researcher.strip()}"}


def _note(view: WorkingView, basis: Basis, claim: Mapping[str, Any] | None, ended: Iterable[Claim]) -> Note:
    """The note, read by the reader of typed notes, so that its texts are held to the same rules."""
    if not basis.why.strip():
        raise CannotJoin("No reason is given. Say why, so that a later reader can judge it.")
    tables: dict[str, Any] = {"researcher": basis.researcher, "remark": basis.why}
    if claim is not None:
        tables["claim"] = [claim]
        own = own_judgement(basis.researcher)
        if basis.source is None and own["id"] not in view.things:
            tables["thing"] = [own]
    judgements = [{"claim": c.id, "finds": _finding(view, c, basis), "why": basis.why} for c in ended]
    if judgements:
        tables["judgement"] = judgements
    return note_from_tables(tables, view)


def _finding(view: WorkingView, claim: Claim, basis: Basis) -> str:
    """One withdraws what one said oneself, and sets aside what another said."""
    entry = view.entries.get(claim.entry)
    return "withdrawn" if entry is not None and entry.researcher == basis.researcher else "setAside"


def _told(view: WorkingView, claims: Iterable[Claim]) -> str:
    return "; ".join(f"{view.sentence(claim)} ({claim.id}, {view.cite(claim.citation)})" for claim in claims)
