"""Workbooks: what a sheet's cells become, which sheet is read, and where a claim says that it stands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from kg.intake import rows, workbook
from kg.intake.faults import BadMapping, BadTable
from kg.intake.tables import open_table
from tests.intake.conftest import HEADINGS, ROWS, Bench

Writer = Callable[..., Path]


@pytest.fixture
def book(tmp_path: Path) -> Writer:
    """Write sheets of rows as a workbook."""

    def write(*sheets: Sequence[Sequence[Any]], name: str = "stock.xlsx") -> Path:
        made = Workbook()
        made.remove(made.worksheets[0])
        for number, sheet in enumerate(sheets, start=1):
            page = made.create_sheet(f"Part {number}")
            for row in sheet:
                page.append(list(row))
        made.save(tmp_path / name)
        return tmp_path / name

    return write


def cells(path: Path, sheet: str | None = None) -> list[dict[str, str]]:
    return [row.cells for row in open_table(path, sheet=sheet).rows()]


CELLS = [
    pytest.param("Lady", "Lady", id="text"),
    pytest.param("  blanks ", "blanks", id="blanks round it"),
    pytest.param(320, "320", id="whole number"),
    pytest.param(320.0, "320", id="whole number kept as a fraction"),
    pytest.param(32.5, "32.5", id="fraction"),
    pytest.param(True, "true", id="true"),
    pytest.param(date(1901, 5, 2), "1901-05-02", id="day"),
    pytest.param(datetime(1901, 5, 2), "1901-05-02", id="day as the format keeps it"),
    pytest.param(datetime(1901, 5, 2, 14, 30), "1901-05-02 14:30:00", id="day and hour"),
    pytest.param(time(14, 30), "14:30:00", id="hour"),
    pytest.param("=A1+1", "=A1+1", id="formula"),
    pytest.param('=HYPERLINK("https://x.example","see")', '=HYPERLINK("https://x.example","see")', id="link"),
    pytest.param("a\nb", "a\nb", id="two lines"),
    pytest.param("\u202eydal", "\u202eydal", id="right to left"),
    pytest.param(None, "", id="empty"),
]


@pytest.mark.parametrize(("cell", "text"), CELLS)
def test_a_cell_becomes_the_text_that_it_shows(book: Writer, cell: Any, text: str) -> None:
    assert cells(book([("a", "b"), (cell, "x")])) == [{"a": text, "b": "x"}]


def test_the_first_sheet_is_read_where_none_is_named(book: Writer) -> None:
    path = book([("a",), (1,)], [("b",), (2,)])
    assert cells(path) == [{"a": "1"}]
    assert cells(path, "Part 2") == [{"b": "2"}]


def test_empty_rows_and_cells_beside_the_table_are_none_of_it(book: Writer) -> None:
    path = book([("a", "b", None), (), (1, None, " "), (None, 2)])
    assert [(row.number, row.cells) for row in open_table(path).rows()] == [
        (3, {"a": "1", "b": ""}),
        (4, {"a": "", "b": "2"}),
    ]


def test_a_workbook_whose_macros_are_kept_is_read_without_them(book: Writer) -> None:
    assert cells(book([("a",), (1,)], name="stock.xlsm")) == [{"a": "1"}]


REFUSED = [
    pytest.param([], "has no headings in its first row", id="empty sheet"),
    pytest.param([("a", "b")], "holds headings and no row", id="only headings"),
    pytest.param([("a", "a"), (1, 2)], "the heading 'a' stands over more than one column", id="twice"),
    pytest.param([("a", None, "b"), (1, 2, 3)], "column 2 has no heading", id="no heading"),
    pytest.param([("a", "b"), (1, 2, 3)], "row 2: 3 cells found; expected 2", id="ragged"),
    pytest.param([[f"c{n}" for n in range(201)], (1,)], "has 201 columns; at most 200", id="wide"),
    pytest.param([("a",), (*[None] * 300, 1)], "row 2: 301 cells found; expected 1", id="far cell"),
]


@pytest.mark.parametrize(("sheet", "told"), REFUSED)
def test_a_sheet_that_is_no_table_is_refused(book: Writer, sheet: list[Any], told: str) -> None:
    with pytest.raises(BadTable, match=told):
        cells(book(sheet))


def test_a_sheet_that_is_not_there_is_refused_with_those_that_are(book: Writer) -> None:
    with pytest.raises(BadTable, match=r"stock\.xlsx has no sheet 'Heads'; it has: Part 1, Part 2\."):
        open_table(book([("a",), (1,)], [("b",), (2,)]), sheet="Heads")


def test_a_text_has_no_sheets(tmp_path: Path) -> None:
    (tmp_path / "stock.csv").write_text("a\n1\n")
    with pytest.raises(BadTable, match=r"stock\.csv is a text and has no sheets; take sheet = 'Heads' out"):
        open_table(tmp_path / "stock.csv", sheet="Heads")


def test_more_rows_than_the_limit_are_refused(book: Writer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rows, "MOST_ROWS", 3)
    assert len(cells(book([("a",), (1,), (2,), (3,)]))) == 3
    with pytest.raises(BadTable, match="more than 3 rows"):
        cells(book([("a",), (1,), (2,), (3,), (4,)]))


def test_more_sheets_than_the_limit_are_refused(book: Writer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_SHEETS", 2)
    with pytest.raises(BadTable, match="has 3 sheets; at most 2 are read"):
        cells(book([("a",), (1,)], [("a",), (1,)], [("a",), (1,)]))


def stock(bench: Bench, book: Writer, *rows_given: str, sheets: int = 1) -> None:
    """The bench's table as a workbook beside empty notes on other sheets."""
    table = [line.split(",") for line in (HEADINGS, *rows_given)]
    bench.table = book(table, *[[("note",), ("see the first sheet",)]] * (sheets - 1))


def test_a_workbook_says_what_the_same_table_in_text_says(bench: Bench, book: Writer) -> None:
    bench.take_in()
    stock(bench, book, *ROWS)
    plan, entry = bench.take_in()
    assert (entry, plan.kept) == (None, 11)


@pytest.mark.parametrize(("sheets", "place"), [(1, "row 2"), (2, "sheet Part 1, row 2")])
def test_the_place_names_the_sheet_where_there_are_several(
    bench: Bench, book: Writer, sheets: int, place: str
) -> None:
    stock(bench, book, *ROWS, sheets=sheets)
    bench.take_in()
    (dated,) = bench.live("piece-01", "madeOn")
    assert dated.citation.locator == place


def test_a_place_of_the_mappings_own_is_kept_as_it_is(bench: Bench, book: Writer) -> None:
    bench.remap(('convention = "five-years"', 'convention = "five-years"\nlocator = "lot {id}"'))
    stock(bench, book, *ROWS, sheets=2)
    bench.take_in()
    (dated,) = bench.live("piece-01", "madeOn")
    assert dated.citation.locator == "lot 01"


def test_the_mapping_names_the_sheet(bench: Bench, book: Writer) -> None:
    stock(bench, book, *ROWS, sheets=2)
    bench.remap(('name = "stocklist"', 'name = "stocklist"\nsheet = "Part 2"'))
    with pytest.raises(BadMapping, match=r"names 7 columns that stock\.xlsx, sheet Part 2 has not"):
        bench.plan()


def test_a_formula_is_recorded_as_its_text(bench: Bench, book: Writer) -> None:
    stock(bench, book, ROWS[0].replace(",W", ",=1+1"))
    bench.take_in()
    assert bench.values("piece-01", "condition") == ["=1+1"]
