"""The vocabulary: classes, properties, spans, conventions and time rules, read from shapes/vocabulary.ttl.

This is the only module that knows IRIs. Everything else speaks of things, properties and classes by their short
names: ``madeBy``, ``Person``, ``activity``.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Literal

from kg.errors import KilnmarkError
from kg.resources import resource

K = "https://kilnmark.example/vocabulary#"
THING = "https://kilnmark.example/thing/"
CLAIM = "https://kilnmark.example/claim/"
ENTRY = "https://kilnmark.example/entry/"
JUDGEMENT = "https://kilnmark.example/judgement/"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
RDFS = "http://www.w3.org/2000/01/rdf-schema#"
XSD = "http://www.w3.org/2001/XMLSchema#"
#: The datatype that the Library of Congress gives to dates in EDTF.
EDTF = "http://id.loc.gov/datatypes/edtf/EDTF"

End = Literal["begin", "end"]
Sense = Literal["notBefore", "notAfter"]


SLUG = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


class VocabularyFault(KilnmarkError):
    """A vocabulary file says something that this program cannot use."""


class UnknownTerm(KilnmarkError):
    """A property, class or convention was named that the vocabulary does not hold."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        from difflib import get_close_matches

        known = list(known)
        near = get_close_matches(name, known, n=3)
        hint = f" Did you mean {', '.join(near)}?" if near else f" There are {', '.join(sorted(known))}."
        super().__init__(f"{name!r} is no {kind} of the vocabulary.{hint}")
        self.kind, self.name, self.near = kind, name, near


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time that things of a class have: a life, a making, a publication."""

    name: str
    label: str
    begin_word: str
    end_word: str
    is_lasting: bool = False
    """True for a stretch such as a life or a production, of which a date is some moment; a making is short."""


@dataclass(frozen=True, slots=True)
class Convention:
    """A stated number of years that a rule allows or asks for, with its basis; it can be switched off."""

    name: str
    label: str
    family: str
    years: int
    years_when_off: int | None
    """Years to use when switched off; None drops the rule."""
    basis: str
    comment: str


@dataclass(frozen=True, slots=True)
class Requirement:
    """One end of the subject's span lies not before (or not after) one end of the object's."""

    point: End
    sense: Sense
    other: End


@dataclass(frozen=True, slots=True)
class TimeRule:
    """What a property or class says about time: the subject's span stands in a relation to the object's."""

    label: str
    subject_span: str
    relation: str
    requirements: tuple[Requirement, ...]
    object_span: str | None
    """None: the object is the date that the claim gives."""
    strength: str
    slack: Convention | None
    delay: Convention | None
    is_inverse: bool
    """True: the first span is the object's and the second the subject's."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A class of things, with the spans and time rules of its own (those of its parents come on top)."""

    name: str
    label: str
    comment: str
    parent: str | None
    spans: tuple[str, ...]
    rules: tuple[TimeRule, ...]
    directness: int
    """How near a source of this class stands to the thing itself: 8 register or object, 2 book; 0 no source."""
    is_first_hand: bool
    maps_to: str
    disjoint_with: tuple[str, ...] = ()
    """Classes of which nothing can be that is of this one."""


@dataclass(frozen=True, slots=True)
class Property:
    """What a claim can say of a thing."""

    name: str
    label: str
    comment: str
    domain: str
    range: str
    group: str
    order: int
    maps_to: str
    rules: tuple[TimeRule, ...]
    is_opinion: bool
    """True for datings: they are tested by the rest and bind nothing in a fit."""
    is_attribution: bool
    is_identity: bool
    is_derivation: bool
    is_caution: bool = False
    """True for what can hurt someone or is protected: it is shown wherever the thing is used."""
    reads_mark: str | None = None
    """The span that a transcription bounds through registers and rules; None for other properties."""
    dated_by_name: str | None = None
    """The span of the value that the rules on materials and techniques bound by its name, where nobody has dated it."""

    @property
    def is_date(self) -> bool:
        """Whether the value is a date."""
        return self.range == "Date"

    @property
    def is_text(self) -> bool:
        """Whether the value is plain text."""
        return self.range == "string"

    @property
    def is_number(self) -> bool:
        """Whether the value is a whole number."""
        return self.range == "integer"

    @property
    def is_link(self) -> bool:
        """Whether the value is another thing (or a claim)."""
        return not (self.is_date or self.is_text or self.is_number)


