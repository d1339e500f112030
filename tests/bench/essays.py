"""Drafting a whole sale: the demo's pieces, and 500 pieces in a daybook that holds the demo's pieces several times.

Run from the project's folder: ``python -m tests.bench.essays``. What is common to all drafts (chronology, audit,
learning from the recorded pieces) is timed with the first of them; "one piece" is the mean of the rest.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

from kg.daybook.demo import begin_demo
from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.essays.compose import draft_sale
from kg.essays.draft_text import Draft as Drawn
from kg.essays.plan import Bench

#: A sale of this size must be drafted in so many seconds.
PIECES, MOST_SECONDS = 500, 30


def main() -> None:
    """Draft the demo's pieces, then 500, and print what it took."""
    with tempfile.TemporaryDirectory() as folder:
        view = begin_demo(Path(folder) / "demo").view()
    few = measure("the demo", view, len(pieces(view)))
    many = measure("the demo several times", repeated(view, PIECES), PIECES)
    print(f"one piece of {PIECES} takes {many / few:.1f} times as long as one of the demo's")


def pieces(view: WorkingView) -> list[str]:
    """The pieces of a daybook that may be named."""
    found = (s for s, t in view.things.items() if view.vocabulary.is_a(t.kinds, "Piece"))
    return sorted(slug for slug in found if not view.things[slug].is_confidential)


def measure(what: str, view: WorkingView, count: int) -> float:
    """Draft so many pieces, print the figures, and return the seconds that one of the later drafts took."""
    started = time.perf_counter()
    drafts = draft_sale(Bench(view), pieces(view)[:count])
    drawn: list[Drawn] = [next(drafts)]
    first = time.perf_counter() - started
    drawn += drafts
    whole = time.perf_counter() - started
    each = (whole - first) / (len(drawn) - 1)
    sentences = sum(len(one.sentences) for one in drawn)
    print(
        f"{what}: {len(view.claims):,} claims, {len(drawn)} drafts, {sentences:,} sentences in {whole:.1f} s "
        f"(the first with all that is common {first:.1f} s, one piece {each * 1000:.0f} ms)"
    )
    if count == PIECES and whole > MOST_SECONDS:
        print(f"  too slow: {MOST_SECONDS} s are allowed for {PIECES} pieces")
    return each


def repeated(view: WorkingView, least: int) -> WorkingView:
    """The daybook with its pieces, parts and marks once more under other names, until there are enough pieces."""
    rounds = -(-least // len(pieces(view)))
    entries = [*view.entries.values()]
    for number in range(2, rounds + 1):
        entries += _copies(view, number)
    return WorkingView.of(view.vocabulary, entries, revision=f"repeated-{rounds}")


def _copies(view: WorkingView, number: int) -> Iterator[Entry]:
    own = {
        s
        for s, t in view.things.items()
        if any(view.vocabulary.is_a(t.kinds, k) for k in ("Artefact", "Mark"))
    }

    def renamed(slug: str) -> str:
        return f"{slug}-{number}" if slug in own else slug

    for entry in view.entries.values():
        things = tuple(
            Thing(renamed(t.slug), t.kinds, f"{t.label} {number}", t.is_confidential)
            for t in entry.things
            if t.slug in own
        )
        drafts = tuple(_renamed(c.as_draft(), renamed) for c in entry.claims if c.subject in own)
        if things or drafts:
            when = entry.recorded + timedelta(seconds=number)
            yield compose(when, entry.researcher, entry.note, things=things, drafts=drafts)


def _renamed(draft: Draft, renamed: Callable[[str], str]) -> Draft:
    citation = draft.citation
    return Draft(
        renamed(draft.subject),
        draft.property,
        renamed(draft.value),
        Citation(renamed(citation.source), citation.locator, citation.quotation),
        draft.written,
        draft.strength,
        draft.is_confidential,
    )


if __name__ == "__main__":
    main()
