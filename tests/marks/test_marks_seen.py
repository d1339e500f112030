"""Invented marks of every kind, each with what a specialist reads in it (marks_seen.csv).

Rows with ``before_looking`` were written down before the program was asked. ``kinds`` must be among the readings of
the stretch named; ``never`` names kinds that the mark must not be read as.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from kg.dates.window import iso
from kg.marks.reading import read_mark


def rows() -> Iterator[dict[str, str]]:
    with (Path(__file__).parent / "marks_seen.csv").open(encoding="utf-8", newline="") as table:
        yield from csv.DictReader(table)


def items(cell: str) -> list[str]:
    return [item.strip() for item in cell.split(";") if item.strip()]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["mark"]) for row in rows()])
def test_a_mark_is_read_as_a_specialist_reads_it(row: dict[str, str]) -> None:
    read = read_mark(row["mark"])
    found = {f"{r.text} = {r.kind}" for r in read.readings}
    kinds = {r.kind for r in read.readings}
    assert [item for item in items(row["kinds"]) if item not in found] == [], sorted(found)
    assert [kind for kind in items(row["never"]) if kind in kinds] == [], sorted(found)
    window = read.window.window
    for day, expected in ((window.first, row["earliest"]), (window.last, row["latest"])):
        if expected:
            assert day is not None
            assert iso(day) == expected


def test_at_least_thirty_marks_were_written_down_before_looking() -> None:
    assert sum(row["before_looking"] == "yes" for row in rows()) >= 30
