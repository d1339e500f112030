"""Who follows whom: the derivation of sources from sources, and of single claims, as recorded.

Three things are kept apart for any source. It *follows* others, as a claim says. It is *first-hand*: an object, a
document, a register, a testimony; its class says so. Or *nothing is recorded* of what it follows: that is not
independence, and it is told as "not known". Independence of two sources is itself a claim.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.sources_weighed.flow import circles, strong_components

#: Property that states that two sources are independent of each other.
INDEPENDENT = "independentOf"


class Origin(Enum):
    """What is recorded of where a source has its matter from."""

    FIRST_HAND = "first-hand"
    FOLLOWS = "follows others"
    NOT_KNOWN = "not known"


class Tie(Enum):
    """What is recorded of two sources together; no record is an answer of its own."""

    FOLLOWS = "one follows the other"
    SHARED = "both follow a third"
    INDEPENDENT = "stated independent"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Derivation:
    """The sources of a working view by number, what each follows, and which are first-hand."""

    view: WorkingView
    sources: tuple[str, ...]
    number: Mapping[str, int]
    parents: Mapping[int, tuple[int, ...]]
    """What each source follows; a source that follows nothing on record is left out."""
    of_claim: Mapping[str, tuple[int, ...]]
    """What a single claim follows, by its id, beyond what its source does."""
    links: Mapping[tuple[int, int], tuple[Claim, ...]]
    """The claims that say that one source follows another, or takes a claim from it."""
    first_hand: frozenset[int]

    @classmethod
    def of(cls, view: WorkingView) -> Derivation:
        """The derivation that the live claims of a view record."""
        reader = _Reader(view)
        properties = view.vocabulary.properties
        wanted = {name for name, prop in properties.items() if prop.is_derivation}
        for claim in view.live:
            reader.source(claim.citation.source)
            if claim.property in wanted:
                reader.link(claim)
        return reader.made()

    def without(self, claims: frozenset[str]) -> Derivation:
        """The derivation without what some claims tell; numbers of sources stay as they are."""
        if not any(name in self.told_by or name in self.named for name in claims):
            return self
        properties = self.view.vocabulary.properties
        parents: dict[int, set[int]] = defaultdict(set)
        of_claim: dict[str, set[int]] = defaultdict(set)
        links = {}
        for (below, above), told in self.links.items():
            kept = [c for c in told if claims.isdisjoint((c.id, c.subject, c.value))]
            for claim in kept:
                is_single = properties[claim.property].domain == "Claim"
                (of_claim[claim.subject] if is_single else parents[below]).add(above)
            if kept:
                links[below, above] = tuple(kept)
        return replace(
            self,
            parents={source: tuple(sorted(above)) for source, above in sorted(parents.items())},
            of_claim={claim: tuple(sorted(above)) for claim, above in sorted(of_claim.items())},
            links=links,
        )

    @cached_property
    def told_by(self) -> Mapping[str, tuple[int, ...]]:
        """For each claim that tells of a link, the sources that follow by it."""
        found: dict[str, list[int]] = defaultdict(list)
        for (below, _), claims in self.links.items():
            for claim in claims:
                found[claim.id].append(below)
        return {name: tuple(sources) for name, sources in found.items()}

    @cached_property
    def named(self) -> frozenset[str]:
        """The claims that other claims say to follow something, or to be followed."""
        return frozenset(
            name for told in self.links.values() for claim in told for name in (claim.subject, claim.value)
        )

    @cached_property
    def children(self) -> Mapping[int, tuple[int, ...]]:
        """Which sources follow each source directly."""
        found: dict[int, list[int]] = defaultdict(list)
        for source, parents in self.parents.items():
            for parent in parents:
                found[parent].append(source)
        return {source: tuple(sorted(below)) for source, below in found.items()}

    def origin(self, source: int) -> Origin:
        """First-hand, following others, or not known."""
        if source in self.first_hand:
            return Origin.FIRST_HAND
        return Origin.FOLLOWS if self.parents.get(source) else Origin.NOT_KNOWN

    def is_head(self, source: int) -> bool:
        """Whether a line of derivation ends at this source: first-hand, or nothing recorded of what it follows."""
        return source in self.first_hand or not self.parents.get(source)

    @cached_property
    def heads(self) -> Mapping[int, frozenset[int]]:
        """For each source, the heads that it leads up to, itself among them if it is one."""
        found: dict[int, frozenset[int]] = {}
        for members in strong_components(range(len(self.sources)), self.parents):
            inside = set(members)
            reached = {member for member in members if self.is_head(member)}
            for member in members:
                for parent in self.parents.get(member, ()):
                    if parent not in inside:
                        reached |= found[parent]
            found |= dict.fromkeys(members, frozenset(reached))
        return found

    @cached_property
    def circular(self) -> tuple[tuple[int, ...], ...]:
        """Sets of sources that follow each other in a circle, each sorted by number."""
        return tuple(sorted(circles(range(len(self.sources)), self.parents)))

    def loop(self, members: Iterable[int]) -> tuple[int, ...]:
        """A shortest way round within a circular set, from its first member back to it."""
        inside = frozenset(members)
        start = min(inside)
        came: dict[int, int] = {}
        edge = [start]
        while edge:
            ahead = []
            for source in edge:
                for parent in self.parents.get(source, ()):
                    if parent == start:
                        return self._walked(came, start, source)
                    if parent in inside and parent not in came:
                        came[parent] = source
                        ahead.append(parent)
            edge = ahead
        return (start,)

    @staticmethod
    def _walked(came: Mapping[int, int], start: int, last: int) -> tuple[int, ...]:
        steps = [start, last]
        while steps[-1] != start:
            steps.append(came[steps[-1]])
        return tuple(reversed(steps))

    def above(self, sources: Iterable[int]) -> frozenset[int]:
        """Every source that some sources lead up to, themselves among them."""
        return self._reached(sources, self.parents)

    def below(self, sources: Iterable[int]) -> frozenset[int]:
        """Every source that follows some sources, directly or through others, themselves among them."""
        return self._reached(sources, self.children)

    @staticmethod
    def _reached(sources: Iterable[int], ways: Mapping[int, tuple[int, ...]]) -> frozenset[int]:
        seen = set(sources)
        edge = list(seen)
        while edge:
            ahead = [other for source in edge for other in ways.get(source, ()) if other not in seen]
            edge = list(dict.fromkeys(ahead))
            seen.update(edge)
        return frozenset(seen)

    @cached_property
    def independent(self) -> Mapping[frozenset[str], Claim]:
        """The pairs of sources that a claim states to be independent, with that claim."""
        return {
            frozenset((claim.subject, claim.value)): claim
            for claim in self.view.live
            if claim.property == INDEPENDENT
        }

    def tie(self, one: int, other: int) -> Tie:
        """What is recorded of two sources together."""
        above, beyond = self.above([one]), self.above([other])
        if other in above or one in beyond:
            return Tie.FOLLOWS
        if above & beyond:
            return Tie.SHARED
        pair = frozenset((self.sources[one], self.sources[other]))
        return Tie.INDEPENDENT if pair in self.independent else Tie.NOT_KNOWN


class _Reader:
    """Numbers sources and gathers links."""

    def __init__(self, view: WorkingView) -> None:
        self.view = view
        self.number: dict[str, int] = {}
        self.parents: dict[int, dict[int, None]] = defaultdict(dict)
        self.of_claim: dict[str, dict[int, None]] = defaultdict(dict)
        self.links: dict[tuple[int, int], list[Claim]] = defaultdict(list)

    def source(self, slug: str) -> int:
        return self.number.setdefault(slug, len(self.number))

    def link(self, claim: Claim) -> None:
        prop = self.view.vocabulary.properties[claim.property]
        above = self._source_of(claim.value, is_claim=prop.range == "Claim")
        below = self._source_of(claim.subject, is_claim=prop.domain == "Claim")
        if above is None or below is None:
            return
        self.links[below, above].append(claim)
        told = self.of_claim[claim.subject] if prop.domain == "Claim" else self.parents[below]
        told[above] = None

    def _source_of(self, name: str, *, is_claim: bool) -> int | None:
        if not is_claim:
            return self.source(name)
        known = self.view.claims.get(name)
        return None if known is None else self.source(known.citation.source)

    def made(self) -> Derivation:
        kinds = self.view.vocabulary.kinds
        first = {name for name, line in self.view.vocabulary.ancestors.items()
                 if any(kinds[above].is_first_hand for above in line)}  # fmt: skip
        return Derivation(
            self.view,
            tuple(self.number),
            self.number,
            {source: tuple(sorted(above)) for source, above in sorted(self.parents.items())},
            {claim: tuple(sorted(above)) for claim, above in sorted(self.of_claim.items())},
            {pair: tuple(claims) for pair, claims in sorted(self.links.items())},
            frozenset(n for slug, n in self.number.items() if first.intersection(self.view.kinds(slug))),
        )
