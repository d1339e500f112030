"""RIS records that are printed where the format is described."""

from __future__ import annotations

from kg.intake.bibliography.record import Fault
from kg.intake.bibliography.ris import read_ris

#: The example record of the article "RIS (file format)" of Wikipedia: a paper of 1948, no matter of this trade.
SHANNON = """TY  - JOUR
AU  - Shannon, Claude E.
PY  - 1948
DA  - July
TI  - A Mathematical Theory of Communication
T2  - Bell System Technical Journal
SP  - 379
EP  - 423
VL  - 27
ER  - 
"""
#: Its other form of the date, in earlier versions of the article, and the second record of its example of two.
OLDER = SHANNON.replace("PY  - 1948\nDA  - July\n", "PY  - 1948/07//\n")


def test_the_example_record_says_what_its_reference_says() -> None:
    # "Claude E. Shannon. A mathematical theory of communication. Bell System Technical Journal, 27:379–423, July 1948"
    faults: list[Fault] = []
    record, older = read_ris(SHANNON + OLDER, faults)
    assert faults == []
    for found in (record, older):
        assert found.type == "article-journal"
        assert {name: said.text for name, said in found.texts.items()} == {
            "title": "A Mathematical Theory of Communication",
            "container-title": "Bell System Technical Journal",
            "volume": "27",
            "page": "379–423",
        }
        assert [(name.given, name.family) for name in found.people["author"].names] == [
            ("Claude E.", "Shannon")
        ]
    assert (record.dates["issued"].text, older.dates["issued"].text) == ("July 1948", "1948-07")
    assert record.notes == older.notes == ()


def test_a_tag_has_two_characters_two_blanks_a_dash_and_a_blank_and_lines_end_in_either_way() -> None:
    # RIS Format Specifications, "Tag Format"; the blank after the dash may be missing where nothing follows.
    faults: list[Fault] = []
    (record,) = read_ris("TY  - BOOK\nTI  - Heads - and - wax\nVL  -\nER  -", faults)
    assert (record.text("title"), record.text("volume"), faults) == ("Heads - and - wax", "", [])
