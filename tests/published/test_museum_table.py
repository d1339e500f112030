"""A museum's table whole: taken in, taken in again, undone and exported.

The table is 1,500 objects of the open data of the Carnegie Museum of Art (github.com/cmoa/collection, commit 3603ad5f,
CC0), one named maker each. It does not ship here; the variable KILNMARK_OPEN_DATA names the folder that holds it as
objects_with_maker_lives.csv. Without it these tests are skipped.
"""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from kg.daybook.trig import read_entries
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.intake.take_in import plan_take_in, take_in_table, try_plan
from kg.intake.undo import plan_undo
from kg.resources import resource

TABLE = Path(os.environ.get("KILNMARK_OPEN_DATA", "not-named")) / "objects_with_maker_lives.csv"
MAPPING = resource("sources/mappings/museum-objects-years.toml")
pytestmark = pytest.mark.skipif(
    not TABLE.is_file(), reason="KILNMARK_OPEN_DATA names no folder with the table"
)


def test_the_whole_table_is_taken_in_once_and_what_was_not_understood_is_listed(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    plan, entry = take_in_table(book, TABLE, MAPPING, researcher="A. Tester")
    assert entry is not None
    assert plan.rows == 1_500
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    # Exactly the rows whose two years are no years in order are not understood, found here by the table itself.
    wrong = [
        number
        for number, row in enumerate(rows, start=2)
        if any(len(row[c].lstrip("-")) > 4 for c in ("museum_earliest", "museum_latest") if row[c])
        or (
            row["museum_earliest"]
            and row["museum_latest"]
            and int(row["museum_earliest"]) > int(row["museum_latest"])
        )
    ]
    assert [fault.row for fault in plan.faults] == wrong
    assert all(fault.is_left_out for fault in plan.faults)
    assert take_in_table(book, TABLE, MAPPING, researcher="A. Tester")[1] is None
    assert list(book.verify()) == []


def test_the_dry_run_finds_what_the_audit_finds_afterwards(tmp_path: Path) -> None:
    from kg.chronology.audit import Audit
    from kg.chronology.chronology import Chronology

    book = Daybook.begin(tmp_path / "daybook")
    tried = try_plan(book, plan_take_in(book.view(), TABLE, MAPPING, researcher="A. Tester"))
    assert tried is not None
    take_in_table(book, TABLE, MAPPING, researcher="A. Tester")
    later = Audit(Chronology(book.view())).impossible
    assert later
    assert sorted((d.claim.subject, d.claim.value) for d in tried[1].impossible) == sorted(
        (d.claim.subject, d.claim.value) for d in later
    )


def test_it_is_undone_taken_in_again_and_exported(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    _, entry = take_in_table(book, TABLE, MAPPING, researcher="A. Tester")
    assert entry is not None
    undoing = plan_undo(book.view(), entry.name, "A. Tester", "a trial")
    book.record(book.compose(undoing.note))
    assert book.view().live == ()
    plan, _ = take_in_table(book, TABLE, MAPPING, researcher="A. Tester")
    assert plan.drafts == ()
    assert len(book.view().live) == len(entry.claims)
    out = io.BytesIO()
    assert export_daybook(book, Form.TRIG, out).entries == 3
    assert {e.name for e in read_entries(out.getvalue())} == {e.name for e in book.entries()}
