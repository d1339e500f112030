"""The audit of essays: how often it finds planted faults, and what a sale of 500 essays takes.

Run from the project's folder: ``python -m tests.bench.essay_audit``. The time of an audit is told beside that of the
draft of the same essays, in one run.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from kg.daybook.demo import begin_demo
from kg.daybook.view import WorkingView
from kg.essays.audit import Evidence, Kind, audit
from kg.essays.compose import draft_sale
from kg.essays.plan import Bench
from kg.essays.syntax import read_essay
from tests.bench.essays import pieces, repeated
from tests.essays.planted.altered import found_by_alteration
from tests.essays.planted.gold import Score, is_stale, printed, scores, world

#: A sale of this size must be audited in so many seconds.
ESSAYS, MOST_SECONDS = 500, 30
_SETS = (
    ("held_out.txt", "written before the audit, never tuned on"),
    ("longer.txt", "longer sentences, written after it, never tuned on"),
    ("tuned.txt", "tuned on"),
)


def main() -> None:
    """Print precision and recall by kind for each set, then the times."""
    for name, what in _SETS:
        print(f"{name}: {what}")
        for kind, score in scores(name).items():
            _print_score(kind, score)
    _print_stale()
    with tempfile.TemporaryDirectory() as folder:
        view = begin_demo(Path(folder) / "demo").view()
    print("the demo's drafts altered by rule, tuned on:")
    for how, (found, of) in found_by_alteration(Bench(view), pieces(view)).items():
        print(f"  {how:20} {found:,} of {of:,} found ({found / of:.3f})")
    measure("the demo", view, len(pieces(view)))
    measure("the demo several times", repeated(view, ESSAYS), ESSAYS)


def _print_score(kind: Kind, score: Score) -> None:
    print(
        f"  {kind.value:54} {score.found} of {score.found + score.missed} found, {score.false} false "
        f"(precision {score.precision:.2f}, recall {score.recall:.2f})"
    )


def _print_stale() -> None:
    _, then, now = world()
    today, before = Evidence(now), Evidence(then)
    for half, what in zip(printed(), ("tuned on", "held out"), strict=True):
        told = [(wanted, is_stale(today, before, one)) for wanted, one in half]
        found = sum(wanted and stale for wanted, stale in told)
        false = sum(stale and not wanted for wanted, stale in told)
        print(f"print, {what}: {found} of {sum(w for w, _ in told)} stale sentences found, {false} false")


def measure(what: str, view: WorkingView, count: int) -> None:
    """Draft so many essays, read and audit them, and print the figures."""
    slugs = pieces(view)[:count]
    started = time.perf_counter()
    drafts = list(draft_sale(Bench(view), slugs))
    drafted = time.perf_counter() - started
    started = time.perf_counter()
    essays = [read_essay(one.markdown) for one in drafts]
    read = time.perf_counter() - started
    started = time.perf_counter()
    evidence = Evidence(view)
    faults = sum(
        len(audit(evidence, essay, about=[one.piece])) for one, essay in zip(drafts, essays, strict=True)
    )
    audited = time.perf_counter() - started
    sentences = sum(len(one.sentences) for one in drafts)
    print(
        f"{what}: {len(view.claims):,} claims, {len(drafts)} essays, {sentences:,} sentences: reading {read:.1f} s, "
        f"audit {audited:.1f} s, {audited / drafted:.1f} times the drafting; {faults} faults"
    )
    if count == ESSAYS and read + audited > MOST_SECONDS:
        print(f"  too slow: {MOST_SECONDS} s are allowed for {ESSAYS} essays")


if __name__ == "__main__":
    main()
