"""The desk as a reader meets it: a real browser, a real server, light and dark, wide and narrow."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Thing
from tests.browser.conftest import Look, Running

Serve = Callable[[Path], Running]
Looking = Callable[..., Look]

AXE = Path(__file__).parent / "axe" / "axe.min.js"


@pytest.fixture(scope="session")
def desk(serve: Serve, hostile_daybook: Path) -> Running:
    """The desk on the hostile daybook, for all tests that leave it running."""
    return serve(hostile_daybook)


def outside(addresses: list[str]) -> list[str]:
    """The addresses that do not lie on this machine."""
    inside = {"data", "blob", "about"}
    return [a for a in addresses if urlsplit(a).scheme not in inside and urlsplit(a).hostname != "127.0.0.1"]


@pytest.mark.parametrize(
    ("scheme", "width"),
    [
        pytest.param("light", 1280, id="light"),
        pytest.param("dark", 1280, id="dark"),
        pytest.param("light", 390, id="narrow"),
    ],
)
def test_a_date_is_asked_and_answered_and_nothing_hostile_runs_or_leaves_the_machine(
    scheme: str, width: int, desk: Running, look: Looking, tmp_path: Path
) -> None:
    seen = look(f"{desk.address}/fit-a-date", scheme=scheme, width=width)
    seen.ask("Head of the lady", "about 1872")
    page = seen.page
    assert page.locator(".k-verdict h2").inner_text() == "Fits in part"
    bound = page.locator(".k-link").all_inner_texts()
    assert any(
        "Deposit 142 filed 1875-03-01" in text and "Register of Deposits, p. 1" in text for text in bound
    )
    assert any("<img src=" in text and "{{ 7*7 }}" in text for text in bound), (
        "hostile names are shown as written"
    )
    assert page.get_by_text("confidential").count() > 0
    page.locator(".k-net[data-drawn]").wait_for()
    assert int(page.locator(".k-net").get_attribute("data-drawn") or 0) >= 6
    assert page.locator(".k-net canvas").count() == 1
    page.screenshot(path=tmp_path / f"{scheme}-{width}.png", full_page=True)
    assert outside(seen.asked) == []
    assert any(address.startswith("ws://127.0.0.1") for address in seen.asked)
    assert page.evaluate("window.canaryRan") is None
    assert page.locator("img[src*=canary]").count() == page.locator(".k-net img").count() == 0
    assert seen.errors == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), (
        "nothing hangs over the edge"
    )


def test_the_hostile_names_are_inert_in_the_list_to_choose_from(desk: Running, look: Looking) -> None:
    seen = look(f"{desk.address}/fit-a-date")
    seen.page.get_by_role("combobox", name="Piece, part or maker").click()
    seen.page.get_by_role("option").first.wait_for()
    options = seen.page.get_by_role("option").all_inner_texts()
    assert any(text.startswith('Smith <img src="https://canary.example') for text in options)
    assert outside(seen.asked) == []
    assert seen.page.evaluate("window.canaryRan") is None


def test_the_switch_of_a_claim_answers_anew(desk: Running, look: Looking) -> None:
    seen = look(f"{desk.address}/fit-a-date?subject=head&phrase=about+1872")
    assert seen.page.locator(".k-verdict h2").inner_text() == "Fits in part"
    named = seen.page.locator(".k-link", has_text="Deposit 142 filed").locator(".k-number").inner_text()
    seen.page.get_by_text(f"Set claim {named} aside", exact=True).click()
    seen.page.get_by_role("heading", name="Set aside for this question").wait_for()
    seen.settle()
    assert "1 March 1875" not in seen.page.locator(".k-side").all_inner_texts()[0]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_screen_has_no_fault_of_access(scheme: str, desk: Running, look: Looking) -> None:
    seen = look(f"{desk.address}/fit-a-date?subject=head&phrase=about+1872", scheme=scheme)
    assert faults(seen.page) == []


def faults(page: Page) -> list[str]:
    """What axe-core finds wrong, each with the places where it is."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate("axe.run(document)")
    assert len(found["passes"]) > 10, "the rules were run"
    return [
        f"{fault['id']}: {[node['html'][:160] for node in fault['nodes']]}" for fault in found["violations"]
    ]


@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "Ctrl-C"])
def test_the_desk_ends_quietly_when_it_is_told_to(
    told: signal.Signals, serve: Serve, hostile_daybook: Path, look: Looking
) -> None:
    running = serve(hostile_daybook)
    look(running.address)
    code, out, err = running.ended(told)
    assert code == 0
    assert running.address in out
    assert err == ""


def test_links_are_followed_inside_the_open_desk_and_back_leads_back(desk: Running, look: Looking) -> None:
    seen = look(f"{desk.address}/fit-a-date?subject=head&phrase=about+1872")
    page = seen.page
    page.evaluate("window.stillOpen = true")
    page.locator(".k-link .k-claim a", has_text="Deposit 142 filed").click()
    page.get_by_role("heading", name="What is said, and where").wait_for()
    assert "/claim?id=c" in page.url
    page.get_by_role("link", name="Register of Deposits").first.click()
    page.get_by_role("heading", name="What it says").wait_for()
    assert page.url == f"{desk.address}/thing?id=register"
    page.go_back()
    page.get_by_role("heading", name="What is said, and where").wait_for()
    page.go_back()
    page.locator(".k-verdict").wait_for()
    assert page.url == f"{desk.address}/fit-a-date?subject=head&phrase=about+1872"
    page.go_forward()
    page.get_by_role("heading", name="What is said, and where").wait_for()
    assert page.evaluate("window.stillOpen"), "the desk was not loaded anew"


def test_the_search_leads_to_the_thing_with_one_step_back(desk: Running, look: Looking) -> None:
    seen = look(f"{desk.address}/thing?id=register")
    page = seen.page
    box = page.get_by_role("textbox", name="Find")
    box.fill("ádela BRUMELOW")
    box.press("Enter")
    page.get_by_role("heading", name="Adela Brumelow").first.wait_for()
    assert page.url == f"{desk.address}/thing?id=brumelow"
    seen.settle()
    page.go_back()
    page.get_by_role("heading", name="Register of Deposits").first.wait_for()
    assert page.url == f"{desk.address}/thing?id=register"


def test_the_past_day_is_kept_from_screen_to_screen_until_today_is_asked_for(
    desk: Running, look: Looking
) -> None:
    seen = look(f"{desk.address}/thing?id=head&as-of=2026-01-02")
    page = seen.page
    page.get_by_role("link", name="Register of Deposits").first.click()
    page.get_by_role("heading", name="What it says").wait_for()
    assert page.url == f"{desk.address}/thing?id=register&as-of=2026-01-02"
    assert page.get_by_text("As the daybook stood on 2026-01-02.").count() == 1
    page.get_by_role("link", name="Back to today").click()
    page.get_by_text("As the daybook stood on").wait_for(state="detached")
    assert page.url == f"{desk.address}/thing?id=register"


def test_what_a_colleague_records_is_seen_at_the_next_action(
    desk: Running, look: Looking, hostile_daybook: Path
) -> None:
    seen = look(f"{desk.address}/find?words=newcomer")
    assert seen.page.get_by_text("Nothing answers to").count() == 1
    other = Daybook.open(hostile_daybook)
    other.record(other.compose(Note("B. Colleague", things=(Thing("newcomer", ("Piece",), "Newcomer"),))))
    box = seen.page.get_by_role("textbox", name="Find")
    box.fill("newcomer")
    box.press("Enter")
    seen.page.get_by_role("heading", name="Newcomer").wait_for()
