"""What the statements of an RDF file are: parts of entries, claims with their citation, plain statements, the rest.

Nothing is guessed: what is neither an entry, a claim in the daybook's vocabulary nor the description of a thing is
counted as not understood, by what it says.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import pyoxigraph as ox

from kg.intake.crm_names import PROV, compact
from kg.vocabulary import CLAIM, ENTRY, JUDGEMENT, RDF, RDFS, THING, K, Vocabulary

_TYPE, _LABEL, _REIFIES = RDF + "type", RDFS + "label", RDF + "reifies"
_SUBJECT, _PREDICATE, _OBJECT = (RDF + part for part in ("subject", "predicate", "object"))
_GENERATED = PROV + "wasGeneratedBy"
#: What a claim may say of itself in an entry.
_OF_CLAIM = {
    _TYPE, _SUBJECT, _PREDICATE, _OBJECT,
    *(K + name for name in ("written", "source", "locator", "quotation", "strength", "confidential")),
}  # fmt: skip
_OF_ENTRY = {_TYPE, K + "recorded", K + "recordedBy", K + "note"}
_OF_JUDGEMENT = {_TYPE, K + "judges", K + "finds", K + "because"}
#: What follows from a claim and is worked out anew: the days between which its date lies.
_WORKED_OUT = {K + name for name in ("beginFrom", "beginTo", "endFrom", "endTo", "illFormed")}
_CITING = ("source", "locator", "quotation", "strength", "confidential", "written")

Node = Any
Pairs = dict[str, list[Any]]


@dataclass
class Sorted:
    """The statements of a file by what they are."""

    entries: dict[str, list[ox.Quad]] = field(default_factory=dict)
    """What each entry of a daybook says, whole or in part."""
    things: dict[Node, Pairs] = field(default_factory=dict)
    """Descriptions: classes, names and marks of things."""
    cited: list[tuple[ox.Triple, dict[str, list[Any]]]] = field(default_factory=list)
    """Claims with what is said of them."""
    plain: list[ox.Triple] = field(default_factory=list)
    """Statements in the vocabulary that nothing cites."""
    not_understood: Counter[str] = field(default_factory=Counter)
    names: Mapping[Node, str] = field(default_factory=dict)
    """The slugs made for nodes that have no name of a daybook."""


def sort_statements(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> Sorted:
    """The statements of a file, sorted."""
    return _Sorter(vocabulary).sort(quads)


class _Sorter:
    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.found = Sorted()
        self.said: dict[Node, Pairs] = defaultdict(lambda: defaultdict(list))
        self.reified: dict[Node, ox.Triple] = {}
        self.stated: set[ox.Triple] = set()

    def sort(self, quads: Iterable[ox.Quad]) -> Sorted:
        """Gather what is said of each node, then tell what each node is."""
        graphs: dict[str, list[ox.Quad]] = defaultdict(list)
        for quad in quads:
            graph = quad.graph_name
            if isinstance(graph, ox.NamedNode) and graph.value.startswith(ENTRY):
                graphs[graph.value].append(quad)
            elif quad.predicate.value == _REIFIES and isinstance(quad.object, ox.Triple):
                self.reified[quad.subject] = quad.object
            else:
                self.said[quad.subject][quad.predicate.value].append(quad.object)
        self.found.entries = dict(graphs)
        self.found.names = names_of(self.said, self.reified)
        self.statements()
        self.gathered()
        for node, pairs in self.said.items():
            self.thing(node, pairs)
        return self.found

    def statements(self) -> None:
        """The claims: statements about statements, whose citation says where they come from."""
        for node, pairs in list(self.said.items()):
            if all(len(set(pairs.get(part, ()))) == 1 for part in (_SUBJECT, _PREDICATE, _OBJECT)):
                subject, predicate, value = (pairs[part][0] for part in (_SUBJECT, _PREDICATE, _OBJECT))
                if isinstance(predicate, ox.NamedNode) and not isinstance(subject, ox.Literal | ox.Triple):
                    self.reified.setdefault(node, ox.Triple(subject, predicate, value))
        for node, triple in self.reified.items():
            pairs = self.said.pop(node, {})
            self.stated.add(triple)
            if self.of_an_entry(node, pairs):
                continue
            if self.is_ours(triple.predicate.value):
                for part in (_SUBJECT, _PREDICATE, _OBJECT, _TYPE, *_WORKED_OUT):
                    pairs.pop(part, None)
                self.found.cited.append((triple, {n: pairs.pop(K + n) for n in _CITING if K + n in pairs}))
            else:
                self.count(triple.predicate.value, 1)
            self.rest(pairs)

    def of_an_entry(self, node: Node, pairs: Pairs) -> bool:
        """Whether a claim names the entry that holds it, and that entry is described here; then it is kept there."""
        made = [e for e in pairs.get(_GENERATED, ()) if isinstance(e, ox.NamedNode) and e in self.said]
        is_claim = isinstance(node, ox.NamedNode) and node.value.startswith(CLAIM)
        if not (is_claim and len(made) == 1 and made[0].value.startswith(ENTRY)):
            return False
        if not {K + "recorded", K + "recordedBy"} <= self.said[made[0]].keys():
            return False
        pairs.pop(_GENERATED)
        for part in _WORKED_OUT:
            pairs.pop(part, None)
        self.keep(made[0], node, pairs, _OF_CLAIM)
        return True

    def gathered(self) -> None:
        """The entries themselves, with their judgements, where claims of theirs were found."""
        for node in [n for n in self.said if isinstance(n, ox.NamedNode)]:
            if node.value.startswith(JUDGEMENT) and K + "judges" in self.said[node]:
                entry = ox.NamedNode(ENTRY + node.value[len(JUDGEMENT) :].rpartition(".")[0])
                if K + "recorded" in self.said.get(entry, {}):
                    self.keep(entry, node, self.said.pop(node), _OF_JUDGEMENT)
        for iri in list(self.found.entries):
            node = ox.NamedNode(iri)
            if node in self.said:
                self.keep(node, node, self.said.pop(node), _OF_ENTRY)

    def keep(self, entry: ox.NamedNode, node: Node, pairs: Pairs, known: set[str]) -> None:
        """Keep for an entry what belongs to it; count the rest."""
        quads = self.found.entries.setdefault(entry.value, [])
        for predicate in [p for p in pairs if p in known]:
            for value in dict.fromkeys(pairs.pop(predicate)):
                if predicate != _TYPE or value.value.startswith(K):
                    quads.append(ox.Quad(node, ox.NamedNode(predicate), value, entry))
                else:
                    self.count(_told_class(value), 1)
        self.rest(pairs)

    def thing(self, node: Node, pairs: Pairs) -> None:
        """What is said of a thing: its description, and statements that nothing cites."""
        described: Pairs = {}
        for predicate, values in pairs.items():
            if predicate == _TYPE:
                kinds = [v for v in values if isinstance(v, ox.NamedNode) and v.value.startswith(K)]
                described[_TYPE] = [
                    k for k in kinds if k.value[len(K) :] not in ("Claim", "Entry", "Judgement")
                ]
                for other in values:
                    if other not in described[_TYPE]:
                        self.count(_told_class(other), 1)
            elif predicate in (_LABEL, K + "confidential", K + "datesBy"):
                described[predicate] = values
            elif self.is_ours(predicate):
                self.found.plain += [
                    triple
                    for value in dict.fromkeys(values)
                    if (triple := ox.Triple(node, ox.NamedNode(predicate), value)) not in self.stated
                ]
            else:
                self.count(predicate, len(values))
        is_named = isinstance(node, ox.NamedNode) and node.value.startswith(THING)
        if described.get(_TYPE) or (is_named and any(described.values())):
            self.found.things[node] = described
        else:
            self.rest(described)

    def rest(self, pairs: Mapping[str, list[Any]]) -> None:
        """Count what was not taken."""
        for predicate, values in pairs.items():
            if values:
                self.count(predicate, len(values))

    def count(self, iri: str, number: int) -> None:
        """Count statements that are not understood by their property or class."""
        self.found.not_understood[compact(iri)] += number

    def is_ours(self, predicate: str) -> bool:
        """Whether a property is one of the vocabulary."""
        return predicate.startswith(K) and predicate[len(K) :] in self.vocabulary.properties


def _told_class(value: Node) -> str:
    return value.value if isinstance(value, ox.NamedNode) else RDF + "type"


def name_of(node: Node, names: Mapping[Node, str]) -> str:
    """The short name of a node, or the text of a literal."""
    if node in names:
        return names[node]
    for base in (THING, CLAIM, K):
        if isinstance(node, ox.NamedNode) and node.value.startswith(base):
            return str(node.value[len(base) :])
    return str(node.value)


def names_of(said: Mapping[Node, Pairs], reified: Mapping[Node, ox.Triple]) -> dict[Node, str]:
    """A slug for every node that has no name of a daybook, made from what it is: the same file gives the same slugs.

    A node with an IRI is named by it. A blank node is named by what is said of it; of several of which the same is
    said, by their order in the file.
    """
    names: dict[Node, str] = {}
    seen: Counter[str] = Counter()
    for node in dict.fromkeys(_nodes(said, reified)):
        if isinstance(node, ox.NamedNode):
            if not node.value.startswith((THING, CLAIM, K, ENTRY, JUDGEMENT)):
                names[node] = f"{_words(node.value)}-{_digest(node.value)}"
            continue
        if node in reified:
            continue
        told = sorted(f"{p} {_ground(v)}" for p, values in said.get(node, {}).items() for v in values)
        key = "\n".join(told)
        seen[key] += 1
        label = next(
            (v.value for v in said.get(node, {}).get(_LABEL, ()) if isinstance(v, ox.Literal)), "unnamed"
        )
        names[node] = f"{_words(label)}-{_digest(f'{key}#{seen[key]}')}"
    return names


def _nodes(said: Mapping[Node, Pairs], reified: Mapping[Node, ox.Triple]) -> Iterator[Node]:
    for subject, pairs in said.items():
        yield subject
        for predicate, values in pairs.items():
            # The value of a property outside the vocabulary is never taken in.
            if predicate.startswith(K) or predicate in (_SUBJECT, _OBJECT):
                yield from (v for v in values if isinstance(v, ox.NamedNode | ox.BlankNode))
    for triple in reified.values():
        yield from (v for v in (triple.subject, triple.object) if isinstance(v, ox.NamedNode | ox.BlankNode))


def _ground(value: Node) -> str:
    return "_" if isinstance(value, ox.BlankNode | ox.Triple) else str(value)


def _words(text: str) -> str:
    """The end of a name as letters that can stand in a slug."""
    last = re.split(r"[#/:]", text.rstrip("#/"))[-1]
    return re.sub(r"[^a-z0-9]+", "-", last.lower()).strip("-")[:40] or "thing"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:10]
