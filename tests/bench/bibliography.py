"""How long a large bibliography takes: reading, planning, recording, and taking the same file in again.

Run: python -m tests.bench.bibliography [RECORDS]
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

from bibtexparser.splitter import Splitter

from kg.daybook.daybook import Daybook
from kg.intake.bibliography import plan_bibliography, record_bibliography
from kg.intake.bibliography.reading import read_bibliography

WORDS = (
    "heads", "wax", "moulds", "linen", "kid", "porcelain", "costume", "valley",
    "notes", "letters", "plates", "marks", "winter", "garden",
)  # fmt: skip
FAMILIES = ("Tarn", "Ottery", "Plumtree", "Brumelow", "Vauquel", "Hazlewick")


def main(count: int) -> None:
    """Print each step in seconds, and beside the library's own splitting of the file."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "large.bib"
        file.write_text("\n\n".join(records(count)), encoding="utf-8")
        daybook = Daybook.begin(Path(folder) / "daybook", "Bench")
        split = seconds(lambda: Splitter(file.read_text(encoding="utf-8")).split())
        read = seconds(lambda: read_bibliography(file))
        start = time.perf_counter()
        plan = plan_bibliography(daybook.view(), file, researcher="A. Tester")
        planned = time.perf_counter() - start
        recorded = seconds(lambda: record_bibliography(daybook, plan))
        loaded = seconds(daybook.view)
        start = time.perf_counter()
        again = plan_bibliography(daybook.view(), file, researcher="A. Tester")
        told = time.perf_counter() - start
        assert again.is_empty
    print(f"{count:,} records, {len(plan.drafts):,} claims, {len(plan.things):,} things")
    for what, took in (
        ("splitting by the library alone", split),
        ("reading", read),
        ("planning, reading included", planned),
        ("recording", recorded),
        ("taking in, whole", planned + recorded),
        ("loading the daybook after it", loaded),
        ("the same file again, nothing new", told),
    ):
        print(f"  {what:34} {took:6.2f} s  {took / split:5.1f} times the splitting")


def seconds(work: object) -> float:
    """How long a call takes."""
    start = time.perf_counter()
    work()  # type: ignore[operator]  # a call without arguments
    return time.perf_counter() - start


def records(count: int) -> list[str]:
    """Invented records, no two alike."""
    draw = random.Random(4)
    return [
        f"@{draw.choice(['book', 'article'])}{{key{number},\n"
        f"  author = {{{draw.choice(FAMILIES)}{draw.randrange(3_000)}, Otto and {draw.choice(FAMILIES)}, A.}},\n"
        f"  title = {{{{{' '.join(draw.choices(WORDS, k=6))} {number}}}}},\n"
        f"  year = {{{1850 + draw.randrange(150)}}},\n  publisher = {{Press {number % 50}}},\n"
        f"  address = {{Bath}},\n  pages = {{1--{number % 300 + 2}}},\n  note = {{seen}}\n}}"
        for number in range(count)
    ]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
