"""Simple temporal networks: the tightest window of every point, the chains that bind, the cycles that clash.

A constraint is ``x[head] - x[tail] <= weight`` over whole days; point 0 is the origin, day zero. The network
is consistent if and only if no cycle of constraints has a negative sum (theorem 3.1, there credited to
Shostak, to Liao and Wong, and to Leiserson and Saxe), and the tightest bounds are lengths of shortest paths:
R. Dechter, I. Meiri, J. Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991), section 3.
Each round of the Bellman-Ford method here relaxes all edges that leave a changed point at once, so the chain
that is kept for a bound is one with the fewest steps among the tightest.

The origin is held at 0. A cycle through it then shows as an edge into the origin that is violated, and
hundreds of such cycles can be read off one pass. Every other point begins at ``UNBOUNDED`` instead of being
left out, so that a clash between points that nothing ties to a date is found in the same pass.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from kg.chronology.constraints import Grouping, Integers, Mask, Network, NetworkError
from kg.errors import KilnmarkError

__all__ = [
    "UNBOUNDED",
    "InconsistentError",
    "Network",
    "NetworkError",
    "Progress",
    "Solution",
    "Spread",
    "find_cycles",
    "solve",
]

Progress = Callable[[str, int, int], None]

#: The value of a bound that does not exist: ``latest`` holds it, and ``earliest`` its negative.
UNBOUNDED: Final = 1 << 61
#: A value below this was reached from the origin; above it stand points that began at UNBOUNDED.
REACHED_BELOW: Final = 1 << 59
#: The weight given to an edge that takes no part; added to UNBOUNDED it still fits in 64 bits.
_IDLE: Final = 1 << 62
#: The first round after which a cycle of predecessors is looked for; the check repeats at each doubling.
_FIRST_CYCLE_CHECK: Final = 8


class InconsistentError(KilnmarkError):
    """A window or chain was asked of a network whose constraints cannot all hold."""


@dataclass(frozen=True, eq=False, slots=True)
class Spread:
    """Shortest distances out of the origin (or into it), and the edge by which each point was reached last.

    A distance of ``REACHED_BELOW`` or more belongs to a point without a path. ``into`` is -1 where no edge
    was taken. ``cyclic`` holds points that lead back into a negative cycle of such edges, if there is one.
    """

    distance: Integers
    into: Integers
    cyclic: Integers


@dataclass(frozen=True, eq=False)
class Solution:
    """The tightest windows of a network's active part, or the news that it is not consistent."""

    network: Network
    active: Mask
    outward: Spread
    inward: Spread | None

    @property
    def is_consistent(self) -> bool:
        """Whether all active constraints can hold at once."""
        return self.inward is not None

    @cached_property
    def latest(self) -> Integers:
        """The last day of each point; ``UNBOUNDED`` where nothing sets one.

        :raises InconsistentError: if the network is not consistent.
        """
        self._both()
        return _capped(self.outward.distance)

    @cached_property
    def earliest(self) -> Integers:
        """The first day of each point; ``-UNBOUNDED`` where nothing sets one.

        :raises InconsistentError: if the network is not consistent.
        """
        return -_capped(self._both().distance)

    def window(self, point: int) -> tuple[int | None, int | None]:
        """The first and last day of one point, None where nothing sets it."""
        first, last = int(self.earliest[point]), int(self.latest[point])
        return (None if first == -UNBOUNDED else first, None if last == UNBOUNDED else last)

    def chain_latest(self, point: int) -> tuple[int, ...]:
        """The edges that set the last day, from the origin to the point; empty if nothing does."""
        if self.latest[point] == UNBOUNDED:
            return ()
        return _walk_back(self.outward.into, self.network.tails, point)[::-1]

    def chain_earliest(self, point: int) -> tuple[int, ...]:
        """The edges that set the first day, from the point to the origin; empty if nothing does."""
        if self.earliest[point] == -UNBOUNDED:
            return ()
        return _walk_back(self._both().into, self.network.heads, point)

    def _both(self) -> Spread:
        if self.inward is None:
            raise InconsistentError(
                "These constraints cannot all hold, so they give no windows. Repair the network first."
            )
        return self.inward


