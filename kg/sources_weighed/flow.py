"""Routes that share no point: maximum flow with unit capacities on points, and the points that cut all routes.

Authority: K. Menger, "Zur allgemeinen Kurventheorie", Fundamenta Mathematicae 10 (1927): the greatest number of
routes that share no point equals the least number of points that cut all routes. The search is Ford and Fulkerson's,
one augmenting route at a time, on points split in two (a way in and a way out). Nothing is built: the search
only touches the points that it reaches.

Points are whole numbers. Routes run upward, from a start (a source that says something) through its parents (what
it follows) to a head (where the line ends).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from kg.chronology.hitting import cheapest_hitting_set

Parents = Callable[[int], Sequence[int]]
IsHead = Callable[[int], bool]

#: Marks the two ends of a route in the tables of the search: before its first point, after its last.
_OUTSIDE = -1


@dataclass(frozen=True, slots=True)
class Routes:
    """The most routes that share no point, each from its start up to its head, and a least cut."""

    routes: tuple[tuple[int, ...], ...]
    cut: tuple[int, ...]
    """The least points that all routes pass, those nearest to the starts; as many as there are routes."""


def most_routes(starts: Iterable[int], parents: Parents, is_head: IsHead) -> Routes:
    """The greatest number of routes from the starts to heads that share no point.

    >>> up = {1: [3], 2: [3], 3: [4], 4: []}
    >>> most_routes([1, 2], lambda n: up[n], lambda n: n == 4)
    Routes(routes=((1, 3, 4),), cut=(3,))
    """
    search = _Search(tuple(dict.fromkeys(starts)), parents, is_head)
    while search.augment():
        pass
    return Routes(search.routes(), search.cut())


class _Search:
    """Routes found so far, and the search for one more."""

    def __init__(self, starts: Sequence[int], parents: Parents, is_head: IsHead) -> None:
        self.starts = starts
        self.parents = parents
        self.is_head = is_head
        #: For each point on a route, the point before it (nearer the start) and the one after it.
        self.before: dict[int, int] = {}
        self.after: dict[int, int] = {}
        self.entered: dict[int, int] = {}
        self.left: dict[int, int | None] = {}

    def augment(self) -> bool:
        """Lay one more route, moving those there are; False if there is none."""
        # `entered` holds the ways in that were reached, with the point they were reached from; `left` the ways out:
        # None from the way in of the same point, else the point whose route was given up to come here.
        self.entered, self.left = dict.fromkeys(self.starts, _OUTSIDE), {}
        edge: list[tuple[int, bool]] = [(start, True) for start in reversed(self.starts)]
        while edge:
            point, is_in = edge.pop()
            if is_in:
                self._from_way_in(point, edge)
            elif self.is_head(point) and self.after.get(point) != _OUTSIDE:
                self._lay(point)
                return True
            else:
                self._from_way_out(point, edge)
        return False

    def _from_way_in(self, point: int, edge: list[tuple[int, bool]]) -> None:
        if point not in self.before:
            if point not in self.left:
                self.left[point] = None
                edge.append((point, False))
            return
        back = self.before[point]
        if back != _OUTSIDE and back not in self.left:
            self.left[back] = point
            edge.append((back, False))

    def _from_way_out(self, point: int, edge: list[tuple[int, bool]]) -> None:
        for parent in self.parents(point):
            if parent not in self.entered and self.after.get(point) != parent:
                self.entered[parent] = point
                edge.append((parent, True))
        if point in self.before and point not in self.entered:
            # Its route can be taken off this point altogether.
            self.entered[point] = point
            edge.append((point, True))

    def _lay(self, head: int) -> None:
        """Walk the found route back to its start and note each change."""
        steps: list[tuple[int, int]] = [(head, _OUTSIDE)]
        taken_off: list[int] = []
        point, is_in = head, False
        while True:
            if not is_in:
                given_up = self.left[point]
                if given_up is None:
                    is_in = True
                else:
                    # The step from this point to `given_up` is taken back; go on from the way in of `given_up`.
                    point, is_in = given_up, True
                continue
            origin = self.entered[point]
            if origin == point:
                taken_off.append(point)
                is_in = False
                continue
            steps.append((origin, point))
            if origin == _OUTSIDE:
                break
            point, is_in = origin, False
        self._apply(steps, taken_off)

    def _apply(self, steps: Sequence[tuple[int, int]], taken_off: Sequence[int]) -> None:
        for tail, head in steps:
            if tail != _OUTSIDE:
                self.after[tail] = head
            if head != _OUTSIDE:
                self.before[head] = tail
        for point in taken_off:
            self.before.pop(point, None)
            self.after.pop(point, None)

    def routes(self) -> tuple[tuple[int, ...], ...]:
        """Each route from its start to its head, in the order of the starts."""
        found = []
        for start in self.starts:
            if self.before.get(start) != _OUTSIDE:
                continue
            route = [start]
            while self.after[route[-1]] != _OUTSIDE:
                route.append(self.after[route[-1]])
            found.append(tuple(route))
        return tuple(found)

    def cut(self) -> tuple[int, ...]:
        """After the last search: the points whose way in was reached and whose way out was not."""
        return tuple(sorted(point for point in self.entered if point not in self.left))


def fewest_heads(reachable: Iterable[frozenset[int]]) -> int:
    """The fewest heads that could account for all: the least number that meets each set. Empty sets are passed over.

    >>> fewest_heads([frozenset({1, 2}), frozenset({2, 3}), frozenset({3})])
    2
    """
    sets = {heads for heads in reachable if heads}
    if len(sets) < 2:
        return len(sets)
    numbers = {head: number for number, head in enumerate(sorted(frozenset().union(*sets)))}
    numbered = [frozenset(numbers[head] for head in heads) for heads in sets]
    return len(cheapest_hitting_set(numbered, [1] * len(numbers)))


def circles(points: Sequence[int], parents: Mapping[int, Sequence[int]]) -> list[tuple[int, ...]]:
    """The strongly connected sets of points in which one can go round, each sorted.

    Authority: R. Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1 (1972).

    >>> circles([1, 2, 3], {1: [2], 2: [1], 3: [1]})
    [(1, 2)]
    """
    components = strong_components(points, parents)
    return [
        tuple(sorted(members))
        for members in components
        if len(members) > 1 or members[0] in parents.get(members[0], ())
    ]


def strong_components(points: Sequence[int], parents: Mapping[int, Sequence[int]]) -> list[list[int]]:
    """The strongly connected components, each after those that it leads to."""
    number: dict[int, int] = {}
    low: dict[int, int] = {}
    stack: list[int] = []
    on_stack: set[int] = set()
    found: list[list[int]] = []
    for root in points:
        if root in number:
            continue
        work = [(root, iter(parents.get(root, ())))]
        number[root] = low[root] = len(number)
        stack.append(root)
        on_stack.add(root)
        while work:
            point, ahead = work[-1]
            for other in ahead:
                if other not in number:
                    number[other] = low[other] = len(number)
                    stack.append(other)
                    on_stack.add(other)
                    work.append((other, iter(parents.get(other, ()))))
                    break
                if other in on_stack:
                    low[point] = min(low[point], number[other])
            else:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[point])
                if low[point] == number[point]:
                    found.append(_unstacked(stack, on_stack, point))
    return found


def _unstacked(stack: list[int], on_stack: set[int], until: int) -> list[int]:
    members = []
    while True:
        member = stack.pop()
        on_stack.discard(member)
        members.append(member)
        if member == until:
            return members
