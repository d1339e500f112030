"""Catalogue phrases: what is read, what is refused, and what is said of it."""

import csv
from pathlib import Path

import pytest

from kg.dates.edtf import parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import LONGEST_PHRASE, read_date
from kg.dates.window import Window, year_of

#: Phrases in the style of British, American, French, German, Swiss and Austrian museums, made up for
#: this table, with the years that their readers would expect. The years were written down before a phrase
#: was first run; nine were left open then and settled afterwards (among them "kurz nach" and lists of years).
#: The second part begins at "third quarter, 19th century"; of it, seven were settled anew after the run
#: ("Regency", "Kaiserzeit", "Victorian, 19th century", "impressed date 1878", "after ca. 1890",
#: "1878-05", "circa 1880, later dress"). Dutch and Italian are there to be refused.
with (Path(__file__).parent / "phrases.csv").open(encoding="utf-8", newline="") as _file:
    ROWS = list(csv.DictReader(_file))


def _years(window: Window | None) -> tuple[str, str]:
    assert window is not None
    return tuple("" if day is None else str(year_of(day)) for day in (window.first, window.last))  # type: ignore[return-value]  # two ends


def _params(*statuses: str) -> list[object]:
    return [
        pytest.param(row, id=f"{row['language']}: {row['phrase']}")
        for row in ROWS
        if row["status"] in statuses
    ]


@pytest.mark.parametrize("row", _params("read"))
def test_a_phrase_gives_the_years_that_its_reader_expects(row: dict[str, str]) -> None:
    assert _years(read_date(row["phrase"]).core) == (row["first_year"], row["last_year"])


@pytest.mark.parametrize("row", _params("read"))
def test_the_edtf_of_a_phrase_gives_its_core_again(row: dict[str, str]) -> None:
    reading = read_date(row["phrase"])
    assert reading.edtf is not None
    assert parse_edtf(reading.edtf).window == reading.core


@pytest.mark.parametrize("row", _params("no-date"))
def test_no_date_is_an_answer(row: dict[str, str]) -> None:
    reading = read_date(row["phrase"])
    assert (reading.status, reading.edtf, reading.core, reading.window) == ("no-date", None, None, None)


@pytest.mark.parametrize("row", _params("refused"))
def test_what_says_too_little_is_refused(row: dict[str, str]) -> None:
    with pytest.raises(DateNotUnderstood):
        read_date(row["phrase"])


@pytest.mark.parametrize(
    ("phrase", "edtf"),
    [
        ("c. 1878", "1878~"),
        ("1878?", "1878?"),
        ("c. 1878?", "1878%"),
        ("c. 1910-15", "1910~/1915~"),
        ("1910 - c. 1915", "1910/1915~"),
        ("19th century", "18XX"),
        ("1870s", "187X"),
        ("late 19th century", "[1867..1899]"),
        ("1921 or 1924", "[1921,1924]"),
        ("1902 and 1905", "{1902,1905}"),
        ("before 1914", "[..1913]"),
        ("after 1871", "[1872..]"),
        ("after 12 May 1878", "[1878-05-13..]"),
        ("before June 1878", "[..1878-05]"),
        ("since 1890", "1890/.."),
        ("1989-", "1989/.."),
        ("between 1865 and 1870", "[1865..1870]"),
        ("1865-1870", "1865/1870"),
        ("530-330 BCE", "-0529/-0329"),
        ("206 BCE-220 CE", "-0205/0220"),
        ("1-299 CE", "0001/0299"),
        ("Autumn 1916", "1916-23"),
        ("second quarter of 1885", "1885-34"),
        ("June 19-20, 1964", "1964-06-19/1964-06-20"),
        ("Jugendstil", "[1895~..1910~]"),
        ("begun 1880", "1880/"),
        ("1932, printed later", "1932/"),
    ],
)
def test_a_phrase_is_written_in_edtf(phrase: str, edtf: str) -> None:
    assert read_date(phrase).edtf == edtf


