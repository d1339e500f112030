"""What recording an entry would do to the rest of the daybook: what its shapes find, and what it contradicts.

An entry of ordinary size is checked exactly as ``add`` checks a note. One of many thousand claims is checked in parts,
claim by claim, as long as the time lasts, and the answer says how far it came. The chronology is reckoned once for the
whole entry. A daybook keeps claims that contradict each other side by side, so nothing told here refuses an entry but
a claim or thing that is ill-formed by itself.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import islice

import numpy as np

from kg.checks.check import EntryChecker, check_all
from kg.checks.findings import Finding, Severity
from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Chronology, Conflict
from kg.chronology.conflicts import Rules
from kg.chronology.constraints import Network
from kg.chronology.network import masks
from kg.chronology.solve import find_cycles
from kg.daybook.record import Claim, Entry, Thing
from kg.daybook.view import LIVE, WorkingView

Progress = Callable[[str, int, int], None]

#: Entries with more claims are checked in parts of so many.
PART = 10_000
#: In a daybook with more claims than this, every entry is checked so: a store of all would take too long.
WHOLE = 150_000
#: Seconds for the checks in parts, and for the search for contradictions.
PATIENCE = 8.0
#: With more contradictions than this in a large table its datings are not tested one by one.
MANY = 1_000


@dataclass(frozen=True)
class Effects:
    """What recording an entry would bring, and how far it was looked for."""

    after: WorkingView
    """The daybook as it would be."""
    findings: tuple[Finding, ...]
    """What the shapes find because of the entry, without what the chronology tells."""
    impossible: tuple[TestedDating, ...]
    """Datings that cannot fit because of the entry."""
    conflicts: tuple[Conflict, ...]
    """Claims that cannot all be true, one of the entry's among them, where no dating above tells it."""
    untold: tuple[str, ...]
    """A sentence for each thing that was not looked for to the end."""
    audit: Audit | None = field(default=None, compare=False, repr=False)
    """What the chronology says of the daybook as it would be."""

    @property
    def refusing(self) -> tuple[Finding, ...]:
        """The violations that lie in one claim or thing alone, for which the entry is not recorded."""
        return tuple(f for f in self.findings if f.severity is Severity.VIOLATION and len(f.claims) < 2)

    @property
    def is_quiet(self) -> bool:
        """Whether nothing was found."""
        return not (self.findings or self.impossible or self.conflicts)


class _TooLong(Exception):
    """The time for a search is over."""


def effects_of(
    view: WorkingView,
    entry: Entry,
    progress: Progress | None = None,
    *,
    checker: EntryChecker | None = None,
    before: Audit | None = None,
) -> Effects:
    """What recording the entry would bring; nothing is recorded.

    ``checker`` and ``before`` are the checker and the audit of this view, where they are at hand already.
    """
    tell = progress or _silent
    untold: list[str] = []
    if len(entry.claims) <= PART and len(view.claims) <= WHOLE:
        tell("checking", 0, 0)
        found = (checker or EntryChecker(view)).check(entry).findings
    else:
        found = tuple(_in_parts(view, entry, tell, untold))
    after = WorkingView.of(
        view.vocabulary,
        [*view.entries.values(), entry],
        revision=f"{view.revision}+{entry.name}",
        convention=view.convention,
    )
    touched = _touched(entry)
    patient = _patient(tell)
    audit = Audit(Chronology(after, progress=patient))
    known = before or Audit(Chronology(view, progress=patient))
    impossible, conflicts = _contradictions(known, audit, touched, patient, untold)
    told = [frozenset(claim.id for claim in conflict.claims) for conflict in conflicts]
    dated = {dating.claim.id for dating in impossible}
    mine = touched | {thing.slug for thing in entry.things}
    kept = tuple(
        finding
        for finding in found
        if (finding.focus in mine or mine.intersection(finding.claims))
        and not any(claims <= set(finding.claims) for claims in told)
        and not (len(finding.claims) > 1 and dated.intersection(finding.claims))
    )
    return Effects(after, _each_once(kept), impossible, conflicts, tuple(untold), audit)


def _touched(entry: Entry) -> set[str]:
    """The claims that take part because of the entry: its own, and those it holds again."""
    return {claim.id for claim in entry.claims} | {
        judgement.claim for judgement in entry.judgements if judgement.standing in LIVE
    }


