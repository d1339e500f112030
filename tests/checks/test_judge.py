"""pySHACL, over rdflib and over Oxigraph, finds what the compiled checks find; and its traps are kept shut."""

from __future__ import annotations

import pyoxigraph as ox
import pyshacl
import pytest
import rdflib
from pyshacl import graph_abstraction

from kg.checks.check import check_all
from kg.checks.judge import JudgeFailed, check_with_pyshacl, run_pyshacl, shapes_graph
from kg.checks.shapes import ShapeGraph, shipped_shapes
from kg.checks.turtle import HEAD
from kg.daybook.graph import rdflib_graph, view_store
from kg.daybook.record import Citation, Draft
from kg.daybook.view import WorkingView
from tests.checks.daybooks import view_saying


def says(subject: str, says: str, value: str, strength: str = "hard", locator: str = "p. 1") -> Draft:
    return Draft(subject, says, value, Citation("book", locator), value, strength)


def troubled() -> WorkingView:
    """A small daybook with a fault of most kinds."""
    return view_saying(
        says("lady", "madeBy", "tarn"),
        says("lady", "madeOn", "1895"),
        says("lady", "madeOn", "1850", "usual"),
        says("tarn", "founded", "1870"),
        says("tarn", "ceased", "1880"),
        says("deposit", "filedOn", "19o5"),
        says("head", "heightMm", "tall", locator=""),
        says("plates", "madeBy", "book"),
        says("nobody", "sameAs", "nobody"),
    )


@pytest.mark.parametrize("back_end", ["rdflib", "Oxigraph"])
def test_pyshacl_makes_the_same_report(back_end: str) -> None:
    view = troubled()
    store = view_store(view)
    data = rdflib_graph(view) if back_end == "rdflib" else store
    report = check_all(view, store)
    assert {f.severity.value for f in report.findings} == {"Violation", "Warning"}
    assert len({f.shape for f in report.findings}) >= 9
    assert check_with_pyshacl(view, shipped_shapes(view.vocabulary), data=data, store=store) == report


SMALL = (
    HEAD
    + "s:mine a sh:NodeShape ; sh:targetClass k:Piece ; sh:property [ sh:path k:heightMm ; sh:minCount 1 ] ."
)


def test_pyshacl_is_the_version_whose_traps_are_known() -> None:
    assert pyshacl.__version__ == "0.40.1"


def test_the_judge_does_not_count_the_graph_for_every_result_and_leaves_pyshacl_as_it_was() -> None:
    kinds = [graph_abstraction.OxigraphDataGraph, graph_abstraction.RdfLibDataGraph]
    before = [vars(kind).get("__bool__") for kind in kinds]
    counted: list[object] = []

    class Counting(rdflib.Graph):
        def __len__(self) -> int:
            counted.append(self)
            return super().__len__()

    graph = Counting()
    graph += rdflib_graph(view_saying())
    counted.clear()
    run_pyshacl(graph, ShapeGraph.parse(SMALL, "mine.ttl"))
    once = len(counted)
    counted.clear()
    pyshacl.validate(graph, shacl_graph=shapes_graph(ShapeGraph.parse(SMALL, "mine.ttl")), inference="none")
    assert len(counted) > once
    assert [vars(kind).get("__bool__") for kind in kinds] == before


def test_the_judge_gives_back_a_dataset_with_its_default_union_as_it_was() -> None:
    data = rdflib.Dataset()
    assert data.default_union is False
    run_pyshacl(data, ShapeGraph.parse(SMALL, "mine.ttl"))
    assert data.default_union is False


@pytest.mark.parametrize(
    "query",
    [
        pytest.param("SELECT $this WHERE { $this ?p ?o MINUS { $this ?p 1 } }", id="returned by pySHACL"),
        pytest.param("SELECT $this WHERE { $this", id="raised by its SPARQL parser"),
    ],
)
def test_a_failure_of_pyshacl_is_raised_as_ours(query: str) -> None:
    broken = HEAD + f"s:mine a sh:NodeShape ; sh:targetClass k:Piece ; sh:sparql [ sh:select '{query}' ] ."
    with pytest.raises(JudgeFailed, match="pySHACL could not run the shapes"):
        run_pyshacl(rdflib_graph(view_saying()), ShapeGraph.parse(broken, "mine.ttl"))


def test_pyshacl_gets_shapes_of_its_own_each_time() -> None:
    shapes = ShapeGraph.parse(SMALL, "mine.ttl")
    first, again = shapes_graph(shapes), shapes_graph(shapes)
    size = len(first)
    pyshacl.validate(rdflib_graph(view_saying()), shacl_graph=first, inference="none")
    assert len(again) == size


def test_pyshacl_over_an_oxigraph_store_leaves_it_as_it_was() -> None:
    view = view_saying()
    store = view_store(view)
    before = set(store)
    run_pyshacl(store, ShapeGraph.parse(SMALL, "mine.ttl"))
    assert set(store) == before
    assert isinstance(store, ox.Store)
