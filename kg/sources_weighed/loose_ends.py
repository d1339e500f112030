"""Loose ends: what is not settled, what would settle it, and how much would change if it were.

What one act would settle is one loose end. The claims that the same sources say, and that have one witness or none,
stand together: to see that witness, or to record what these sources follow, settles them all. Conflicts between the
same statements stand together, whoever repeats them.

A loose end bears on a verdict if one of its claims stands in the chain of reasons that limits a dating on record, or if
it speaks of the thing that is dated. It bears on a printed sentence that rests on what one of its claims says. Loose
ends that bear on more verdicts and sentences come first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property

from kg.chronology.audit import Audit
from kg.chronology.chronology import Asked
from kg.chronology.local import Limit
from kg.chronology.network import suppose
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.derivation import Tie
from kg.sources_weighed.printed import UNSURE, Printed
from kg.sources_weighed.standing import Step, step_of
from kg.sources_weighed.statement import said
from kg.vocabulary import Property


class Loose(Enum):
    """A kind of loose end; its value says what is open."""

    CONFLICT = "claims that cannot all be true"
    PRINTED = "a printed sentence resting on what is doubted, set aside, contested or unanchored"
    CONTESTED = "a claim with others against it"
    CIRCULAR = "sources that follow each other in a circle"
    NOT_INDEPENDENT = "sources stated independent, though one follows the other"
    ONE_WITNESS = "what has one witness, known only through those who follow it"
    UNANCHORED = "what leads to no first-hand evidence"
    NO_LOCATOR = "claims without a place in their source"
    NEVER_SEEN = "a source that others follow and nobody here has read"
    NO_DATE = "a piece without a date"
    NO_MAKER = "a piece without a maker"
    OPEN_END = "a maker whose years are open"
    NO_ANSWER = "a question without an answer"
    SEVERAL_ANSWERS = "a question with several answers"


#: Kinds that gather all that the same sources say.
BY_SOURCE = frozenset({Loose.ONE_WITNESS, Loose.UNANCHORED, Loose.NO_LOCATOR})

#: What would settle each kind.
SETTLES = {
    Loose.CONFLICT: "Read the cited places again; doubt or set aside the weakest, with all that repeats it.",
    Loose.PRINTED: "Print a correction, or find first-hand evidence for the claims named.",
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
    sentences: int
    """How many printed sentences it bears on."""
    sources: int
    """How many sources say it or are concerned."""
    said_by: tuple[str, ...] = ()
    """The sources whose claims stand together, where that is what makes it one loose end."""

    @property
    def settled_by(self) -> str:
        """What would settle it."""
        return SETTLES[self.kind]


def loose_ends(weighed: Weighed, audit: Audit) -> tuple[LooseEnd, ...]:
    """Every loose end once: those that bear on most verdicts and sentences first, then those of most sources."""
    order = {kind: place for place, kind in enumerate(Loose)}

    def place(end: LooseEnd) -> tuple[object, ...]:
        bears = end.verdicts + end.sentences
        return (-bears, order[end.kind], -end.sources, end.things, [claim.id for claim in end.claims])

    return tuple(sorted(_Finder(weighed, audit).ends(), key=place))


@dataclass(slots=True)
class _Gathered:
    """What one act would settle, while it is gathered."""

    kind: Loose
    things: dict[str, None] = field(default_factory=dict)
    claims: dict[Claim, int] = field(default_factory=dict)
    """Each claim with the number of verdicts and sentences that it bears on."""
    sources: int = 0
    datings: set[str] = field(default_factory=set)
    sentences: set[str] = field(default_factory=set)


class _Finder:
    """Looks for each kind of loose end in turn."""

    def __init__(self, weighed: Weighed, audit: Audit) -> None:
        self.weighed = weighed
        self.printed = Printed(weighed)
        self._gathered: dict[tuple[Loose, object], _Gathered] = {}
        self.audit = audit
        self.view = weighed.view
        self.vocabulary = weighed.view.vocabulary

    def ends(self) -> Iterator[LooseEnd]:
        self._conflicts()
        self._printed()
        self._statements()
        self._derivations()
        self._unseen()
        self._pieces()
        self._makers()
        self._questions()
        for end in self._gathered.values():
            claims = list(end.claims)
            said_by: dict[str, None] = {}
            if end.kind in BY_SOURCE:
                claims.sort(key=end.claims.__getitem__, reverse=True)
                said_by = dict.fromkeys(claim.citation.source for claim in claims)
            counts = len(end.datings), len(end.sentences), end.sources
            yield LooseEnd(end.kind, tuple(end.things), tuple(claims), *counts, tuple(sorted(said_by)))

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

    def _add(
        self, kind: Loose, key: object, things: Iterable[str], claims: Iterable[Claim] = (), sources: int = 0
    ) -> None:
        """Add to the loose end of that kind and key, or begin it."""
        end = self._gathered.setdefault((kind, key), _Gathered(kind))
        listed, named = list(claims), list(things)
        end.things.update(dict.fromkeys(named))
        end.sources = max(end.sources, sources)
        by_claim, by_thing = self._bearing
        for claim in listed:
            datings, sentences = by_claim.get(claim.id, set()), {s.thing for s in self.printed.on(claim)}
            end.claims[claim] = len(datings) + len(sentences)
            end.datings |= datings
            end.sentences |= sentences
        for thing in () if listed else named:
            end.datings |= by_thing.get(thing, set())
            end.sentences |= self._printed_of.get(thing, set())

    @cached_property
    def _printed_of(self) -> Mapping[str, set[str]]:
        """The printed sentences that rest on a claim about each thing."""
        found: dict[str, set[str]] = defaultdict(set)
        for sentence in self.printed.sentences:
            for claim in sentence.claims:
                found[claim.subject].add(sentence.thing)
        return found

    # ------------------------------------------------------------ claims

    def _conflicts(self) -> None:
        for conflict in self.audit.conflicts:
            claims = conflict.claims
            sources = {claim.citation.source for claim in claims}
            statements = frozenset(map(said, claims))
            self._add(Loose.CONFLICT, statements, (claim.subject for claim in claims), claims, len(sources))

    def _printed(self) -> None:
        for sentence in self.printed.sentences:
            weak = UNSURE | {Step.SET_ASIDE, Step.WITHDRAWN}
            supports = [s.claim for s in self.printed.supports(sentence) if s.step in weak]
            if supports:
                self._add(Loose.PRINTED, sentence.thing, [sentence.thing], supports, 1)

    def _statements(self) -> None:
        """What is contested, said by one witness or by none, or without a place."""
        told: set[tuple[str, str, str]] = set()
        for claim in self.view.live:
            source = claim.citation.source
            if not claim.citation.locator.strip():
                self._add(Loose.NO_LOCATOR, source, [claim.subject], [claim], 1)
            if said(claim) in told:
                continue
            told.add(said(claim))
            kind = self._open(claim)
            if kind is not None:
                self._statement(kind, claim)

    def _statement(self, kind: Loose, claim: Claim) -> None:
        agreeing = [other for other, _ in self.weighed.statements.agreeing(claim)]
        stating = self.weighed.counts(claim).stating
        if kind is Loose.CONTESTED:
            both = [*agreeing, *self.weighed.statements.contrary(claim)]
            # Each side is contested by the other; together they are one dispute.
            self._add(kind, frozenset(map(said, both)), [claim.subject], both, stating)
        else:
            sources = frozenset(other.citation.source for other in agreeing)
            self._add(kind, sources, [claim.subject], agreeing, stating)

    def _open(self, claim: Claim) -> Loose | None:
        step, counts = step_of(self.weighed, claim), self.weighed.counts(claim)
        if step is Step.CONTESTED or (step is Step.DOUBTED and self.weighed.statements.contrary(claim)):
            return Loose.CONTESTED
        if counts.witnesses == 0 and step is not Step.DOUBTED:
            return Loose.UNANCHORED
        return Loose.ONE_WITNESS if step is Step.SECOND_HAND else None

    # ------------------------------------------------------------ sources

    def _derivations(self) -> None:
        derivation = self.weighed.derivation
        for members in derivation.circular:
            inside = set(members)
            links = [c for (low, high), cs in derivation.links.items() if {low, high} <= inside for c in cs]
            self._add(Loose.CIRCULAR, members, (derivation.sources[n] for n in members), links, len(members))
        for pair, claim in derivation.independent.items():
            numbers = [derivation.number[source] for source in sorted(pair) if source in derivation.number]
            if len(numbers) == 2 and derivation.tie(*numbers) in (Tie.FOLLOWS, Tie.SHARED):
                self._add(Loose.NOT_INDEPENDENT, pair, sorted(pair), [claim], 2)

    def _unseen(self) -> None:
        derivation = self.weighed.derivation
        for source, number in sorted(derivation.number.items()):
            if source not in self.weighed.by_source:
                below = derivation.children.get(number, ())
                links = [c for low in below for c in derivation.links.get((low, number), ())]
                self._add(Loose.NEVER_SEEN, source, [source], links, len(derivation.below([number])) - 1)

    # ------------------------------------------------------------ things

    def _pieces(self) -> None:
        props = self.vocabulary.properties.values()
        parted = {prop.name for prop in props if prop.domain == "Piece" and prop.range == "Part"}
        made = {prop.name for prop in props if prop.is_attribution}
        for slug in self._of_kind("Piece"):
            claims = self.view.by_subject.get(slug, ())
            parts = [claim.value for claim in claims if claim.property in parted]
            every = [*claims, *(c for part in parts for c in self.view.by_subject.get(part, ()))]
            if not any(self._dates_the_making(claim) for claim in every):
                self._add(Loose.NO_DATE, slug, [slug])
            if not any(claim.property in made for claim in every):
                self._add(Loose.NO_MAKER, slug, [slug])

    def _dates_the_making(self, claim: Claim) -> bool:
        prop: Property | None = self.vocabulary.properties.get(claim.property)
        return prop is not None and prop.is_date and any(rule.subject_span == "making" for rule in prop.rules)

    def _makers(self) -> None:
        made = {prop.name for prop in self.vocabulary.properties.values() if prop.is_attribution}
        attributed: dict[str, set[str]] = defaultdict(set)
        for claim in self.view.live:
            if claim.property in made:
                attributed[claim.value].add(claim.subject)
        by_thing = self._bearing[1]
        for slug in sorted(attributed):
            window = self.audit.chronology.window(slug, "activity")
            if window.begin_earliest is None or window.end_latest is None:
                self._add(Loose.OPEN_END, slug, [slug])
                for piece in attributed[slug]:
                    self._gathered[Loose.OPEN_END, slug].datings |= by_thing.get(piece, set())

    def _questions(self) -> None:
        links = {p.name for p in self.vocabulary.properties.values() if p.range == "Question"}
        for slug in self._of_kind("Question"):
            answers = [claim for claim in self.view.by_value.get(slug, ()) if claim.property in links]
            if len(answers) != 1:
                kind = Loose.SEVERAL_ANSWERS if answers else Loose.NO_ANSWER
                self._add(kind, slug, [slug, *(claim.subject for claim in answers)], answers)

    def _of_kind(self, kind: str) -> Iterator[str]:
        for slug, thing in sorted(self.view.things.items()):
            if self.vocabulary.is_a(thing.kinds, kind):
                yield slug
