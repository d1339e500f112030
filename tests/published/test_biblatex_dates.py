"""Dates as BibLaTeX writes them (its manual, section 2.3.8, "Date and Time Specifications"; examples from memory)."""

from __future__ import annotations

import pytest

from kg.dates.edtf import parse_edtf
from kg.dates.window import civil
from kg.daybook.view import WorkingView
from kg.intake.bibliography.bibtex import read_bibtex
from kg.intake.bibliography.dating import Dates
from kg.vocabulary import load_vocabulary

DATES = Dates(WorkingView.of(load_vocabulary(), ()))


@pytest.mark.parametrize(
    ("date", "first", "last", "said"),
    [
        ("1850", (1850, 1, 1), (1850, 12, 31), None),
        ("1967-02", (1967, 2, 1), (1967, 2, 28), None),
        ("2009-01-31", (2009, 1, 31), (2009, 1, 31), None),
        ("1988/1992", (1988, 1, 1), (1992, 12, 31), None),
        ("2002-01/2002-02", (2002, 1, 1), (2002, 2, 28), None),
        ("1995-03-30/1995-05-04", (1995, 3, 30), (1995, 5, 4), None),
        ("2004-04-05T14:34:00", (2004, 4, 5), (2004, 4, 5), None),
        ("1997/", (1997, 1, 1), None, None),
        ("1997/..", (1997, 1, 1), None, None),
        ("../1997", None, (1997, 12, 31), None),
        ("1723~", (1723, 1, 1), (1723, 12, 31), "approximate"),
        ("1723?", (1723, 1, 1), (1723, 12, 31), "uncertain"),
        ("1723%", (1723, 1, 1), (1723, 12, 31), "both"),
        ("199X", (1990, 1, 1), (1999, 12, 31), None),
        ("1999-XX", (1999, 1, 1), (1999, 12, 31), None),
    ],
)
def test_a_date_field_is_kept_and_read(
    date: str, first: tuple[int, int, int] | None, last: tuple[int, int, int] | None, said: str | None
) -> None:
    (record,) = read_bibtex(f"@book{{k, date = {{{date}}}}}", [])
    assert record.dates["issued"].text == date
    edtf = DATES.edtf(record.dates["issued"].text)
    assert edtf == date
    read = parse_edtf(edtf)
    assert read.qualifier == said
    window = read.window
    assert (window.first is None, window.last is None) == (first is None, last is None)
    assert first is None or window.first is None or civil(window.first) == first
    assert last is None or window.last is None or civil(window.last) == last
