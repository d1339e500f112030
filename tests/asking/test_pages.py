"""The pages of a thing and of a claim, as values."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from kg.asking import Desk, Standpoint
from kg.asking.claim import claim_page
from kg.asking.parts import Part
from kg.asking.thing import HEADINGS, NotOnRecord, thing_page
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from kg.vocabulary import load_vocabulary
from tests.conftest import Scene


def words(parts: Iterable[Part]) -> str:
    """The text of some parts."""
    return "".join(part.text for part in parts)


def standpoint(scene: Scene) -> Standpoint:
    """The daybook of a scene as a screen sees it."""
    return Desk(scene.daybook.shelf.folder).standpoint()


def judge(scene: Scene, claim: str, standing: str, why: str) -> None:
    """Record a judgement."""
    note = Note("B. Judge", judgements=(Judgement(claim, standing, why),))
    scene.daybook.record(scene.daybook.compose(note))


def test_every_group_of_the_vocabulary_has_a_heading() -> None:
    assert {prop.group for prop in load_vocabulary().properties.values()} <= HEADINGS.keys()


def test_claims_stand_by_group_in_the_order_of_the_vocabulary(scene: Scene) -> None:
    scene.say("head", "soldOn", "1880")
    scene.say("head", "madeBy", "brumelow")
    scene.say("head", "madeOn", "1878~")
    page = thing_page(standpoint(scene), "head")
    assert [(s.title, [row.property for row in s.rows]) for s in page.sections] == [
        ("Making", ["made", "made by"]),
        ("Ownership and sale", ["first sold"]),
    ]
    made = page.sections[0].rows[0]
    assert (made.read_as, words(made.cited)) == ("1873–1883", "A Book of Heads, p. 1")
    assert page.sections[0].rows[1].value == Part("Adela Brumelow", thing="brumelow")


def test_a_claim_stays_on_the_page_whatever_its_standing(scene: Scene) -> None:
    claim = scene.say("head", "madeBy", "brumelow")
    judge(scene, claim.id, "withdrawn", "another head")
    (row,) = thing_page(standpoint(scene), "head").sections[0].rows
    assert (row.standing, row.why) == ("withdrawn", "another head")


def test_a_maker_is_told_of_where_others_lead_to_it(scene: Scene) -> None:
    scene.say("head", "madeBy", "brumelow")
    (section,) = thing_page(standpoint(scene), "brumelow").mentions
    assert section.title == "Made by Adela Brumelow"
    assert words(section.rows[0].sentence) == "Head of the lady made by Adela Brumelow"


def test_a_source_tells_what_it_says_in_the_order_of_its_pages(scene: Scene) -> None:
    for place in ("p. 10", "p. 9", "pl. 2"):
        scene.add(drafts=[Draft("head", "condition", f"seen at {place}", Citation("book", place))])
    scene.say("plates", "sourceFollows", "book", "plates")
    page = thing_page(standpoint(scene), "book")
    assert page.says is not None
    assert [words(row.cited) for row in page.says.rows] == ["pl. 2", "p. 9", "p. 10"]
    assert [one.source.text for one in page.followed_by] == ["Plates of Heads"]
    assert page.follows == ()


def test_no_section_is_longer_than_can_be_read_and_all_is_counted(scene: Scene) -> None:
    for number in range(5):
        scene.add(drafts=[Draft("head", "condition", f"state {number}", Citation("book", "p. 1"))])
    (section,) = thing_page(standpoint(scene), "head", 3).sections
    assert (len(section.rows), section.count) == (3, 5)
    assert len(thing_page(standpoint(scene), "head", None).sections[0].rows) == 5


def test_the_parts_of_a_piece_tell_their_own_making(scene: Scene) -> None:
    scene.say("lady", "hasPart", "head")
    scene.say("head", "madeBy", "brumelow")
    (part,) = thing_page(standpoint(scene), "lady").parts
    assert (part.name.text, part.relation, [row.property for row in part.rows]) == (
        "Head of the lady",
        "has the part",
        ["made by"],
    )


def test_a_mark_is_read_on_the_page_of_the_piece_that_bears_it(scene: Scene) -> None:
    scene.add(things=[Thing("stamp", ("Mark",), "Stamp")])
    scene.say("head", "bears", "stamp")
    scene.say("stamp", "transcribed", "Germany / D.R.G.M. 45560")
    (mark,) = thing_page(standpoint(scene), "head").marks
    assert mark.transcription == "Germany / D.R.G.M. 45560"
    assert len(mark.sentences) >= 2
    assert mark.window is not None


def test_the_same_thing_under_another_name_is_told_on_both_pages(scene: Scene) -> None:
    scene.say("tarn", "sameAs", "shop")
    view = standpoint(scene)
    assert thing_page(view, "tarn").same_as == (Part("The Lantern Bazaar", thing="shop"),)
    assert thing_page(view, "shop").same_as == (Part("Tarn & Ottery", thing="tarn"),)


def test_the_window_is_drawn_only_where_something_bounds_it(scene: Scene) -> None:
    assert thing_page(standpoint(scene), "head").timeline is None
    scene.say("head", "soldOn", "1880-03")
    drawn = thing_page(standpoint(scene), "head").timeline
    assert drawn is not None
    assert [(bar.label, bar.text) for bar in drawn.bars] == [
        ("Making", "up to 31 March 1880"),
        ("First sale", "March 1880"),
    ]


def test_the_history_names_who_touched_a_thing_the_latest_first(scene: Scene) -> None:
    claim = scene.say("head", "madeBy", "brumelow")
    judge(scene, claim.id, "doubted", "no reason given there")
    history = thing_page(standpoint(scene), "head").history
    assert [(touch.researcher, touch.holds) for touch in history] == [
        ("B. Judge", "1 judgement"),
        ("A. Tester", "1 claim"),
        ("A. Tester", "10 things"),
    ]


def test_a_thing_that_nobody_named_is_not_on_record(scene: Scene) -> None:
    with pytest.raises(NotOnRecord, match=r"'nobody' is not in the daybook\. Look for it by its name"):
        thing_page(standpoint(scene), "nobody")


def test_a_claim_tells_who_else_says_so_and_who_says_otherwise(scene: Scene) -> None:
    claim = scene.say("brumelow", "diedOn", "1880")
    same = scene.say("brumelow", "diedOn", "1880", "plates")
    other = scene.say("brumelow", "diedOn", "1891", "register")
    judge(scene, claim.id, "doubted", "the stone says otherwise")
    page = claim_page(standpoint(scene), claim.id)
    assert [row.claim for row in page.agreeing] == [same.id]
    assert [row.claim for row in page.contrary] == [other.id]
    assert (page.standing, page.row.why) == ("doubted", "the stone says otherwise")
    assert [(j.standing, j.researcher) for j in page.judgements] == [("doubted", "B. Judge")]
    assert page.witnesses.startswith("2 sources say it")
    assert page.entry is not None
    assert (page.entry.researcher, page.entry.day) == ("A. Tester", "1 January 2026")


def test_a_claim_about_a_claim_is_told_on_its_page(scene: Scene) -> None:
    claim = scene.say("brumelow", "diedOn", "1880")
    about = scene.say(claim.id, "claimTakenFrom", "register", "plates")
    (row,) = claim_page(standpoint(scene), claim.id).about_it
    assert row.claim == about.id
    assert words(row.sentence).startswith("Adela Brumelow died 1880")


def test_a_claim_that_is_not_there_yet_says_so(scene: Scene) -> None:
    with pytest.raises(NotOnRecord, match="There is no claim 'cnothing'"):
        claim_page(standpoint(scene), "cnothing")
