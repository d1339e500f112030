"""Pictures of every screen, to be looked at: ``python -m tests.browser.pictures FOLDER [NAME …]``.

Each screen of the demo in light, dark and a narrow window, whole from head to foot. ``--small`` makes the few that
the README shows.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from kg.daybook.demo import begin_demo
from tests.browser.conftest import Look, launched, served

#: An address for each screen of the demo, and the panel of the essay bench where one is chosen.
SCREENS = {
    "today": "",
    "fit-nothing-asked": "fit-a-date",
    "fit": "fit-a-date?subject=piece-lady-with-blue-snood&phrase=about+1878",
    "fit-cannot": "fit-a-date?subject=piece-unidentified-lady&phrase=1870s&maker=maker-castagnet",
    "whose": "whose-is-it?id=piece-unidentified-lady",
    "threads": "threads?from=retailer-bourdarias&to=maker-courtepee",
    "threads-round": "threads?from=maker-veuve-ysambert",
    "weighed": "sources-weighed",
    "weighed-source": "sources-weighed?id=article-resseguier-1932",
    "weighed-claim": "sources-weighed?id=c23uehmyxge",
    "bench": "essay-bench",
    "essay": "essay-bench?id=essay-lady-with-blue-snood",
    "take-in": "take-in",
    "loose-ends": "loose-ends",
    "thing-piece": "thing?id=piece-lady-with-blue-snood",
    "thing-maker": "thing?id=maker-vauquelard",
    "thing-source": "thing?id=article-resseguier-1932",
    "claim": "claim?id=cc7phl3mp46",
    "find": "find?words=castagnet",
    "add": "add?about=piece-lady-with-blue-snood",
    "judge": "judge?id=cc7phl3mp46",
    "join": "join?id=maker-vauquelard",
    "question": "question?id=question-who-modelled-aurore",
    "past-day": "fit-a-date?subject=piece-lady-with-blue-snood&phrase=about+1878&as-of=2026-06-15",
}

#: Colour scheme and width of each way of looking.
WAYS = {"light": ("light", 1280), "dark": ("dark", 1280), "narrow": ("light", 390)}

#: The pictures of the README: the screen, and how much of its height is shown.
SMALL = {"fit": 1230, "whose": 1130, "weighed-claim": 1100, "threads": 1230}

#: The tallest picture; a longer screen is cut off there.
_TALLEST = 4_000


def main() -> None:
    """Make the pictures that were asked for."""
    is_small = "--small" in sys.argv
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    if not words:
        sys.exit("Say where the pictures are to go: python -m tests.browser.pictures FOLDER")
    folder, names = Path(words[0]), words[1:] or list(SMALL if is_small else SCREENS)
    folder.mkdir(parents=True, exist_ok=True)
    with opened_demo() as (browser, address):
        for name in names:
            for way in ["light"] if is_small else WAYS:
                page = shown(browser, f"{address}/{SCREENS[name]}", way)
                place = folder / (f"{name}.png" if is_small else f"{name}-{way}.png")
                if is_small:
                    small(page, SMALL[name], place)
                else:
                    whole(page, WAYS[way][1])
                    page.screenshot(path=place)
                page.context.close()
                print(place, flush=True)


def small(page: Page, height: int, place: Path) -> None:
    """A picture of the upper part of a screen, in few colours so that the file is small."""
    page.set_viewport_size({"width": 1280, "height": height})
    page.wait_for_timeout(300)
    picture = Image.open(BytesIO(page.screenshot())).convert("RGB")
    picture.quantize(64, dither=Image.Dither.NONE).save(place, optimize=True)


@contextmanager
def opened_demo() -> Iterator[tuple[Browser, str]]:
    """A browser, and the address of a desk on a new demo daybook."""
    place = shutil.which("chromium")
    if place is None:
        sys.exit("There is no chromium on this machine; install it: apt-get install chromium")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        os.environ["KILNMARK_SIGNER_FILE"] = str(Path(folder) / "signer.txt")
        begin_demo(Path(folder) / "demo")
        running = served(Path(folder) / "demo")
        try:
            yield launched(playwright, place), running.address
        finally:
            running.ended()


def shown(browser: Browser, address: str, way: str) -> Page:
    """A page in one of the ways of looking, at rest."""
    scheme, width = WAYS[way]
    context = browser.new_context(
        color_scheme="dark" if scheme == "dark" else "light", viewport={"width": width, "height": 900}
    )
    page = context.new_page()
    page.goto(address)
    Look(page).settle()
    return page


def whole(page: Page, width: int) -> None:
    """Make the window as tall as the screen, which scrolls inside it."""
    page.wait_for_timeout(500)
    tall = page.evaluate("document.querySelector('[data-testid=stMainBlockContainer]').scrollHeight")
    page.set_viewport_size({"width": width, "height": min(int(tall) + 60, _TALLEST)})
    page.wait_for_timeout(300)


if __name__ == "__main__":
    main()
