"""Laws of the take-in: whatever the cells hold, they are recorded as they are, once."""

from __future__ import annotations

import csv
import hashlib
import tempfile
from pathlib import Path

import pyoxigraph as ox
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from kg.daybook.trig import canonical_nquads, content_hash
from kg.intake.undo import CannotUndo, plan_undo
from tests.intake.conftest import HEADINGS, Bench

#: Any text that UTF-8 can hold, but NUL, which no text table has.
texts = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=30)
rows = st.lists(st.tuples(texts, texts), min_size=1, max_size=5)


def fill(bench: Bench, pairs: list[tuple[str, str]]) -> None:
    """Write a table with these titles and conditions."""
    with bench.table.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEADINGS.split(","))
        writer.writerows([f"{n}", title, "", "", "", "", state] for n, (title, state) in enumerate(pairs))


@settings(max_examples=60, deadline=None)
@given(rows)
def test_any_text_is_recorded_as_it_is_and_once(pairs: list[tuple[str, str]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        fill(bench, pairs)
        bench.take_in()
        for number, (title, state) in enumerate(pairs):
            told = "worn" if state.strip().casefold() == "w" else state.strip()
            assert bench.values(f"piece-{number}", "condition") == ([told] if told else [])
            assert bench.daybook.view().label(f"piece-{number}") == (title.strip() or f"piece-{number}")
        assert bench.plan().is_empty
        assert list(bench.daybook.verify()) == []


@settings(max_examples=60, deadline=None)
@given(rows, rows)
def test_after_an_edit_the_daybook_says_what_the_file_says(
    before: list[tuple[str, str]], after: list[tuple[str, str]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        for pairs in (before, after):
            fill(bench, pairs)
            bench.take_in()
        for number, (_, state) in enumerate(after):
            told = "worn" if state.strip().casefold() == "w" else state.strip()
            assert bench.values(f"piece-{number}", "condition") == ([told] if told else [])
        assert bench.plan().is_empty


@settings(max_examples=25, deadline=None)
@given(rows, rows, st.integers(0, 1))
def test_undoing_an_undoing_leaves_every_claim_as_it_stood(
    before: list[tuple[str, str]], after: list[tuple[str, str]], which: int
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        for pairs in (before, after):
            fill(bench, pairs)
            bench.take_in()
        stood = bench.daybook.view().live
        entries = bench.daybook.entries()
        try:
            first = plan_undo(
                bench.daybook.view(), entries[min(which, len(entries) - 1)].name, "B. Reader", "a trial"
            )
        except CannotUndo:
            reject()  # nothing of the entry stands
        middle = bench.daybook.record(bench.daybook.compose(first.note))
        assert bench.daybook.view().live != stood
        second = plan_undo(bench.daybook.view(), middle.name, "B. Reader", "a trial")
        bench.daybook.record(bench.daybook.compose(second.note))
        assert bench.daybook.view().live == stood


@settings(max_examples=100, deadline=None)
@given(st.lists(texts, min_size=1, max_size=6))
def test_the_content_hash_is_that_of_the_canonical_form(values: list[str]) -> None:
    graph, predicate = ox.NamedNode("https://x.example/g"), ox.NamedNode("https://x.example/p")
    quads = [
        ox.Quad(ox.NamedNode(f"https://x.example/{number}"), predicate, ox.Literal(value), graph)
        for number, value in enumerate(values)
    ]
    trig = ox.serialize([*quads, quads[0]], format=ox.RdfFormat.TRIG) or b""
    canonical = canonical_nquads(ox.Dataset(quads))
    assert content_hash(trig) == hashlib.sha256(canonical.encode()).hexdigest()
