"""EDTF as a notation: qualifiers, open and unknown ends, sets, and what is refused."""

import pytest

from kg.dates.edtf import LONGEST_EDTF, as_edtf, parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.dates.window import Window, day_of, iso
from kg.errors import KilnmarkError


@pytest.mark.parametrize(
    ("text", "whole", "begin", "end"),
    [
        ("1984", None, None, None),
        ("1984?", "uncertain", "uncertain", "uncertain"),
        ("2004-06~", "approximate", "approximate", "approximate"),
        ("2004-06-11%", "both", "both", "both"),
        ("1984~/2004", "approximate", "approximate", None),
        ("1984?/2004~", "both", "uncertain", "approximate"),
        ("1984/2004%", "both", None, "both"),
        ("../1985~", "approximate", None, "approximate"),
        ("[1867~..1899]", "approximate", "approximate", None),
        ("[..1880~]", "approximate", "approximate", "approximate"),
    ],
)
def test_a_qualifier_stays_with_its_end(text: str, whole: str, begin: str, end: str) -> None:
    date = parse_edtf(text)
    assert (date.qualifier, date.begin_qualifier, date.end_qualifier) == (whole, begin, end)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2004-06-11%", (("year", "both"), ("month", "both"), ("day", "both"))),
        ("2004-06~-11", (("year", "approximate"), ("month", "approximate"))),
        ("2004?-06-11", (("year", "uncertain"),)),
        ("?2004-06-~11", (("year", "uncertain"), ("day", "approximate"))),
        ("2004-%06-11", (("month", "both"),)),
        ("2004?-06-11~", (("year", "both"), ("month", "approximate"), ("day", "approximate"))),
    ],
)
def test_a_qualifier_stays_with_its_part(text: str, parts: tuple[tuple[str, str], ...]) -> None:
    assert parse_edtf(text).qualified_parts == parts


def test_open_and_unknown_ends_are_kept_apart() -> None:
    assert parse_edtf("1985/..").window.end_open
    assert not parse_edtf("1985/").window.end_open
    assert parse_edtf("../1985").window.begin_open
    assert not parse_edtf("/1985").window.begin_open


def test_an_unknown_end_gets_no_invented_years() -> None:
    assert parse_edtf("1890/").window == Window(day_of(1890), day_of(1890, 12, 31), None, None)


def test_a_date_of_which_only_the_month_is_known_has_no_bounds() -> None:
    assert parse_edtf("XXXX-12-XX").window == Window()


def test_the_alternatives_of_a_set_are_kept() -> None:
    date = parse_edtf("[1667,1668,1670..1672]")
    assert date.kind == "one-of"
    assert [iso(w.first or 0)[:4] for w in date.alternatives] == ["1667", "1668", "1670"]
    assert parse_edtf("{1667,1668}").alternatives == ()


def test_all_of_a_set_begins_in_the_first_and_ends_in_the_last() -> None:
    window = parse_edtf("{1960,1961-12}").window
    assert window.begin_latest == day_of(1960, 12, 31)
    assert window.end_earliest == day_of(1961, 12, 1)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2001-21", "2001-03-01", "2001-05-31"),
        ("2001-23", "2001-09-01", "2001-11-30"),
        ("2001-24", "2001-01-01", "2002-02-28"),
        ("2001-33", "2001-01-01", "2001-03-31"),
        ("2001-39", "2001-09-01", "2001-12-31"),
        ("2001-41", "2001-07-01", "2001-12-31"),
    ],
)
def test_groups_of_months_have_the_stated_bounds(text: str, first: str, last: str) -> None:
    span = parse_edtf(text).window.span
    assert span is not None
    assert (iso(span.first), iso(span.last)) == (first, last)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("1XXX-02-29", "1004-02-29", "1996-02-29"),
        ("1984-XX-31", "1984-01-31", "1984-12-31"),
        ("-19XX", "-1999-01-01", "-1900-12-31"),
        ("-1950S2", "-1999-01-01", "-1900-12-31"),
        ("1984-X1", "1984-01-01", "1984-11-30"),
    ],
)
def test_unstated_digits_take_every_value_that_gives_a_day(text: str, first: str, last: str) -> None:
    span = parse_edtf(text).window.span
    assert span is not None
    assert (iso(span.first), iso(span.last)) == (first, last)


@pytest.mark.parametrize(
    ("text", "at", "wanted"),
    [
        ("19o5", 2, "a date such as"),
        ("1985/1980", 5, "an end that is not before the begin '1985'"),
        ("1984-13", 5, "a month from 01 to 12"),
        ("1984-00", 5, "a month from 01 to 12"),
        ("1984-02-30", 8, "a day that 1984-02 has"),
        ("1984-04-32", 8, "a day from 01 to 31"),
        ("12345", 4, "begins with 'Y'"),
        ("850", 3, "four digits"),
        ("Y1985", 0, "without 'Y'"),
        ("Y1E13", 3, "an exponent"),
        ("1950S5", 5, "from 1 to 4 significant digits"),
        ("[1667,16x8]", 8, "a date such as"),
        ("[1667", 5, "']' to close the set"),
        ("[1672..1670]", 7, "a date that is not before '1672'"),
        ("[..]", 1, "a date before or after '..'"),
        ("1984/2004/2005", 9, "one '/' only"),
        ("/", 0, "a date on at least one side"),
        ("../..", 0, "a date on at least one side"),
        ("1985-04-12T24:00:00", 11, "an hour from 00 to 23"),
        ("1985-04-12T23:20:30+24:00", 19, "a shift from UTC"),
        ("1985-04T23:20:30", 0, "a full day"),
        ("2001-21-05", 7, "no day after a season"),
        ("", 0, "an EDTF date"),
        ("c. 1878", 0, "a date such as"),
    ],
)
def test_what_is_not_edtf_is_refused_at_its_place(text: str, at: int, wanted: str) -> None:
    with pytest.raises(DateNotUnderstood) as caught:
        parse_edtf(text)
    assert caught.value.at == at
    assert wanted in caught.value.wanted


def test_a_refusal_points_at_the_character() -> None:
    with pytest.raises(DateNotUnderstood) as caught:
        parse_edtf("1984-13")
    assert str(caught.value) == (
        "Date not understood: expected a month from 01 to 12 or a group of months from 21 to 41.\n"
        "    1984-13\n"
        "         ^"
    )
    assert isinstance(caught.value, KilnmarkError)
    assert isinstance(caught.value, ValueError)


def test_a_long_text_is_refused_with_the_limit() -> None:
    with pytest.raises(DateNotUnderstood, match=f"at most {LONGEST_EDTF} characters"):
        parse_edtf("1" * 10_000)


@pytest.mark.parametrize(
    "text",
    ["1878", "187X", "18XX", "1878-05", "1878-05-12", "1890/1920", "[1867..1899]", "[..1835]", "[1890..]"],
)
def test_a_window_is_written_as_the_edtf_that_gave_it(text: str) -> None:
    assert as_edtf(parse_edtf(text).window) == text


def test_a_window_without_edtf_is_refused() -> None:
    with pytest.raises(ValueError, match="EDTF has no form"):
        as_edtf(Window())


def test_spaces_within_a_set_are_not_canonical() -> None:
    assert str(parse_edtf(" {1667, 1668} ")) == "{1667,1668}"
