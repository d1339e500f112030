"""Drafts read as an editor wants them: conditions told as conditions, no false precision, nothing said twice."""

from __future__ import annotations

import re

import pytest

from kg.essays.compose import compose
from kg.essays.draft_text import Sentence
from kg.essays.plan import Bench


def told(bench: Bench, piece: str, section: str) -> str:
    """One section of a draft as one text."""
    drawn = compose(bench, piece)
    return " ".join(
        s.text for one in drawn.sections if one.title == section for p in one.paragraphs for s in p
    )


@pytest.fixture(scope="module")
def sentences(demo_bench: Bench) -> list[Sentence]:
    """Every sentence of the drafts of all pieces."""
    things = demo_bench.view.things
    pieces = sorted(s for s, t in things.items() if demo_bench.view.vocabulary.is_a(t.kinds, "Piece"))
    return [s for piece in pieces for s in compose(demo_bench, piece).sentences]


def test_a_limit_that_rests_on_an_unsure_maker_says_if_and_not_since(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-socket-head-girl-in-lilac-silk", "Maker and date")
    assert (
        "She was probably not made after 1928 if Prohaska made her, since Prohaska ceased business in 1918, "
        "allowing 10 years for posthumous and successor use." in words
    )


def test_no_limit_gives_an_unsure_maker_as_its_reason(demo_bench: Bench, sentences: list[Sentence]) -> None:
    conditional = 0
    for sentence in sentences:
        unsure = [
            c for c in sentence.claims if c.property == "madeBy" and demo_bench.certainty([c]) != "held"
        ]
        if unsure and re.search(r"not (have been )?made (before|after)", sentence.text):
            assert re.search(r" if .* made (her|him|it)\b", sentence.text)
            assert not re.search(r"since .* made (her|him|it)\b", sentence.text)
            conditional += 1
    assert conditional > 50
