"""The cheapest claims that touch every conflict, exactly (a minimum-cost hitting set)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from typing import Final

import numpy as np
from scipy import optimize, sparse

Conflict = frozenset[int]

#: Up to so many conflicts in one piece, branching answers sooner than an integer program can be set up.
_BRANCHING_SUFFICES: Final = 12


def cheapest_hitting_set(conflicts: Collection[Conflict], cost: Sequence[int]) -> frozenset[int]:
    """Claims of least total cost, at least one out of each conflict; the same answer for the same input.

    >>> sorted(cheapest_hitting_set([frozenset({0, 1}), frozenset({0, 2})], [3, 2, 2]))
    [0]
    """
    chosen, left = _reduced(sorted(conflicts, key=sorted), cost)
    for component in _components(left):
        small = len(component) <= _BRANCHING_SUFFICES
        chosen |= (None if small else by_integer_program(component, cost)) or by_branching(component, cost)
    return frozenset(chosen)


def _reduced(conflicts: list[Conflict], cost: Sequence[int]) -> tuple[set[int], list[Conflict]]:
    """Choose what has no alternative and drop claims that another does the work of for no more."""
    chosen: set[int] = set()
    while True:
        single = {claim for conflict in conflicts if len(conflict) == 1 for claim in conflict}
        chosen |= single
        conflicts = [conflict for conflict in conflicts if single.isdisjoint(conflict)]
        needless = _dominated(conflicts, cost)
        if not single and not needless:
            return chosen, conflicts
        conflicts = list(dict.fromkeys(conflict - needless for conflict in conflicts))


def _dominated(conflicts: list[Conflict], cost: Sequence[int]) -> set[int]:
    touches: dict[int, set[int]] = defaultdict(set)
    for number, conflict in enumerate(conflicts):
        for claim in conflict:
            touches[claim].add(number)
    needless: set[int] = set()
    for claim in sorted(touches, reverse=True):
        rivals = min((conflicts[number] for number in sorted(touches[claim])), key=len)
        if any(
            rival != claim
            and rival not in needless
            and cost[rival] <= cost[claim]
            and touches[claim] <= touches[rival]
            for rival in rivals
        ):
            needless.add(claim)
    return needless


def _components(conflicts: list[Conflict]) -> list[list[Conflict]]:
    """The conflicts in groups that share no claim."""
    of_claim: dict[int, list[Conflict]] = {}
    for conflict in conflicts:
        groups = {id(group): group for claim in conflict if (group := of_claim.get(claim)) is not None}
        merged = [conflict]
        for group in groups.values():
            merged.extend(group)
        of_claim.update((claim, merged) for member in merged for claim in member)
    unique = {id(group): group for group in of_claim.values()}
    return [sorted(group, key=sorted) for group in unique.values()]


def by_integer_program(conflicts: list[Conflict], cost: Sequence[int]) -> set[int] | None:
    """The optimum by scipy's HiGHS, or None if it does not report a proven one."""
    claims = sorted(frozenset().union(*conflicts))
    column = {claim: place for place, claim in enumerate(claims)}
    rows = [number for number, conflict in enumerate(conflicts) for _ in conflict]
    columns = [column[claim] for conflict in conflicts for claim in sorted(conflict)]
    table = sparse.csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(conflicts), len(claims)))
    answer = optimize.milp(
        np.array([cost[claim] for claim in claims], dtype=np.float64),
        integrality=np.ones(len(claims), dtype=np.int64),
        bounds=optimize.Bounds(0, 1),
        constraints=optimize.LinearConstraint(table, lb=1),
        options={"mip_rel_gap": 0},
    )
    if answer.status != 0:
        return None
    chosen = {claim for claim, share in zip(claims, answer.x, strict=True) if share > 0.5}
    return chosen if all(chosen & conflict for conflict in conflicts) else None


def by_branching(conflicts: list[Conflict], cost: Sequence[int]) -> set[int]:
    """The optimum by branch and bound, without a solver: exact, and slow beyond some dozens of conflicts."""
    best = set().union(*conflicts)
    best_cost = sum(cost[claim] for claim in best)
    waiting: list[tuple[set[int], set[int]]] = [(set(), set())]  # claims chosen, claims ruled out
    while waiting:
        chosen, ruled_out = waiting.pop()
        left = [conflict - ruled_out for conflict in conflicts if chosen.isdisjoint(conflict)]
        spent = sum(cost[claim] for claim in chosen)
        if not left:
            if spent < best_cost:
                best, best_cost = chosen, spent
            continue
        if spent + _least(left, cost) >= best_cost:
            continue
        options = min((sorted(conflict) for conflict in left), key=lambda option: (len(option), option))
        for place in reversed(range(len(options))):
            waiting.append((chosen | {options[place]}, ruled_out | set(options[:place])))
    return best


def _least(conflicts: list[Conflict], cost: Sequence[int]) -> int:
    """What conflicts that share no claim must cost at the least."""
    total, used = 0, set[int]()
    for conflict in sorted(conflicts, key=len):
        if used.isdisjoint(conflict):
            total += min((cost[claim] for claim in conflict), default=0)
            used |= conflict
    return total
