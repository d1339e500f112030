"""Sources weighed, as the screen asks: witnesses, the picture of who has it from whom, what falls."""

from __future__ import annotations

import pytest

from kg.asking import Desk, Standpoint
from kg.asking.bearing import MOST_BEARING, most_bearing
from kg.asking.lineage import HIGH, WIDE, Box
from kg.asking.weighed import (
    sources_to_choose,
    weighed_page,
)
from kg.asking.weighing import NoSource
from kg.daybook.record import Thing
from kg.daybook.view import NotInDaybook
from kg.sources_weighed.impact import what_falls
from tests.conftest import Scene


@pytest.fixture
def copied(scene: Scene) -> Scene:
    """One deposit read by a book, which plates and an atlas follow; the atlas and a primer follow each other."""
    scene.add(things=[Thing("atlas", ("Book",), "Atlas of Heads"), Thing("primer", ("Book",), "A Primer")])
    scene.say("book", "sourceFollows", "register", "book")
    scene.say("plates", "sourceFollows", "book", "plates")
    scene.say("atlas", "sourceFollows", "book", "atlas")
    scene.say("atlas", "sourceFollows", "primer", "atlas")
    scene.say("primer", "sourceFollows", "atlas", "primer")
    for source in ("book", "plates", "atlas", "primer"):
        scene.say("brumelow", "diedOn", "1880", source)
    scene.say("head", "madeBy", "brumelow", "book")
    scene.say("head", "madeOn", "1899", "plates")
    return scene


def standpoint(scene: Scene) -> Standpoint:
    return Desk(scene.daybook.shelf.folder).standpoint()


def death_in(scene: Scene, source: str) -> str:
    """The claim of a source on when Adela Brumelow died."""
    live = scene.daybook.view().live
    return next(c.id for c in live if c.property == "diedOn" and c.citation.source == source)


def test_what_many_say_after_one_has_one_witness_and_its_bottleneck_is_marked(copied: Scene) -> None:
    page = weighed_page(standpoint(copied), death_in(copied, "plates"))
    assert page.headline == (
        "4 sources say it; 1 independent witness; all of it passes through A Book of Heads."
    )
    assert page.lineage is not None
    assert [box.said.text for box in page.lineage.boxes if box.is_marked] == ["A Book of Heads"]
    assert [row.source.thing for row in page.lineage.rows if row.is_marked] == ["book"]
    assert [(begins, [one.thing for one in route]) for begins, route in page.routes] == [
        ("begins first-hand", ["register", "book"])
    ]
    (circle,) = page.circles
    assert {one.thing for one in circle} == {"atlas", "primer"}


