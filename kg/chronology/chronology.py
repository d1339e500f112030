"""The chronology of a working view: its constraints solved, its conflicts found, its remainder ready for questions.

Three networks are made from the same claims, each when it is first asked for:

- *evidence*: hard constraints without the datings. Datings are what is tested, so they bind nothing here.
- *everything*: hard constraints with the datings: what on record cannot all be true.
- *strained*: evidence and the usual and weak rules; only those rules can be set aside in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kg.chronology.constraints import Integers, Mask, Network
from kg.chronology.local import Edge, Limit, Local, Supposition
from kg.chronology.network import (
    Constraints,
    Conventions,
    Point,
    Supposed,
    Why,
    build_constraints,
    masks,
    suppose,
)
from kg.chronology.repair import AllConflicts, Repair, all_conflicts, repair
from kg.chronology.solve import Solution, find_cycles, solve
from kg.chronology.ticks import first_day, last_day
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

Progress = Callable[[str, int, int], None]

#: What it costs to set a claim aside, in the repair: directness of its source (1 to 8) times this.
HELD, DOUBTED, DATING = 4, 1, 2
#: Above any sum of costs of usual and weak rules, so that no claim is set aside for their sake.
_NEVER = 1_000_000


@dataclass(frozen=True, slots=True)
class Step:
    """One link of a chain of reasons: a claim or a rule, and the day that follows from it."""

    claim: Claim | None
    why: Why
    day: int | None
    """The bound that holds at this step's point; None before the chain meets the calendar."""
    point: Point | None


@dataclass(frozen=True, slots=True)
class Conflict:
    """Claims that cannot all be true; without any one of them the rest can."""

    claims: tuple[Claim, ...]
    conventions: tuple[str, ...] = ()
    """The conventions without which the claims might be true together, each with its years."""


class Solved:
    """One of the three networks, repaired and solved."""

    def __init__(
        self, made: Constraints, mask: Mask, claim: Integers, cost: Integers, progress: Progress | None
    ) -> None:
        self.made = made
        self.edges = np.flatnonzero(mask)
        tail, head, weight = (
            np.asarray(values, dtype=np.int64)[mask] for values in (made.tail, made.head, made.weight)
        )
        self.network = Network(made.size, tail, head, weight, claim[mask])
        self.cost = cost
        self.progress = progress
        self.repaired: Repair = repair(self.network, cost[: self.network.claim_count], progress)

    @cached_property
    def local(self) -> Local:
        """The consistent remainder, ready for questions."""
        return Local(self.repaired.solution)

    def reading_with(self, claim: int) -> Local | None:
        """The remainder if a claim that was set aside is right after all, and those that contradict it are not.

        None where it cannot be right: it contradicts the rules by itself, or more claims than are known.
        """
        conflicts = (*self.repaired.conflicts, *self.all_conflicts.conflicts)
        partners = frozenset[int]().union(*(conflict for conflict in conflicts if claim in conflict))
        aside = (self.repaired.removed | partners) - {claim}
        solution = solve(self.network, self.network.without_claims(aside))
        return Local(solution) if solution.is_consistent else None

    @cached_property
    def contested(self) -> frozenset[int]:
        """The claims that are in some conflict."""
        return frozenset[int]().union(*self.repaired.conflicts, *self.all_conflicts.conflicts)

    @cached_property
    def all_conflicts(self) -> AllConflicts:
        """Every conflict through a claim that was set aside."""
        return all_conflicts(self.network, self.repaired, progress=self.progress)


#: How many chronologies "without some claims" are kept for the next question.
MOST_KEPT = 16


