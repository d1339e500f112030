"""Sources weighed, driven without a browser."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Citation, Draft, Thing
from tests.app.pages import gone_to, markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


@pytest.fixture
def copied(scene: Scene) -> Scene:
    """A register read by a book, which plates follow."""
    scene.say("book", "sourceFollows", "register", "book")
    scene.say("plates", "sourceFollows", "book", "plates")
    for source in ("book", "plates"):
        scene.say("brumelow", "diedOn", "1880", source)
    return scene


def test_the_screen_begins_with_the_sources_that_bear_most(copied: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(copied.daybook.shelf.folder), "sources_weighed")
    assert "The sources that bear most" in text(page)
    assert 'href="sources-weighed?id=register"' in markup(page)


def test_a_claim_is_weighed_with_its_picture_and_what_falls(copied: Scene, open_desk: Opened) -> None:
    claim = copied.daybook.view().live[-1].id
    page = opened(open_desk(copied.daybook.shelf.folder), "sources_weighed", id=claim)
    said = text(page)
    assert "2 sources say it; 1 independent witness" in said
    assert "If this claim alone is set aside" in said
    assert page.text_input(key="sources_weighed claim").value == claim
    (lines,) = re.findall(r"mask-image:url\(data:image/svg\+xml;base64,([^)]*)\)", markup(page))
    assert base64.b64decode(lines).count(b"<path") == 4


def test_a_source_chosen_and_an_id_typed_are_gone_to(copied: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(copied.daybook.shelf.folder), "sources_weighed")
    page.selectbox(key="sources_weighed source").set_value("plates").run()
    assert gone_to(page) == "sources-weighed?id=plates"
    page = opened(page, "sources_weighed")
    page.text_input(key="sources_weighed claim").input(" c123 ").run()
    assert gone_to(page) == "sources-weighed?id=c123"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        pytest.param("gossip", "'gossip' is neither a source nor a claim", id="not on record"),
        pytest.param("brumelow", "Adela Brumelow is no source", id="no source"),
    ],
)
def test_what_cannot_be_weighed_is_said_and_the_table_stays(
    name: str, said: str, copied: Scene, open_desk: Opened
) -> None:
    page = opened(open_desk(copied.daybook.shelf.folder), "sources_weighed", id=name)
    assert "This cannot be weighed" in text(page)
    assert said in text(page)
    assert "The sources that bear most" in text(page)


def test_an_empty_daybook_has_nothing_to_weigh(tmp_path: Path, open_desk: Opened) -> None:
    Daybook.begin(tmp_path / "empty")
    assert "Nothing to weigh" in text(opened(open_desk(tmp_path / "empty"), "sources_weighed"))


def test_as_of_a_past_day_only_what_was_known_then_counts(copied: Scene, open_desk: Opened) -> None:
    claim = copied.daybook.view().live[-1].id
    copied.clock = copied.clock.replace(day=9)
    copied.say("brumelow", "diedOn", "1880", "register")
    desk = open_desk(copied.daybook.shelf.folder)
    then = opened(desk, "sources_weighed", id=claim, **{"as-of": "2026-01-08"})
    assert "2 sources say it" in text(then)
    assert "3 sources say it" in text(opened(desk, "sources_weighed", id=claim))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(name: str, scene: Scene, open_desk: Opened) -> None:
    at = Citation("tome", f"p. 1 {name}", f"quoted {name}")
    scene.add(
        things=[Thing("tome", ("Book",), f"Tome {name}")],
        drafts=[
            Draft("tome", "sourceFollows", "book", at),
            Draft("brumelow", "diedOn", "1880", at, f"1880 {name}"),
        ],
    )
    claim = scene.daybook.view().live[-1].id
    desk = open_desk(scene.daybook.shelf.folder)
    for parts in ({}, {"id": "tome"}, {"id": claim}, {"id": name}):
        drawn = markup(opened(desk, "sources_weighed", **parts))
        assert "canary" in drawn
        for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
            assert trap not in drawn, parts
