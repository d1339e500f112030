"""Whose is it? as the screen asks: the ranking, what is supposed, what is recorded of it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.asking import Desk, Standpoint
from kg.asking.observing import (
    ABSENT,
    LEFT_OUT,
    NOT_SEEN,
    SEEN_IT,
    NothingSupposed,
    drafts_of,
    read_supposed,
    view_with,
)
from kg.asking.whose import (
    NothingToKeep,
    Whose,
    findings_note,
    pieces_to_ask,
    question_note,
    seen_form,
    since_kept,
    whose,
)
from kg.attribution.candidates import NotAPiece, rank
from kg.attribution.features import load_features
from kg.attribution.observations import Finding, observed
from kg.attribution.questions import NoSourceForAnswer
from kg.daybook.view import NotInDaybook
from tests.asking.makers import trade
from tests.conftest import Scene

NECK, EYES = "seen-neck", "seen-eyes"


@pytest.fixture
def desk(scene: Scene) -> Desk:
    """The desk on the small trade."""
    return Desk(trade(scene).daybook.shelf.folder)


def chances(answer: Whose) -> dict[str, float]:
    """The chance of each maker that is ranked."""
    return {one.maker.thing or one.maker.text: one.share for one in answer.runners}


def test_pieces_without_a_maker_are_offered_first(desk: Desk) -> None:
    choices = pieces_to_ask(desk.standpoint())
    assert choices[0].text == "Lady with a blue snood (without a maker)"
    assert len(choices) == 37
    assert not any("without" in choice.text for choice in choices[1:])


def test_the_answer_is_that_of_the_ranking_and_adds_up_to_one(desk: Desk) -> None:
    standpoint = desk.standpoint()
    answer, ranking = whose(standpoint, "lady"), rank(standpoint.view, "lady")
    found = chances(answer)
    for candidate in ranking.candidates[:3]:
        assert found[candidate.maker] == pytest.approx(candidate.probability)
    assert found["A maker not in the daybook"] == pytest.approx(ranking.unrecorded)
    assert sum(found.values()) == pytest.approx(1)
    assert answer.runners[0].maker.text == "Birch"
    (reason,) = answer.runners[0].reasons
    assert (reason.feature, reason.found, reason.is_for) == ("neck", "swivel-neck", True)
    assert max(each.share for one in answer.runners for each in one.reasons) == 1.0
    assert reason.counted.startswith("on 11 of 12 recorded pieces of this maker; on ")
    assert [one["citation"] for one in reason.claims] == ["A Book of Heads, p. 99"]


def test_the_form_tells_what_is_on_record_and_what_each_value_looks_like(desk: Desk) -> None:
    groups = seen_form(desk.standpoint(), "lady")
    assert [group.label for group in groups][:2] == ["look", "lamp inside the head"]
    neck = next(one for group in groups for one in group.features if one.slug == NECK)
    assert [one.text for one in neck.possible[:3]] == [
        "As on record",
        "Leave what is on record out",
        "shoulder head",
    ]
    assert [one.text for one in neck.recorded] == ["swivel head on a shoulder plate"]
    assert {one.label: one.description for one in neck.meanings}["flange neck"] == (
        "The neck ends in a rim tied into a cloth body."
    )
    eyes = next(one for group in groups for one in group.features if one.slug == EYES)
    assert (eyes.possible[0].text, eyes.recorded) == ("Not yet looked at", ())


def test_a_supposition_moves_the_ranking_and_records_nothing(desk: Desk, scene: Scene) -> None:
    standpoint = desk.standpoint()
    before = len(scene.daybook.entries())
    supposed = ((EYES, SEEN_IT + "feature-eyes-sleeping"),)
    plain, with_it = whose(standpoint, "lady"), whose(standpoint, "lady", supposed)
    assert chances(with_it)["clary"] > chances(plain)["clary"]
    assert with_it.supposed == (("eyes", "sleeping eyes"),)
    assert "clary" in {one.maker.thing for one in with_it.moved}
    assert (plain.moved, plain.supposed) == ((), ())
    said = [one["standing"] for r in with_it.runners[0].reasons for one in r.claims if r.feature == "eyes"]
    assert said == ["supposed"]
    assert len(scene.daybook.entries()) == before


def test_what_is_supposed_gives_what_would_follow_if_it_were_recorded(desk: Desk) -> None:
    supposed = (
        (EYES, SEEN_IT + "feature-eyes-sleeping"),
        ("seen-mouth", ABSENT + "feature-mouth-open-teeth"),
    )
    then = whose(desk.standpoint(), "lady", supposed)
    with desk.daybook() as daybook:
        note = findings_note(desk.standpoint(), "lady", supposed, "A. Tester")
        daybook.record(daybook.compose(note))
    now = whose(desk.standpoint(), "lady")
    assert chances(now) == pytest.approx(chances(then))
    assert now.headline == then.headline


def test_what_is_left_out_counts_no_more(desk: Desk) -> None:
    answer = whose(desk.standpoint(), "lady", ((NECK, LEFT_OUT),))
    assert all(one.reasons == () for one in answer.runners)


def test_a_piece_that_was_looked_at_becomes_its_own_source(desk: Desk) -> None:
    supposed = ((EYES, SEEN_IT + "feature-eyes-sleeping"), ("seen-pate", NOT_SEEN))
    note = findings_note(desk.standpoint(), "lady", supposed, "A. Tester")
    assert [(thing.slug, thing.kinds) for thing in note.things] == [("lady", ("Piece", "ObjectExamined"))]
    assert [(d.subject, d.property, d.value, d.citation.source) for d in note.drafts] == [
        ("lady", "hasFeature", "feature-eyes-sleeping", "lady"),
        ("lady", "notExamined", "pate", "lady"),
    ]


def test_leaving_out_alone_is_nothing_to_record(desk: Desk) -> None:
    with pytest.raises(NothingSupposed, match="Nothing was seen yet"):
        findings_note(desk.standpoint(), "lady", ((NECK, LEFT_OUT),), "A. Tester")


def test_what_the_form_does_not_offer_is_passed_over(desk: Desk) -> None:
    groups = seen_form(desk.standpoint(), "lady")
    given = {EYES: "seen:feature-nothing", "seen-gossip": "seen:x", NECK: LEFT_OUT, "seen-pate": ""}
    assert read_supposed(groups, given) == ((NECK, LEFT_OUT),)


@pytest.fixture(scope="module")
def module_standpoint(tmp_path_factory: pytest.TempPathFactory) -> Standpoint:
    """The small trade, one for all examples of a law."""
    scene = trade(Scene(tmp_path_factory.mktemp("law")))
    return Desk(scene.daybook.shelf.folder).standpoint()


@settings(max_examples=60, deadline=None)
@given(choice=st.data())
def test_what_is_supposed_of_a_feature_is_read_back_as_that(
    choice: st.DataObject, module_standpoint: Standpoint
) -> None:
    groups = seen_form(module_standpoint, "lady")
    feature = choice.draw(st.sampled_from([one for group in groups for one in group.features]))
    key = choice.draw(st.sampled_from([one.key for one in feature.possible]))
    features, view = load_features(), module_standpoint.view
    supposed = read_supposed(groups, {feature.slug: key})
    after = observed(view_with(view, features, "lady", supposed), features, "lady")
    found = [one for one in after if one.feature == feature.slug]
    if key == "":
        assert found == [one for one in observed(view, features, "lady") if one.feature == feature.slug]
    elif key == LEFT_OUT:
        assert found == []
    else:
        wanted = {SEEN_IT: Finding.PRESENT, ABSENT: Finding.ABSENT}
        finding = next((wanted[start] for start in wanted if key.startswith(start)), Finding.NOT_EXAMINED)
        assert [(one.finding, one.value) for one in found] == [(finding, key.partition(":")[2])]
        assert len(drafts_of(view, features, "lady", supposed)) == 1


def test_a_ranking_is_kept_once_and_tells_what_moved_since(desk: Desk, scene: Scene) -> None:
    def keep(source: str | None) -> None:
        with desk.daybook() as daybook:
            daybook.record(daybook.compose(question_note(desk.standpoint(), "lady", "A. Tester", source)))

    assert since_kept(desk.standpoint(), "lady") is None
    with pytest.raises(NoSourceForAnswer):
        keep(None)
    keep("book")
    with pytest.raises(NothingToKeep, match="kept already"):
        keep("book")
    answer = whose(desk.standpoint(), "lady")
    assert answer.kept_on is not None
    assert answer.question == "question-who-made-lady"
    assert since_kept(desk.standpoint(), "lady") == ()
    from kg.daybook.daybook import Note
    from kg.daybook.record import Citation, Draft

    draft = Draft("lady", "hasFeature", "feature-eyes-sleeping", Citation("book", "p. 100"))
    scene.daybook.record(scene.daybook.compose(Note("A. Tester", drafts=(draft,))))
    moved = since_kept(desk.standpoint(), "lady")
    assert moved is not None
    assert "clary" in {one.maker.thing for one in moved}


def test_a_maker_whom_the_dates_rule_out_is_struck_with_the_claims(desk: Desk, scene: Scene) -> None:
    scene.clock = scene.clock.replace(hour=12)
    scene.say("birch", "ceased", "1860")
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("lady", "bearsRegistration", "deposit", "register")
    answer = whose(desk.standpoint(), "lady")
    (struck,) = answer.struck
    assert struck.maker.text == "Birch"
    assert struck.but_for is not None
    assert {one["sentence"] for one in struck.claims} >= {"Deposit 142 filed 1875-03-01"}
    assert "birch" not in chances(answer)


def test_too_few_pieces_are_said_and_the_form_is_there_all_the_same(scene: Scene) -> None:
    standpoint = Desk(scene.daybook.shelf.folder).standpoint()
    answer = whose(standpoint, "lady")
    assert answer.too_few is not None
    assert answer.too_few.startswith("Too few recorded pieces to rank")
    assert (answer.runners, answer.trust, answer.looks) == ((), None, ())
    assert seen_form(standpoint, "lady")


def test_the_diagram_holds_each_piece_once(desk: Desk) -> None:
    trust = whose(desk.standpoint(), "lady").trust
    assert trust is not None
    assert sum(int(dot.pieces) for dot in trust.dots) == 36
    assert max(dot.share for dot in trust.dots) == 1.0
    assert all(0 <= dot.said <= 1 and 0 <= dot.true <= 1 for dot in trust.dots)


def test_what_is_no_piece_or_not_there_is_refused(desk: Desk) -> None:
    with pytest.raises(NotAPiece, match="A Book of Heads"):
        whose(desk.standpoint(), "book")
    with pytest.raises(NotInDaybook):
        whose(desk.standpoint(), "gossip")
