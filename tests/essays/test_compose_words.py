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


def test_a_possible_maker_who_cannot_fit_the_date_is_said_not_to(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-skater-in-brown-velvet", "Maker and date")
    assert (
        "This maker does not fit the date: the skater was probably made in 1868, "
        "yet Veuve Ysambert set up in business in November 1869." in words
    )


def test_a_silence_begins_at_the_making_and_never_at_what_a_convention_allows(demo_bench: Bench) -> None:
    assert "Between 1887 and 1937 nothing is recorded." in told(
        demo_bench, "piece-bride-of-1887", "Provenance"
    )
    mourning = told(demo_bench, "piece-baroness-in-mourning", "Provenance")
    assert mourning.startswith("By 1958 the baroness belonged to Canon Hugh Jellicorse.")


def test_a_silence_from_a_rough_date_begins_as_roughly(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-cloth-girl-with-pearl-buttons", "Provenance")
    assert words.startswith("Between about 1915 and 1982 nothing is recorded.")


def test_a_limit_is_no_more_exact_than_the_claim_behind_it(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-bride-of-1887", "Maker and date")
    assert "She cannot have been made before November 1869, since" in words
    snood = told(demo_bench, "piece-lady-with-blue-snood", "Maker and date")
    assert "between 30 June 1880 and 1 April 1884" in snood


def test_a_maker_is_the_firm_after_its_first_sentence(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-bride-of-1887", "Maker and date")
    assert (
        "Veuve Ysambert worked in Paris. By one account the firm succeeded Ysambert. "
        "The firm set up in business in November 1869." in words
    )


def test_no_two_sentences_of_a_paragraph_give_a_reason_in_the_same_words(sentences: list[Sentence]) -> None:
    leads = [
        m[0] for s in sentences if (m := re.match(r"(A further reason|Another|There is also)\b", s.text))
    ]
    assert {"A further reason", "Another", "There is also"} == set(leads)


def test_a_plate_is_told_in_one_section_and_only_ends_a_silence_in_the_other(demo_bench: Bench) -> None:
    words = told(demo_bench, "piece-skater-in-brown-velvet", "Provenance")
    assert words.endswith("Between 1868 and the publication of 1968 nothing is recorded.")
    assert "She is illustrated in a book of 1968." in told(
        demo_bench, "piece-skater-in-brown-velvet", "Exhibited and published"
    )


def test_a_caution_sends_to_a_conservator_once(demo_bench: Bench, sentences: list[Sentence]) -> None:
    words = told(demo_bench, "piece-celluloid-child-in-lilac-silk", "Cautions")
    assert words.casefold().count("conservator") == 1


def test_a_registration_that_is_described_takes_its_article(sentences: list[Sentence]) -> None:
    protected = {s.text for s in sentences if "was protected by" in s.text}
    assert "It was protected by the brevet of Ysambert & Loubatière for sleeping eyes." in protected
    assert not any(re.search(r"by (Brevet|Deposit|Coburg design)", text) for text in protected)
