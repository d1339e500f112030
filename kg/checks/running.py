"""Running compiled shapes over a store, and telling what they find in words."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

import pyoxigraph as ox

from kg.checks.compiled import Check, CompiledShape, Target
from kg.checks.findings import Finding, Report
from kg.checks.shapes import ShapeFault
from kg.daybook.view import WorkingView
from kg.vocabulary import CLAIM, RDF, THING, K, short

Node = ox.NamedNode | ox.BlankNode | ox.Literal
Progress = Callable[[str, int, int], None]

_SUBJECT, _PREDICATE, _OBJECT, _TYPE = (
    ox.NamedNode(RDF + p) for p in ("subject", "predicate", "object", "type")
)
_PLACE = re.compile(r"\{[?$](\w+)\}")


@dataclass(frozen=True, slots=True)
class _Node:
    """A node to be checked, with what decides which shapes take it in."""

    name: ox.NamedNode
    classes: frozenset[str]
    predicates: frozenset[str]

    @classmethod
    def of(cls, name: ox.NamedNode, store: ox.Store) -> _Node:
        quads = [(q.predicate.value, q.object) for q in store.quads_for_pattern(name, None, None, None)]
        classes = frozenset(o.value for p, o in quads if p == _TYPE.value and isinstance(o, ox.NamedNode))
        return cls(name, classes, frozenset(p for p, _ in quads))


class Runner:
    """Compiled shapes over one store that holds a working view."""

    def __init__(
        self,
        store: ox.Store,
        shapes: Sequence[CompiledShape],
        view: WorkingView,
        *,
        follows_subclasses: bool = False,
    ) -> None:
        self.store = store
        self.shapes = shapes
        self.view = view
        #: Whether targets follow rdfs:subClassOf in the data; a working view lists all classes, and needs it not.
        self.follows_subclasses = follows_subclasses
        self._held: dict[tuple[str, str], bool] = {}

    def whole(self, progress: Progress | None = None) -> Report:
        """Every shape on every node of its target."""
        findings: list[Finding] = []
        matched: dict[str, int] = {}
        counts: dict[Target, int] = {}
        for number, shape in enumerate(self.shapes, start=1):
            matched[shape.name] = sum(self.count(target, counts) for target in shape.targets)
            if matched[shape.name]:
                for target in shape.targets:
                    findings += self.found(shape, target.pattern(with_subclasses=self.follows_subclasses))
            if progress is not None:
                progress("checks", number, len(self.shapes))
        return Report.of(findings, matched)

    def some(self, nodes: Collection[ox.NamedNode]) -> Report:
        """Every shape on those of some nodes that its target takes in."""
        findings: list[Finding] = []
        matched: dict[str, int] = {}
        taken: dict[Target, list[ox.NamedNode]] = {}
        ordered = [_Node.of(node, self.store) for node in sorted(nodes, key=lambda n: n.value)]
        for shape in self.shapes:
            focus = sorted({n.value for target in shape.targets for n in self._taken(target, ordered, taken)})
            matched[shape.name] = len(focus)
            if focus:
                findings += self.found(shape, f"VALUES ?this {{ {' '.join(f'<{iri}>' for iri in focus)} }}")
        return Report.of(findings, matched, frozenset(short(n.value) for n in nodes))

    def found(self, shape: CompiledShape, focus: str) -> Iterator[Finding]:
        """What the checks of one shape find on the nodes that a pattern binds."""
        for check in shape.checks:
            if all(self._holds(need) for need in check.needs):
                try:
                    solutions = self.store.query(check.on(focus))
                except SyntaxError as error:
                    told = f"The shape {check.shape} holds a query or pattern that cannot be read: {error}"
                    raise ShapeFault(told) from error
                names = [variable.value for variable in solutions.variables]  # type: ignore[union-attr]  # a SELECT
                for row in solutions:  # type: ignore[union-attr]  # a SELECT
                    yield self.finding(check, {name: row[name] for name in names})

    def finding(self, check: Check, row: dict[str, Node | None]) -> Finding:
        """One row of a query as a finding in words."""
        focus = row["this"]
        # SHACL gives the node itself as the value where a node shape looks at no property; it adds nothing.
        value = row.get("value") if row.get("value") != focus else None
        path = check.path or _plain(row.get("path"))
        return Finding(
            check.shape, check.severity, _plain(focus), self.words(check, row), check.hint,
            self.claims(check, row, path, value), path, _plain(value),
        )  # fmt: skip

    def claims(
        self, check: Check, row: dict[str, Node | None], path: str, value: Node | None
    ) -> tuple[str, ...]:
        """The claims behind a finding: those that the query names, or those that state what was found."""
        focus = row["this"]
        if check.is_sparql:
            named = [row.get(name) for name in dict.fromkeys([*_PLACE.findall(check.message), *row])]
            found = [term.value for term in named if isinstance(term, ox.NamedNode)]
            return tuple(dict.fromkeys(short(iri) for iri in found if iri.startswith(CLAIM)))
        if not isinstance(focus, ox.NamedNode):
            return ()
        if focus.value.startswith(CLAIM):
            return (short(focus.value),)
        return tuple(sorted(self.saying(focus, path, value)))

    def words(self, check: Check, row: dict[str, Node | None]) -> str:
        """The message with names for what it speaks of."""
        said = _PLACE.sub(lambda place: self.told(row.get(place[1])), check.message)
        if check.is_sparql and "{" in check.message:
            return said[:1].upper() + said[1:]
        value = row.get("value")
        found = f" (found {self.told(value)})" if value is not None and value != row["this"] else ""
        return f"{self.told(row['this'])}: {said}{found}"

    def told(self, term: Node | None) -> str:
        """A term as one reads it: a claim as a sentence with its citation, a thing by its name."""
        if term is None:
            return "nothing"
        if isinstance(term, ox.NamedNode):
            name = short(term.value)
            if term.value.startswith(CLAIM) and name in self.view.claims:
                claim = self.view.claims[name]
                return f"{self.view.sentence(claim)} ({self.view.cite(claim.citation)})"
            return self.view.label(name) if term.value.startswith(THING) else name
        return repr(term.value)

    def saying(self, subject: ox.NamedNode, path: str, value: object) -> Iterator[str]:
        """The claims that state a triple about a thing (any value, where none is given)."""
        if not path:
            return
        for quad in self.store.quads_for_pattern(None, _SUBJECT, subject, None):
            claim = quad.subject
            if not next(self.store.quads_for_pattern(claim, _PREDICATE, ox.NamedNode(K + path), None), None):
                continue
            if value is None or next(self.store.quads_for_pattern(claim, _OBJECT, value, None), None):  # type: ignore[arg-type]  # a term of the store
                yield short(claim.value)  # type: ignore[union-attr]  # claims are IRIs

    def count(self, target: Target, counts: dict[Target, int]) -> int:
        """How many nodes a target takes in; ``counts`` remembers."""
        if target not in counts:
            pattern = target.pattern(with_subclasses=self.follows_subclasses)
            query = f"SELECT (COUNT(DISTINCT ?this) AS ?count) WHERE {{ {pattern} }}"
            (row,) = self.store.query(query)  # type: ignore[misc]  # a SELECT
            counts[target] = int(row["count"].value)
        return counts[target]

    def _taken(
        self, target: Target, nodes: Iterable[_Node], taken: dict[Target, list[ox.NamedNode]]
    ) -> list[ox.NamedNode]:
        if target not in taken:
            taken[target] = [node.name for node in nodes if self._is_taken(target, node)]
        return taken[target]

    def _is_taken(self, target: Target, node: _Node) -> bool:
        iri = target.value[1:-1]
        if target.kind == "targetClass":
            return iri in node.classes
        if target.kind == "targetSubjectsOf":
            return iri in node.predicates
        if target.kind == "targetObjectsOf":
            return (
                next(self.store.quads_for_pattern(None, ox.NamedNode(iri), node.name, None), None) is not None
            )
        return node.name.value == iri

    def _holds(self, need: tuple[str, str]) -> bool:
        if need not in self._held:
            pattern = (None, ox.NamedNode(need[0]), ox.NamedNode(need[1]), None)
            self._held[need] = next(self.store.quads_for_pattern(*pattern), None) is not None
        return self._held[need]


def _plain(term: Node | None) -> str:
    if isinstance(term, ox.NamedNode):
        return short(term.value)
    return "" if term is None else term.value
