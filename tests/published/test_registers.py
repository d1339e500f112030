"""Numbers that were dated outside the tables fall in the years that the tables give.

Each example names where its date is printed. Where only the day or the month was remembered, the example is
cut back to what is printed. The table rows behind some examples are themselves from memory: there the printed
date is what supports the row.
"""

import csv
from itertools import pairwise

import pytest

from kg.dates.edtf import parse_edtf
from kg.dates.window import Window, day_of, shifted
from kg.marks.reading import read_mark
from kg.marks.registers import FOLDER, register, registers
from kg.resources import resource

#: Register, number, date as printed, where it is printed.
DATED = (
    ("US", 6281, "1849-04-10", "zippyfacts.com, safety pin"),
    ("US", 15553, "1856-08-19", "patents.harnessip.com"),
    ("US", 526289, "1894", "answers.google.com 116776"),
    ("US", 626289, "1899", "answers.google.com 116776"),
    ("US", 821393, "1906", "rfcafe.com"),
    ("US", 932911, "1909-08-31", "patents.harnessip.com"),
    ("US", 1248454, "1917-12-04", "title page, shown in the Patentcity documentation"),
    ("US", 1370316, "1921-03-01", "dpeterhochberg.com/patents-notable"),
    ("US", 1507279, "1924", "patents.harnessip.com"),
    ("US", 1612578, "1926-12-28", "title page, shown in the Patentcity documentation"),
    ("US", 1668969, "1928-05-08", "patents.harnessip.com"),
    ("US", 2053635, "1936-09-08", "patents.harnessip.com"),
    ("US", 2524035, "1950", "rfcafe.com"),
    ("US", 2717437, "1955-09-13", "dpeterhochberg.com/patents-notable"),
    ("US", 2773538, "1956-12-11", "cited on the title page of US 2954064"),
    ("US", 2934212, "1960-04-26", "Google Patents copy of US 2934212"),
    ("US", 2954064, "1960-09-27", "title page, shown in the Patentcity documentation"),
    ("US-D", 13020, "1882-07-04", "Google Patents copy of D13020"),
    ("US-D", 26289, "1896-11-17", "answers.google.com 116776"),
    ("US-D", 101090, "1936-09-01", "patents.harnessip.com"),
    ("GB-RD", 675, "1884-01-23", "murrayam.supanet.com/marks.html"),
    ("GB-RD", 23040, "1885-03-05", "sites.google.com/site/molwebbhistory, 1885"),
    ("GB-RD", 23378, "1885-03-11", "sites.google.com/site/molwebbhistory, 1885"),
    ("GB-RD", 458344, "1905-06-08", "glassmessages.com topic 518"),
    ("GB-RD", 821265, "1937", "guide to design numbers, scraped text"),
    ("DRP", 67207, "1893-02-23", "a list of ceramic marks on the web, its vocabulary under DRP"),
    ("DRP", 283698, "1915-04-22", "title page, shown in the Patentcity documentation"),
)

#: German utility models: number, date, what the date is, place in Dingler's Polytechnisches Journal.
UTILITY_MODELS = (
    (12082, "1893-02-25", "dated", "303 (1897), p. 186"),
    (17048, "1893-08-24", "dated", "303 (1897), p. 186"),
    (17567, "1892-10-03", "protected", "295 (1895), p. 15"),
    (19793, "1893-11-14", "dated", "303 (1897), p. 186"),
    (23765, "1894-02-27", "dated", "303 (1897), p. 187"),
    (87548, "1898-06", "cited", "308 (April-June 1898), p. 178"),
    (104040, "1899-03", "cited", "311 (January-March 1899), p. 203"),
    (115443, "1899-09", "cited", "313 (July-September 1899), p. 140"),
    (455610, "1911-02-07", "dated", "331 (1916), p. 121"),
    (490855, "1914", "cited", "334 (1919), p. 214"),
    (1000000, "1927-08", "dated", "343 (1928), p. 129"),
    (1147592, "1930-07-01", "applied for", "345 (1930), p. 234"),
    (1147848, "1930-11-11", "applied for", "345 (1930), p. 234"),
    (1148021, "1930-11-12", "applied for", "345 (1930), p. 234"),
    (1148217, "1930-11-13", "applied for", "345 (1930), p. 234"),
    (1148523, "1930-09-08", "applied for", "345 (1930), p. 234"),
)

WORDS = {"US": "U.S. Pat. No.", "US-D": "Des. Pat.", "GB-RD": "Rd. No.", "DRP": "D.R.P.", "DRGM": "D.R.G.M."}


@pytest.mark.parametrize(("series", "number", "date", "source"), DATED)
def test_a_dated_number_falls_in_the_year_of_its_row(
    series: str, number: int, date: str, source: str
) -> None:
    printed = parse_edtf(date).window
    row = register(series).look_up(number)
    assert len(row.rows) == 1
    assert row.window.contains(printed), f"{source} prints {date}"


@pytest.mark.parametrize(("series", "number", "date", "source"), DATED)
def test_reading_a_printed_number_gives_the_year_that_holds_its_date(
    series: str, number: int, date: str, source: str
) -> None:
    read = read_mark(f"A. B. / {WORDS[series]} {number}")
    (found,) = [r for r in read.readings if r.series == series and r.number == str(number)]
    printed = parse_edtf(date).window
    assert found.registered is not None
    assert found.registered.contains(printed), f"{source} prints {date}"
    assert read.window.hard.overlap(printed) is not None


@pytest.mark.parametrize(("number", "date", "means", "place"), UTILITY_MODELS)
def test_a_dated_utility_model_agrees_with_its_row(number: int, date: str, means: str, place: str) -> None:
    registered = register("DRGM").look_up(number).window
    printed = parse_edtf(date).window
    assert registered.first is not None
    if means == "cited":
        # A model is cited after it was registered.
        assert printed.last is not None
        assert registered.first <= printed.last, place
        return
    # Protection and application can lie up to two years before the registration, a date in general in its year.
    before = 2 if means in ("protected", "applied for") else 0
    allowed = Window.within(shifted(registered.first, -before), registered.last)
    assert allowed.contains(printed), place


def test_the_count_of_patent_numbers_of_a_year_is_that_of_the_grants() -> None:
    """Marco, Carley, Jackson and Myers, USPTO Historical Patent Data Files (2017): patents granted in each year.

    From 1970 the count is known to be incomplete. Before that a few numbers of each year were never used, so the
    table may run ahead of the count, by at most 140; and behind it by at most 6, by patents counted a year apart.
    """
    with resource(f"{FOLDER}/us_patents_granted.csv").open(encoding="utf-8", newline="") as table:
        granted = {int(row["year"]): int(row["granted"]) for row in csv.DictReader(table)}
    compared = 0
    for row in register("US").rows:
        year = int(row.label)
        if year in granted and row.last is not None and 1837 <= year < 1970:
            compared += 1
            assert -6 <= row.last - row.first + 1 - granted[year] <= 140, year
    assert compared == 133


@pytest.mark.parametrize("name", ["US", "US-D", "GB-RD", "DRP", "DRGM"])
def test_no_number_of_a_yearly_table_is_left_out_or_given_twice(name: str) -> None:
    rows = registers()[name].rows
    for one, following in pairwise(rows):
        assert one.last == following.first - 1
        assert one.latest == following.earliest - 1
    assert all(row.earliest == day_of(int(row.label)) for row in rows)


def test_every_row_names_a_source_and_those_from_memory_say_so() -> None:
    for known in registers().values():
        for row in known.rows:
            assert row.source
            assert row.confidence
            assert ("memory" in row.source) <= row.is_from_memory, (known.id, row.label)
