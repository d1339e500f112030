"""Irreducible conflicts: the least claims that, with the rules, cannot all hold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from kg.chronology.constraints import Mask, Network
from kg.chronology.overlay import Link, Overlay, Side
from kg.chronology.routes import Routes
from kg.chronology.solve import find_cycles, spread_in, spread_out
from kg.errors import KilnmarkError


class RulesContradictError(KilnmarkError):
    """The rules cannot hold even without a single claim."""

    def __init__(self, cycle: tuple[int, ...]) -> None:
        super().__init__(
            f"{len(cycle)} rules contradict each other, and no claim can be set aside for it. "
            "Correct what the vocabulary says about time."
        )
        #: The edges of a cycle of rules whose sum is negative.
        self.cycle = cycle


class Part:
    """A consistent part of a network, ready to be asked which further claims would clash with it."""

    def __init__(self, network: Network, active: Mask) -> None:
        self._network = network
        self._active = active
        self._side = Side.outward(network, spread_out(network, active), active)

    def overlay(self, without: frozenset[int] = frozenset()) -> Overlay:
        """The part with some of its claims set aside, ready for additions."""
        return Overlay(self._side, without)

    @cached_property
    def _home(self) -> list[int]:
        home: list[int] = spread_in(self._network, self._active).distance.tolist()
        return home

    def routes(self, effort: int) -> Routes:
        """The paths through the part, for following every cycle that added edges would close."""
        return Routes(self._side, self._home, effort)

    def links(self, claim: int) -> list[Link]:
        """The edges that rest on one claim."""
        side = self._side
        edges = self._network.edges_of(claim).tolist()
        return [Link(edge, side.near[edge], side.far[edge], side.weight[edge]) for edge in edges]

    def claims_of(self, cycle: Sequence[int]) -> frozenset[int]:
        """The claims that a cycle rests on, without the rules."""
        return frozenset(self._side.claim[edge] for edge in cycle if self._side.claim[edge] >= 0)


class Rules:
    """The rules of a network, against which any few claims can be tested.

    :raises RulesContradictError: if the rules cannot hold even without a claim.
    """

    def __init__(self, network: Network) -> None:
        rules = network.claims < 0
        if cycles := find_cycles(network, rules):
            raise RulesContradictError(cycles[0])
        self._part = Part(network, rules)

    def clash(self, claims: Iterable[int]) -> frozenset[int] | None:
        """Some of these claims that cannot all hold, or None if all can."""
        links = [link for claim in claims for link in self._part.links(claim)]
        cycle = self._part.overlay().add(links)
        return None if cycle is None else self._part.claims_of(cycle)

    def irreducible(self, cycle: Sequence[int]) -> frozenset[int]:
        """The least claims, among those of a negative cycle, that the rules do not allow together.

        Each claim is left out in turn, and stays out if the rest still clashes.

        :raises ValueError: if the claims of the cycle can all hold.
        """
        open_to_doubt = sorted(self._part.claims_of(cycle))
        if self.clash(open_to_doubt) is None:
            raise ValueError(f"the claims {open_to_doubt} of this cycle can all hold; give a negative cycle")
        needed: list[int] = []
        while open_to_doubt:
            claim = open_to_doubt.pop()
            clash = self.clash([*needed, *open_to_doubt])
            if clash is None:
                needed.append(claim)
            else:
                open_to_doubt = [other for other in open_to_doubt if other in clash]
        return frozenset(needed)


def irreducible(network: Network, cycle: Sequence[int]) -> frozenset[int]:
    """The claims of one irreducible conflict inside a negative cycle; for many cycles keep one ``Rules``.

    :raises RulesContradictError: if the rules cannot hold even without a claim.
    """
    return Rules(network).irreducible(cycle)
