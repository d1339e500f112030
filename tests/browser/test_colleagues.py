"""Colleagues at one desk: two add at once; and with sign-in, each does what the role allows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page

from kg.daybook.daybook import Daybook
from tests.browser.conftest import Look, Running, served
from tests.browser.provider import CLIENT, SECRET, Provider
from tests.browser.test_desk import faults
from tests.conftest import Scene

Looking = Callable[..., Look]


def choose(look: Look, field: str, part: str) -> None:
    """Choose from a list by part of a name, as a reader does."""
    box = look.page.get_by_role("combobox", name=field, exact=True)
    box.fill(part)
    look.page.get_by_role("option", name=part).first.click()
    look.settle()


def write(look: Look, field: str, text: str) -> None:
    """Fill a line in and leave it."""
    box = look.page.get_by_role("textbox", name=field)
    box.fill(text)
    box.press("Tab")
    look.settle()


def put_on_the_note(look: Look, condition: str) -> None:
    """Put a finding on the condition of the thing on the note."""
    choose(look, "What it says of it", "Making: condition")
    write(look, "Condition", condition)
    choose(look, "Source that says so", "A Book of Heads")
    write(look, "Place in the source", "p. 8")
    look.page.get_by_role("button", name="Put it on the note").click()
    look.page.get_by_role("heading", name="The note").wait_for()
    look.settle()


def signs(look: Look, name: str) -> None:
    """Give the name that signs, in place of the one that signed last on this machine."""
    other = look.page.get_by_role("button", name="Sign with another name")
    if other.count():
        other.click()
        look.settle()
    box = look.page.get_by_role("textbox", name="Your name, as your entries are to bear it")
    box.fill(name)
    box.press("Enter")
    look.settle()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place for the name that signs, away from the user's own."""
    monkeypatch.setenv("KILNMARK_SIGNER_FILE", str(tmp_path / "signer.txt"))
    return tmp_path


def test_two_add_at_once_and_each_sees_the_others_entry_at_the_next_action(
    scene: Scene, serve: Callable[[Path], Running], look: Looking, home: Path
) -> None:
    desk = serve(scene.daybook.shelf.folder)
    one, other = (look(f"{desk.address}/add?about=head") for _ in range(2))
    put_on_the_note(one, "chipped at the neck")
    put_on_the_note(other, "repainted brows")
    signs(one, "Ada Quill")
    signs(other, "Bo Larch")
    for mine in (one, other):
        mine.page.get_by_role("button", name="Record 1 finding").click()
        mine.page.get_by_text("Recorded by").wait_for()
    view = Daybook.open(scene.daybook.shelf.folder).view()
    found = {claim.value: view.entries[claim.entry].researcher for claim in view.live}
    assert found == {"chipped at the neck": "Ada Quill", "repainted brows": "Bo Larch"}
    one.page.get_by_role("link", name="Head of the lady").first.click()
    one.page.get_by_text("Entries that speak of it").wait_for()
    shown = one.page.locator("main, [data-testid=stMain]").first.inner_text()
    assert "repainted brows" in shown
    assert "Bo Larch" in shown
    assert one.errors == other.errors == []


@pytest.fixture
def provider() -> Iterator[Provider]:
    """A sign-in provider of this machine."""
    made = Provider()
    yield made
    made.end()


@pytest.fixture
def desk(scene: Scene, provider: Provider, home: Path) -> Iterator[Running]:
    """A desk with sign-in, whose colleagues are a reader by default, a researcher and an editor."""
    scene.say("head", "madeBy", "brumelow")
    folder = scene.daybook.shelf.folder
    (folder / "colleagues.toml").write_text(
        '[colleagues]\n"bo@example.org" = "researcher"\n"cy@example.org" = "editor"\n', encoding="utf-8"
    )
    secrets = home / "sign-in.toml"
    secrets.write_text(
        f'[auth]\nredirect_uri = "http://127.0.0.1:{{port}}/oauth2callback"\n'
        f'cookie_secret = "{"0123456789abcdef" * 2}"\nclient_id = "{CLIENT}"\nclient_secret = "{SECRET}"\n'
        f'server_metadata_url = "{provider.address}/.well-known/openid-configuration"\n',
        encoding="utf-8",
    )
    running = served(folder, "--sign-in", str(secrets))
    yield running
    running.ended()


def sign_in(page: Page, provider: Provider, who: str, name: str) -> None:
    """Sign in as somebody."""
    provider.who = {"email": f"{who}@example.org", "email_verified": True, "name": name}
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Sign out").wait_for()


def test_who_has_not_signed_in_sees_nothing_and_is_then_led_to_what_was_asked_for(
    desk: Running, provider: Provider, look: Looking
) -> None:
    seen = look(f"{desk.address}/thing?id=head")
    assert "Head of the lady" not in seen.page.locator("body").inner_text()
    assert faults(seen.page) == []
    sign_in(seen.page, provider, "ana", "Ana Reed")
    seen.page.get_by_role("heading", name="Head of the lady").wait_for()
    assert seen.page.url.endswith("/thing?id=head")
    assert seen.page.get_by_text("Ana Reed, reader").count() == 1


@pytest.mark.parametrize(
    ("who", "may_add", "may_judge"),
    [("ana", False, False), ("bo", True, False), ("cy", True, True)],
)
def test_each_does_what_the_role_allows(
    who: str, may_add: bool, may_judge: bool, desk: Running, provider: Provider, look: Looking
) -> None:
    seen = look(f"{desk.address}/add?about=head")
    sign_in(seen.page, provider, who, who.capitalize())
    seen.page.get_by_role("heading", name="Add a finding").wait_for()
    seen.settle()
    assert bool(seen.page.get_by_role("button", name="Put it on the note").count()) is may_add
    assert bool(seen.page.get_by_text("may not add findings").count()) is not may_add
    if may_add:
        put_on_the_note(seen, "chipped")
        seen.page.get_by_role("button", name="Record 1 finding").click()
        seen.page.get_by_text("Recorded by").wait_for()
    view = Daybook.open(desk.folder).view()
    signed = {entry.researcher for entry in view.entries.values()}
    assert (who.capitalize() in signed) is may_add
    claim = next(c.id for c in view.live if c.property == "madeBy")
    seen.page.goto(f"{desk.address}/judge?id={claim}")
    seen.settle()
    assert bool(seen.page.get_by_role("combobox", name="It is to be").count()) is may_judge
    assert bool(seen.page.get_by_text("may not judge claims").count()) is not may_judge
