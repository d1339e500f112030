"""Laws that every network obeys, whatever its edges."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.chronology.conflicts import Rules
from kg.chronology.repair import repair
from kg.chronology.solve import Solution, find_cycles, solve
from tests.chronology.networks import (
    EdgeList,
    consistent_edge_lists,
    edge_lists,
    network_of,
    resting_on,
)


def is_within(inner: Solution, outer: Solution) -> bool:
    """Whether every window of one solution lies inside that of the other."""
    return bool(np.all(inner.latest <= outer.latest) and np.all(inner.earliest >= outer.earliest))


@given(consistent_edge_lists(), st.data())
def test_adding_an_edge_never_widens_a_window(drawn: tuple[int, EdgeList], data: st.DataObject) -> None:
    size, edges = drawn
    point = st.integers(0, size - 1)
    edge = data.draw(st.tuples(point, point, st.integers(-100, 100), st.just(8)))
    more = solve(network_of(size, [*edges, edge]))
    if more.is_consistent:
        assert is_within(more, solve(network_of(size, edges)))


@given(consistent_edge_lists(), st.frozensets(st.integers(0, 7)))
def test_setting_claims_aside_never_narrows_a_window_and_never_causes_a_clash(
    drawn: tuple[int, EdgeList], aside: frozenset[int]
) -> None:
    size, edges = drawn
    network = network_of(size, edges)
    kept = network.without_claims(frozenset(claim for claim in aside if claim < network.claim_count))
    assert is_within(solve(network), solve(network, kept))


@given(edge_lists(), st.data())
def test_the_order_of_the_edges_never_matters_to_the_windows(
    drawn: tuple[int, EdgeList], data: st.DataObject
) -> None:
    size, edges = drawn
    one, other = solve(network_of(size, edges)), solve(network_of(size, data.draw(st.permutations(edges))))
    assert one.is_consistent == other.is_consistent
    if one.is_consistent:
        assert np.array_equal(one.latest, other.latest)
        assert np.array_equal(one.earliest, other.earliest)


@given(consistent_edge_lists())
def test_every_window_lets_each_single_constraint_hold(drawn: tuple[int, EdgeList]) -> None:
    size, edges = drawn
    solution = solve(network_of(size, edges))
    assert np.all(solution.earliest <= solution.latest)
    for days in (solution.latest, solution.earliest):
        for tail, head, weight, _ in edges:
            if abs(days[tail]) < 10**9 and abs(days[head]) < 10**9:
                assert days[head] - days[tail] <= weight


@given(edge_lists())
def test_the_claims_of_a_conflict_with_the_rules_alone_cannot_hold(drawn: tuple[int, EdgeList]) -> None:
    size, edges = drawn
    network = network_of(size, edges)
    if not solve(network_of(size, resting_on(edges, frozenset()))).is_consistent:
        return
    rules = Rules(network)
    for cycle in find_cycles(network):
        conflict = rules.irreducible(cycle)
        assert not solve(network_of(size, resting_on(edges, conflict))).is_consistent


@given(edge_lists(rules=False), st.data())
@settings(deadline=None)
def test_the_order_of_the_edges_never_changes_what_a_repair_costs(
    drawn: tuple[int, EdgeList], data: st.DataObject
) -> None:
    size, edges = drawn
    cost = np.array([3, 1, 2, 2, 5, 1, 1, 4, 2, 3])
    costs = [
        int(cost[sorted(repair(network_of(size, some), cost).removed)].sum())
        for some in (edges, data.draw(st.permutations(edges)))
    ]
    assert costs[0] == costs[1]
