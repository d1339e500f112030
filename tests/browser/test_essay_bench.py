"""The essay bench in a browser: every panel beside a hostile text, and a text that is written and lost by no click."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from app.drawing.essay_panels import PANELS
from tests.browser.conftest import Look, Running
from tests.browser.test_desk import faults, outside


@pytest.fixture(scope="module")
def desk(serve: Callable[[Path], Running], hostile_daybook: Path) -> Running:
    """The desk on the hostile daybook."""
    return serve(hostile_daybook)


def chosen(seen: Look, panel: str) -> None:
    """Choose what stands beside the text."""
    seen.page.get_by_test_id("stButtonGroup").get_by_text(panel, exact=True).click()
    seen.settle()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_panel_has_a_fault_of_access_or_lets_anything_hostile_run(
    scheme: str, desk: Running, look: Callable[..., Look]
) -> None:
    seen = look(f"{desk.address}/essay-bench?piece=head", scheme=scheme)
    for panel in PANELS:
        chosen(seen, panel)
        assert faults(seen.page) == [], panel
    assert outside(seen.asked) == []
    assert seen.page.evaluate("window.canaryRan") is None
    assert seen.errors == []


def test_every_panel_stays_within_a_narrow_window(desk: Running, look: Callable[..., Look]) -> None:
    seen = look(f"{desk.address}/essay-bench?piece=head", width=390)
    for panel in PANELS:
        chosen(seen, panel)
        assert seen.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), panel


def test_what_is_written_stays_when_another_screen_was_looked_at(
    desk: Running, look: Callable[..., Look]
) -> None:
    seen = look(f"{desk.address}/essay-bench?piece=head")
    field = seen.page.get_by_role("textbox", name="The essay in Markdown")
    field.fill("# A head\n\nWords of mine.[^own]\n")
    field.blur()
    seen.page.get_by_text("Not saved yet.", exact=True).wait_for()
    seen.page.get_by_role("link", name="Fit a date").first.click()
    seen.settle()
    seen.page.get_by_role("link", name="Essay bench").first.click()
    seen.settle()
    seen.page.get_by_role("link", name="Head of the lady").first.click()
    seen.settle()
    assert field.input_value() == "# A head\n\nWords of mine.[^own]\n"
    assert seen.errors == []
