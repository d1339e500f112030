"""The whole daybook's chronology: datings that cannot stand, claims that cannot all be true, and what to doubt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from kg.chronology.chronology import Asked, Chronology, Conflict, Solved, window_at
from kg.chronology.local import Limit, Local
from kg.chronology.network import suppose
from kg.chronology.verdict import Side, Verdict, judge_widened
from kg.dates.window import Window
from kg.daybook.record import Claim

#: How many set-aside claims are tried as right after all, each by solving once more.
MOST_READINGS = 500


@dataclass(frozen=True, slots=True)
class TestedDating:
    """A dating on record with its verdict; the limits' reasons where it cannot fit."""

    claim: Claim
    window: Window
    verdict: Verdict
    not_before: Side
    not_after: Side
    contested: Claim | None = None
    """A claim that it rests on and that the least doubtful repair set aside; None where it rests on none such."""


@dataclass(frozen=True, slots=True)
class StrainedRule:
    """A usual or weak rule that claims on record break together."""

    strength: str
    rule: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True)
class Audit:
    """What the chronology says of the whole daybook."""

    chronology: Chronology

    @cached_property
    def datings(self) -> tuple[TestedDating, ...]:
        """Every dating with its verdict, in order of entry.

        Where claims that bound it are in conflict with each other, a dating that cannot fit if one of them is right
        cannot fit; the claim is named as contested.
        """
        evidence = self.chronology.evidence
        found = {dating.claim.id: dating for dating in self._tested(evidence, evidence.local)}
        for number in sorted(evidence.repaired.removed)[:MOST_READINGS]:
            contested = self.chronology.view.claims[self.chronology.made.claim_ids[number]]
            reading = evidence.reading_with(number)
            for dating in (
                self._tested(evidence, reading, only_impossible=True) if reading is not None else ()
            ):
                if found[dating.claim.id].verdict is not Verdict.CANNOT:
                    found[dating.claim.id] = replace(dating, contested=contested)
        return tuple(found.values())

    @property
    def impossible(self) -> tuple[TestedDating, ...]:
        """The datings that cannot fit."""
        return tuple(dating for dating in self.datings if dating.verdict is Verdict.CANNOT)

    def count(self, verdict: Verdict) -> int:
        """How many datings have a verdict."""
        return sum(dating.verdict is verdict for dating in self.datings)

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Irreducible sets of claims that cannot all be true, datings among them."""
        everything = self.chronology.everything
        found = {*everything.repaired.conflicts, *everything.all_conflicts.conflicts}
        return tuple(self.chronology.conflict(numbers) for numbers in sorted(found, key=sorted))

    @cached_property
    def doubtful(self) -> tuple[Claim, ...]:
        """The least doubtful repair: the cheapest claims to set aside so that the rest can all be true."""
        everything = self.chronology.everything
        ids = self.chronology.made.claim_ids
        return tuple(self.chronology.view.claims[ids[n]] for n in sorted(everything.repaired.removed))

    @property
    def is_search_capped(self) -> bool:
        """Whether some claim is in more conflicts than are listed."""
        return bool(self.chronology.everything.all_conflicts.capped)

    @cached_property
    def strains(self) -> tuple[StrainedRule, ...]:
        """The usual and weak rules that evidence breaks, each with the claims that break it together."""
        return tuple(self._strained())

    @cached_property
    def strained_datings(self) -> tuple[TestedDating, ...]:
        """The datings that hard evidence allows and usual or weak rules do not, with the reasons of those rules."""
        cannot = {dating.claim.id for dating in self.impossible}
        strained = self.chronology.strained
        tested = self._tested(strained, strained.local, only_impossible=True)
        return tuple(dating for dating in tested if dating.claim.id not in cannot)

    @cached_property
    def _datings(self) -> tuple[tuple[Claim, int, Window, Window], ...]:
        """Each dating with the point at which its span begins, its core and its window."""
        view, made = self.chronology.view, self.chronology.made
        found = []
        for claim in view.live:
            prop = view.vocabulary.properties.get(claim.property)
            if prop is not None and prop.is_opinion and prop.is_date and prop.rules:
                base = made.bases[claim.subject, prop.rules[0].subject_span]
                found.append((claim, base, view.core(claim), view.window(claim)))
        return tuple(found)

    def _tested(
        self, solved: Solved, local: Local, *, only_impossible: bool = False
    ) -> Iterator[TestedDating]:
        asked = Asked(solved, suppose(self.chronology.made, ()), {}, local=local)
        for claim, base, core, window in self._datings:
            bounds = window_at(local.solution, base)
            low, high = bounds.end_earliest, bounds.begin_latest
            verdict = judge_widened(core, window, low, high)
            if verdict is Verdict.CANNOT:
                below, above = asked.bound(base + 1, Limit.EARLIEST)[1], asked.bound(base, Limit.LATEST)[1]
                yield TestedDating(claim, window, verdict, Side(low, below), Side(high, above))
            elif not only_impossible:
                yield TestedDating(claim, window, verdict, Side(low), Side(high))

    def _strained(self) -> Iterator[StrainedRule]:
        chronology = self.chronology
        solved = chronology.strained
        first_soft = len(chronology.made.claim_ids)
        for numbers in solved.repaired.conflicts:
            soft = sorted(n for n in numbers if n >= first_soft)
            edges = [chronology.soft_edge(n) for n in soft]
            known = {n for n in numbers if n < first_soft} | {chronology.made.claim[e] for e in edges}
            claims = chronology.conflict(n for n in known if n >= 0).claims
            told = [
                (self._strength(edge), chronology.made.whys[chronology.made.why[edge]].label)
                for edge in edges
            ]
            if told:
                ranks = chronology.view.vocabulary.strengths
                strength, rule = min(told, key=lambda pair: ranks[pair[0]])
                yield StrainedRule(strength, rule, claims)

    def _strength(self, edge: int) -> str:
        """The strength of a constraint: the weaker of its rule's and its claim's."""
        made, view = self.chronology.made, self.chronology.view
        both = [made.whys[made.why[edge]].strength]
        if made.claim[edge] >= 0:
            both.append(view.claims[made.claim_ids[made.claim[edge]]].strength)
        return min(both, key=lambda strength: view.vocabulary.strengths[strength])
