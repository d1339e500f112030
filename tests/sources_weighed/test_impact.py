"""What falls if a source or a claim falls is what had no other line behind it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from kg.chronology.verdict import Verdict
from kg.dates.window import Window, day_of
from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import Fall, what_falls
from kg.sources_weighed.rests import WiderWindow, is_wider
from kg.sources_weighed.telling import told_fall, told_wider
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
        Thing("lady", ("Piece",), "Lady", is_confidential=True),
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


def test_datings_bind_no_window_that_could_widen_without_them(dated: Weighed) -> None:
    assert what_falls(dated, sources=["b3"]).wider == ()


def test_no_window_is_told_as_wider_that_is_narrower_on_its_other_side() -> None:
    old, lower = Window(10, 12, 14, 20), Window(8, 12, 14, 18)
    assert not is_wider(lower, old)
    assert not is_wider(old, old)
    assert not is_wider(Window(11, 12, 14, 19), old)
    assert is_wider(Window(None, 12, 14, 20), old)


def test_without_the_false_year_the_dating_that_it_excluded_narrows_no_window(dated: Weighed) -> None:
    wider = {(w.thing, w.span): w for w in what_falls(dated, sources=["b1"]).wider}
    assert wider["lady", "making"].after.begin_earliest is None
    assert all(is_wider(w.after, w.before) for w in wider.values())


def test_the_words_for_a_wider_window_differ_and_say_what_is_confidential(dated: Weighed) -> None:
    told = told_fall(what_falls(dated, sources=["r1"]))["wider"]
    assert told
    assert all(row["before"]["text"] != row["after"]["text"] for row in told)
    assert {row["thing"]: row["confidential"] for row in told}["lady"] is True


def test_where_only_the_latest_begin_is_given_up_begin_and_end_are_told_apart() -> None:
    close, wide, end = (
        Window.within(day_of(first), day_of(last, 12, 31))
        for first, last in ((1871, 1871), (1871, 1875), (1890, 1890))
    )
    before, after = Window.spanning(close, end), Window.spanning(wide, end)
    row = told_wider(weighed_of("r1", says("r1")).view, WiderWindow("tarn", "activity", before, after))
    assert row["before"]["text"] == "begun 1871, ended 1890"
    assert row["after"]["text"] == "begun 1871–1875, ended 1890"


def test_a_dating_that_falls_itself_has_no_new_verdict(dated: Weighed) -> None:
    fall = what_falls(dated, sources=["b3"])
    assert fall.verdicts == ()
    assert [dating.claim.citation.source for dating in fall.fallen_datings] == ["b3"]


def test_nothing_is_written_by_setting_aside_in_thought(dated: Weighed) -> None:
    before = dict(dated.view.claims)
    what_falls(dated, sources=["b1"]).audit_after.datings  # noqa: B018  # worked out for its own sake
    assert dated.view.claims == before
    assert what_falls(dated, sources=["nobody"]).fallen == frozenset()
