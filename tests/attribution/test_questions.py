"""A ranking kept as an open question, rerun when evidence changes, with what changed and why."""

from __future__ import annotations

import pytest

from kg.attribution.candidates import rank
from kg.attribution.questions import NoSourceForAnswer, changes, compared, kept, news, note_of
from kg.daybook.record import Thing, compose
from tests.attribution.trade import BEGUN, MOHAIR, SHOULDER, SWIVEL, THREADED, Trade, says, trade


def keep(book: Trade) -> None:
    note = note_of(rank(book.view(), "lady"), "A. Tester")
    clock = BEGUN.replace(year=2027 + len(book.entries) // 10)
    book.entries.append(compose(clock, note.researcher, note.remark, things=note.things, drafts=note.drafts))


def test_a_kept_question_has_its_answers_with_claims_for_and_against() -> None:
    book = trade()
    seen = book.lady(SWIVEL)
    keep(book)
    view = book.view()
    answers = {c.subject: c.value for c in view.live if c.property == "answerIs"}
    assert "brumelow" in answers.values()
    assert len(answers) >= 2
    leading = next(slug for slug, maker in answers.items() if maker == "brumelow")
    trailing = next(slug for slug, maker in answers.items() if maker != "brumelow")
    claim = seen.claims[0].id
    assert (leading, "supportedBy", claim) in {(c.subject, c.property, c.value) for c in view.live}
    assert (trailing, "disputedBy", claim) in {(c.subject, c.property, c.value) for c in view.live}
    assert kept(view, "lady") is not None


def test_a_question_never_kept_has_no_changes() -> None:
    book = trade()
    book.lady(SWIVEL)
    assert changes(rank(book.view(), "lady")) is None


def test_nothing_new_changes_nothing() -> None:
    book = trade()
    book.lady(SWIVEL)
    keep(book)
    found = changes(rank(book.view(), "lady"))
    assert found is not None
    assert (found.moved, found.added, found.dropped) == ((), (), ())


def test_a_new_observation_is_told_with_what_it_moved_and_why() -> None:
    book = trade()
    book.lady(SWIVEL)
    keep(book)
    clock = BEGUN.replace(year=2040)
    entry = compose(clock, "B. Tester", drafts=(says("lady", "hasFeature", THREADED, "lady"),))
    book.entries.append(entry)
    found = changes(rank(book.view(), "lady"))
    assert found is not None
    assert [c.id for c in found.added] == [entry.claims[0].id]
    first = next(m for m in found.moved if m.maker == "brumelow")
    assert first.before is not None
    assert first.after is not None
    assert first.after.probability > first.before.probability
    assert first.because[0][0] == "eyes"
    assert first.because[0][1] == 0 < first.because[0][2]


def test_a_claim_left_out_is_told_as_gone() -> None:
    book = trade()
    seen = book.lady(SWIVEL, MOHAIR)
    full = book.view()
    neck = next(c for c in seen.claims if c.value == SWIVEL)
    found = compared(rank(full, "lady"), rank(full.without([neck.id]), "lady"))
    assert [c.id for c in found.dropped] == [neck.id]
    assert {m.maker for m in found.moved} >= {"brumelow"}


def test_a_piece_that_is_no_source_needs_one_for_its_answers() -> None:
    book = trade()
    book.add(things=[Thing("doll", ("Piece",), "Doll")], drafts=[says("doll", "hasFeature", SHOULDER)])
    ranking = rank(book.view(), "doll")
    with pytest.raises(NoSourceForAnswer, match="Name one with --source"):
        note_of(ranking, "A. Tester")
    assert note_of(ranking, "A. Tester", "book").drafts


def test_keeping_again_says_only_what_is_new() -> None:
    book = trade()
    book.lady(SWIVEL)
    keep(book)
    assert news(book.view(), note_of(rank(book.view(), "lady"), "A. Tester")) is None
    seen = book.lady(THREADED)
    fresh = news(book.view(), note_of(rank(book.view(), "lady"), "A. Tester"))
    assert fresh is not None
    assert fresh.things == ()
    assert {d.property for d in fresh.drafts} <= {"askedOf", "supportedBy", "disputedBy"}
    assert seen.claims[0].id in {d.value for d in fresh.drafts}
