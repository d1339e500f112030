"""A number leads to the time when it was given out, and the table says where it ends."""

import pytest

from kg.dates.window import day_of, iso
from kg.marks.registers import FOLDER, RegisterUnknown, register
from kg.resources import resource


def test_a_range_of_numbers_gives_the_years_of_both_its_ends() -> None:
    found = register("DRGM").look_up(400_000, 450_000)
    assert [row.label for row in found.rows] == ["1909", "1910", "1911"]
    assert (found.window.first, found.window.last) == (day_of(1909), day_of(1911, 12, 31))


def test_a_number_beyond_the_table_is_later_and_the_table_says_so() -> None:
    found = register("US").look_up(4_000_000)
    assert found.window.first == day_of(1976)
    assert found.window.last is None
    assert found.limits == ("the table is not known beyond no. 3930271 (1976); such a number can be later",)


def test_a_number_before_the_table_bounds_nothing_and_the_table_says_so() -> None:
    found = register("GB").look_up(2_000)
    assert found.bounds == ()
    assert found.limits == ("no. 2000 lies before the table, which begins at no. 100001",)


def test_a_range_without_end_has_no_last_year() -> None:
    found = register("DRP").look_up(100_000, None)
    assert found.window.first is not None
    assert iso(found.window.first) == "1898-01-01"
    assert found.window.last is None


def test_a_printed_row_gives_one_hard_bound() -> None:
    (made,) = register("GB-RD").look_up(150_412).bounds
    assert (made.earliest, made.latest, made.strength) == (day_of(1890), None, "hard")


@pytest.mark.parametrize(("series", "number"), [("DRGM", 17_567), ("DRP", 70_000)])
def test_the_hard_bound_of_a_german_number_allows_for_protection_before_its_year(
    series: str, number: int
) -> None:
    found = register(series).look_up(number)
    loose, tight = found.bounds
    assert (loose.earliest, loose.strength) == (day_of(1891), "hard")
    assert (tight.earliest, tight.strength) == (day_of(1893), "usual")
    assert not tight.is_from_memory
    assert "2 years allowed, because protection can begin before the" in loose.sentence


def test_a_row_from_memory_is_allowed_a_year_more_before_its_bound_is_hard() -> None:
    loose, tight = register("DRGM").look_up(455_610).bounds
    assert (loose.earliest, loose.strength) == (day_of(1908), "hard")
    assert (tight.earliest, tight.strength) == (day_of(1911), "usual")
    assert loose.is_from_memory
    assert "1 year allowed, because the row is not exact" in loose.sentence
    assert "[from memory, approximate]" in loose.sentence


def test_a_number_between_two_anchors_is_bounded_by_both_and_never_hard() -> None:
    found = register("FR").look_up(320_000)
    assert found.when == "from 2 January 1902 to 24 April 1903"
    assert [made.strength for made in found.bounds] == ["usual"]


def test_the_sentence_says_what_the_year_means() -> None:
    (made,) = register("GB-RD").look_up(150_412).bounds
    assert made.sentence == (
        "not before 1890 (hard): British registered designs, row 1890: No. 150412 was given out in 1890, the time of "
        "registration; a piece can bear the number for years afterwards [published, one source]"
    )


def test_an_unknown_register_names_those_there_are() -> None:
    with pytest.raises(
        RegisterUnknown, match="no register 'XX'; choose one of US, US-D, GB-RD, GB, DRP, DRGM, DBP, FR"
    ):
        register("XX")


def test_a_range_that_falls_is_refused() -> None:
    with pytest.raises(ValueError, match="range 5 to 3 found; expected one that rises"):
        register("US").look_up(5, 3)


def test_every_column_of_the_registers_is_explained_beside_them() -> None:
    with resource(f"{FOLDER}/README.md").open(encoding="utf-8") as file:
        explained = file.read()
    for column in ("filed_years_before", "margin_years", "year_means", "strength", "layout", "first_number"):
        assert f"`{column}`" in explained, column
