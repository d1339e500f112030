"""The checks measured: the whole daybook and one entry, beside pySHACL, as ratios within one run.

    python -m tests.bench.checks                       # 1,000, 10,000 and 70,000 claims; pySHACL where feasible
    python -m tests.bench.checks --rdflib-up-to 10000  # pySHACL as shipped over rdflib at 10,000 too (most of an hour)

Each size runs in a process of its own, so that its memory is its own.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import median, quantiles
from typing import TypeVar

from kg.checks.check import EntryChecker, check_all, compiled_for
from kg.checks.judge import run_pyshacl, shapes_graph
from kg.checks.shapes import shipped_shapes
from kg.daybook.graph import rdflib_graph, view_store
from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from tests.bench.trade import view_of

WHEN = datetime(2027, 1, 1, tzinfo=UTC)
ENTRIES = 100
_Result = TypeVar("_Result")


@dataclass(frozen=True)
class Measured:
    """Seconds, and megabytes at the highest, for one size."""

    claims: int
    quads: int
    store: float
    whole: float
    findings: int
    entry_median: float
    entry_p95: float
    memory: float
    oxigraph: float | None
    rdflib: float | None
    results: tuple[int | None, int | None]
    memory_with_pyshacl: float


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    asked.add_argument("--claims", type=int, nargs="+", default=[1_000, 10_000, 70_000])
    asked.add_argument("--rdflib-up-to", type=int, default=1_000)
    asked.add_argument("--oxigraph-up-to", type=int, default=70_000)
    given = asked.parse_args()
    context = multiprocessing.get_context("spawn")
    for claims in given.claims:
        with context.Pool(1) as pool:
            told(pool.apply(measure, (claims, claims <= given.oxigraph_up_to, claims <= given.rdflib_up_to)))


def measure(claims: int, with_oxigraph: bool, with_rdflib: bool) -> Measured:
    """One size, from an invented trade of so many claims."""
    view = view_of(claims)
    store, built = timed(lambda: view_store(view))
    compiled_for(view.vocabulary)
    report, whole = timed(lambda: check_all(view, store))
    checker = EntryChecker(view, store)
    entries = [new_piece(number) if number % 2 else new_founding(number, claims) for number in range(ENTRIES)]
    checker.check(entries[0])
    each = [timed(lambda entry=entry: checker.check(entry))[1] for entry in entries]  # type: ignore[misc]
    memory = peak()
    shapes = shipped_shapes(view.vocabulary)
    oxigraph = timed(lambda: run_pyshacl(store, shapes)) if with_oxigraph else None
    rdflib = timed(lambda: as_shipped(rdflib_graph(view), shapes_graph(shapes))) if with_rdflib else None
    found = (count(oxigraph[0]) if oxigraph else None, count(rdflib[0]) if rdflib else None)
    return Measured(
        len(view.claims), len(store), built, whole, len(report.findings), median(each), quantiles(each, n=20)[-1],
        memory, oxigraph[1] if oxigraph else None, rdflib[1] if rdflib else None, found, peak(),
    )  # fmt: skip


def as_shipped(data: object, shapes: object) -> object:
    """pySHACL as it comes, without our fix."""
    import pyshacl

    return pyshacl.validate(data, shacl_graph=shapes, inference="none")[1]  # type: ignore[arg-type]


def count(results: object) -> int:
    """How many results a SHACL results graph holds."""
    from rdflib import RDF, SH, Graph

    assert isinstance(results, Graph)
    return len(list(results.subjects(RDF.type, SH.ValidationResult)))


def new_piece(number: int) -> Entry:
    """An entry about a new piece, linked to what is there."""
    slug = f"new-{number}"
    said = [
        ("madeOn", "1790" if number % 3 else "1878~"),
        ("madeBy", f"maker-{number % 10}"),
        ("bearsRegistration", "deposit-3"),
        ("illustratedIn", "plates-1"),
        ("soldBy", "shop-1"),
        ("heightMm", "400"),
    ]
    drafts = tuple(Draft(slug, says, value, Citation("book", "p. 3"), value) for says, value in said)
    return compose(WHEN, "A. Tester", things=(Thing(slug, ("Piece",), slug),), drafts=drafts)


def new_founding(number: int, claims: int) -> Entry:
    """An entry that dates a maker, and so touches all that the maker made."""
    maker = f"maker-{3 * number % max(3, claims // 90)}"
    return compose(
        WHEN, "A. Tester", drafts=(Draft(maker, "founded", "1879", Citation("book", "p. 3"), "1879"),)
    )


def timed(run: Callable[[], _Result]) -> tuple[_Result, float]:
    """What a call gives, and the seconds it took."""
    start = time.perf_counter()
    result = run()
    return result, time.perf_counter() - start


def peak() -> float:
    """The highest memory of this process so far, in megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def told(m: Measured) -> None:
    """Print one size."""
    print(f"{m.claims:,} claims, {m.quads:,} triples; store built in {m.store:.2f} s; {m.findings} findings")
    print(
        f"  whole run {m.whole:.2f} s; one entry: median {m.entry_median * 1000:.1f} ms, "
        f"p95 {m.entry_p95 * 1000:.1f} ms"
    )
    print(
        f"  memory with view, store and checks: {m.memory:.0f} MB; with pySHACL: {m.memory_with_pyshacl:.0f} MB"
    )
    for name, seconds, results in (
        ("over Oxigraph, with the fix", m.oxigraph, m.results[0]),
        ("as shipped, over rdflib", m.rdflib, m.results[1]),
    ):
        if seconds is not None:
            print(
                f"  pySHACL whole {name}: {seconds:.1f} s, {results} results: "
                f"{seconds / m.whole:,.0f} times the compiled whole run, "
                f"{seconds / m.entry_median:,.0f} times one entry"
            )


if __name__ == "__main__":
    main()
