"""What can be seen on a piece: features and their values, read from the SKOS files in sources/vocabularies.

A feature (neck, eyes, hands) is a concept scheme; its values are concepts whose ids are those by which a daybook names
the same features, materials and techniques. Some features take their values from the daybook itself: the shop of a
ticket, the mould, the size number.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

import pyoxigraph as ox

from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.resources import resource
from kg.vocabulary import K, short

SKOS = "http://www.w3.org/2004/02/skos/core#"
#: The feature that a dating stands for; its values are decades.
DECADE = "seen-decade"


class BadFeatures(KilnmarkError):
    """A file of features says something that this program cannot use."""


@dataclass(frozen=True, slots=True)
class Looking:
    """What it takes to see a thing: a glance, a lifted wig, an undressed doll, a laboratory."""

    name: str
    label: str
    order: int
    caution: str


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a feature, with what is seen and what looking for it takes."""

    slug: str
    label: str
    description: str
    looking: str
    caution: str
    features: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing that can be looked at: neck, eyes, hands."""

    slug: str
    label: str
    order: int
    description: str
    looking: str
    seen_on: tuple[str, ...]
    """The classes of parts on which it is seen; none where it belongs to the whole piece."""
    values_of: tuple[str, ...]
    """The properties that give its values where these are no concepts."""
    measured_by: str | None
    counted_once_with: tuple[str, ...]
    is_several: bool
    """Whether one piece can show several values at once."""


@dataclass(frozen=True)
class Features:
    """All features and values, by their ids."""

    features: Mapping[str, Feature]
    values: Mapping[str, Value]
    lookings: Mapping[str, Looking]

    @cached_property
    def by_property(self) -> Mapping[str, str]:
        """The feature that each value-giving property speaks of."""
        return {name: f.slug for f in self.features.values() for name in f.values_of}

    @cached_property
    def values_by_feature(self) -> Mapping[str, tuple[Value, ...]]:
        """The values of each feature."""
        found: dict[str, list[Value]] = defaultdict(list)
        for value in self.values.values():
            for feature in value.features:
                found[feature].append(value)
        return {slug: tuple(values) for slug, values in found.items()}

    def named(self, name: str) -> Feature | None:
        """The feature of that id or label, if there is one."""
        wanted = name.casefold().strip()
        return next((f for f in self.features.values() if wanted in (f.slug, f.label.casefold())), None)

    def caution(self, feature: Feature) -> str:
        """What to mind when looking for it: the caution of the class of looking and those of its values, each once."""
        said = [self.lookings[feature.looking].caution]
        said += [value.caution for value in self.values_by_feature.get(feature.slug, ()) if value.caution]
        sentences: dict[str, None] = {}
        for text in said:
            for sentence in filter(None, text.replace(". ", ".\n").split("\n")):
                sentences.setdefault(sentence)
        return " ".join(sentences)

    def missing_things(self, view: WorkingView) -> tuple[Thing, ...]:
        """The values that a daybook does not yet hold, as things to record, so that claims can name them."""
        kinds = {"material": "Material", "technique": "Technique"}
        return tuple(
            Thing(value.slug, (kinds.get(value.slug.split("-")[0], "Feature"),), value.label)
            for value in self.values.values()
            if value.slug not in view.things
        )


@lru_cache(maxsize=4)
def load_features(*extensions: Path) -> Features:
    """The features that ship, together with extension files in Turtle.

    :raises BadFeatures: if a file cannot be read, or a value names a feature or class of looking that is not there.
    """
    folder = resource("sources/vocabularies")
    triples: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for path in (*sorted(folder.glob("*.ttl")), *extensions):
        try:
            for quad in ox.parse(path.read_bytes(), format=ox.RdfFormat.TURTLE):
                subject, value = getattr(quad.subject, "value", ""), getattr(quad.object, "value", "")
                triples[subject][quad.predicate.value].append(value)
        except (SyntaxError, ValueError, OSError) as error:
            raise BadFeatures(
                f"The file of features {path.name} is no Turtle that can be read: {error}"
            ) from error
    return _checked(_features(triples))


_Triples = Mapping[str, Mapping[str, list[str]]]


def _features(triples: _Triples) -> Features:
    features, values, lookings = {}, {}, {}
    for iri, said in triples.items():
        types = {short(kind) for kind in said.get("http://www.w3.org/1999/02/22-rdf-syntax-ns#type", ())}
        slug = short(iri)
        if "ConceptScheme" in types:
            features[slug] = _feature(slug, said)
        elif "Concept" in types and iri.startswith(K):
            order = int(_one(said, K + "order", "9"))
            lookings[slug] = Looking(
                slug, _one(said, SKOS + "prefLabel"), order, _one(said, K + "caution", "")
            )
        elif "Concept" in types:
            values[slug] = Value(
                slug,
                _one(said, SKOS + "prefLabel"),
                _one(said, SKOS + "definition", ""),
                short(_one(said, K + "looking")),
                _one(said, K + "caution", ""),
                tuple(short(scheme) for scheme in said.get(SKOS + "inScheme", ())),
            )
    ordered = dict(sorted(features.items(), key=lambda item: item[1].order))
    return Features(ordered, values, lookings)


def _feature(slug: str, said: Mapping[str, list[str]]) -> Feature:
    return Feature(
        slug,
        _one(said, SKOS + "prefLabel"),
        int(_one(said, K + "order", "1000")),
        _one(said, SKOS + "definition", ""),
        short(_one(said, K + "looking")),
        tuple(short(kind) for kind in said.get(K + "seenOn", ())),
        tuple(said.get(K + "valuesOf", ())),
        _one(said, K + "measuredBy", "") or None,
        tuple(short(other) for other in said.get(K + "countedOnceWith", ())),
        _one(said, K + "severalAtOnce", "false") == "true",
    )


def _one(said: Mapping[str, list[str]], predicate: str, default: str | None = None) -> str:
    found = said.get(predicate, ())
    if found:
        return found[0]
    if default is None:
        label = said.get(SKOS + "prefLabel", ["a concept"])[0]
        raise BadFeatures(f"{label!r} has no {short(predicate)}. Add one, as the other blocks do.")
    return default


def _checked(features: Features) -> Features:
    for value in features.values.values():
        unknown = [slug for slug in value.features if slug not in features.features]
        if unknown or value.looking not in features.lookings:
            named = unknown[0] if unknown else value.looking
            raise BadFeatures(f"{value.label!r} names {named!r}, which no file of features holds.")
    return features
