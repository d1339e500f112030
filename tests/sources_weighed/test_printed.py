"""A printed sentence stands while each of its claims does, and what is lost is told."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kg.daybook.record import Citation, Claim, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import what_falls
from kg.sources_weighed.printed import Footing, Printed
from kg.sources_weighed.standing import Step
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import WHEN, entries, follows, says

PAGE = Citation("b9", "lot 4, p. 7")
FOUNDED, CEASED = says("b1"), says("r2", "1884", "ceased")


def printed(*drafts: Draft, judged: dict[Draft, str] | None = None) -> Printed:
    """A catalogue, b9, with one sentence that rests on the firm's two years."""
    made = entries(["r1", "r2", "b1", "b2", "b9"], [FOUNDED, CEASED, *drafts], judged)
    recorded = {claim.as_draft(): claim.id for entry in made for claim in entry.claims}
    line = Thing("line", ("Sentence",), "Lot 4")
    sentence = [
        Draft("line", "sentenceOf", "b9", PAGE),
        Draft("line", "sentenceText", "At work from 1871 to 1884.", PAGE),
        *(Draft("line", "restsOn", recorded[draft], PAGE) for draft in (FOUNDED, CEASED)),
    ]
    made.append(compose(WHEN + timedelta(hours=2), "A. Tester", things=(line,), drafts=tuple(sentence)))
    return Printed(Weighed(WorkingView.of(load_vocabulary(), made)))


def footing(of: Printed) -> Footing:
    (sentence,) = of.sentences
    return of.footing(sentence)


ANCHOR = follows("b1", "r1")


@pytest.mark.parametrize(
    ("drafts", "judged", "expected"),
    [
        pytest.param([ANCHOR], {}, Footing.STANDS, id="both anchored"),
        pytest.param([], {}, Footing.SHAKEN, id="one unanchored"),
        pytest.param([ANCHOR, says("r2", "1866")], {}, Footing.SHAKEN, id="one contested"),
        pytest.param([ANCHOR], {CEASED: "doubted"}, Footing.SHAKEN, id="one doubted"),
        pytest.param([ANCHOR], {CEASED: "setAside"}, Footing.LOST, id="one set aside"),
        pytest.param([ANCHOR], {CEASED: "withdrawn"}, Footing.LOST, id="one withdrawn"),
        pytest.param([ANCHOR, says("r1", "1884", "ceased")], {CEASED: "setAside"}, Footing.STANDS,
                     id="another says what was set aside"),
    ],
)  # fmt: skip
def test_a_sentence_stands_as_the_weakest_of_its_claims(
    drafts: list[Draft], judged: dict[Draft, str], expected: Footing
) -> None:
    assert footing(printed(*drafts, judged=judged)) is expected


def losing(of: Printed, *sources: str) -> list[str]:
    return [sentence.thing for sentence in what_falls(of.weighed, sources=sources).sentences]


def test_a_sentence_loses_its_footing_with_any_one_of_its_claims() -> None:
    for source in ("b1", "r2"):
        assert losing(printed(ANCHOR), source) == ["line"]


def test_a_sentence_loses_its_footing_when_a_claim_loses_its_anchor() -> None:
    # Without the register, b1 still follows b2, of which nothing is recorded.
    fall = what_falls(printed(ANCHOR, follows("b1", "b2")).weighed, sources=["r1"])
    assert [claim.citation.source for claim in fall.unanchored if claim.property == "founded"] == ["b1"]
    assert [sentence.thing for sentence in fall.sentences] == ["line"]
    link = Draft("b1", "sourceQuotes", "r1", Citation("b2", "p. 3"))
    assert losing(printed(link), "b2") == ["line"]


def test_a_sentence_keeps_its_footing_while_another_says_the_same() -> None:
    assert losing(printed(ANCHOR, says("r1")), "b1") == []


def test_a_sentence_that_had_none_loses_no_footing() -> None:
    assert losing(printed(ANCHOR, judged={CEASED: "setAside"}), "b1") == []


def test_a_sentence_falls_with_its_catalogue_and_is_not_told_again() -> None:
    of = printed(ANCHOR)
    fall = what_falls(of.weighed, sources=["b9", "b1"])
    assert fall.sentences == ()
    assert {claim.subject for claim in fall.direct} == {"line", "tarn", "b1"}


def test_what_a_page_prints_is_known_at_first_hand() -> None:
    of = printed(ANCHOR)
    about: list[Claim] = [claim for claim in of.weighed.view.live if claim.subject == "line"]
    assert len(about) == 4
    assert all(of.weighed.is_said_first_hand(claim) and of.weighed.is_anchored(claim) for claim in about)


def test_each_claim_under_a_sentence_is_told_with_its_step() -> None:
    of = printed(ANCHOR)
    (sentence,) = of.sentences
    assert [support.step for support in of.supports(sentence)] == [Step.SECOND_HAND, Step.FIRST_HAND]
    assert (sentence.source, sentence.text) == ("b9", "At work from 1871 to 1884.")


def test_a_footing_is_never_taken_for_true_or_false() -> None:
    with pytest.raises(TypeError, match="three answers"):
        bool(Footing.LOST)