class Asked:
    """A solved network with some claims set aside and some supposed, ready to tell bounds with their reasons."""

    def __init__(
        self,
        solved: Solved,
        added: Constraints,
        supposed: Mapping[str, Claim],
        without: frozenset[int] = frozenset(),
        *,
        soft_too: bool = False,
        local: Local | None = None,
    ) -> None:
        self.solved = solved
        self.added = added
        self.supposed = supposed
        kept = [n for n in range(len(added.tail)) if soft_too or not added.is_soft[n]]
        self.kept = kept
        extra = [Edge(added.tail[n], added.head[n], added.weight[n]) for n in kept]
        self.supposition: Supposition = (local or solved.local).suppose(without, extra)

    def bound(self, point: int, limit: Limit) -> tuple[int | None, tuple[Step, ...]]:
        """The first or last day of a point, with the chain of reasons from the calendar to the point."""
        if point >= self.solved.made.size and not self._reaches(point):
            return None, ()
        bound = self.supposition.bound(point, limit)
        chain = bound.chain if limit is Limit.LATEST else bound.chain[::-1]
        return _day(bound.value, limit), tuple(self._steps(chain, limit))

    def _reaches(self, point: int) -> bool:
        return any(point in (self.added.tail[n], self.added.head[n]) for n in self.kept)

    def _steps(self, chain: Sequence[int], limit: Limit) -> Iterable[Step]:
        total = 0
        for edge in chain:
            tail, head, weight, claim, why = self.edge(edge)
            total += weight
            point = head if limit is Limit.LATEST else tail
            yield Step(claim, why, _day(total if limit is Limit.LATEST else -total, limit), self.point(point))

    def edge(self, edge: int) -> tuple[int, int, int, Claim | None, Why]:
        """Tail, head, weight, claim and rule of an edge of the network, or of a supposed one."""
        count = self.solved.network.edge_count
        if edge < count:
            made, number = self.solved.made, int(self.solved.edges[edge])
            claim = made.view.claims[made.claim_ids[made.claim[number]]] if made.claim[number] >= 0 else None
        else:
            made, number = self.added, self.kept[edge - count]
            claim = self.supposed.get(made.claim_ids[made.claim[number]]) if made.claim[number] >= 0 else None
        return made.tail[number], made.head[number], made.weight[number], claim, made.whys[made.why[number]]

    def point(self, number: int) -> Point | None:
        """What a point stands for."""
        names = self.solved.made.point_names
        if number < len(names):
            return names[number]
        for (thing, span), base in self.added.bases.items():
            if base in (number, number - 1):
                return Point(thing, span, "begin" if base == number else "end")
        return None


def window_at(solution: Solution, base: int) -> Window:
    """The tightest window, in days, of the span that begins at a point."""
    (a, b), (c, d) = solution.window(base), solution.window(base + 1)
    return Window(
        _day(a, Limit.EARLIEST), _day(b, Limit.LATEST), _day(c, Limit.EARLIEST), _day(d, Limit.LATEST)
    )


def _day(step: int | None, limit: Limit) -> int | None:
    """The day that a bound in calendar steps stands for."""
    if step is None:
        return None
    return last_day(step) if limit is Limit.LATEST else first_day(step)


