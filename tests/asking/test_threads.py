"""What the screen *Threads* shows: routes, surroundings, all that joins two things, and the same along the years."""

from __future__ import annotations

import pytest

from kg.asking import Desk, Standpoint
from kg.asking.thing import NotOnRecord
from kg.asking.threads import LEAST, SameThing, Sought, threads_page
from kg.daybook.record import Thing
from tests.conftest import Scene


@pytest.fixture
def trade(scene: Scene) -> Scene:
    """A head by Brumelow, of a material that another head shares, sold by a shop, under a deposit."""
    scene.add(things=[Thing("bisque", ("Material",), "Bisque"), Thing("other", ("Head",), "Another head")])
    scene.say("brumelow", "diedOn", "1880-05", "register")
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("head", "madeBy", "brumelow", "register")
    scene.say("head", "madeBy", "brumelow", "plates")
    scene.say("head", "bearsRegistration", "deposit", "register")
    scene.say("head", "soldBy", "shop", "register")
    scene.say("head", "usesMaterial", "bisque", "register")
    scene.say("other", "usesMaterial", "bisque", "register")
    return scene


def standpoint(scene: Scene) -> Standpoint:
    return Desk(scene.daybook.shelf.folder).standpoint()


def test_an_address_says_again_what_was_sought() -> None:
    sought = Sought(
        "head",
        "shop",
        3,
        frozenset({"source", "mark"}),
        "second-hand",
        True,
        (1870, 1890),
        ("tarn",),
        "maker",
        "head",
    )
    assert Sought.from_parts(sought.to_parts()) == sought
    assert Sought.from_parts({}) == Sought()
    assert Sought().to_parts() == {}


@pytest.mark.parametrize(
    "parts",
    [
        {"steps": "9"},
        {"steps": "²"},
        {"least": "certain"},
        {"without": "dragons"},
        {"all": "dragons"},
        {"years": "1890..1870"},
        {"years": "1870"},
        {"years": "a..b"},
    ],
)
def test_a_part_of_an_address_that_cannot_be_understood_is_passed_over(parts: dict[str, str]) -> None:
    assert Sought.from_parts(parts) == Sought()


def test_a_thread_is_told_step_by_step_with_its_claims(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought("brumelow", "shop"))
    (thread,) = page.threads
    assert [part.text for part in thread.way] == ["Adela Brumelow", "Head of the lady", "The Lantern Bazaar"]
    first, second = thread.joints
    assert (
        "".join(part.text for part in second.claim.sentence)
        == "Head of the lady first sold by The Lantern Bazaar"
    )
    assert second.claim.cited[0].thing == "register"
    assert len(first.others) == 1
    assert thread.headline.startswith("2 links; its weakest claim: ")
    assert page.picture is not None
    assert {node.key for node in page.picture.nodes} == {"brumelow", "head", "shop"}


def test_a_thread_leads_over_a_material_only_where_that_is_allowed(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought("brumelow", "other"))
    assert page.threads == ()
    assert page.advice == (
        "Nothing joins them in this way. You can let threads lead over what very many things share."
    )
    page = threads_page(standpoint(trade), Sought("brumelow", "other", is_sharing=True))
    assert len(page.threads) == 1
    assert page.advice is None


def test_things_that_nothing_joins_are_said_to_be_so(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought("brumelow", "tarn", is_sharing=True))
    assert page.advice == (
        "No claims on record join them, however far one goes. Look at the surroundings of one of them."
    )


def test_a_kind_that_is_left_out_is_in_no_thread_and_no_picture(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought("brumelow", "shop", without=frozenset({"piece"})))
    assert page.threads == ()
    around = threads_page(standpoint(trade), Sought("head", without=frozenset({"registration", "other"})))
    assert around.picture is not None
    assert {node.key for node in around.picture.nodes} == {"head", "brumelow", "shop"}


def test_a_claim_below_the_least_standing_joins_nothing(trade: Scene) -> None:
    trade.say("head", "soldBy", "tarn", "book")
    every = threads_page(standpoint(trade), Sought("head")).picture
    firm = threads_page(standpoint(trade), Sought("head", least="first-hand")).picture
    assert every is not None
    assert firm is not None
    gone = {node.key for node in every.nodes} - {node.key for node in firm.nodes}
    assert gone == {"tarn"}


def test_the_other_end_alone_is_a_beginning(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought(None, "head"))
    assert page.begin is not None
    assert (page.begin.thing, page.end) == ("head", None)


def test_all_claims_that_join_two_things_are_listed(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought("brumelow", "head", is_joined=True))
    assert [row.property for row in page.joined] == ["made by", "made by"]
    assert page.joined_count == 2
    assert page.picture is None


def test_what_lies_outside_the_years_is_faded_and_not_left_out(trade: Scene) -> None:
    whole = threads_page(standpoint(trade), Sought("head"))
    late = threads_page(standpoint(trade), Sought("head", years=(1892, 1899)))
    assert whole.faded == frozenset()
    assert {"head"} <= late.faded
    assert "bisque" not in late.faded, "of which nothing is known may be of any years"
    assert whole.picture == late.picture


def test_the_years_to_choose_from_are_those_of_the_things(trade: Scene) -> None:
    first, last = threads_page(standpoint(trade), Sought("head")).range or (0, 0)
    assert (first, last) == (1875, 1890)


def test_the_things_of_the_picture_are_drawn_along_the_years_with_the_chain_of_the_first(
    trade: Scene,
) -> None:
    timeline = threads_page(standpoint(trade), Sought("head")).timeline
    assert timeline is not None
    things = {bar.thing for bar in timeline.bars}
    assert {"head", "deposit", "brumelow"} <= things
    assert "bisque" not in things
    numbered = {bar.thing: [mark.text for mark in bar.numbers] for bar in timeline.bars if bar.numbers}
    assert numbered["deposit"] == ["1"]
    assert [chain.title for chain in timeline.chains] == ["Making not before", "Making not after"]


def test_another_things_limits_are_explained_when_it_is_asked_for(trade: Scene) -> None:
    timeline = threads_page(standpoint(trade), Sought("head", explained="deposit")).timeline
    assert timeline is not None
    assert [chain.title for chain in timeline.chains] == ["Filing not before"]


def test_all_makers_are_drawn_along_the_years_without_a_picture(trade: Scene) -> None:
    page = threads_page(standpoint(trade), Sought(every="maker", beside=("deposit",)))
    assert page.picture is None
    assert page.timeline is not None
    assert {bar.thing for bar in page.timeline.bars} == {"brumelow", "deposit", "shop"}
    assert page.timeline.unknown == ("Tarn & Ottery",)


def test_a_thread_from_a_thing_to_itself_is_refused(trade: Scene) -> None:
    with pytest.raises(SameThing, match="Adela Brumelow stands at both ends"):
        threads_page(standpoint(trade), Sought("brumelow", "brumelow"))


@pytest.mark.parametrize("sought", [Sought("nobody"), Sought("head", "nobody"), Sought(beside=("nobody",))])
def test_what_is_not_on_record_is_refused(sought: Sought, trade: Scene) -> None:
    with pytest.raises(NotOnRecord, match="'nobody' is not in the daybook"):
        threads_page(standpoint(trade), sought)


def test_every_least_standing_has_a_name_in_the_address() -> None:
    assert all(Sought.from_parts({"least": name}).least == name for name in LEAST)
