"""Shapes as whole-set SPARQL queries: one query per constraint finds every node that breaks it.

A query begins with a place for the nodes to be checked: the shape's target in a whole run, or the touched nodes
(``VALUES``) for one entry. A ``sh:sparql`` constraint is taken as it stands, with ``$this`` bound by that place; one
whose meaning that could change (``$this`` in a nested group, sub-selects, aggregates) is not compiled.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pyoxigraph as ox

from kg.checks.expressions import OTHERS, Conditions, NotCompiled
from kg.checks.findings import Severity
from kg.checks.shapes import ShapeFault, ShapeGraph, Term
from kg.checks.turtle import SH
from kg.vocabulary import RDF, RDFS, K, short

#: Where the nodes to be checked stand in a query.
FOCUS = "#FOCUS#"
_UNSAFE = re.compile(
    r"\b(MINUS|SERVICE|VALUES|GROUP|HAVING|LIMIT|OFFSET|REDUCED)\b|\$(PATH|shapesGraph|currentShape)\b", re.I
)
_SELECT = re.compile(r"\s*SELECT\s+(?:DISTINCT\s+)?(?P<variables>[^{]*?)\s*(?:WHERE\s*)?\{", re.I | re.S)


@dataclass(frozen=True, slots=True)
class Target:
    """Which nodes a shape is about."""

    kind: str
    value: str
    """The IRI (or, for one node, the term) as SPARQL writes it."""

    def pattern(self, *, with_subclasses: bool) -> str:
        """The graph pattern that binds ?this to each node."""
        if self.kind == "targetClass":
            below = f"/<{RDFS}subClassOf>*" if with_subclasses else ""
            return f"?this <{RDF}type>{below} {self.value} ."
        if self.kind == "targetSubjectsOf":
            return f"?this {self.value} ?target ."
        if self.kind == "targetObjectsOf":
            return f"?target {self.value} ?this ."
        return f"VALUES ?this {{ {self.value} }}"


@dataclass(frozen=True, slots=True)
class Check:
    """One constraint of one shape, ready to run."""

    shape: str
    severity: Severity
    message: str
    hint: str
    query: str
    path: str = ""
    needs: tuple[tuple[str, str], ...] = ()
    """Predicates and values without which the query finds nothing, so that it need not run."""
    is_sparql: bool = False

    def on(self, focus: str) -> str:
        """The query over the nodes that a pattern binds."""
        return self.query.replace(FOCUS, focus, 1)


@dataclass(frozen=True, slots=True)
class CompiledShape:
    """A shape with its targets and checks."""

    name: str
    targets: tuple[Target, ...]
    checks: tuple[Check, ...]


def compile_shapes(graph: ShapeGraph, *, with_subclasses: bool = False) -> tuple[CompiledShape, ...]:
    """Every active shape that has a target, in order of name.

    ``with_subclasses``: follow ``rdfs:subClassOf`` in the data; the working view lists all classes, and needs it not.

    :raises NotCompiled: naming the shape and the constraint that cannot be compiled.
    :raises ShapeFault: naming a shape that refers to itself or counts by what is no number.
    """
    compiler = _Compiler(graph, with_subclasses)
    active = (node for node in graph.targeted() if graph.text(node, SH + "deactivated") != "true")
    return tuple(_compiled(compiler, node) for node in active)


def _compiled(compiler: _Compiler, node: ox.NamedNode) -> CompiledShape:
    try:
        return compiler.shape(node)
    except RecursionError:
        told = "refers to itself, or is nested too deeply; SHACL gives that no meaning"
    except ValueError as error:
        told = f"gives a count or length that is no whole number ({error})"
    raise ShapeFault(f"The shape {short(node.value)} {told}.")


class _Compiler:
    def __init__(self, graph: ShapeGraph, with_subclasses: bool) -> None:
        self.graph = graph
        self.conditions = Conditions(graph, with_subclasses=with_subclasses)

    def shape(self, node: ox.NamedNode) -> CompiledShape:
        kinds = ("targetClass", "targetNode", "targetSubjectsOf", "targetObjectsOf")
        targets = tuple(Target(kind, str(value)) for kind in kinds for value in self.graph.sh(node, kind))
        if ox.NamedNode(RDFS + "Class") in self.graph.values(node, RDF + "type"):
            raise NotCompiled(short(node.value), "an implicit class target")
        return CompiledShape(short(node.value), targets, tuple(self.checks(node, node)))

    def checks(self, owner: ox.NamedNode, shape: Term) -> Iterator[Check]:
        """The checks of a node shape or property shape, and of the property shapes below a node shape."""
        if self.graph.text(shape, SH + "deactivated") == "true":
            return
        path = self.conditions.path(shape) if self.graph.sh(shape, "path") else None
        bind, value = (f"?this {path} ?value .", "?value") if path else ("", "?this")
        for condition in self.conditions.of_value(shape, value):
            found = "?value" if path else "(?this AS ?value)"
            yield self.check(
                owner,
                shape,
                path,
                f"SELECT DISTINCT ?this {found} WHERE {{ {FOCUS} {bind} FILTER({condition}) }}",
            )
        for name, parameters in self.conditions.named(shape):
            for parameter in parameters if name in OTHERS else ():
                if name == "property":
                    if path:
                        raise NotCompiled(short(owner.value), "sh:property inside a property shape")
                    yield from self.checks(owner, parameter)
                elif name == "sparql":
                    if path:
                        raise NotCompiled(short(owner.value), "sh:sparql in a property shape")
                    yield self.sparql(owner, shape, parameter)
                else:
                    yield self.check(owner, shape, path, self.together(owner, name, parameter, path))

    def together(self, owner: ox.NamedNode, name: str, parameter: Term, path: str | None) -> str:
        """The query for a constraint that looks at all values of a node, or at two properties of it."""
        if path is None:
            if name == "hasValue":
                return f"SELECT DISTINCT ?this WHERE {{ {FOCUS} FILTER(!sameTerm(?this, {parameter})) }}"
            raise ShapeFault(f"The shape {short(owner.value)} has sh:{name} without sh:path; add the path.")
        if name in ("minCount", "maxCount"):
            return _counted(name, int(parameter.value), path)
        if name == "hasValue":
            return (
                f"SELECT DISTINCT ?this WHERE {{ {FOCUS} FILTER NOT EXISTS {{ ?this {path} {parameter} }} }}"
            )
        both = f"SELECT DISTINCT ?this ?value WHERE {{ {FOCUS} ?this {path} ?value ; {parameter} ?second ."
        if name == "disjoint":
            return f"{both} FILTER(sameTerm(?value, ?second)) }}"
        return f"{both} FILTER(!COALESCE(?value {'<' if name == 'lessThan' else '<='} ?second, false)) }}"

    def check(self, owner: ox.NamedNode, shape: Term, path: str | None, query: str) -> Check:
        return Check(
            short(owner.value), self.severity(shape), self.text(shape, owner), self.hint(owner), query,
            short(path.strip("^<>")) if path else "",
        )  # fmt: skip

    def sparql(self, owner: ox.NamedNode, shape: Term, constraint: Term) -> Check:
        select = self.graph.text(constraint, SH + "select")
        if select is None:
            raise ShapeFault(
                f"The shape {short(owner.value)} has sh:sparql without sh:select; add the query."
            )
        message = self.graph.text(constraint, SH + "message") or self.text(shape, owner)
        needs = [(f"{RDF}predicate", v.value) for v in self.graph.values(constraint, K + "needsPredicate")]
        needs += [(f"{K}strength", v.value) for v in self.graph.values(constraint, K + "needsStrength")]
        query = self.prefixes(constraint) + _placed(short(owner.value), select)
        return Check(
            short(owner.value), self.severity(shape), message, self.hint(owner), query, "", tuple(needs), True
        )

    def prefixes(self, constraint: Term) -> str:
        declared = []
        for ontology in self.graph.sh(constraint, "prefixes"):
            for node in self.graph.sh(ontology, "declare"):
                prefix, namespace = (self.graph.text(node, SH + part) for part in ("prefix", "namespace"))
                declared.append(f"PREFIX {prefix}: <{namespace}>\n")
        return "".join(declared)

    def severity(self, shape: Term) -> Severity:
        found = self.graph.text(shape, SH + "severity")
        try:
            return Severity(short(found)) if found else Severity.VIOLATION
        except ValueError:
            raise NotCompiled(short(self.graph.owner_of(shape).value), f"the severity {found}") from None

    def text(self, shape: Term, owner: Term) -> str:
        own = self.graph.text(shape, SH + "message") or self.graph.text(owner, SH + "message")
        return own or f"it does not satisfy {short(owner.value)}"

    def hint(self, owner: Term) -> str:
        return self.graph.text(owner, K + "hint") or "See the shape of that name."


def _counted(name: str, number: int, path: str) -> str:
    if name == "minCount" and number <= 1:
        never = "" if number == 1 else "FILTER(false)"
        return f"SELECT DISTINCT ?this WHERE {{ {FOCUS} FILTER NOT EXISTS {{ ?this {path} ?one }} {never} }}"
    if name == "maxCount" and number == 0:
        return f"SELECT DISTINCT ?this WHERE {{ {FOCUS} ?this {path} ?one . }}"
    if name == "maxCount" and number == 1:
        return f"SELECT DISTINCT ?this WHERE {{ {FOCUS} ?this {path} ?one , ?two . FILTER(!sameTerm(?one, ?two)) }}"
    sign = "<" if name == "minCount" else ">"
    body = f"{FOCUS} OPTIONAL {{ ?this {path} ?one }}"
    return f"SELECT ?this WHERE {{ {body} }} GROUP BY ?this HAVING (COUNT(DISTINCT ?one) {sign} {number})"


def _placed(shape: str, select: str) -> str:
    """The query with a place for the nodes to be checked, if that leaves its meaning as it is."""
    head = _SELECT.match(select)
    if head is None or _UNSAFE.search(select) or len(re.findall(r"\bSELECT\b", select, re.I)) > 1:
        raise NotCompiled(shape, "a query with sub-selects, aggregates or words that SHACL bars")
    body = select[head.end() :]
    if _is_nested(body):
        raise NotCompiled(shape, "a query with $this in a nested group")
    variables = re.sub(r"\$(\w+)", r"?\1", head["variables"])
    return f"SELECT DISTINCT {variables} WHERE {{ {FOCUS} " + re.sub(r"\$(\w+)", r"?\1", body)


def _is_nested(body: str) -> bool:
    """Whether $this stands in a group of its own scope, where a value bound outside would not be seen."""
    openers: list[str] = []
    for match in re.finditer(r"(?P<word>\w*)\s*\{|\}|[$?]this\b", body):
        if match[0] == "}":
            if openers:
                openers.pop()
        elif match[0].endswith("{"):
            openers.append((match["word"] or "").upper())
        elif any(word not in ("EXISTS", "OPTIONAL") for word in openers):
            return True
    return False
