"""How the time and memory of a take-in grow with the table: invented rows, printed as ratios within one run.

Run: ``python -m tests.bench.table_size [ROWS ...]``; the default sizes are 2,500, 10,000 and 40,000 rows of 4 claims.
For each size: reading the rows (CSV beside ``pandas.read_csv`` of the same file, and the same table as a workbook
beside CSV), then the whole take-in by its steps. The makers' lives are such that the dates fit, but for one row in 500.
"""

from __future__ import annotations

import csv
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pandas as pd
from openpyxl import Workbook

from kg.daybook.daybook import Daybook
from kg.intake.tables import open_table
from kg.intake.take_in import plan_take_in, record_plan, try_plan

MAPPING = """
name = "invented"
researcher = "A. Tester"
[source]
id = "invented-list"
label = "An invented list"
[[thing]]
name = "piece"
id = "piece-{id}"
kind = "Piece"
label = "{title}"
unique = true
[[thing]]
name = "maker"
id = "maker-{maker}"
kind = "Person"
label = "{maker}"
[[claim]]
about = "piece"
says = "madeBy"
thing = "maker"
[[claim]]
about = "piece"
says = "madeOn"
column = "dated"
form = "phrase"
[[claim]]
about = "piece"
says = "heightMm"
column = "height"
[[claim]]
about = "piece"
says = "condition"
column = "state"
"""
HEADINGS = ("id", "title", "maker", "dated", "height", "state")
#: One row in so many is dated 150 years before its maker's other pieces.
WRONG = 500


def row(n: int) -> tuple[str, ...]:
    """An invented row: each maker works for thirty years."""
    maker = n % 997
    year = 1800 + maker % 100 + (n // 997) % 30 - (150 if n % WRONG == 0 else 0)
    return (f"{n:06}", f"Doll {n}", f"Maker {maker}", f"c. {year}", str(200 + n % 600), f"worn at place {n}")


def write(folder: Path, rows: int) -> tuple[Path, Path]:
    """An invented table of so many rows, and its mapping."""
    table, mapping = folder / "table.csv", folder / "mapping.toml"
    mapping.write_text(MAPPING, encoding="utf-8")
    with table.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([HEADINGS, *map(row, range(rows))])
    return table, mapping


def write_workbook(folder: Path, rows: int) -> Path:
    """The same table as a workbook."""
    book = Workbook(write_only=True)
    page = book.create_sheet("Table")
    page.append(HEADINGS)
    for n in range(rows):
        page.append(row(n))
    book.save(folder / "table.xlsx")
    return folder / "table.xlsx"


def seconds(work: Callable[[], object]) -> float:
    """How long some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def megabytes() -> float:
    """The greatest memory of this process so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def measure(rows: int) -> None:
    """Print what one size takes: seconds of each step, and megabytes."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        table, mapping = write(folder, rows)
        read = seconds(lambda: sum(1 for _ in open_table(table).rows()))
        streamed = megabytes()
        sheet = write_workbook(folder, rows)
        workbook = seconds(lambda: sum(1 for _ in open_table(sheet).rows()))
        pandas = seconds(lambda: pd.read_csv(table, dtype=str))
        book = Daybook.begin(folder / "daybook")
        start, busy = time.perf_counter(), time.process_time()
        plan = plan_take_in(book.view(), table, mapping)
        planned = time.perf_counter()
        tried = try_plan(book, plan)
        checked = time.perf_counter()
        record_plan(book, plan, tried=tried)
        recorded, busy = time.perf_counter(), time.process_time() - busy
        assert tried is not None
        print(
            f"{rows:>7} rows: read {read:.2f} s (pandas {pandas:.2f} s: {read / pandas:.1f} times; workbook "
            f"{workbook:.2f} s: {workbook / read:.1f} times; {streamed:.0f} MB)\n"
            f"        plan {planned - start:.1f} s, what it brings {checked - planned:.1f} s, "
            f"record {recorded - checked:.1f} s, all {recorded - start:.1f} s ({busy:.1f} of the processor), "
            f"{megabytes():.0f} MB; "
            f"{len(tried[1].impossible)} datings that cannot fit, {len(tried[1].conflicts)} other contradictions"
        )
        for sentence in tried[1].untold:
            print(f"        {sentence}")
        del tried, plan
        again = seconds(lambda: _same(book, table, mapping, rows))
        print(f"        the same again {again:.1f} s", flush=True)


def _same(book: Daybook, table: Path, mapping: Path, rows: int) -> None:
    plan = plan_take_in(Daybook.open(book.shelf.folder).view(), table, mapping)
    assert plan.is_empty
    assert plan.kept == 4 * rows


def main(sizes: list[int]) -> None:
    """Measure each size in a process of its own."""
    for rows in sizes:
        subprocess.run([sys.executable, "-m", "tests.bench.table_size", "--one", str(rows)], check=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        measure(int(sys.argv[2]))
    else:
        main([int(size) for size in sys.argv[1:]] or [2_500, 10_000, 40_000])
