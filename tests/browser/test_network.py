"""The network drawn: a click on a thing opens its page, one on a line its claims; the keyboard has the list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Look, Running
from tests.conftest import Scene

#: A screen with a picture, of which the head stands at the left.
FIT = "fit-a-date?subject=head&phrase=about+1872"

Point = dict[str, float]


@pytest.fixture(scope="module")
def desk(serve: Callable[[Path], Running], hostile_daybook: Path) -> Running:
    """The desk on the hostile daybook."""
    return serve(hostile_daybook)


def drawn(page: Page) -> None:
    """Wait for the picture and bring it into the window."""
    page.locator(".k-net[data-drawn]").wait_for()
    page.locator(".k-net-box").scroll_into_view_if_needed()


def on_screen(page: Page, asked: str) -> Point:
    """Where a place of the picture is in the window; ``asked`` is an expression over the network ``n``."""
    found: Point = page.evaluate(
        """(asked) => { const root = document.querySelector('.k-net'), n = root.kNetwork.net;
        const place = n.canvasToDOM(Function('n', 'root', 'return ' + asked)(n, root));
        const box = root.querySelector('.k-net-box').getBoundingClientRect();
        return { x: box.left + place.x, y: box.top + place.y }; }""",
        asked,
    )
    return found


def thing_named(words: str) -> str:
    """The place of the thing whose label holds some words, as an expression."""
    return f"Object.values(n.getPositions([root.kNetwork.nodes.get().find(o => o.label.includes('{words}')).id]))[0]"


def test_a_click_on_a_thing_opens_its_page_within_the_open_desk(
    desk: Running, look: Callable[..., Look]
) -> None:
    page = look(f"{desk.address}/{FIT}").page
    drawn(page)
    page.evaluate("window.stillOpen = true")
    place = on_screen(page, thing_named("Deposit 142"))
    page.mouse.click(place["x"], place["y"])
    page.get_by_role("heading", name="Deposit 142", exact=True).wait_for()
    assert page.url == f"{desk.address}/thing?id=deposit"
    assert page.evaluate("window.stillOpen")
    page.go_back()
    page.locator(".k-verdict").wait_for()


def test_a_click_on_a_line_opens_its_claim(desk: Running, look: Callable[..., Look]) -> None:
    page = look(f"{desk.address}/{FIT}").page
    drawn(page)
    middle = (
        "(() => { const e = root.kNetwork.edges.get().find(o => o.label.includes('bears')); "
        "const p = n.getPositions([e.from, e.to]), a = p[e.from], b = p[e.to]; "
        "return { x: a.x * 0.35 + b.x * 0.65, y: a.y * 0.35 + b.y * 0.65 }; })()"
    )
    place = on_screen(page, middle)
    page.mouse.click(place["x"], place["y"])
    page.get_by_role("heading", name="What is said, and where").wait_for()
    assert "/claim?id=c" in page.url
    assert "Deposit 142" in page.locator("h1").inner_text()


def test_a_click_on_a_line_of_several_claims_opens_their_list(
    serve: Callable[[Path], Running], look: Callable[..., Look], tmp_path: Path
) -> None:
    scene = Scene(tmp_path)
    scene.say("head", "madeBy", "brumelow", "register")
    scene.say("head", "madeBy", "brumelow", "plates")
    running = serve(scene.daybook.shelf.folder)
    page = look(f"{running.address}/threads?from=head").page
    drawn(page)
    # Away from the words in the middle, on the line itself.
    place = on_screen(
        page,
        "(() => { const p = n.getPositions(); return { x: p[0].x * 0.4 + p[1].x * 0.6, y: p[0].y }; })()",
    )
    page.mouse.click(place["x"], place["y"])
    page.get_by_role("heading", name="What joins Head of the lady and Adela Brumelow").wait_for()
    assert page.url == f"{running.address}/threads?from=head&to=brumelow&joined=1"


def test_the_slider_fades_in_place_without_drawing_anew(
    serve: Callable[[Path], Running], look: Callable[..., Look], tmp_path: Path
) -> None:
    scene = Scene(tmp_path)
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("shop", "openedOn", "1890", "register")
    scene.say("head", "bearsRegistration", "deposit", "register")
    scene.say("head", "soldBy", "shop", "register")
    running = serve(scene.daybook.shelf.folder)
    seen = look(f"{running.address}/threads?from=head")
    drawn(seen.page)
    seen.page.evaluate("document.querySelector('.k-net').kNetwork.stillThere = true")
    colour = "document.querySelector('.k-net').kNetwork.nodes.get().find(o => o.label.includes('Bazaar')).font.color"
    assert seen.page.evaluate(colour).endswith(", 1)")
    handle = seen.page.get_by_role("slider").last
    handle.focus()
    handle.press("ArrowLeft")
    seen.page.wait_for_url("**/threads?from=head&years=1875..1889")
    seen.settle()
    assert seen.page.evaluate(colour).endswith(", 0.4)")
    assert seen.page.evaluate("document.querySelector('.k-net').kNetwork.stillThere")


def test_the_picture_follows_the_theme_and_stays_where_it_was(
    desk: Running, look: Callable[..., Look]
) -> None:
    places = []
    papers = []
    for scheme in ("light", "dark"):
        page = look(f"{desk.address}/{FIT}", scheme=scheme).page
        drawn(page)
        places.append(page.evaluate("document.querySelector('.k-net').kNetwork.net.getPositions()"))
        papers.append(
            page.evaluate("document.querySelector('.k-net').kNetwork.nodes.get()[0].color.background")
        )
    assert places[0] == places[1]
    assert papers == ["rgb(251, 248, 241)", "rgb(29, 26, 23)"]


def test_the_keyboard_passes_over_the_picture_to_its_buttons_and_the_list(
    desk: Running, look: Callable[..., Look]
) -> None:
    page = look(f"{desk.address}/{FIT}").page
    drawn(page)
    before = page.evaluate("document.querySelector('.k-net').kNetwork.net.getScale()")
    page.get_by_role("button", name="Nearer").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.querySelector('.k-net').kNetwork.net.getScale()") > before
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "All of it"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('.k-network') !== null")
