"""How long the chronology takes to solve, to question and to repair, on invented networks.

The networks have the shape of the domain: makers with lives and activity, pieces with spans of making,
registrations, retailers. Run it from the top of the repository: ``python -m tests.bench.solve``. Times are
printed beside networkx's Bellman-Ford of the same run, as ratios, where that one ends in reasonable time.
Nothing here is a test.
"""

from __future__ import annotations

import argparse
import statistics
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from time import perf_counter
from typing import TypeVar

import networkx as nx
import numpy as np

from kg.chronology.local import Edge, Limit, Local
from kg.chronology.repair import all_conflicts, repair
from kg.chronology.solve import UNBOUNDED, Network, Solution, solve

YEAR = 365
CLAIMS_PER_MAKER = 60
#: Of all claims about a piece, those on marks, sizes or owners say nothing of time.
SILENT_CLAIMS_PER_PIECE = 3
Answer = TypeVar("Answer")
Maker = tuple[tuple[int, int], int, int]  # its activity, and the true first and last day of it


@dataclass
class Builder:
    """Gathers the points and constraints of an invented daybook."""

    points: int = 1
    claims: int = 0
    rows: list[tuple[int, int, int, int]] = field(default_factory=list)

    def span(self) -> tuple[int, int]:
        """A begin and an end, the one not after the other by rule."""
        begin, end = self.points, self.points + 1
        self.points += 2
        self.not_before(begin, end, 0, -1)
        return begin, end

    def claim(self) -> int:
        """A fresh claim."""
        self.claims += 1
        return self.claims - 1

    def not_before(self, first: int, second: int, gap: int, claim: int) -> None:
        """The second point lies at least ``gap`` days after the first."""
        self.rows.append((second, first, -gap, claim))

    def within(self, inner: tuple[int, int], outer: tuple[int, int], claim: int) -> None:
        """The inner span lies in the outer one."""
        self.not_before(outer[0], inner[0], 0, claim)
        self.not_before(inner[1], outer[1], 0, claim)

    def dated(self, span: tuple[int, int], first: int, last: int) -> None:
        """One claim that the span lies between two days."""
        claim = self.claim()
        self.not_before(0, span[0], first, claim)
        self.rows.append((0, span[1], last, claim))

    def network(self) -> Network:
        """The constraints gathered so far."""
        tail, head, weight, claim = np.array(self.rows).T
        return Network(self.points, tail, head, weight, claim)


