"""How many independent witnesses a claim has, and through which sources they all pass.

The witnesses of a claim are counted as routes. Each route leads from a first-hand source, through sources that follow
one another, to a source that says the claim; no two routes share a source. The greatest number of such routes
is the number of witnesses (maximum flow with unit capacity on each source; Menger 1927). Three numbers are given:

- *witnesses*: routes from first-hand sources;
- *possible*: routes that may also begin at a source of which nothing is recorded. It may be first-hand, or not;
- *fewest*: the least number of such beginnings that could account for all who say it. Where a source follows
  several others, nobody knows which of them it had the claim from; this number takes the worst case.

A source is first-hand about itself: its own title page, plates, footnotes and printed sentences.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.sources_weighed.derivation import Derivation, Origin, Tie
from kg.sources_weighed.flow import IsHead, Routes, fewest_heads, most_routes
from kg.sources_weighed.statement import Statement, Statements

NOBODY: frozenset[int] = frozenset()


class Counts(NamedTuple):
    """The numbers that a statement's witnesses come to."""

    stating: int
    """How many sources say it."""
    witnesses: int
    possible: int


@dataclass(frozen=True, slots=True)
class Witnesses:
    """Who says a claim, by how many independent routes they have it, and where the routes narrow."""

    statement: Statement
    stating: tuple[str, ...]
    routes: tuple[tuple[str, ...], ...]
    """Routes that share no source, each from its first-hand source down to the one that says it."""
    possible_routes: tuple[tuple[str, ...], ...]
    """The same, where sources of unknown origin may begin a route too."""
    fewest: int
    bottleneck: tuple[str, ...]
    """The fewest sources through which all possible routes pass, where they are fewer than those that say it."""
    overturning: tuple[str, ...]
    """The fewest sources whose fall would leave the claim without support; those that say it may be among them."""
    origins: Mapping[str, Origin]
    """For each source in which a line ends: whether it is first-hand or nothing is recorded."""
    circles: tuple[tuple[str, ...], ...]
    """Circular citation among the sources behind the claim, each once round."""

    @property
    def count(self) -> int:
        """The number of independent witnesses."""
        return len(self.routes)

    @property
    def possible(self) -> int:
        """The number of witnesses if every source of unknown origin were one."""
        return len(self.possible_routes)

    @property
    def is_anchored(self) -> bool:
        """Whether a line leads to first-hand evidence."""
        return bool(self.routes)


@dataclass(frozen=True, slots=True)
class _Case:
    """A statement as the search sees it: who says it, and what is special to it."""

    starts: tuple[int, ...]
    more: tuple[tuple[int, tuple[int, ...]], ...]
    """What a source follows for this statement alone."""
    evident: tuple[int, ...]
    """Sources that say it of themselves."""


