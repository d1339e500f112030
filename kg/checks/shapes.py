"""Shapes read from Turtle, linted: those that ship, those generated from the vocabulary, and a user's own.

Authority: Shapes Constraint Language (SHACL), W3C Recommendation, 20 July 2017. A misspelt term (``sh:mincount``)
passes unseen in SHACL itself, where unknown triples mean nothing; here it is an error that names the shape.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path

import pyoxigraph as ox

from kg.checks.kind_shapes import kind_shapes
from kg.checks.terms import KNOWN_TERMS
from kg.checks.time_shapes import Wording, time_shapes
from kg.checks.turtle import HEAD, SH, SHAPE
from kg.daybook.trig import holds_triple_term
from kg.errors import KilnmarkError
from kg.resources import resource
from kg.vocabulary import RDF, K, Vocabulary, short
from kg.vocabulary_files import LARGEST_FILE

Term = ox.NamedNode | ox.BlankNode | ox.Literal

#: Terms that point from a shape to further shapes.
_NESTED = frozenset({"property", "node", "not", "or", "and", "xone", "qualifiedValueShape"})
_TARGETS = ("targetClass", "targetNode", "targetSubjectsOf", "targetObjectsOf")


class ShapeFault(KilnmarkError):
    """A shapes file says something that cannot be used; the message names the shape."""


@dataclass(frozen=True)
class ShapeGraph:
    """The triples of some shapes, by subject and predicate."""

    terms: dict[Term, dict[str, list[Term]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(list))
    )

    @classmethod
    def parse(cls, turtle: str, name: str) -> ShapeGraph:
        """The shapes of a Turtle text.

        :raises ShapeFault: if it is no Turtle, or uses a SHACL term that does not exist.
        """
        graph = cls()
        if len(turtle) > LARGEST_FILE or holds_triple_term(turtle.encode()):
            raise ShapeFault(
                f"The shapes file {name} holds a triple as a term (<<), or more than {LARGEST_FILE:,} characters; "
                "no shapes need either."
            )
        try:
            for quad in ox.parse(turtle.encode(), format=ox.RdfFormat.TURTLE):
                graph.terms[_named(quad.subject, name)][quad.predicate.value].append(
                    _named(quad.object, name)
                )
        except (SyntaxError, ValueError) as error:
            raise ShapeFault(f"The shapes file {name} is no Turtle that can be read: {error}") from error
        graph.lint(name)
        return graph

    def merged(self, other: ShapeGraph) -> ShapeGraph:
        """Both graphs in one."""
        made = ShapeGraph()
        for graph in (self, other):
            for subject, values in graph.terms.items():
                for predicate, found in values.items():
                    made.terms[subject][predicate] += [
                        v for v in found if v not in made.terms[subject][predicate]
                    ]
        return made

    def values(self, subject: Term, predicate: str) -> list[Term]:
        """The values of a full predicate IRI."""
        return self.terms[subject][predicate] if subject in self.terms else []

    def sh(self, subject: Term, name: str) -> list[Term]:
        """The values of a SHACL term."""
        return self.values(subject, SH + name)

    def text(self, subject: Term, predicate: str) -> str | None:
        """The first value of a predicate as text."""
        found = self.values(subject, predicate)
        return found[0].value if found else None

    def items(self, head: Term) -> list[Term]:
        """The members of an RDF list."""
        members: list[Term] = []
        while head != ox.NamedNode(RDF + "nil"):
            firsts = self.values(head, RDF + "first")
            rests = self.values(head, RDF + "rest")
            if len(firsts) != 1 or len(rests) != 1 or len(members) > 100_000:
                raise ShapeFault(
                    f"A list in the shapes is broken after {len(members)} members; write it as ( a b c )."
                )
            members.append(firsts[0])
            head = rests[0]
        return members

    def targeted(self) -> Iterator[ox.NamedNode]:
        """Every shape with a target, in order of name.

        :raises ShapeFault: if a shape with a target has no name.
        """
        found = [s for s, values in self.terms.items() if any(SH + t in values for t in _TARGETS)]
        for shape in found:
            if not isinstance(shape, ox.NamedNode):
                raise ShapeFault(
                    "A shape with a target has no IRI; name it, so that findings can say which it was."
                )
        yield from sorted((s for s in found if isinstance(s, ox.NamedNode)), key=lambda s: s.value)

    def lint(self, name: str) -> None:
        """Refuse unknown SHACL terms and target-less nonsense, naming the shape.

        :raises ShapeFault: for the first one found.
        """
        owners = self._owners()
        for subject, values in self.terms.items():
            for predicate, objects in values.items():
                used = [predicate, *(o.value for o in objects if isinstance(o, ox.NamedNode))]
                for iri in used:
                    if iri.startswith(SH) and iri[len(SH) :] not in KNOWN_TERMS:
                        raise ShapeFault(self._unknown(iri[len(SH) :], owners.get(subject, subject), name))
        for subject, values in self.terms.items():
            kinds = {v.value for v in values.get(RDF + "type", ())}
            if SH + "NodeShape" in kinds and not any(p.startswith(SH) for p in values):
                raise ShapeFault(
                    f"In {name}: the shape {short(subject.value)} asks for nothing. Give it constraints."
                )

    def _unknown(self, term: str, owner: Term, name: str) -> str:
        near = get_close_matches(term, KNOWN_TERMS, n=1, cutoff=0.6)
        lower = [known for known in KNOWN_TERMS if known.lower() == term.lower()]
        hint = f" Did you mean sh:{(lower or near)[0]}?" if lower or near else ""
        return f"In {name}: the shape {short(owner.value)} uses sh:{term}, which SHACL does not have.{hint}"

    def _owners(self) -> dict[Term, Term]:
        """The named shape to which each blank node of a shape belongs."""
        owners: dict[Term, Term] = {}
        stack: list[tuple[Term, Term]] = [(s, s) for s in self.terms if isinstance(s, ox.NamedNode)]
        while stack:
            owner, node = stack.pop()
            for objects in self.terms[node].values() if node in self.terms else ():
                for value in objects:
                    if isinstance(value, ox.BlankNode) and value not in owners:
                        owners[value] = owner
                        stack.append((owner, value))
        return owners

    def owner_of(self, node: Term) -> Term:
        """The named shape to which a node belongs; a named node is its own."""
        return node if isinstance(node, ox.NamedNode) else self._owners().get(node, node)

    def turtle(self) -> str:
        """The whole graph as N-Triples, blank nodes named afresh."""
        lines = [
            f"{subject} <{predicate}> {value} .\n"
            for subject, values in self.terms.items()
            for predicate, found in values.items()
            for value in found
        ]
        return "".join(lines)


def _named(term: object, name: str) -> Term:
    """The term, with blank nodes kept apart between files by the file's name."""
    if isinstance(term, ox.BlankNode):
        return ox.BlankNode("b" + "".join(c if c.isalnum() else "x" for c in name) + term.value)
    if isinstance(term, (ox.NamedNode, ox.Literal)):
        return term
    raise ShapeFault(f"In {name}: {term} cannot stand in a shapes file.")


