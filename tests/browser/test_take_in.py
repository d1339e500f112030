"""Taking in as a reader does it: a hostile table is shown as text, and the screen has no fault of access."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from tests.browser.conftest import HOSTILE, Look, Running
from tests.browser.test_colleagues import choose, signs, write
from tests.browser.test_desk import faults, outside
from tests.conftest import Scene


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 390)])
def test_a_hostile_table_is_tried_as_text_and_recorded(
    scheme: str,
    width: int,
    scene: Scene,
    serve: Callable[[Path], Running],
    look: Callable[..., Look],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("KILNMARK_SIGNER_FILE", str(tmp_path / "signer.txt"))
    seen = look(f"{serve(scene.daybook.shelf.folder).address}/take-in", scheme=scheme, width=width)
    cell = HOSTILE.replace('"', '""')
    table = f'number,name,made,"{cell}"\n1,"Lady {cell}",about 1878,x\n2,"Girl {cell}","{cell}",y\n'
    seen.page.set_input_files(
        "input[type=file]", files={"name": "stock.csv", "mimeType": "text/csv", "buffer": table.encode()}
    )
    seen.settle()
    choose(seen, "Each row is about one", "piece")
    write(seen, "Source that says so", "Stock book")
    choose(seen, "Which is a", "data file")
    seen.page.get_by_role("heading", name="What is wrong").wait_for()
    seen.settle()
    assert seen.page.get_by_text("row 3").count() > 0
    assert seen.page.get_by_text("canary.example").count() > 0
    assert faults(seen.page) == []
    assert seen.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    signs(seen, "Ada Quill")
    seen.page.get_by_role("button", name="Record it as one entry").click()
    seen.page.get_by_text("Recorded by").wait_for()
    (claim,) = Daybook.open(scene.daybook.shelf.folder).view().live
    assert (claim.property, claim.value, claim.citation.locator) == ("madeOn", "1878~", "row 2")
    assert outside(seen.asked) == []
    assert seen.page.evaluate("window.canaryRan") is None
    assert seen.page.locator("img[src*=canary]").count() == 0
    assert seen.errors == []
