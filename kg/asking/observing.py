"""What can be seen on a piece, as a form: each feature with what is on record and what may be supposed of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kg.asking.parts import Part
from kg.attribution.features import Feature, Features
from kg.attribution.observations import SEEN, Finding, Observation, observed, unit_of
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Claim, Draft, Thing
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError

#: What a supposition begins with: a value seen, a value looked for and absent, or what is on record left out.
SEEN_IT, ABSENT, LEFT_OUT = "seen:", "absent:", "left out"

#: It was tried to look, and could not be seen.
NOT_SEEN = "could not be examined"

#: A piece that was examined is a source too.
EXAMINED = "ObjectExamined"

Supposed = tuple[tuple[str, str], ...]
"""What is supposed, by feature; in the order of the features."""


class NothingSupposed(KilnmarkError):
    """Findings were to be recorded where none were supposed."""


@dataclass(frozen=True, slots=True)
class Possible:
    """One thing that can be said of a feature."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a value of a feature looks like, in words."""

    label: str
    description: str


@dataclass(frozen=True, slots=True)
class OnRecord:
    """What is on record of a feature: the finding in words, its claims, who looked and when."""

    text: str
    claims: tuple[Part, ...]
    looked: str


@dataclass(frozen=True, slots=True)
class FeatureAsked:
    """A feature in the form."""

    slug: str
    label: str
    description: str
    possible: tuple[Possible, ...]
    """The first is what stands now."""
    meanings: tuple[Meaning, ...]
    recorded: tuple[OnRecord, ...]

    @property
    def is_recorded(self) -> bool:
        """Whether anything is on record of it."""
        return bool(self.recorded)


@dataclass(frozen=True, slots=True)
class LookingGroup:
    """The features that take the same kind of looking, with what to mind."""

    label: str
    caution: str
    recorded_count: int
    features: tuple[FeatureAsked, ...]


def form_of(
    view: WorkingView, features: Features, piece: str, known: Mapping[str, Sequence[str]]
) -> tuple[LookingGroup, ...]:
    """The form of a piece; ``known`` holds the values of features that the daybook itself gives."""
    said: dict[str, list[Observation]] = defaultdict(list)
    for each in observed(view, features, piece):
        said[each.feature].append(each)
    groups: dict[str, list[FeatureAsked]] = defaultdict(list)
    for feature in features.features.values():
        values = _values(view, features, feature, known.get(feature.slug, ()))
        if values:
            groups[feature.looking].append(_asked(view, features, feature, values, said[feature.slug]))
    order = sorted(groups, key=lambda looking: features.lookings[looking].order)
    return tuple(
        LookingGroup(
            features.lookings[name].label,
            features.lookings[name].caution,
            sum(one.is_recorded for one in groups[name]),
            tuple(groups[name]),
        )
        for name in order
    )


def _values(
    view: WorkingView, features: Features, feature: Feature, known: Iterable[str]
) -> tuple[tuple[str, str, str], ...]:
    """The values of a feature: id, name and what it looks like."""
    if feature.values_of:
        return tuple((value, view.label(value), "") for value in sorted(known, key=view.label))
    values = features.values_by_feature.get(feature.slug, ())
    return tuple((one.slug, one.label, one.description) for one in values)


def _asked(
    view: WorkingView,
    features: Features,
    feature: Feature,
    values: Sequence[tuple[str, str, str]],
    said: Sequence[Observation],
) -> FeatureAsked:
    looked = [one for one in said if one.finding is not Finding.NOT_EXAMINED]
    possible = [Possible("", "As on record" if looked else "Not yet looked at")]
    possible += [Possible(LEFT_OUT, "Leave what is on record out")] if looked else []
    possible += [Possible(SEEN_IT + slug, label) for slug, label, _ in values]
    if not feature.values_of:
        possible += [Possible(ABSENT + slug, f"Looked, and absent: {label}") for slug, label, _ in values]
    possible += [Possible(NOT_SEEN, "Could not be examined")]
    return FeatureAsked(
        feature.slug,
        feature.label,
        feature.description,
        tuple(possible),
        tuple(Meaning(label, described) for _, label, described in values if described),
        tuple(_on_record(view, features, one) for one in said),
    )


def _on_record(view: WorkingView, features: Features, one: Observation) -> OnRecord:
    known = features.values.get(one.value)
    label = known.label if known else view.label(one.value)
    words = {
        Finding.PRESENT: label,
        Finding.ABSENT: f"absent: {label}",
        Finding.NOT_EXAMINED: NOT_SEEN,
    }
    doubted = "" if one.belief == 1 else ", doubted"
    looked = "; ".join(f"{who}, {when.date().isoformat()}" for who, when in one.looked)
    return OnRecord(words[one.finding] + doubted, tuple(Part(c.id, claim=c.id) for c in one.claims), looked)


