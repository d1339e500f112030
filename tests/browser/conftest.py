"""A desk in a process of its own, and a real browser that looks at it."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright, Request, sync_playwright

from kg.daybook.demo import begin_demo
from kg.daybook.record import Citation, Draft, Thing
from tests.conftest import Scene

ROOT = Path(__file__).resolve().parents[2]

#: A name that runs or fetches if one place lets it through: as an element, as the end of a script, as Markdown.
HOSTILE = (
    '<img src="https://canary.example/a.png" onerror="canary()"></script><script>canary()</script>'
    "![i](https://canary.example/b.png) $x$ **b** {{ 7*7 }}"
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Try a browser's test once more before it counts as failed: a busy machine loses a key or draws too late."""
    for item in items:
        if item.path.is_relative_to(ROOT / "tests" / "browser"):
            item.add_marker(pytest.mark.flaky(reruns=1))


@dataclass
class Running:
    """A desk that is being served."""

    process: subprocess.Popen[str]
    address: str
    folder: Path

    def ended(self, told: signal.Signals = signal.SIGTERM) -> tuple[int, str, str]:
        """Tell the desk to end; its exit code and what it printed."""
        self.process.send_signal(told)
        out, err = self.process.communicate(timeout=20)
        return self.process.returncode, out, err


@dataclass
class Look:
    """A page in the browser, with the addresses that it asked for and the errors that it met."""

    page: Page
    asked: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def settle(self) -> None:
        """Wait until the screen is drawn and stays at rest: before the desk answers, it is at rest too."""
        at_rest = '[data-testid="stApp"][data-test-script-state="notRunning"]'
        self.page.locator(".st-key-k-head, .k-notice").first.wait_for()
        for _ in range(2):
            self.page.wait_for_selector(at_rest)
            self.page.wait_for_timeout(300)

    def rest(self) -> None:
        """Wait until the desk has nothing left to do, after something that was seen already."""
        self.page.wait_for_timeout(50)
        self.page.wait_for_selector('[data-testid="stApp"][data-test-script-state="notRunning"]')

    def ask(self, subject: str, phrase: str) -> None:
        """Type a question as a reader does, and send it with the Enter key."""
        chooser = self.page.get_by_role("combobox", name="Piece, part or maker")
        chooser.fill(subject)
        chooser.press("Enter")
        date = self.page.get_by_role("textbox", name="Date as the catalogue prints it")
        date.fill(phrase)
        date.press("Enter")
        self.page.locator(".k-verdict").wait_for()
        self.settle()


def chromium() -> str:
    """The browser of this machine; without one the test is skipped here, and fails where everything must be run."""
    found = shutil.which("chromium") or "/usr/bin/chromium"
    if not Path(found).exists():
        if os.environ.get("CI") == "true":
            pytest.fail("There is no chromium; install it: apt-get install chromium")
        pytest.skip("There is no chromium on this machine.")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A browser without a window."""
    place = chromium()
    with sync_playwright() as playwright:
        started = launched(playwright, place)
        yield started
        started.close()


def launched(playwright: Playwright, place: str) -> Browser:
    """The browser at a place on this machine, without a window."""
    # Chromium refuses to run as root inside its own sandbox.
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return playwright.chromium.launch(executable_path=place, args=["--no-sandbox"] if is_root else [])


@pytest.fixture(scope="session")
def hostile_daybook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A daybook whose every name, citation and quotation tries to run or fetch something."""
    scene = Scene(tmp_path_factory.mktemp("hostile"))
    scene.say("brumelow", "diedOn", "1880-05")
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("head", "bearsRegistration", "deposit", "register")
    said_by = Citation("tome", f"p. 3 {HOSTILE}", f"so it is said {HOSTILE}")
    things = [
        Thing("tome", ("Book",), f"Tome {HOSTILE}"),
        Thing("smith", ("Person",), f"Smith {HOSTILE}"),
        Thing("lender", ("Person",), f"Lender {HOSTILE}", is_confidential=True),
    ]
    drafts = [
        Draft("head", "madeBy", "smith", said_by),
        Draft("smith", "diedOn", "1879", said_by, f"1879 {HOSTILE}"),
        Draft("head", "ownedInLifetimeBy", "lender", said_by),
        Draft("head", "madeOn", "1866~", said_by, f"about 1866 {HOSTILE}"),
        Draft("lender", "diedOn", "1885", said_by, "1885"),
    ]
    scene.add(things=things, drafts=drafts)
    return scene.daybook.shelf.folder


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, to be copied by whoever adds to it."""
    folder = tmp_path_factory.mktemp("demo") / "demo"
    begin_demo(folder)
    return folder


@pytest.fixture(scope="module")
def demo_desk(
    serve: Callable[[Path], Running], demo: Path, tmp_path_factory: pytest.TempPathFactory
) -> Running:
    """The desk on a demo that a module may add to."""
    return serve(Path(shutil.copytree(demo, tmp_path_factory.mktemp("own") / "demo")))


def served(folder: Path, *options: str) -> Running:
    """The desk opened on a daybook, as the command line does, and answering."""
    port = _free_port()
    command = [sys.executable, "-c", "from kg.cli import main; main()", "desk", "--no-browser"]
    process = subprocess.Popen(
        [*command, "--port", str(port), "--daybook", str(folder), *options],
        cwd=folder.parent,
        env={
            "XDG_DATA_HOME": str(folder.parent / "data"),  # never the daybook opened last on this machine
            "KILNMARK_SIGNER_FILE": str(folder.parent / "signer.txt"),  # never the name kept on this machine
            **os.environ,
            "PYTHONPATH": str(ROOT),
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    running = Running(process, f"http://127.0.0.1:{port}", folder)
    _wait_for(running, port)
    return running


@pytest.fixture(scope="session")
def serve() -> Iterator[Callable[[Path], Running]]:
    """Open the desk on a daybook; all are ended at the end."""
    started: list[Running] = []

    def serving(folder: Path) -> Running:
        started.append(served(folder))
        return started[-1]

    yield serving
    for running in started:
        if running.process.poll() is None:
            running.ended()


@pytest.fixture
def look(browser: Browser) -> Iterator[Callable[..., Look]]:
    """Open a page in a browser of its own; each page counts what it asks for."""
    contexts = []

    def looked(address: str, *, scheme: str = "light", width: int = 1280) -> Look:
        context = browser.new_context(
            color_scheme="dark" if scheme == "dark" else "light", viewport={"width": width, "height": 900}
        )
        contexts.append(context)
        context.add_init_script("window.canary = () => { window.top.canaryRan = true; };")
        seen = Look(context.new_page())
        seen.page.on("request", lambda request: _note(seen, request))
        seen.page.on("websocket", lambda socket: seen.asked.append(socket.url))
        seen.page.on("pageerror", lambda error: seen.errors.append(str(error)))
        seen.page.goto(address)
        seen.settle()
        return seen

    yield looked
    for context in contexts:
        context.close()


def _note(seen: Look, request: Request) -> None:
    seen.asked.append(request.url)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(running: Running, port: int) -> None:
    for _ in range(200):
        if running.process.poll() is not None:
            pytest.fail(f"The desk ended at once: {running.process.communicate()[1]}")
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
            return
        time.sleep(0.1)
    pytest.fail("The desk did not answer within 20 seconds.")