def invented(claims: int, seed: int = 1, wrong_pieces: int = 0) -> tuple[Network, int]:
    """A network of about so many claims, and how many; the first pieces are dated after their maker's end."""
    random = np.random.default_rng(seed)
    builder = Builder()
    makers: list[Maker] = []
    for _ in range(max(1, claims // CLAIMS_PER_MAKER)):
        makers.append(_maker(builder, random, makers))
    piece = 0
    while builder.claims < claims:
        _piece(builder, random, makers, is_wrong=piece < wrong_pieces)
        piece += 1
    return builder.network(), builder.claims


def _maker(builder: Builder, random: np.random.Generator, makers: list[Maker]) -> Maker:
    first = int(random.integers(1840, 1930)) * YEAR
    last = first + int(random.integers(5, 50)) * YEAR
    life, activity = builder.span(), builder.span()
    builder.rows.append((life[0], life[1], 110 * YEAR, -1))
    builder.not_before(life[0], activity[0], 12 * YEAR, -1)
    builder.dated(life, first - 30 * YEAR, last + 20 * YEAR)
    builder.dated(activity, first, last)
    for earlier, _, end in makers[-1:]:
        if end <= first:
            builder.not_before(earlier[1], activity[0], 0, builder.claim())
    return activity, first, last


def _piece(builder: Builder, random: np.random.Generator, makers: list[Maker], is_wrong: bool) -> None:
    activity, first, last = makers[int(random.integers(len(makers)) * random.random())]
    made = builder.span()
    builder.within(made, activity, builder.claim())
    day = int(random.integers(first, last + 1))
    if is_wrong:
        day = last + int(random.integers(5, 40)) * YEAR
    if is_wrong or random.random() < 0.5:
        builder.dated(made, day - 3 * YEAR, day + 3 * YEAR)
    if random.random() < 0.3:  # bears a registration
        registered = builder.span()
        builder.dated(registered, first - 2 * YEAR, min(day, last))
        builder.not_before(registered[0], made[1], 0, builder.claim())
    if random.random() < 0.2:  # sold by a retailer
        trading = builder.span()
        builder.dated(trading, first - 5 * YEAR, max(day, last) + 30 * YEAR)
        builder.not_before(made[0], trading[1], 0, builder.claim())
    builder.claims += SILENT_CLAIMS_PER_PIECE


def timed(work: Callable[[], Answer], times: int = 3) -> tuple[float, Answer]:
    """The best of some runs, in seconds, and the answer."""
    best = float("inf")
    for _ in range(times):
        begin = perf_counter()
        answer = work()
        best = min(best, perf_counter() - begin)
    return best, answer


def bench_solve(sizes: list[int], networkx_up_to: int) -> None:
    """Solving whole networks."""
    for claims in sizes:
        network, count = invented(claims)
        grouping, _ = timed(partial(_grouped, network), 1)
        ours, solution = timed(partial(solve, network))
        line = (
            f"{count:>9,} claims {network.edge_count:>9,} edges {network.size:>9,} points: "
            f"grouped once {1000 * grouping:.1f} ms, solved {1000 * ours:.1f} ms "
            f"({1e9 * ours / network.edge_count:.0f} ns an edge), consistent {solution.is_consistent}"
        )
        if claims <= networkx_up_to:
            theirs, agrees = timed(partial(_by_networkx, network, solution), 1)
            line += f"; networkx takes {theirs / ours:.0f} times as long, the same windows {agrees}"
        print(line)


def _grouped(network: Network) -> None:
    assert network.by_tail.edges.size == network.by_head.edges.size


def _by_networkx(network: Network, solution: Solution) -> bool:
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(network.size))
    order = np.argsort(-network.weights)  # of parallel edges the tightest is written last
    columns = (network.tails[order], network.heads[order], network.weights[order])
    graph.add_weighted_edges_from(zip(*(column.tolist() for column in columns), strict=True))
    latest = nx.single_source_bellman_ford_path_length(graph, 0)
    earliest = nx.single_source_bellman_ford_path_length(graph.reverse(copy=False), 0)
    return all(
        latest.get(point, UNBOUNDED) == solution.latest[point]
        and -earliest.get(point, UNBOUNDED) == solution.earliest[point]
        for point in range(network.size)
    )


def bench_local(claims: int, questions: int = 2000) -> None:
    """Single questions to a solved network."""
    network, _ = invented(claims)
    preparing, local = timed(lambda: _prepared(network), 1)
    whole, _ = timed(lambda: solve(network))
    random = np.random.default_rng(7)
    print(f"local questions at {claims:,} claims (prepared in {1000 * preparing:.0f} ms, whole solve 1):")
    points = random.integers(1, network.size, questions).tolist()

    def aside(point: int) -> None:
        chain = local.latest(point).chain
        local.latest(point, frozenset(int(c) for c in network.claims[list(chain)] if c >= 0))

    def supposing(point: int) -> None:
        extra = [Edge(0, point, int(local.latest(point).value or 0) - 400)]
        supposition = local.suppose(extra=extra)
        if supposition.conflict is None:
            supposition.earliest(point)

    asked: dict[str, Callable[[int], object]] = {
        "latest": local.latest,
        "latest without its own chain's claims": aside,
        "a bound supposed": supposing,
        "claims that decide": lambda point: local.deciding(point, Limit.EARLIEST),
        "three independent chains": lambda point: local.independent_chains(point, Limit.LATEST, 3),
    }
    degrees = np.bincount(network.tails, minlength=network.size) + np.bincount(
        network.heads, minlength=network.size
    )
    busiest = [point for point in np.argsort(-degrees)[:100].tolist() if point != 0]
    for name, ask in [*asked.items(), ("a bound supposed on the busiest points", supposing)]:
        where = busiest if "busiest" in name else points
        times = sorted(timed(partial(ask, point), 1)[0] for point in where)
        median, high = statistics.median(times), times[int(0.95 * len(times))]
        print(
            f"  {name}: median {1e6 * median:.0f} us, 95th percentile {1e6 * high:.0f} us, "
            f"worst {1e3 * times[-1]:.1f} ms; median / whole solve = {median / whole:.4f}"
        )


def _prepared(network: Network) -> Local:
    local = Local(solve(network))
    assert local.outward is not None
    assert local.inward is not None
    return local


def bench_repair(claims: int, planted: list[int]) -> None:
    """Repairing networks with wrong dates in them."""
    for wrong in planted:
        network, count = invented(claims, wrong_pieces=wrong)
        whole, _ = timed(partial(solve, network))
        cost = np.random.default_rng(3).integers(1, 9, count)
        time, repaired = timed(partial(repair, network, cost), 1)
        telling, told = timed(partial(all_conflicts, network, repaired), 1)
        print(
            f"repair at {count:,} claims, {wrong} wrong dates: {time:.2f} s ({time / whole:.0f} solves), "
            f"{len(repaired.removed)} set aside; all {len(told.conflicts)} conflicts in {telling:.2f} s, "
            f"{len(told.capped)} capped"
        )


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[1_000, 10_000, 70_000, 1_000_000])
    parser.add_argument("--networkx-up-to", type=int, default=10_000)
    parser.add_argument("--claims", type=int, default=70_000, help="for questions and repairs")
    options = parser.parse_args()
    bench_solve(options.sizes, options.networkx_up_to)
    bench_local(options.claims)
    bench_repair(options.claims, [0, 41, 500])


if __name__ == "__main__":
    main()
