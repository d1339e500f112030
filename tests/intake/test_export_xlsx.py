"""A workbook holds every claim as text, calculates nothing, and tells what it had to cut."""

from __future__ import annotations

import gc
import io
from typing import Any

import openpyxl
import pytest

from kg.daybook.record import Citation, Draft
from kg.intake import export_xlsx
from kg.intake.export import COLUMNS, export_daybook
from kg.intake.export_xlsx import ABOUT, CLAIMS, LONGEST_CELL
from kg.intake.forms import Form
from tests.conftest import Scene


def workbook(scene: Scene) -> Any:
    file = io.BytesIO()
    export_daybook(scene.daybook, Form.XLSX, file)
    return openpyxl.load_workbook(file)


def lines(sheet: Any) -> list[dict[str, str]]:
    headings, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(headings, (cell or "" for cell in row), strict=True)) for row in rows]


def about(book: Any) -> str:
    return "\n".join(row[0] for row in book[ABOUT].iter_rows(values_only=True))


def test_the_sheet_of_claims_reads_back_to_the_same_claims(scene: Scene) -> None:
    said = [scene.say("lady", "madeBy", "brumelow"), scene.say("brumelow", "bornOn", "1839")]
    book = workbook(scene)
    assert book.sheetnames[:2] == [ABOUT, CLAIMS]
    assert tuple(lines(book[CLAIMS])[0]) == COLUMNS
    assert [
        (row["id"], row["subject"], row["property"], row["value"], row["source"], row["locator"])
        for row in lines(book[CLAIMS])
    ] == [(c.id, c.subject, c.property, c.value, c.citation.source, c.citation.locator) for c in said]


class GoneAway(io.BytesIO):
    """A reader that closes its end at once."""

    def write(self, _: object) -> int:
        raise BrokenPipeError


def test_a_reader_that_goes_away_breaks_nothing_but_the_export(scene: Scene) -> None:
    scene.say("lady", "madeBy", "brumelow")
    with pytest.raises(BrokenPipeError):
        export_daybook(scene.daybook, Form.XLSX, GoneAway())
    gc.collect()


def test_each_kind_of_thing_with_claims_has_a_sheet(scene: Scene) -> None:
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeBy", "tarn")
    scene.say("brumelow", "bornOn", "1839")
    book = workbook(scene)
    assert book.sheetnames[2:] == ["maker, firm or person", "piece or part"]
    (lady,) = lines(book["piece or part"])
    assert lady == {"id": "lady", "name": "Lady with a blue snood", "kind": "piece",
                    "made by": "Adela Brumelow\nTarn & Ottery"}  # fmt: skip


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1+2", "@SUM(A1)", "=HYPERLINK(1)", "12", "TRUE", "#REF!"])
def test_every_cell_is_text_whatever_it_begins_with(scene: Scene, text: str) -> None:
    scene.say("lady", "noted", text)
    book = workbook(scene)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == text]
    assert {cell.data_type for cell in cells} == {"s"}
    assert len(cells) == 3  # as value and as written, and on the sheet of pieces


def test_control_characters_are_taken_out_and_told(scene: Scene) -> None:
    scene.say("lady", "noted", "bell\x07 and \x1b[31mred")
    book = workbook(scene)
    assert lines(book[CLAIMS])[0]["value"] == "bell and [31mred"
    assert "cells held control characters, which were taken out." in about(book)


def test_a_text_too_long_for_a_cell_is_cut_and_told(scene: Scene) -> None:
    draft = Draft("lady", "noted", "x" * (LONGEST_CELL + 1), Citation("book", "p. 1"))
    scene.add(drafts=[draft])
    book = workbook(scene)
    value = lines(book[CLAIMS])[0]["value"]
    assert (len(value), value[-1]) == (LONGEST_CELL, "…")
    assert "2 cells held more than 32,767 characters and were cut; TriG holds them whole." in about(book)


def test_a_text_that_just_fits_a_cell_is_whole(scene: Scene) -> None:
    text = "x" * LONGEST_CELL
    scene.add(drafts=[Draft("lady", "noted", text, Citation("book", "p. 1"))])
    book = workbook(scene)
    assert lines(book[CLAIMS])[0]["value"] == text
    assert "were cut" not in about(book)


def test_lines_beyond_what_a_sheet_holds_are_told(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export_xlsx, "MOST_ROWS", 8)
    for number in range(9):
        scene.say("lady", "noted", f"note {number}")
    book = workbook(scene)
    assert [row["value"] for row in lines(book[CLAIMS])] == [f"note {number}" for number in range(7)]
    assert "2 lines were left out: a sheet holds 8." in about(book)
