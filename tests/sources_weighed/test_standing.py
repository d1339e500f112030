"""A claim stands on one named step, and every reason is listed."""

from __future__ import annotations

import pytest

from kg.daybook.record import Draft
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.standing import STEPS, Step, standing_of, step_of, steps_below_the_best
from tests.sources_weighed.scenes import follows, says, weighed_of
from tests.sources_weighed.test_dependence import claim_in

R1 = says("r1")


@pytest.mark.parametrize(
    ("shelf", "drafts", "judged", "who", "expected"),
    [
        pytest.param("r1 r2", [R1, says("r2")], {}, "r1", Step.SEVERAL, id="two registers"),
        pytest.param("r1", [R1], {}, "r1", Step.FIRST_HAND, id="one register"),
        pytest.param("r1 b1", [says("b1"), follows("b1", "r1")], {}, "b1", Step.SECOND_HAND, id="a book after it"),
        pytest.param("r1 r2", [R1, says("r2", "1866")], {}, "r1", Step.CONTESTED, id="register against register"),
        pytest.param("r1 b1", [R1, says("b1", "1866")], {}, "r1", Step.FIRST_HAND, id="a book is no contest"),
        pytest.param("b1", [says("b1")], {}, "b1", Step.NOT_KNOWN, id="a book of unknown origin"),
        pytest.param(
            "b1 b2", [says("b1"), follows("b1", "b2"), follows("b2", "b1")], {}, "b1", Step.CIRCULAR, id="a circle"
        ),
        pytest.param("r1 r2", [R1, says("r2")], {R1: "doubted"}, "r1", Step.DOUBTED, id="doubted"),
        pytest.param("r1 r2", [R1, says("r2")], {R1: "setAside"}, "r1", Step.SET_ASIDE, id="set aside"),
        pytest.param("r1 r2", [R1, says("r2")], {R1: "withdrawn"}, "r1", Step.WITHDRAWN, id="withdrawn"),
    ],
)  # fmt: skip
def test_a_claim_stands_on_the_step_that_its_witnesses_and_judgements_give(
    shelf: str, drafts: list[Draft], judged: dict[Draft, str], who: str, expected: Step
) -> None:
    weighed = weighed_of(shelf, *drafts, judged=judged)
    assert step_of(weighed, claim_in(weighed, who)) is expected


def test_the_reasons_name_witnesses_what_is_not_known_and_what_speaks_against() -> None:
    weighed = weighed_of("r1 b1 r2", says("r1"), says("b1"), says("r2", "1866"))
    assert standing_of(weighed, claim_in(weighed, "r1")).reasons == (
        "2 sources say it; 1 independent witness reached first-hand.",
        "1 further line ends in a source of which nothing is recorded: not known, and not counted.",
        "Nearest to the thing itself: Source r1 (register).",
        "Against it: Tarn & Ottery set up in business 1866 (Source r2, p. 1), 1 witness.",
    )


def test_a_doubted_claim_contests_nothing_and_its_doubt_is_told() -> None:
    doubted = {says("r2", "1866"): "doubted", says("r3"): "doubted"}
    weighed = weighed_of("r1 r2 r3", R1, *doubted, judged=doubted)
    standing = standing_of(weighed, claim_in(weighed, "r1"))
    assert standing.step is Step.SEVERAL
    assert standing.reasons[-2:] == (
        "Doubted among those who say it: Source r3, p. 1.",
        "Against it: Tarn & Ottery set up in business 1866 (Source r2, p. 1), 1 witness, doubted.",
    )


def test_a_judgement_comes_first_among_the_reasons() -> None:
    weighed = weighed_of("r1", R1, judged={R1: "doubted"})
    assert standing_of(weighed, claim_in(weighed, "r1")).reasons[0] == "Judged doubted: for the test"


def test_the_steps_are_in_order_and_have_no_truth() -> None:
    assert [steps_below_the_best(step) for step in STEPS] == list(range(len(STEPS)))
    with pytest.raises(TypeError, match="nine answers"):
        bool(Step.SEVERAL)


def test_every_step_is_reached_by_a_case_above() -> None:
    marks = test_a_claim_stands_on_the_step_that_its_witnesses_and_judgements_give.pytestmark  # type: ignore[attr-defined]  # pytest's own list
    assert {case.values[-1] for case in marks[0].args[1]} == set(STEPS)


def test_a_claim_that_nobody_says_any_more_still_has_its_reasons() -> None:
    weighed: Weighed = weighed_of("r1", R1, judged={R1: "withdrawn"})
    answer = weighed.witnesses(claim_in(weighed, "r1"))
    assert (answer.stating, answer.count, answer.possible) == ((), 0, 0)
    assert standing_of(weighed, claim_in(weighed, "r1")).step is Step.WITHDRAWN
