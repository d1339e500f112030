"""One direction of a solved network as plain lists, and an overlay of changes to it.

A distance here runs out of the origin; the inward side is the same network with every edge turned round.
Short searches touch a handful of points, where plain lists beat arrays by far.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Final, NamedTuple

import numpy as np

from kg.chronology.constraints import Integers, Mask, Network
from kg.chronology.solve import REACHED_BELOW, UNBOUNDED, Spread

#: Where a point is put that has lost its last path: above all that are reached, below those that never were.
#: Kept apart by this much, the values stay feasible for every edge that remains, so that a cycle among such
#: points is still found.
_CUT_OFF: Final = 1 << 60


class Link(NamedTuple):
    """An edge seen from the near end: following it adds its weight."""

    edge: int
    near: int
    far: int
    weight: int

    def turned(self) -> Link:
        """The same edge seen from the other end."""
        return Link(self.edge, self.far, self.near, self.weight)


@dataclass(frozen=True, eq=False, slots=True)
class Side:
    """The active edges of a consistent network, ready to be walked from either end.

    The edges that leave a point stand in ascending order of slack (how much the near end may fall before the
    far end falls too), those that enter it in ascending order of the distance they offer.
    """

    near: list[int]
    far: list[int]
    weight: list[int]
    claim: list[int]
    distance: list[int]
    into: list[int]
    leave_start: list[int]
    leave_edge: list[int]
    leave_slack: list[int]
    enter_start: list[int]
    enter_edge: list[int]
    enter_offer: list[int]

    @classmethod
    def outward(cls, network: Network, spread: Spread, active: Mask) -> Side:
        """The side on which distances are last days."""
        return cls._of(network, spread, active, network.tails, network.heads)

    @classmethod
    def inward(cls, network: Network, spread: Spread, active: Mask) -> Side:
        """The side on which distances are first days with the sign turned."""
        return cls._of(network, spread, active, network.heads, network.tails)

    @classmethod
    def _of(cls, network: Network, spread: Spread, active: Mask, near: Integers, far: Integers) -> Side:
        live = np.flatnonzero(active)
        offer = spread.distance[near[live]] + network.weights[live]
        slack = offer - spread.distance[far[live]]
        leaving, entering = np.lexsort((slack, near[live])), np.lexsort((offer, far[live]))
        bins = np.arange(network.size + 1)
        return cls(
            near.tolist(),
            far.tolist(),
            network.weights.tolist(),
            network.claims.tolist(),
            spread.distance.tolist(),
            spread.into.tolist(),
            np.searchsorted(near[live][leaving], bins).tolist(),
            live[leaving].tolist(),
            slack[leaving].tolist(),
            np.searchsorted(far[live][entering], bins).tolist(),
            live[entering].tolist(),
            offer[entering].tolist(),
        )


class Overlay:
    """A side with some claims set aside and, one after the other, some edges added."""

    def __init__(self, side: Side, without: frozenset[int] = frozenset()) -> None:
        self._side = side
        self._without = without
        self._size = len(side.distance)
        self._untouched: dict[int, bool] = {}
        self._searched: dict[int, tuple[int, int, tuple[int, ...]]] = {}
        self._lowered: dict[int, tuple[int, int]] = {}  # point: value, edge
        self._links: dict[int, Link] = {}
        self._added: dict[int, list[Link]] = {}

    def value(self, point: int) -> int:
        """The distance of a point; ``REACHED_BELOW`` or more if no path leads to it."""
        lowered = self._lowered.get(point)
        return self._settled(point) if lowered is None else lowered[0]

    def chain(self, point: int) -> tuple[int, ...]:
        """The edges of a shortest path, from the point back to the origin."""
        steps: list[int] = []
        while point in self._lowered:
            edge = self._lowered[point][1]
            steps.append(edge)
            point = self._near(edge)
        if not self._is_untouched(point):
            point, path = self._searched[point][1:]
            steps.extend(path)
        while point < self._size and (edge := self._side.into[point]) >= 0:
            steps.append(edge)
            point = self._side.near[edge]
        return tuple(steps)

    def add(self, links: Iterable[Link]) -> tuple[int, ...] | None:
        """Add edges; if they cannot hold, add none of them and give the negative cycle, in walking order."""
        before: dict[int, tuple[int, int] | None] = {}
        done: list[Link] = []
        for link in links:
            self._added.setdefault(link.near, []).append(link)
            self._links[link.edge] = link
            done.append(link)
            cycle = self._lower(link, before)
            if cycle is not None:
                self._undo(done, before)
                return cycle
        return None

    def _lower(self, link: Link, before: dict[int, tuple[int, int] | None]) -> tuple[int, ...] | None:
        """Carry one new edge through: visit the points it lowers. A cycle must come back to its near end."""
        start, lowered = link.near, self._lowered
        waiting: deque[int] = deque()
        steps: Iterable[tuple[int, int, int]] = ((link.edge, link.far, self.value(start) + link.weight),)
        here = start
        while True:
            for edge, far, offered in steps:
                if far == 0:
                    if offered < 0:
                        return self._closed(here, edge, 0)
                    continue
                if far == start and offered < self.value(start):
                    return self._closed(here, edge, start)
                if not self._improves(far, offered):
                    continue
                before.setdefault(far, lowered.get(far))
                lowered[far] = (offered, edge)
                waiting.append(far)
            if not waiting:
                return None
            here = waiting.popleft()
            steps = self._offers(here)

    def _improves(self, point: int, offered: int) -> bool:
        lowered = self._lowered.get(point)
        if lowered is not None:
            return offered < lowered[0]
        if point < self._size and offered < self._side.distance[point]:
            return True  # a search could only find a larger value
        return offered < self._settled(point)

    def _offers(self, point: int) -> list[tuple[int, int, int]]:
        """What a lowered point offers to its neighbours; those that cannot gain are left out early."""
        side, value = self._side, self._lowered[point][0]
        offers = [(link.edge, link.far, value + link.weight) for link in self._added.get(point, ())]
        if point >= self._size:
            return offers
        fallen = side.distance[point] - value
        for place in range(side.leave_start[point], side.leave_start[point + 1]):
            edge = side.leave_edge[place]
            if self._without:
                if side.claim[edge] in self._without:
                    continue
            elif side.leave_slack[place] >= fallen:
                break
            offers.append((edge, side.far[edge], value + side.weight[edge]))
        return offers

    def _closed(self, here: int, edge: int, start: int) -> tuple[int, ...]:
        """The cycle that an edge closes: back from its near end to the start, then round."""
        steps = [edge]
        if start == 0:
            steps.extend(self.chain(here))
            return tuple(reversed(steps))
        while here != start:
            step = self._lowered[here][1]
            steps.append(step)
            here = self._near(step)
        return tuple(reversed(steps))

    def _undo(self, done: list[Link], before: dict[int, tuple[int, int] | None]) -> None:
        for link in reversed(done):
            self._added[link.near].pop()
        for point, state in before.items():
            if state is None:
                del self._lowered[point]
            else:
                self._lowered[point] = state

    def _near(self, edge: int) -> int:
        link = self._links.get(edge)
        return self._side.near[edge] if link is None else link.near

    def _settled(self, point: int) -> int:
        """The distance of a point before anything was added."""
        if point >= self._size:
            return UNBOUNDED
        distance = self._side.distance[point]
        if distance >= REACHED_BELOW or self._is_untouched(point):
            return distance
        if point not in self._searched:
            self._searched[point] = self._search(point)
        return self._searched[point][0]

    def _is_untouched(self, point: int) -> bool:
        """Whether the chain that was found for the whole network still stands."""
        if not self._without or point >= self._size:
            return True
        side, known = self._side, self._untouched
        path: list[int] = []
        answer = True
        while True:
            if point in known:
                answer = known[point]
                break
            path.append(point)
            edge = side.into[point]
            if edge < 0:
                break
            if side.claim[edge] in self._without:
                answer = False
                break
            point = side.near[edge]
        known.update(dict.fromkeys(path, answer))
        return answer

    def _search(self, point: int) -> tuple[int, int, tuple[int, ...]]:
        """A* back from a point: its distance, the untouched point it hangs on, the edges from it to there.

        The old distances are the estimate. They are consistent, since every remaining edge was relaxed, so
        the first arrival at a point is the shortest. Entering edges are tried one at a time in the order of
        what they offer, so a point with thousands of them costs no more than those that could matter.
        """
        side, without = self._side, self._without
        steps: dict[int, int] = {point: -1}  # the edge that leads from a point on towards the one asked about
        waiting: list[
            tuple[int, int, int, int]
        ] = []  # estimate, place of the edge, length so far, end of places
        self._queue(waiting, side.enter_start[point], 0, side.enter_start[point + 1])
        while waiting:
            estimate, place, length, end = heappop(waiting)
            self._queue(waiting, place + 1, length, end)
            edge = side.enter_edge[place]
            here = side.near[edge]
            if here in steps or side.claim[edge] in without:
                continue
            steps[here] = edge
            if self._is_untouched(here):
                return estimate, here, self._path(steps, here)
            onward = side.enter_start[here]
            self._queue(waiting, onward, length + side.weight[edge], side.enter_start[here + 1])
        return side.distance[point] + _CUT_OFF, point, ()

    def _queue(self, waiting: list[tuple[int, int, int, int]], place: int, length: int, end: int) -> None:
        if place < end and (offer := self._side.enter_offer[place]) < REACHED_BELOW:
            heappush(waiting, (length + offer, place, length, end))

    def _path(self, steps: dict[int, int], here: int) -> tuple[int, ...]:
        path: list[int] = []
        while (edge := steps[here]) >= 0:
            path.append(edge)
            here = self._side.far[edge]
        return tuple(reversed(path))
