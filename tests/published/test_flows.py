"""Worked examples of maximum flow and strong components from a textbook.

T. H. Cormen, C. E. Leiserson, R. L. Rivest, C. Stein, Introduction to Algorithms, third edition: chapter 26,
section 26.1, the flow network of the trucking company, with the maximum flow that section 26.2 finds; chapter 22,
section 22.5, the directed graph with four strongly connected components. The figures are from memory.
"""

from __future__ import annotations

from kg.sources_weighed.flow import most_routes, strong_components

#: Crates a day from city to city: the factory is "s", the warehouse "t".
CRATES = {
    ("s", "v1"): 16, ("s", "v2"): 13, ("v2", "v1"): 4, ("v1", "v3"): 12, ("v3", "v2"): 9,
    ("v2", "v4"): 14, ("v4", "v3"): 7, ("v3", "t"): 20, ("v4", "t"): 4,
}  # fmt: skip
MAXIMUM_FLOW = 23


def test_the_trucks_of_the_textbook_carry_as_many_crates() -> None:
    """Each crate that a road carries is a point of its own; two follow each other if their roads meet."""
    crates = [(road, n) for road, most in CRATES.items() for n in range(most)]
    number = {crate: n for n, crate in enumerate(crates)}
    parents = {
        number[crate]: [number[other] for other in crates if other[0][1] == crate[0][0]] for crate in crates
    }
    starts = [number[crate] for crate in crates if crate[0][1] == "t"]
    heads = {number[crate] for crate in crates if crate[0][0] == "s"}
    found = most_routes(starts, parents.__getitem__, heads.__contains__)
    assert len(found.routes) == len(found.cut) == MAXIMUM_FLOW
    cut_roads = {crates[n][0] for n in found.cut}
    # The least cut is unique: it parts s, v1, v2 and v4 from v3 and t.
    assert cut_roads == {("v1", "v3"), ("v4", "v3"), ("v4", "t")}


GRAPH = {
    "a": "b", "b": "cef", "c": "dg", "d": "ch", "e": "af", "f": "g", "g": "fh", "h": "h",
}  # fmt: skip
COMPONENTS = {"abe", "cd", "fg", "h"}


def test_the_strong_components_of_the_textbook_are_found() -> None:
    number = {name: n for n, name in enumerate(GRAPH)}
    ahead = {number[name]: [number[other] for other in others] for name, others in GRAPH.items()}
    names = list(GRAPH)
    found = strong_components(range(len(names)), ahead)
    assert {"".join(sorted(names[n] for n in members)) for members in found} == COMPONENTS
    # Each component comes after those that it leads to.
    place = {n: at for at, members in enumerate(found) for n in members}
    assert all(place[head] <= place[tail] for tail, heads in ahead.items() for head in heads)
