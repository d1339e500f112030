"""Windows, days and the relations between spans."""

import datetime
import pickle
from dataclasses import FrozenInstanceError

import pytest

from kg.dates.window import (
    Relation,
    Span,
    Window,
    WindowNotPossible,
    civil,
    day_of,
    iso,
    relation,
    year_of,
)


def years(first: int, last: int) -> Window:
    return Window.within(day_of(first), day_of(last, 12, 31))


@pytest.mark.parametrize("year", [1, 4, 100, 400, 1600, 1878, 1900, 2000, 9999])
def test_days_are_counted_as_the_standard_library_counts_them(year: int) -> None:
    for month, day in [(1, 1), (2, 28), (3, 1), (12, 31)]:
        assert day_of(year, month, day) == datetime.date(year, month, day).toordinal()


@pytest.mark.parametrize(
    "day", [-800_000_000, -366, -1, 0, 1, 59, 60, 61, 366, 146_097, 685_000, 900_000_000]
)
def test_a_day_comes_back_from_its_calendar_date(day: int) -> None:
    assert day_of(*civil(day)) == day


@pytest.mark.parametrize(
    ("year", "month", "day"), [(1900, 2, 29), (1878, 13, 1), (1878, 0, 1), (1878, 4, 31)]
)
def test_a_day_that_the_calendar_lacks_is_refused(year: int, month: int, day: int) -> None:
    with pytest.raises(ValueError, match="found"):
        day_of(year, month, day)


def test_years_before_the_first_are_signed() -> None:
    assert iso(day_of(-529, 3, 1)) == "-0529-03-01"
    assert iso(day_of(0, 12, 31)) == "0000-12-31"
    assert year_of(day_of(0, 12, 31)) == 0


def test_a_begin_after_the_end_is_refused() -> None:
    with pytest.raises(WindowNotPossible, match="begin_earliest 1880-01-01 lies after end_latest 1870-12-31"):
        Window(day_of(1880), None, None, day_of(1870, 12, 31))


def test_an_open_side_has_no_bound() -> None:
    with pytest.raises(WindowNotPossible, match="open end"):
        Window(day_of(1880), None, None, day_of(1890), end_open=True)
    with pytest.raises(WindowNotPossible, match="open begin"):
        Window(day_of(1880), None, None, None, begin_open=True)


def test_open_and_unknown_are_different() -> None:
    assert Window(begin_open=True) != Window()


def test_a_circa_of_five_years_reaches_from_new_year_to_new_years_eve() -> None:
    wide = years(1878, 1878).widened(5)
    assert (wide.first, wide.last) == (day_of(1873), day_of(1883, 12, 31))


def test_a_leap_day_is_widened_to_a_day_that_exists() -> None:
    leap = Window.within(day_of(1880, 2, 29), day_of(1880, 2, 29)).widened(1)
    assert (leap.first, leap.last) == (day_of(1879, 2, 28), day_of(1881, 2, 28))


def test_an_interval_keeps_where_it_begins_and_where_it_ends() -> None:
    made = Window.spanning(years(1890, 1890), years(1920, 1920))
    assert (made.begin_earliest, made.begin_latest) == (day_of(1890), day_of(1890, 12, 31))
    assert (made.end_earliest, made.end_latest) == (day_of(1920), day_of(1920, 12, 31))


@pytest.mark.parametrize(
    ("a", "b", "shared"),
    [
        pytest.param((1900, 1910), (1910, 1920), (1910, 1910), id="touching in one year"),
        pytest.param((1900, 1910), (1905, 1907), (1905, 1907), id="one within the other"),
        pytest.param((1900, 1910), (1911, 1920), None, id="side by side"),
    ],
)
def test_an_overlap_is_what_both_allow(
    a: tuple[int, int], b: tuple[int, int], shared: tuple[int, int] | None
) -> None:
    assert years(*a).overlap(years(*b)) == (None if shared is None else years(*shared))


def test_an_overlap_takes_an_unknown_bound_from_the_other() -> None:
    by_1905 = Window.within(None, day_of(1905, 12, 31))
    assert by_1905.overlap(years(1890, 1910)) == years(1890, 1905)


def test_an_overlap_is_open_only_where_both_are_open() -> None:
    from_1890 = Window.within(day_of(1890), None, end_open=True)
    not_known = Window.within(day_of(1880), None)
    shared = from_1890.overlap(not_known)
    assert shared is not None
    assert not shared.end_open
    same = from_1890.overlap(from_1890)
    assert same is not None
    assert same.end_open


def test_a_hull_is_unknown_where_one_part_is() -> None:
    assert years(1890, 1900).hull(Window.within(day_of(1880), None)).last is None


def test_a_window_is_clipped_only_by_a_limit_that_it_meets() -> None:
    assert years(1850, 1870).clipped(years(1860, 1900)) == years(1860, 1870)
    assert years(1850, 1870).clipped(years(1880, 1900)) == years(1850, 1870)


def test_a_year_is_allowed_if_one_of_its_days_is() -> None:
    late = Window.within(day_of(1878, 12, 31), day_of(1880, 1, 1))
    assert [late.has_year(year) for year in (1877, 1878, 1879, 1880, 1881)] == [
        False,
        True,
        True,
        True,
        False,
    ]


def test_a_window_behaves_as_a_value() -> None:
    window = years(1878, 1880)
    same = pickle.loads(pickle.dumps(window))
    assert same == window
    assert hash(same) == hash(window)
    with pytest.raises(FrozenInstanceError):
        window.begin_earliest = 3  # type: ignore[misc]  # the refusal is what is tested


def test_text_that_is_no_window_is_refused() -> None:
    with pytest.raises(ValueError, match=r"day\.\.day/day\.\.day"):
        Window.parse("1890")


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        (Span(1, 2), Span(4, 5), Relation.BEFORE),
        (Span(1, 2), Span(3, 5), Relation.MEETS),
        (Span(1, 3), Span(3, 5), Relation.OVERLAPS),
        (Span(1, 3), Span(1, 5), Relation.STARTS),
        (Span(2, 3), Span(1, 5), Relation.DURING),
        (Span(4, 5), Span(1, 5), Relation.FINISHES),
        (Span(1, 5), Span(1, 5), Relation.EQUALS),
        (Span(4, 5), Span(1, 2), Relation.AFTER),
        (Span(3, 5), Span(1, 2), Relation.MET_BY),
        (Span(3, 5), Span(1, 3), Relation.OVERLAPPED_BY),
        (Span(1, 5), Span(1, 3), Relation.STARTED_BY),
        (Span(1, 5), Span(2, 3), Relation.CONTAINS),
        (Span(1, 5), Span(4, 5), Relation.FINISHED_BY),
    ],
)
def test_each_of_the_thirteen_relations_is_told_apart(a: Span, b: Span, expected: Relation) -> None:
    assert relation(a, b) is expected
