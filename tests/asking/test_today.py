"""The first screen: what was added lately, and what came of it."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from kg.asking import Desk
from kg.asking.today import brought, lately
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from tests.conftest import Scene

#: Scenes begin on the first of January.
BEGUN, LATER = date(2026, 1, 1), date(2026, 1, 20)


def later(scene: Scene, *, researcher: str = "B. Other", judgements: tuple[Judgement, ...] = ()) -> None:
    """An entry of a later day by another researcher."""
    drafts = (Draft("brumelow", "diedOn", "1840", Citation("register", "p. 2"), "1840"),)
    when = datetime(2026, 1, 19, 9, tzinfo=UTC)
    note = Note(researcher, "A find.", drafts=drafts, judgements=judgements, recorded=when)
    scene.daybook.record(scene.daybook.compose(note))


def test_entries_stand_by_day_and_researcher_the_latest_first(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1850")
    later(scene)
    page = lately(Desk(scene.daybook.shelf.folder).standpoint(), "month", LATER)
    assert [(one.day, one.researcher, len(one.entries)) for one in page.sittings] == [
        ("19 January 2026", "B. Other", 1),
        ("1 January 2026", "A. Tester", 2),
    ]
    noted = page.sittings[0].entries[0]
    assert (noted.note, noted.holds) == ("A find.", "1 claim")
    assert "".join(part.text for part in noted.claims[0]) == "Adela Brumelow died 1840"
    assert {part.claim for part in noted.claims[0]} > {None}
    assert page.heading == "Since 21 December 2025: 3 entries by 2 researchers, with 2 claims."


def test_the_shortest_stretch_in_which_anything_was_added_is_shown(scene: Scene) -> None:
    standpoint = Desk(scene.daybook.shelf.folder).standpoint()
    for day, shown in (
        (date(2026, 1, 7), "week"),
        (date(2026, 1, 8), "month"),
        (date(2026, 3, 1), "quarter"),
        (date(2026, 9, 1), "year"),
    ):
        page = lately(standpoint, "", day)
        assert [one.name for one in page.stretches if one.is_shown] == [shown]
        assert page.sittings
    long_after = lately(standpoint, "", date(2030, 1, 1))
    assert long_after.sittings == ()
    assert (
        long_after.heading == "Nothing was added since 1 January 2029; the last entry is of 1 January 2026."
    )


@pytest.mark.parametrize("name", ["", "decade", "<b>"])
def test_a_stretch_that_there_is_not_is_passed_over(name: str, scene: Scene) -> None:
    page = lately(Desk(scene.daybook.shelf.folder).standpoint(), name, BEGUN)
    assert [one.name for one in page.stretches if one.is_shown] == ["week"]


def test_a_contradiction_that_came_since_is_told_and_an_old_one_is_not(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1850")
    desk = Desk(scene.daybook.shelf.folder)
    later(scene)
    new = brought(desk, desk.standpoint(), BEGUN)
    assert len(new.conflicts) == 1
    assert {row.value.text for row in new.conflicts[0].claims} == {"1850", "1840"}
    assert new.conflict_heading.startswith("1 new contradiction.")
    old = brought(desk, desk.standpoint(), date(2026, 1, 19))
    assert old.conflicts == ()
    assert old.conflict_heading == "No new contradiction. 1 set of claims in all cannot be true together."


def test_a_contradiction_that_was_settled_since_is_counted(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1850")
    wrong = scene.say("brumelow", "diedOn", "1840")
    desk = Desk(scene.daybook.shelf.folder)
    when = datetime(2026, 1, 19, 9, tzinfo=UTC)
    judged = Note("B. Other", judgements=(Judgement(wrong.id, "setAside", "A slip."),), recorded=when)
    scene.daybook.record(scene.daybook.compose(judged))
    found = brought(desk, desk.standpoint(), BEGUN)
    assert (found.settled, found.conflicts) == (1, ())
    assert found.conflict_heading == "No claims contradict each other."
    (judgement,) = lately(desk.standpoint(), "month", LATER).sittings[0].entries[0].judged
    assert (judgement.claim.claim, judgement.finding, judgement.why) == (wrong.id, "set aside", "A slip.")


def test_a_dating_with_another_verdict_than_then_is_told(scene: Scene) -> None:
    scene.say("head", "madeBy", "brumelow")
    dating = scene.say("head", "madeOn", "1860")
    desk = Desk(scene.daybook.shelf.folder)
    later(scene)
    (turned,) = brought(desk, desk.standpoint(), BEGUN).turned
    assert (turned.row.claim, turned.then, turned.now) == (dating.id, "nothing bounds it", "cannot fit")


def test_what_is_printed_and_written_is_told_when_its_claims_fall(scene: Scene) -> None:
    from kg.essays.stored import save_essay

    claim = scene.say("head", "madeBy", "brumelow")
    at = Citation("plates", "p. 9")
    scene.add(
        things=[Thing("sentence-1", ("PrintedSentence",), "Sentence 1")],
        drafts=[
            Draft("sentence-1", "sentenceOf", "plates", at),
            Draft("sentence-1", "sentenceText", "By Adela Brumelow.", at),
            Draft("sentence-1", "restsOn", claim.id, at),
        ],
    )
    text = f"# The head\n\nShe is by Adela Brumelow.[^{claim.id}]\n"
    save_essay(scene.daybook, "essay-head", text, "A. Tester", about=["head"])
    desk = Desk(scene.daybook.shelf.folder)
    assert brought(desk, desk.standpoint(), BEGUN).unfounded == ()
    gone = Note("A. Tester", judgements=(Judgement(claim.id, "withdrawn", "A slip."),))
    scene.daybook.record(scene.daybook.compose(gone))
    printed, written = brought(desk, desk.standpoint(), BEGUN).unfounded
    assert (printed.where.thing, printed.words) == ("plates", "By Adela Brumelow.")
    assert (written.where.thing, written.where.text) == ("essay-head", "The head")
    assert [row.claim for row in (*printed.claims, *written.claims)] == [claim.id, claim.id]
