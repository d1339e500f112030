"""BibTeX and BibLaTeX files."""

from __future__ import annotations

from typing import Any

import pytest

from kg.intake.bibliography.bibtex import read_bibtex
from kg.intake.bibliography.record import Fault, Outcome, Record
from tests.intake.bibliography.conftest import SHELF


def records(text: str) -> tuple[dict[str, Record], list[Fault]]:
    faults: list[Fault] = []
    return {record.key: record for record in read_bibtex(text, faults)}, faults


def whole(text: str) -> Any:
    found, faults = records(text)
    assert faults == []
    return found


def test_names_are_parted_before_latex_is_decoded() -> None:
    authors = whole(SHELF)["tarn1892"].people["author"]
    assert [name.whole for name in authors.names] == ["Ottmar van Tarn", "Brumelow & Ottery"]
    assert [(name.family, name.literal) for name in authors.names] == [
        ("Tarn", ""),
        ("", "Brumelow & Ottery"),
    ]
    assert authors.is_cut


@pytest.mark.parametrize(
    ("typed", "family", "given", "particle", "suffix", "literal"),
    [
        ("Tarn, Ottmar", "Tarn", "Ottmar", "", "", ""),
        ("Ottmar Tarn", "Tarn", "Ottmar", "", "", ""),
        ("Ottmar van der Tarn", "Tarn", "Ottmar", "van der", "", ""),
        ("von Tarn, Jr., Ottmar", "Tarn", "Ottmar", "von", "Jr.", ""),
        (r"B{\"o}ttner, I.", "Böttner", "I.", "", "", ""),
        ("{Tarn and Sons}", "", "", "", "", "Tarn and Sons"),
        ("{Tarn} {Ottery}", "Ottery", "Tarn", "", "", ""),
        ("Lauterwasser", "", "", "", "", "Lauterwasser"),
    ],
)
def test_a_name_is_parted(
    typed: str, family: str, given: str, particle: str, suffix: str, literal: str
) -> None:
    name = whole("@book{k, author = {" + typed + "}}")["k"].people["author"].names[0]
    assert (name.family, name.given, name.particle, name.suffix, name.literal) == (
        family, given, particle, suffix, literal,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("fields", "printed"),
    [
        ("year = {c. 1892}", "c. 1892"),
        ("year = {1903--1905}", "1903–1905"),
        ("date = {1878/1884}", "1878/1884"),
        ("date = {1892~}", "1892~"),
        ("date = {1988/..}", "1988/.."),
        ("year = 1983, month = jun", "June 1983"),
        ("year = 1983, month = 6, day = 12", "12 June 1983"),
        ("year = 1983, month = {Jun.}", "June 1983"),
        ("year = 1983, month = {Frühjahr}", "Frühjahr 1983"),
        ("date = {1983-06}, year = 1983", "1983-06"),
    ],
)
def test_a_date_is_kept_as_it_is_printed(fields: str, printed: str) -> None:
    assert whole("@book{k, " + fields + "}")["k"].dates["issued"].text == printed


def test_a_part_inherits_from_the_collection_and_the_title_becomes_that_of_the_book() -> None:
    plum = whole(SHELF)["plum"]
    assert (plum.type, plum.text("title"), plum.text("container-title")) == (
        "chapter", "On shoulder heads", "Essays on Heads",
    )  # fmt: skip
    assert plum.people["editor"].names[0].family == "Ottery"
    assert plum.dates["issued"].text == "1903/1905"
    assert plum.texts["container-title"].field == "booktitle (of coll)"
    assert plum.texts["container-title"].line == 15


def test_macros_are_put_together_and_an_unknown_one_is_told() -> None:
    record = whole('@string{a = "Bath"}\n@book{k, address = a # ", " # {England}, publisher = press}')["k"]
    assert record.text("publisher-place") == "Bath, England"
    assert record.text("publisher") == "press"
    assert [
        (told.line, told.field, told.why) for told in record.report if told.outcome is Outcome.QUESTIONED
    ] == [(2, "publisher", "the macro 'press' is not defined; kept as it is")]


def test_each_field_is_mapped_noted_or_not_understood_with_its_line() -> None:
    report = {told.field: (told.line, told.outcome) for told in whole(SHELF)["tarn1892"].report}
    assert report == {
        "title": (5, Outcome.MAPPED),
        "address": (8, Outcome.MAPPED),
        "publisher": (9, Outcome.MAPPED),
        "keywords": (10, Outcome.NOTED),
        "owner": (11, Outcome.NOT_UNDERSTOOD),
    }


def test_the_holder_of_a_patent_is_kept() -> None:
    record = whole("@patent{p, holder = {Ottery}, number = {144,133}, title = {A head}}")["p"]
    assert (record.type, record.text("number"), [said.text for said in record.notes]) == (
        "patent",
        "144,133",
        ["Ottery"],
    )


@pytest.mark.parametrize(
    ("text", "line", "found", "expected"),
    [
        pytest.param("\n@book{a, title={un\n@book{b, title={x}}", 2, "@book{a, title={un", "a whole record", id="open"),
        pytest.param("@book{a, title {x}}\n@book{b, title={x}}", 1, "@book{a, title", "a whole record", id="no equals"),
        pytest.param("@book{b, title={x}}\n@book{b, title={y}}", 2, "b", "line 1 has it already", id="key twice"),
    ],
)  # fmt: skip
def test_a_block_that_cannot_be_read_is_told_with_its_line(
    text: str, line: int, found: str, expected: str
) -> None:
    read, faults = records(text)
    assert list(read) == ["b"]
    assert faults[0].line == line
    assert faults[0].found.startswith(found)
    assert expected in faults[0].expected


def test_a_record_in_parentheses_is_read_and_remarks_between_records_are_passed_over() -> None:
    found = whole(
        "Our shelf\n@book(a, title={x (y)}, year=1932)\n@comment{@book{no, title={z}}}\n@book {b, title={w}}"
    )
    assert {key: record.text("title") for key, record in found.items()} == {"a": "x (y)", "b": "w"}


def test_the_library_prints_nothing_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    records("@book{a, title = {open")
    assert capsys.readouterr() == ("", "")
