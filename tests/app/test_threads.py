"""The screen *Threads*, driven without a browser."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Thing
from tests.app.pages import markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


@pytest.fixture
def desk(told: Scene, open_desk: Opened) -> AppTest:
    """The desk on a daybook in which a shop sold the head, and two sources say who made it."""
    told.say("head", "soldBy", "shop", "register")
    told.say("head", "madeBy", "brumelow", "plates")
    return open_desk(told.daybook.shelf.folder)


def picture(page: AppTest) -> dict[str, Any]:
    """What the drawing script is handed."""
    for one in page.get("bidi_component"):
        data = json.loads(one.proto.json or "null")
        if isinstance(data, dict) and "nodes" in data:
            return data
    raise AssertionError("no picture was drawn")


def test_nothing_chosen_says_what_to_choose(desk: AppTest) -> None:
    page = opened(desk, "threads")
    assert "Nothing is chosen yet" in text(page)
    assert "Choose two things to see how the record joins them" in text(page)


def test_an_empty_daybook_says_how_to_begin(tmp_path: Path, open_desk: Opened) -> None:
    folder = Daybook.begin(tmp_path / "empty", "Empty").shelf.folder
    assert "The daybook is empty" in text(opened(open_desk(folder), "threads"))


def test_two_things_are_joined_step_by_step_with_sources(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "brumelow", "to": "shop"})
    said = text(page)
    assert "From Adela Brumelow to The Lantern Bazaar" in said
    assert "1. Adela Brumelow → Head of the lady → The Lantern Bazaar" in said
    assert "Head of the lady first sold by The Lantern Bazaar Register of Deposits , p. 1" in said
    assert "1 more claim joins them" in said
    assert 'href="thing?id=shop"' in markup(page)


def test_choosing_another_end_changes_the_address_and_the_answer(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "brumelow", "to": "shop"})
    page.selectbox(key="threads-to").select("deposit").run()
    assert page.query_params["to"] == "deposit"
    assert "From Adela Brumelow to Deposit 142" in text(page)
    page.selectbox(key="threads-to").set_value(None).run()
    assert "to" not in page.query_params
    assert "Round Adela Brumelow" in text(page)


def test_each_thing_and_line_of_the_picture_leads_on(desk: AppTest) -> None:
    drawn = picture(opened(desk, "threads", **{"from": "head"}))
    assert {node["go"] for node in drawn["nodes"]} == {
        f"thing?id={slug}" for slug in ("head", "brumelow", "deposit", "shop")
    }
    by_label = {line["label"]: line["go"] for line in drawn["lines"]}
    assert by_label["made by +1"] == "threads?from=head&to=brumelow&joined=1"
    assert by_label["first sold by"].startswith("claim?id=c")


def test_the_links_of_the_picture_keep_the_past_day(desk: AppTest, told: Scene) -> None:
    page = opened(desk, "threads", **{"from": "head", "as-of": "2026-01-02"})
    assert all(node["go"].endswith("&as-of=2026-01-02") for node in picture(page)["nodes"])


def test_the_list_says_what_the_picture_says(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "head"})
    assert "The same as a list: 3 lines" in [one.label for one in page.expander]
    assert "Head of the lady made by (2 claims) ● Adela Brumelow" in text(page)


def test_all_claims_that_join_two_are_listed(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "head", "to": "brumelow", "joined": "1"})
    said = text(page)
    assert "What joins Head of the lady and Adela Brumelow" in said
    assert said.count("Head of the lady made by Adela Brumelow") == 2
    assert 'href="threads?from=head&amp;to=brumelow"' in markup(page)


def test_the_slider_fades_and_hides_nothing(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "head"})
    before = picture(page)
    first, last = page.slider(key="threads-years").value
    page.slider(key="threads-years").set_range(last - 1, last).run()
    after = picture(page)
    assert page.query_params["years"] == f"{last - 1}..{last}"
    assert len(after["nodes"]) == len(before["nodes"])
    assert not any(node["faded"] for node in before["nodes"])
    assert [node["x"] for node in after["nodes"]] == [node["x"] for node in before["nodes"]]
    page.slider(key="threads-years").set_range(first, last).run()
    assert "years" not in page.query_params


def test_steps_kinds_and_standing_narrow_the_picture(desk: AppTest, told: Scene) -> None:
    told.say("shop", "succeeded", "tarn", "register")
    page = opened(desk, "threads", **{"from": "head"})
    assert len(picture(page)["nodes"]) == 4
    page.segmented_control(key="threads-steps").set_value(2).run()
    assert len(picture(page)["nodes"]) == 5
    page.multiselect(key="threads-without").select("registration").run()
    assert len(picture(page)["nodes"]) == 4
    page.selectbox(key="threads-least").select("first-hand").run()
    assert page.query_params["least"] == "first-hand"
    assert len(picture(page)["nodes"]) == 3, "who made it is told by books alone"


def test_what_was_sought_is_there_again_after_another_screen(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "brumelow", "to": "shop"})
    page = opened(page, "find", words="lady")
    page = opened(page, "threads")
    assert "From Adela Brumelow to The Lantern Bazaar" in text(page)
    assert page.query_params["from"] == "brumelow"


def test_the_same_stands_along_the_years_with_the_claims_that_bind(desk: AppTest) -> None:
    page = opened(desk, "threads", **{"from": "head"})
    said = text(page)
    assert "Making not before 1 March 1875, because" in said
    assert "Head of the lady: making" in said
    assert "The same as a table" in said
    assert 'href="threads?from=head&amp;explained=deposit"' in markup(page)


def test_all_registrations_stand_along_the_years(desk: AppTest) -> None:
    page = opened(desk, "threads", all="registration")
    assert "Deposit 142: registration" in text(page)
    page.selectbox(key="threads-all").select("maker").run()
    assert "Adela Brumelow: activity" in text(page)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"from": "nobody"}, "'nobody' is not in the daybook"),
        ({"from": "head", "to": "head"}, "stands at both ends"),
        ({"from": "head", "to": "tarn"}, "No thread was found"),
        ({"from": "tarn"}, "Nothing lies round it"),
        ({"all": "mark"}, "Nothing to draw along the years"),
    ],
)
def test_what_cannot_be_shown_is_said(parts: dict[str, str], said: str, desk: AppTest) -> None:
    assert said in text(opened(desk, "threads", **parts))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(name: str, told: Scene, open_desk: Opened) -> None:
    told.add(things=[Thing("evil", ("Person",), name)])
    told.say("head", "madeBy", "evil")
    told.say("evil", "diedOn", "1884")
    desk = open_desk(told.daybook.shelf.folder)
    for parts in ({"from": "evil"}, {"from": "evil", "to": "deposit"}, {"all": "maker"}, {"from": name}):
        drawn = markup(opened(desk, "threads", **parts))
        assert "canary" in drawn
        for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
            assert trap not in drawn, parts


def test_the_surroundings_are_drawn_on_a_things_page_when_they_are_asked_for(desk: AppTest) -> None:
    page = opened(desk, "thing", id="head")
    with pytest.raises(AssertionError, match="no picture"):
        picture(page)
    page.toggle(key="threads-round-head").set_value(True).run()
    assert len(picture(page)["nodes"]) == 4
    assert 'href="threads?from=head&amp;steps=2"' in markup(page)
