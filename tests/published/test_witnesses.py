"""Witnesses and threads against other programs and against every choice tried.

networkx: A. Hagberg, D. Schult, P. Swart, "Exploring network structure, dynamics, and function using NetworkX",
SciPy 2008; functions ``maximum_flow_value``, ``strongly_connected_components`` and ``shortest_simple_paths``.
The brute-force searches try every choice, and rest on K. Menger, "Zur allgemeinen Kurventheorie", Fundamenta
Mathematicae 10 (1927): as many routes share no point as points are needed to cut all routes.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import combinations, islice, pairwise

import networkx as nx
import numpy as np
import pytest

from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.flow import circles, fewest_heads, most_routes
from kg.threads.shortest import Ways, shortest_routes
from tests.sources_weighed.scenes import follows, says, view_of

Parents = dict[int, list[int]]


def random_shelf(seed: int, size: int) -> tuple[Parents, set[int], list[int]]:
    """Who follows whom, which are heads, and who says it."""
    chance = random.Random(seed)
    count = chance.randint(1, size)
    parents = {n: chance.sample(range(count), chance.randint(0, min(3, count))) for n in range(count)}
    heads = {n for n in range(count) if chance.random() < 0.35}
    return parents, heads, chance.sample(range(count), chance.randint(1, count))


def split(parents: Parents, heads: set[int], starts: list[int]) -> nx.DiGraph[object]:
    """The same as a flow network with each source split in two."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_nodes_from(["from", "to"])
    for source, above in parents.items():
        graph.add_edge((source, "in"), (source, "out"), capacity=1)
        graph.add_edges_from(
            (((source, "out"), (parent, "in")) for parent in above if parent != source), capacity=1
        )
    graph.add_edges_from((((source, "out"), "to") for source in heads), capacity=1)
    graph.add_edges_from((("from", (source, "in")) for source in starts), capacity=1)
    return graph


@pytest.mark.parametrize("seed", range(80))
def test_the_most_routes_are_as_many_as_networkx_lets_flow(seed: int) -> None:
    parents, heads, starts = random_shelf(seed, 30)
    found = most_routes(starts, parents.__getitem__, heads.__contains__)
    assert len(found.routes) == nx.maximum_flow_value(split(parents, heads, starts), "from", "to")
    assert len(found.cut) == len(found.routes)


@pytest.mark.parametrize("seed", range(80))
def test_the_routes_found_are_routes_and_share_no_source(seed: int) -> None:
    parents, heads, starts = random_shelf(seed, 30)
    routes = most_routes(starts, parents.__getitem__, heads.__contains__).routes
    passed = [source for route in routes for source in route]
    assert len(passed) == len(set(passed))
    for route in routes:
        assert route[0] in starts
        assert route[-1] in heads
        assert all(above in parents[below] for below, above in pairwise(route))


def is_cut(parents: Parents, heads: set[int], starts: list[int], gone: set[int]) -> bool:
    """Whether no start reaches a head once some sources are gone."""
    seen = set(starts) - gone
    edge = list(seen)
    while edge:
        source = edge.pop()
        if source in heads:
            return False
        fresh = set(parents[source]) - gone - seen
        seen |= fresh
        edge += fresh
    return True


@pytest.mark.parametrize("seed", range(50))
def test_no_smaller_set_of_sources_cuts_all_routes_than_the_one_given(seed: int) -> None:
    parents, heads, starts = random_shelf(seed, 8)
    cut = most_routes(starts, parents.__getitem__, heads.__contains__).cut
    assert is_cut(parents, heads, starts, set(cut))
    smaller = combinations(parents, len(cut) - 1) if cut else iter(())
    assert not any(is_cut(parents, heads, starts, set(gone)) for gone in smaller)


@pytest.mark.parametrize("seed", range(50))
def test_the_fewest_heads_are_the_fewest_that_any_choice_gives(seed: int) -> None:
    chance = random.Random(seed)
    sets = [frozenset(chance.sample(range(7), chance.randint(0, 4))) for _ in range(chance.randint(0, 6))]
    wanted = [heads for heads in sets if heads]
    by_trial = next(
        count for count in range(8)
        if any(all(set(choice) & heads for heads in wanted) for choice in combinations(range(7), count))
    )  # fmt: skip
    assert fewest_heads(sets) == by_trial


@pytest.mark.parametrize("seed", range(40))
def test_the_circles_are_the_strong_components_of_networkx(seed: int) -> None:
    parents, _, _ = random_shelf(seed, 25)
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(parents)
    graph.add_edges_from((below, above) for below, all_above in parents.items() for above in all_above)
    wanted = {
        tuple(sorted(members))
        for members in nx.strongly_connected_components(graph)
        if len(members) > 1 or graph.has_edge(*[next(iter(members))] * 2)
    }
    assert set(circles(list(parents), parents)) == wanted


def drafts_of(seed: int) -> tuple[list[str], list[tuple[str, str]], list[str]]:
    chance = random.Random(seed)
    shelf = [f"{'r' if chance.random() < 0.4 else 'b'}{n}" for n in range(chance.randint(1, 9))]
    links = [(one, other) for one in shelf for other in shelf if one != other and chance.random() < 0.2]
    return shelf, links, chance.sample(shelf, chance.randint(1, len(shelf)))


@pytest.mark.parametrize("seed", range(50))
def test_the_witnesses_of_a_recorded_claim_are_as_many_as_networkx_lets_flow(seed: int) -> None:
    shelf, links, saying = drafts_of(seed)
    weighed = Weighed(view_of(shelf, [*map(says, saying), *(follows(*link) for link in links)]))
    claim = next(c for c in weighed.view.live if c.property == "founded")
    number = {slug: n for n, slug in enumerate(shelf)}
    parents: Parents = {n: [] for n in range(len(shelf))}
    for below, above in links:
        parents[number[below]].append(number[above])
    first = {number[slug] for slug in shelf if slug.startswith("r")}
    unknown = {n for n, above in parents.items() if not above}
    starts = [number[slug] for slug in saying]
    expected = [
        nx.maximum_flow_value(split(parents, heads, starts), "from", "to")
        for heads in (first, first | unknown)
    ]
    answer = weighed.witnesses(claim)
    assert [answer.count, answer.possible] == expected
    assert weighed.counts(claim) == (len(saying), *expected)


def random_steps(seed: int) -> Iterator[tuple[int, int, int]]:
    chance = random.Random(seed)
    size = chance.randint(2, 9)
    for _ in range(chance.randint(1, 20)):
        yield chance.randrange(size), chance.randrange(size), chance.randint(1, 4)


@pytest.mark.parametrize("seed", range(80))
def test_the_shortest_routes_are_as_long_as_those_of_networkx(seed: int) -> None:
    steps = list(random_steps(seed))
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(9))
    for one, other, length in steps:
        if one != other and length < graph.get_edge_data(one, other, {"weight": 9})["weight"]:
            graph.add_edge(one, other, weight=length)
    start, goal = random.Random(seed).sample(range(9), 2)
    ways = Ways.of(9, *(np.array(column, dtype=np.int64) for column in zip(*steps, strict=True)))
    found = shortest_routes(ways, start, goal, 40)
    try:
        wanted = list(islice(nx.shortest_simple_paths(graph, start, goal, weight="weight"), 40))
    except nx.NetworkXNoPath:
        wanted = []
    lengths = [sum(graph.edges[step]["weight"] for step in pairwise(path)) for path in wanted]
    assert [route.length for route in found] == lengths
    assert len({route.points for route in found}) == len(found)
    if len(wanted) < 40:
        assert {route.points for route in found} == {tuple(path) for path in wanted}
