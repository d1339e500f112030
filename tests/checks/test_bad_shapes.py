"""Shapes that cannot be run are told by name."""

from __future__ import annotations

import pytest

from kg.checks.check import check_all
from kg.checks.shapes import ShapeFault, ShapeGraph
from kg.checks.turtle import HEAD
from tests.conftest import Scene


@pytest.mark.parametrize(
    "body",
    [
        'sh:property [ sh:path k:madeBy ; sh:minCount "x" ]',
        'sh:property [ sh:path rdfs:label ; sh:maxLength "x" ]',
        "sh:node s:odd",
        'sh:sparql [ sh:select "SELECT $this WHERE { $this a }" ]',
        "sh:property [ sh:path k:madeBy ; sh:hasValue <<( k:a k:b k:c )>> ]",
    ],
)
def test_a_shape_that_cannot_be_run_is_named(scene: Scene, body: str) -> None:
    def run() -> None:
        text = f"{HEAD}s:odd a sh:NodeShape ; sh:targetClass k:Piece ; {body} ."
        check_all(scene.daybook.view(), users=ShapeGraph.parse(text, "odd.ttl"))

    with pytest.raises(ShapeFault, match="odd"):
        run()
