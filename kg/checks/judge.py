"""pySHACL over the working view: the judge of the compiled checks, and the way for shapes that cannot be compiled.

pySHACL 0.40.1 writes into the shapes graph that it is given, so each call gets a fresh one; it returns a
``ValidationFailure`` where others raise; it leaves ``default_union`` of a dataset changed; and it evaluates
``bool(data_graph)`` for each result, which on some stores counts every triple. The version is pinned; a test holds
each of these.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pyoxigraph as ox

from kg.checks.compiled import Check, compile_shapes
from kg.checks.expressions import NotCompiled
from kg.checks.findings import Finding, Report, Severity
from kg.checks.running import Runner
from kg.checks.shapes import ShapeFault, ShapeGraph
from kg.checks.turtle import SH
from kg.daybook.graph import rdflib_graph, view_store
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.vocabulary import CLAIM, THING, K, short

if TYPE_CHECKING:
    import rdflib

#: An IRI of a claim or thing, as pySHACL writes it into a message.
_IRI = re.compile(f"<?((?:{re.escape(CLAIM)}|{re.escape(THING)})[A-Za-z0-9._-]*[A-Za-z0-9_-])>?")
_BLANK = "urn:kilnmark:blank:"


class JudgeFailed(KilnmarkError):
    """pySHACL could not run the shapes; its reason is in the message."""


def check_with_pyshacl(
    view: WorkingView,
    shapes: ShapeGraph,
    *,
    data: rdflib.Graph | ox.Store | None = None,
    store: ox.Store | None = None,
) -> Report:
    """What pySHACL finds with some shapes on the working view, as the same findings.

    ``data`` is the graph to check, an rdflib graph of the view unless another is given; ``store`` holds the view too,
    and serves to name the claims behind a finding.

    :raises JudgeFailed: if pySHACL cannot run the shapes.
    """
    checked = data if data is not None else rdflib_graph(view)
    results = run_pyshacl(checked, shapes)
    runner = Runner(store if store is not None else view_store(view), (), view)
    findings = [_finding(runner, shapes, results, node) for node in _results(results)]
    return Report.of(
        findings, {short(shape.value): _matched(runner, shapes, shape) for shape in shapes.targeted()}
    )


def run_pyshacl(data: rdflib.Graph | ox.Store, shapes: ShapeGraph) -> rdflib.Graph:
    """The SHACL results graph of pySHACL, over an rdflib graph or an Oxigraph store as they are.

    :raises JudgeFailed: if pySHACL returns a failure instead of results.
    """
    import pyshacl
    import rdflib
    from pyparsing import ParseException
    from pyshacl.errors import ConstraintLoadError, ReportableRuntimeError, ShapeLoadError

    union = getattr(data, "default_union", None)
    try:
        with _without_counting():
            _, results, text = pyshacl.validate(
                data,  # type: ignore[arg-type]  # pySHACL takes an Oxigraph store too; its types do not say so
                shacl_graph=shapes_graph(shapes),
                inference="none",
                advanced=False,
                allow_warnings=True,
            )
    except (ShapeLoadError, ConstraintLoadError) as error:
        raise ShapeFault(f"pySHACL cannot read the shapes: {error}") from error
    except (ReportableRuntimeError, ParseException) as error:
        raise JudgeFailed(f"pySHACL could not run the shapes: {error}") from error
    finally:
        if union is not None:
            data.default_union = union  # type: ignore[union-attr]  # only a dataset has one
    if not isinstance(results, rdflib.Graph):
        raise JudgeFailed(f"pySHACL could not run the shapes: {text}")
    return results


@contextmanager
def _without_counting() -> Iterator[None]:
    """Let a graph count as true without counting its triples, which pySHACL asks of it for every result."""
    from pyshacl import graph_abstraction

    classes: list[Any] = [graph_abstraction.OxigraphDataGraph, graph_abstraction.RdfLibDataGraph]
    before = [vars(kind).get("__bool__") for kind in classes]
    for kind in classes:
        kind.__bool__ = lambda self: True
    try:
        yield
    finally:
        for kind, own in zip(classes, before, strict=True):
            if own is None:
                del kind.__bool__
            else:
                kind.__bool__ = own


def shapes_graph(shapes: ShapeGraph) -> rdflib.Graph:
    """The shapes as a new rdflib graph; the blank nodes of shapes are named, so that results can name them."""
    import rdflib

    graph = rdflib.Graph()
    for subject, values in shapes.terms.items():
        for predicate, found in values.items():
            for value in found:
                graph.add((_term(subject), rdflib.URIRef(predicate), _term(value)))
    return graph


def _term(term: Any) -> Any:
    import rdflib

    if isinstance(term, ox.BlankNode):
        return rdflib.URIRef(_BLANK + term.value)
    if isinstance(term, ox.NamedNode):
        return rdflib.URIRef(term.value)
    datatype = (
        None
        if term.language or term.datatype.value.endswith("#string")
        else rdflib.URIRef(term.datatype.value)
    )
    return rdflib.Literal(term.value, lang=term.language, datatype=datatype)


def _results(results: rdflib.Graph) -> list[Any]:
    import rdflib

    # Only the report's own results: those of nested shapes hang below them as details.
    return sorted(results.objects(predicate=rdflib.URIRef(SH + "result")))


def _finding(runner: Runner, shapes: ShapeGraph, results: rdflib.Graph, node: Any) -> Finding:
    import rdflib

    def one(name: str) -> Any:
        return results.value(node, rdflib.URIRef(SH + name))

    source = str(one("sourceShape"))
    shape = ox.BlankNode(source.removeprefix(_BLANK)) if source.startswith(_BLANK) else ox.NamedNode(source)
    owner = shapes.owner_of(shape)
    path, is_sparql = one("resultPath"), one("sourceConstraint") is not None
    written = shapes.text(shape, SH + "message") or shapes.text(owner, SH + "message")
    filled = str(one("resultMessage"))
    check = Check(
        short(owner.value),
        Severity(short(str(one("resultSeverity")))),
        _IRI.sub(lambda found: runner.told(ox.NamedNode(found[1])), filled)
        if is_sparql or not written
        else written,
        shapes.text(owner, K + "hint") or "See the shape of that name.",
        "",
        short(str(path)) if isinstance(path, rdflib.URIRef) else "",
        is_sparql=is_sparql,
    )
    row = {"this": _oxigraph(one("focusNode")), "value": _oxigraph(one("value"))}
    found = runner.finding(check, {name: term for name, term in row.items() if term is not None})
    named = [short(iri) for iri in _IRI.findall(filled) if iri.startswith(CLAIM)]
    if not (is_sparql and named):
        return found
    return replace(
        found, claims=tuple(dict.fromkeys(named)), message=check.message[:1].upper() + check.message[1:]
    )


def _oxigraph(term: Any) -> Any:
    import rdflib

    if term is None:
        return None
    if isinstance(term, rdflib.URIRef):
        return ox.NamedNode(str(term))
    if isinstance(term, rdflib.BNode):
        return ox.BlankNode(str(term))
    if term.language:
        return ox.Literal(str(term), language=term.language)
    return (
        ox.Literal(str(term), datatype=ox.NamedNode(str(term.datatype)))
        if term.datatype
        else ox.Literal(str(term))
    )


def _matched(runner: Runner, shapes: ShapeGraph, shape: ox.NamedNode) -> int:
    """How many nodes a shape takes in, by its targets alone."""
    bare = ShapeGraph()
    for predicate, values in shapes.terms[shape].items():
        if predicate.startswith(SH + "target"):
            bare.terms[shape][predicate] = values
    try:
        (compiled,) = compile_shapes(bare)
    except NotCompiled:
        return 0
    return sum(runner.count(target, {}) for target in compiled.targets)


__all__ = ["JudgeFailed", "check_with_pyshacl", "run_pyshacl", "shapes_graph"]
