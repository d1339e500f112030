"""Judging, joining, and questions from the desk: what each note says, and what is told before."""

from __future__ import annotations

import pytest

from kg.asking import Desk
from kg.asking.effect import MOST_CONFLICTS
from kg.asking.judging import (
    DIFFERENT,
    SAME,
    SPLIT,
    NoJudgement,
    compared,
    joining_note,
    judgement_note,
    others_like,
    standings,
)
from kg.asking.questions import (
    AGAINST,
    FOR,
    NoQuestion,
    answer_note,
    question_note,
    question_page,
    questions_on,
    support_note,
)
from kg.asking.recording import record_note, try_note
from kg.asking.roles import Colleague
from kg.chronology.verdict import Verdict
from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.intake.reconcile.joining import Basis, CannotJoin
from tests.conftest import Scene

EDITOR = Colleague("A. Quill")


@pytest.fixture
def desk(scene: Scene) -> Desk:
    """A head whose dating its maker's death rules out."""
    scene.say("brumelow", "diedOn", "1880-05")
    scene.say("head", "madeBy", "brumelow")
    scene.say("head", "madeOn", "1895", "plates")
    return Desk(scene.daybook.shelf.folder)


def claim(desk: Desk, says: str) -> str:
    """The id of the only claim with a property."""
    (found,) = (c.id for c in desk.standpoint().view.claims.values() if c.property == says)
    return found


def test_the_standings_are_those_of_the_vocabulary(desk: Desk) -> None:
    view = desk.standpoint().view
    assert [one.slug for one in standings(view)] == list(view.vocabulary.standings)


def test_what_a_judgement_would_change_is_told_before_and_after(desk: Desk) -> None:
    note = judgement_note(desk.standpoint().view, claim(desk, "diedOn"), "setAside", "a namesake", "A. Quill")
    effect = try_note(desk, note).effect
    (dated,) = effect.datings
    assert (dated.before, dated.after) == (Verdict.CANNOT, Verdict.UNBOUNDED)
    moved = {(one.thing.text, one.span): (one.before, one.after) for one in effect.windows}
    assert moved["Head of the lady", "making"] == ("1 May 1770 to 31 May 1890", "not known")
    assert {one.how for one in effect.windows} == {"wider"}
    (settled,) = effect.settled
    assert len(settled) == 3


def test_a_judgement_is_recorded_and_not_passed_twice(desk: Desk) -> None:
    died = claim(desk, "diedOn")
    note = judgement_note(desk.standpoint().view, died, "doubted", "a namesake", "A. Quill")
    record_note(desk, EDITOR, note)
    view = desk.standpoint().view
    assert view.standing(died) == "doubted"
    with pytest.raises(NoJudgement, match="doubted already: a namesake"):
        judgement_note(view, died, "doubted", "again", "A. Quill")
    with pytest.raises(NoJudgement, match="No reason is given"):
        judgement_note(view, died, "held", "  ", "A. Quill")


def test_two_things_are_compared_joined_and_parted_again(scene: Scene, desk: Desk) -> None:
    scene.add(things=[Thing("brummelow", ("Person",), "Adela Brummelow")])
    before = compared(desk.standpoint(), "brumelow", "brummelow")
    assert before.offered == (SAME, DIFFERENT)
    assert before.reasons
    assert [one.slug for one in others_like(desk.standpoint(), "brumelow")][:1] == ["brummelow"]
    pair = ("brumelow", "brummelow")
    basis = Basis("one hand, one address", "A. Quill")
    record_note(desk, EDITOR, joining_note(desk.standpoint().view, SAME, pair, basis))
    joined = compared(desk.standpoint(), *pair)
    assert joined.stands == "on record as one"
    assert joined.offered == (SPLIT, DIFFERENT)
    with pytest.raises(CannotJoin, match="one on record already"):
        joining_note(desk.standpoint().view, SAME, pair, basis)
    record_note(desk, EDITOR, joining_note(desk.standpoint().view, SPLIT, pair, basis))
    record_note(desk, EDITOR, joining_note(desk.standpoint().view, DIFFERENT, pair, basis))
    apart = compared(desk.standpoint(), *pair)
    assert apart.stands == "on record as two"
    assert apart.offered == (SAME,)