def solve(network: Network, active: Mask | None = None) -> Solution:
    """The tightest windows under the active edges (all, unless a mask is given)."""
    mask = every_edge(network) if active is None else active
    outward = spread_out(network, mask)
    if outward.cyclic.size or _closing_edges(network, mask, outward.distance).size:
        return Solution(network, mask, outward, None)
    return Solution(network, mask, outward, spread_in(network, mask))


def find_cycles(network: Network, active: Mask | None = None) -> list[tuple[int, ...]]:
    """Some simple negative cycles, each as edges in walking order; none exactly when the part is consistent.

    No two rest on the same claim, so one call finds many independent clashes; at most one rests on rules alone.
    """
    mask = every_edge(network) if active is None else active
    outward = spread_out(network, mask)
    used: set[int] = set()
    if outward.cyclic.size:
        found = _predecessor_cycles(network, outward)
    elif _closing_edges(network, mask, outward.distance).size:
        found = _cycles_through_origin(network, mask, outward, used)
    else:
        return []
    cycles: list[tuple[int, ...]] = []
    for cycle in found:
        claims = network.claims_of(cycle) or {-1}
        if used.isdisjoint(claims):
            used.update(claims)
            cycles.append(cycle)
    return cycles


def every_edge(network: Network) -> Mask:
    """The mask under which all edges take part."""
    return np.ones(network.edge_count, dtype=np.bool_)


def spread_out(network: Network, active: Mask) -> Spread:
    """Distances from the origin to every point, edges into the origin left aside."""
    weight = np.where(active & (network.heads != 0), network.weights, _IDLE)
    return _spread(network.by_tail, network.tails, network.heads, weight)


def spread_in(network: Network, active: Mask) -> Spread:
    """Distances from every point to the origin, edges out of the origin left aside."""
    weight = np.where(active & (network.tails != 0), network.weights, _IDLE)
    return _spread(network.by_head, network.heads, network.tails, weight)


def _spread(grouping: Grouping, near: Integers, far: Integers, weight: Integers) -> Spread:
    size = len(grouping.start) - 1
    start, edges, ends, weights = grouping.start, grouping.edges, far[grouping.edges], weight[grouping.edges]
    distance = np.full(size, UNBOUNDED, dtype=np.int64)
    distance[0] = 0
    into = np.full(size, -1, dtype=np.int64)
    changed: Integers = np.arange(size)
    places: Integers = np.arange(len(edges))
    counts = np.diff(start)
    rounds = 0
    while changed.size:
        offered = np.repeat(distance[changed], counts) + weights[places]
        better = np.flatnonzero(offered < distance[ends[places]])
        places, offered = places[better], offered[better]
        reached = ends[places]
        np.minimum.at(distance, reached, offered)
        won = distance[reached] == offered
        into[reached[won]] = places[won]  # of equal offers one is kept
        changed = reached[into[reached] == places]
        rounds += 1
        if rounds >= _FIRST_CYCLE_CHECK and rounds & (rounds - 1) == 0:
            cyclic = _leading_into_cycles(changed, into, near[edges], rounds)
            if cyclic.size:
                return Spread(distance, _as_edges(into, edges), cyclic)
        places, counts = _places_of(start, changed)
    return Spread(distance, _as_edges(into, edges), np.empty(0, dtype=np.int64))


def _places_of(start: Integers, points: Integers) -> tuple[Integers, Integers]:
    first = start[points]
    counts = start[points + 1] - first
    offset = np.repeat(first - (np.cumsum(counts) - counts), counts)
    return offset + np.arange(len(offset)), counts


def _as_edges(into: Integers, edges: Integers) -> Integers:
    result = np.full(len(into), -1, dtype=np.int64)
    taken = into >= 0
    result[taken] = edges[into[taken]]
    return result


