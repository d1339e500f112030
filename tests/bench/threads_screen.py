"""What the screen *Threads* costs on a large daybook: ``python -m tests.bench.threads_screen [CLAIMS]``.

Times are told as multiples of one rerun of *Find* in the same run, beside the milliseconds of this machine.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from streamlit.testing.v1 import AppTest

from kg.asking import Desk
from kg.asking.threads import Sought, threads_page
from kg.daybook.daybook import Daybook
from kg.resources import resource
from tests.app.pages import opened
from tests.bench.trade import build

#: Reruns of which the 95th percentile is told.
RERUNS = 40


def main() -> None:
    """Measure and print."""
    claims = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "trade"
        daybook = build(place, claims)
        assert isinstance(daybook, Daybook)
        view = daybook.view()
        is_a = view.vocabulary.is_a
        pieces = [slug for slug, thing in view.things.items() if is_a(thing.kinds, "Piece")]
        makers = [slug for slug, thing in view.things.items() if is_a(thing.kinds, "Actor")]
        print(f"{len(view.live):,} claims, {len(view.things):,} things, {len(makers):,} makers and retailers")
        os.environ["KILNMARK_DAYBOOK"] = str(place)
        sys.path.insert(0, str(resource("app").parent))
        unit = _reruns("Find, rerun", "find", {"words": "lady"}, None)
        _values(place, pieces, makers)
        _reruns("Threads between two pieces, rerun", "threads", {"from": pieces[0], "to": pieces[-1]}, unit)
        _reruns("Threads round a maker, two steps, rerun", "threads", {"from": makers[0], "steps": "2"}, unit)
        _reruns("200 makers along the years, rerun", "threads", {"all": "maker"}, unit)


def _values(place: Path, pieces: list[str], makers: list[str]) -> None:
    """The library's share: the first answer, and further ones."""
    standpoint = Desk(place).standpoint()
    _told(
        "Library: first picture (dates, sources and conflicts worked out)",
        _timed(lambda: threads_page(standpoint, Sought(makers[0]))),
        None,
    )
    times = sorted(_timed(partial(threads_page, standpoint, Sought(slug, steps=2))) for slug in makers[1:41])
    _told("Library: a further picture, two steps, 95th percentile", times[int(len(times) * 0.95)], None)
    ends = list(zip(pieces[:40], reversed(pieces[:40]), strict=True))
    times = sorted(
        _timed(partial(threads_page, standpoint, Sought(*end))) for end in ends if end[0] != end[1]
    )
    _told("Library: threads between two pieces, 95th percentile", times[int(len(times) * 0.95)], None)


def _reruns(what: str, screen: str, parts: dict[str, str], unit: float | None) -> float:
    page = AppTest.from_file(str(resource("app") / "home.py"), default_timeout=300)
    first = _timed(lambda: opened(page, screen, **parts))
    times = sorted(_timed(page.run) for _ in range(RERUNS))
    found = times[int(RERUNS * 0.95)]
    _told(f"{what}, 95th percentile of {RERUNS} (first {first * 1000:.0f} ms)", found, unit)
    return found


def _told(what: str, seconds: float, unit: float | None) -> None:
    ratio = f"{seconds / unit:>8.1f} ×" if unit else ""
    print(f"{what:<78} {seconds * 1000:>9.1f} ms {ratio}")


def _timed(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
