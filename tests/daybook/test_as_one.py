"""What is recorded as the same, taken as one by what counts and lists by thing."""

from __future__ import annotations

import pytest

from kg.daybook.as_one import as_one, identity_property
from kg.daybook.record import Thing
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.statement import Statements
from kg.threads.threads import Threads
from tests.conftest import Scene


@pytest.fixture
def joined(scene: Scene) -> Scene:
    """One maker under two names, born in the same year by two sources, with a piece of each name."""
    scene.add(
        things=[
            Thing("adela", ("Person", "Maker"), "Brumelow, A.", is_confidential=True),
            Thing("doll", ("Piece",), "Doll with a fan"),
        ]
    )
    scene.say("brumelow", "bornOn", "1839", "book")
    scene.say("adela", "bornOn", "1839", "register")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("doll", "madeBy", "adela")
    scene.say("brumelow", "sameAs", "adela")
    return scene


def test_two_sources_of_one_maker_say_the_same(joined: Scene) -> None:
    one = as_one(joined.daybook.view())
    assert one.slug("brumelow") == "adela"
    (claim, other) = [c for c in one.view.live if c.property == "bornOn"]
    assert {c.id for c, _ in Statements(one.view).agreeing(claim)} == {claim.id, other.id}


def test_a_thread_passes_through_one_maker_without_a_step_for_the_second_name(joined: Scene) -> None:
    one = as_one(joined.daybook.view())
    (thread,) = Threads(Weighed(one.view)).between("lady", "doll", 1)
    assert [link.after for link in thread.links] == ["adela", "doll"]


def test_claims_keep_their_ids_and_the_view_that_was_given_is_unchanged(joined: Scene) -> None:
    view = joined.daybook.view()
    one = as_one(view).view
    identity = identity_property(view)
    assert set(one.claims) == {name for name, claim in view.claims.items() if claim.property != identity}
    assert {c.subject for c in view.live if c.property == "bornOn"} == {"brumelow", "adela"}


def test_what_is_confidential_in_one_record_is_so_in_both(joined: Scene) -> None:
    one = as_one(joined.daybook.view()).view
    assert "brumelow" not in one.things
    assert one.things["adela"].is_confidential
    assert one.things["adela"].kinds == ("Maker", "Person")


def test_a_view_in_which_nothing_is_joined_stays_as_it_is(scene: Scene) -> None:
    view = scene.daybook.view()
    assert as_one(view).view is view
