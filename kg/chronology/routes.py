"""Every negative cycle that some added edges would close through a consistent part of a network.

Each edge has a slack: its weight seen from the last days of its two ends, never negative in a consistent
part. An added edge lacks slack; it clashes with every simple path from its far end back to its near end that
spends less slack than it lacks. What a path must still spend is known exactly from the first and last days,
so the search follows only steps that can end in a clash.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import permutations
from typing import NamedTuple

from kg.chronology.overlay import Link, Side
from kg.chronology.solve import REACHED_BELOW


class Route(NamedTuple):
    """A simple path: its edges in walking order, the slack it spends, the points on it."""

    edges: tuple[int, ...]
    spent: int
    points: frozenset[int]


#: The steps from a point that can still end within the slack that is left: edge, next point, slack spent.
Steps = Callable[[int, int], Iterator[tuple[int, int, int]]]


class EffortSpentError(Exception):
    """The search was given up before its end; what was found until then stands."""


class Routes:
    """The simple paths of a consistent part; ``effort`` bounds the edges that may be looked at.

    ``home`` holds each point's distance to the origin.
    """

    def __init__(self, side: Side, home: list[int], effort: int) -> None:
        self._side = side
        self._home = home
        self._effort = effort

    def cycles(self, links: Sequence[Link]) -> Iterator[tuple[int, ...]]:
        """All simple negative cycles of the part and these edges, each as edges in walking order.

        :raises EffortSpentError: if the effort ends before the cycles do.
        """
        for count in range(1, len(links) + 1):
            for chosen in permutations(links, count):
                self._look()
                if chosen[0] == min(chosen):  # a cycle may begin anywhere; let it begin at its lowest edge
                    yield from self._through(chosen, 0, sum(map(self._lacking, chosen)), frozenset())

    def _through(
        self, chosen: tuple[Link, ...], place: int, budget: int, used: frozenset[int]
    ) -> Iterator[tuple[int, ...]]:
        if place == len(chosen):
            yield ()
            return
        link, following = chosen[place], chosen[(place + 1) % len(chosen)]
        for route in self._between(link.far, following.near, budget):
            if used.isdisjoint(route.points):
                for rest in self._through(chosen, place + 1, budget - route.spent, used | route.points):
                    yield (link.edge, *route.edges, *rest)

    def _lacking(self, link: Link) -> int:
        distance = self._side.distance
        return distance[link.far] - distance[link.near] - link.weight

    def _between(self, start: int, end: int, budget: int) -> Iterator[Route]:
        """The routes from one point to another that spend less than the budget."""
        if budget <= 0:
            return
        if start == end:
            yield Route((), 0, frozenset({start}))
        elif end == 0:
            yield from self._homeward(start, budget)
        elif start == 0:
            yield from self._from_origin(end, budget)
        else:
            yield from self._direct(start, end, budget)
            for first in self._homeward(start, budget):
                for second in self._from_origin(end, budget - first.spent):
                    if len(first.points & second.points) == 1:  # only the origin
                        edges, spent = first.edges + second.edges, first.spent + second.spent
                        yield Route(edges, spent, first.points | second.points)

    def _homeward(self, start: int, budget: int) -> Iterator[Route]:
        """Routes to the origin. The rest of the way spends at least the width of a point's window."""
        side, home = self._side, self._home

        def steps(point: int, left: int) -> Iterator[tuple[int, int, int]]:
            for place in range(side.leave_start[point], side.leave_start[point + 1]):
                slack = side.leave_slack[place]
                if slack >= left:
                    return
                self._look()
                edge = side.leave_edge[place]
                onward = side.far[edge]
                if slack + home[onward] + side.distance[onward] < left:
                    yield edge, onward, slack

        return self._walk(start, 0, budget, steps)

    def _from_origin(self, end: int, budget: int) -> Iterator[Route]:
        """Routes out of the origin, found backwards. The rest of the way need not spend anything."""
        side = self._side

        def steps(point: int, left: int) -> Iterator[tuple[int, int, int]]:
            for place in range(side.enter_start[point], side.enter_start[point + 1]):
                slack = side.enter_offer[place] - side.distance[point]
                if slack >= left or side.enter_offer[place] >= REACHED_BELOW:
                    return
                self._look()
                edge = side.enter_edge[place]
                yield edge, side.near[edge], slack

        for route in self._walk(end, 0, budget, steps):
            yield route._replace(edges=route.edges[::-1])

    def _direct(self, start: int, end: int, budget: int) -> Iterator[Route]:
        """Routes that do not pass the origin."""
        side, ahead = self._side, self._slack_ahead(end, budget)

        def steps(point: int, left: int) -> Iterator[tuple[int, int, int]]:
            for place in range(side.leave_start[point], side.leave_start[point + 1]):
                slack = side.leave_slack[place]
                if slack >= left:
                    return
                self._look()
                edge = side.leave_edge[place]
                rest = ahead.get(side.far[edge])
                if rest is not None and slack + rest < left:
                    yield edge, side.far[edge], slack

        return self._walk(start, end, budget, steps) if start in ahead else iter(())

    def _slack_ahead(self, end: int, budget: int) -> dict[int, int]:
        """The least slack from each point to the end, not passing the origin, where the budget allows it."""
        side = self._side
        settled: dict[int, int] = {}
        waiting = [(0, end)]
        while waiting:
            spent, point = heappop(waiting)
            if point in settled:
                continue
            settled[point] = spent
            for place in range(side.enter_start[point], side.enter_start[point + 1]):
                slack = side.enter_offer[place] - side.distance[point]
                if spent + slack >= budget:
                    break
                self._look()
                onward = side.near[side.enter_edge[place]]
                if onward != 0 and onward not in settled:
                    heappush(waiting, (spent + slack, onward))
        return settled

    def _walk(self, start: int, goal: int, budget: int, steps: Steps) -> Iterator[Route]:
        """All simple paths that the steps allow, depth first, without recursion."""
        points, edges, left = {start: None}, list[int](), [budget]
        open_steps = [steps(start, budget)]
        while open_steps:
            step = next(open_steps[-1], None)
            if step is None:
                open_steps.pop()
                left.pop()
                points.popitem()
                if edges:
                    edges.pop()
                continue
            edge, onward, slack = step
            if onward == goal:
                yield Route((*edges, edge), budget - left[-1] + slack, frozenset({*points, goal}))
            elif onward not in points:
                points[onward] = None
                edges.append(edge)
                left.append(left[-1] - slack)
                open_steps.append(steps(onward, left[-1]))

    def _look(self) -> None:
        self._effort -= 1
        if self._effort < 0:
            raise EffortSpentError
