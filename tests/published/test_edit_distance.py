"""Plain edit distance against rapidfuzz, an independent implementation, and against worked examples in print.

Sources: rapidfuzz, https://github.com/rapidfuzz/RapidFuzz (``distance.Levenshtein``); the pair kitten and sitting is
the worked example of P. E. Black, ed., Dictionary of Algorithms and Data Structures, NIST, and of many textbooks;
intention and execution that of D. Jurafsky and J. H. Martin, Speech and Language Processing, section on minimum edit
distance (eight with a change counted as two, five with it counted as one). Both pairs are given from memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from kg.marks.matching_distance import edit_distance, edit_distances

WORDS = st.text(alphabet="ABGMR0138 .…üß", max_size=18)


@pytest.mark.parametrize(
    ("first", "second", "distance"),
    [
        pytest.param("kitten", "sitting", 3, id="the dictionary's example"),
        pytest.param("intention", "execution", 5, id="the textbook's example"),
        pytest.param("", "", 0, id="nothing and nothing"),
        pytest.param("", "D.R.G.M.", 8, id="nothing and something"),
    ],
)
def test_worked_examples_have_the_distance_in_print(first: str, second: str, distance: int) -> None:
    assert edit_distance(first, second) == edit_distance(second, first) == distance


@settings(max_examples=300)
@given(WORDS, st.lists(WORDS, max_size=8))
def test_every_distance_is_the_one_that_rapidfuzz_finds(text: str, others: list[str]) -> None:
    assert edit_distances(text, others) == [Levenshtein.distance(text, other) for other in others]
