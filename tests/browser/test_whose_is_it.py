"""Whose is it? in a real browser, on a trade of hostile names: access, nothing runs, and a supposition is weighed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kg.daybook.record import Citation, Draft, Thing
from tests.asking.makers import trade
from tests.browser.conftest import HOSTILE, Look, Running
from tests.browser.test_desk import faults, outside
from tests.conftest import Scene

Looking = Callable[..., Look]


@pytest.fixture(scope="module")
def desk(serve: Callable[[Path], Running], tmp_path_factory: pytest.TempPathFactory) -> Running:
    """The desk on a small trade whose names try to run or fetch something."""
    scene = trade(Scene(tmp_path_factory.mktemp("hostile-trade")))
    at = Citation("tome", f"p. 3 {HOSTILE}", f"so it is said {HOSTILE}")
    scene.add(
        things=[
            Thing("tome", ("Book",), f"Tome {HOSTILE}"),
            Thing("lady", ("Piece",), f"Lady {HOSTILE}"),
            Thing("birch", ("Firm",), f"Birch {HOSTILE}"),
            Thing("clary", ("Firm",), f"Clary {HOSTILE}"),
        ],
        drafts=[
            Draft("lady", "hasFeature", "feature-eyes-sleeping", at),
            Draft("birch", "ceased", "1850", at, f"1850 {HOSTILE}"),
            Draft("deposit", "filedOn", "1875-03-01", at),
            Draft("lady", "bearsRegistration", "deposit", at),
        ],
    )
    return serve(scene.daybook.shelf.folder)


@pytest.mark.parametrize(
    ("scheme", "width"),
    [
        pytest.param("light", 1280, id="light"),
        pytest.param("dark", 1280, id="dark"),
        pytest.param("light", 390, id="narrow"),
    ],
)
def test_the_screen_has_no_fault_of_access_and_lets_nothing_hostile_run(
    scheme: str, width: int, desk: Running, look: Looking
) -> None:
    seen = look(f"{desk.address}/whose-is-it?id=lady", scheme=scheme, width=width)
    page = seen.page
    for summary in page.locator(".k-sec summary, .w-feature summary").all():
        if summary.is_visible():
            summary.click()
    assert page.get_by_text("canary.example").count() > 5, "what is hostile is shown as written"
    assert page.locator(".w-struck s").count() == 1
    assert faults(page) == []
    assert outside(seen.asked) == []
    assert page.evaluate("window.canaryRan") is None
    assert page.locator("img[src*=canary]").count() == 0
    assert seen.errors == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_what_is_said_in_the_form_is_weighed_and_forgotten_when_that_is_asked(
    desk: Running, look: Looking
) -> None:
    seen = look(f"{desk.address}/whose-is-it?id=lady")
    page = seen.page
    mouth = page.get_by_role("combobox", name="Mouth")
    mouth.scroll_into_view_if_needed()
    seen.settle()  # a list that is opened closes when the page is scrolled
    mouth.click()
    page.get_by_role("option", name="closed mouth", exact=True).click()
    page.get_by_role("button", name="Weigh with these").click()
    page.get_by_text("Supposed, and not recorded:").wait_for()
    seen.settle()
    assert faults(page) == []
    page.get_by_role("button", name="Suppose nothing").click()
    page.get_by_text("Supposed, and not recorded:").wait_for(state="detached")
    seen.settle()
    assert mouth.input_value() == "Not yet looked at"