@dataclass(frozen=True)
class Vocabulary:
    """All that the vocabulary files say, by short name."""

    kinds: Mapping[str, Kind]
    properties: Mapping[str, Property]
    spans: Mapping[str, Span]
    conventions: Mapping[str, Convention]
    strengths: Mapping[str, int]
    standings: Mapping[str, str]
    files: tuple[Path, ...] = field(default=(), compare=False)

    def property(self, name: str) -> Property:
        """The property of that name.

        :raises UnknownTerm: if there is none; the message names near ones.
        """
        found = self.properties.get(name)
        if found is None:
            raise UnknownTerm("property", name, self.properties)
        return found

    def kind(self, name: str) -> Kind:
        """The class of that name; ``person`` and ``Person`` are one.

        :raises UnknownTerm: if there is none; the message names near ones.
        """
        found = self.kinds.get(name) or self._kinds_by_lower.get(
            name.lower().replace(" ", "").replace("-", "")
        )
        if found is None:
            raise UnknownTerm("class", name, self.kinds)
        return found

    @cached_property
    def _kinds_by_lower(self) -> Mapping[str, Kind]:
        return {name.lower(): kind for name, kind in self.kinds.items()}

    @cached_property
    def ancestors(self) -> Mapping[str, frozenset[str]]:
        """Each class with itself and all classes above it."""
        return {name: frozenset(self._line(name)) for name in self.kinds}

    def _line(self, name: str) -> Iterable[str]:
        step: str | None = name
        seen: set[str] = set()
        while step is not None and step not in seen and step in self.kinds:
            seen.add(step)
            yield step
            step = self.kinds[step].parent

    @cached_property
    def descendants(self) -> Mapping[str, frozenset[str]]:
        """Each class with itself and all classes below it."""
        below: dict[str, set[str]] = defaultdict(set)
        for name, line in self.ancestors.items():
            for above in line:
                below[above].add(name)
        return {name: frozenset(names) for name, names in below.items()}

    def is_a(self, kinds: Iterable[str], wanted: str) -> bool:
        """Whether one of the classes is the wanted one or below it."""
        return any(wanted in self.ancestors.get(kind, frozenset()) for kind in kinds)

    def spans_of(self, kinds: Iterable[str]) -> frozenset[str]:
        """The spans that a thing of these classes has."""
        lines = {above for kind in kinds for above in self.ancestors.get(kind, frozenset())}
        return frozenset(span for name in lines for span in self.kinds[name].spans)

    def rules_of(self, kinds: Iterable[str]) -> tuple[TimeRule, ...]:
        """The time rules that hold within one thing of these classes, in a fixed order."""
        lines = sorted({above for kind in kinds for above in self.ancestors.get(kind, frozenset())})
        return tuple(rule for name in lines for rule in self.kinds[name].rules)

    def directness(self, kinds: Iterable[str]) -> int:
        """How near a source of these classes stands to the thing itself; 1 where nothing is said."""
        ranks = [
            self.kinds[above].directness
            for kind in kinds
            for above in self._line(kind)
            if self.kinds[above].directness
        ]
        # The first class named decides: a register is a source too, but stands nearer than a source in general.
        return ranks[0] if ranks else 1


def short(iri: str) -> str:
    """The short name behind an IRI: what follows the last ``#`` or ``/``.

    >>> short("https://kilnmark.example/vocabulary#madeBy")
    'madeBy'
    """
    return re.split(r"[#/]", iri)[-1]


@lru_cache(maxsize=8)
def load_vocabulary(*extensions: Path) -> Vocabulary:
    """The vocabulary that ships, together with extension files in Turtle.

    :raises VocabularyFault: if a file cannot be read or leaves out what a property needs.
    """
    from kg.vocabulary_files import Graph  # the reader speaks of the values above

    files = (resource("shapes/vocabulary.ttl"), *extensions)
    graph = Graph()
    for path in files:
        graph.read(path, is_extension=path is not files[0])
    return graph.vocabulary(files)
