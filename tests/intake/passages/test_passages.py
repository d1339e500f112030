"""Passages: which claims are proposed, on which words they rest, and that nothing enters by itself."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from kg.daybook.demo import begin_demo
from kg.daybook.view import WorkingView
from kg.intake.passages import taking
from kg.intake.passages.names import NameIndex
from kg.intake.passages.propose import read_passage

HERE = Path(__file__).parent
#: What is asked of the proposals: little that is wrong, most of what is there.
LEAST_PRECISION, LEAST_RECALL = 0.9, 0.6
#: Written with the rules; written without sight of them and then learnt from; written so and never looked at.
PARTS = ("tuned.csv", "learnt.csv", "held_out.csv")


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> WorkingView:
    return begin_demo(tmp_path_factory.mktemp("passages") / "demo").view()


@pytest.fixture(scope="module")
def names(view: WorkingView) -> NameIndex:
    return NameIndex.of(view)


def sentences(part: str) -> list[dict[str, str]]:
    with (HERE / part).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def counts(part: str, view: WorkingView, names: NameIndex) -> tuple[int, int, int]:
    """How many claims were rightly proposed, wrongly proposed and missed."""
    right = wrong = missed = 0
    for row in sentences(part):
        expected = {claim.strip() for claim in row["expected"].split(" ; ") if claim.strip()}
        proposed = {
            f"{p.subject} {p.property} {p.value}" for p in read_passage(row["text"], view, names).proposals
        }
        right += len(expected & proposed)
        wrong += len(proposed - expected)
        missed += len(expected - proposed)
    return right, wrong, missed


def test_the_gold_set_has_at_least_a_hundred_and_fifty_sentences_in_three_languages() -> None:
    rows = [row for part in PARTS for row in sentences(part)]
    assert len({row["text"] for row in rows}) >= 150
    assert {row["language"] for row in rows} == {"en", "fr", "de"}


@pytest.mark.parametrize("parts", [*((part,) for part in PARTS), PARTS], ids=" and ".join)
def test_what_is_proposed_is_right_and_most_is_found(
    parts: tuple[str, ...], view: WorkingView, names: NameIndex, capsys: pytest.CaptureFixture[str]
) -> None:
    right, wrong, missed = (
        sum(column) for column in zip(*(counts(p, view, names) for p in parts), strict=True)
    )
    precision, recall = right / (right + wrong), right / (right + missed)
    with capsys.disabled():
        named = " and ".join(parts)
        print(f"\npassages, {named}: precision {precision:.3f}, recall {recall:.3f}, {right + missed} claims")
    assert precision >= LEAST_PRECISION
    assert recall >= LEAST_RECALL


def test_a_proposal_shows_the_words_that_it_rests_on(view: WorkingView, names: NameIndex) -> None:
    text = "It is said of her. Minna Vollrath, geboren um 1850, starb 1922."
    born, died = read_passage(text, view, names).proposals
    assert text[born.value_words.start : born.value_words.end] == "um 1850"
    assert text[born.link_words.start : born.link_words.end] == "geboren"
    assert born.about_words is not None
    assert text[born.about_words.start : born.about_words.end] == "Minna Vollrath"
    assert text[died.sentence.start : died.sentence.end] == "Minna Vollrath, geboren um 1850, starb 1922."


def test_a_denied_sentence_proposes_nothing_and_says_so(view: WorkingView, names: NameIndex) -> None:
    passage = read_passage("Castagnet was not born in 1815.", view, names)
    assert passage.proposals == ()
    assert [passed.why for passed in passage.not_taken] == ["denied or only intended: “not”"]


def test_a_sentence_that_gives_nothing_is_named(view: WorkingView, names: NameIndex) -> None:
    passage = read_passage("The winter was hard. Castagnet was born in 1815.", view, names)
    assert [passed.words.text for passed in passage.not_taken] == ["The winter was hard."]


def test_a_hedged_sentence_is_proposed_as_weak(view: WorkingView, names: NameIndex) -> None:
    (proposal,) = read_passage("Perhaps Vauquelard began work in 1866.", view, names).proposals
    assert (proposal.strength, proposal.notes) == ("weak", ("weak, since the passage says “Perhaps”",))


def test_a_name_that_several_have_is_told_and_not_guessed(view: WorkingView, names: NameIndex) -> None:
    passage = read_passage("Ysambert was born in 1821.", view, names)
    assert passage.proposals == ()
    assert "may be" in passage.not_taken[0].why


def test_somebody_with_an_unknown_first_name_is_not_taken_for_a_known_one(
    view: WorkingView, names: NameIndex
) -> None:
    passage = read_passage("Hortense Castagnet was born in 1831.", view, names)
    assert passage.proposals == ()


def test_a_slip_of_the_pen_is_seen_through_and_said(view: WorkingView, names: NameIndex) -> None:
    (proposal,) = read_passage("Kanegiesser ceased trading before 1914.", view, names).proposals
    assert proposal.subject == "maker-kannegiesser"
    assert proposal.notes == ("“Kanegiesser” is taken for Kannegiesser",)


@pytest.mark.parametrize(
    ("choice", "numbers"),
    [
        ("all", [1, 2, 3]),
        ("none", []),
        ("", []),
        ("1", [1]),
        ("3, 1-2", [3, 1, 2]),
        ("2–3", [2, 3]),
        ("1 1", [1]),
    ],
)
def test_proposals_are_chosen_by_number(
    view: WorkingView, names: NameIndex, choice: str, numbers: list[int]
) -> None:
    passage = read_passage(
        "Hippolyte Ysambert was born at Paris in 1821 and died on 3 November 1869.", view, names
    )
    picked = taking.chosen(passage, choice)
    assert [passage.proposals.index(one) + 1 for one in picked] == numbers


@pytest.mark.parametrize("choice", ["4", "0", "2-1", "one", "1-9"])
def test_a_choice_that_names_nothing_is_refused(view: WorkingView, names: NameIndex, choice: str) -> None:
    passage = read_passage(
        "Hippolyte Ysambert was born at Paris in 1821 and died on 3 November 1869.", view, names
    )
    with pytest.raises(taking.BadPassage, match=r"numbered 1 to 3|expected all, none"):
        taking.chosen(passage, choice)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        pytest.param("  \n", "is empty", id="empty"),
        pytest.param("a" * (taking.LONGEST_PASSAGE + 1), "by parts", id="too long"),
        pytest.param("born\x00in 1824", "no text", id="bytes that are no text"),
    ],
)
def test_a_text_that_is_no_passage_is_refused(view: WorkingView, text: str, message: str) -> None:
    with pytest.raises(taking.BadPassage, match=message):
        taking.passage_from(text, view)


def test_only_a_source_can_be_copied_from(view: WorkingView) -> None:
    assert taking.source_of("book-schnatterer-1979", view) == "book-schnatterer-1979"
    with pytest.raises(taking.BadPassage, match="no source but place"):
        taking.source_of("place-coburg", view)


def test_a_passage_of_many_brackets_and_signs_is_read_to_its_end(view: WorkingView, names: NameIndex) -> None:
    hostile = "(" * 5_000 + " born in 1824 " + ")" * 5_000
    assert read_passage(hostile, view, names).proposals == ()
