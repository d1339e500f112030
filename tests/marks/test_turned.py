"""Mirrored and inverted marks, which people type as they look or as they read."""

import pytest

from kg.dates.window import day_of
from kg.marks.reading import read_mark


@pytest.mark.parametrize("typed", ["mirrored: GERMANY / 139 GmbH", "mirrored: YNAMREG / HbmG 931"])
def test_a_mirrored_mark_is_read_as_its_original_whichever_way_it_was_typed(typed: str) -> None:
    read, original = read_mark(typed), read_mark("GERMANY / 139 GmbH")
    assert {(r.kind, r.text) for r in read.readings} == {(r.kind, r.text) for r in original.readings}
    assert read.window == original.window
    assert read.questions == ()


def test_a_mirrored_number_or_name_that_no_rule_knows_is_read_both_ways_and_asked_about() -> None:
    read = read_mark("mirrored: ADIEROL / 139")
    assert {r.text for r in read.readings} == {"ADIEROL", "LOREIDA", "139", "931"}
    assert read.questions == (
        "Which is it, ADIEROL or LOREIDA? The mark stands mirrored: look at the piece.",
        "Which is it, 139 or 931? The mark stands mirrored: look at the piece.",
    )


@pytest.mark.parametrize(
    ("typed", "numbers"),
    [
        ("16", {"16", "91"}),
        ("1906", {"1906", "9061"}),
        ("1[.]6", {"1[.]6", "9[.]1"}),
        ("88", {"88"}),
        ("137", {"137"}),
    ],
)
def test_a_number_that_is_another_one_upside_down_is_read_both_ways_on_an_inverted_mark(
    typed: str, numbers: set[str]
) -> None:
    read = read_mark(f"inverted: {typed}")
    assert {r.text for r in read.readings if r.kind == "mould number"} == numbers
    assert len(read.questions) == len(numbers) - 1


def test_a_year_that_may_stand_upside_down_bounds_nothing_for_sure() -> None:
    assert read_mark("inverted: © 1906").window.hard.first == day_of(1909, 7, 1)
    assert {b.strength for r in read_mark("inverted: 1906").readings for b in r.bounds} == {"weak"}


def test_a_number_behind_a_word_that_can_be_read_stands_as_the_word_stands() -> None:
    found = [r.number for r in read_mark("inverted: D.R.G.M. 6916").readings if r.series == "DRGM"]
    assert found == ["6916"]


def test_an_upright_mark_is_never_turned() -> None:
    assert read_mark("16").questions == ()
    assert {r.text for r in read_mark("YNAMREG").readings} == {"YNAMREG"}


def test_every_reading_of_a_turned_mark_has_its_place_in_the_text_as_typed() -> None:
    read = read_mark("mirrored: HbmG / 931 YNAMREG")
    assert [(t.readings[0].text, t.start, t.end) for t in read.tokens] == [
        ("GmbH", 0, 4),
        ("139", 5, 8),
        ("GERMANY", 9, 16),
    ]
