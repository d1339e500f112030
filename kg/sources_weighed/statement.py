"""What is said more than once: the claims that say the same as a claim, and those that say the contrary.

Claims say the same if they have the same subject and property and the same value. Dates also say the same if their
cores (without the width of circa) overlap. Dates are contrary if the time rule of their property cannot hold for both,
circa widths applied; other values are contrary where a claim says so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from kg.dates.edtf import parse_edtf
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.vocabulary import Property

#: Property by which one claim is said to contradict another.
CONTRADICTS = "claimContradicts"
#: Properties of a printed sentence: the source it stands in, its words, and the claims it was written from.
SENTENCE_OF, SENTENCE_TEXT, RESTS_ON = "sentenceOf", "sentenceText", "restsOn"


class Agreement(Enum):
    """In what way a claim says the same as another."""

    VALUE = "the same value"
    OVERLAP = "an overlapping date"


@dataclass(frozen=True, slots=True)
class Statement:
    """A claim with those that say the same and those that say the contrary."""

    claim: Claim
    agreeing: tuple[tuple[Claim, Agreement], ...]
    """All that say the same, the claim itself first if it is live."""
    contrary: tuple[Claim, ...]


def said(claim: Claim) -> tuple[str, str, str]:
    """What a claim says, whoever says it: subject, property and value."""
    return claim.subject, claim.property, claim.value


class Statements:
    """The live claims of a view, by what they say."""

    def __init__(self, view: WorkingView) -> None:
        self.view = view
        self._cores: dict[str, tuple[Window, ...]] = {}
        self._groups: dict[tuple[str, str, str], tuple[tuple[Claim, Agreement], ...]] = {}

    @cached_property
    def _buckets(self) -> Mapping[tuple[str, str], list[Claim]]:
        found: dict[tuple[str, str], list[Claim]] = defaultdict(list)
        for claim in self.view.live:
            found[claim.subject, claim.property].append(claim)
        return found

    @cached_property
    def _contradictions(self) -> Mapping[str, list[str]]:
        found: dict[str, list[str]] = defaultdict(list)
        for claim in self.view.live:
            if claim.property == CONTRADICTS:
                found[claim.subject].append(claim.value)
                found[claim.value].append(claim.subject)
        return found

    def of(self, claim: Claim) -> Statement:
        """What is said together with a claim, and against it."""
        agreeing = sorted(self.agreeing(claim), key=lambda pair: pair[0] is not claim)
        return Statement(claim, tuple(agreeing), self.contrary(claim))

    def agreeing(self, claim: Claim) -> tuple[tuple[Claim, Agreement], ...]:
        """The live claims that say the same as a claim, and in what way, in order of entry."""
        key = said(claim)
        found = self._groups.get(key)
        if found is None:
            found = self._groups[key] = tuple(self._agreeing(claim))
        return found

    def _agreeing(self, claim: Claim) -> list[tuple[Claim, Agreement]]:
        bucket = self._buckets.get((claim.subject, claim.property), [])
        if len(bucket) == 1 and bucket[0].value == claim.value:
            return [(bucket[0], Agreement.VALUE)]
        prop = self.view.vocabulary.properties.get(claim.property)
        found = []
        for other in bucket:
            if other.value == claim.value:
                found.append((other, Agreement.VALUE))
            elif prop is not None and prop.is_date and self._overlap(claim.value, other.value):
                found.append((other, Agreement.OVERLAP))
        return found

    def saying(self, claim: Claim) -> tuple[Claim, ...]:
        """The live claims that say the very same as a claim: same subject, property and value."""
        bucket = self._buckets.get((claim.subject, claim.property), ())
        return tuple(other for other in bucket if other.value == claim.value)

    def silenced(self, claim: Claim) -> frozenset[str]:
        """The sources that said what a claim says by claims that are all set aside."""
        aside = self._set_aside.get(said(claim), frozenset())
        return aside and aside - {other.citation.source for other in self.saying(claim)}

    @cached_property
    def _set_aside(self) -> Mapping[tuple[str, str, str], frozenset[str]]:
        found: dict[tuple[str, str, str], set[str]] = defaultdict(set)
        for name, judged in self.view.judgements.items():
            if judged.standing == "setAside" and name in self.view.claims:
                claim = self.view.claims[name]
                found[said(claim)].add(claim.citation.source)
        return {statement: frozenset(sources) for statement, sources in found.items()}

    @cached_property
    def in_print(self) -> frozenset[tuple[str, str]]:
        """Each printed sentence with the source that it stands in."""
        return frozenset(
            (claim.subject, claim.value) for claim in self.view.live if claim.property == SENTENCE_OF
        )

    def speaks_of_itself(self, claim: Claim) -> bool:
        """Whether a source says something of itself, or of a sentence that stands in it."""
        source = claim.citation.source
        return source in (claim.subject, claim.value) or (claim.subject, source) in self.in_print

    def contrary(self, claim: Claim) -> tuple[Claim, ...]:
        """The live claims that cannot be true together with a claim, in order of entry."""
        prop = self.view.vocabulary.properties.get(claim.property)
        found: dict[str, Claim] = {}
        if prop is not None and prop.is_date:
            agreeing = {other.id for other, _ in self.agreeing(claim)}
            for other in self._buckets.get((claim.subject, claim.property), []):
                if other.id not in agreeing and self._exclude(prop, claim, other):
                    found[other.id] = other
        for name in self._contradictions.get(claim.id, ()):
            if name in self._live and name != claim.id:
                found[name] = self.view.claims[name]
        return tuple(found.values())

    @cached_property
    def _live(self) -> frozenset[str]:
        return frozenset(claim.id for claim in self.view.live)

    def _core(self, value: str) -> tuple[Window, ...]:
        found = self._cores.get(value)
        if found is None:
            given = parse_edtf(value)
            found = self._cores[value] = tuple(given.alternatives) or (given.window,)
        return found

    def _overlap(self, one: str, other: str) -> bool:
        return any(_share_a_day(a, b) for a in self._core(one) for b in self._core(other))

    def _exclude(self, prop: Property, one: Claim, other: Claim) -> bool:
        """Whether the hardest reading of the property's own rule cannot hold for both dates."""
        bounds: dict[tuple[str, str], int] = {}
        for window in (self.view.window(one), self.view.window(other)):
            for rule in prop.rules:
                if rule.object_span is not None:
                    continue
                for need in rule.requirements:
                    lower = need.sense == "notBefore"
                    day = getattr(window, f"{need.other}_{'earliest' if lower else 'latest'}")
                    if day is not None:
                        key = need.point, need.sense
                        before = bounds.get(key, day)
                        bounds[key] = max(before, day) if lower else min(before, day)
        return _is_impossible(bounds)


def _share_a_day(one: Window, other: Window) -> bool:
    first = max((day for day in (one.first, other.first) if day is not None), default=None)
    last = min((day for day in (one.last, other.last) if day is not None), default=None)
    return first is None or last is None or first <= last


def _is_impossible(bounds: Mapping[tuple[str, str], int]) -> bool:
    """Whether no begin and end, the begin first, lie within the bounds."""
    pairs = (("begin", "begin"), ("end", "end"), ("begin", "end"))
    return any(
        (low, "notBefore") in bounds
        and (high, "notAfter") in bounds
        and bounds[low, "notBefore"] > bounds[high, "notAfter"]
        for low, high in pairs
    )
