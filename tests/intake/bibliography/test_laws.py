"""What holds for every bibliography."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.daybook.view import WorkingView
from kg.intake.bibliography.bibtex import read_bibtex
from kg.intake.bibliography.claims import item_of
from kg.intake.bibliography.csl_json import read_csl_json
from kg.intake.bibliography.dating import Dates
from kg.intake.bibliography.duplicates import alike, card
from kg.intake.bibliography.record import BadBibliography, Fault
from kg.intake.bibliography.ris import read_ris
from kg.intake.bibliography.texts import slugged, title_words
from kg.vocabulary import load_vocabulary
from tests.intake.bibliography.conftest import Reading

words = st.sampled_from(
    ["Heads", "Köpfe", "wax", "L'art", "of", "the", "1892", "c.", "&", "Tarn", "van", "人形"]
)
phrases = st.lists(words, min_size=1, max_size=5).map(" ".join)
dates = st.sampled_from(["1892", "c. 1892", "1903/1905", "June 1880", "n.d.", "about then", "1892~"])
BITS = (
    "@book", "{", "}", '"', "#", ",", "=", "\\", "title", "author", " and ", "key", "\n", "TY  - BOOK\n", "ER  - \n",
    "AU  - A, B\n", "PY  - 1", "[", "]", ":", '"id"', '"issued"', "date-parts", "1892", "crossref", "@string",
)  # fmt: skip
bits = st.sampled_from(BITS)


@settings(max_examples=300)
@given(st.lists(bits, max_size=40).map("".join))
def test_a_reader_reads_or_tells_and_never_breaks(text: str) -> None:
    for reader in (read_bibtex, read_ris, read_csl_json):
        faults: list[Fault] = []
        try:
            records = reader(text, faults)
        except BadBibliography:
            continue
        lines = text.count("\n") + 1
        assert all(1 <= record.line <= lines for record in records)
        assert all(1 <= fault.line <= lines for fault in faults)


@st.composite
def entries(draw: st.DrawFn) -> str:
    """A record in BibTeX with some fields."""
    fields = {"title": draw(phrases)}
    for name, value in (("author", phrases), ("year", dates), ("publisher", phrases), ("note", phrases)):
        if draw(st.booleans()):
            fields[name] = draw(value)
    inside = "".join(f",\n  {name} = {{{text.replace('&', chr(92) + '&')}}}" for name, text in fields.items())
    return f"@{draw(st.sampled_from(['book', 'article', 'misc']))}{{KEY{inside}}}"


shelves = st.lists(entries(), min_size=1, max_size=5).map(
    lambda found: "\n\n".join(entry.replace("KEY", f"k{number}") for number, entry in enumerate(found))
)


@settings(max_examples=25, deadline=None)
@given(shelves)
def test_the_same_file_again_adds_nothing(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        reading = Reading(Path(folder))
        reading.write(text)
        plan, _ = reading.take_in()
        again = reading.plan()
        assert again.is_empty
        assert [taken.source for taken in again.taken] == [taken.source for taken in plan.taken]


@given(shelves)
def test_what_is_written_as_csl_json_is_read_back_as_it_was(text: str) -> None:
    vocabulary_dates = Dates(WorkingView.of(load_vocabulary(), ()))
    items = [item_of(record, vocabulary_dates) for record in read_bibtex(text, [])]
    faults: list[Fault] = []
    back = read_csl_json(json.dumps(items, ensure_ascii=False), faults)
    assert faults == []
    for item, record in zip(items, back, strict=True):
        again = item_of(record, vocabulary_dates)
        assert {key: value for key, value in again.items() if key != "note"} == {
            key: value for key, value in item.items() if key != "note"
        }


@given(shelves)
def test_a_record_is_surely_itself_and_likeness_goes_both_ways(text: str) -> None:
    vocabulary_dates = Dates(WorkingView.of(load_vocabulary(), ()))
    cards = []
    for record in read_bibtex(text, []):
        date = record.dates["issued"].text if "issued" in record.dates else ""
        cards.append(card(record.key, item_of(record, vocabulary_dates), vocabulary_dates.edtf(date) or date))
    for a in cards:
        itself = alike(a, a)
        assert (itself is None) == (not a.title)
        assert itself is None or set(itself.against) <= {"neither names a year"}
        for b in cards:
            there, back = alike(a, b), alike(b, a)
            assert (there is None) == (back is None)
            assert there is None or back is None or there.is_sure == back.is_sure


@given(st.text(max_size=200))
def test_a_name_for_a_source_is_always_usable(text: str) -> None:
    assert all(mark in "abcdefghijklmnopqrstuvwxyz0123456789-" for mark in slugged(text) + title_words(text))
    assert title_words(text)


@pytest.mark.parametrize("reader", [read_bibtex, read_ris])
def test_an_empty_text_holds_nothing(reader: object) -> None:
    assert reader("", []) == []  # type: ignore[operator]  # one of the two readers
