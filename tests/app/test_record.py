"""The pages of a thing and of a claim, and what is found, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.record import Citation, Draft, Thing
from tests.app.pages import markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


def test_a_things_page_tells_what_is_said_of_it_and_where(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "thing", id="head")
    said = text(page)
    assert "Head of the lady" in said
    assert "made by Adela Brumelow A Book of Heads , p. 1" in said
    assert "Making" in said
    assert "Making 1 March 1875 to 31 May 1890" in said
    for claim in told.daybook.view().by_subject["head"]:
        assert f'href="claim?id={claim.id}"' in markup(page)
    assert 'href="fit-a-date?subject=head"' in markup(page)


def test_a_sources_page_tells_what_it_says(told: Scene, open_desk: Opened) -> None:
    said = text(opened(open_desk(told.daybook.shelf.folder), "thing", id="register"))
    assert "What it says Deposit 142 filed 1875-03-01" in said


def test_a_claims_page_tells_its_source_and_how_it_stands(told: Scene, open_desk: Opened) -> None:
    deposit = next(c.id for c in told.daybook.view().claims.values() if c.property == "filedOn")
    page = opened(open_desk(told.daybook.shelf.folder), "claim", id=deposit)
    said = text(page)
    assert "Deposit 142 filed 1875-03-01" in said
    assert "Source Register of Deposits register Place p. 1" in said
    assert "Standing held" in said
    assert "1 independent witness" in said
    assert 'href="thing?id=register"' in markup(page)


def test_what_is_found_leads_to_its_page(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "find", words="LADY")
    assert "2 answer to “LADY”." in text(page)
    assert 'href="thing?id=head"' in markup(page)


@pytest.mark.parametrize(
    ("screen", "said"),
    [("thing", "'nobody' is not in the daybook"), ("claim", "There is no claim 'nobody'")],
)
def test_what_is_not_on_record_is_said(screen: str, said: str, told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), screen, id="nobody")
    assert "This cannot be shown" in text(page)
    assert said in text(page)


@pytest.mark.parametrize(("screen", "said"), [("thing", "No thing is named"), ("claim", "No claim is named")])
def test_an_address_that_names_nothing_says_what_to_do(
    screen: str, said: str, told: Scene, open_desk: Opened
) -> None:
    assert said in text(opened(open_desk(told.daybook.shelf.folder), screen))


def test_a_long_section_offers_the_rest(scene: Scene, open_desk: Opened) -> None:
    for number in range(45):
        scene.add(drafts=[Draft("head", "condition", f"state {number}", Citation("book", "p. 1"))])
    page = opened(open_desk(scene.daybook.shelf.folder), "thing", id="head")
    assert "40 of 45" in text(page)
    assert "state 44" not in text(page)
    assert "state 44" in text(opened(page, "thing", id="head", all="1"))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text_on_every_page(name: str, scene: Scene, open_desk: Opened) -> None:
    said_by = Citation("tome", f"p. 1 {name}", f"quoted {name}")
    scene.add(
        things=[Thing("evil", ("Mark", "Head"), name), Thing("tome", ("Book",), f"Tome {name}")],
        drafts=[
            Draft("evil", "madeOn", "1880", said_by, f"1880 {name}"),
            Draft("evil", "transcribed", name, said_by),
        ],
    )
    claim = next(iter(scene.daybook.view().claims))
    desk = open_desk(scene.daybook.shelf.folder)
    for screen, parts in (
        ("thing", {"id": "evil"}),
        ("thing", {"id": "tome"}),
        ("claim", {"id": claim}),
        ("find", {"words": name}),
        ("thing", {"id": name}),
    ):
        drawn = markup(opened(desk, screen, **parts))
        assert "canary" in drawn
        for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
            assert trap not in drawn, (screen, parts)
