"""The one function that every text not our own goes through."""

from __future__ import annotations

import doctest
import html

import pytest
from hypothesis import given
from hypothesis import strategies as st

import app.drawing.words
from app.drawing.words import lines, plain


def test_the_example_of_the_escape_holds() -> None:
    assert doctest.testmod(app.drawing.words).failed == 0


@given(st.text())
def test_a_text_is_read_as_it_was_written_but_for_its_spaces(text: str) -> None:
    readable = "".join(c if c.isprintable() or c.isspace() else "\N{REPLACEMENT CHARACTER}" for c in text)
    assert html.unescape(plain(text)) == " ".join(readable.split())


@given(st.text())
def test_nothing_that_markup_or_markdown_could_read_is_left(text: str) -> None:
    for safe in (plain(text), lines(text).replace("\n", "")):
        bare = safe.replace("&#", "").replace(";", "")
        assert all(c.isalnum() or c == " " for c in bare)


@pytest.mark.parametrize("text", ["a\n  b", "expected a year\n    18xx\n      ^"])
def test_an_error_that_points_keeps_its_lines_and_spaces(text: str) -> None:
    assert html.unescape(lines(text)) == text
