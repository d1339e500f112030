"""Every screen on the hostile daybook: no fault of access, nothing runs, leaves the machine or hangs over the edge."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

import pytest

from kg.daybook.daybook import Daybook
from tests.browser.conftest import Look, Running
from tests.browser.test_desk import faults, outside

#: An address of each screen, with something hostile to show; whoever adds a screen adds its own. ``CLAIM`` stands for
#: the id of a claim whose every word is hostile.
SCREENS = [
    "fit-a-date?subject=head&phrase=about+1872",
    "thing?id=smith",
    "thing?id=tome",
    "find?words=smith",
    "claim?id=CLAIM",
    "add?about=smith",
    "judge?id=CLAIM",
    "join?id=smith&other=lender",
    "question?about=smith",
    "essay-bench?piece=head",
    "?as-of=2026-01-02",
    "loose-ends",
    "sources-weighed",
    "sources-weighed?id=tome",
    "sources-weighed?id=CLAIM",
    "threads?from=smith",
    "threads?from=smith&to=deposit",
    "threads?all=maker",
    "take-in",
]


#: Of these, those that show no word of the daybook.
WITHOUT_WORDS = {"take-in"}

#: The themes that each screen is looked at in.
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


@pytest.fixture(scope="module")
def desk(serve: Callable[[Path], Running], hostile_daybook: Path) -> Running:
    """The desk on the hostile daybook."""
    return serve(hostile_daybook)


@pytest.fixture(scope="module")
def claim(hostile_daybook: Path) -> str:
    """The id of a claim whose every word is hostile."""
    view = Daybook.open(hostile_daybook).view()
    return next(c.id for c in view.live if c.subject == "smith" and c.property == "diedOn")


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_has_no_fault_of_access_lets_nothing_hostile_run_and_hangs_over_no_edge(
    screen: str, desk: Running, look: Callable[..., Look], claim: str
) -> None:
    seen = look(f"{desk.address}/{screen.replace('CLAIM', claim)}")
    page = seen.page
    assert page.url.startswith(f"{desk.address}/{screen.split('?')[0]}"), "the address leads to its screen"
    if screen not in WITHOUT_WORDS:
        assert page.get_by_text("canary.example").count() > 0, "what is hostile is shown as written"
    papers = []
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        seen.rest()
        papers.append(page.locator(".stApp").evaluate("app => getComputedStyle(app).backgroundColor"))
        assert faults(page) == [], scheme
    assert len(set(papers)) == len(SCHEMES), "both themes were looked at"
    page.set_viewport_size({"width": 390, "height": 900})
    page.get_by_test_id("stExpandSidebarButton").wait_for()
    seen.rest()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert outside(seen.asked) == []
    assert page.evaluate("window.canaryRan") is None
    assert page.locator("img[src*=canary]").count() == 0
    assert seen.errors == []
