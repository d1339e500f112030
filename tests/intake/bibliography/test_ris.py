"""RIS files."""

from __future__ import annotations

import rispy

from kg.intake.bibliography.record import Fault, Outcome, Record
from kg.intake.bibliography.ris import read_ris

ARTICLE = """TY  - JOUR
ID  - tarn
AU  - Tarn, Ottmar
AU  - Ottery & Sons
TI  - On shoulder heads
  and their makers
T2  - The Lantern
VL  - 12
IS  - 3
SP  - 14
EP  - 19
PY  - 1932
DA  - 1932/05//
CY  - Bath
SN  - 0378-5955
N1  - seen
M1  - 77
XX  - what
ER  - 
"""


def read(text: str) -> tuple[list[Record], list[Fault]]:
    faults: list[Fault] = []
    return read_ris(text, faults), faults


def test_no_tag_is_lost() -> None:
    (record,), faults = read(ARTICLE)
    assert faults == []
    assert (record.key, record.type, record.line) == ("tarn", "article-journal", 1)
    assert {name: said.text for name, said in record.texts.items()} == {
        "title": "On shoulder heads and their makers",
        "container-title": "The Lantern",
        "volume": "12",
        "issue": "3",
        "page": "14–19",
        "publisher-place": "Bath",
        "ISSN": "0378-5955",
    }
    assert [name.whole for name in record.people["author"].names] == ["Ottmar Tarn", "Ottery & Sons"]
    assert record.dates["issued"].text == "1932-05"
    assert [(said.field, said.text) for said in record.notes] == [("N1", "seen"), ("M1", "77")]
    assert [(told.line, told.field) for told in record.report if told.outcome is Outcome.NOT_UNDERSTOOD] == [
        (18, "XX")
    ]


def test_a_record_without_an_end_is_told_and_the_next_is_read() -> None:
    found, faults = read("TY  - BOOK\nTI  - One\n\nTY  - BOOK\nTI  - Two\nER  - \nTY  - BOOK\nTI  - Three")
    assert [record.text("title") for record in found] == ["One", "Two", "Three"]
    assert [(fault.line, fault.expected) for fault in faults] == [
        (1, "ER  - at the end of the record"),
        (7, "ER  - at the end of the record"),
    ]


def test_a_line_outside_a_record_is_told() -> None:
    _, faults = read("A list\nTY  - BOOK\nTI  - One\nER  - \n\nTI  - Two\n")
    assert [(fault.line, fault.found) for fault in faults] == [(1, "A list"), (6, "TI  - Two")]


def test_the_place_of_an_editor_and_a_series_follow_the_type() -> None:
    (record,), _ = read(
        "TY  - BOOK\nA2  - Ottery, Simon\nT2  - Handbooks\nSN  - 0-306-40615-2\nSP  - 212\nER  -\n"
    )
    assert record.people["editor"].names[0].family == "Ottery"
    assert (record.text("collection-title"), record.text("ISBN"), record.text("number-of-pages")) == (
        "Handbooks", "0-306-40615-2", "212",
    )  # fmt: skip


def test_a_date_that_says_otherwise_than_the_year_is_kept_as_a_note() -> None:
    (record,), _ = read("TY  - BOOK\nPY  - 1931\nDA  - 1932/05/02/\nER  -\n")
    assert record.dates["issued"].text == "1931"
    assert [(said.field, said.text) for said in record.notes] == [("DA", "1932/05/02/")]


def test_a_well_formed_file_is_read_as_another_reader_reads_it() -> None:
    (theirs,) = rispy.loads(ARTICLE.replace("\n  and", " and"))
    (ours,), _ = read(ARTICLE)
    assert theirs["title"] == ours.text("title")
    assert theirs["secondary_title"] == ours.text("container-title")
    assert [theirs["volume"], theirs["number"], theirs["issn"]] == [
        ours.text(name) for name in ("volume", "issue", "ISSN")
    ]
    assert theirs["authors"] == ["Tarn, Ottmar", "Ottery & Sons"]
    assert theirs["id"] == ours.key
