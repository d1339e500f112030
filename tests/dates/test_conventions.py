"""Conventions: widths, centuries, and the basis that each states."""

import pytest

from kg.dates.conventions import DEFAULT, ConventionUnknown, convention, conventions, parts
from kg.dates.phrases import read_date
from kg.dates.window import iso


@pytest.mark.parametrize(
    ("year", "width"), [(1950, 5), (1800, 5), (1799, 10), (1700, 10), (1699, 15), (-2000, 100)]
)
def test_circa_widens_with_age_by_default(year: int, width: int) -> None:
    assert convention().circa_width(year).years == width


def test_every_width_states_its_basis() -> None:
    for known in conventions().values():
        for width in (*known.circa, *known.perhaps):
            assert width.basis.startswith(("measured on museum records", "common practice, no source")), (
                known.name
            )


def test_every_part_states_its_basis() -> None:
    for part in parts().values():
        assert part.basis.startswith(("measured on museum records", "common practice, no source"))


def test_an_unknown_convention_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ConventionUnknown, match=DEFAULT):
        convention("as-you-like")


def test_a_negative_width_is_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        convention().with_circa(-1)


@pytest.mark.parametrize(
    ("name", "first", "last"),
    [
        ("widens-with-age", "1873-01-01", "1883-12-31"),
        ("three-years", "1875-01-01", "1881-12-31"),
        ("twelve-years", "1866-01-01", "1890-12-31"),
        ("as-printed", "1878-01-01", "1878-12-31"),
    ],
)
def test_the_source_decides_how_wide_circa_is(name: str, first: str, last: str) -> None:
    window = read_date("c. 1878", name).window
    assert window is not None
    assert window.span is not None
    assert (iso(window.span.first), iso(window.span.last)) == (first, last)


def test_the_reader_may_state_a_width() -> None:
    reading = read_date("c. 1878", circa=2)
    assert reading.window is not None
    assert iso(reading.window.first or 0) == "1876-01-01"
    assert "stated by the reader" in reading.why


def test_a_century_may_begin_in_the_year_one() -> None:
    assert read_date("19th century").edtf == "18XX"
    assert read_date("19th century", "century-from-01").edtf == "[1801..1900]"


def test_circa_before_a_range_may_hold_for_the_printed_end_only() -> None:
    assert read_date("c. 1910-15").edtf == "1910~/1915~"
    assert read_date("c. 1910-15", "circa-where-printed").edtf == "1910~/1915"


def test_each_end_is_widened_by_the_width_of_its_own_time() -> None:
    window = read_date("c. 1795-1810").window
    assert window is not None
    assert (iso(window.first or 0), iso(window.last or 0)) == ("1785-01-01", "1815-12-31")