def read_supposed(groups: Iterable[LookingGroup], given: Mapping[str, str]) -> Supposed:
    """What is supposed, as a form gives it; what the form does not offer is passed over."""
    found = []
    for feature in (feature for group in groups for feature in group.features):
        key = given.get(feature.slug, "")
        if key and any(one.key == key for one in feature.possible):
            found.append((feature.slug, key))
    return tuple(found)


def supposed_texts(groups: Iterable[LookingGroup], supposed: Supposed) -> tuple[tuple[str, str], ...]:
    """What is supposed, in words: the feature and what is supposed of it."""
    said = dict(supposed)
    return tuple(
        (feature.label, next(one.text for one in feature.possible if one.key == said[feature.slug]))
        for group in groups
        for feature in group.features
        if feature.slug in said
    )


def view_with(view: WorkingView, features: Features, piece: str, supposed: Supposed) -> WorkingView:
    """The working view as it would be if what is supposed were so; nothing is recorded.

    What is on record of a feature gives way to what is supposed of it.
    """
    if not supposed:
        return view
    touched = {feature for feature, _ in supposed}
    gone = {c.id for o in observed(view, features, piece) if o.feature in touched for c in o.claims}
    kept = {name: claim for name, claim in view.claims.items() if name not in gone}
    for number, draft in enumerate(drafts_of(view, features, piece, supposed), start=1):
        name = f"supposed-{number}"
        kept[name] = Claim(
            name, draft.subject, draft.property, draft.value, draft.citation, None, "hard", False, ""
        )
    things = {thing.slug: thing for thing in features.missing_things(view)} | dict(view.things)
    return replace(view, claims=kept, things=things, revision=f"{view.revision}+{piece}{supposed}")


def drafts_of(view: WorkingView, features: Features, piece: str, supposed: Supposed) -> tuple[Draft, ...]:
    """The claims that would record what is supposed, each on the part where it is seen."""
    return tuple(_drafts(view, features, piece, supposed))


def _drafts(view: WorkingView, features: Features, piece: str, supposed: Supposed) -> Iterator[Draft]:
    for slug, key in supposed:
        feature = features.features[slug]
        subject, place = _where(view, feature, piece)
        citation = Citation(piece, place)
        if key == NOT_SEEN:
            yield Draft(subject, "notExamined", feature.label, citation)
        elif key.startswith(ABSENT):
            yield Draft(subject, "lacks", key.removeprefix(ABSENT), citation)
        elif key.startswith(SEEN_IT):
            value = key.removeprefix(SEEN_IT)
            yield Draft(subject, _property_for(view, features, feature, value), value, citation)


def _where(view: WorkingView, feature: Feature, piece: str) -> tuple[str, str]:
    """The recorded part on which a feature is seen, else the piece; and the place as a citation names it."""
    kinds = view.vocabulary.kinds
    parts = [
        thing
        for thing in unit_of(view, piece)
        if any(view.vocabulary.is_a(view.kinds(thing), kind) for kind in feature.seen_on)
    ]
    seen_on = kinds[feature.seen_on[0]].label if feature.seen_on and feature.seen_on[0] in kinds else ""
    place = feature.label if seen_on in feature.label else f"{feature.label}, on the {seen_on}"
    return (parts or [piece])[0], place


def _property_for(view: WorkingView, features: Features, feature: Feature, value: str) -> str:
    """The property that records a value: the one that the feature names, else the one for things of its class."""
    if feature.values_of:
        return feature.values_of[0]
    missing = {thing.slug: thing.kinds for thing in features.missing_things(view)}
    kinds = view.kinds(value) or missing.get(value, ())
    properties = view.vocabulary.properties
    fitting = (name for name in SEEN if view.vocabulary.is_a(kinds, properties[name].range))
    return next(fitting, SEEN[0])


def note_of_findings(
    view: WorkingView, features: Features, piece: str, supposed: Supposed, researcher: str
) -> Note:
    """The note that records what is supposed as seen on the piece, which is its own source.

    What is supposed to be left out is not recorded: that is for a judgement on the claim.

    :raises NothingSupposed: if there is nothing to record.
    """
    drafts = drafts_of(view, features, piece, supposed)
    if not drafts:
        raise NothingSupposed(
            "Nothing was seen yet that could be recorded. Say in the form what was looked at, weigh it, then record it."
        )
    things: list[Thing] = []
    thing = view.things[piece]
    if not view.vocabulary.is_a(thing.kinds, EXAMINED):
        things.append(replace(thing, kinds=(*thing.kinds, EXAMINED)))
    named = {draft.value for draft in drafts}
    things += [one for one in features.missing_things(view) if one.slug in named]
    label = view.label(piece)
    return Note(researcher, f"Looked at {label}.", tuple(things), drafts)


def drafts_count(supposed: Supposed) -> int:
    """How many findings would be recorded of what is supposed."""
    return sum(key != LEFT_OUT for _, key in supposed)
