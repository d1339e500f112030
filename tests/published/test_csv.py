"""Tables of text against RFC 4180, *Common Format and MIME Type for Comma-Separated Values (CSV) Files* (2005).

https://www.rfc-editor.org/rfc/rfc4180, section 2, rules 1 to 7; the examples are the RFC's own, with its "CRLF" written
out. Where the RFC leaves a choice (the headings, rule 3; blanks, rule 4), what is chosen here stands beside the case.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.intake.faults import BadTable
from kg.intake.tables import open_table

READ = [
    pytest.param("h1,h2,h3\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", ["aaa", "bbb", "ccc"], 2, id="rule 1: CRLF"),
    pytest.param("h1,h2,h3\r\naaa,bbb,ccc\r\nzzz,yyy,xxx", ["aaa", "bbb", "ccc"], 2, id="rule 2: no last end"),
    pytest.param(
        "field_name,field_name2,field_name3\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", ["aaa", "bbb", "ccc"], 2,
        id="rule 3: a header line; here there must be one",
    ),
    pytest.param("h1,h2,h3\r\naaa,bbb,ccc\r\n", ["aaa", "bbb", "ccc"], 1, id="rule 4: commas part the fields"),
    pytest.param("h1,h2,h3\r\na b, c ,\r\n", ["a b", "c", ""], 1, id="rule 4: blanks, here trimmed"),
    pytest.param('h1,h2,h3\r\n"aaa","bbb","ccc"\r\nzzz,yyy,xxx', ["aaa", "bbb", "ccc"], 2, id="rule 5: quoted"),
    pytest.param('h1,h2,h3\r\n"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', ["aaa", "b\r\nbb", "ccc"], 2, id="rule 6: break"),
    pytest.param('h1,h2,h3\r\n"a,a","bbb","ccc"\r\n', ["a,a", "bbb", "ccc"], 1, id="rule 6: a comma"),
    pytest.param('h1,h2,h3\r\n"aaa","b""bb","ccc"\r\n', ["aaa", 'b"bb', "ccc"], 1, id="rule 7: a doubled quote"),
]  # fmt: skip
REFUSED = [
    pytest.param("h1,h2,h3\r\naaa,bbb\r\n", "2 cells found; expected 3", id="rule 4: as many fields in each line"),
    pytest.param("h1,h2,h3\r\naaa,bbb,ccc,\r\n", "4 cells found; expected 3", id="rule 4: no last comma"),
    pytest.param('h1,h2,h3\r\n"aaa"b,bbb,ccc\r\n', "a quotation mark is out of place", id="rule 7: not doubled"),
    pytest.param('h1,h2,h3\r\n"aaa,bbb,ccc\r\n', "a quotation mark is out of place", id="rule 5: a quote not closed"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "first", "count"), READ)
def test_what_the_rfc_allows_is_read_as_it_says(
    text: str, first: list[str], count: int, tmp_path: Path
) -> None:
    path = tmp_path / "table.csv"
    path.write_bytes(text.encode())
    rows = list(open_table(path).rows())
    assert list(rows[0].cells.values()) == first
    assert len(rows) == count


@pytest.mark.parametrize(("text", "told"), REFUSED)
def test_what_breaks_a_rule_is_refused(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_bytes(text.encode())
    with pytest.raises(BadTable, match=told):
        list(open_table(path).rows())
