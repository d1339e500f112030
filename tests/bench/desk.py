"""What the desk costs on a large daybook: ``python -m tests.bench.desk [CLAIMS] [--screens]``.

``--screens`` leaves out all but the table of the screens; ``--scripts`` leaves out the browser of that, too, and tells
the processor's time only, which other work on the machine does not change much.

Times are told as multiples of one fit of the library on the same daybook in the same run, beside the seconds of
this machine; so a slower machine gives other seconds and about the same multiples.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from kg.asking import Asking, Desk
from kg.asking.claim import claim_page
from kg.asking.found import find
from kg.asking.thing import thing_page
from kg.daybook.daybook import Daybook
from kg.resources import resource
from tests.bench.trade import build

if TYPE_CHECKING:
    from playwright.sync_api import Page

#: Times that each thing is done; the median is told.
ROUNDS = 9

#: Reruns of a screen of which the 95th percentile is told.
RERUNS = 40


def main() -> None:
    """Measure and print."""
    given = [word for word in sys.argv[1:] if word.isdigit()]
    claims = int(given[0]) if given else 10_000
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "trade"
        daybook = build(place, claims)
        assert isinstance(daybook, Daybook)
        view = daybook.view()
        pieces = [slug for slug, thing in view.things.items() if view.vocabulary.is_a(thing.kinds, "Piece")]
        print(f"{len(view.live):,} claims, {len(view.things):,} things, {len(view.entries):,} entries")
        one_fit = library(place, pieces)
        pages(place, pieces, one_fit)
        if "--screens" not in sys.argv and "--scripts" not in sys.argv:
            screen(place, pieces, one_fit)
            browser(place, pieces, one_fit)
        every_script(place)
        if "--scripts" not in sys.argv:
            every_screen(place, one_fit)


def told(what: str, seconds: float, one_fit: float) -> None:
    """Print one figure."""
    print(f"{what:<66} {seconds * 1000:>9.1f} ms {seconds / one_fit:>9.1f} × one question")


def timed(act: Callable[[], object]) -> float:
    """The seconds that an act takes."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def library(place: Path, pieces: list[str]) -> float:
    """The questions as the screen asks them, without a screen; returns the seconds of one question."""
    desk = Desk(place)
    opened = timed(desk.stock)
    first = timed(lambda: desk.ask(Asking(pieces[0], "about 1878")))

    def ask(slug: str) -> None:
        desk.ask(Asking(slug, "about 1878"))

    one = median(timed(partial(ask, slug)) for slug in pieces[1 : ROUNDS + 1])
    told("Open the daybook and list what can be asked about", opened, one)
    told("First question (the chronology is solved)", first, one)
    told("A further question, drawing included", one, one)
    answer = desk.ask(Asking(pieces[1], "about 1878"))
    aside = frozenset(list(answer.numbers)[:1])
    told(
        "The same with a claim set aside",
        timed(lambda: desk.ask(Asking(pieces[1], "about 1878", without=aside))),
        one,
    )
    told("The network picture", timed(answer.picture.drawn), one)
    return one


