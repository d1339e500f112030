"""The solver against networkx's Floyd-Warshall, on random networks of many sizes.

networkx: A. Hagberg, D. Schult, P. Swart, "Exploring network structure, dynamics, and function using
NetworkX", SciPy 2008; function ``networkx.floyd_warshall_numpy`` (R. W. Floyd, "Algorithm 97: shortest path",
Communications of the ACM 5 (1962), 345).
"""

from __future__ import annotations

import networkx as nx
import numpy as np
import numpy.typing as npt
import pytest

from kg.chronology.solve import UNBOUNDED, Network, solve


def random_edges(size: int, seed: int) -> npt.NDArray[np.int64]:
    """Edges that hold for one hidden assignment of days; sparse enough that some points have no bound."""
    random = np.random.default_rng(seed)
    days = random.integers(-3_000, 3_000, size)
    days[0] = 0
    count = size * 2
    tail, head = random.integers(0, size, (2, count))
    room = random.integers(0, 400, count)
    return np.array([tail, head, days[head] - days[tail] + room])


def network_of(size: int, edges: npt.NDArray[np.int64]) -> Network:
    tail, head, weight = edges
    return Network(size, tail, head, weight, np.arange(len(tail)))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("size", [1, 2, 3, 5, 10, 40, 150])
def test_every_window_is_the_one_that_floyd_and_warshall_give(size: int, seed: int) -> None:
    edges = random_edges(size, seed)
    graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
    graph.add_nodes_from(range(size))
    graph.add_weighted_edges_from(edges.T.tolist())
    lengths = nx.floyd_warshall_numpy(graph, range(size))
    solution = solve(network_of(size, edges))
    latest = np.where(solution.latest == UNBOUNDED, np.inf, solution.latest)
    earliest = np.where(solution.earliest == -UNBOUNDED, -np.inf, solution.earliest)
    assert np.array_equal(latest, lengths[0])
    assert np.array_equal(-earliest, lengths[:, 0])


@pytest.mark.parametrize("seed", range(8))
def test_a_clash_is_found_exactly_when_the_diagonal_turns_negative(seed: int) -> None:
    edges = random_edges(30, seed)
    edges = edges[:, edges[0] != edges[1]]  # floyd_warshall_numpy passes over an edge from a point to itself
    edges[2, :: 8 + seed] -= 350
    graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
    graph.add_nodes_from(range(30))
    graph.add_weighted_edges_from(edges.T.tolist())
    try:
        is_consistent = bool(np.all(np.diag(nx.floyd_warshall_numpy(graph, range(30))) >= 0))
    except nx.NetworkXUnbounded:  # later versions raise where earlier ones left a negative diagonal
        is_consistent = False
    assert solve(network_of(30, edges)).is_consistent == is_consistent
