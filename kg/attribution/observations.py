"""What was seen on a piece: by feature and value, absent and unknown kept apart, each with who looked and when.

A piece is read together with its original parts: neck and eyes mostly stand on the piece, mould and material on its
head or body. Parts that were replaced, or of which nobody says whether they are original, do not speak for the maker.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import Enum

from kg.attribution.features import DECADE, Feature, Features
from kg.dates.window import civil
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: How far a doubted claim is believed; a held one is believed in full.
DOUBTED = 0.5
#: Properties whose values are concepts.
SEEN, LACKS, NOT_EXAMINED = ("hasFeature", "usesMaterial", "usesTechnique"), "lacks", "notExamined"
ORIGINAL_PART = "hasOriginalPart"
DATED = "madeOn"
#: A dating this wide or narrower, in years, is put into the decade of its middle.
WIDEST = 30


class Finding(Enum):
    """What looking found; not having looked is an answer too."""

    PRESENT = "present"
    ABSENT = "absent"
    NOT_EXAMINED = "not examined"

    def __bool__(self) -> bool:
        raise TypeError("A finding has three answers; compare it with Finding.PRESENT or another.")


@dataclass(frozen=True, slots=True)
class Observation:
    """One feature of a piece with what was found, by whom, when, and the claims that say so."""

    feature: str
    value: str
    """The value's id; empty where the feature was not examined."""
    finding: Finding
    belief: float
    """One if a claim that says so is held, less if all are doubted."""
    claims: tuple[Claim, ...]
    looked: tuple[tuple[str, datetime], ...] = field(default=(), compare=False)
    """Who noted it, and when."""


def unit_of(view: WorkingView, piece: str) -> tuple[str, ...]:
    """The piece, the records that are the same piece, and its original parts."""
    same = same_things(view, piece)
    parts = [
        claim.value
        for one in same
        for claim in view.by_subject.get(one, ())
        if claim.property == ORIGINAL_PART
    ]
    return tuple(dict.fromkeys((*same, *parts)))


def same_things(view: WorkingView, slug: str) -> tuple[str, ...]:
    """A thing and those that are recorded as the same, in a fixed order with the thing first."""
    found, edge = {slug}, [slug]
    properties = view.vocabulary.properties
    while edge:
        at = edge.pop()
        near = [c.value for c in view.by_subject.get(at, ()) if properties[c.property].is_identity]
        near += [c.subject for c in view.by_value.get(at, ()) if properties[c.property].is_identity]
        fresh = [other for other in near if other not in found]
        found.update(fresh)
        edge.extend(fresh)
    return (slug, *sorted(found - {slug}))


def observed(view: WorkingView, features: Features, piece: str) -> tuple[Observation, ...]:
    """What is recorded as seen on a piece and its original parts, in the order of the features."""
    claims: dict[tuple[str, str, Finding], list[Claim]] = defaultdict(list)
    for thing in unit_of(view, piece):
        for claim in view.by_subject.get(thing, ()):
            for key in _read(view, features, thing, claim):
                claims[key].append(claim)
    found = [_observation(view, key, said) for key, said in claims.items()]
    order = {slug: n for n, slug in enumerate(features.features)}
    return tuple(sorted(found, key=lambda o: (order.get(o.feature, -1), o.feature, o.value, o.finding.value)))


def _observation(view: WorkingView, key: tuple[str, str, Finding], claims: list[Claim]) -> Observation:
    feature, value, finding = key
    belief = max(1.0 if view.standing(claim.id) == "held" else DOUBTED for claim in claims)
    entries = dict.fromkeys(claim.entry for claim in claims)
    looked = tuple(
        (view.entries[e].researcher, view.entries[e].recorded) for e in entries if e in view.entries
    )
    return Observation(feature, value, finding, belief, tuple(claims), looked)


def _read(
    view: WorkingView, features: Features, thing: str, claim: Claim
) -> Iterator[tuple[str, str, Finding]]:
    """What a claim says that was seen."""
    if claim.property in SEEN or claim.property == LACKS:
        feature = _feature_of(view, features, thing, claim)
        if feature is not None:
            yield feature, claim.value, Finding.ABSENT if claim.property == LACKS else Finding.PRESENT
    elif claim.property == NOT_EXAMINED:
        named = features.named(claim.value)
        if named is not None:
            yield named.slug, "", Finding.NOT_EXAMINED
    elif claim.property in features.by_property:
        yield features.by_property[claim.property], claim.value, Finding.PRESENT
    elif claim.property == DATED:
        decade = _decade(view, claim)
        if decade is not None:
            yield DECADE, decade, Finding.PRESENT


def _feature_of(view: WorkingView, features: Features, thing: str, claim: Claim) -> str | None:
    """The feature whose value a claim gives: by the part it stands on, or else by where its source saw it."""
    value = features.values.get(claim.value)
    if value is None:
        return None
    if len(value.features) == 1:
        return value.features[0]
    choice = [features.features[slug] for slug in value.features]
    fitting = [f for f in choice if _is_seen_on(view, f, thing)]
    if len(fitting) != 1:
        place = claim.citation.locator.casefold()
        fitting = [f for f in choice if any(kind.casefold() in place for kind in f.seen_on)]
    return (fitting or choice)[0].slug


def _is_seen_on(view: WorkingView, feature: Feature, thing: str) -> bool:
    return any(view.vocabulary.is_a(view.kinds(thing), kind) for kind in feature.seen_on)


def _decade(view: WorkingView, claim: Claim) -> str | None:
    window = view.window(claim)
    if window.first is None or window.last is None:
        return None
    first, last = civil(window.first)[0], civil(window.last)[0]
    return None if last - first > WIDEST else f"{(first + last) // 20 * 10}s"


def present(observations: Iterable[Observation]) -> dict[str, tuple[Observation, ...]]:
    """The observations that are evidence, by feature: those not examined are left out."""
    found: dict[str, list[Observation]] = defaultdict(list)
    for each in observations:
        if each.finding is not Finding.NOT_EXAMINED:
            found[each.feature].append(each)
    return {feature: tuple(said) for feature, said in found.items()}


def without(observations: Iterable[Observation], claim: str) -> tuple[Observation, ...]:
    """The observations as they are when one claim is left out; those that rest on it alone go."""
    kept = (replace(o, claims=tuple(c for c in o.claims if c.id != claim)) for o in observations)
    return tuple(o for o in kept if o.claims)
