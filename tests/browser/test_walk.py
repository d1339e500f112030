"""A day's work in the browser; every screen on the way can be gone back to, and its address sent to a colleague."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

from tests.browser.conftest import Look, Running
from tests.browser.hands import Mouse
from tests.browser.test_desk import outside
from tests.browser.walk import Walk

Looking = Callable[..., Look]

#: The listed screens in the order of the day, each with a heading that it has on the demo.
SCREENS = {
    "": "Today",
    "fit-a-date": "Fit a date",
    "whose-is-it": "Whose is it?",
    "threads": "Threads",
    "sources-weighed": "Sources weighed",
    "essay-bench": "Essay bench",
    "take-in": "Take in",
    "loose-ends": "Loose ends",
}


def test_a_days_work_is_done_at_the_desk(demo_desk: Running, look: Looking, tmp_path: Path) -> None:
    seen = look(demo_desk.address)
    walk = Walk(seen, Mouse(seen.page))
    walk.whole(tmp_path)
    assert outside(seen.asked) == []
    assert seen.errors == []
    again = look(demo_desk.address)
    for address, heading in one_for_each_screen(walk.seen).items():
        again.page.goto(address)
        again.page.get_by_role("heading", name=heading, exact=True).first.wait_for()
        assert again.page.url == address, "an address that is sent leads to the same screen"


def one_for_each_screen(seen: dict[str, str]) -> dict[str, str]:
    """Of the addresses with their headings, the last of each screen."""
    last = {urlsplit(address).path: (address, heading) for address, heading in seen.items()}
    return dict(last.values())


def test_back_leads_from_screen_to_screen_to_the_first_without_any_other_machine(
    demo_desk: Running, look: Looking
) -> None:
    seen = look(demo_desk.address)
    page, hand = seen.page, Mouse(seen.page)
    page.route(lambda address: outside([address]) != [], lambda route: route.abort())
    titles = page.locator("h1")
    for path, title in list(SCREENS.items())[1:]:
        hand.follow(title, "App pages")
        titles.get_by_text(title, exact=True).wait_for()
        seen.rest()
        assert page.url == f"{demo_desk.address}/{path}"
    for path, title in list(SCREENS.items())[-2::-1]:
        page.go_back()
        titles.get_by_text(title, exact=True).wait_for()
        assert page.url == f"{demo_desk.address}/{path}"
    assert outside(seen.asked) == []
    assert seen.errors == []