@pytest.mark.parametrize(
    ("phrase", "qualifier"),
    [("1878", None), ("um 1878", "about"), ("1878 (?)", "perhaps"), ("vielleicht um 1878", "about, perhaps")],
)
def test_the_qualifier_is_told_in_words(phrase: str, qualifier: str | None) -> None:
    assert read_date(phrase).qualifier == qualifier


def test_the_core_is_kept_apart_from_the_width() -> None:
    reading = read_date("c. 1878")
    assert _years(reading.core) == ("1878", "1878")
    assert _years(reading.window) == ("1873", "1883")


def test_alternatives_are_kept() -> None:
    alternatives = read_date("1850s or 1870s").alternatives
    assert [_years(window) for window in alternatives] == [("1850", "1859"), ("1870", "1879")]
    assert read_date("late 19th century").alternatives == ()


@pytest.mark.parametrize(
    ("phrase", "stages", "main"),
    [
        ("designed 1902, made 1910", [("design", "1902"), ("making", "1910")], "1902/1910"),
        ("1910, designed 1902", [("making", "1910"), ("design", "1902")], "1902/1910"),
        ("1958 (designed) 1975 (manufactured)", [("design", "1958"), ("making", "1975")], "1958/1975"),
        ("1942, printed 1979", [("making", "1942"), ("later", "1979")], "1942"),
        ("1986 (manufactured 2000)", [("making", "1986"), ("making", "2000")], "2000"),
        ("1885, printed later", [("making", "1885"), ("later", None)], "1885/"),
        ("patented 1881, made ca. 1885", [("legal", "1881"), ("making", "1885~")], "1885~"),
        ("sold 1901", [("record", "1901")], "1901"),
        ("begun 1880, completed 1882", [("begun", "1880"), ("finishing", "1882")], "1880/1882"),
        ("Entwurf 1902, Ausführung um 1910", [("design", "1902"), ("making", "1910~")], "1902/1910~"),
        ("modèle de 1902, exécuté en 1910", [("design", "1902"), ("making", "1910")], "1902/1910"),
        ("Design Patent 155,354, 1949", [("legal", "1949")], "[1949..]"),
    ],
)
def test_stages_stay_separate_and_making_gives_the_main_date(
    phrase: str, stages: list[tuple[str, str | None]], main: str
) -> None:
    reading = read_date(phrase)
    assert [(stage.kind, stage.edtf) for stage in reading.stages] == stages
    assert reading.edtf == main


@pytest.mark.parametrize(
    ("phrase", "making"),
    [
        ("1878", "1878"),
        ("c. 1910-15", "1910~/1915~"),
        ("designed 1860, made 1874", "1874"),
        ("1910, designed 1902", "1910"),
        ("designed 1860, made by 1874", "[1860..1874]"),
        ("Entwurf 1902, Ausführung um 1910", "1910~"),
        ("designed c. 1902", "[1902~..]"),
        ("patented 1873", "[1873..]"),
        ("designed 1902, patented 1905", "[1905..]"),
        ("patented 1873 and 1875", "[1875..]"),
        ("patented 1873, sold 1901", "[1873..1901]"),
        ("designed 1860, sold 1901", "[1860..1901]"),
        ("patented 1881, made ca. 1885", "1885~"),
        ("sold 1901", "1901"),
        ("1942, printed 1979", "1979"),
        ("1904, assembled 1960", "1960"),
        ("modelled 1880, cast 1900", "1900"),
        ("modelled 1880, made 1890, cast 1900", "1890"),
        ("1932, printed later", "[1932..]"),
        ("1885, restored 1920", "1885"),
        ("designed 1878, begun 1880, completed 1882", "1880/1882"),
        ("begun 1880, completed 1882", "1880/1882"),
    ],
)
def test_the_making_of_the_thing_in_hand_is_told_from_design_and_patent(phrase: str, making: str) -> None:
    found = read_date(phrase).making
    assert found is not None
    assert found.edtf == making
    assert found.core == parse_edtf(making).window


def test_the_making_is_widened_as_the_main_date_is() -> None:
    made = read_date("designed 1860, made c. 1874").making
    assert made is not None
    assert _years(made.core) == ("1874", "1874")
    assert _years(made.window) == ("1869", "1879")
    plain = read_date("Meiji period (1868-1912), c. 1870")
    assert plain.making is not None
    assert plain.making.window == plain.window


