"""The solver on small networks that can be checked by eye, and on random ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from kg.chronology.solve import (
    UNBOUNDED,
    InconsistentError,
    Network,
    NetworkError,
    find_cycles,
    solve,
)
from tests.chronology.networks import EdgeList, edge_lists, is_consistent_by_networkx, network_of


def test_a_point_between_two_bounds_has_exactly_that_window() -> None:
    network = network_of(2, [(0, 1, 700_000, 0), (1, 0, -690_000, 1)])
    assert solve(network).window(1) == (690_000, 700_000)


def test_a_bound_passes_along_a_chain_of_points() -> None:
    network = network_of(4, [(0, 1, 100, 0), (1, 2, 5, 1), (2, 3, -7, 2), (3, 0, -20, 3)])
    solution = solve(network)
    assert [solution.window(point) for point in (1, 2, 3)] == [(22, 100), (27, 105), (20, 98)]
    assert solution.chain_latest(3) == (0, 1, 2)
    assert solution.chain_earliest(1) == (1, 2, 3)


def test_a_point_without_a_bound_has_an_open_window_and_no_chain() -> None:
    solution = solve(network_of(3, [(0, 1, 10, 0), (1, 2, 0, 1)]))
    assert solution.window(1) == (None, 10)
    assert solution.earliest[1] == -UNBOUNDED
    assert solution.chain_earliest(1) == ()
    assert solve(network_of(2, [])).window(1) == (None, None)


def test_the_origin_stands_at_day_zero() -> None:
    assert solve(network_of(2, [(0, 1, -5, 0), (1, 0, 9, 1)])).window(0) == (0, 0)


def test_among_equally_tight_chains_the_one_with_fewest_steps_is_told() -> None:
    edges = [(0, 1, 4, 0), (1, 2, 3, 1), (2, 3, 3, 2), (1, 3, 6, 3)]
    assert solve(network_of(4, edges)).chain_latest(3) == (0, 3)


def test_two_points_that_must_coincide_do_not_trap_the_chain() -> None:
    edges = [(1, 2, 0, 0), (2, 1, 0, 1), (0, 1, 50, 2)]
    solution = solve(network_of(3, edges))
    assert solution.chain_latest(2) == (2, 0)
    assert solution.chain_latest(1) == (2,)


@pytest.mark.parametrize(
    "edges",
    [
        pytest.param([(0, 1, 10, 0), (1, 0, -20, 1)], id="not before 20, not after 10"),
        pytest.param([(1, 2, -1, 0), (2, 1, 0, 1)], id="each after the other, with no date at all"),
        pytest.param([(2, 2, -1, 0)], id="after itself"),
        pytest.param([(0, 0, -1, 0)], id="the origin after itself"),
        pytest.param([(0, 1, 5, 0), (1, 2, -3, 1), (2, 1, 2, 2)], id="a clash reached from a date"),
        pytest.param([(1, 0, 5, 0), (1, 2, -3, 1), (2, 1, 2, 2)], id="a clash that leads to a date"),
    ],
)
def test_a_negative_cycle_anywhere_makes_the_network_inconsistent(edges: EdgeList) -> None:
    network = network_of(3, edges)
    solution = solve(network)
    assert not solution.is_consistent
    (cycle,) = find_cycles(network)
    assert sum(edges[edge][2] for edge in cycle) < 0
    with pytest.raises(InconsistentError, match="cannot all hold"):
        solution.window(1)


def test_a_walk_that_meets_a_point_twice_is_not_told_as_a_cycle() -> None:
    edges = [(0, 2, 10, 0), (2, 1, 0, 1), (1, 2, 0, 2), (2, 0, -20, 3)]
    assert find_cycles(network_of(3, edges)) == [(0, 3)]


def test_an_edge_left_out_of_the_mask_has_no_say() -> None:
    network = network_of(2, [(0, 1, 10, 0), (1, 0, -20, 1)])
    assert solve(network, np.array([True, False])).window(1) == (None, 10)
    assert solve(network, np.array([False, True])).window(1) == (20, None)
    assert find_cycles(network, np.array([True, False])) == []


def test_one_search_finds_clashes_that_lie_apart() -> None:
    clashes = 40
    edges: EdgeList = []
    for number in range(clashes):
        first, second = 2 * number + 1, 2 * number + 2
        claims = (3 * number, 3 * number + 1, 3 * number + 2)
        days = [(0, first, 10), (first, second, 3), (second, 0, -14)]
        edges += [(*day, claim) for day, claim in zip(days, claims, strict=True)]
    assert len(find_cycles(network_of(81, edges))) == clashes


def test_one_search_finds_clashes_that_meet_in_one_point() -> None:
    """Forty pieces are dated before the rules allow their common material."""
    edges: EdgeList = [(1, 0, -1_900, -1)]
    for number in range(40):
        edges += [(0, number + 2, 1_890, 2 * number), (number + 2, 1, 0, 2 * number + 1)]
    assert len(find_cycles(network_of(42, edges))) == 40


def test_clashes_without_any_date_are_found_together_too() -> None:
    edges: EdgeList = []
    for number in range(12):
        one, other = 2 * number + 1, 2 * number + 2
        edges += [(one, other, -1, 2 * number), (other, one, 0, 2 * number + 1)]
    assert len(find_cycles(network_of(25, edges))) == 12


@given(edge_lists())
def test_a_network_is_consistent_exactly_when_networkx_finds_no_negative_cycle(
    drawn: tuple[int, EdgeList],
) -> None:
    size, edges = drawn
    assert solve(network_of(size, edges)).is_consistent == is_consistent_by_networkx(size, edges)


@given(edge_lists())
def test_every_cycle_that_is_found_is_simple_closed_negative_and_rests_on_claims_of_its_own(
    drawn: tuple[int, EdgeList],
) -> None:
    size, edges = drawn
    cycles = find_cycles(network_of(size, edges))
    assert bool(cycles) != is_consistent_by_networkx(size, edges)
    claims: list[int] = []
    for cycle in cycles:
        assert sum(edges[edge][2] for edge in cycle) < 0
        for edge, following in zip(cycle, cycle[1:] + cycle[:1], strict=True):
            assert edges[edge][1] == edges[following][0]
        assert len({edges[edge][1] for edge in cycle}) == len(cycle)
        claims += {edges[edge][3] for edge in cycle} - {-1} or {-1}
    assert len(claims) == len(set(claims))


def test_a_chain_of_ten_thousand_points_is_followed_to_its_end() -> None:
    count = 10_000
    edges = [(point, point + 1, -1, point) for point in range(count)]
    solution = solve(network_of(count + 1, edges))
    assert solution.window(count) == (None, -count)
    assert len(solution.chain_latest(count)) == count
    closed = network_of(count + 1, [*edges[1:], (count, 1, count - 2, count)])
    (cycle,) = find_cycles(closed)
    assert len(cycle) == count


def test_weights_of_a_hundred_thousand_million_days_do_not_overflow() -> None:
    far = 10**11
    solution = solve(network_of(3, [(0, 1, far, 0), (1, 2, far, 1), (2, 0, far, 2)]))
    assert solution.window(2) == (-far, 2 * far)


@pytest.mark.parametrize(
    ("arrays", "message"),
    [
        pytest.param(([0], [1, 1], [1], [1]), "differ in length", id="lengths"),
        pytest.param(([0], [2], [1], [1]), "names points 2 to 2; use 0 to 1", id="no such point"),
        pytest.param(([-1], [1], [1], [1]), "names points -1 to -1", id="negative point"),
        pytest.param(([0], [1], [1.5], [1]), "give one row of integers", id="part of a day"),
        pytest.param(([0], [1], [2**57], [1]), "could overflow", id="too heavy"),
        pytest.param(([0], [1], [1], [-2]), "or -1 for a rule", id="no such claim"),
        pytest.param(([2**40], [1], [1], [0]), "give smaller ones", id="too large a number"),
    ],
)
def test_arrays_that_are_no_network_are_refused(
    arrays: tuple[list[int], list[int], list[int], list[int]], message: str
) -> None:
    with pytest.raises(NetworkError, match=message):
        Network(2, *arrays)


def test_a_network_has_at_least_its_origin() -> None:
    with pytest.raises(NetworkError, match="at least its origin"):
        Network(0, [], [], [], [])
