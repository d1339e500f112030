"""The composition of temporal relations.

Source: J. F. Allen, "Maintaining knowledge about temporal intervals", Communications of the ACM 26
(1983), 832-843, figure 4. Its entries are restated here from memory in the paper's letters (the paper
leaves out "=", which changes nothing) and each is checked against every triple of small intervals,
in both directions: nothing found is missing from the table, nothing in the table is never found.
"""

import itertools
from collections import defaultdict

import pytest

from kg.dates.window import Relation, Span, relation

_ALL = "< > d di o oi m mi s si f fi ="
_SHARE = "o oi d di s si f fi ="

#: What A may be to C, by what A is to B (rows) and B is to C (in the order of COLUMNS).
COLUMNS = ["<", ">", "d", "di", "o", "oi", "m", "mi", "s", "si", "f", "fi"]
FIGURE_4 = {
    "<": ["<", _ALL, "< o m d s", "<", "<", "< o m d s", "<", "< o m d s", "<", "<", "< o m d s", "<"],
    ">": [
        _ALL, ">", "> oi mi d f", ">", "> oi mi d f", ">", "> oi mi d f", ">", "> oi mi d f", ">", ">", ">",
    ],
    "d": ["<", ">", "d", _ALL, "< o m d s", "> oi mi d f", "<", ">", "d", "> oi mi d f", "d", "< o m d s"],
    "di": [
        "< o m di fi", "> oi di mi si", _SHARE, "di", "o di fi", "oi di si", "o di fi", "oi di si",
        "di fi o", "di", "di si oi", "di",
    ],
    "o": [
        "<", "> oi di mi si", "o d s", "< o m di fi", "< o m", _SHARE, "<", "oi di si", "o", "di fi o",
        "d s o", "< o m",
    ],
    "oi": [
        "< o m di fi", ">", "oi d f", "> oi mi di si", _SHARE, "> oi mi", "o di fi", ">", "oi d f",
        "oi > mi", "oi", "oi di si",
    ],
    "m": ["<", "> oi mi di si", "o d s", "<", "<", "o d s", "<", "f fi =", "m", "m", "d s o", "<"],
    "mi": ["< o m di fi", ">", "oi d f", ">", "oi d f", ">", "s si =", ">", "d f oi", ">", "mi", "mi"],
    "s": ["<", ">", "d", "< o m di fi", "< o m", "oi d f", "<", "mi", "s", "s si =", "d", "< m o"],
    "si": ["< o m di fi", ">", "oi d f", "di", "o di fi", "oi", "o di fi", "mi", "s si =", "si", "oi", "di"],
    "f": ["<", ">", "d", "> oi mi di si", "o d s", "> oi mi", "m", ">", "d", "> oi mi", "f", "f fi ="],
    "fi": ["<", "> oi mi di si", "o d s", "di", "o", "oi di si", "m", "si oi di", "o", "di", "f fi =", "fi"],
}  # fmt: skip

#: Three intervals have six ends, so seven days hold every order in which these can lie.
SPANS = [Span(a, b) for a in range(7) for b in range(a, 7)]


@pytest.fixture(scope="module")
def found() -> dict[tuple[Relation, Relation], set[Relation]]:
    """What every triple of small spans shows."""
    compositions = defaultdict(set)
    for a, b, c in itertools.product(SPANS, repeat=3):
        compositions[relation(a, b), relation(b, c)].add(relation(a, c))
    return compositions


@pytest.mark.parametrize(
    ("first", "second", "entry"),
    [(row, column, FIGURE_4[row][i]) for row in FIGURE_4 for i, column in enumerate(COLUMNS)],
)
def test_an_entry_of_the_figure_is_what_all_small_intervals_show(
    found: dict[tuple[Relation, Relation], set[Relation]], first: str, second: str, entry: str
) -> None:
    assert found[Relation(first), Relation(second)] == {Relation(letter) for letter in entry.split()}


@pytest.mark.parametrize("other", list(Relation))
def test_equality_changes_nothing(
    found: dict[tuple[Relation, Relation], set[Relation]], other: Relation
) -> None:
    assert found[Relation.EQUALS, other] == {other}
    assert found[other, Relation.EQUALS] == {other}


def test_the_figure_has_twelve_rows_of_twelve() -> None:
    assert len(FIGURE_4) == 12
    assert {len(row) for row in FIGURE_4.values()} == {12}


def test_every_pair_of_intervals_stands_in_a_relation_and_its_inverse() -> None:
    for a, b in itertools.product(SPANS, repeat=2):
        there, back = relation(a, b).value, relation(b, a).value
        turned = there.removesuffix("i") if there.endswith("i") else there + "i"
        assert back == {"<": ">", ">": "<", "=": "="}.get(there, turned)
