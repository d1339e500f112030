"""The canonical form of datasets, against vectors of the W3C's own test suite.

Source: RDF Dataset Canonicalization test suite, W3C, https://w3c.github.io/rdf-canon/tests/ (``rdfc10/testNNN``,
inputs ``-in.nq`` and results ``-rdfc10.nq``), for RDFC-1.0, W3C Recommendation, 21 May 2024. Tests 076 and 077
come from a copy of the suite's own files; test014 to test029 from comments of another implementation that quote them.
"""

from __future__ import annotations

import pyoxigraph as ox
import pytest

from kg.daybook.trig import canonical_nquads

V = "http://example.org/vocab#"
CIRCLE_OF_3 = """_:c14n0 <next> _:c14n2 .
_:c14n0 <prev> _:c14n1 .
_:c14n1 <next> _:c14n0 .
_:c14n1 <prev> _:c14n2 .
_:c14n2 <next> _:c14n1 .
_:c14n2 <prev> _:c14n0 .
"""
DOUBLE_0 = "_:e0 <next> _:e1 .\n_:e0 <prev> _:e2 .\n"
DOUBLE_1 = "_:e1 <next> _:e2 .\n_:e1 <prev> _:e0 .\n"
DOUBLE_2 = "_:e2 <next> _:e0 .\n_:e2 <prev> _:e1 .\n"
XSD = "http://www.w3.org/2001/XMLSchema#"
TYPES = (
    f'<http://example.org/test> <bool> "true"^^<{XSD}boolean> .\n'
    f'<http://example.org/test> <double> "1.23E0"^^<{XSD}double> .\n'
    f'<http://example.org/test> <int> "123"^^<{XSD}integer> .\n'
)

#: Input and canonical form; ``<next>`` stands for ``<http://example.org/vocab#next>``, and so on.
VECTORS = [
    pytest.param(TYPES, TYPES, id="test014 check types"),
    pytest.param(
        "<http://example.org/test> <A> _:e0 .\n<http://example.org/test> <B> _:e0 .\n"
        "<http://example.org/test> <embed> _:e0 .\n",
        "<http://example.org/test> <A> _:c14n0 .\n<http://example.org/test> <B> _:c14n0 .\n"
        "<http://example.org/test> <embed> _:c14n0 .\n",
        id="test016 dual link, embed",
    ),
    pytest.param("_:e0 <self> _:e0 .\n", "_:c14n0 <self> _:c14n0 .\n", id="test018 self link"),
    pytest.param(
        "_:e0 <self> _:e0 .\n_:e1 <self> _:e1 .\n",
        "_:c14n0 <self> _:c14n0 .\n_:c14n1 <self> _:c14n1 .\n",
        id="test019 disjoint self links",
    ),
    pytest.param(
        "<test> <A> _:e0 .\n<test> <B> _:e1 .\n_:e0 <next> _:e2 .\n_:e1 <next> _:e2 .\n",
        "<test> <A> _:c14n2 .\n<test> <B> _:c14n0 .\n_:c14n0 <next> _:c14n1 .\n_:c14n2 <next> _:c14n1 .\n",
        id="test020 diamond",
    ),
    pytest.param(
        "_:e0 <next> _:e1 .\n_:e1 <next> _:e0 .\n",
        "_:c14n0 <next> _:c14n1 .\n_:c14n1 <next> _:c14n0 .\n",
        id="test021 circle of 2",
    ),
    pytest.param(
        "_:e0 <next> _:e1 .\n_:e0 <prev> _:e1 .\n_:e1 <next> _:e0 .\n_:e1 <prev> _:e0 .\n",
        "_:c14n0 <next> _:c14n1 .\n_:c14n0 <prev> _:c14n1 .\n_:c14n1 <next> _:c14n0 .\n_:c14n1 <prev> _:c14n0 .\n",
        id="test022 double circle of 2",
    ),
    pytest.param(
        "_:e0 <next> _:e1 .\n_:e1 <next> _:e2 .\n_:e2 <next> _:e0 .\n",
        "_:c14n0 <next> _:c14n1 .\n_:c14n1 <next> _:c14n2 .\n_:c14n2 <next> _:c14n0 .\n",
        id="test023 circle of 3",
    ),
    pytest.param(DOUBLE_0 + DOUBLE_1 + DOUBLE_2, CIRCLE_OF_3, id="test024 double circle of 3 (0-1-2)"),
    pytest.param(DOUBLE_0 + DOUBLE_2 + DOUBLE_1, CIRCLE_OF_3, id="test025 double circle of 3 (0-2-1)"),
    pytest.param(DOUBLE_1 + DOUBLE_0 + DOUBLE_2, CIRCLE_OF_3, id="test026 double circle of 3 (1-0-2)"),
    pytest.param(DOUBLE_1 + DOUBLE_2 + DOUBLE_0, CIRCLE_OF_3, id="test027 double circle of 3 (1-2-0)"),
    pytest.param(DOUBLE_2 + DOUBLE_1 + DOUBLE_0, CIRCLE_OF_3, id="test028 double circle of 3 (2-1-0)"),
    pytest.param(DOUBLE_2 + DOUBLE_0 + DOUBLE_1, CIRCLE_OF_3, id="test029 double circle of 3 (2-0-1)"),
    pytest.param(
        "<https://www.example.org/s> <https://www.example.org/p> <https://www.example.org/o> .\n" * 2,
        "<https://www.example.org/s> <https://www.example.org/p> <https://www.example.org/o> .\n",
        id="test076 a triple given twice",
    ),
    pytest.param(
        "<https://www.example.org/s> <https://www.example.org/p> _:o .\n" * 2,
        "<https://www.example.org/s> <https://www.example.org/p> _:c14n0 .\n",
        id="test077 a triple with a blank node given twice",
    ),
]


@pytest.mark.parametrize(("given", "expected"), VECTORS)
def test_the_canonical_form_is_the_one_that_the_suite_gives(given: str, expected: str) -> None:
    dataset = ox.Dataset(ox.parse(_full(given).encode(), format=ox.RdfFormat.N_QUADS))
    assert canonical_nquads(dataset) == _full(expected)


def _full(nquads: str) -> str:
    for name in ("next", "prev", "self", "A", "B", "embed", "test", "bool", "double", "int"):
        nquads = nquads.replace(f"<{name}>", f"<{V}{name}>")
    return nquads
