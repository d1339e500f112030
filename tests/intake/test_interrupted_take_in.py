"""A take-in that is interrupted or killed, at whatever point, leaves nothing half recorded."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from kg.intake.take_in import take_in_table
from tests.intake.conftest import HEADINGS, Bench
from tests.intake.test_hostile_files import fingerprint


@pytest.mark.parametrize(
    "stage",
    [
        "rows read",
        "comparing with the daybook",
        "composing the entry",
        "checking",
        "testing the dates",
        "recording",
    ],
)
def test_an_interruption_at_any_stage_leaves_the_daybook_as_it_was(bench: Bench, stage: str) -> None:
    before = fingerprint(bench.daybook.shelf.folder)
    met = []

    def interrupt(what: str, done: int, of: int) -> None:
        met.append(what)
        if what == stage:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        take_in_table(bench.daybook, bench.table, bench.mapping, progress=interrupt)
    assert met[-1] == stage
    assert fingerprint(bench.daybook.shelf.folder) == before


@pytest.mark.parametrize("call", ["fsync", "link"])
def test_an_interruption_while_the_file_is_written_leaves_no_file(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    before = fingerprint(bench.daybook.shelf.folder)

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, call, interrupt)
    with pytest.raises(KeyboardInterrupt):
        bench.take_in()
    monkeypatch.undo()
    assert fingerprint(bench.daybook.shelf.folder) == before


CHILD = """
import sys
from pathlib import Path
from kg.daybook.daybook import Daybook
from kg.intake.take_in import take_in_table
folder, table, mapping = map(Path, sys.argv[1:])
def tell(what, done, of):
    print(what, flush=True)
take_in_table(Daybook.open(folder), table, mapping, progress=tell)
print("done", flush=True)
"""


@pytest.mark.parametrize(
    ("stage", "wait"),
    [("rows read", 0.0), ("checking", 0.0), ("recording", 0.0), ("recording", 0.05), ("recording", 0.2)],
)
def test_a_killed_take_in_records_all_or_nothing(bench: Bench, stage: str, wait: float) -> None:
    bench.write(
        *(f"{n:04},Doll {n},Adèle Brumelow,1839,c. 1878,320,W" for n in range(600)), headings=HEADINGS
    )
    folder = bench.daybook.shelf.folder
    root = Path(__file__).resolve().parents[2]
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(folder), str(bench.table), str(bench.mapping)],
        stdout=subprocess.PIPE, text=True, cwd=root, env={**os.environ, "PYTHONPATH": str(root)},
    )  # fmt: skip
    assert child.stdout is not None
    for line in child.stdout:
        if line.strip() == stage:
            break
    time.sleep(wait)
    child.send_signal(signal.SIGKILL)
    child.communicate()
    book = Daybook.open(folder)
    assert [len(entry.claims) for entry in book.entries()] in ([], [2 + 3 * 600 + 599])
    assert all(not damage.what.startswith(("changed", "truncated")) for damage in book.verify())
    plan, _ = take_in_table(book, bench.table, bench.mapping)
    assert len(plan.drafts) + plan.kept == 2 + 3 * 600 + 599
    assert take_in_table(book, bench.table, bench.mapping)[1] is None
