"""Laws of the checks, over random small daybooks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import numpy as np
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from kg.checks.check import EntryChecker, check_all
from kg.checks.findings import Severity
from kg.checks.judge import check_with_pyshacl
from kg.checks.shapes import shipped_shapes
from kg.checks.time_shapes import time_shapes
from kg.chronology.network import build_constraints, masks
from kg.chronology.solve import Network, solve
from kg.daybook.graph import view_store
from kg.daybook.record import Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary
from tests.checks.daybooks import (
    START,
    compose_entries,
    drafts,
    judged,
    pages,
    sensible_drafts,
    speaking_of,
    view_of,
    view_saying,
)

Pages = list[tuple[list[Thing], list[Draft]]]
TIME_SHAPES = frozenset(block.split()[0].removeprefix("s:") for block in time_shapes(load_vocabulary()))
STANDINGS = st.lists(st.sampled_from(["held", "doubted", "setAside", "withdrawn"]), max_size=3)


def is_consistent(view: WorkingView) -> bool:
    """Whether the hard rules and claims of a view, datings among them, can all hold."""
    made = build_constraints(view)
    hard, _ = masks(made)
    edges = (
        np.asarray(values, dtype=np.int64)[hard] for values in (made.tail, made.head, made.weight, made.claim)
    )
    return solve(Network(made.size, *edges)).is_consistent


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(sensible_drafts(), min_size=14, max_size=30))
def test_the_claims_that_a_violation_of_time_names_cannot_all_hold(said: list[Draft]) -> None:
    view = view_saying(*said)
    for finding in check_all(view).violations:
        if finding.shape in TIME_SHAPES:
            event("a violation was put to the test")
            others = [claim for claim in view.claims if claim not in finding.claims]
            assert not is_consistent(view.without(others)), finding


@settings(max_examples=60, deadline=None)
@given(pages(), st.data())
def test_checking_an_entry_finds_what_a_whole_run_finds_on_the_touched_nodes(
    written: Pages, data: st.DataObject
) -> None:
    entries = compose_entries(written)
    number = data.draw(st.integers(1, len(entries) - 1), label="which entry is new")
    others = entries[:number] + entries[number + 1 :]
    known = [claim.id for entry in others for claim in entry.claims]
    claims = data.draw(st.permutations(known), label="judged")
    about = tuple(speaking_of(data.draw(st.permutations(known), label="spoken of")[:2]))
    if about:
        others.append(
            compose(START + timedelta(hours=data.draw(st.integers(-1, 1))), "A. Tester", drafts=about)
        )
    new = judged(entries[number], claims, data.draw(STANDINGS, label="standings"))
    before = view_of(others)
    report = EntryChecker(before).check(new)
    assert report.nodes is not None
    whole = check_all(view_of([*others, new]))
    assert report.findings == whole.about(report.nodes)
    untouched = [f for f in whole.findings if f.focus not in report.nodes]
    assert {f.order for f in untouched} == {
        f.order for f in check_all(before).findings if f.focus not in report.nodes
    }


@settings(max_examples=60, deadline=None)
@given(pages(), st.data())
def test_checking_an_entry_leaves_the_store_as_it_was(written: Pages, data: st.DataObject) -> None:
    *others, last = compose_entries(written)
    known = [claim.id for entry in others for claim in entry.claims]
    new = judged(last, data.draw(st.permutations(known)), data.draw(STANDINGS))
    checker = EntryChecker(view_of(others))
    before = set(checker.store)
    checker.check(new)
    assert set(checker.store) == before


@settings(max_examples=60, deadline=None)
@given(pages(), st.data())
def test_what_an_entry_changes_is_what_recording_it_changes(written: Pages, data: st.DataObject) -> None:
    *others, last = compose_entries(written)
    known = [claim.id for entry in others for claim in entry.claims]
    new = judged(last, data.draw(st.permutations(known)), data.draw(STANDINGS))
    checker = EntryChecker(view_of(others))
    change = checker.change(new)
    change.make(checker.store)
    assert set(checker.store) == set(view_store(view_of([*others, new])))


@settings(max_examples=40, deadline=None)
@given(pages(), st.integers(0, 6), st.data())
def test_catching_up_gives_the_store_that_building_anew_gives(
    written: Pages, known: int, data: st.DataObject
) -> None:
    entries = compose_entries(written)
    claims = [claim.id for entry in entries[:-1] for claim in entry.claims]
    entries[-1] = judged(entries[-1], data.draw(st.permutations(claims)), data.draw(STANDINGS))
    checker = EntryChecker(view_of(data.draw(st.permutations(entries))[:known]))
    checker.catch_up(view_of(entries))
    assert set(checker.store) == set(view_store(view_of(entries)))


@settings(max_examples=40, deadline=None)
@given(pages(), st.randoms(use_true_random=False))
def test_the_order_in_which_entries_are_read_does_not_matter(written: Pages, chance: object) -> None:
    entries = compose_entries(written)
    mixed = sorted(entries, key=lambda _: chance.random())  # type: ignore[attr-defined]  # a random.Random
    assert check_all(view_of(entries)) == check_all(view_of(mixed))


@settings(max_examples=30, deadline=None)
@given(st.lists(drafts(only_good=True), min_size=1, max_size=8), st.permutations(range(8)))
def test_the_order_of_recording_changes_no_finding_but_its_ids(
    said: list[Draft], order: Sequence[int]
) -> None:
    once, again = view_saying(*said), view_saying(*(said[i] for i in order if i < len(said)))
    assert _without_ids(once) == _without_ids(again)


def _without_ids(view: WorkingView) -> set[tuple[str, Severity, str]]:
    said = {claim.id: f"{claim.subject} {claim.property} {claim.value}" for claim in view.claims.values()}
    return {(f.shape, f.severity, said.get(f.focus, f.focus)) for f in check_all(view).findings}


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(pages())
def test_pyshacl_over_oxigraph_finds_the_same(written: Pages) -> None:
    view = view_of(compose_entries(written))
    store = view_store(view)
    assert check_with_pyshacl(view, shipped_shapes(view.vocabulary), data=store, store=store) == check_all(
        view, store
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(sensible_drafts(), min_size=2, max_size=12))
def test_setting_claims_aside_never_adds_a_violation_of_time(said: list[Draft]) -> None:
    view = view_saying(*said)
    fewer = view.without([next(iter(view.claims))])
    found = {
        f.order
        for f in check_all(view).findings
        if f.shape in TIME_SHAPES and f.severity is Severity.VIOLATION
    }
    left = {
        f.order
        for f in check_all(fewer).findings
        if f.shape in TIME_SHAPES and f.severity is Severity.VIOLATION
    }
    assert left <= found


def test_an_entry_recorded_long_ago_by_its_date_is_checked_in_its_place() -> None:
    early = compose(
        START - timedelta(days=9), "A. Tester", things=(Thing("lady", ("Piece",), "An older name"),)
    )
    entries: list[Entry] = compose_entries([])
    checker = EntryChecker(view_of(entries))
    change = checker.change(early)
    assert change.after.things["lady"].label == "Lady with a blue snood"
    assert change.added == change.removed == ()
