"""Conflicts must be irreducible, and what is set aside must be the least."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.chronology.conflicts import Rules, RulesContradictError, irreducible
from kg.chronology.hitting import by_branching, by_integer_program, cheapest_hitting_set
from kg.chronology.repair import CostError, all_conflicts, repair
from kg.chronology.solve import Network, find_cycles, solve
from tests.chronology.networks import (
    EdgeList,
    edge_lists,
    is_consistent_by_networkx,
    network_of,
    resting_on,
    without,
)

costs = st.lists(st.integers(1, 5), min_size=10, max_size=10)


def cheapest_by_trying_all(size: int, edges: EdgeList, cost: list[int]) -> int:
    claims = sorted({edge[3] for edge in edges} - {-1})
    sets = [frozenset(some) for count in range(len(claims) + 1) for some in combinations(claims, count)]
    for aside in sorted(sets, key=lambda some: sum(cost[claim] for claim in some)):
        if is_consistent_by_networkx(size, without(edges, aside)):
            return sum(cost[claim] for claim in aside)
    raise AssertionError("the rules contradict each other")


def assert_irreducible(size: int, edges: EdgeList, conflict: frozenset[int]) -> None:
    assert not is_consistent_by_networkx(size, resting_on(edges, conflict))
    for claim in conflict:
        assert is_consistent_by_networkx(size, resting_on(edges, conflict - {claim}))


def conflicts_by_trying_all(size: int, edges: EdgeList, claims: frozenset[int]) -> set[frozenset[int]]:
    found: set[frozenset[int]] = set()
    for count in range(1, len(claims) + 1):
        for some in map(frozenset, combinations(sorted(claims), count)):
            known = any(conflict <= some for conflict in found)
            if not known and not is_consistent_by_networkx(size, resting_on(edges, some)):
                found.add(some)
    return found


@given(edge_lists())
def test_a_conflict_clashes_with_the_rules_and_no_proper_part_of_it_does(drawn: tuple[int, EdgeList]) -> None:
    size, edges = drawn
    network = network_of(size, edges)
    if not is_consistent_by_networkx(size, resting_on(edges, frozenset())):
        with pytest.raises(RulesContradictError):
            Rules(network)
        return
    for cycle in find_cycles(network):
        conflict = irreducible(network, cycle)
        assert conflict <= network.claims_of(cycle)
        assert_irreducible(size, edges, conflict)


@given(edge_lists(most_edges=30), costs)
@settings(deadline=None)
def test_what_is_set_aside_costs_no_more_than_any_other_choice(
    drawn: tuple[int, EdgeList], cost: list[int]
) -> None:
    size, edges = drawn
    network = network_of(size, edges)
    if not is_consistent_by_networkx(size, resting_on(edges, frozenset())):
        with pytest.raises(RulesContradictError, match="rules contradict each other"):
            repair(network, cost)
        return
    repaired = repair(network, cost)
    assert is_consistent_by_networkx(size, without(edges, repaired.removed))
    assert sum(cost[claim] for claim in repaired.removed) == cheapest_by_trying_all(size, edges, cost)
    assert all(repaired.removed & conflict for conflict in repaired.conflicts)
    for conflict in repaired.conflicts:
        assert_irreducible(size, edges, conflict)
    whole = solve(network_of(size, without(edges, repaired.removed)))
    assert np.array_equal(repaired.solution.latest, whole.latest)
    assert np.array_equal(repaired.solution.earliest, whole.earliest)


@given(edge_lists(), costs)
@settings(deadline=None, max_examples=300)
def test_all_conflicts_of_a_removed_claim_are_those_that_trying_all_sets_finds(
    drawn: tuple[int, EdgeList], cost: list[int]
) -> None:
    size, edges = drawn
    if not is_consistent_by_networkx(size, resting_on(edges, frozenset())):
        return
    network = network_of(size, edges)
    repaired = repair(network, cost)
    told = all_conflicts(network, repaired)
    remainder = frozenset(edge[3] for edge in edges) - {-1} - repaired.removed
    expected: set[frozenset[int]] = set()
    for claim in repaired.removed:
        through = conflicts_by_trying_all(size, edges, remainder | {claim})
        assert all(claim in conflict for conflict in through)
        expected |= through
    assert set(told.conflicts) == expected
    assert told.capped == frozenset()


def one_wrong_death(pieces: int) -> tuple[Network, list[int]]:
    """A maker who died in day 50 (claim 0) and pieces made after day 60, each by two claims of its own."""
    edges: EdgeList = [(0, 1, 50, 0)]
    for number in range(pieces):
        edges += [(1, number + 2, 0, 2 * number + 1), (number + 2, 0, -60 - number, 2 * number + 2)]
    network = network_of(pieces + 2, edges)
    return network, [1] * network.claim_count


def test_one_wrong_date_that_contradicts_ten_pieces_is_ten_conflicts() -> None:
    network, cost = one_wrong_death(10)
    repaired = repair(network, cost)
    assert repaired.removed == {0}
    told = all_conflicts(network, repaired)
    assert told.conflicts == tuple(frozenset({0, 2 * n + 1, 2 * n + 2}) for n in range(10))
    assert told.capped == frozenset()


@pytest.mark.parametrize(
    ("edges", "conflicts"),
    [
        pytest.param([(0, 1, 50, 0), (1, 0, -51, 1)], [{0, 1}], id="one day too late"),
        pytest.param([(0, 1, 50, 0), (1, 0, -50, 1), (1, 0, -60, 2)], [{0, 2}], id="only one of two"),
        pytest.param([(2, 1, -1, 0), (1, 2, 0, 1)], [{0, 1}], id="no date in it"),
        pytest.param(
            [(1, 0, -100, 0), (0, 2, 90, 0), (2, 1, 0, 1)], [{0, 1}], id="both edges of the claim are needed"
        ),
        pytest.param(
            [(2, 1, -1, 0), (0, 2, 10, 1), (1, 0, -9, 2), (0, 2, 10, 3)],
            [],
            id="room enough",
        ),
        pytest.param(
            [(2, 1, -9, 0), (0, 2, 10, 1), (1, 0, -2, 2), (0, 2, 10, 3), (1, 2, 5, 4)],
            [{0, 1, 2}, {0, 2, 3}, {0, 4}],
            id="through dates and past them",
        ),
    ],
)
def test_every_way_in_which_a_claim_clashes_is_told(edges: EdgeList, conflicts: list[set[int]]) -> None:
    network = network_of(3, edges)
    told = all_conflicts(network, repair(network, [1, 9, 9, 9, 9]))
    assert told.conflicts == tuple(map(frozenset, conflicts))


@pytest.mark.parametrize(
    ("cap", "effort", "count"),
    [
        pytest.param(4, 200_000, 4, id="capped by number"),
        pytest.param(50, 11, 5, id="capped by effort"),
    ],
)
def test_a_search_that_stops_at_its_cap_says_so(cap: int, effort: int, count: int) -> None:
    network, cost = one_wrong_death(10)
    told = all_conflicts(network, repair(network, cost), cap, effort)
    assert len(told.conflicts) == count
    assert told.capped == {0}


def test_41_impossible_records_among_fifteen_thousand_claims_are_all_told() -> None:
    edges: EdgeList = []
    wrong = set(range(0, 7_500, 183))
    for number in range(7_500):
        span = -10 if number in wrong else 10
        edges += [(0, number + 1, 1_000, 2 * number), (number + 1, 0, span - 1_000, 2 * number + 1)]
    network = network_of(7_501, edges)
    repaired = repair(network, [1] * 15_000)
    told = all_conflicts(network, repaired)
    assert len(wrong) == 41
    assert told.conflicts == tuple(frozenset({2 * number, 2 * number + 1}) for number in sorted(wrong))
    assert told.capped == frozenset()


def test_a_consistent_network_needs_nothing_set_aside() -> None:
    network = network_of(2, [(0, 1, 10, 0)])
    repaired = repair(network, [1])
    assert (repaired.conflicts, repaired.removed) == ((), frozenset())
    assert repaired.solution.window(1) == (None, 10)
    assert all_conflicts(network, repaired).conflicts == ()


def test_a_cycle_that_is_not_negative_has_no_conflict_in_it() -> None:
    network = network_of(2, [(0, 1, 10, 0), (1, 0, -10, 1)])
    with pytest.raises(ValueError, match="give a negative cycle"):
        irreducible(network, (0, 1))


@pytest.mark.parametrize(
    "cost",
    [
        pytest.param([1], id="too few"),
        pytest.param([1, 0], id="free of charge"),
        pytest.param([1.0, 2.0], id="fractions"),
        pytest.param([[1, 2]], id="a table"),
    ],
)
def test_costs_other_than_one_positive_whole_number_a_claim_are_refused(cost: list[int]) -> None:
    with pytest.raises(CostError, match="at least 1 for each of 2 claims"):
        repair(network_of(2, [(0, 1, 10, 0), (1, 0, -10, 1)]), cost)


def test_progress_is_told_and_an_interruption_leaves_the_network_as_it_was() -> None:
    network, cost = one_wrong_death(3)
    calls: list[tuple[str, int, int]] = []

    def interrupt(stage: str, done: int, total: int) -> None:
        calls.append((stage, done, total))
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        repair(network, cost, interrupt)
    assert calls == [("conflicts", 1, 0)]
    assert repair(network, cost).removed == {0}


conflict_lists = st.lists(st.frozensets(st.integers(0, 9), min_size=1, max_size=4), max_size=12)


@given(conflict_lists, costs)
@settings(deadline=None)
def test_the_hitting_set_is_as_cheap_as_branching_and_as_trying_all(
    conflicts: list[frozenset[int]], cost: list[int]
) -> None:
    chosen = cheapest_hitting_set(conflicts, cost)
    assert all(chosen & conflict for conflict in conflicts)
    best = min(
        sum(cost[claim] for claim in some)
        for count in range(11)
        for some in combinations(range(10), count)
        if all(conflict & set(some) for conflict in conflicts)
    )
    assert sum(cost[claim] for claim in chosen) == best
    assert sum(cost[claim] for claim in by_branching(conflicts, cost)) == best
    if conflicts:
        programmed = by_integer_program(conflicts, cost)
        assert programmed is not None
        assert sum(cost[claim] for claim in programmed) == best


@pytest.mark.parametrize("seed", range(6))
def test_a_large_tangle_of_conflicts_is_hit_as_cheaply_as_branching_does(seed: int) -> None:
    random = np.random.default_rng(seed)
    conflicts = [frozenset(random.choice(24, 2, replace=False).tolist()) for _ in range(45)]
    cost = random.integers(1, 4, 24).tolist()
    chosen = cheapest_hitting_set(conflicts, cost)
    assert all(chosen & conflict for conflict in conflicts)
    best = sum(cost[claim] for claim in by_branching(conflicts, cost))
    assert sum(cost[claim] for claim in chosen) == best
    programmed = by_integer_program(conflicts, cost)
    assert programmed is not None
    assert sum(cost[claim] for claim in programmed) == best


@given(conflict_lists.flatmap(lambda some: st.tuples(st.just(some), st.permutations(some))), costs)
@settings(deadline=None)
def test_the_order_of_conflicts_does_not_change_what_is_chosen(
    both: tuple[list[frozenset[int]], list[frozenset[int]]], cost: list[int]
) -> None:
    conflicts, shuffled = both
    assert cheapest_hitting_set(conflicts, cost) == cheapest_hitting_set(shuffled, cost)
