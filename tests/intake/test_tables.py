"""Table files: the encodings and forms that are read, and how hostile ones are refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kg.intake import rows
from kg.intake.faults import BadTable
from kg.intake.tables import open_table


@pytest.fixture
def table(tmp_path: Path) -> Callable[..., Path]:
    """Write bytes as a table file."""

    def write(content: bytes, name: str = "stock.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(content)
        return path

    return write


def cells(path: Path, **how: str) -> list[dict[str, str]]:
    return [row.cells for row in open_table(path, **how).rows()]


READ = [
    pytest.param(b"a,b\n1,2\n", {}, id="plain"),
    pytest.param(b"\xef\xbb\xbfa,b\n1,2\n", {}, id="byte order mark"),
    pytest.param(b"a,b\r\n1,2\r\n", {}, id="CRLF"),
    pytest.param(b"a,b\n1,2", {}, id="no last line end"),
    pytest.param(b' a , b \n" 1 ", 2 \n', {}, id="blanks round cells"),
    pytest.param(b"a,b\n\n,\n1,2\n", {}, id="empty rows"),
    pytest.param(b"a;b\n1;2\n", {"delimiter": ";"}, id="semicolon declared"),
    pytest.param("a,b\n1,2\n".encode("utf-16"), {"encoding": "utf-16"}, id="UTF-16 declared"),
]


@pytest.mark.parametrize(("content", "how"), READ)
def test_a_table_is_read_whatever_its_form(
    table: Callable[..., Path], content: bytes, how: dict[str, str]
) -> None:
    if b'" 1 ", 2 ' in content:
        content = content.replace(b'" 1 ", 2 ', b'" 1 "," 2 "')
    assert cells(table(content), **how) == [{"a": "1", "b": "2"}]


def test_a_tsv_file_is_parted_by_tabs(table: Callable[..., Path]) -> None:
    assert cells(table(b"a\tb\n1\t2,5\n", "stock.tsv")) == [{"a": "1", "b": "2,5"}]


def test_declared_latin_1_keeps_its_letters(table: Callable[..., Path]) -> None:
    assert cells(table("a\nMüller\n".encode("latin-1")), encoding="latin-1") == [{"a": "Müller"}]


def test_a_row_is_numbered_as_a_spreadsheet_counts(table: Callable[..., Path]) -> None:
    path = table(b'a\n"one\ntwo"\n\nthree\n')
    assert [(row.number, row.cells["a"]) for row in open_table(path).rows()] == [
        (2, "one\ntwo"),
        (4, "three"),
    ]


REFUSED = [
    pytest.param(b"", "stock.csv is empty. Export the table again.", id="empty"),
    pytest.param(b"\n\n", "stock.csv has no headings in its first row.", id="blank"),
    pytest.param(b"a,b\n", "stock.csv holds headings and no row.", id="headings only"),
    pytest.param(
        b"a,b,a\n1,2,3\n", "the heading 'a' stands over more than one column. Rename one", id="duplicate"
    ),
    pytest.param(b"a,,c\n1,2,3\n", "column 2 has no heading.", id="no heading"),
    pytest.param(b"a;b\n1;2\n", "one column found, 'a;b'. If ';' parts the columns", id="other separator"),
    pytest.param(b"a,b\n1,2,3\n", "stock.csv, row 2: 3 cells found; expected 2", id="too many cells"),
    pytest.param(b"a,b\n1\n", "stock.csv, row 2: 1 cells found; expected 2", id="too few cells"),
    pytest.param(
        b'a,b\n"x"y,2\n', "stock.csv, row 2: a quotation mark is out of place", id="quote then text"
    ),
    pytest.param(
        b'a,b\n1,"never closed\n3,4\n', "stock.csv, row 2: a quotation mark is out of place", id="unclosed"
    ),
    pytest.param(b"a,b\n1,\x002\n", "stock.csv, row 2: a NUL byte found; expected text.", id="NUL"),
    pytest.param(
        "a\nMüller\n".encode("latin-1"), "the byte 0xfc is no utf-8 text. Save the file", id="latin-1"
    ),
    pytest.param("a,b\n1,2\n".encode("utf-16"), "stock.csv is UTF-16; expected utf-8 text.", id="UTF-16"),
    pytest.param(b"PK\x03\x04junk", "stock.csv cannot be read as a workbook (BadZipFile)", id="a zip"),
    pytest.param(b"a\n" + b"x" * 10_000_000, "more than 1,000,000 characters in one line", id="10 MB line"),
    pytest.param(
        b'a\n"' + b"x\n" * 200_000, "a cell has more than 100,000 characters", id="unclosed in a long file"
    ),
    pytest.param(
        b"a\n" + b"y" * 100_001 + b"\n", "row 2: a cell has more than 100,000 characters", id="long cell"
    ),
    pytest.param(
        ",".join(f"c{n}" for n in range(201)).encode(), "has 201 columns; at most 200", id="too wide"
    ),
]


@pytest.mark.parametrize(("content", "told"), REFUSED)
def test_a_hostile_table_is_refused_in_words(table: Callable[..., Path], content: bytes, told: str) -> None:
    with pytest.raises(BadTable) as caught:
        cells(table(content))
    assert told in str(caught.value)
    assert len(str(caught.value)) < 500


def test_utf_8_declared_as_something_else_is_refused(table: Callable[..., Path]) -> None:
    with pytest.raises(BadTable, match=r"stock\.csv is UTF-8; the mapping declares latin-1"):
        cells(table(b"\xef\xbb\xbfa\nM\xc3\xbcller\n"), encoding="latin-1")


def test_a_table_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadTable, match=r"There is no table file .*none\.csv"):
        open_table(tmp_path / "none.csv")


def test_more_rows_than_the_limit_are_refused(
    table: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rows, "MOST_ROWS", 3)
    assert len(cells(table(b"a\n1\n2\n3\n"))) == 3
    with pytest.raises(BadTable, match="more than 3 rows"):
        cells(table(b"a\n1\n2\n3\n4\n"))


def test_more_bytes_than_the_limit_are_refused_unread(
    table: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rows, "MOST_BYTES", 5)
    with pytest.raises(BadTable, match="has 8 bytes; at most 5 are taken in at once"):
        open_table(table(b"a,b\n1,2\n"))
