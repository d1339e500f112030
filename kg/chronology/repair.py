"""The least that must be set aside for the rest to hold, and every conflict that shows why.

Implicit hitting sets: find conflicts, choose the cheapest claims that touch each of them, and look whether
the remainder is free of conflicts; if not, learn the new ones and choose again. The claims chosen last cost
no more than any set that must be set aside, because every such set touches all conflicts found so far.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kg.chronology.conflicts import Part, Rules
from kg.chronology.constraints import Network
from kg.chronology.hitting import Conflict, cheapest_hitting_set
from kg.chronology.routes import EffortSpentError
from kg.chronology.solve import Progress, Solution, find_cycles, solve
from kg.errors import KilnmarkError


class CostError(KilnmarkError):
    """The costs of setting claims aside are not one positive whole number for each claim."""


@dataclass(frozen=True, eq=False, slots=True)
class Repair:
    """What to set aside, the conflicts that ask for it, and the windows of the remainder.

    The conflicts are those that were needed to prove the choice cheapest, not all there are.
    """

    conflicts: tuple[Conflict, ...]
    removed: frozenset[int]
    solution: Solution
    #: False where the search was cut short: nothing more could be put back, but a cheaper choice may exist.
    is_least: bool = True


#: How often a cheapest choice is tried before the search is cut short. Dozens of dates for one event, all different,
#: contradict each other in hundreds of pairs, and the proof then takes longer than anybody waits.
MOST_ROUNDS = 25


@dataclass(frozen=True, slots=True)
class AllConflicts:
    """The conflicts that the removed claims would cause, one removed claim at a time."""

    conflicts: tuple[Conflict, ...]
    #: Claims for which the search stopped at its cap: there may be more conflicts through them.
    capped: frozenset[int]


def repair(network: Network, cost: npt.ArrayLike, progress: Progress | None = None) -> Repair:
    """The claims of least total cost whose removal leaves the network consistent.

    :raises CostError: if ``cost`` is not one positive whole number per claim.
    :raises RulesContradictError: if the rules cannot hold even without a claim.
    """
    prices = _prices(network, cost)
    tell = progress or _silent
    rules = Rules(network)
    known = _first_conflicts(network, rules, tell)
    for rounds in itertools.count():
        if rounds == MOST_ROUNDS:
            removed = _greedily(network, known, prices)
            solution = solve(network, network.without_claims(removed))
            return Repair(_in_order(known), removed, solution, is_least=False)
        removed = cheapest_hitting_set(known, prices)
        tell("conflicts", len(known), 0)
        fresh = _remaining_conflicts(network, rules, known, removed, prices)
        if not fresh:
            break
        known |= fresh
    solution = solve(network, network.without_claims(removed))
    return Repair(_in_order(known), removed, solution)


def all_conflicts(
    network: Network, repaired: Repair, cap: int = 50, effort: int = 200_000, progress: Progress | None = None
) -> AllConflicts:
    """The irreducible conflicts through each removed claim, when it alone is put back into the remainder.

    Every negative cycle through the claim is followed, and the least claims of each are told once. ``cap``
    bounds the conflicts told for each claim, ``effort`` the edges looked at for it; a claim that met either
    bound is named in ``capped``.

    :raises RulesContradictError: if the rules cannot hold even without a claim.
    """
    tell = progress or _silent
    found: set[Conflict] = set()
    capped: set[int] = set()
    if repaired.removed:
        rules, part = Rules(network), Part(network, repaired.solution.active)
        for number, claim in enumerate(sorted(repaired.removed)):
            tell("claims set aside", number, len(repaired.removed))
            conflicts, is_whole = _conflicts_through(claim, rules, part, cap, effort)
            found.update(conflicts)
            if not is_whole:
                capped.add(claim)
    return AllConflicts(_in_order(found), frozenset(capped))


def _first_conflicts(network: Network, rules: Rules, tell: Progress) -> set[Conflict]:
    """Conflicts that share no claim with those of an earlier round, until the rest is consistent."""
    known: set[Conflict] = set()
    aside: frozenset[int] = frozenset()
    while cycles := find_cycles(network, network.without_claims(aside)):
        known.update(rules.irreducible(cycle) for cycle in cycles)
        aside = aside.union(*known)
        tell("conflicts", len(known), 0)
    return known


def _remaining_conflicts(
    network: Network, rules: Rules, known: set[Conflict], removed: frozenset[int], prices: Sequence[int]
) -> set[Conflict]:
    """Conflicts that are left when only ``removed`` is set aside.

    All claims that were ever in a conflict are taken out and put back one by one, the dearest first; one that
    does not fit shows a conflict and stays out.
    """
    involved = frozenset[int]().union(*known)
    part = Part(network, network.without_claims(involved))
    overlay = part.overlay()
    fresh: set[Conflict] = set()
    for claim in sorted(involved - removed, key=lambda claim: (-prices[claim], claim)):
        cycle = overlay.add(part.links(claim))
        if cycle is not None:
            fresh.add(rules.irreducible(cycle))
    return fresh


def _greedily(network: Network, known: set[Conflict], prices: Sequence[int]) -> frozenset[int]:
    """The claims that do not fit when those in conflict are put back one by one, the dearest first."""
    involved = frozenset[int]().union(*known)
    part = Part(network, network.without_claims(involved))
    overlay = part.overlay()
    dearest_first = sorted(involved, key=lambda claim: (-prices[claim], claim))
    return frozenset(claim for claim in dearest_first if overlay.add(part.links(claim)) is not None)


def _conflicts_through(
    claim: int, rules: Rules, part: Part, cap: int, effort: int
) -> tuple[list[Conflict], bool]:
    """Conflicts of one claim with a consistent part, and whether these are all."""
    found: list[Conflict] = []
    try:
        for cycle in part.routes(effort).cycles(part.links(claim)):
            claims = part.claims_of(cycle)
            if any(known <= claims for known in found):
                continue
            if len(found) == cap:
                return found, False
            found.append(rules.irreducible(cycle))
    except EffortSpentError:
        return found, False
    return found, True


def _prices(network: Network, cost: npt.ArrayLike) -> list[int]:
    given = np.asarray(cost)
    whole = given.ndim == 1 and (given.dtype.kind in "iu" or given.size == 0)
    if not whole or len(given) < network.claim_count or (given.size and given.min() < 1):
        raise CostError(
            f"The costs are {given.dtype} of shape {given.shape}; "
            f"give one whole number of at least 1 for each of {network.claim_count} claims."
        )
    return [int(price) for price in given]


def _in_order(conflicts: set[Conflict]) -> tuple[Conflict, ...]:
    return tuple(sorted(conflicts, key=sorted))


def _silent(stage: str, done: int, total: int) -> None:
    """Tell nobody."""
