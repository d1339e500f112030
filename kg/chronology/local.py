"""Questions to a solved network: what a bound would be without some claims, or with constraints supposed.

Nothing is solved again. Setting claims aside can only move a bound outward, so the old distances never exceed
the new ones and guide an A* search back from the point asked about; it ends at the first point whose own
chain is untouched. Supposing more can only move bounds inward, and only points that change are visited. Both
answers are exact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import NamedTuple

from kg.chronology.constraints import LONGEST_PATH, NetworkError
from kg.chronology.overlay import Link, Overlay, Side
from kg.chronology.solve import REACHED_BELOW, InconsistentError, Solution
from kg.errors import KilnmarkError

NONE_ASIDE: frozenset[int] = frozenset()


class Limit(Enum):
    """Which end of a window is asked about."""

    EARLIEST = "earliest"
    LATEST = "latest"


class Edge(NamedTuple):
    """A constraint supposed for the sake of a question: ``x[head] - x[tail] <= weight``."""

    tail: int
    head: int
    weight: int


@dataclass(frozen=True, slots=True)
class Bound:
    """One end of a window, None where nothing sets it, and the chain of edges that sets it.

    The chain runs from the origin to the point for a last day, from the point to the origin for a first day.
    A supposed edge is numbered from the network's edge count upward, in the order it was given.
    """

    value: int | None
    chain: tuple[int, ...]


class ContradictedError(KilnmarkError):
    """A bound was asked for under suppositions that cannot hold."""

    def __init__(self, conflict: tuple[int, ...]) -> None:
        super().__init__(
            "What is supposed contradicts the network, so no bound follows. "
            "Show the conflict, or set one of its claims aside first."
        )
        #: The cycle of edges that cannot all hold.
        self.conflict = conflict


class Local:
    """A solved, consistent network made ready for many small questions.

    :raises InconsistentError: if the solution is that of a network that is not consistent.
    """

    def __init__(self, solution: Solution) -> None:
        if solution.inward is None:
            raise InconsistentError(
                "These constraints cannot all hold. Repair the network, then ask about it."
            )
        self.solution = solution
        self.network = solution.network

    @cached_property
    def outward(self) -> Side:
        """The side that last days are read from."""
        return Side.outward(self.network, self.solution.outward, self.solution.active)

    @cached_property
    def inward(self) -> Side:
        """The side that first days are read from."""
        assert self.solution.inward is not None
        return Side.inward(self.network, self.solution.inward, self.solution.active)

    def suppose(self, without: frozenset[int] = NONE_ASIDE, extra: Sequence[Edge] = ()) -> Supposition:
        """The network with some claims set aside and some constraints added, ready to be asked."""
        return Supposition(self, without, tuple(extra))

    def latest(self, point: int, without: frozenset[int] = NONE_ASIDE, extra: Sequence[Edge] = ()) -> Bound:
        """The last day of a point, after setting claims aside and supposing more.

        :raises ContradictedError: if what is supposed cannot hold.
        """
        return self.suppose(without, extra).latest(point)

    def earliest(self, point: int, without: frozenset[int] = NONE_ASIDE, extra: Sequence[Edge] = ()) -> Bound:
        """The first day of a point, after setting claims aside and supposing more.

        :raises ContradictedError: if what is supposed cannot hold.
        """
        return self.suppose(without, extra).earliest(point)

    def deciding(
        self, point: int, limit: Limit, without: frozenset[int] = NONE_ASIDE, extra: Sequence[Edge] = ()
    ) -> dict[int, Bound]:
        """For each claim in the binding chain, in the chain's order, the bound without it.

        :raises ContradictedError: if what is supposed cannot hold.
        """
        chain = self.suppose(without, extra).bound(point, limit).chain
        return {
            claim: self.suppose(without | {claim}, extra).bound(point, limit)
            for claim in self._claims_in(chain)
        }

    def independent_chains(
        self, point: int, limit: Limit, count: int, without: frozenset[int] = NONE_ASIDE
    ) -> list[Bound]:
        """Up to ``count`` bounds, tightest first, no two of whose chains share a claim.

        The list ends early where nothing else binds, or at a chain of rules alone, which nothing can undo.
        """
        found: list[Bound] = []
        while len(found) < count:
            bound = self.suppose(without).bound(point, limit)
            if bound.value is None:
                break
            found.append(bound)
            claims = self._claims_in(bound.chain)
            if not claims:
                break
            without = without.union(claims)
        return found

    def _claims_in(self, chain: Iterable[int]) -> list[int]:
        known = [edge for edge in chain if edge < self.network.edge_count]
        return list(dict.fromkeys(int(claim) for claim in self.network.claims[known] if claim >= 0))


class Supposition:
    """The network as it would be with some claims set aside and some constraints added."""

    def __init__(self, local: Local, without: frozenset[int], extra: tuple[Edge, ...]) -> None:
        for edge in extra:
            _check(local, edge)
        self._local = local
        self._without = without
        self._links = [Link(local.network.edge_count + place, *edge) for place, edge in enumerate(extra)]
        self._outward = Overlay(local.outward, without)
        #: The cycle of edges that cannot all hold, or None if the supposition is possible.
        self.conflict: tuple[int, ...] | None = self._outward.add(self._links)

    @cached_property
    def _inward(self) -> Overlay:
        overlay = Overlay(self._local.inward, self._without)
        overlay.add([link.turned() for link in self._links])
        return overlay

    def latest(self, point: int) -> Bound:
        """The last day of a point; ContradictedError if the supposition is impossible."""
        value, chain = self._ask(lambda: self._outward, point)
        return Bound(value, chain[::-1])

    def earliest(self, point: int) -> Bound:
        """The first day of a point; ContradictedError if the supposition is impossible."""
        value, chain = self._ask(lambda: self._inward, point)
        return Bound(None if value is None else -value, chain)

    def bound(self, point: int, limit: Limit) -> Bound:
        """The end of the window that is asked about."""
        return self.latest(point) if limit is Limit.LATEST else self.earliest(point)

    def _ask(self, side: Callable[[], Overlay], point: int) -> tuple[int | None, tuple[int, ...]]:
        if self.conflict is not None:
            raise ContradictedError(self.conflict)
        overlay = side()
        value = overlay.value(point)
        return (value, overlay.chain(point)) if value < REACHED_BELOW else (None, ())


def _check(local: Local, edge: Edge) -> None:
    most = LONGEST_PATH // (local.network.size + 1)
    if min(edge.tail, edge.head) < 0 or abs(edge.weight) > most:
        raise NetworkError(f"{edge!r} cannot be supposed; points begin at 0 and weights end at {most}.")
