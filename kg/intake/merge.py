"""Another daybook brought in by its entries, and what comes of it: new conflicts, names that mean two things, doubts.

An entry is the same wherever it lies, so merging is a union of sets: in whatever order and however often daybooks are
merged, the same entries stand in the end. An entry file that is damaged over there is left out and named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Chronology, Conflict
from kg.daybook.daybook import Daybook
from kg.daybook.record import Claim, Entry, Thing
from kg.daybook.shelf import Damage, Shelf, entry_of
from kg.daybook.trig import read_entries
from kg.daybook.view import Sense, WorkingView
from kg.errors import KilnmarkError

Progress = Callable[[str, int, int], None]


class BadMerge(KilnmarkError):
    """A daybook cannot be merged into this one."""


@dataclass(frozen=True, slots=True)
class TwoMeanings:
    """A name that stands for one thing here and, it seems, for another there."""

    here: Thing
    there: Thing
    is_other_kind: bool
    """True: no class of the one is a class of the other. False: only the display names differ."""


@dataclass(frozen=True, slots=True)
class Rejudged:
    """A claim of this daybook whose standing the other one's judgements change."""

    claim: Claim
    before: str
    after: str


@dataclass(frozen=True)
class MergePlan:
    """What merging another daybook would bring, and what would come of it."""

    folder: Path
    files: tuple[str, ...]
    """The entry files that are new here, in order of their time."""
    entries: tuple[Entry, ...]
    known: int
    refused: tuple[Damage, ...]
    not_understood: tuple[str, ...]
    """What the vocabulary of this daybook does not know; it comes in and takes no part."""
    meanings: tuple[TwoMeanings, ...]
    rejudged: tuple[Rejudged, ...]
    after: WorkingView
    conflicts: tuple[Conflict, ...]
    """Claims that cannot all be true, and that did not stand against each other here before."""
    wholly_theirs: tuple[bool, ...]
    """For each of these conflicts, whether it lies wholly in what comes in."""
    impossible: tuple[TestedDating, ...]
    """Datings of this daybook that could stand before and cannot fit with what comes in."""
    theirs_impossible: tuple[TestedDating, ...]
    """Datings that come in and cannot fit."""

    @property
    def claims(self) -> int:
        """How many claims come in."""
        return sum(len(entry.claims) for entry in self.entries)


def plan_merge(daybook: Daybook, folder: Path, progress: Progress | None = None) -> MergePlan:
    """What merging the daybook in a folder would bring; nothing is written.

    :raises kg.daybook.shelf.NoDaybook: if there is no daybook in that folder.
    :raises BadMerge: if it is this daybook itself.
    """
    if folder.resolve() == daybook.shelf.folder.resolve():
        raise BadMerge(f"{folder} is this daybook itself. Name the folder of the other one.")
    theirs = Shelf.open(folder)
    names = theirs.names()
    new = [name for name in names if not daybook.shelf.path(name).exists()]
    before = daybook.view()
    whole, entries, refused = _looked_through(theirs, new, before, progress)
    sense = Sense(before.vocabulary)
    told = tuple(fault for entry in entries for fault in sense.faults_of(entry))
    after = WorkingView.of(before.vocabulary, [*before.entries.values(), *entries], revision="merged")
    if progress:
        progress("looking for conflicts", 0, 0)
    was, will = Audit(Chronology(before)), Audit(Chronology(after))
    conflicts = _new_conflicts(was, will)
    return MergePlan(
        folder,
        tuple(whole),
        tuple(entries),
        len(names) - len(new),
        tuple(refused),
        told,
        tuple(_two_meanings(before, WorkingView.of(before.vocabulary, entries))),
        tuple(_rejudged(before, after)),
        after,
        conflicts,
        tuple(all(claim.id not in before.claims for claim in conflict.claims) for conflict in conflicts),
        *_newly_impossible(was, will),
    )


def merge(daybook: Daybook, plan: MergePlan, written: Callable[[int], None] | None = None) -> int:
    """Write the new entries, each whole, in order of their time; returns how many.

    ``written`` is told after each one how many there are, so that who breaks off knows how far it came.
    """
    theirs = Shelf.open(plan.folder)
    for number, name in enumerate(plan.files, start=1):
        daybook.shelf.write(entry_of(name), theirs.read(name))
        if written:
            written(number)
    return len(plan.files)


def _looked_through(
    theirs: Shelf, new: list[str], before: WorkingView, progress: Progress | None
) -> tuple[list[str], list[Entry], list[Damage]]:
    """The new files that are whole, their entries, and the damaged ones."""
    whole, entries, refused = [], [], []
    for number, name in enumerate(new):
        if progress and number % 100 == 0:
            progress("entries looked at", number, len(new))
        what = theirs.fault_of(name)
        if what is None:
            (entry,) = read_entries(theirs.read(name))
            what = _contradiction(entry, before)
        if what is None:
            whole.append(name)
            entries.append(entry)
        else:
            refused.append(Damage(f"entries/{name[:4]}/{name}", what))
    return whole, entries, refused


def _contradiction(entry: Entry, before: WorkingView) -> str | None:
    """What is wrong with an entry that gives another claim an id that is taken here."""
    for claim in entry.claims:
        old = before.claims.get(claim.id)
        if old is not None and old.as_draft() != claim.as_draft():
            return f"it says something else by the id {claim.id} than this daybook does"
    return None


def _two_meanings(here: WorkingView, there: WorkingView) -> Iterator[TwoMeanings]:
    for slug, thing in sorted(there.things.items()):
        old = here.things.get(slug)
        if old is None:
            continue
        lines = here.vocabulary.ancestors
        is_other = not any(
            a in lines.get(b, {b}) or b in lines.get(a, {a}) for a in old.kinds for b in thing.kinds
        )
        if is_other or old.label.casefold() != thing.label.casefold():
            yield TwoMeanings(old, thing, is_other)


def _rejudged(before: WorkingView, after: WorkingView) -> Iterator[Rejudged]:
    for claim_id, claim in before.claims.items():
        was, now = before.standing(claim_id), after.standing(claim_id)
        if was != now:
            yield Rejudged(claim, was, now)


def _new_conflicts(was: Audit, will: Audit) -> tuple[Conflict, ...]:
    known = {frozenset(claim.id for claim in conflict.claims) for conflict in was.conflicts}
    return tuple(c for c in will.conflicts if frozenset(claim.id for claim in c.claims) not in known)


def _newly_impossible(was: Audit, will: Audit) -> tuple[tuple[TestedDating, ...], tuple[TestedDating, ...]]:
    """The datings that cannot fit because of what comes in: those on record here, and those that come in."""
    ours = was.chronology.view.claims
    before = {dating.claim.id for dating in was.impossible}
    found = [dating for dating in will.impossible if dating.claim.id not in before]
    return (
        tuple(dating for dating in found if dating.claim.id in ours),
        tuple(dating for dating in found if dating.claim.id not in ours),
    )


def by_shared_claim(conflicts: Iterable[Conflict]) -> list[tuple[Claim, list[tuple[Claim, ...]]]]:
    """Conflicts by the claim that most of those left share, each once: that claim, and what stands against it."""
    left = [conflict.claims for conflict in conflicts]
    groups = []
    while left:
        counts = Counter(claim.id for claims in left for claim in claims)
        shared = max((claim for claims in left for claim in claims), key=lambda claim: counts[claim.id])
        mine = [claims for claims in left if shared in claims]
        left = [claims for claims in left if shared not in claims]
        groups.append((shared, [tuple(claim for claim in claims if claim != shared) for claims in mine]))
    return groups