@pytest.mark.parametrize("phrase", ["designed before 1900", "undated"])
def test_a_phrase_that_says_nothing_of_the_making_gives_none(phrase: str) -> None:
    assert read_date(phrase).making is None


def test_a_plain_date_has_no_stages() -> None:
    assert read_date("1878").stages == ()


@pytest.mark.parametrize(
    ("phrase", "language", "edtf"),
    [
        ("3/4/1932", None, "[1932-03-04,1932-04-03]"),
        ("3/4/1932", "fr", "1932-04-03"),
        ("3/4/1932", "de", "1932-04-03"),
        ("3/4/1932", "en", "[1932-03-04,1932-04-03]"),
        ("le 3/4/1932", None, "1932-04-03"),
        ("4/4/1932", None, "1932-04-04"),
        ("3.4.1932", None, "1932-04-03"),
        ("18/5/1918", None, "1918-05-18"),
        ("5/18/1918", "fr", "1918-05-18"),
        ("8/1959", None, "1959-08"),
        ("3/12/1877 - 18/12/1877", None, "1877-12-03/1877-12-18"),
        ("3/12/1877 or 1879", None, "[1877-03-12,1877-12-03,1879]"),
        ("before 3/12/1877", None, "[..1877-12-02]"),
        ("after 3/12/1877", None, "[1877-03-13..]"),
        ("since 3/12/1877", None, "[1877-03-12..]"),
        ("begun 3/12/1877", None, "[1877-03-12..]"),
        ("c. 3/12/1877", None, "[1877-03-12~,1877-12-03~]"),
    ],
)
def test_figures_are_read_in_the_order_of_the_language(phrase: str, language: None, edtf: str) -> None:
    assert read_date(phrase, language=language).edtf == edtf


def test_a_day_that_no_language_decides_is_one_of_two() -> None:
    reading = read_date("3/12/1877")
    assert [str(window)[:10] for window in reading.alternatives] == ["1877-03-12", "1877-12-03"]
    assert "one of two days" in reading.why
    assert "one of two days" not in read_date("3/18/1877").why


@pytest.mark.parametrize("phrase", ["3/12/1877 - 5/12/1877", "3/12/1877 and 1879", "3/12/1877-"])
def test_a_range_of_days_that_no_language_decides_is_refused(phrase: str) -> None:
    with pytest.raises(DateNotUnderstood, match="the month in letters"):
        read_date(phrase)
    if " - " in phrase:
        assert read_date(phrase, language="de").edtf == "1877-12-03/1877-12-05"


@pytest.mark.parametrize(
    ("phrase", "told"),
    [
        ("first half of the 19th century", "'first half' is 1800–1849 by the convention 'widens-with-age'"),
        ("fin du XIXe siècle", "'late' is 1867–1899 by the convention 'widens-with-age'"),
        ("Anfang 1870er Jahre", "'early' is 1870–1874 by the convention 'widens-with-age'"),
        ("19. Jh.", "a century is 1800–1899 here by the convention 'widens-with-age'"),
        ("early 1878", "'early' is months 1–4 of 1878"),
        ("mid May 1878", "'mid' is days 11–20"),
        ("late 1st century BC", "'late' is 33–1 BCE"),
        ("Meiji period", "Meiji is 1868-1912 (common practice, no source), by convention"),
        ("Jugendstil", "by convention, and an edge is itself about"),
        ("um Biedermeier", "'about' allows 5 years"),
        ("Biedermeier?", "'perhaps' allows 5 years"),
        ("early 19th century?", "'perhaps' allows 5 years"),
        ("soon after 1872", "'soon after' gives no end"),
        ("kurz nach 1872", "'kurz nach' gives no end"),
        ("peu après 1872", "'peu après' gives no end"),
        ("shortly before 1872", "'shortly before' gives no begin"),
    ],
)
def test_an_edge_that_is_a_choice_is_told_as_one(phrase: str, told: str) -> None:
    assert told in read_date(phrase).why


