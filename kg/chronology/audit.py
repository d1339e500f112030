"""The whole daybook's chronology: datings that cannot stand, claims that cannot all be true, and what to doubt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kg.chronology.chronology import Asked, Chronology, Conflict, Solved, Step
from kg.chronology.local import Limit
from kg.chronology.network import suppose
from kg.chronology.solve import UNBOUNDED
from kg.chronology.verdict import Side, Verdict, judge
from kg.dates.window import Window
from kg.daybook.record import Claim


@dataclass(frozen=True, slots=True)
class TestedDating:
    """A dating on record with its verdict; the limits' reasons where it cannot fit."""

    claim: Claim
    window: Window
    verdict: Verdict
    not_before: Side
    not_after: Side


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
        """Every dating with its verdict, in order of entry."""
        return tuple(self._tested(self.chronology.evidence))

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
        tested = self._tested(self.chronology.strained)
        return tuple(d for d in tested if d.verdict is Verdict.CANNOT and d.claim.id not in cannot)

    def _tested(self, solved: Solved) -> Iterator[TestedDating]:
        chronology = self.chronology
        view, made = chronology.view, chronology.made
        solution = solved.repaired.solution
        earliest, latest = solution.earliest, solution.latest
        asked = Asked(solved, suppose(made, ()), {})
        for claim in view.live:
            prop = view.vocabulary.properties.get(claim.property)
            if prop is None or not (prop.is_opinion and prop.is_date and prop.rules):
                continue
            base = made.bases[claim.subject, prop.rules[0].subject_span]
            first, last = int(earliest[base + 1]), int(latest[base])
            low = None if first == -UNBOUNDED else first
            high = None if last == UNBOUNDED else last
            window = view.window(claim)
            verdict = judge(window, low, high)
            reasons = _reasons(asked, base) if verdict is Verdict.CANNOT else ((), ())
            yield TestedDating(claim, window, verdict, Side(low, reasons[0]), Side(high, reasons[1]))

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


def _reasons(asked: Asked, base: int) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    return asked.bound(base + 1, Limit.EARLIEST)[1], asked.bound(base, Limit.LATEST)[1]
