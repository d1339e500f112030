"""Shapes are linted when they are read, and compiled only where that keeps their meaning."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.checks.check import check_all, compiled_for, load_users_shapes
from kg.checks.compiled import compile_shapes
from kg.checks.expressions import NotCompiled
from kg.checks.shapes import ShapeFault, ShapeGraph, shapes_turtle, shipped_shapes, users_shapes, wordings
from kg.checks.terms import KNOWN_TERMS
from kg.checks.turtle import HEAD
from kg.daybook.record import Citation, Draft
from kg.vocabulary import load_vocabulary
from tests.checks.daybooks import view_saying

PIECES = "s:mine a sh:NodeShape ; sh:targetClass k:Piece"


def parsed(turtle: str) -> ShapeGraph:
    return ShapeGraph.parse(HEAD + turtle, "mine.ttl")


def test_a_misspelt_term_is_refused_with_the_shape_and_the_term_that_was_meant() -> None:
    with pytest.raises(ShapeFault) as caught:
        parsed(f"{PIECES} ; sh:property [ sh:path k:madeOn ; sh:mincount 1 ] .")
    assert str(caught.value) == (
        "In mine.ttl: the shape mine uses sh:mincount, which SHACL does not have. Did you mean sh:minCount?"
    )


@pytest.mark.parametrize(
    ("turtle", "message"),
    [
        pytest.param("s:mine a sh:NodeShape", "is no Turtle", id="no Turtle"),
        pytest.param("s:mine a sh:NodeShape .", "the shape mine asks for nothing", id="no constraint"),
        pytest.param(f"{PIECES} ; sh:severity sh:Grave .", "sh:Grave", id="no severity of SHACL"),
    ],
)
def test_a_shapes_file_that_cannot_be_meant_is_refused(turtle: str, message: str) -> None:
    with pytest.raises(ShapeFault, match=message):
        parsed(turtle)


@pytest.mark.parametrize(
    ("constraint", "message"),
    [
        pytest.param("sh:minCount 1", "has sh:minCount without sh:path", id="count without a path"),
        pytest.param("sh:sparql [ sh:message 'x' ]", "sh:sparql without sh:select", id="no query"),
        pytest.param("sh:nodeKind sh:Shape", "no such kind", id="no node kind"),
    ],
)
def test_a_constraint_that_cannot_be_meant_is_refused(constraint: str, message: str) -> None:
    with pytest.raises(ShapeFault, match=message):
        compile_shapes(parsed(f"{PIECES} ; {constraint} ."))


def test_a_shape_with_a_target_but_no_name_is_refused() -> None:
    with pytest.raises(ShapeFault, match="has no IRI"):
        compile_shapes(parsed("[] a sh:NodeShape ; sh:targetClass k:Piece ; sh:class k:Artefact ."))


@pytest.mark.parametrize(
    ("constraint", "what"),
    [
        pytest.param("sh:closed true", "sh:closed", id="closed"),
        pytest.param("sh:property [ sh:path ( k:a k:b ) ; sh:minCount 1 ]", "no single property", id="sequence path"),
        pytest.param("sh:property [ sh:path k:a ; sh:datatype xsd:gYear ]", "xsd:gYear", id="a trap of a datatype"),
        pytest.param("sh:xone ( [ sh:class k:Piece ] )", "sh:xone", id="exclusive or"),
        pytest.param(
            "sh:sparql [ sh:select 'SELECT $this WHERE { $this ?p ?o } LIMIT 1' ]", "a query with", id="limit"
        ),
        pytest.param(
            "sh:sparql [ sh:select 'SELECT $this WHERE { { FILTER(isIRI($this)) } UNION { ?a ?b $this } }' ]",
            "nested group", id="$this in a group of its own",
        ),
        pytest.param(
            "sh:sparql [ sh:select 'SELECT $this WHERE { $this ?p ?o { SELECT ?o WHERE { ?s ?p ?o } } }' ]",
            "sub-selects", id="sub-select",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_compiled_faithfully_is_refused_by_name(constraint: str, what: str) -> None:
    with pytest.raises(NotCompiled, match=what):
        compile_shapes(parsed(f"{PIECES} ; {constraint} ."))


def test_a_wording_for_a_rule_that_does_not_exist_is_refused() -> None:
    graph = parsed("[] a k:Wording ; k:of k:madeBy ; k:rule 'no such rule' ; sh:message 'm' ; k:hint 'h' .")
    with pytest.raises(ShapeFault, match="speaks of the rule 'no such rule' of madeBy"):
        wordings(graph, load_vocabulary())


def test_the_terms_of_shacl_are_those_that_the_w3c_publishes() -> None:
    from rdflib import SH

    assert {*SH.__annotations__, *SH._extras} == KNOWN_TERMS


def test_every_shape_that_ships_has_a_hint_and_every_check_a_message() -> None:
    shapes = compiled_for(load_vocabulary())
    assert len(shapes) > 200
    for shape in shapes:
        for check in shape.checks:
            assert not check.message.startswith("it does not satisfy"), shape.name
            assert not check.hint.startswith("See the shape"), shape.name


def test_the_whole_of_the_shapes_is_one_turtle_text_for_other_processors() -> None:
    vocabulary = load_vocabulary()
    whole = ShapeGraph.parse(shapes_turtle(vocabulary), "all.ttl")
    assert [s.value for s in whole.targeted()] == [s.value for s in shipped_shapes(vocabulary).targeted()]


HEIGHT = "sh:path k:heightMm ; sh:minCount 1"
OWN = f"{HEAD}{PIECES} ; k:hint 'Measure it.' ; sh:property [ {HEIGHT} ; sh:message 'no height' ] ."
BEYOND = f"{HEAD}{PIECES} ; sh:xone ( [ sh:property [ {HEIGHT} ] ] ) ; sh:message 'no height' ."


@pytest.mark.parametrize("turtle", [pytest.param(OWN, id="compiled"), pytest.param(BEYOND, id="by pySHACL")])
def test_a_daybooks_own_shapes_are_run_too(turtle: str, tmp_path: Path) -> None:
    (tmp_path / "shapes").mkdir()
    (tmp_path / "shapes" / "heights.ttl").write_text(turtle, encoding="utf-8")
    view = view_saying(Draft("lady", "madeOn", "1878", Citation("book", "p. 1")))
    report = check_all(view, users=load_users_shapes(tmp_path))
    assert [(f.shape, f.focus, f.message) for f in report.findings] == [
        ("mine", "lady", "Lady with a blue snood: no height")
    ]
    assert report.matched["mine"] == 1


def test_a_daybook_without_shapes_of_its_own_has_none(tmp_path: Path) -> None:
    assert load_users_shapes(tmp_path) is None


def test_a_fault_in_a_daybooks_own_shapes_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "mine.ttl"
    path.write_text(f"{HEAD}{PIECES} ; sh:clas k:Artefact .", encoding="utf-8")
    with pytest.raises(ShapeFault, match=r"In mine\.ttl: the shape mine uses sh:clas.* sh:class"):
        users_shapes([path])
