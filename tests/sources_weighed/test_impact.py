"""What falls if a source or a claim falls is what had no other line behind it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from kg.chronology.verdict import Verdict
from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import Fall, what_falls
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import follows, says, weighed_of
from tests.sources_weighed.test_dependence import claim_in


def sources_of(fall: Fall) -> tuple[set[str], set[str], set[str]]:
    return tuple(
        {claim.citation.source for claim in claims if claim.property == "founded"}
        for claims in (fall.direct, fall.following, fall.unanchored)
    )  # type: ignore[return-value]  # three sets


COPIES = [says("b1"), says("b2"), says("b3"), follows("b2", "b1"), follows("b3", "b2"), follows("b1", "r1")]


def test_all_that_follow_fall_with_the_source_that_they_had_it_from() -> None:
    fall = what_falls(weighed_of("r1 b1 b2 b3", *COPIES), sources=["b1"])
    assert sources_of(fall) == ({"b1"}, {"b2", "b3"}, set())


def test_nobody_falls_who_had_it_by_another_line_too() -> None:
    weighed = weighed_of("r1 r2 b1 b2 b3", *COPIES, follows("b3", "r2"))
    assert sources_of(what_falls(weighed, sources=["b1"])) == ({"b1"}, {"b2"}, set())


def test_one_who_keeps_only_a_line_of_unknown_origin_loses_its_anchor() -> None:
    weighed = weighed_of(
        "r1 b1 b2 b9", says("b1"), says("b2"), follows("b2", "b1"), follows("b2", "b9"), follows("b1", "r1")
    )
    assert sources_of(what_falls(weighed, sources=["b1"])) == ({"b1"}, set(), {"b2"})


def test_a_claim_loses_its_anchor_with_the_source_that_told_of_the_link() -> None:
    link = Draft("b1", "sourceQuotes", "r1", Citation("b2", "p. 12"))
    weighed = weighed_of("r1 b1 b2", says("b1"), link)
    assert sources_of(what_falls(weighed, sources=["b2"])) == (set(), set(), {"b1"})


def test_a_claim_set_aside_takes_those_that_had_it_from_there() -> None:
    weighed = weighed_of("r1 b1 b2 b3", *COPIES, says("b1", "1884", "ceased"), says("b2", "1884", "ceased"))
    fall = what_falls(weighed, claims=[claim_in(weighed, "b1").id])
    assert sources_of(fall) == ({"b1"}, {"b2", "b3"}, set())
    assert {claim.property for claim in (*fall.direct, *fall.following)} == {"founded"}


def test_a_source_set_aside_as_witness_to_one_claim_keeps_its_others() -> None:
    weighed = weighed_of("r1 b1 b2 b3", *COPIES, says("b1", "1884", "ceased"), says("b2", "1884", "ceased"))
    about = claim_in(weighed, "b2")
    fall = what_falls(weighed, sources=["b1"], about=about)
    assert {claim.property for claim in (*fall.direct, *fall.following)} == {"founded"}


def test_the_fewest_sources_that_overturn_a_claim_do_overturn_it() -> None:
    weighed = weighed_of("r1 r2 b1 b2 b3", *COPIES, says("r2"))
    claim = claim_in(weighed, "b3")
    overturning = weighed.witnesses(claim).overturning
    assert set(overturning) == {"b1", "r2"}
    fall = what_falls(weighed, sources=overturning, about=claim)
    agreeing = {c.id for c, _ in weighed.statements.agreeing(claim)}
    assert agreeing <= fall.fallen
    for source in overturning:
        assert not agreeing <= what_falls(weighed, sources=[source], about=claim).fallen


@pytest.fixture
def dated() -> Weighed:
    """A lady dated before the year in which, as two books have it, her maker began."""
    things = (
        Thing("tarn", ("Firm",), "Tarn & Ottery"),
        Thing("lady", ("Piece",), "Lady"),
        *(Thing(slug, ("Book",), slug) for slug in ("b1", "b2", "b3")),
        Thing("r1", ("Register",), "Register"),
    )
    drafts = (
        says("b1"), says("b2"), follows("b2", "b1"),
        Draft("lady", "madeBy", "tarn", Citation("r1", "no. 3")),
        Draft("lady", "madeOn", "1864", Citation("b3", "p. 5"), written="1864"),
        Draft("tarn", "ceased", "1890", Citation("r1", "no. 4"), written="1890"),
    )  # fmt: skip
    start = datetime(2026, 1, 1, tzinfo=UTC)
    made = [compose(start, "A. Tester", things=things)]
    made += [
        compose(start + timedelta(minutes=n), "A. Tester", drafts=(d,)) for n, d in enumerate(drafts, start=1)
    ]
    return Weighed(WorkingView.of(load_vocabulary(), made))


def test_a_verdict_changes_when_what_it_rested_on_falls(dated: Weighed) -> None:
    fall = what_falls(dated, sources=["b1"])
    (changed,) = fall.verdicts
    assert (changed.claim.subject, changed.before, changed.after) == ("lady", Verdict.CANNOT, Verdict.FITS)


def test_the_windows_that_are_known_less_closely_are_told_before_and_after(dated: Weighed) -> None:
    wider = {(w.thing, w.span): w for w in what_falls(dated, sources=["b1"]).wider}
    begin = wider["tarn", "activity"]
    assert str(begin.before).startswith("1871-01-01")
    assert begin.after.begin_earliest is None


def test_a_dating_that_falls_itself_has_no_new_verdict(dated: Weighed) -> None:
    fall = what_falls(dated, sources=["b3"])
    assert fall.verdicts == ()
    assert [dating.claim.citation.source for dating in fall.fallen_datings] == ["b3"]


def test_nothing_is_written_by_setting_aside_in_thought(dated: Weighed) -> None:
    before = dict(dated.view.claims)
    what_falls(dated, sources=["b1"]).audit_after.datings  # noqa: B018  # worked out for its own sake
    assert dated.view.claims == before
    assert what_falls(dated, sources=["nobody"]).fallen == frozenset()
