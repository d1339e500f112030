"""The shortest routes without repeated points in an undirected network of whole-number lengths.

Authority: J. Y. Yen, "Finding the k shortest loopless paths in a network", Management Science 17 (1971), with E. L.
Lawler's saving (1972): a route is only branched from the point where it left the one before. Each branch is
searched towards the goal by the exact distances of the whole network, which never exceed those with points left out
(P. E. Hart, N. J. Nilsson, B. Raphael, "A formal basis for the heuristic determination of minimum cost paths", 1968).
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import count, pairwise

import numpy as np
import numpy.typing as npt
from scipy import sparse
from scipy.sparse import csgraph

Integers = npt.NDArray[np.int64]

#: A goal that is shut in with fewer points than this is found to be so before a long search from the other side.
_POCKET = 64


@dataclass(frozen=True, slots=True)
class Route:
    """The points of a route in their order, and its length."""

    length: int
    points: tuple[int, ...]


@dataclass(frozen=True)
class Ways:
    """An undirected network: for each point its neighbours and the length of the step to each, 1 or more."""

    size: int
    start: Sequence[int]
    """Where the neighbours of each point begin; one more than there are points."""
    neighbour: Sequence[int]
    length: Sequence[int]

    @classmethod
    def of(cls, size: int, one: Integers, other: Integers, length: Integers) -> Ways:
        """The network of some steps between two points each; of several between the same two the shortest counts."""
        tail, head = np.concatenate([one, other]), np.concatenate([other, one])
        both = np.concatenate([length, length])
        order = np.lexsort((both, head, tail))
        tail, head, both = tail[order], head[order], both[order]
        kept = np.ones(len(tail), dtype=np.bool_)
        kept[1:] = (tail[1:] != tail[:-1]) | (head[1:] != head[:-1])
        kept &= tail != head
        tail, head, both = tail[kept], head[kept], both[kept]
        start = np.searchsorted(tail, np.arange(size + 1))
        return cls(size, start.tolist(), head.tolist(), both.tolist())

    @cached_property
    def _matrix(self) -> sparse.csr_array:
        return sparse.csr_array(
            (np.asarray(self.length, dtype=np.float64), self.neighbour, self.start),
            shape=(self.size, self.size),
        )

    def distances(self, goal: int) -> list[float]:
        """How far each point is from the goal; infinity where there is no way."""
        found: list[float] = csgraph.dijkstra(self._matrix, directed=True, indices=[goal])[0].tolist()
        return found


def shortest_routes(ways: Ways, start: int, goal: int, most: int) -> list[Route]:
    """Up to so many routes without repeated points, shortest first.

    >>> steps = np.array([[0, 1], [1, 2], [0, 2]])
    >>> ways = Ways.of(3, steps[:, 0], steps[:, 1], np.array([1, 1, 3]))
    >>> [(route.length, route.points) for route in shortest_routes(ways, 0, 2, 5)]
    [(2, (0, 1, 2)), (3, (0, 2))]
    """
    found = []
    for route in routes_by_length(ways, start, goal):
        found.append(route)
        if len(found) == most:
            break
    return found


def routes_by_length(ways: Ways, start: int, goal: int) -> Iterator[Route]:
    """Every route without repeated points, one after another, shortest first."""
    search = _Search(ways, goal, ways.distances(goal))
    first = search.route((start,), 0, frozenset())
    if first is None or start == goal:
        return
    order = count()
    waiting = [(first.length, next(order), 0, first)]
    seen = {first.points}
    given: list[Route] = []
    while waiting:
        _, _, branched, route = heapq.heappop(waiting)
        yield route
        given.append(route)
        for place in range(branched, len(route.points) - 1):
            root = route.points[: place + 1]
            shut = frozenset(
                other.points[place + 1]
                for other in given
                if len(other.points) > place + 1 and other.points[: place + 1] == root
            )
            more = search.route(root, search.length_of(root), shut)
            if more is not None and more.points not in seen:
                seen.add(more.points)
                heapq.heappush(waiting, (more.length, next(order), place, more))


class _Search:
    """Searches towards one goal, with the first points of a route given."""

    def __init__(self, ways: Ways, goal: int, toward: Sequence[float]) -> None:
        self.ways = ways
        self.goal = goal
        self.toward = toward

    def length_of(self, points: Sequence[int]) -> int:
        """The length of a route's first steps."""
        return sum(self._step(one, other) for one, other in pairwise(points))

    def _step(self, one: int, other: int) -> int:
        ways = self.ways
        for n in range(ways.start[one], ways.start[one + 1]):
            if ways.neighbour[n] == other:
                return ways.length[n]
        raise ValueError(f"no step leads from point {one} to point {other}")

    def route(self, root: tuple[int, ...], so_far: int, shut: frozenset[int]) -> Route | None:
        """The shortest route that begins with ``root`` and does not go on from it to a point that is shut."""
        here = root[-1]
        if self.toward[here] == float("inf") or (len(root) > 1 and self._is_shut_in(root)):
            return None
        ways, toward, goal = self.ways, self.toward, self.goal
        best = {here: so_far}
        came: dict[int, int] = {}
        done = set(root[:-1])
        edge: list[tuple[float, int, int]] = [(so_far + toward[here], so_far, here)]
        while edge:
            _, length, point = heapq.heappop(edge)
            if point == goal:
                return Route(length, root[:-1] + self._walked(came, here))
            if point in done:
                continue
            done.add(point)
            for n in range(ways.start[point], ways.start[point + 1]):
                other = ways.neighbour[n]
                if other in done or (point == here and other in shut):
                    continue
                further = length + ways.length[n]
                if further < best.get(other, further + 1):
                    best[other] = further
                    came[other] = point
                    heapq.heappush(edge, (further + toward[other], further, other))
        return None

    def _is_shut_in(self, root: tuple[int, ...]) -> bool:
        """Whether the goal lies in a small pocket that the points of the root close off."""
        ways, closed = self.ways, set(root[:-1])
        seen, edge = {self.goal}, [self.goal]
        while edge and len(seen) < _POCKET:
            point = edge.pop()
            for n in range(ways.start[point], ways.start[point + 1]):
                other = ways.neighbour[n]
                if other == root[-1]:
                    return False
                if other not in seen and other not in closed:
                    seen.add(other)
                    edge.append(other)
        return not edge

    def _walked(self, came: dict[int, int], here: int) -> tuple[int, ...]:
        points = [self.goal]
        while points[-1] != here:
            points.append(came[points[-1]])
        return tuple(reversed(points))
