"""What the essay bench costs on a large daybook: ``python -m tests.bench.essay_bench [CLAIMS]``.

Times are told as multiples of one draft of an essay by the library on the same daybook in the same run, beside the
seconds of this machine.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles

from streamlit.testing.v1 import AppTest

from app.drawing.essay_panels import PANELS
from kg.daybook.daybook import Daybook
from kg.essays.compose import compose
from kg.essays.plan import Bench
from kg.essays.stored import save_essay
from kg.resources import resource
from tests.app.pages import opened
from tests.bench.trade import build

#: Drafts of the library of which the median is taken, and reruns of which the 95th percentile is.
DRAFTS, RERUNS = 20, 20


def main() -> None:
    """Measure and print."""
    claims = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "trade"
        daybook = build(place, claims)
        assert isinstance(daybook, Daybook)
        view = daybook.view()
        pieces = [slug for slug, thing in view.things.items() if view.vocabulary.is_a(thing.kinds, "Piece")]
        print(f"{len(view.live):,} claims, {len(pieces):,} pieces")
        bench = Bench(view)
        compose(bench, pieces[0])  # what is worked out once
        one = median(timed(lambda piece=piece: compose(bench, piece)) for piece in pieces[:DRAFTS])
        told("one draft by the library", one, one)
        save_essay(daybook, "essay-bench", compose(bench, pieces[0]).markdown, "A. Tester", about=[pieces[0]])
        screen(place, one)


def screen(place: Path, one: float) -> None:
    """The screen, driven without a browser: opened anew, and rerun with each panel while the text changes."""
    os.environ["KILNMARK_DAYBOOK"] = str(place)
    sys.path.insert(0, str(resource("app").parent))
    page = AppTest.from_file(str(resource("app") / "home.py"), default_timeout=120)
    told(
        "the bench opened in a new process", timed(lambda: opened(page, "essay_bench", id="essay-bench")), one
    )
    field = next(area.key for area in page.text_area)
    assert field is not None
    text = page.text_area(key=field).value
    for panel in PANELS:
        page.segmented_control(key="essay_bench-panel").set_value(panel)
        told(f"{panel}: first shown", timed(page.run), one)
        times = []
        for number in range(RERUNS):
            page.text_area(key=field).set_value(f"{text}\nShe was seen {number} times.[^own]\n")
            times.append(timed(page.run))
            assert not page.exception
        told(f"{panel}: rerun with another text, 95th percentile", quantiles(times, n=20)[-1], one)


def timed(act: Callable[[], object]) -> float:
    """The seconds that an act takes."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def told(what: str, seconds: float, one: float) -> None:
    """Print one figure."""
    print(f"{what:<66} {seconds * 1000:>9.1f} ms {seconds / one:>9.1f} × one draft")


if __name__ == "__main__":
    main()
