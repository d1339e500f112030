"""SHACL Core constraints as SPARQL conditions: true for a value that does *not* satisfy the constraint.

Authority: SHACL, W3C Recommendation, 20 July 2017, section 4. One function per constraint component; what is not
here is refused by name (``NotCompiled``), never passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import count

import pyoxigraph as ox

from kg.checks.shapes import ShapeFault, ShapeGraph, Term
from kg.checks.turtle import SH, text
from kg.errors import KilnmarkError
from kg.vocabulary import RDF, RDFS, XSD, short

#: Written forms that the common XSD datatypes allow; None where every text is allowed. (XML Schema 1.1 part 2.)
_LEXICAL: Mapping[str, str | None] = {
    "string": None,
    "anyURI": None,
    "integer": r"^[+-]?[0-9]+$",
    "decimal": r"^[+-]?([0-9]+(\\.[0-9]*)?|\\.[0-9]+)$",
    "boolean": r"^(true|false|1|0)$",
}
_KIND_TESTS = {
    "IRI": "isIRI({v})",
    "BlankNode": "isBlank({v})",
    "Literal": "isLiteral({v})",
    "BlankNodeOrIRI": "(isBlank({v}) || isIRI({v}))",
    "BlankNodeOrLiteral": "(isBlank({v}) || isLiteral({v}))",
    "IRIOrLiteral": "(isIRI({v}) || isLiteral({v}))",
}
#: Terms of a shape that constrain nothing by themselves.
SILENT = frozenset(
    {
        "path", "severity", "message", "name", "description", "order", "group", "defaultValue", "deactivated", "flags",
        "targetClass", "targetNode", "targetSubjectsOf", "targetObjectsOf", "prefixes", "select",
    }
)  # fmt: skip


class NotCompiled(KilnmarkError):
    """A shape uses a constraint that the compiled checks do not have; pySHACL can still run it."""

    def __init__(self, shape: str, what: str) -> None:
        super().__init__(
            f"The shape {shape} uses {what}, which the compiled checks do not have; pySHACL runs it."
        )
        self.shape, self.what = shape, what


class Conditions:
    """Writes the conditions of one shapes graph."""

    def __init__(self, graph: ShapeGraph, *, with_subclasses: bool) -> None:
        self.graph = graph
        self.class_path = f"<{RDF}type>/<{RDFS}subClassOf>*" if with_subclasses else f"<{RDF}type>"
        self.fresh = (f"?n{number}" for number in count())
        self.tests: Mapping[str, Callable[[Term, Term, str], str]] = {
            "class": self._class, "datatype": self._datatype, "nodeKind": self._node_kind, "in": self._in,
            "pattern": self._pattern, "minLength": self._min_length, "maxLength": self._max_length,
            "minInclusive": self._bound(">="), "maxInclusive": self._bound("<="),
            "minExclusive": self._bound(">"), "maxExclusive": self._bound("<"),
            "not": self._not, "or": self._or, "and": self._and, "node": self._node,
        }  # fmt: skip

    def of_value(self, shape: Term, value: str) -> Iterator[str]:
        """One condition for each constraint that a shape puts on a single value."""
        for name, parameters in self.named(shape):
            if name in self.tests:
                for parameter in parameters:
                    yield self.tests[name](shape, parameter, value)
            elif name not in SILENT and name not in OTHERS:
                raise NotCompiled(short(self.graph.owner_of(shape).value), f"sh:{name}")

    def named(self, shape: Term) -> list[tuple[str, list[Term]]]:
        """The SHACL terms of a shape, without prefix, with their values."""
        found = self.graph.terms.get(shape, {})
        return [(p[len(SH) :], list(values)) for p, values in found.items() if p.startswith(SH) and values]

    def path(self, shape: Term) -> str:
        """The SPARQL form of a property shape's path: a predicate or its inverse."""
        (path,) = self.graph.sh(shape, "path") or (None,)
        if isinstance(path, ox.NamedNode):
            return str(path)
        inverse = self.graph.sh(path, "inversePath") if path is not None else []
        if len(inverse) == 1 and isinstance(inverse[0], ox.NamedNode):
            return f"^{inverse[0]}"
        raise NotCompiled(short(self.graph.owner_of(shape).value), "a path that is no single property")

    def fails(self, shape: Term, node: str) -> str:
        """The condition under which a node does not conform to a nested shape."""
        if self.graph.sh(shape, "path"):
            return _any([*self._property_fails(shape, node)])
        parts = list(self.of_value(shape, node))
        for name, parameters in self.named(shape):
            if name == "property":
                parts += [part for nested in parameters for part in self._property_fails(nested, node)]
            elif name == "hasValue":
                parts += [f"!sameTerm({node}, {parameter})" for parameter in parameters]
            elif name in OTHERS:
                raise NotCompiled(short(self.graph.owner_of(shape).value), f"sh:{name} in a nested shape")
        return _any(parts)

    def _property_fails(self, shape: Term, node: str) -> Iterator[str]:
        path, value = self.path(shape), next(self.fresh)
        for condition in self.of_value(shape, value):
            yield f"EXISTS {{ {node} {path} {value} . FILTER({condition}) }}"
        for name, parameters in self.named(shape):
            for parameter in parameters if name in OTHERS else ():
                yield self._property_other(shape, name, parameter, node, path)

    def _property_other(self, shape: Term, name: str, parameter: Term, node: str, path: str) -> str:
        one, two = next(self.fresh), next(self.fresh)
        wanted = (name, parameter.value)
        if wanted == ("minCount", "0"):
            return "false"
        if wanted == ("minCount", "1"):
            return f"NOT EXISTS {{ {node} {path} {one} }}"
        if wanted == ("maxCount", "0"):
            return f"EXISTS {{ {node} {path} {one} }}"
        if wanted == ("maxCount", "1"):
            return f"EXISTS {{ {node} {path} {one} ; {path} {two} . FILTER(!sameTerm({one}, {two})) }}"
        if name == "hasValue":
            return f"NOT EXISTS {{ {node} {path} {parameter} }}"
        raise NotCompiled(
            short(self.graph.owner_of(shape).value), f"sh:{name} {parameter.value} in a nested shape"
        )

    def _class(self, _shape: Term, parameter: Term, value: str) -> str:
        return f"NOT EXISTS {{ {value} {self.class_path} {parameter} }}"

    def _datatype(self, shape: Term, parameter: Term, value: str) -> str:
        wrong = f"!isLiteral({value}) || datatype({value}) != {parameter}"
        if not parameter.value.startswith(XSD):
            return f"({wrong})"
        name = parameter.value[len(XSD) :]
        if name not in _LEXICAL:
            raise NotCompiled(short(self.graph.owner_of(shape).value), f"sh:datatype xsd:{name}")
        form = _LEXICAL[name]
        return f'({wrong} || !REGEX(STR({value}), "{form}"))' if form else f"({wrong})"

    def _node_kind(self, shape: Term, parameter: Term, value: str) -> str:
        test = _KIND_TESTS.get(short(parameter.value))
        if test is None:
            raise ShapeFault(
                f"The shape {self.graph.owner_of(shape).value} has sh:nodeKind {parameter}; no such kind."
            )
        return f"!{test.format(v=value)}"

    def _in(self, _shape: Term, parameter: Term, value: str) -> str:
        members = self.graph.items(parameter)
        if members and all(isinstance(m, ox.NamedNode) for m in members):
            return f"(!isIRI({value}) || {value} NOT IN ({', '.join(map(str, members))}))"
        return "!(" + (" || ".join(f"sameTerm({value}, {m})" for m in members) or "false") + ")"

    def _pattern(self, shape: Term, parameter: Term, value: str) -> str:
        flags = self.graph.text(shape, SH + "flags")
        also = f", {text(flags)}" if flags else ""
        return f"(isBlank({value}) || !REGEX(STR({value}), {text(parameter.value)}{also}))"

    def _min_length(self, _shape: Term, parameter: Term, value: str) -> str:
        return f"(isBlank({value}) || STRLEN(STR({value})) < {int(parameter.value)})"

    def _max_length(self, _shape: Term, parameter: Term, value: str) -> str:
        return f"(isBlank({value}) || STRLEN(STR({value})) > {int(parameter.value)})"

    @staticmethod
    def _bound(sign: str) -> Callable[[Term, Term, str], str]:
        # What cannot be compared (text with a number) does not satisfy the constraint: SHACL 4.3.
        return lambda _shape, parameter, value: f"!COALESCE({value} {sign} {parameter}, false)"

    def _not(self, _shape: Term, parameter: Term, value: str) -> str:
        return f"!({self.fails(parameter, value)})"

    def _or(self, _shape: Term, parameter: Term, value: str) -> str:
        return "(" + " && ".join(self.fails(s, value) for s in self.graph.items(parameter)) + ")"

    def _and(self, _shape: Term, parameter: Term, value: str) -> str:
        return "(" + " || ".join(self.fails(s, value) for s in self.graph.items(parameter)) + ")"

    def _node(self, _shape: Term, parameter: Term, value: str) -> str:
        return self.fails(parameter, value)


def _any(parts: list[str]) -> str:
    return f"({' || '.join(parts)})" if parts else "false"


#: Constraints that look at all values of a node together, or at queries; see ``compiled.py``.
OTHERS = frozenset(
    {"minCount", "maxCount", "hasValue", "lessThan", "lessThanOrEquals", "disjoint", "property", "sparql"}
)