def _each_once(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple({(finding.focus, finding.message): finding for finding in findings}.values())


def _in_parts(view: WorkingView, entry: Entry, tell: Progress, untold: list[str]) -> Iterator[Finding]:
    """The faults of single claims of a large entry, part by part, as long as the time lasts."""
    began = time.monotonic()
    things = {**view.things, **{thing.slug: thing for thing in entry.things}}
    claims = iter(entry.claims)
    done = 0
    while part := list(islice(claims, PART)):
        if time.monotonic() - began > PATIENCE:
            untold.append(
                f"The shapes were run on the first {done:,} of {len(entry.claims):,} claims; "
                "`kilnmark audit` runs them on all."
            )
            return
        tell("checking", done, len(entry.claims))
        yield from _alone(view, part, things)
        done += len(part)
    untold.append("The shapes were run on each claim by itself; `kilnmark audit` runs them on all together.")


def _alone(view: WorkingView, part: list[Claim], things: dict[str, Thing]) -> Iterator[Finding]:
    """What is wrong with each of some claims by itself."""
    named = {slug for claim in part for slug in (claim.subject, claim.value, claim.citation.source)}
    small = WorkingView(
        view.vocabulary,
        {slug: things[slug] for slug in named if slug in things},
        {claim.id: claim for claim in part},
        {},
        {},
        "part",
        convention=view.convention,
    )
    for finding in check_all(small).findings:
        if finding.focus in small.claims and len(finding.claims) < 2:
            yield finding


def _contradictions(
    before: Audit, after: Audit, touched: set[str], patient: Progress, untold: list[str]
) -> tuple[tuple[TestedDating, ...], tuple[Conflict, ...]]:
    """The datings that cannot fit, and the conflicts, that there are because of some claims."""
    chronology = after.chronology
    impossible: tuple[TestedDating, ...] = ()
    conflicts: list[Conflict] = []
    try:
        patient("testing the dates", 0, 0)
        if len(touched) > PART:
            untold.append(
                "Of contradictions that share a claim one is told; `kilnmark audit` seeks them all."
            )
            conflicts.extend(_apart(chronology, touched, patient))
            if len(conflicts) > MANY:
                untold.append(
                    "With so many, the datings were not tested one by one; `kilnmark audit` tests them."
                )
                return (), tuple(conflicts)
        impossible = _impossible(before, after, touched)
        if len(touched) <= PART:
            conflicts.extend(_through(chronology, touched))
    except _TooLong:
        untold.append(
            f"There are so many contradictions that the search for them was ended after {PATIENCE:.0f} seconds; "
            "`kilnmark audit` goes on to the end."
        )
    told = {dating.claim.id for dating in impossible}
    return impossible, tuple(c for c in conflicts if not any(claim.id in told for claim in c.claims))


def _impossible(before: Audit, after: Audit, touched: set[str]) -> tuple[TestedDating, ...]:
    """The datings that cannot fit, and could without the claims that are touched."""
    found = after.impossible
    if all(dating.claim.id in touched for dating in found):
        return found
    known = {dating.claim.id for dating in before.impossible}
    return tuple(dating for dating in found if dating.claim.id in touched or dating.claim.id not in known)


def _through(chronology: Chronology, touched: set[str]) -> Iterator[Conflict]:
    """Every conflict that holds one of some claims."""
    everything = chronology.everything
    numbers = {
        chronology.made.claim_numbers[claim] for claim in touched if claim in chronology.made.claim_numbers
    }
    found = {*everything.repaired.conflicts, *everything.all_conflicts.conflicts}
    for conflict in sorted((c for c in found if c & numbers), key=sorted):
        yield chronology.conflict(conflict)


def _apart(chronology: Chronology, touched: set[str], patient: Progress) -> Iterator[Conflict]:
    """Conflicts of which no two share a claim, those that hold one of some claims told; quick in large networks."""
    made = chronology.made
    hard, _ = masks(made)
    tail, head, weight, claim = (
        np.asarray(values, dtype=np.int64)[hard] for values in (made.tail, made.head, made.weight, made.claim)
    )
    network = Network(made.size, tail, head, weight, claim)
    rules, aside = Rules(network), frozenset[int]()
    while cycles := find_cycles(network, network.without_claims(aside)):
        for number, cycle in enumerate(cycles):
            patient("contradictions", number, len(cycles))
            numbers = rules.irreducible(cycle)
            aside |= numbers
            claims = tuple(chronology.view.claims[made.claim_ids[n]] for n in sorted(numbers))
            if touched.intersection(claim.id for claim in claims):
                yield Conflict(claims)


def _patient(tell: Progress) -> Progress:
    """A progress callback that ends a search when its time is over."""
    began = time.monotonic()

    def told(what: str, done: int, of: int) -> None:
        if time.monotonic() - began > PATIENCE:
            raise _TooLong
        tell(what, done, of)

    return told


def _silent(what: str, done: int, of: int) -> None:
    """Tell nobody."""