def pages(place: Path, pieces: list[str], one_fit: float) -> None:
    """The pages of things and claims, and finding, without a screen."""
    standpoint = Desk(place).standpoint()
    view = standpoint.view
    sources = Counter(claim.citation.source for claim in view.live)
    busiest = sources.most_common(1)[0][0]
    told(
        "First page of a thing (sources and dates worked out)",
        timed(lambda: thing_page(standpoint, pieces[0])),
        one_fit,
    )
    told("Page of a piece", median(timed(partial(thing_page, standpoint, p)) for p in pieces[1:30]), one_fit)
    told(
        f"Page of the busiest source ({sources[busiest]:,} claims)",
        timed(lambda: thing_page(standpoint, busiest)),
        one_fit,
    )
    claims = list(view.claims)[:: max(len(view.claims) // 30, 1)]
    told("Page of a claim", median(timed(partial(claim_page, standpoint, c)) for c in claims), one_fit)
    told("First finding (names are gathered)", timed(lambda: find(standpoint, "tarn")), one_fit)
    names = [view.label(slug) for slug in pieces[1:30]]
    told("Finding by a name", median(timed(partial(find, standpoint, name)) for name in names), one_fit)
    told("Finding what is only spelled alike", timed(lambda: find(standpoint, "Qzaxiv Plrmn")), one_fit)


def screen(place: Path, pieces: list[str], one_fit: float) -> None:
    """The scripts of the screens, run without a browser: the time of a rerun is the server's share of each action."""
    from streamlit.testing.v1 import AppTest

    from tests.app.pages import opened

    os.environ["KILNMARK_DAYBOOK"] = str(place)
    sys.path.insert(0, str(resource("app").parent))
    page = AppTest.from_file(str(resource("app") / "home.py"), default_timeout=300)
    told("Script of the page, first run", timed(page.run), one_fit)
    fit = {"subject": pieces[0], "phrase": "about 1878"}
    told("Script of Fit a date, first question", timed(lambda: opened(page, "fit_a_date", **fit)), one_fit)
    many("Script of Fit a date, rerun", page.run, one_fit)
    opened(page, "thing", id=pieces[0])
    many("Script of a thing's page, rerun", page.run, one_fit)
    opened(page, "find", words="lady")
    many("Script of Find, rerun", page.run, one_fit)


def many(what: str, act: Callable[[], object], one_fit: float) -> None:
    """Print the 95th percentile of an act done many times."""
    times = sorted(timed(act) for _ in range(RERUNS))
    told(f"{what}, 95th percentile of {RERUNS}", times[int(RERUNS * 0.95)], one_fit)


#: A link that is clicked, as any link of the desk.
_FOLLOW = """(to) => { const link = document.createElement("a"); link.href = to; document.body.append(link);
link.click(); link.remove(); }"""


def browser(place: Path, pieces: list[str], one_fit: float) -> None:
    """The page in a real browser, from the address to the drawn answer."""
    found = shutil.which("chromium")
    if found is None:
        print("There is no chromium on this machine: the browser's figures are left out.")
        return
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import served

    running = served(place)
    try:
        with sync_playwright() as playwright:
            started = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
            page = started.new_context().new_page()
            answer = page.locator(".k-verdict")

            def opened(slug: str) -> None:
                page.goto(f"{running.address}/fit-a-date?subject={slug}&phrase=about+1878")
                answer.wait_for(timeout=300_000)

            told(
                "Browser: first page of the first reader, answer drawn",
                timed(lambda: opened(pieces[0])),
                one_fit,
            )
            again = median(timed(partial(opened, slug)) for slug in pieces[1:4])
            told("Browser: a page opened again", again, one_fit)
            box = page.get_by_role("textbox", name="Date as the catalogue prints it")

            def sent(phrase: str) -> None:
                box.press("Enter")
                answer.get_by_text(f"“{phrase}”").wait_for(timeout=300_000)

            times = []
            for phrase in ("1861", "1862", "1863", "1864", "1865"):
                box.fill(phrase)
                times.append(timed(partial(sent, phrase)))
            told("Browser: from the Enter key to the new verdict", median(times), one_fit)

            def gone(slug: str) -> None:
                page.evaluate(_FOLLOW, f"thing?id={slug}")
                page.locator(".k-thing code", has_text=slug).wait_for(timeout=300_000)

            gone(pieces[0])
            clicks = sorted(timed(partial(gone, slug)) for slug in pieces[1:41])
            told("Browser: from a click to a thing's page, 95th percentile of 40", clicks[37], one_fit)
            started.close()
    finally:
        running.ended()


#: Times that each screen is gone to in the open desk, each time with another thing; the 95th percentile is told.
VISITS = 20

#: Goes to an address as a link of the desk does; the seconds until the last change of what is drawn, after which the
#: desk is at rest and nothing changes for a third of a second. A screen that is drawn as it was changes nothing: null.
_VISIT = """(to) => new Promise((done) => {
  const link = document.createElement("a"); link.href = to; link.className = "k-go";
  document.querySelector('[data-testid="stMain"]').append(link);
  const start = performance.now();
  let last = 0;
  const watch = new MutationObserver(() => { last = performance.now(); });
  watch.observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
  const look = setInterval(() => {
    const now = performance.now(), app = document.querySelector('[data-testid="stApp"]');
    if (app.dataset.testScriptState !== "notRunning" || now - Math.max(last, start) < (last ? 333 : 3000)) return;
    clearInterval(look); watch.disconnect(); link.remove();
    done(last ? (last - start) / 1000 : null);
  }, 20);
  link.click();
})"""


def addresses(place: Path) -> dict[str, list[str]]:
    """For each screen, addresses that show something of the daybook, no two alike where it can be asked of things."""
    view = Daybook.open(place).view()

    def some(kind: str) -> list[str]:
        of_kind = [slug for slug, thing in view.things.items() if view.vocabulary.is_a(thing.kinds, kind)]
        return (of_kind[:: max(len(of_kind) // VISITS, 1)] * VISITS)[: VISITS + 1]

    pieces, makers, sources = some("Piece"), some("Actor"), some("Source")
    claims = [claim.id for claim in view.live[:: max(len(view.live) // VISITS, 1)]][: VISITS + 1]
    return {
        "Today": ["./?back=week", "./?back=year"] * 10,
        "Fit a date": [f"fit-a-date?subject={slug}&phrase=about+1878" for slug in pieces],
        "Whose is it?": [f"whose-is-it?id={slug}" for slug in pieces],
        "Threads": [f"threads?from={a}&to={b}" for a, b in zip(pieces, makers, strict=False)],
        "Threads, round one thing": [f"threads?from={slug}" for slug in makers],
        "Sources weighed, a source": [f"sources-weighed?id={slug}" for slug in sources],
        "Sources weighed, a claim": [f"sources-weighed?id={ident}" for ident in claims],
        "Essay bench, a draft": [f"essay-bench?piece={slug}" for slug in pieces],
        "Take in": ["take-in", "take-in?x=1"] * 10,
        "Loose ends": [f"loose-ends?page={number}" for number in range(1, VISITS + 1)],
        "On record, a piece": [f"thing?id={slug}" for slug in pieces],
        "On record, a source": [f"thing?id={slug}" for slug in sources],
        "Claim": [f"claim?id={ident}" for ident in claims],
        "Find": [f"find?words={view.label(slug).split()[-1]}" for slug in makers],
        "Add a finding": [f"add?about={slug}" for slug in pieces],
        "Judge a claim": [f"judge?id={ident}" for ident in claims],
        "One or two?": [f"join?id={slug}" for slug in makers],
        "Question": [f"question?about={slug}" for slug in pieces],
    }


def every_script(place: Path) -> None:
    """The processor's time of each screen's script: the first time, and with another thing each time."""
    from streamlit.testing.v1 import AppTest

    from tests.app.pages import markup, opened

    os.environ["KILNMARK_DAYBOOK"] = str(place)
    sys.path.insert(0, str(resource("app").parent))
    page = AppTest.from_file(str(resource("app") / "home.py"), default_timeout=300)
    page.run()
    for name, given in addresses(place).items():
        times = []
        for at in given:
            path, _, parts = at.partition("?")
            module = "" if path == "./" else path.replace("-", "_")
            start = time.process_time()
            opened(page, module, **dict(parse_qsl(parts)))
            times.append(time.process_time() - start)
            assert "<h" in markup(page) or page.title, f"{at} drew nothing"
        rest = sorted(times[1:])
        first, middle, most = (
            round(one * 1000) for one in (times[0], median(rest), rest[int(len(rest) * 0.95) - 1])
        )
        print(f"{name:<30} processor: first {first:>6} ms, then {middle:>5} ms, 95th percentile {most:>5} ms")


def every_screen(place: Path, one_fit: float) -> None:
    """Each screen in a browser: its first page in a new window, and going to it with another thing in the open desk."""
    found = shutil.which("chromium")
    if found is None:
        print("There is no chromium on this machine: the browser's figures are left out.")
        return
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import launched, served

    running = served(place)
    try:
        with sync_playwright() as playwright:
            started = launched(playwright, found)
            for name, given in addresses(place).items():
                page = started.new_context().new_page()
                page.set_default_timeout(300_000)

                def first(at: str = given[0], page: Page = page) -> None:
                    page.goto(f"{running.address}/{at}")
                    page.locator("h1").first.wait_for()
                    while not page.evaluate(
                        "Boolean(window.kFollows)"
                    ):  # until then a link loads the page anew
                        page.wait_for_timeout(20)
                    page.wait_for_selector('[data-testid="stApp"][data-test-script-state="notRunning"]')

                told(f"{name}: first page", timed(first), one_fit)
                times = sorted(filter(None, (page.evaluate(_VISIT, to) for to in given[1:])))
                told(f"{name}: gone to, median", median(times), one_fit)
                told(f"{name}: gone to, 95th percentile", times[int(len(times) * 0.95) - 1], one_fit)
                page.context.close()
            started.close()
    finally:
        running.ended()


if __name__ == "__main__":
    main()
