"""Witnesses are routes that share no source; what is not known is not independence."""

from __future__ import annotations

import pytest

from kg.daybook.record import Citation, Claim, Draft
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.derivation import Origin, Tie
from kg.sources_weighed.statement import Agreement
from tests.sources_weighed.scenes import follows, says, weighed_of


def claim_in(weighed: Weighed, who: str, property: str = "founded") -> Claim:
    return next(
        c for c in weighed.view.claims.values() if c.citation.source == who and c.property == property
    )


def numbers(weighed: Weighed, who: str) -> tuple[int, int, int, int]:
    answer = weighed.witnesses(claim_in(weighed, who))
    return len(answer.stating), answer.count, answer.possible, answer.fewest


FIVE = [follows(f"b{n}", f"b{n - 1}") for n in range(2, 6)]


@pytest.mark.parametrize(
    ("shelf", "drafts", "expected"),
    [
        pytest.param("r1", [says("r1")], (1, 1, 1, 1), id="a register alone is one witness"),
        pytest.param("b1", [says("b1")], (1, 0, 1, 1), id="a book alone is not known, and no witness"),
        pytest.param("r1 b1", [says("r1"), says("b1")], (2, 1, 2, 2), id="a register and a book not known"),
        pytest.param(
            "r1 b1 b2 b3 b4 b5",
            [*(says(f"b{n}") for n in range(1, 6)), *FIVE, follows("b1", "r1")],
            (5, 1, 1, 1),
            id="five books that follow one are one witness",
        ),
        pytest.param(
            "r1 r2 b1 b2", [says("b1"), says("b2"), follows("b1", "r1"), follows("b2", "r2")], (2, 2, 2, 2),
            id="two registers behind two books are two",
        ),
        pytest.param(
            "r1 r2 b1 b2", [says("b1"), says("b2"), *(follows(b, r) for b in ("b1", "b2") for r in ("r1", "r2"))],
            (2, 2, 2, 1),
            id="two books that both follow both registers are two at most, and one at worst",
        ),
        pytest.param("b1 b2", [says("b1"), says("b2"), follows("b1", "b2"), follows("b2", "b1")], (2, 0, 0, 0),
                     id="a closed circle has no witness"),
        pytest.param("b1 b2 b3", [says("b1"), says("b2"), follows("b1", "b3"), follows("b2", "b3")], (2, 0, 1, 1),
                     id="a common source that says nothing on record still binds them"),
    ],
)  # fmt: skip
def test_the_witnesses_are_those_that_the_lines_of_derivation_leave(
    shelf: str, drafts: list[Draft], expected: tuple[int, int, int, int]
) -> None:
    weighed = weighed_of(shelf, *drafts)
    first = next(draft for draft in drafts if draft.property == "founded")
    assert numbers(weighed, first.citation.source) == expected
    assert weighed.counts(claim_in(weighed, first.citation.source)) == expected[:3]


def test_the_bottleneck_is_the_source_through_which_all_pass_that_stands_nearest() -> None:
    weighed = weighed_of(
        "r1 b1 b2 b3", says("b2"), says("b3"), follows("b2", "b1"), follows("b3", "b1"), follows("b1", "r1")
    )
    answer = weighed.witnesses(claim_in(weighed, "b2"))
    assert answer.bottleneck == ("b1",)
    assert answer.routes == (("r1", "b1", "b2"),) or answer.routes == (("r1", "b1", "b3"),)
    assert answer.origins == {"r1": Origin.FIRST_HAND}


def test_there_is_no_bottleneck_where_each_source_is_a_witness_of_its_own() -> None:
    weighed = weighed_of("r1 r2", says("r1"), says("r2"))
    answer = weighed.witnesses(claim_in(weighed, "r1"))
    assert (answer.bottleneck, set(answer.overturning)) == ((), {"r1", "r2"})


def test_a_circle_is_shown_once_round() -> None:
    weighed = weighed_of(
        "r1 b1 b2 b3", says("b1"), follows("b1", "b2"), follows("b2", "b3"), follows("b3", "b1"),
        follows("b3", "r1"),
    )  # fmt: skip
    answer = weighed.witnesses(claim_in(weighed, "b1"))
    assert [set(circle) for circle in answer.circles] == [{"b1", "b2", "b3"}]
    (circle,) = answer.circles
    assert circle[0] == circle[-1]
    assert len(circle) == 4
    assert answer.is_anchored


def test_a_source_that_follows_itself_is_a_circle() -> None:
    weighed = weighed_of("b1", says("b1"), follows("b1", "b1"))
    assert weighed.witnesses(claim_in(weighed, "b1")).circles == (("b1", "b1"),)


def test_a_source_is_first_hand_about_itself() -> None:
    weighed = weighed_of(
        "b1 b2", follows("b1", "b2"), says("b1", "1932", "publishedOn", about="b1"), says("b1")
    )
    assert weighed.is_anchored(claim_in(weighed, "b1", "publishedOn"))
    assert not weighed.is_anchored(claim_in(weighed, "b1"))


