"""The loose ends as the screen asks for them."""

from __future__ import annotations

import pytest

from kg.asking import Desk, Standpoint
from kg.asking.loose import A_PAGE, UnknownKind, loose_page
from kg.daybook.record import Thing
from tests.conftest import Scene


def standpoint(scene: Scene) -> Standpoint:
    return Desk(scene.daybook.shelf.folder).standpoint()


def test_each_kind_is_counted_and_one_kind_can_be_asked_for(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1850")
    scene.say("brumelow", "diedOn", "1840")
    every = loose_page(standpoint(scene))
    counts = {kind.name: kind.count for kind in every.kinds}
    assert counts["conflict"] == counts["no-maker"] == counts["no-date"] == 1
    assert every.count == sum(counts.values()) == len(every.ends)
    only = loose_page(standpoint(scene), "conflict")
    assert (only.count, [end.kind for end in only.ends]) == (every.count, ["conflict"])
    assert only.heading == "1 loose end"
    assert {row.claim for row in only.ends[0].claims} == {
        c.id for c in scene.daybook.view().live if c.property in ("bornOn", "diedOn")
    }


def test_a_piece_without_a_maker_leads_to_where_it_is_looked_for(scene: Scene) -> None:
    (end,) = loose_page(standpoint(scene), "no-maker").ends
    assert [part.text for part in end.about] == ["Lady with a blue snood"]
    assert [(way.screen, way.parts) for way in end.ways] == [("whose_is_it", (("id", "lady"),))]
    assert end.settled_by.startswith("Look for marks")


def test_many_loose_ends_come_in_pages(scene: Scene) -> None:
    scene.add(things=[Thing(f"piece-{n}", ("Piece",), f"Piece {n}") for n in range(A_PAGE)])
    first, last = (loose_page(standpoint(scene), "no-maker", number) for number in ("", "99"))
    assert (first.number, first.pages, len(first.ends)) == (1, 2, A_PAGE)
    assert (last.number, len(last.ends)) == (2, 1)
    assert first.heading == f"{A_PAGE + 1} loose ends, 1 to {A_PAGE} shown"
    assert not {end.about for end in first.ends} & {end.about for end in last.ends}


@pytest.mark.parametrize("number", ["-1", "two", "0", "²"])
def test_a_foolish_page_is_the_first(number: str, scene: Scene) -> None:
    assert loose_page(standpoint(scene), "", number).number == 1


def test_a_kind_that_there_is_not_is_refused_with_those_that_there_are(scene: Scene) -> None:
    with pytest.raises(UnknownKind) as told:
        loose_page(standpoint(scene), "gossip")
    assert "'gossip' is no kind of loose end. There are: conflict, printed" in str(told.value)
