"""Loose ends: what is not settled, what would settle it, and how much would change if it were.

A loose end bears on a verdict if one of its claims stands in the chain of reasons that limits a dating on record, or if
it speaks of the thing that is dated. Loose ends that bear on more verdicts come first. What is in print as an
essay is not looked at here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from kg.chronology.audit import Audit
from kg.chronology.chronology import Asked
from kg.chronology.local import Limit
from kg.chronology.network import suppose
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.derivation import Tie
from kg.sources_weighed.standing import Step, step_of
from kg.vocabulary import Property


class Loose(Enum):
    """A kind of loose end; its value says what is open."""

    CONFLICT = "claims that cannot all be true"
    CONTESTED = "a claim with others against it"
    CIRCULAR = "sources that follow each other in a circle"
    NOT_INDEPENDENT = "sources stated independent, though one follows the other"
    ONE_WITNESS = "one witness, known only through those who follow it"
    UNANCHORED = "a claim that leads to no first-hand evidence"
    NO_LOCATOR = "a claim without a place in its source"
    NEVER_SEEN = "a source that others follow and nobody here has read"
    NO_DATE = "a piece without a date"
    NO_MAKER = "a piece without a maker"
    OPEN_END = "a maker whose years are open"
    NO_ANSWER = "a question without an answer"
    SEVERAL_ANSWERS = "a question with several answers"


#: What would settle each kind.
SETTLES = {
    Loose.CONFLICT: "Read the cited places again; doubt or set aside the weakest of these claims.",
    Loose.CONTESTED: "Look for a first-hand source that has the one or the other, and judge the rest.",
    Loose.CIRCULAR: "Find out from which outside source the first of them had it.",
    Loose.NOT_INDEPENDENT: "Read both again, and withdraw the claim of independence or the one of following.",
    Loose.ONE_WITNESS: "See the first-hand source itself, or find a document or object that has it apart from these.",
    Loose.UNANCHORED: "Record what the source follows, or find the register, document or object behind it.",
    Loose.NO_LOCATOR: "Add the page, plate or number.",
    Loose.NEVER_SEEN: "See it, and record what it says.",
    Loose.NO_DATE: "Date it from its mark, materials, ticket or first plate.",
    Loose.NO_MAKER: "Look for marks, moulds and likenesses; 'not identified' is a result and can be noted.",
    Loose.OPEN_END: "Look in directories and registers for the first and the last year.",
    Loose.NO_ANSWER: "Record an answer with claims for and against, or withdraw the question.",
    Loose.SEVERAL_ANSWERS: "Weigh the claims for and against; judge the answers that are given up.",
}


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """Something not settled: the things and claims that it is about, and the verdicts that it bears on."""

    kind: Loose
    things: tuple[str, ...]
    claims: tuple[Claim, ...]
    verdicts: int
    """How many datings on record it bears on."""
    sources: int
    """How many sources say it or are concerned."""

    @property
    def settled_by(self) -> str:
        """What would settle it."""
        return SETTLES[self.kind]


def loose_ends(weighed: Weighed, audit: Audit) -> tuple[LooseEnd, ...]:
    """Every loose end, those that bear on most verdicts first, then those that concern most sources."""
    order = {kind: place for place, kind in enumerate(Loose)}
    found = _Finder(weighed, audit).found()
    return tuple(
        sorted(
            found, key=lambda e: (-e.verdicts, order[e.kind], -e.sources, e.things, [c.id for c in e.claims])
        )
    )


class _Finder:
    """Looks for each kind of loose end in turn."""

    def __init__(self, weighed: Weighed, audit: Audit) -> None:
        self.weighed = weighed
        self.audit = audit
        self.view = weighed.view
        self.vocabulary = weighed.view.vocabulary

    def found(self) -> Iterator[LooseEnd]:
        yield from self._conflicts()
        yield from self._statements()
        yield from self._derivations()
        yield from self._unseen()
        yield from self._pieces()
        yield from self._makers()
        yield from self._questions()

    # ------------------------------------------------------------ what it bears on

    @cached_property
    def _bearing(self) -> tuple[Mapping[str, set[str]], Mapping[str, set[str]]]:
        """The datings that each claim helps to limit, and those of each thing."""
        chronology = self.audit.chronology
        asked = Asked(chronology.evidence, suppose(chronology.made, ()), {})
        claims: dict[str, set[str]] = defaultdict(set)
        things: dict[str, set[str]] = defaultdict(set)
        for dating in self.audit.datings:
            claim = dating.claim
            things[claim.subject].add(claim.id)
            span = self.vocabulary.property(claim.property).rules[0].subject_span
            base = chronology.made.bases[claim.subject, span]
            steps = (*asked.bound(base + 1, Limit.EARLIEST)[1], *asked.bound(base, Limit.LATEST)[1])
            for name in {step.claim.id for step in steps if step.claim is not None} | {claim.id}:
                claims[name].add(claim.id)
        return claims, things

    def _end(
        self, kind: Loose, things: Iterable[str], claims: Iterable[Claim] = (), sources: int = 0
    ) -> LooseEnd:
        listed, named = tuple(claims), tuple(dict.fromkeys(things))
        by_claim, by_thing = self._bearing
        if listed:
            touched = set().union(*(by_claim.get(claim.id, ()) for claim in listed))
        else:
            touched = set().union(*(by_thing.get(thing, ()) for thing in named))
        return LooseEnd(kind, named, listed, len(touched), sources)

    # ------------------------------------------------------------ claims

    def _conflicts(self) -> Iterator[LooseEnd]:
        for conflict in self.audit.conflicts:
            sources = {claim.citation.source for claim in conflict.claims}
            yield self._end(
                Loose.CONFLICT, (claim.subject for claim in conflict.claims), conflict.claims, len(sources)
            )

    def _statements(self) -> Iterator[LooseEnd]:
        """What is contested, said by one witness or by none, or without a place: one end for each statement."""
        told: set[str] = set()
        for claim in self.view.live:
            if not claim.citation.locator.strip():
                yield self._end(Loose.NO_LOCATOR, [claim.subject], [claim], 1)
            if claim.id in told:
                continue
            agreeing = [other for other, _ in self.weighed.statements.agreeing(claim)]
            told.update(other.id for other in agreeing if other.value == claim.value)
            kind = self._open(claim)
            if kind is not None:
                contrary = self.weighed.statements.contrary(claim) if kind is Loose.CONTESTED else ()
                stating = self.weighed.counts(claim).stating
                yield self._end(kind, [claim.subject], [*agreeing, *contrary], stating)

    def _open(self, claim: Claim) -> Loose | None:
        step, counts = step_of(self.weighed, claim), self.weighed.counts(claim)
        if step is Step.CONTESTED or (step is Step.DOUBTED and self.weighed.statements.contrary(claim)):
            return Loose.CONTESTED
        if counts.witnesses == 0 and step is not Step.DOUBTED:
            return Loose.UNANCHORED
        return Loose.ONE_WITNESS if step is Step.SECOND_HAND else None

    # ------------------------------------------------------------ sources

    def _derivations(self) -> Iterator[LooseEnd]:
        derivation = self.weighed.derivation
        for members in derivation.circular:
            inside = set(members)
            links = [c for (low, high), cs in derivation.links.items() if {low, high} <= inside for c in cs]
            yield self._end(Loose.CIRCULAR, (derivation.sources[n] for n in members), links, len(members))
        for pair, claim in derivation.independent.items():
            numbers = [derivation.number[source] for source in sorted(pair) if source in derivation.number]
            if len(numbers) == 2 and derivation.tie(*numbers) in (Tie.FOLLOWS, Tie.SHARED):
                yield self._end(Loose.NOT_INDEPENDENT, sorted(pair), [claim], 2)

    def _unseen(self) -> Iterator[LooseEnd]:
        derivation = self.weighed.derivation
        read = {claim.citation.source for claim in self.view.live}
        for source, number in sorted(derivation.number.items()):
            if source not in read:
                below = derivation.children.get(number, ())
                links = [c for low in below for c in derivation.links.get((low, number), ())]
                yield self._end(Loose.NEVER_SEEN, [source], links, len(derivation.below([number])) - 1)

    # ------------------------------------------------------------ things

    def _pieces(self) -> Iterator[LooseEnd]:
        props = self.vocabulary.properties.values()
        parted = {prop.name for prop in props if prop.domain == "Piece" and prop.range == "Part"}
        made = {prop.name for prop in props if prop.is_attribution}
        for slug in self._of_kind("Piece"):
            claims = self.view.by_subject.get(slug, ())
            parts = [claim.value for claim in claims if claim.property in parted]
            every = [*claims, *(c for part in parts for c in self.view.by_subject.get(part, ()))]
            if not any(self._dates_the_making(claim) for claim in every):
                yield self._end(Loose.NO_DATE, [slug])
            if not any(claim.property in made for claim in every):
                yield self._end(Loose.NO_MAKER, [slug])

    def _dates_the_making(self, claim: Claim) -> bool:
        prop: Property | None = self.vocabulary.properties.get(claim.property)
        return prop is not None and prop.is_date and any(rule.subject_span == "making" for rule in prop.rules)

    def _makers(self) -> Iterator[LooseEnd]:
        made = {prop.name for prop in self.vocabulary.properties.values() if prop.is_attribution}
        attributed: dict[str, set[str]] = defaultdict(set)
        for claim in self.view.live:
            if claim.property in made:
                attributed[claim.value].add(claim.subject)
        by_thing = self._bearing[1]
        for slug in sorted(attributed):
            window = self.audit.chronology.window(slug, "activity")
            if window.begin_earliest is None or window.end_latest is None:
                dated = sum(len(by_thing.get(piece, ())) for piece in attributed[slug])
                yield LooseEnd(Loose.OPEN_END, (slug,), (), dated, 0)

    def _questions(self) -> Iterator[LooseEnd]:
        links = {p.name for p in self.vocabulary.properties.values() if p.range == "Question"}
        for slug in self._of_kind("Question"):
            answers = [claim for claim in self.view.by_value.get(slug, ()) if claim.property in links]
            if len(answers) != 1:
                kind = Loose.SEVERAL_ANSWERS if answers else Loose.NO_ANSWER
                yield self._end(kind, [slug, *(claim.subject for claim in answers)], answers)

    def _of_kind(self, kind: str) -> Iterator[str]:
        for slug, thing in sorted(self.view.things.items()):
            if self.vocabulary.is_a(thing.kinds, kind):
                yield slug