def test_what_joining_would_contradict_is_told(scene: Scene, desk: Desk) -> None:
    scene.add(things=[Thing("brummelow", ("Person",), "Adela Brummelow")])
    scene.say("brummelow", "bornOn", "1885")
    note = joining_note(
        desk.standpoint().view, SAME, ("brumelow", "brummelow"), Basis("one name", "A. Quill")
    )
    effect = try_note(desk, note).effect
    assert any(
        {"".join(p.text for p in one.said) for one in lines}
        >= {"Adela Brumelow died 1880-05", "Adela Brummelow born 1885"}
        for lines in effect.conflicts
    )


def test_answers_stand_side_by_side_with_claims_for_and_against(desk: Desk) -> None:
    def view() -> WorkingView:
        return desk.standpoint().view

    record_note(desk, EDITOR, question_note(view(), "Who made the head?", "head", "", "A. Quill"))
    (choice,) = questions_on(desk.standpoint(), "head")
    assert choice.text == "Who made the head?"
    assert questions_on(desk.standpoint(), "lady") == ()
    for thing in ("brumelow", "tarn"):
        record_note(desk, EDITOR, answer_note(view(), choice.slug, thing, "a family likeness", "A. Quill"))
    with pytest.raises(NoQuestion, match="an answer to it already"):
        answer_note(view(), choice.slug, "tarn", "again", "A. Quill")
    page = question_page(desk.standpoint(), choice.slug)
    first = next(one for one in page.answers if one.says[0].thing == "brumelow")
    made, died = claim(desk, "madeBy"), claim(desk, "diedOn")
    for side, found in ((FOR, made), (AGAINST, died)):
        record_note(desk, EDITOR, support_note(view(), first.slug, found, side, "it says so", "A. Quill"))
    with pytest.raises(NoQuestion, match="brought forward so already"):
        support_note(view(), first.slug, made, FOR, "again", "A. Quill")
    again = question_page(desk.standpoint(), choice.slug)
    answer = next(one for one in again.answers if one.slug == first.slug)
    assert [one.row.claim for one in answer.for_it] == [made]
    assert [one.row.claim for one in answer.against_it] == [died]


@pytest.mark.parametrize(
    ("words", "about", "said"), [(" ", "head", "not worded"), ("Who?", "", "asked of nothing")]
)
def test_a_question_lacking_something_says_what(words: str, about: str, said: str, desk: Desk) -> None:
    with pytest.raises(NoQuestion, match=said):
        question_note(desk.standpoint().view, words, about, "", "A. Quill")


def test_what_is_no_question_or_claim_is_said(desk: Desk) -> None:
    with pytest.raises(NoQuestion, match="'head' is no question"):
        question_page(desk.standpoint(), "head")
    with pytest.raises(NoQuestion, match="no claim 'cnone'"):
        support_note(desk.standpoint().view, "x", "cnone", FOR, "why", "A. Quill")
    with pytest.raises(NoQuestion, match="No answer is chosen"):
        answer_note(desk.standpoint().view, "q", "", "why", "A. Quill")


def test_of_many_conflicts_the_smallest_are_told_and_the_rest_counted(scene: Scene, desk: Desk) -> None:
    scene.add(things=[Thing("brummelow", ("Person",), "Adela Brummelow")])
    for number in range(8):
        scene.add(things=[Thing(f"book{number}", ("Book",), f"Book {number}")])
        scene.say("brummelow", "bornOn", f"{1885 + number}", f"book{number}")
    note = joining_note(
        desk.standpoint().view, SAME, ("brumelow", "brummelow"), Basis("one name", "A. Quill")
    )
    effect = try_note(desk, note).effect
    assert len(effect.conflicts) == MOST_CONFLICTS
    assert effect.more_conflicts >= 3
    sizes = [len(lines) for lines in effect.conflicts]
    assert sizes == sorted(sizes)