def shipped_turtle() -> str:
    """The text of shapes/shapes.ttl."""
    return resource("shapes/shapes.ttl").read_text(encoding="utf-8")


def wordings(graph: ShapeGraph, vocabulary: Vocabulary) -> tuple[Wording, ...]:
    """The hand-written wording of time rules.

    :raises ShapeFault: if one names a rule that the vocabulary does not have.
    """
    found = []
    for node, values in graph.terms.items():
        if ox.NamedNode(K + "Wording") in values.get(RDF + "type", ()):
            parts = [graph.text(node, p) for p in (K + "of", K + "rule", SH + "message", K + "hint")]
            if None in parts:
                raise ShapeFault(
                    "A k:Wording needs k:of, k:rule, sh:message and k:hint; one of them is missing."
                )
            owner, rule, message, hint = (str(part) for part in parts)
            found.append(Wording(short(owner), rule, message, hint))
    for wording in found:
        if not _has_rule(vocabulary, wording):
            raise ShapeFault(
                f"A k:Wording speaks of the rule {wording.rule!r} of {wording.owner}, which has none such."
            )
    return tuple(sorted(found, key=lambda w: (w.owner, w.rule)))


def _has_rule(vocabulary: Vocabulary, wording: Wording) -> bool:
    if wording.owner in vocabulary.spans:
        return wording.rule in ("dates exclude each other", "datings differ")
    owner = vocabulary.properties.get(wording.owner) or vocabulary.kinds.get(wording.owner)
    return owner is not None and wording.rule in {rule.label for rule in owner.rules}


def generated_turtle(vocabulary: Vocabulary, words: Sequence[Wording] = ()) -> str:
    """The shapes that follow from a vocabulary, as Turtle."""
    return HEAD + "\n".join([*kind_shapes(vocabulary), *time_shapes(vocabulary, words)])


def shipped_shapes(vocabulary: Vocabulary) -> ShapeGraph:
    """The hand-written shapes together with those generated from a vocabulary."""
    own = ShapeGraph.parse(shipped_turtle(), "shapes.ttl")
    return own.merged(
        ShapeGraph.parse(generated_turtle(vocabulary, wordings(own, vocabulary)), "the vocabulary")
    )


def shapes_turtle(vocabulary: Vocabulary) -> str:
    """Every shape, hand-written and generated, in one Turtle text for other SHACL processors."""
    own = shipped_turtle()
    generated = generated_turtle(vocabulary, wordings(ShapeGraph.parse(own, "shapes.ttl"), vocabulary))
    return (
        own
        + "\n"
        + "".join(line for line in generated.splitlines(keepends=True) if not line.startswith("@prefix s:"))
    )


def users_shapes(files: Iterable[Path]) -> ShapeGraph:
    """A user's own shapes.

    :raises ShapeFault: naming the file and shape at fault.
    """
    made = ShapeGraph()
    for path in sorted(files):
        try:
            made = made.merged(ShapeGraph.parse(path.read_text(encoding="utf-8"), path.name))
        except (OSError, UnicodeDecodeError) as error:
            raise ShapeFault(f"The shapes file {path.name} cannot be read: {error}") from error
    return made


__all__ = [
    "SHAPE", "ShapeFault", "ShapeGraph", "Term", "generated_turtle", "shapes_turtle", "shipped_shapes",
    "shipped_turtle", "users_shapes", "wordings",
]  # fmt: skip