def test_a_width_that_is_printed_overrides_the_convention() -> None:
    for name in ("widens-with-age", "twelve-years"):
        reading = read_date("c. 1880 ± 3 years", name)
        assert _years(reading.window) == ("1877", "1883")
        assert "± 3 years are printed" in reading.why
    assert _years(read_date("c. 1880 ± 3", circa=9).window) == ("1877", "1883")


@pytest.mark.parametrize(
    ("phrase", "edtf"),
    [
        ("um die Jahrhundertwende", "1900~"),
        ("turn of the 20th century", "1900~"),
        ("Wende vom 18. zum 19. Jahrhundert", "1800~"),
        ("tournant du siècle", "1900~"),
    ],
)
def test_the_turn_of_the_century_is_about_its_first_year_by_convention(phrase: str, edtf: str) -> None:
    reading = read_date(phrase)
    assert reading.edtf == edtf
    assert "common practice, no source" in reading.why


@pytest.mark.parametrize(
    "phrase", ["turn of the 19th century", "turn of the 20th", "tournant du XIXe siècle"]
)
def test_a_turn_of_which_the_end_is_not_plain_is_refused(phrase: str) -> None:
    with pytest.raises(DateNotUnderstood, match="the two centuries"):
        read_date(phrase)


def test_a_qualifier_before_the_word_of_a_stage_is_that_of_its_date() -> None:
    assert read_date("probably made 1870-1880").edtf == "1870?/1880?"


def test_the_edge_told_is_that_of_the_convention() -> None:
    assert "'first half' is 1801–1850" in read_date("1st half 19th century", "century-from-01").why


def test_a_period_tells_its_source() -> None:
    assert (
        "Second Empire (Napoleon III) is 1852-1870 (common practice, no source)"
        in read_date("Second Empire").why
    )


def test_a_circa_date_within_a_period_does_not_leave_it() -> None:
    reading = read_date("Meiji period (1868-1912), c. 1870")
    assert _years(reading.window) == ("1868", "1875")


def test_a_period_that_is_not_listed_takes_the_years_printed_with_it() -> None:
    reading = read_date("Northern Wei Dynasty, 386-534")
    assert _years(reading.core) == ("386", "534")
    assert "is not in the list of periods" in reading.why


@pytest.mark.parametrize(
    ("phrase", "at", "wanted"),
    [
        ("foo 1878", 0, "a year, decade, century"),
        ("1878 foo", 5, "a year, decade, century"),
        ("1890-1880", 5, "an end that is not before the begin"),
        ("1908-05", 5, "a year after 1908"),
        ("1878 1880", 5, "a comma, dash or word between two dates"),
        ("1878 (1890)", 6, "a date that agrees with 1878"),
        ("19th", 0, "'century' after an ordinal number"),
        ("June", 0, "a year of four digits with the month"),
        ("late", 0, "what this is a part of"),
        ("5th quarter of the 19th century", 0, "a number from 1 to 4"),
        ("25th century", 0, "a century from the 1st to the 21st"),
        ("between 1880", 12, "'and' with a second date"),
        ("1878)", 4, "a '(' before this bracket"),
        ("(1878", 0, "a closing bracket"),
        ("designed", 0, "a date before or after 'designed'"),
        ("18780", 0, "a year of at most four digits"),
        ("before 1850-1860", 12, "a single date after 'before'"),
        ("c. 1650/after 1661", 8, "'or', 'and' or a dash instead of '/'"),
        ("patented 1873, 1875", 15, "a word that says what this date is of"),
        ("designed 1860, made 1850", 0, "a making that is not before the design"),
        ("187-", 0, "all four digits of the year"),
        ("", 0, "a date"),
        ("   ", 0, "a date"),
    ],
)
def test_a_refusal_says_where_and_what_was_wanted(phrase: str, at: int, wanted: str) -> None:
    with pytest.raises(DateNotUnderstood) as caught:
        read_date(phrase)
    assert wanted in caught.value.wanted
    assert caught.value.at == at


def test_a_page_of_text_is_refused_with_the_limit() -> None:
    with pytest.raises(DateNotUnderstood, match=f"at most {LONGEST_PHRASE} characters"):
        read_date("1878 " * 2000)
