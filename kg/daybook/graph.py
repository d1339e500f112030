"""The working view as RDF: an in-memory Oxigraph store for queries and checks, and an rdflib graph for users.

In the default graph stand, for every live claim, the triple that it states, the claim as an ``rdf:Statement`` with
its source and locator, and for dates four whole numbers: the days between which the begin and the end lie
(``k:beginFrom``, ``k:beginTo``, ``k:endFrom``, ``k:endTo``), circa widths applied. A bound that is not known is left
out; a date that cannot be read has ``k:illFormed true`` instead. Each thing has its classes and all classes above them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import pyoxigraph as ox

from kg.daybook.record import Claim, Thing
from kg.daybook.view import WorkingView
from kg.vocabulary import CLAIM, EDTF, RDF, RDFS, SLUG, THING, K, Property

if TYPE_CHECKING:
    import rdflib

_INTEGER = ox.NamedNode("http://www.w3.org/2001/XMLSchema#integer")
_EDTF = ox.NamedNode(EDTF)
_TYPE = ox.NamedNode(RDF + "type")
_LABEL = ox.NamedNode(RDFS + "label")
_SUBJECT, _PREDICATE, _OBJECT = (ox.NamedNode(RDF + part) for part in ("subject", "predicate", "object"))
_CLAIM_CLASS = ox.NamedNode(K + "Claim")
_SOURCE, _LOCATOR, _WRITTEN, _STRENGTH = (
    ox.NamedNode(K + p) for p in ("source", "locator", "written", "strength")
)
_ILL_FORMED = ox.NamedNode(K + "illFormed")
_TRUE = ox.Literal("true", datatype=ox.NamedNode("http://www.w3.org/2001/XMLSchema#boolean"))
_BOUNDS = (
    ("begin_earliest", ox.NamedNode(K + "beginFrom")),
    ("begin_latest", ox.NamedNode(K + "beginTo")),
    ("end_earliest", ox.NamedNode(K + "endFrom")),
    ("end_latest", ox.NamedNode(K + "endTo")),
)


def view_store(view: WorkingView) -> ox.Store:
    """The whole working view in a new in-memory store."""
    store = ox.Store()
    store.bulk_extend(view_quads(view, view.things.values(), (*view.live, *view.passed_over)))
    return store


def view_quads(view: WorkingView, things: Iterable[Thing], claims: Iterable[Claim]) -> Iterator[ox.Quad]:
    """The quads of some things and claims, as they stand in the working view."""
    for thing in things:
        yield from thing_quads(view, thing)
    for claim in claims:
        yield from claim_quads(view, claim)


def thing_quads(view: WorkingView, thing: Thing) -> Iterator[ox.Quad]:
    """A thing's classes, those above them, and its name."""
    node = ox.NamedNode(THING + thing.slug)
    lines = {above for kind in thing.kinds for above in view.vocabulary.ancestors.get(kind, {kind})}
    for kind in sorted(lines):
        yield ox.Quad(node, _TYPE, ox.NamedNode(K + kind))
    yield ox.Quad(node, _LABEL, ox.Literal(thing.label))


def claim_quads(view: WorkingView, claim: Claim) -> Iterator[ox.Quad]:
    """What a claim states, the claim itself, and the days between which its date lies."""
    prop = view.vocabulary.properties.get(claim.property)
    about = CLAIM if prop is not None and prop.domain == "Claim" else THING
    node, subject, predicate = (
        ox.NamedNode(CLAIM + claim.id), ox.NamedNode(about + claim.subject), ox.NamedNode(K + claim.property),
    )  # fmt: skip
    value = value_term(claim, prop)
    yield ox.Quad(subject, predicate, value)
    yield ox.Quad(node, _TYPE, _CLAIM_CLASS)
    yield ox.Quad(node, _SUBJECT, subject)
    yield ox.Quad(node, _PREDICATE, predicate)
    yield ox.Quad(node, _OBJECT, value)
    if claim.citation.source:
        yield ox.Quad(node, _SOURCE, ox.NamedNode(THING + claim.citation.source))
    if claim.citation.locator:
        yield ox.Quad(node, _LOCATOR, ox.Literal(claim.citation.locator))
    yield ox.Quad(node, _STRENGTH, ox.NamedNode(K + claim.strength))
    if claim.written is not None:
        yield ox.Quad(node, _WRITTEN, ox.Literal(claim.written))
    if prop is not None and prop.is_date:
        yield from _bound_quads(view, claim, node)


def _bound_quads(view: WorkingView, claim: Claim, node: ox.NamedNode) -> Iterator[ox.Quad]:
    try:
        window = view.window(claim)
    except ValueError:
        # An ill-formed date has no bounds; a shape reports it by this triple.
        yield ox.Quad(node, _ILL_FORMED, _TRUE)
        return
    for name, predicate in _BOUNDS:
        day = getattr(window, name)
        if day is not None:
            yield ox.Quad(node, predicate, ox.Literal(str(day), datatype=_INTEGER))


def value_term(claim: Claim, prop: Property | None) -> ox.NamedNode | ox.Literal:
    """The value of a claim as an RDF term."""
    if prop is None or prop.is_text:
        return ox.Literal(claim.value)
    if prop.is_date:
        return ox.Literal(claim.value, datatype=_EDTF)
    if prop.is_link and not SLUG.fullmatch(claim.value):
        return ox.Literal(claim.value)
    if prop.is_number and re.fullmatch(r"[+-]?[0-9]+", claim.value):
        return ox.Literal(claim.value, datatype=_INTEGER)
    if prop.is_number:  # what is no whole number is a text, by every reader's account
        return ox.Literal(claim.value)
    return ox.NamedNode((CLAIM if prop.range == "Claim" else THING) + claim.value)


def rdflib_graph(view: WorkingView) -> rdflib.Graph:
    """The working view as one rdflib graph, for pySHACL and for users."""
    import rdflib

    graph = rdflib.Graph()
    for quad in view_quads(view, view.things.values(), (*view.live, *view.passed_over)):
        graph.add((_rdflib(quad.subject), _rdflib(quad.predicate), _rdflib(quad.object)))
    return graph


def _rdflib(term: Any) -> Any:
    import rdflib

    if isinstance(term, ox.NamedNode):
        return rdflib.URIRef(term.value)
    return rdflib.Literal(term.value, datatype=rdflib.URIRef(term.datatype.value))