@pytest.mark.parametrize(
    ("one", "other", "agreement"),
    [
        pytest.param("1871", "1871", Agreement.VALUE, id="the same year"),
        pytest.param("1871", "187X", Agreement.OVERLAP, id="a year in its decade"),
        pytest.param("1871", "1871~", Agreement.OVERLAP, id="circa the same year"),
        pytest.param("1871", "1873~", None, id="circa does not make two cores one"),
        pytest.param("[1867,1876]", "1870", None, id="between two alternatives is neither"),
    ],
)
def test_dates_say_the_same_where_their_cores_overlap(
    one: str, other: str, agreement: Agreement | None
) -> None:
    weighed = weighed_of("r1 r2", says("r1", one), says("r2", other))
    agreeing = weighed.statements.of(claim_in(weighed, "r1")).agreeing
    told = {claim.citation.source: how for claim, how in agreeing}
    assert told.get("r2") is agreement
    assert numbers(weighed, "r1")[1] == (2 if agreement else 1)


@pytest.mark.parametrize(
    ("property", "one", "other", "is_contrary"),
    [
        pytest.param("founded", "1871", "1866", True, id="a firm begins once"),
        pytest.param("founded", "1871", "1868~", False, id="circa reaches"),
        pytest.param("knownActive", "1871", "1866", False, id="at work in two years"),
        pytest.param("activeIn", "1866/1880", "1866/1879", False, id="overlapping years say the same"),
        pytest.param("activeIn", "1866/1868", "1871/1880", True, id="years apart"),
    ],
)
def test_dates_are_contrary_where_the_rule_of_their_property_cannot_hold_for_both(
    property: str, one: str, other: str, is_contrary: bool
) -> None:
    weighed = weighed_of("r1 r2", says("r1", one, property), says("r2", other, property))
    contrary = weighed.statements.contrary(claim_in(weighed, "r1", property))
    assert [claim.citation.source for claim in contrary] == (["r2"] if is_contrary else [])


def test_a_claim_said_to_contradict_another_is_contrary_both_ways() -> None:
    first = weighed_of("r1 r2", says("r1", "Sonneberg", "noted"), says("r2", "Coburg", "noted"))
    one, other = claim_in(first, "r1", "noted"), claim_in(first, "r2", "noted")
    link = Draft(one.id, "claimContradicts", other.id, Citation("r1", "p. 2"))
    weighed = weighed_of("r1 r2", says("r1", "Sonneberg", "noted"), says("r2", "Coburg", "noted"), link)
    assert weighed.statements.contrary(one) == (other,)
    assert weighed.statements.contrary(other) == (one,)


def test_a_single_claim_that_follows_another_binds_only_itself() -> None:
    drafts = [says("b1"), says("b2"), says("b1", "1884", "ceased"), says("b2", "1884", "ceased")]
    before = weighed_of("b1 b2", *drafts)
    link = Draft(claim_in(before, "b1").id, "claimFollows", claim_in(before, "b2").id, Citation("b1", "p. 1"))
    after = weighed_of("b1 b2", *drafts, link)
    assert numbers(after, "b1") == (2, 0, 1, 1)
    assert after.counts(claim_in(after, "b1", "ceased")) == (2, 0, 2)
    assert after.witnesses(claim_in(after, "b1")).bottleneck == ("b2",)


def test_a_single_claim_taken_from_a_register_is_anchored_there() -> None:
    before = weighed_of("b1 r1", says("b1"), says("b1", "1884", "ceased"))
    link = Draft(claim_in(before, "b1").id, "claimTakenFrom", "r1", Citation("b1", "p. 1"))
    after = weighed_of("b1 r1", says("b1"), says("b1", "1884", "ceased"), link)
    assert after.is_anchored(claim_in(after, "b1"))
    assert not after.is_anchored(claim_in(after, "b1", "ceased"))


def test_independence_is_what_a_claim_states_and_silence_is_not_known() -> None:
    drafts = [says(f"b{n}") for n in range(1, 5)]
    stated = Draft("b1", "independentOf", "b2", Citation("b1", "p. 1"))
    weighed = weighed_of("b1 b2 b3 b4", *drafts, stated, follows("b4", "b3"))
    told = {frozenset(pair): tie for *pair, tie in weighed.ties(["b1", "b2", "b3", "b4"])}
    assert told[frozenset(("b1", "b2"))] is Tie.INDEPENDENT
    assert told[frozenset(("b1", "b3"))] is Tie.NOT_KNOWN
    assert told[frozenset(("b3", "b4"))] is Tie.FOLLOWS


def test_two_that_follow_a_third_are_tied_by_it() -> None:
    weighed = weighed_of("b1 b2 b3", says("b1"), follows("b1", "b3"), follows("b2", "b3"))
    assert weighed.ties(["b1", "b2"]) == (("b1", "b2", Tie.SHARED),)


def test_a_link_that_is_set_aside_binds_nothing() -> None:
    link = follows("b1", "r1")
    weighed = weighed_of("b1 r1", says("b1"), link, judged={link: "setAside"})
    assert numbers(weighed, "b1") == (1, 0, 1, 1)