class Weighed:
    """A working view with its sources weighed; every answer is worked out when it is first asked for."""

    def __init__(
        self,
        view: WorkingView,
        derivation: Derivation | None = None,
        statements: Statements | None = None,
    ) -> None:
        self.view = view
        self.statements = statements or Statements(view)
        self._derivation = derivation
        self._counts: dict[tuple[str, str, str], Counts] = {}
        self._by_case: dict[_Case, Counts] = {}

    @cached_property
    def derivation(self) -> Derivation:
        """Who follows whom."""
        return self._derivation or Derivation.of(self.view)

    def without(self, claims: frozenset[str]) -> Weighed:
        """The same sources as they would be without what some claims tell of who follows whom."""
        derivation = self.derivation.without(claims)
        return self if derivation is self.derivation else Weighed(self.view, derivation, self.statements)

    @cached_property
    def order(self) -> Mapping[str, int]:
        """The place of each live claim in the order of entry, by its id."""
        return {claim.id: place for place, claim in enumerate(self.view.live)}

    @cached_property
    def by_source(self) -> Mapping[str, tuple[Claim, ...]]:
        """The live claims that cite each source."""
        found: dict[str, list[Claim]] = defaultdict(list)
        for claim in self.view.live:
            found[claim.citation.source].append(claim)
        return {source: tuple(claims) for source, claims in found.items()}

    def witnesses(self, claim: Claim) -> Witnesses:
        """The whole answer for one claim."""
        statement = self.statements.of(claim)
        case = self._case([other for other, _ in statement.agreeing])
        anchored = self.routes(case, is_possible=False)
        possible = self.routes(case, is_possible=True)
        names = self.derivation.sources
        behind = self._behind(case)
        heads = sorted(n for n in behind if self._is_head(case, n, is_possible=True))
        circular = [self.derivation.loop(c) for c in self.derivation.circular if behind.issuperset(c)]
        return Witnesses(
            statement,
            tuple(names[n] for n in case.starts),
            self._named(anchored.routes),
            self._named(possible.routes),
            fewest_heads(self._reachable(case)),
            tuple(names[n] for n in possible.cut) if len(possible.cut) < len(case.starts) else (),
            tuple(names[n] for n in possible.cut),
            {
                names[n]: Origin.FIRST_HAND if self._is_head(case, n, is_possible=False) else Origin.NOT_KNOWN
                for n in heads
            },
            tuple(tuple(names[n] for n in loop) for loop in circular),
        )

    def counts(self, claim: Claim) -> Counts:
        """The numbers for one claim, without the routes."""
        key = claim.subject, claim.property, claim.value
        found = self._counts.get(key)
        if found is None:
            found = self._counts[key] = self._count([other for other, _ in self.statements.agreeing(claim)])
        return found

    def all_counts(self) -> Mapping[str, Counts]:
        """The numbers for every live claim, by its id."""
        return {claim.id: self.counts(claim) for claim in self.view.live}

    def is_anchored(self, claim: Claim) -> bool:
        """Whether a line of derivation leads from a claim to first-hand evidence."""
        return self.counts(claim).witnesses > 0

    @cached_property
    def anchored(self) -> frozenset[str]:
        """The ids of all live claims that reach first-hand evidence."""
        return frozenset(claim.id for claim in self.view.live if self.is_anchored(claim))

    def is_said_first_hand(self, claim: Claim) -> bool:
        """Whether a claim stands in a first-hand source, or in a source that speaks of itself."""
        source = claim.citation.source
        number = self.derivation.number.get(source)
        return number in self.derivation.first_hand or self.statements.speaks_of_itself(claim)

    def support(self, claim: Claim, fallen: frozenset[int] = NOBODY) -> Counts:
        """The numbers for what one claim's own source says, with some sources fallen; the claim stands alone."""
        case = self._case([claim])
        starts = tuple(n for n in case.starts if n not in fallen)
        routes = [
            most_routes(starts, lambda n: self._above(case, n, fallen), self._head_test(case, is_possible=p)).routes
            for p in (False, True)
        ]  # fmt: skip
        return Counts(len(starts), len(routes[0]), len(routes[1]))

    def ties(self, sources: Iterable[str]) -> tuple[tuple[str, str, Tie], ...]:
        """What is recorded of each two of some sources; "not known" is never taken for independence."""
        numbers = [self.derivation.number[source] for source in dict.fromkeys(sources)]
        names = self.derivation.sources
        return tuple(
            (names[one], names[other], self.derivation.tie(one, other))
            for place, one in enumerate(numbers)
            for other in numbers[place + 1 :]
        )

    def routes(self, case: _Case, *, is_possible: bool, fallen: frozenset[int] = NOBODY) -> Routes:
        """The most routes for a case, with or without those that begin at sources of unknown origin."""
        starts = [n for n in case.starts if n not in fallen]
        return most_routes(
            starts,
            lambda n: self._above(case, n, fallen),
            self._head_test(case, is_possible=is_possible),
        )

    # ------------------------------------------------------------ the case of a statement

    def _case(self, claims: Iterable[Claim]) -> _Case:
        derivation = self.derivation
        starts: dict[int, None] = {}
        more: dict[int, dict[int, None]] = {}
        evident: dict[int, None] = {}
        for claim in claims:
            source = derivation.number[claim.citation.source]
            starts[source] = None
            if self.statements.speaks_of_itself(claim):
                evident[source] = None
            if claim.id in derivation.of_claim:
                more.setdefault(source, {}).update(dict.fromkeys(derivation.of_claim[claim.id]))
        return _Case(
            tuple(sorted(starts)), tuple((s, tuple(a)) for s, a in sorted(more.items())), tuple(sorted(evident))
        )  # fmt: skip

    def _above(self, case: _Case, source: int, fallen: frozenset[int] = NOBODY) -> tuple[int, ...]:
        above = self.derivation.parents.get(source, ())
        for own, others in case.more:
            if own == source:
                above = tuple(dict.fromkeys((*above, *others)))
        return tuple(n for n in above if n not in fallen) if fallen else above

    def _is_head(self, case: _Case, source: int, *, is_possible: bool) -> bool:
        if source in self.derivation.first_hand or source in case.evident:
            return True
        return is_possible and not self._above(case, source)

    def _head_test(self, case: _Case, *, is_possible: bool) -> IsHead:
        return lambda source: self._is_head(case, source, is_possible=is_possible)

    def _behind(self, case: _Case) -> frozenset[int]:
        """All sources that those who say it lead up to."""
        own = [n for _, others in case.more for n in others]
        return self.derivation.above([*case.starts, *own])

    def _reachable(self, case: _Case) -> Iterable[frozenset[int]]:
        """For each source that says it, the heads that it leads up to."""
        heads = self.derivation.heads
        more = dict(case.more)
        for start in case.starts:
            reached = heads[start]
            if start in more:
                reached = frozenset().union(*(heads[n] for n in more[start]), heads[start])
                if not self._is_head(case, start, is_possible=True):
                    reached -= {start}
            yield reached | {start} if start in case.evident else reached

    def _named(self, routes: Iterable[tuple[int, ...]]) -> tuple[tuple[str, ...], ...]:
        names = self.derivation.sources
        return tuple(tuple(names[n] for n in reversed(route)) for route in routes)

    # ------------------------------------------------------------ counting without routes

    def _count(self, claims: list[Claim]) -> Counts:
        case = self._case(claims)
        if len(case.starts) == 1 and not case.more:
            reached = self.derivation.heads[case.starts[0]]
            is_own = bool(case.evident)
            first = is_own or not reached.isdisjoint(self.derivation.first_hand)
            return Counts(1, int(first), int(is_own or bool(reached)))
        found = self._by_case.get(case)
        if found is None:
            possible = len(self.routes(case, is_possible=True).routes)
            anchored = len(self.routes(case, is_possible=False).routes) if possible else 0
            found = self._by_case[case] = Counts(len(case.starts), anchored, possible)
        return found
