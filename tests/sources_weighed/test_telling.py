"""What is told of a weighing, in the words that a reader sees."""

from __future__ import annotations

import pytest

from kg.daybook.record import Citation, Draft
from kg.sources_weighed.telling import headline, told_weighed_source, told_witnesses
from tests.sources_weighed.scenes import follows, says, weighed_of
from tests.sources_weighed.test_dependence import claim_in

TWO = [follows(book, register) for book in ("b1", "b2") for register in ("r1", "r2")]


@pytest.mark.parametrize(
    ("shelf", "drafts", "judged", "expected"),
    [
        pytest.param("r1 r2", [says("r1"), says("r2")], {}, "2 sources say it; 2 independent witnesses.", id="two"),
        pytest.param(
            "r1 b1", [says("r1"), says("b1")], {},
            "2 sources say it; 1 independent witness, and at most 1 more, whose origin is not known.", id="not known",
        ),
        pytest.param(
            "r1 b1", [says("r1"), says("b1"), follows("b1", "r1")], {},
            "2 sources say it; 1 independent witness; all of it passes through Source r1.", id="a bottleneck",
        ),
        pytest.param(
            "b1 r1", [says("b1")], {},
            "1 source says it; 1 line ends in sources of which nothing is recorded: it is unanchored.", id="unanchored",
        ),
        pytest.param(
            "b1 r1", [says("b1"), follows("b1", "b1")], {},
            "1 source says it; no line leads out of the circle of those who follow each other: it is unanchored.",
            id="circular",
        ),
        pytest.param(
            "r1", [says("r1")], {says("r1"): "withdrawn"},
            "No source on record says it any more: the claim is set aside or withdrawn.", id="withdrawn",
        ),
    ],
)  # fmt: skip
def test_the_headline_says_how_many_say_it_and_what_that_comes_to(
    shelf: str, drafts: list[Draft], judged: dict[Draft, str], expected: str
) -> None:
    weighed = weighed_of(shelf, *drafts, judged=judged)
    answer = weighed.witnesses(claim_in(weighed, drafts[0].citation.source))
    assert headline(weighed.view, answer) == expected


def test_the_worst_case_is_told_where_it_is_less_than_the_most_routes() -> None:
    weighed = weighed_of("r1 r2 b1 b2", says("b1"), says("b2"), *TWO)
    assert told_witnesses(weighed, claim_in(weighed, "b1"))["fewest_sentence"] == (
        "Some sources follow several others. 1 beginning could account for all of it, if each had it from the same."
    )


def test_a_source_tells_whom_it_follows_who_follows_it_and_whom_it_contradicts() -> None:
    against = Draft("b1", "sourceContradicts", "b3", Citation("b1", "p. 3"))
    weighed = weighed_of("r1 b1 b2 b3", says("b2"), follows("b1", "r1"), follows("b2", "b1"), against)
    told = told_weighed_source(weighed, "b1")
    assert [row["source"] for row in told["follows"]] == ["r1"]
    assert [row["source"] for row in told["followed_by"]] == ["b2"]
    assert [row["sentence"] for row in told["contradicts"]] == ["Source b1 contradicts Source b3"]
    assert (told["origin"], told["claims"], told["all_that_follow"]) == ("follows others", 2, 1)


def test_a_source_that_no_claim_speaks_of_is_told_as_not_known() -> None:
    told = told_weighed_source(weighed_of("r1 b1", says("r1")), "b1")
    assert (told["origin"], told["claims"], told["follows"]) == ("not known", 0, [])
