"""The two ways of working at the desk: with mouse and keyboard, and with the keyboard alone."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from playwright.sync_api import Download, Locator, Page

#: What is at the keyboard's place: its name as a reader is told it, and what it stands in.
_HERE = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const label = at.labels && at.labels.length ? at.labels[0].innerText : "";
  const group = at.closest("nav, fieldset, [role=radiogroup]");
  return { name: (at.getAttribute("aria-label") || label || at.innerText || "").trim(),
    role: at.getAttribute("role") || (at.tagName === "BUTTON" ? "button" : at.type || at.tagName.toLowerCase()),
    within: group ? group.getAttribute("aria-label") || "" : "" };
}"""

#: What can be typed into.
FIELDS = {"text", "textarea", "combobox"}

#: Steps of the Tab key after which a thing is held to be out of the keyboard's reach.
FARTHEST = 400


class Hand(Protocol):
    """What a reader does at the desk."""

    page: Page

    def follow(self, name: str, within: str = "") -> None:
        """Follow the first link of that name, in the list of that name where one is given."""

    def write(self, field: str, text: str) -> None:
        """Write a line into a field and send it."""

    def choose(self, field: str, text: str) -> None:
        """Choose from a list by part of a text."""

    def press(self, name: str) -> None:
        """Press a button."""

    def pick(self, name: str, of: str) -> None:
        """Pick one of a few that are all shown."""

    def open(self, name: str) -> None:
        """Open what is folded up."""


class Mouse:
    """Mouse and keyboard."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def follow(self, name: str, within: str = "") -> None:
        """Click on the link."""
        place: Page | Locator = self.page
        if within:
            place = self.page.get_by_role("navigation", name=within, exact=True)
        place.get_by_role("link", name=name, exact=True).first.click()

    def write(self, field: str, text: str) -> None:
        """Fill in and send with Enter."""
        box = self.page.get_by_role("textbox", name=field)
        box.fill(text)
        box.press("Enter")

    def choose(self, field: str, text: str) -> None:
        """Open the list, and click on what answers to the text."""
        box = self.page.get_by_role("combobox", name=field, exact=True)
        box.fill(text)
        self.page.get_by_role("option").first.click()

    def press(self, name: str) -> None:
        """Click on the button, as soon as it can be pressed."""
        self.page.get_by_role("button", name=name, exact=True).click()

    def pick(self, name: str, of: str) -> None:
        """Click on it."""
        group = self.page.get_by_role("radiogroup", name=of)
        group.get_by_text(name, exact=True).click()

    def open(self, name: str) -> None:
        """Click on its heading."""
        self.page.locator("summary", has_text=name).first.click()


class Keys:
    """The keyboard alone: the Tab key to a place, and typing, Enter, Space and arrows there."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.steps: list[int] = []

    def follow(self, name: str, within: str = "") -> None:
        """Enter on the link."""
        self._reach(name, "a", within)
        self.page.keyboard.press("Enter")

    def write(self, field: str, text: str) -> None:
        """Type over what is there, and Enter."""
        self._type(field, text)
        self.page.keyboard.press("Enter")

    def choose(self, field: str, text: str) -> None:
        """Type a part of it, and take the first with Enter."""
        self._type(field, text)
        self.page.get_by_role("option").first.wait_for()
        self.page.keyboard.press("Enter")

    def press(self, name: str) -> None:
        """Enter on the button, as soon as it can be pressed."""
        button = self.page.get_by_role("button", name=name, exact=True)
        button.and_(self.page.locator("button:not([disabled])")).wait_for()
        self._reach(name, "button")
        self.page.keyboard.press("Enter")

    def pick(self, name: str, of: str) -> None:
        """The arrow keys, from the one that is chosen."""
        group = self.page.get_by_role("radiogroup", name=of)
        self._reach("", "radio", of)
        for _ in range(group.get_by_role("radio").count()):
            if self._here().get("name") == name:
                break
            self.page.keyboard.press("ArrowRight")
        self.page.keyboard.press("Space")

    def open(self, name: str) -> None:
        """Enter on its heading."""
        self._reach(name, "summary")
        self.page.keyboard.press("Enter")

    def _type(self, field: str, text: str) -> None:
        self._reach(field, "field")
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)

    def _here(self) -> dict[str, str]:
        return self.page.evaluate(_HERE) or {}

    def _reach(self, name: str, role: str, within: str = "") -> None:
        """Step to it with the Tab key.

        :raises AssertionError: if it is not reached within `FARTHEST` steps.
        """
        for step in range(FARTHEST):
            if self._is_at(name, role, within):
                self.steps.append(step)
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"The Tab key does not lead to {name or within!r} within {FARTHEST} steps.")

    def _is_at(self, name: str, role: str, within: str) -> bool:
        here = self._here()
        if not here or (within and here["within"] != within):
            return False
        is_named = not name or here["name"] == name
        return is_named and (here["role"] == role or (role == "field" and here["role"] in FIELDS))


def kept(hand: Hand, button: str, folder: Path) -> Path:
    """The file that a button gives to keep."""
    with hand.page.expect_download() as promised:
        hand.press(button)
    download: Download = promised.value
    place = folder / download.suggested_filename
    download.save_as(place)
    return place