class Chronology:
    """What a working view says of time, under the conventions that are switched on."""

    def __init__(
        self, view: WorkingView, conventions: Conventions | None = None, progress: Progress | None = None
    ) -> None:
        self.view = view
        self.conventions = conventions or Conventions()
        self.progress = progress

    @cached_property
    def made(self) -> Constraints:
        """Every constraint, hard and soft, with and without opinions."""
        return build_constraints(self.view, self.conventions)

    @cached_property
    def evidence(self) -> Solved:
        """Hard constraints without the datings that are tested."""
        hard, opinion = masks(self.made)
        return self._solved(hard & ~opinion)

    @cached_property
    def everything(self) -> Solved:
        """Hard constraints with the datings."""
        hard, _ = masks(self.made)
        return self._solved(hard)

    @cached_property
    def strained(self) -> Solved:
        """Evidence with the usual and weak rules; each soft constraint is blamed alone."""
        made = self.made
        hard, opinion = masks(made)
        claim = np.asarray(made.claim, dtype=np.int64)
        removed = np.asarray(sorted(self.evidence.repaired.removed), dtype=np.int64)
        mask = ~opinion & ~np.isin(claim, removed)
        soft = np.flatnonzero(~hard & mask)
        first = len(made.claim_ids)
        claim = claim.copy()
        claim[soft] = first + np.arange(len(soft))
        ranks = [self.view.vocabulary.strengths[made.whys[made.why[n]].strength] for n in soft]
        cost = np.concatenate([np.full(first, _NEVER), np.asarray(ranks, dtype=np.int64)])
        return Solved(made, mask, claim, cost, self.progress)

    def soft_edge(self, pseudo: int) -> int:
        """The constraint that a blamed soft rule of the strained network stands for."""
        solved = self.strained
        (places,) = np.nonzero(solved.network.claims == pseudo)
        return int(solved.edges[places[0]])

    def leaving_out(self, claims: frozenset[str]) -> Chronology:
        """The chronology as it would be without some claims.

        Where none of them is in a conflict it is this one, and questions leave them out as they are asked. Where one
        is, claims that were set aside for its sake come back, so that all is reckoned anew.
        """
        evidence, numbers = self.evidence, self.made.claim_numbers
        if not evidence.repaired.removed:
            return self
        touched = {numbers[claim] for claim in claims if claim in numbers}
        if not evidence.all_conflicts.capped and not touched & evidence.contested:
            return self
        found = self._without.get(claims)
        if found is None:
            if len(self._without) >= MOST_KEPT:
                self._without.clear()
            found = self._without[claims] = Chronology(
                self.view.without(claims), self.conventions, self.progress
            )
        return found

    @cached_property
    def _without(self) -> dict[frozenset[str], Chronology]:
        return {}

    def _solved(self, mask: Mask) -> Solved:
        made = self.made
        return Solved(made, mask, np.asarray(made.claim, dtype=np.int64), self.costs, self.progress)

    @cached_property
    def costs(self) -> Integers:
        """What it costs to set each claim aside: more for direct sources, less for doubted claims and datings."""
        return np.asarray(
            [self.cost(self.view.claims[claim]) for claim in self.made.claim_ids], dtype=np.int64
        )

    def cost(self, claim: Claim) -> int:
        """The cost of setting one claim aside."""
        vocabulary = self.view.vocabulary
        factor = DATING if vocabulary.property(claim.property).is_opinion else HELD
        if self.view.standing(claim.id) == "doubted":
            factor = DOUBTED
        return factor * vocabulary.directness(self.view.kinds(claim.citation.source))

    def ask(
        self,
        solved: Solved,
        *,
        without: Iterable[str] = (),
        supposing: Sequence[Supposed] = (),
        soft_too: bool = False,
        local: Local | None = None,
    ) -> Asked:
        """A network as it would be without some claims and with some supposed."""
        numbers = self.made.claim_numbers
        aside = frozenset(numbers[claim] for claim in without if claim in numbers)
        named = {claim.id: claim for claim, _ in supposing}
        return Asked(solved, suppose(self.made, supposing), named, aside, soft_too=soft_too, local=local)

    def conflict(self, numbers: Iterable[int]) -> Conflict:
        """The claims behind the numbers of an irreducible conflict, and the conventions that play a part in it."""
        wanted = sorted(numbers)
        claims = tuple(self.view.claims[self.made.claim_ids[number]] for number in wanted)
        return Conflict(claims, self._conventions_in(wanted))

    def _conventions_in(self, numbers: Sequence[int]) -> tuple[str, ...]:
        """The conventions along a cycle of constraints that some claims and the rules form."""
        made, solved = self.made, self.everything
        network = solved.network
        resting = np.isin(network.claims, np.asarray(numbers, dtype=np.int64))
        points = np.unique(np.concatenate([network.tails[resting], network.heads[resting]]))
        points = points[points > 0]
        # The rules that join these points to each other, and the spans of the same things.
        things = {name.thing for p in points if (name := made.point_names[int(p)]) is not None}
        near = [base + end for (thing, _), base in self._bases_of(things) for end in (0, 1)]
        inside = np.isin(network.tails, near) & np.isin(network.heads, near) & (network.claims < 0)
        edges = np.flatnonzero(resting | inside)
        small = Network(
            network.size,
            network.tails[edges],
            network.heads[edges],
            network.weights[edges],
            network.claims[edges],
        )
        cycles = find_cycles(small)
        whys = [made.whys[made.why[int(solved.edges[edges[e]])]] for e in (cycles[0] if cycles else ())]
        return tuple(dict.fromkeys(f"{w.convention} ({w.years} years)" for w in whys if w.convention))

    def _bases_of(self, things: Iterable[str]) -> list[tuple[tuple[str, str], int]]:
        return [
            ((t, span), self.made.bases[t, span]) for t in things for span in self._spans_by_thing.get(t, ())
        ]

    @cached_property
    def _spans_by_thing(self) -> Mapping[str, list[str]]:
        found: dict[str, list[str]] = {}
        for thing, span in self.made.bases:
            found.setdefault(thing, []).append(span)
        return found

    def window(self, thing: str, span: str) -> Window:
        """The tightest window of a span, from everything that is held."""
        base = self.made.bases.get((thing, span))
        if base is None:
            return Window()
        return window_at(self.everything.repaired.solution, base)
