"""How long a daybook takes to open, to answer a fit and to be audited, beside rdflib in the same run.

    python -m tests.bench.daybook [CLAIMS …]        (1000 10000 70000 unless given)

One entry file a claim, the hardest form. rdflib reads the same files up to 10,000 claims, more with --rdflib. Each size
runs in a process of its own, so that memory is its own.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.daybook import Daybook
from kg.daybook.record import Entry, compose
from kg.daybook.shelf import Shelf
from kg.daybook.trig import content_hash, to_trig
from kg.vocabulary import load_vocabulary
from tests.bench.trade import entries

PHRASES = ("about 1878", "1866", "c. 1885–90", "1870s", "before 1914")
FITS = 500


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds taken, and what came of it."""
    start = time.perf_counter()
    made = work()
    return time.perf_counter() - start, made


def megabytes() -> float:
    """The memory of this process."""
    return float(psutil.Process().memory_info().rss) / 1e6


def one_claim_each(claims: int) -> Iterator[Entry]:
    """The invented trade with an entry for every claim."""
    for entry in entries(claims):
        yield compose(entry.recorded, entry.researcher, things=entry.things)
        for draft in (claim.as_draft() for claim in entry.claims):
            yield compose(entry.recorded, entry.researcher, drafts=(draft,))


def write(folder: Path, claims: int) -> int:
    """Put the entries on disk without waiting for the disk, as a copy from another computer would."""
    shelf, vocabulary, count = Shelf.begin(folder, "Bench"), load_vocabulary(), 0
    for entry in one_claim_each(claims):
        trig = to_trig(entry, vocabulary)
        path = shelf.path(f"{entry.name}-{content_hash(trig)}.trig")
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(trig)
        count += 1
    return count


def measure(claims: int, with_rdflib: bool) -> None:
    """Print one size's figures."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / "daybook"
        count = write(folder, claims)
        before = megabytes()
        load, view = timed(lambda: Daybook.open(folder).view())
        loaded = megabytes() - before
        print(f"\n{len(view.live):,} claims in {count:,} entry files")
        print(f"  load                {load:8.2f} s   {loaded:6.0f} MB")
        if with_rdflib:
            taken, theirs = timed(lambda: _rdflib(folder))
            print(
                f"  rdflib's load       {taken:8.2f} s   {theirs:6.0f} MB   {taken / load:.0f} times as long"
            )
        _chronology(view)


def _chronology(view: Any) -> None:
    chronology = Chronology(view)

    def everything() -> None:
        for network in (chronology.evidence, chronology.everything, chronology.strained):
            assert network.local is not None

    print(f"  chronology of all   {timed(everything)[0]:8.2f} s")
    audit = Audit(chronology)
    seconds, told = timed(lambda: (len(audit.impossible), len(audit.conflicts), len(audit.strains)))
    print(
        f"  audit on top        {seconds:8.2f} s   {told[0]} impossible, {told[1]} conflicts, {told[2]} strains"
    )
    pieces = sorted(slug for slug, thing in view.things.items() if "Piece" in thing.kinds)
    chance = random.Random(1)
    readings = [read_phrase(phrase, convention()) for phrase in PHRASES]
    fit(chronology, Question(pieces[0], readings[0]))
    taken = sorted(
        timed(lambda: fit(chronology, Question(chance.choice(pieces), chance.choice(readings))))[0] * 1000
        for _ in range(FITS)
    )
    print(
        f"  fit                 {statistics.median(taken):8.2f} ms  95th percentile {taken[int(FITS * 0.95)]:.2f} ms"
    )


def _rdflib(folder: Path) -> float:
    import rdflib

    before = megabytes()
    dataset = rdflib.Dataset(default_union=True)
    for path in folder.rglob("*.trig"):
        dataset.parse(path, format="trig")
    return megabytes() - before


def main() -> None:
    """Measure each size in a process of its own."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("claims", nargs="*", type=int, default=[1_000, 10_000, 70_000])
    reader.add_argument("--rdflib", action="store_true", help="read with rdflib at every size")
    given = reader.parse_args()
    context = multiprocessing.get_context("spawn")
    for claims in given.claims or [1_000, 10_000, 70_000]:
        process = context.Process(target=measure, args=(claims, given.rdflib or claims <= 10_000))
        process.start()
        process.join()
        if process.exitcode:
            raise SystemExit(process.exitcode)


if __name__ == "__main__":
    main()
