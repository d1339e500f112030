"""Every screen on the hostile daybook: no fault of access, nothing runs, leaves the machine or hangs over the edge."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

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
]


@pytest.fixture(scope="module")
def desk(serve: Callable[[Path], Running], hostile_daybook: Path) -> Running:
    """The desk on the hostile daybook."""
    return serve(hostile_daybook)


@pytest.fixture(scope="module")
def claim(hostile_daybook: Path) -> str:
    """The id of a claim whose every word is hostile."""
    view = Daybook.open(hostile_daybook).view()
    return next(c.id for c in view.live if c.subject == "smith" and c.property == "diedOn")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_has_no_fault_of_access_and_lets_nothing_hostile_run(
    screen: str, scheme: str, desk: Running, look: Callable[..., Look], claim: str
) -> None:
    seen = look(f"{desk.address}/{screen.replace('CLAIM', claim)}", scheme=scheme)
    assert seen.page.url.startswith(f"{desk.address}/{screen.split('?')[0]}"), (
        "the address leads to its screen"
    )
    assert seen.page.get_by_text("canary.example").count() > 0, "what is hostile is shown as written"
    assert faults(seen.page) == []
    assert outside(seen.asked) == []
    assert seen.page.evaluate("window.canaryRan") is None
    assert seen.page.locator("img[src*=canary]").count() == 0
    assert seen.errors == []


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_stays_within_a_narrow_window(screen: str, desk: Running, look: Callable[..., Look]) -> None:
    seen = look(f"{desk.address}/{screen}", width=390)
    assert seen.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
