"""Printed sentences and their footing: what went to print, and whether the claims it was written from still stand.

A sentence says all that its claims say. So it stands only while each of them does, and loses its footing with the
first that falls. What a claim says stands as long as somebody's live claim says the same (same subject, same property,
same value) and did not have it only from where it was set aside. What is in print is known at first hand: the page
itself is the evidence of what it says.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.standing import Step, best_step
from kg.sources_weighed.statement import RESTS_ON, SENTENCE_OF, SENTENCE_TEXT, said


class Footing(Enum):
    """How a printed sentence stands, best first."""

    STANDS = "stands"
    SHAKEN = "rests on what is contested, doubted or unanchored"
    LOST = "has lost its footing: what it rests on is set aside or withdrawn"

    def __bool__(self) -> bool:
        raise TypeError("A footing has three answers; compare it with Footing.STANDS or another.")


#: Steps of a claim on which a sentence stands unsurely.
UNSURE = frozenset({Step.CONTESTED, Step.NOT_KNOWN, Step.CIRCULAR, Step.DOUBTED})


@dataclass(frozen=True, slots=True)
class Sentence:
    """A printed sentence: where it stands, its words, and the claims that it was written from."""

    thing: str
    source: str
    citation: Claim
    """The claim that says in which source it is printed, and at what place."""
    text: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class Support:
    """A claim under a printed sentence, and the best step on which what it says stands."""

    claim: Claim
    step: Step


class Printed:
    """The printed sentences of a working view."""

    def __init__(self, weighed: Weighed) -> None:
        self.weighed = weighed

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        """Every sentence on record that rests on a claim, in order of entry."""
        view = self.weighed.view
        texts: dict[str, str] = {}
        places: dict[str, Claim] = {}
        rests: dict[str, list[Claim]] = defaultdict(list)
        for claim in view.live:
            if claim.property == SENTENCE_TEXT:
                texts[claim.subject] = claim.value
            elif claim.property == SENTENCE_OF:
                places[claim.subject] = claim
            elif claim.property == RESTS_ON and claim.value in view.claims:
                rests[claim.subject].append(view.claims[claim.value])
        return tuple(
            Sentence(thing, places[thing].value, places[thing], texts.get(thing, ""), tuple(claims))
            for thing, claims in rests.items()
            if thing in places
        )

    @cached_property
    def by_statement(self) -> Mapping[tuple[str, str, str], tuple[Sentence, ...]]:
        """The sentences that rest on each statement."""
        found: dict[tuple[str, str, str], dict[str, Sentence]] = defaultdict(dict)
        for sentence in self.sentences:
            for claim in sentence.claims:
                found[said(claim)][sentence.thing] = sentence
        return {statement: tuple(sentences.values()) for statement, sentences in found.items()}

    def on(self, claim: Claim) -> tuple[Sentence, ...]:
        """The sentences that rest on what a claim says."""
        return self.by_statement.get(said(claim), ())

    def supports(self, sentence: Sentence) -> tuple[Support, ...]:
        """The claims under a sentence, each with the step of the best who says it."""
        return tuple(Support(claim, best_step(self.weighed, claim)) for claim in sentence.claims)

    def footing(self, sentence: Sentence) -> Footing:
        """How a sentence stands: as its weakest claim does."""
        steps = {support.step for support in self.supports(sentence)}
        if steps & {Step.SET_ASIDE, Step.WITHDRAWN}:
            return Footing.LOST
        return Footing.SHAKEN if steps & UNSURE else Footing.STANDS

    def losing(self, gone: Collection[str], fallen: Collection[str]) -> tuple[Sentence, ...]:
        """The sentences that have a footing, and lose it if some claims no longer count.

        ``gone`` are the claims that fell or lost their anchor. A sentence that is itself among the fallen claims is no
        longer on record, and is not told.
        """
        view = self.weighed.view
        touched = {
            sentence.thing: sentence
            for name in gone
            for sentence in self.by_statement.get(said(view.claims[name]), ())
        }
        return tuple(
            sentence
            for thing, sentence in sorted(touched.items())
            if sentence.citation.id not in fallen and self._loses(sentence, gone)
        )

    def _loses(self, sentence: Sentence, gone: Collection[str]) -> bool:
        saying = [self.weighed.statements.saying(claim) for claim in sentence.claims]
        return all(saying) and any(all(other.id in gone for other in claims) for claims in saying)
