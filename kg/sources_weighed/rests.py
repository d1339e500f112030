"""What each bound of a chronology rests on, indexed once, so that leaving claims out touches only what rests on them.

The solver keeps one shortest chain for every bound; together the chains of one side form a tree that grows out of the
calendar. Leaving claims out moves bounds outward only, and only bounds above which the tree holds one of these claims.
Those are asked anew; all others stand. Where a claim that is left out is in a conflict, claims that were set aside
for its sake come back. Then the verdicts are those of ``Chronology.leaving_out`` and the windows those of the network
repaired again, which is slower.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kg.chronology.audit import MOST_READINGS, Audit, TestedDating
from kg.chronology.chronology import Chronology, Solved, window_at
from kg.chronology.constraints import Integers, Network
from kg.chronology.local import Limit, Local, Supposition
from kg.chronology.network import masks
from kg.chronology.ticks import first_day, last_day
from kg.chronology.verdict import Verdict, judge_widened
from kg.dates.window import Window
from kg.daybook.record import Claim


@dataclass(frozen=True, slots=True)
class WiderWindow:
    """A span of time that is known less closely without the fallen claims."""

    thing: str
    span: str
    before: Window
    after: Window


@dataclass(frozen=True, slots=True)
class ChangedVerdict:
    """A dating whose verdict is another without the fallen claims."""

    claim: Claim
    before: Verdict
    after: Verdict


class Tree:
    """The shortest chains of one side of a solved network, as a tree that can be walked away from the calendar."""

    def __init__(self, network: Network, into: Integers, near: Integers) -> None:
        self.onward: dict[int, list[int]] = defaultdict(list)
        self.by_claim: dict[int, list[int]] = defaultdict(list)
        claims = network.claims.tolist()
        ends = near.tolist()
        for point, edge in enumerate(into.tolist()[: network.size]):
            if edge >= 0:
                self.onward[ends[edge]].append(point)
                if claims[edge] >= 0:
                    self.by_claim[claims[edge]].append(point)

    def resting_on(self, claims: frozenset[int]) -> frozenset[int]:
        """The points whose chain holds one of some claims."""
        edge = [point for claim in claims for point in self.by_claim.get(claim, ())]
        found = set(edge)
        while edge:
            ahead = [point for here in edge for point in self.onward.get(here, ()) if point not in found]
            found.update(ahead)
            edge = ahead
        return frozenset(found)


class Chains:
    """The bounds of a solved network with what they rest on."""

    def __init__(self, local: Local) -> None:
        self.local = local
        solution, network = local.solution, local.network
        assert solution.inward is not None
        self.sides = local.outward, local.inward  # made ready now, not by the first question
        self.latest = Tree(network, solution.outward.into, network.tails)
        self.earliest = Tree(network, solution.inward.into, network.heads)

    def leaving_out(self, claims: frozenset[int]) -> Moved:
        """The bounds that may move without some claims."""
        return Moved(self, claims)


class Moved:
    """The bounds of a network without some claims."""

    def __init__(self, chains: Chains, claims: frozenset[int]) -> None:
        self.chains = chains
        self.latest = chains.latest.resting_on(claims)
        self.earliest = chains.earliest.resting_on(claims)
        self._claims = claims

    @cached_property
    def _asked(self) -> Supposition:
        return self.chains.local.suppose(self._claims)

    def points(self) -> frozenset[int]:
        """Every point one of whose bounds may have moved."""
        return self.latest | self.earliest

    def window(self, base: int) -> Window:
        """The tightest window of the span that begins at a point."""
        old = window_at(self.chains.local.solution, base)
        return Window(
            self._day(base, Limit.EARLIEST, old.begin_earliest),
            self._day(base, Limit.LATEST, old.begin_latest),
            self._day(base + 1, Limit.EARLIEST, old.end_earliest),
            self._day(base + 1, Limit.LATEST, old.end_latest),
        )

    def _day(self, point: int, limit: Limit, old: int | None) -> int | None:
        if point not in (self.latest if limit is Limit.LATEST else self.earliest):
            return old
        step = self._asked.bound(point, limit).value
        if step is None:
            return None
        return last_day(step) if limit is Limit.LATEST else first_day(step)


class Rests:
    """A whole daybook's chronology with what each of its bounds and verdicts rests on."""

    def __init__(self, audit: Audit) -> None:
        self.audit = audit
        self.chronology = audit.chronology

    def prepare(self) -> None:
        """Work out now what the first question would have to wait for."""
        self.verdicts(frozenset())
        self.wider(frozenset())
        self._spans  # noqa: B018  # worked out for its own sake

    # ------------------------------------------------------------ verdicts

    def verdicts(self, fallen: frozenset[str]) -> tuple[ChangedVerdict, ...]:
        """The datings that stand with another verdict without some claims; a dating that falls itself has none."""
        after = self._verdicts_after(fallen)
        return tuple(
            ChangedVerdict(dating.claim, dating.verdict, after[dating.claim.id])
            for dating in self.datings_of(frozenset(after))
            if dating.claim.id not in fallen and after[dating.claim.id] is not dating.verdict
        )

    @cached_property
    def _place(self) -> Mapping[str, int]:
        return {dating.claim.id: place for place, dating in enumerate(self.audit.datings)}

    @cached_property
    def _base(self) -> tuple[int, ...]:
        """The point at which the span of each dating begins."""
        properties, bases = self.chronology.view.vocabulary.properties, self.chronology.made.bases
        return tuple(
            bases[d.claim.subject, properties[d.claim.property].rules[0].subject_span]
            for d in self.audit.datings
        )

    @cached_property
    def _datings_at(self) -> Mapping[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        for place, base in enumerate(self._base):
            found[base].append(place)
        return found

    @cached_property
    def _evidence(self) -> Chains:
        return Chains(self.chronology.evidence.local)

    @cached_property
    def _readings(self) -> tuple[tuple[Chains, frozenset[int]], ...]:
        """Each reading of contested evidence, with the datings that cannot fit under it."""
        evidence = self.chronology.evidence
        found = []
        for number in sorted(evidence.repaired.removed)[:MOST_READINGS]:
            local = evidence.reading_with(number)
            if local is not None:
                moved = Chains(local).leaving_out(frozenset())
                cannot = [n for n in range(len(self._base)) if self._judged(moved, n) is Verdict.CANNOT]
                found.append((moved.chains, frozenset(cannot)))
        return tuple(found)

    def _judged(self, moved: Moved, place: int) -> Verdict:
        view, claim = self.chronology.view, self.audit.datings[place].claim
        bounds = moved.window(self._base[place])
        return judge_widened(view.core(claim), view.window(claim), bounds.end_earliest, bounds.begin_latest)

    def datings_of(self, names: frozenset[str]) -> tuple[TestedDating, ...]:
        """The datings that are among some claims, in order of entry."""
        places = sorted(self._place[name] for name in names if name in self._place)
        return tuple(self.audit.datings[place] for place in places)

    def _verdicts_after(self, fallen: frozenset[str]) -> Mapping[str, Verdict]:
        """The verdict of every dating that could have another, by its claim's id."""
        chronology = self.chronology.leaving_out(fallen)
        if chronology is not self.chronology:
            return {dating.claim.id: dating.verdict for dating in Audit(chronology).datings}
        numbers = self._numbers(fallen)
        main = self._evidence.leaving_out(numbers)
        readings = [(chains.leaving_out(numbers), cannot) for chains, cannot in self._readings]
        places = set(self._resting(main))
        for moved, cannot in readings:
            places |= self._resting(moved) & cannot
        return {self.audit.datings[n].claim.id: self._worst(n, main, readings) for n in places}

    def _worst(self, place: int, main: Moved, readings: list[tuple[Moved, frozenset[int]]]) -> Verdict:
        """The verdict, or that it cannot fit, if it cannot under some reading of what is contested."""
        under = (self._judged(moved, place) for moved, cannot in readings if place in cannot)
        if any(verdict is Verdict.CANNOT for verdict in under):
            return Verdict.CANNOT
        return self._judged(main, place)

    def _resting(self, moved: Moved) -> frozenset[int]:
        """The datings one of whose two limits may have moved."""
        bases = [*moved.latest, *(point - 1 for point in moved.earliest)]
        return frozenset(place for base in bases for place in self._datings_at.get(base, ()))

    def _numbers(self, names: frozenset[str]) -> frozenset[int]:
        numbers = self.chronology.made.claim_numbers
        return frozenset(numbers[name] for name in names if name in numbers)

    # ------------------------------------------------------------ windows

    @cached_property
    def _spans(self) -> Mapping[int, tuple[str, str]]:
        """The thing and span of each point, begin or end."""
        bases = self.chronology.made.bases.items()
        return {base + end: name for name, base in bases for end in (0, 1)}

    def wider(self, fallen: frozenset[str]) -> tuple[WiderWindow, ...]:
        """The spans known less closely without some claims, by thing and span; datings bind nothing."""
        return tuple(sorted(self._wider(fallen), key=lambda w: (w.thing, w.span)))

    def _wider(self, fallen: frozenset[str]) -> Iterator[WiderWindow]:
        numbers, before = self._numbers(fallen), self.chronology
        if self._is_contested(before.evidence, numbers):
            afters = self._windows_anew(numbers)
        else:
            moved = self._evidence.leaving_out(numbers)
            names = {self._spans[point] for point in moved.points() if point in self._spans}
            afters = {name: moved.window(before.made.bases[name]) for name in names}
        for (thing, span), after in afters.items():
            old = on_evidence(before, thing, span)
            if is_wider(after, old):
                yield WiderWindow(thing, span, old, after)

    def _windows_anew(self, numbers: frozenset[int]) -> Mapping[tuple[str, str], Window]:
        """The windows that are others when the network without some claims is repaired and solved again."""
        made, before = self.chronology.made, self.chronology.evidence.repaired.solution
        claim = np.asarray(made.claim, dtype=np.int64)
        hard, opinion = masks(made)
        kept = hard & ~opinion & ~np.isin(claim, sorted(numbers))
        after = Solved(made, kept, claim, self.chronology.costs, None).repaired.solution
        (moved,) = np.nonzero((after.latest != before.latest) | (after.earliest != before.earliest))
        names = {self._spans[point] for point in moved.tolist() if point in self._spans}
        return {name: window_at(after, made.bases[name]) for name in names}

    @staticmethod
    def _is_contested(solved: Solved, numbers: frozenset[int]) -> bool:
        """Whether leaving some claims out could bring others back that were set aside."""
        if not solved.repaired.removed:
            return False
        return bool(solved.all_conflicts.capped or numbers & solved.contested)

    def again(self, fallen: frozenset[str]) -> Chronology:
        """The whole chronology reckoned anew without some claims."""
        found = self.chronology.leaving_out(fallen)
        if found is self.chronology:
            found = Chronology(self.chronology.view.without(fallen), self.chronology.conventions)
        return found


def on_evidence(chronology: Chronology, thing: str, span: str) -> Window:
    """The tightest window of a span, from all that is held but the datings; they are tested, and bind nothing."""
    base = chronology.made.bases.get((thing, span))
    return Window() if base is None else window_at(chronology.evidence.repaired.solution, base)


def is_wider(new: Window, old: Window) -> bool:
    """Whether some bound is further out than before, and none further in.

    >>> is_wider(Window(1, 5, 3, 9), Window(2, 5, 3, 9)), is_wider(Window(1, 5, 3, 8), Window(2, 5, 3, 9))
    (True, False)
    """
    lows = [(getattr(new, name), getattr(old, name)) for name in ("begin_earliest", "end_earliest")]
    highs = [(getattr(new, name), getattr(old, name)) for name in ("begin_latest", "end_latest")]
    # A day that is not known lies further out than any.
    out = any(b is not None and (a is None or a < b) for a, b in lows) or any(
        b is not None and (a is None or a > b) for a, b in highs
    )
    further_in = any(a is not None and (b is None or a > b) for a, b in lows) or any(
        a is not None and (b is None or a < b) for a, b in highs
    )
    return out and not further_in
