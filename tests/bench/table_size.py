"""How the time and memory of a take-in grow with the table: invented rows, printed as ratios.

Run: ``python -m tests.bench.table_size [ROWS ...]``; the default sizes are 2,500, 10,000 and 40,000 rows of 4 claims.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from kg.daybook.daybook import Daybook
from kg.intake.take_in import take_in_table

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


def write(folder: Path, rows: int) -> tuple[Path, Path]:
    """An invented table of so many rows, and its mapping."""
    table, mapping = folder / "table.csv", folder / "mapping.toml"
    mapping.write_text(MAPPING, encoding="utf-8")
    with table.open("w", encoding="utf-8") as file:
        file.write("id,title,maker,dated,height,state\n")
        for n in range(rows):
            file.write(
                f"{n:06},Doll {n},Maker {n % 997},c. {1780 + n % 150},{200 + n % 600},worn at place {n}\n"
            )
    return table, mapping


def measure(rows: int) -> None:
    """Print seconds for taking in, seconds for taking in again, and the greatest memory in megabytes."""
    with tempfile.TemporaryDirectory() as name:
        table, mapping = write(Path(name), rows)
        book = Daybook.begin(Path(name) / "daybook")
        start = time.perf_counter()
        plan, _ = take_in_table(book, table, mapping)
        first = time.perf_counter() - start
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        start = time.perf_counter()
        again, entry = take_in_table(Daybook.open(book.shelf.folder), table, mapping)
        assert entry is None
        assert again.kept == len(plan.drafts) == 4 * rows
        print(first, time.perf_counter() - start, memory)


def main(sizes: list[int]) -> None:
    """Measure each size in a process of its own, and print each beside the first."""
    base: list[float] = []
    for rows in sizes:
        told = subprocess.run(
            [sys.executable, "-m", "tests.bench.table_size", "--one", str(rows)],
            check=True, capture_output=True, text=True,
        )  # fmt: skip
        found = [float(word) for word in told.stdout.split()]
        base = base or found
        first, again, memory = found
        ratios = ", ".join(f"{value / start:.1f}" for value, start in zip(found, base, strict=True))
        print(
            f"{rows:>7} rows: {first:6.1f} s, again {again:6.1f} s, {memory:6.0f} MB; beside the first size: {ratios} "
            f"at {rows / sizes[0]:.0f} times the rows"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        measure(int(sys.argv[2]))
    else:
        main([int(size) for size in sys.argv[1:]] or [2_500, 10_000, 40_000])
