"""The mappings that ship, on invented rows of the columns that they read."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.network import Conventions
from kg.daybook.daybook import Daybook
from kg.intake.take_in import Plan, take_in_table
from kg.resources import resource

HEADINGS = "object_id,title,maker,maker_born,maker_died,role,date_text,museum_earliest,museum_latest,medium,department"
ROWS = """\
0a1,Lady in blue,Adela Brumelow,1839,1901,,c. 1878,1873,1883,bisque,Toys
0a2,Lady in red,Adela Brumelow,1839,1901,,1905,1905,1905,bisque,Toys
0a3,Lady in grey,Adela Brumelow,1839,1901,after,c. 1920,1915,1925,wax,Toys
0a4,Boy with a hoop,Adela Brumelow,1839,1901,follower of,c. 1920,1915,1925,wax,Toys
0a5,Girl with a cat,Adela Brumelow,1839,1901,attributed to,1830,1830,1830,wood,Toys
0a6,Votive doll,Unknown of the delta,-34,-20,,c. 299-200 BCE,-304,-195,clay,Toys
0a7,Pedlar,Ottmar Tarn,1851,,artist,no date,,,wood,Toys
0a8,Baby,Ottmar Tarn,1851,,,before 1800,1650,1800,wood,Toys
0a9,Clown,Ottmar Tarn,1851,,,1839-1838,1839,1838,wood,Toys
"""


def audited(tmp_path: Path, mapping: str) -> tuple[Plan, Daybook, set[str]]:
    """The plan, the daybook and the objects whose dating cannot fit."""
    table = tmp_path / "museum.csv"
    table.write_text(f"{HEADINGS}\n{ROWS}", encoding="utf-8")
    book = Daybook.begin(tmp_path / mapping)
    plan, entry = take_in_table(
        book, table, resource(f"sources/mappings/{mapping}.toml"), researcher="A. Tester"
    )
    assert entry is not None
    view = book.view()
    audit = Audit(Chronology(view, Conventions.without(["working-life"], view.vocabulary)))
    return plan, book, {dating.claim.subject for dating in audit.impossible}


def objects(*ids: str) -> set[str]:
    return {f"object-{key}" for key in ids}


def test_by_years_each_record_outside_its_makers_life_cannot_fit(tmp_path: Path) -> None:
    plan, book, impossible = audited(tmp_path, "museum-objects-years")
    assert impossible == objects("0a2", "0a3", "0a4", "0a5", "0a6", "0a8")
    assert [(fault.row, fault.found) for fault in plan.faults] == [(10, "1839–1838")]
    assert [c.value for c in book.view().by_subject["object-0a6"] if c.property == "madeOn"] == [
        "[-0303..-0194]"
    ]


def test_by_roles_a_piece_after_a_maker_may_be_later_and_not_older(tmp_path: Path) -> None:
    _, book, impossible = audited(tmp_path, "museum-objects-roles")
    assert impossible == objects("0a2", "0a6", "0a8")
    said = {c.property for key in ("0a3", "0a4", "0a5") for c in book.view().by_subject[f"object-{key}"]}
    assert "madeBy" not in said
    assert {"designedBy", "attributedTo"} <= said


@pytest.mark.parametrize("mapping", ["museum-objects-years", "museum-objects-texts"])
def test_the_role_is_quoted_with_the_maker(tmp_path: Path, mapping: str) -> None:
    _, book, _ = audited(tmp_path, mapping)
    quoted = {c.subject: c.citation.quotation for c in book.view().live if c.property == "madeBy"}
    assert quoted["object-0a3"] == "after Adela Brumelow"
    assert quoted["object-0a1"] == "Adela Brumelow"


def test_by_texts_the_words_are_kept_and_no_date_is_an_answer(tmp_path: Path) -> None:
    plan, book, impossible = audited(tmp_path, "museum-objects-texts")
    assert impossible == objects("0a2", "0a3", "0a4", "0a5", "0a6", "0a8")
    assert plan.undated == 1
    assert [fault.found for fault in plan.faults] == ["1839-1838"]
    assert {c.written for c in book.view().by_subject["object-0a1"] if c.property == "madeOn"} == {"c. 1878"}
