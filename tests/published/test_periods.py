"""Named periods, against the years that named sources give for them.

Sources, as printed by each: "The Epochs", masterpiece-antiques.com; "Style periods and dates",
fantiques.com/periods/periods.html; "A quick guide to periods", my-antique-world.blogspot.com
(2011-11-20); "Historical period", blog.lavishshoestring.com (2017-08-11). The reigns of the Japanese
emperors and of the British monarchs are public record, restated from memory.
"""

import pytest

from kg.dates.periods import period_names, periods
from kg.dates.phrases import read_date
from kg.dates.window import day_of

FANTIQUES, ANTIQUE_WORLD = "fantiques.com", "my-antique-world.blogspot.com"
EPOCHS, LAVISH = "masterpiece-antiques.com", "blog.lavishshoestring.com"

GIVEN = [
    ("Georgian", 1714, 1830, FANTIQUES),
    ("Georgian", 1714, 1830, LAVISH),
    ("George III", 1760, 1820, FANTIQUES),
    ("Regency (strict)", 1811, 1820, LAVISH),
    ("Regency (style)", 1800, 1830, ANTIQUE_WORLD),
    ("George IV", 1820, 1830, FANTIQUES),
    ("William IV", 1830, 1837, FANTIQUES),
    ("Victorian", 1837, 1901, FANTIQUES),
    ("Victorian", 1837, 1901, ANTIQUE_WORLD),
    ("Edwardian", 1901, 1910, FANTIQUES),
    ("First Empire", 1804, 1815, ANTIQUE_WORLD),
    ("Federal", 1790, 1830, FANTIQUES),
    ("Neoclassicism", 1770, 1820, EPOCHS),
    ("Rococo", 1730, 1770, EPOCHS),
    ("Art Nouveau", 1890, 1910, ANTIQUE_WORLD),
    ("Art Deco", 1920, 1939, FANTIQUES),
]

REIGNS = [("Victorian", 1837, 1901), ("Edwardian", 1901, 1910), ("Meiji", 1868, 1912), ("Taisho", 1912, 1926)]


@pytest.mark.parametrize(("name", "begin", "end", "source"), GIVEN)
def test_a_published_period_has_the_years_of_its_source(name: str, begin: int, end: int, source: str) -> None:
    period = periods()[name]
    assert (period.begin, period.end) == (begin, end)
    assert source in period.source
    assert period.confidence.startswith("published")


@pytest.mark.parametrize(("name", "begin", "end"), REIGNS)
def test_a_reign_has_the_years_of_the_public_record(name: str, begin: int, end: int) -> None:
    assert (periods()[name].begin, periods()[name].end) == (begin, end)


def test_every_period_says_where_its_years_come_from() -> None:
    for period in periods().values():
        assert period.source, period.name
        assert period.confidence == "common practice" or period.confidence.startswith("published"), (
            period.name
        )
        if period.confidence == "common practice":
            assert period.source.startswith("common practice, no source"), period.name


def test_every_period_ends_after_it_begins() -> None:
    assert all(period.begin < period.end for period in periods().values())


def test_a_finer_period_lies_within_its_reign() -> None:
    for name in ("Early Victorian", "Mid-Victorian (High Victorian)", "Late Victorian"):
        assert periods()["Victorian"].begin <= periods()[name].begin
        assert periods()[name].end <= periods()["Victorian"].end


@pytest.mark.parametrize(("name", "period"), [(name, period) for name, period, _ in period_names()])
def test_a_period_is_read_by_each_of_its_names(name: str, period: str) -> None:
    reading = read_date(name)
    expected = periods()[period]
    assert reading.core is not None
    assert (reading.core.first, reading.core.last) == (day_of(expected.begin), day_of(expected.end, 12, 31))
    assert expected.source in reading.why
