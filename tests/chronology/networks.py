"""Random networks and brute force for the tests of the solver."""

from __future__ import annotations

import networkx as nx
import numpy as np
from hypothesis import strategies as st

from kg.chronology.solve import Network

EdgeList = list[tuple[int, int, int, int]]  # tail, head, weight, claim


def network_of(size: int, edges: EdgeList) -> Network:
    """A network from a list of (tail, head, weight, claim)."""
    columns = np.array(edges, dtype=np.int64).reshape(-1, 4).T
    return Network(size, *columns)


@st.composite
def edge_lists(
    draw: st.DrawFn, most_points: int = 8, most_edges: int = 24, rules: bool = True
) -> tuple[int, EdgeList]:
    """Any edges at all, consistent or not; several may rest on one claim."""
    size = draw(st.integers(1, most_points))
    point = st.integers(0, size - 1)
    claim = st.integers(-1 if rules else 0, 9)
    edge = st.tuples(point, point, st.integers(-20, 30), claim)
    return size, draw(st.lists(edge, max_size=most_edges))


@st.composite
def consistent_edge_lists(
    draw: st.DrawFn, most_points: int = 9, most_edges: int = 30
) -> tuple[int, EdgeList]:
    """Edges that hold for one hidden assignment of days, so that they cannot clash."""
    size = draw(st.integers(2, most_points))
    days = [0, *draw(st.lists(st.integers(-50, 50), min_size=size - 1, max_size=size - 1))]
    point = st.integers(0, size - 1)
    loose = st.tuples(point, point, st.integers(0, 25), st.integers(-1, 7))
    edges = draw(st.lists(loose, max_size=most_edges))
    return size, [(tail, head, days[head] - days[tail] + room, claim) for tail, head, room, claim in edges]


def is_consistent_by_networkx(size: int, edges: EdgeList) -> bool:
    """Whether the edges can all hold, by networkx's search for a negative cycle."""
    graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
    graph.add_nodes_from(range(size))
    graph.add_weighted_edges_from((tail, head, weight) for tail, head, weight, _ in edges)
    return not nx.negative_edge_cycle(graph, weight="weight")


def resting_on(edges: EdgeList, claims: frozenset[int]) -> EdgeList:
    """The rules and the edges of these claims alone."""
    return [edge for edge in edges if edge[3] == -1 or edge[3] in claims]


def without(edges: EdgeList, claims: frozenset[int]) -> EdgeList:
    """All edges but those of these claims."""
    return [edge for edge in edges if edge[3] not in claims]
