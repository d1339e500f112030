"""Threads between two things: chains of claims, the most trustworthy first.

A step leads from one thing to another that a claim joins to it. It costs one, and one more for each step that the
best claim between the two stands below "several independent witnesses". So a short thread of well-attested claims
comes before a long one, and a doubted claim weighs like a detour over several good ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kg.chronology.chronology import Chronology
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.rests import on_evidence
from kg.sources_weighed.standing import STEPS, Step, step_of, steps_below_the_best
from kg.threads.shortest import Ways, shortest_routes

Pair = tuple[int, int]

#: The spans that are a thing's own time, where it has one: not a maker's whole life, and not the first sale, which may
#: be long after the making.
TIME_OF = frozenset({"making", "activity"})

#: Classes that very many things share: to share one is a likeness, and no connection.
LIKENESS = ("Feature", "Material", "Technique", "Place", "Period", "Directory")


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a thread may pass through; the two things at its ends are always allowed."""

    kinds: frozenset[str] | None = None
    """Only things of these classes or below; None is any."""
    not_kinds: frozenset[str] = frozenset()
    least: Step | None = None
    """No claim below this standing."""
    during: Window | None = None
    """Only things whose possible time, on the evidence without the datings, touches these days; a thing that has no
    time, or of which nothing is known, is allowed."""

    @property
    def is_anything(self) -> bool:
        """Whether nothing is left out."""
        return self == Allowed()


@dataclass(frozen=True, slots=True)
class Link:
    """One step of a thread: the claim that joins two things best, and the others that join them."""

    before: str
    after: str
    claim: Claim
    step: Step
    others: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class Thread:
    """A chain of claims from one thing to another."""

    links: tuple[Link, ...]
    cost: int
    """Number of links, and for each the steps that its claim stands below the best."""


class Threads:
    """The things of a working view, joined by claims that are weighed."""

    def __init__(self, weighed: Weighed, chronology: Chronology | None = None) -> None:
        self.weighed = weighed
        self.view = weighed.view
        self._chronology = chronology
        self.names = tuple(self.view.things)
        self.number = {slug: number for number, slug in enumerate(self.names)}

    @cached_property
    def chronology(self) -> Chronology:
        """The chronology of the view, for the filter by date."""
        return self._chronology or Chronology(self.view)

    @cached_property
    def joined(self) -> Mapping[Pair, tuple[tuple[int, Claim], ...]]:
        """The claims between each two things with the cost of each, the best first."""
        found: dict[Pair, list[tuple[int, Claim]]] = defaultdict(list)
        properties = self.view.vocabulary.properties
        things = {name for name, p in properties.items() if p.is_link and "Claim" not in (p.domain, p.range)}
        for claim in self.view.live:
            if claim.property not in things:
                continue
            one, other = self.number.get(claim.subject), self.number.get(claim.value)
            if one is not None and other is not None and one != other:
                cost = 1 + steps_below_the_best(step_of(self.weighed, claim))
                found[min(one, other), max(one, other)].append((cost, claim))
        return {pair: tuple(sorted(cs, key=lambda c: (c[0], c[1].id))) for pair, cs in found.items()}

    @cached_property
    def neighbours(self) -> Mapping[int, tuple[int, ...]]:
        """The things that some claim joins to each thing, all by their numbers."""
        found: dict[int, list[int]] = defaultdict(list)
        for one, other in self.joined:
            found[one].append(other)
            found[other].append(one)
        return {number: tuple(sorted(others)) for number, others in found.items()}

    @cached_property
    def _ways(self) -> Ways:
        return self._ways_of(list(self.joined))

    def between(
        self, one: str, other: str, most: int = 3, allowed: Allowed | None = None
    ) -> tuple[Thread, ...]:
        """Up to so many threads between two things, the most trustworthy first; none if nothing joins them."""
        allowed = allowed or Allowed()
        ends = self.number[one], self.number[other]
        ways = self._ways if allowed.is_anything else self._ways_of(self._pairs(ends, allowed))
        routes = shortest_routes(ways, *ends, most)
        return tuple(
            Thread(
                tuple(self.link(a, b) for a, b in zip(route.points, route.points[1:], strict=False)),
                route.length,
            )
            for route in routes
        )

    def _ways_of(self, pairs: list[Pair]) -> Ways:
        costs = np.array([self.joined[pair][0][0] for pair in pairs], dtype=np.int64)
        ends = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        return Ways.of(len(self.names), ends[:, 0], ends[:, 1], costs)

    def _pairs(self, ends: Pair, allowed: Allowed) -> list[Pair]:
        points = {n for n, slug in enumerate(self.names) if n in ends or self.may_pass(slug, allowed)}
        dearest = len(STEPS) if allowed.least is None else 1 + steps_below_the_best(allowed.least)
        return [
            pair
            for pair, claims in self.joined.items()
            if points.issuperset(pair) and claims[0][0] <= dearest
        ]

    def may_pass(self, slug: str, allowed: Allowed) -> bool:
        """Whether a thread may pass through a thing."""
        kinds, is_a = self.view.kinds(slug), self.view.vocabulary.is_a
        if allowed.kinds is not None and not any(is_a(kinds, kind) for kind in allowed.kinds):
            return False
        if any(is_a(kinds, kind) for kind in allowed.not_kinds):
            return False
        return allowed.during is None or self._touches(slug, kinds, allowed.during)

    def _touches(self, slug: str, kinds: tuple[str, ...], during: Window) -> bool:
        every = self.view.vocabulary.spans_of(kinds)
        spans = every & TIME_OF or every
        return not spans or any(_meet(on_evidence(self.chronology, slug, span), during) for span in spans)

    def link(self, one: int, other: int) -> Link:
        """The claims that join two things, by their numbers, the best first."""
        claims = [claim for _, claim in self.joined[min(one, other), max(one, other)]]
        best = claims[0]
        return Link(self.names[one], self.names[other], best, step_of(self.weighed, best), tuple(claims[1:]))


def _meet(one: Window, other: Window) -> bool:
    """Whether two stretches may share a day; an unknown end is no hindrance."""
    is_after = one.first is not None and other.last is not None and one.first > other.last
    is_before = one.last is not None and other.first is not None and one.last < other.first
    return not (is_after or is_before)