def test_each_source_stands_to_the_right_of_what_it_follows_and_no_boxes_overlap(copied: Scene) -> None:
    lineage = weighed_page(standpoint(copied), death_in(copied, "plates")).lineage
    assert lineage is not None
    at = {box.said.thing or "the claim": box for box in lineage.boxes}
    assert at["register"].left < at["book"].left < at["plates"].left < at["the claim"].left
    assert at["atlas"].left == at["primer"].left, "those in a circle stand in one layer"
    assert at["the claim"].is_end
    boxes = list(at.values())
    assert not any(overlap(one, other) for place, one in enumerate(boxes) for other in boxes[place + 1 :])
    assert max(box.left for box in boxes) + WIDE == lineage.width
    assert max(box.top for box in boxes) + HIGH == lineage.height
    assert len(lineage.paths) == 5 + 4, "a line for each that follows, and for each that says it"


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes cover each other."""
    return abs(one.left - other.left) < WIDE and abs(one.top - other.top) < HIGH


def test_the_list_beside_the_picture_names_the_claims_that_say_who_follows_whom(copied: Scene) -> None:
    lineage = weighed_page(standpoint(copied), death_in(copied, "plates")).lineage
    assert lineage is not None
    rows = {row.source.thing: row for row in lineage.rows}
    assert rows["register"].origin == "first-hand"
    ((source, claims),) = rows["plates"].has_from
    link = next(c for c in copied.daybook.view().live if c.subject == "plates")
    assert (source.thing, [one.claim for one in claims]) == ("book", [link.id])


def test_what_falls_with_a_claim_and_with_its_bottleneck_is_told_apart(copied: Scene) -> None:
    alone, narrow = weighed_page(standpoint(copied), death_in(copied, "plates")).falls
    assert (alone.title, alone.summary) == (
        "If this claim alone is set aside",
        "0 other claims fall with it.",
    )
    assert narrow.title == "If its bottleneck falls as witness to it: A Book of Heads"
    assert narrow.summary == "1 claim falls, and 3 more that had it by no other line."
    ((dating,),) = [narrow.verdicts]
    assert (dating.before, dating.after) == ("cannot fit", "nothing bounds it")


def test_a_source_is_weighed_by_its_name_and_drawn_with_those_before_and_after_it(copied: Scene) -> None:
    page = weighed_page(standpoint(copied), "a book of heads")
    assert not page.is_claim
    assert page.headline.startswith("3 claims cite it; 3 sources follow it, directly or through others.")
    assert page.lineage is not None
    assert {box.said.thing for box in page.lineage.boxes} == {"register", "book", "plates", "atlas", "primer"}
    assert [box.said.thing for box in page.lineage.boxes if box.is_end] == ["book"]
    assert not any(box.is_marked for box in page.lineage.boxes)


def test_a_source_that_follows_nothing_has_no_picture(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1880")
    assert weighed_page(standpoint(scene), "book").lineage is None


def test_a_source_with_many_followers_is_drawn_with_the_first_and_the_rest_is_counted(scene: Scene) -> None:
    books = [Thing(f"copy-{n}", ("Book",), f"Copy {n}") for n in range(50)]
    scene.add(things=books)
    for book in books:
        scene.say(book.slug, "sourceFollows", "book", book.slug)
    page = weighed_page(standpoint(scene), "book")
    assert page.lineage is not None
    assert len(page.lineage.boxes) == 30
    assert page.left_out == "21 further sources before or after these are left out."


def test_the_table_begins_with_the_source_with_which_most_falls(copied: Scene) -> None:
    point = standpoint(copied)
    sources = [slug for slug, t in point.view.things.items() if {"Book", "Register"} & set(t.kinds)]
    weights = {}
    for source in sources:
        fall = what_falls(point.weighed, sources=[source])
        weights[source] = len(fall.direct) + len(fall.following) + len(fall.unanchored)
    table = most_bearing(point)
    assert [one.source.thing for one in table] == sorted(weights, key=lambda one: (-weights[one], one))
    assert {one.source.thing: one.claims + one.following + one.unanchored for one in table} == weights
    assert table[0].share == 1.0 > table[-1].share
    register = next(one for one in table if one.source.thing == "register")
    assert (register.claims, register.following) == (0, weights["register"]), "it has no claim of its own"


def test_the_table_holds_the_heaviest_of_many(scene: Scene) -> None:
    books = [Thing(f"tome-{n:02}", ("Book",), f"Tome {n}") for n in range(MOST_BEARING + 6)]
    scene.add(things=books)
    for number, book in enumerate(books):
        for each in range(number + 1):
            scene.say(book.slug, "noted", f"remark {each}", book.slug)
    table = most_bearing(standpoint(scene))
    heaviest = range(MOST_BEARING + 5, 5, -1)
    assert [one.source.thing for one in table] == [f"tome-{n:02}" for n in heaviest]


def test_only_sources_are_offered(scene: Scene) -> None:
    slugs = [choice.slug for choice in sources_to_choose(standpoint(scene))]
    assert slugs == ["book", "plates", "register"]


def test_what_is_no_source_or_not_there_is_refused(copied: Scene) -> None:
    with pytest.raises(NoSource, match="Adela Brumelow is no source"):
        weighed_page(standpoint(copied), "brumelow")
    with pytest.raises(NotInDaybook, match="'gossip' is neither a source nor a claim"):
        weighed_page(standpoint(copied), "gossip")
