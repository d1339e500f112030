"""Reading the vocabulary files: Turtle in, the values of ``kg.vocabulary`` out."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import pyoxigraph as ox

from kg.vocabulary import (
    RDF,
    RDFS,
    Convention,
    End,
    K,
    Kind,
    Property,
    Requirement,
    Span,
    TimeRule,
    Vocabulary,
    VocabularyFault,
    short,
)

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
#: By this OWL says that nothing is of both classes.
OWL_DISJOINT = "http://www.w3.org/2002/07/owl#disjointWith"


#: A vocabulary file larger than this is not read: the one that ships has some 70 kB.
LARGEST_FILE = 4 * 2**20


class Graph:
    """The triples of the vocabulary files, by subject and predicate."""

    def __init__(self) -> None:
        self.by_subject: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        self.where: dict[str, Path] = {}

    def read(self, path: Path, *, is_extension: bool) -> None:
        try:
            turtle = path.read_bytes()
            if len(turtle) > LARGEST_FILE:
                raise VocabularyFault(
                    f"The vocabulary file {path.name} has more than {LARGEST_FILE:,} bytes."
                )
            if b"<<" in turtle:
                raise VocabularyFault(
                    f"The vocabulary file {path.name} holds <<, which has no meaning there."
                )
            triples = list(ox.parse(turtle, format=ox.RdfFormat.TURTLE))
        except (SyntaxError, ValueError, OSError) as error:
            raise VocabularyFault(
                f"The vocabulary file {path.name} is no Turtle that can be read: {error}"
            ) from error
        # Blank nodes are renamed per file, so that two files never share one by accident.
        shipped = (
            {subject for subject, where in self.where.items() if where != path} if is_extension else set()
        )
        for quad in triples:
            if str(getattr(quad.subject, "value", "")) in shipped:
                raise VocabularyFault(
                    f"The vocabulary file {path.name} speaks of {short(str(quad.subject)[:-1])}, "
                    "which another file defines. "
                    "Choose a name of your own for a new property or class."
                )
            subject, value = self._name(quad.subject, path), self._name(quad.object, path)
            values = self.by_subject[subject][quad.predicate.value]
            if value not in values:
                values.append(value)
            self.where.setdefault(subject, path)

    @staticmethod
    def _name(term: object, path: Path) -> str:
        if isinstance(term, ox.BlankNode):
            return f"_:{path}:{term.value}"
        return str(getattr(term, "value", term))

    def of_type(self, kind: str) -> list[str]:
        found = [s for s, p in self.by_subject.items() if kind in p.get(RDF + "type", ())]
        for subject in found:
            if not (subject.startswith(K) and _NAME.fullmatch(subject[len(K) :])):
                raise VocabularyFault(
                    f"In {self.where[subject].name}: {subject} is defined as a {short(kind)}. Only names in the "
                    f"namespace {K}, of letters, digits and '-', define vocabulary."
                )
        return found

    def one(self, subject: str, predicate: str, default: str | None = None) -> str:
        values = self.by_subject[subject].get(predicate, [])
        if values:
            return values[0]
        if default is None:
            name = short(subject) if not subject.startswith("_:") else "a time rule"
            raise VocabularyFault(
                f"In {self.where.get(subject, Path('the vocabulary')).name}: {name} has no {short(predicate)}. "
                f"Add one, as the other blocks do."
            )
        return default

    def many(self, subject: str, predicate: str) -> list[str]:
        return self.by_subject[subject].get(predicate, [])

    def number(self, subject: str, predicate: str, default: str | None = None) -> int:
        found = self.one(subject, predicate, default)
        if not re.fullmatch(r"[0-9]{1,9}", found):
            raise VocabularyFault(
                f"In {self.where.get(subject, Path('the vocabulary')).name}: {short(subject)} has {short(predicate)} "
                f"{found[:40]!r}; expected a whole number, 0 or more."
            )
        return int(found)

    def flag(self, subject: str, predicate: str) -> bool:
        return self.one(subject, predicate, "false") == "true"

    def vocabulary(self, files: tuple[Path, ...]) -> Vocabulary:
        conventions = {iri: self._convention(iri) for iri in self.of_type(K + "Convention")}
        self._conventions = conventions
        kinds = [self._kind(iri) for iri in self.of_type(RDFS + "Class")]
        properties = [self._property(iri) for iri in self.of_type(RDF + "Property")]
        return Vocabulary(
            kinds={kind.name: kind for kind in kinds},
            properties={
                item.name: item for item in sorted(properties, key=lambda p: (p.group, p.order, p.name))
            },
            spans={short(iri): self._span(iri) for iri in self.of_type(K + "Span")},
            conventions={item.name: item for item in conventions.values()},
            strengths={short(iri): self.number(iri, K + "rank") for iri in self.of_type(K + "Strength")},
            standings={short(iri): self.one(iri, RDFS + "label") for iri in self.of_type(K + "Standing")},
            files=files,
        )

    def _span(self, iri: str) -> Span:
        label = self.one(iri, RDFS + "label")
        return Span(
            short(iri),
            label,
            self.one(iri, K + "beginWord", label),
            self.one(iri, K + "endWord", label),
            self.flag(iri, K + "lasting"),
        )

    def _convention(self, iri: str) -> Convention:
        dropped = self.flag(iri, K + "dropWhenOff")
        return Convention(
            name=self.one(iri, K + "name"),
            label=self.one(iri, RDFS + "label"),
            family=self.one(iri, K + "family"),
            years=self.number(iri, K + "years"),
            years_when_off=None if dropped else self.number(iri, K + "yearsWhenOff", "0"),
            basis=self.one(iri, K + "basis"),
            comment=self.one(iri, RDFS + "comment", ""),
        )

    def _kind(self, iri: str) -> Kind:
        parents = [p for p in self.many(iri, RDFS + "subClassOf") if p.startswith(K)]
        return Kind(
            name=short(iri),
            label=self.one(iri, RDFS + "label"),
            comment=self.one(iri, RDFS + "comment", ""),
            parent=short(parents[0]) if parents else None,
            spans=tuple(short(s) for s in self.many(iri, K + "hasSpan")),
            rules=tuple(self._rule(r) for r in self.many(iri, K + "timeRule")),
            directness=self.number(iri, K + "directness", "0"),
            is_first_hand=self.flag(iri, K + "firstHand"),
            maps_to=self.one(iri, K + "mapsTo", ""),
            disjoint_with=tuple(short(c) for c in self.many(iri, OWL_DISJOINT)),
        )

    def _property(self, iri: str) -> Property:
        return Property(
            name=short(iri),
            label=self.one(iri, RDFS + "label"),
            comment=self.one(iri, RDFS + "comment", ""),
            domain=short(self.one(iri, RDFS + "domain")),
            range=short(self.one(iri, RDFS + "range")),
            group=self.one(iri, K + "group", "other"),
            order=self.number(iri, K + "order", "1000"),
            maps_to=self.one(iri, K + "mapsTo", ""),
            rules=tuple(self._rule(r) for r in self.many(iri, K + "timeRule")),
            is_opinion=self.flag(iri, K + "opinion"),
            is_attribution=self.flag(iri, K + "attribution"),
            is_identity=self.flag(iri, K + "identity"),
            is_derivation=self.flag(iri, K + "derivation"),
            is_caution=self.flag(iri, K + "caution"),
            reads_mark=short(self.one(iri, K + "readsMark", "")) or None,
            dated_by_name=short(self.one(iri, K + "datedByName", "")) or None,
        )

    def _rule(self, node: str) -> TimeRule:
        relation = self.one(node, K + "relation")
        object_span = self.one(node, K + "objectSpan", "")
        return TimeRule(
            label=self.one(node, RDFS + "label"),
            subject_span=short(self.one(node, K + "subjectSpan")),
            relation=self.one(relation, RDFS + "label"),
            requirements=tuple(
                sorted(self._requirements(relation), key=lambda r: (r.point, r.sense, r.other))
            ),
            object_span=short(object_span) if object_span else None,
            strength=short(self.one(node, K + "strength", K + "hard")),
            slack=self._convention_of(node, K + "slack"),
            delay=self._convention_of(node, K + "delay"),
            is_inverse=self.flag(node, K + "inverse"),
        )

    def _convention_of(self, node: str, predicate: str) -> Convention | None:
        named = self.one(node, predicate, "")
        if named and named not in self._conventions:
            raise VocabularyFault(
                f"A time rule names the convention {short(named)}, which no vocabulary file defines."
            )
        return self._conventions.get(named)

    def _requirements(self, relation: str) -> Iterable[Requirement]:
        listed = self.many(relation, K + "requires")
        if not listed:
            raise VocabularyFault(
                f"The time relation {short(relation)} requires nothing; give it k:requires."
            )
        for node in listed:
            point = _end(self.one(node, K + "point"))
            for sense in ("notBefore", "notAfter"):
                for other in self.many(node, K + sense):
                    yield Requirement(point, "notBefore" if sense == "notBefore" else "notAfter", _end(other))


def _end(iri: str) -> End:
    name = short(iri)
    if name == "begin":
        return "begin"
    if name == "end":
        return "end"
    raise VocabularyFault(f"A requirement speaks of {name!r}; a span has only a begin and an end.")