def _leading_into_cycles(changed: Integers, into: Integers, near: Integers, rounds: int) -> Integers:
    """Those of the changed points from which walking back along ``into`` never ends.

    Most walks end within as many steps as there were rounds. What is left is walked to the end, one by one.
    """
    here = changed
    origin_of = changed
    for _ in range(rounds + 1):
        going = into[here] >= 0
        origin_of = origin_of[going]
        here = near[into[here[going]]]
        if not here.size:
            return origin_of
    state: dict[int, bool] = {}  # True: the walk from here never ends
    for point in dict.fromkeys(here.tolist()):
        path: list[int] = []
        onward = point
        while onward not in state and into[onward] >= 0:
            state[onward] = True  # meeting one's own path again is a cycle
            path.append(onward)
            onward = int(near[into[onward]])
        endless = state.get(onward, False)
        state.update(dict.fromkeys(path, endless))
    endless_mask = np.array([state.get(point, False) for point in here.tolist()], dtype=np.bool_)
    return np.unique(origin_of[endless_mask])


def _predecessor_cycles(network: Network, spread: Spread) -> Iterator[tuple[int, ...]]:
    """The cycles of ``into`` edges that the cyclic points lead back to; they share no point."""
    seen: dict[int, int] = {}
    for number, point in enumerate(spread.cyclic.tolist()):
        onward = point
        while onward not in seen:
            seen[onward] = number
            onward = int(network.tails[spread.into[onward]])
        if seen[onward] == number:
            yield _cycle_through(network, spread.into, onward)


def _cycle_through(network: Network, into: Integers, point: int) -> tuple[int, ...]:
    steps = [int(into[point])]
    while (onward := int(network.tails[steps[-1]])) != point:
        steps.append(int(into[onward]))
    return tuple(reversed(steps))


def _closing_edges(network: Network, active: Mask, distance: Integers) -> Integers:
    """Edges into the origin that the distances violate; each closes a negative cycle."""
    edges = network.by_head.group(0)
    edges = edges[active[edges]]
    return edges[distance[network.tails[edges]] + network.weights[edges] < 0]


def _cycles_through_origin(
    network: Network, active: Mask, outward: Spread, used: set[int]
) -> Iterator[tuple[int, ...]]:
    """Out of the origin to a point whose last day precedes its first, and back; the widest gaps first.

    A walk that meets a claim in ``used``, or a point twice, is passed over: in the latter case the point that it
    meets twice has a shorter walk of its own.
    """
    for edge in _closing_edges(network, active, outward.distance).tolist():
        if network.tails[edge] == 0:
            yield (edge,)
    inward = spread_in(network, active)
    width = outward.distance + inward.distance  # far above zero where either is unbounded
    empty = np.flatnonzero(width < 0)
    passed: set[int] = set()
    for point in empty[np.argsort(width[empty], kind="stable")].tolist():
        if point in passed:
            continue
        there = _unused_walk(network, outward.into, network.tails, point, used)
        back = None if there is None else _unused_walk(network, inward.into, network.heads, point, used)
        if there is None or back is None:
            continue
        cycle = (*reversed(there), *back)
        points = {int(network.heads[edge]) for edge in cycle}
        if len(points) == len(cycle):
            passed |= points
            yield cycle


def _unused_walk(
    network: Network, into: Integers, near: Integers, point: int, used: set[int]
) -> tuple[int, ...] | None:
    """The edges from a point to the origin, or None if they touch a claim that was used."""
    steps: list[int] = []
    while point != 0:
        edge = int(into[point])
        claim = int(network.claims[edge])
        if claim >= 0 and claim in used:
            return None
        steps.append(edge)
        point = int(near[edge])
    return tuple(steps)


def _walk_back(into: Integers, near: Integers, point: int) -> tuple[int, ...]:
    steps: list[int] = []
    while point != 0:
        steps.append(int(into[point]))
        point = int(near[steps[-1]])
    return tuple(steps)


def _capped(distance: Integers) -> Integers:
    return np.where(distance < REACHED_BELOW, distance, UNBOUNDED)
