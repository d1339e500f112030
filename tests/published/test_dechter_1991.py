"""The worked example of the paper that defines simple temporal problems.

R. Dechter, I. Meiri and J. Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991), 61-95,
example 1.1 and section 3. John leaves home (x1) between 7:10 and 7:20 and drives 30 to 40 minutes to work
(x2); Fred leaves home (x3), goes by carpool in 40 to 50 minutes and reaches work (x4) between 8:00 and 8:10;
John arrives 10 to 20 minutes after Fred left. x0 is 7:00, the unit is one minute.

The statement of the example was confirmed in a public port of another solver's examples. The two tables (the
d-graph and the minimal network) are from memory of the paper; the test also derives each entry with
networkx's Floyd-Warshall from the statement, so a slip of memory would show.
"""

from __future__ import annotations

import networkx as nx
import pytest

from kg.chronology.local import Edge, Local
from kg.chronology.solve import Network, find_cycles, solve

#: (from, to): the least and the most minutes between the two.
STATEMENT = {(0, 1): (10, 20), (1, 2): (30, 40), (3, 2): (10, 20), (3, 4): (40, 50), (0, 4): (60, 70)}

#: Shortest path lengths in the distance graph: row i, column j holds d(i, j). From memory.
D_GRAPH = [
    [0, 20, 50, 30, 70],
    [-10, 0, 40, 20, 60],
    [-40, -30, 0, -10, 30],
    [-20, -10, 20, 0, 50],
    [-60, -50, -20, -40, 0],
]


def edges_seen_from(origin: int) -> list[tuple[int, int, int]]:
    """The distance graph with the given point renamed to 0 and 0 renamed to it."""

    def name(point: int) -> int:
        return {origin: 0, 0: origin}.get(point, point)

    upward = [(name(one), name(other), most) for (one, other), (_, most) in STATEMENT.items()]
    downward = [(name(other), name(one), -least) for (one, other), (least, _) in STATEMENT.items()]
    return upward + downward


def network_seen_from(origin: int) -> Network:
    tail, head, weight = zip(*edges_seen_from(origin), strict=True)
    return Network(5, tail, head, weight, range(10))


@pytest.mark.parametrize("origin", range(5))
def test_the_windows_seen_from_each_point_are_the_published_minimal_network(origin: int) -> None:
    solution = solve(network_seen_from(origin))
    for point in range(5):
        renamed = {origin: 0, 0: origin}.get(point, point)
        published = (-D_GRAPH[point][origin], D_GRAPH[origin][point])
        assert solution.window(renamed) == published


def test_the_published_d_graph_is_what_floyd_and_warshall_give() -> None:
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_weighted_edges_from(edges_seen_from(0))
    lengths = nx.floyd_warshall(graph)
    assert [[lengths[one][other] for other in range(5)] for one in range(5)] == D_GRAPH


def test_fred_left_between_twenty_and_thirty_past_seven() -> None:
    assert solve(network_seen_from(0)).window(3) == (20, 30)


def test_john_arriving_before_twenty_to_eight_cannot_hold() -> None:
    local = Local(solve(network_seen_from(0)))
    assert local.suppose(extra=[Edge(0, 2, 40)]).conflict is None
    assert local.suppose(extra=[Edge(0, 2, 39)]).conflict is not None


def test_a_bus_ride_of_an_hour_makes_the_story_inconsistent() -> None:
    tail, head, weight = zip(*edges_seen_from(0), (2, 1, -60), strict=True)
    network = Network(5, tail, head, weight, range(11))
    assert not solve(network).is_consistent
    assert all(sum(weight[edge] for edge in cycle) < 0 for cycle in find_cycles(network))
