"""The first screen and the loose ends, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Citation, Draft, Thing
from tests.app.pages import markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


@pytest.fixture
def clashing(scene: Scene) -> Scene:
    """A daybook with a contradiction."""
    scene.say("brumelow", "bornOn", "1850")
    scene.say("brumelow", "diedOn", "1840")
    return scene


def test_today_tells_what_was_added_and_what_is_open(clashing: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(clashing.daybook.shelf.folder), "today", back="year", **{"as-of": "2026-01-02"})
    said = text(page)
    assert "A. Tester" in said
    assert "Adela Brumelow born 1850" in said
    assert "1 set of claims in all cannot be true together." in said
    assert "Loose ends that matter most" in said
    for claim in clashing.daybook.view().live:
        assert f'href="claim?id={claim.id}&amp;as-of=2026-01-02"' in markup(page)
    assert 'href="fit-a-date?as-of=2026-01-02"' in markup(page)
    assert 'href="./?back=week&amp;as-of=2026-01-02"' in markup(page)


def test_today_is_what_the_desk_opens_with(clashing: Scene, open_desk: Opened) -> None:
    page = open_desk(clashing.daybook.shelf.folder).run()
    assert not page.exception
    assert "Added lately" in text(page)


def test_as_of_a_past_day_today_looks_back_from_there_and_offers_nothing_to_record(
    clashing: Scene, open_desk: Opened
) -> None:
    page = opened(open_desk(clashing.daybook.shelf.folder), "today", **{"as-of": "2026-01-01"})
    assert "Since 25 December 2025: 3 entries by 1 researcher" in text(page)
    assert "Add a finding" not in text(page)


def test_an_empty_daybook_says_how_to_begin(tmp_path: Path, open_desk: Opened) -> None:
    folder = tmp_path / "empty"
    Daybook.begin(folder)
    desk = open_desk(folder)
    assert "The daybook is empty" in text(opened(desk, "today"))
    assert "No loose ends" in text(opened(desk, "loose_ends"))


def test_loose_ends_of_a_kind_are_shown_with_what_would_settle_them(
    clashing: Scene, open_desk: Opened
) -> None:
    page = opened(open_desk(clashing.daybook.shelf.folder), "loose_ends", kind="conflict")
    assert "1 loose end Claims that cannot all be true Adela Brumelow" in text(page)
    assert "Read the cited places again" in text(page)
    assert 'href="loose-ends?kind=no-maker"' in markup(page)


def test_a_foolish_kind_is_told_with_those_that_there_are(clashing: Scene, open_desk: Opened) -> None:
    said = text(opened(open_desk(clashing.daybook.shelf.folder), "loose_ends", kind="gossip"))
    assert "This cannot be shown" in said
    assert "'gossip' is no kind of loose end." in said


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(name: str, scene: Scene, open_desk: Opened) -> None:
    said_by = Citation("tome", f"p. 1 {name}", f"quoted {name}")
    scene.add(
        things=[Thing("evil", ("Piece",), name), Thing("tome", ("Book",), f"Tome {name}")],
        drafts=[
            Draft("evil", "condition", name, said_by),
            Draft("brumelow", "diedOn", "1880", said_by, name),
        ],
    )
    desk = open_desk(scene.daybook.shelf.folder)
    for screen in ("today", "loose_ends"):
        drawn = markup(opened(desk, screen))
        assert "canary" in drawn
        for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
            assert trap not in drawn, screen
