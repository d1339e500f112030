"""Local questions must give what solving the whole altered network again would give."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.chronology.local import ContradictedError, Edge, Limit, Local
from kg.chronology.solve import InconsistentError, NetworkError, solve
from tests.chronology.networks import EdgeList, consistent_edge_lists, network_of, without

claim_sets = st.frozensets(st.integers(0, 7), max_size=4)
#: Points 0 to 10: some are in no network that is drawn, so they are fresh.
supposed = st.lists(st.builds(Edge, st.integers(0, 10), st.integers(0, 10), st.integers(-60, 60)), max_size=4)


def total(edges: EdgeList, extra: list[Edge], chain: tuple[int, ...]) -> int:
    weights = [edge[2] for edge in edges] + [edge.weight for edge in extra]
    return sum(weights[step] for step in chain)


def ends(edges: EdgeList, extra: list[Edge], chain: tuple[int, ...]) -> list[tuple[int, int]]:
    pairs = [(edge[0], edge[1]) for edge in edges] + [(edge.tail, edge.head) for edge in extra]
    return [pairs[step] for step in chain]


def is_connected(steps: list[tuple[int, int]]) -> bool:
    return all(one[1] == other[0] for one, other in pairwise(steps))


@given(consistent_edge_lists(), claim_sets, supposed)
def test_a_supposition_gives_what_solving_the_altered_network_gives(
    drawn: tuple[int, EdgeList], aside: frozenset[int], extra: list[Edge]
) -> None:
    size, edges = drawn
    supposition = Local(solve(network_of(size, edges))).suppose(aside, extra)
    altered = [*without(edges, aside), *((*edge, -1) for edge in extra)]
    whole = solve(network_of(11, altered))
    assert (supposition.conflict is None) == whole.is_consistent
    if supposition.conflict is not None:
        steps = ends(edges, extra, supposition.conflict)
        assert total(edges, extra, supposition.conflict) < 0
        assert is_connected([*steps, steps[0]])
        return
    for point in range(11):
        latest, earliest = supposition.latest(point), supposition.earliest(point)
        assert (earliest.value, latest.value) == whole.window(point)
        for bound, turn, start, end in ((latest, 1, 0, point), (earliest, -1, point, 0)):
            steps = ends(edges, extra, bound.chain)
            assert is_connected(steps)
            if bound.value is not None and point != 0:
                assert turn * total(edges, extra, bound.chain) == bound.value
                assert (steps[0][0], steps[-1][1]) == (start, end)
            assert all(step >= len(edges) or edges[step][3] not in aside for step in bound.chain)


@given(consistent_edge_lists(), claim_sets, st.integers(0, 8), st.sampled_from(Limit))
def test_the_deciding_claims_are_those_of_the_chain_each_with_the_bound_without_it(
    drawn: tuple[int, EdgeList], aside: frozenset[int], point: int, limit: Limit
) -> None:
    size, edges = drawn
    point = point % size
    local = Local(solve(network_of(size, edges)))
    chain = local.suppose(aside).bound(point, limit).chain
    answers = local.deciding(point, limit, aside)
    assert list(answers) == list(dict.fromkeys(edges[step][3] for step in chain if edges[step][3] >= 0))
    for claim, bound in answers.items():
        window = solve(network_of(size, without(edges, aside | {claim}))).window(point)
        assert bound.value == window[limit is Limit.LATEST]


@given(consistent_edge_lists(), st.integers(0, 8), st.sampled_from(Limit))
def test_independent_chains_share_no_claim_and_never_tighten(
    drawn: tuple[int, EdgeList], point: int, limit: Limit
) -> None:
    size, edges = drawn
    bounds = Local(solve(network_of(size, edges))).independent_chains(point % size, limit, 5)
    claims = [{edges[step][3] for step in bound.chain} - {-1} for bound in bounds]
    assert sum(map(len, claims)) == len(set().union(*claims))
    values = [bound.value for bound in bounds if bound.value is not None]
    assert len(values) == len(bounds)
    assert values == sorted(values, reverse=limit is Limit.EARLIEST)


def test_the_next_chain_that_binds_is_told_with_its_value() -> None:
    edges = [(0, 1, 10, 0), (0, 1, 12, 1), (0, 2, 3, 2), (2, 1, 8, 3), (0, 1, 99, -1), (0, 1, 100, 4)]
    bounds = Local(solve(network_of(3, edges))).independent_chains(1, Limit.LATEST, 9)
    assert [(bound.value, bound.chain) for bound in bounds] == [
        (10, (0,)),
        (11, (2, 3)),
        (12, (1,)),
        (99, (4,)),
    ]


def test_a_point_freed_by_setting_a_claim_aside_still_feels_what_is_supposed() -> None:
    local = Local(solve(network_of(3, [(0, 1, 10, 0), (1, 2, 5, 1), (0, 2, 3, 2)])))
    assert local.latest(2, frozenset({2})).value == 15
    assert local.latest(2, frozenset({2}), [Edge(0, 1, 8)]).value == 13


def test_points_cut_off_from_every_date_can_still_clash() -> None:
    edges = [(0, 1, 10, 0), (1, 2, 0, 1), (3, 2, -9, 2)]
    supposition = Local(solve(network_of(4, edges))).suppose(frozenset({0}), [Edge(2, 1, -1)])
    assert supposition.conflict == (3, 1)


def test_a_supposition_that_cannot_hold_tells_the_cycle_and_refuses_bounds() -> None:
    local = Local(solve(network_of(2, [(0, 1, 10, 0)])))
    supposition = local.suppose(extra=[Edge(1, 0, -11)])
    assert supposition.conflict == (0, 1)
    with pytest.raises(ContradictedError, match="contradicts the network") as caught:
        supposition.latest(1)
    assert caught.value.conflict == (0, 1)
    assert local.latest(1).value == 10


def test_a_fresh_point_takes_its_window_from_what_is_supposed() -> None:
    local = Local(solve(network_of(2, [(0, 1, 10, 0), (1, 0, -2, 1)])))
    extra = [Edge(1, 5, 3), Edge(5, 1, 1)]
    assert (local.earliest(5, extra=extra).value, local.latest(5, extra=extra).value) == (1, 13)
    assert local.latest(5, extra=extra).chain == (0, 2)


def test_a_network_that_clashes_cannot_be_questioned() -> None:
    with pytest.raises(InconsistentError, match="Repair the network"):
        Local(solve(network_of(2, [(0, 1, 1, 0), (1, 0, -2, 1)])))


@pytest.mark.parametrize("edge", [Edge(-1, 0, 0), Edge(0, 1, 2**60)])
def test_a_supposed_edge_that_is_none_is_refused(edge: Edge) -> None:
    with pytest.raises(NetworkError, match="cannot be supposed"):
        Local(solve(network_of(2, []))).suppose(extra=[edge])
