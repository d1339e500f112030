"""Weighing and threads on a big invented daybook, timed beside networkx in the same run (building its graph included).

Run from the project's folder: ``python -m tests.bench.weigh``. It builds about 70,000 claims and 3,000 sources whose
lines of derivation are ten deep, in memory, and prints the best of a few runs of each task.
"""

from __future__ import annotations

import gc
import random
import statistics
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from itertools import islice, pairwise

import networkx as nx

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Claim, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import what_falls
from kg.sources_weighed.loose_ends import loose_ends
from kg.sources_weighed.standing import standing_of
from kg.threads.threads import LIKENESS, Allowed, Threads
from kg.vocabulary import load_vocabulary
from tests.bench import trade

CLAIMS, SOURCES, DEPTH = 70_000, 3_000, 10
#: Claims of the trade; the rest are sources, their links, and firms' years repeated by several sources.
TRADE_CLAIMS = 51_300
#: So many firms' first years are each said by so many sources.
REPEATED, SAYING = 2_200, 7


def entries() -> Iterator[Entry]:
    """A trade, a library ten deep, and years that the library repeats."""
    yield from trade.entries(TRADE_CLAIMS)
    chance = random.Random(1932)
    clock = trade.START + timedelta(days=400)
    levels = [[f"source-{level}-{n}" for n in range(SOURCES // DEPTH)] for level in range(DEPTH)]
    things = [
        Thing(slug, ("Register" if level == 0 else "Book",), slug)
        for level, slugs in enumerate(levels)
        for slug in slugs
    ]
    links = [
        Draft(slug, "sourceFollows", above, Citation(slug, "note 1"))
        for lower, upper in pairwise(levels)
        for slug in upper
        for above in chance.sample(lower, chance.choice((1, 1, 2)))
    ]
    yield compose(clock, "A. Tester", things=tuple(things), drafts=tuple(links))
    for number in range(REPEATED):
        clock += timedelta(seconds=30)
        firm = Thing(f"repeated-{number}", ("Firm",), f"Repeated {number}")
        saying = [chance.choice(chance.choice(levels[1:])) for _ in range(SAYING)]
        year = str(1850 + number % 40)
        drafts = tuple(Draft(firm.slug, "founded", year, Citation(who, "p. 1")) for who in saying)
        yield compose(clock, "A. Tester", things=(firm,), drafts=drafts)


def best(runs: int, work: Callable[[], object]) -> float:
    """The shortest of some runs, in seconds."""
    times = []
    for _ in range(runs):
        gc.collect()
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def each(works: list[Callable[[], object]]) -> tuple[float, float]:
    """The median and the longest of some different questions, in seconds."""
    times = []
    for work in works:
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times), max(times)


def by_networkx(weighed: Weighed, claim: Claim) -> int:
    """The number of witnesses by networkx's maximum flow, on the sources behind the claim alone."""
    derivation = weighed.derivation
    sources = {derivation.number[c.citation.source] for c, _ in weighed.statements.agreeing(claim)}
    graph: nx.DiGraph = nx.DiGraph()
    graph.add_nodes_from(["from", "to"])
    for source in derivation.above(sources):
        graph.add_edge((source, 0), (source, 1), capacity=1)
        for parent in derivation.parents.get(source, ()):
            graph.add_edge((source, 1), (parent, 0), capacity=1)
        if source in derivation.first_hand:
            graph.add_edge((source, 1), "to", capacity=1)
    for source in sources:
        graph.add_edge("from", (source, 0), capacity=1)
    return int(nx.maximum_flow_value(graph, "from", "to"))


def counting(view: WorkingView) -> Weighed:
    """All counts, and the same counts by networkx for a sample."""
    weighed = Weighed(view)
    all_counts = best(3, lambda: Weighed(view).all_counts())
    print(
        f"all witness counts of {len(view.live):,} claims, nothing prepared: {all_counts:.2f} s (wanted: at most 5 s)"
    )
    repeated = [view.by_subject[f"repeated-{n}"][0] for n in range(0, REPEATED, 11)]
    for claim in repeated:
        assert by_networkx(weighed, claim) == weighed.counts(claim).witnesses
    ours = best(
        3, lambda: [Weighed._count(weighed, _agreeing(weighed, c)) for c in _fresh(weighed, repeated)]
    )
    theirs = best(3, lambda: [by_networkx(weighed, claim) for claim in repeated])
    print(
        f"  {len(repeated)} claims said by {SAYING} sources each: {1e3 * ours:.1f} ms; networkx {1e3 * theirs:.1f} ms; "
        f"ratio {theirs / ours:.0f}, the same numbers"
    )
    return weighed


def _agreeing(weighed: Weighed, claim: Claim) -> list[Claim]:
    return [other for other, _ in weighed.statements.agreeing(claim)]


def _fresh(weighed: Weighed, claims: list[Claim]) -> list[Claim]:
    """The same claims with nothing remembered of their counts, so that each is counted again."""
    weighed._by_case.clear()
    return claims


def weighing(view: WorkingView, weighed: Weighed) -> None:
    """One claim weighed: routes, bottleneck, contrary claims, standing."""
    claims = [view.by_subject[f"repeated-{n}"][0] for n in range(0, REPEATED, 22)]

    def weigh(claim: Claim) -> object:
        return weighed.witnesses(claim), standing_of(weighed, claim)

    median, longest = each([lambda c=claim: weigh(c) for claim in claims])
    print(
        f"one weigh, daybook open: median {1e3 * median:.2f} ms, longest {1e3 * longest:.2f} ms (wanted: at most 50 ms)"
    )
    first = best(3, lambda: Weighed(view).witnesses(claims[0]))
    print(f"  the first weigh of a view, reading all derivation: {1e3 * first:.0f} ms")
    audit = Audit(Chronology(view))
    solving = best(1, lambda: audit.datings)
    falls = best(1, lambda: what_falls(weighed, sources=["source-1-0"], audit=audit).verdicts)
    few = best(1, lambda: what_falls(weighed, sources=weighed.witnesses(claims[0]).overturning, about=claims[0],
                                     audit=audit).verdicts)  # fmt: skip
    print(f"  the chronology solved once: {solving:.2f} s; what falls with a source, solved again: {falls:.2f} s; "
          f"with one statement: {few:.2f} s")  # fmt: skip
    print(f"  all loose ends: {best(1, lambda: loose_ends(weighed, audit)):.2f} s")


def threading(view: WorkingView, weighed: Weighed) -> None:
    """Threads between retailers and registrations, with what is prepared once apart."""
    threads = Threads(weighed)
    preparing = best(1, lambda: threads.between("shop-0", "deposit-0"))
    chance = random.Random(1932)
    shops = [slug for slug in view.things if slug.startswith("shop-")]
    deposits = [slug for slug in view.things if slug.startswith("deposit-")]
    pairs = [(chance.choice(shops), chance.choice(deposits)) for _ in range(60)]
    median, longest = each([lambda p=pair: threads.between(*p, 5) for pair in pairs])
    print(f"one thread (five routes): median {1e3 * median:.1f} ms, longest {1e3 * longest:.1f} ms "
          f"(wanted: at most 200 ms)")  # fmt: skip
    allowed = Allowed(not_kinds=frozenset(LIKENESS))
    median, longest = each([lambda p=pair: threads.between(*p, 5, allowed) for pair in pairs[:20]])
    print(f"  with a filter by kind: median {1e3 * median:.1f} ms, longest {1e3 * longest:.1f} ms")
    print(f"  weighing every link once for all threads: {preparing:.2f} s")
    graph: nx.Graph = nx.Graph()
    for (one, other), claims in threads.joined.items():
        graph.add_edge(one, other, weight=claims[0][0])
    few = [(threads.number[one], threads.number[other]) for one, other in pairs[:8]]
    theirs = each([
        lambda p=pair: list(islice(nx.shortest_simple_paths(graph, *p, weight="weight"), 5)) for pair in few
    ])[0]  # fmt: skip
    ours = each([lambda p=pair: threads.between(*p, 5) for pair in pairs[:8]])[0]
    for one, other in pairs[:8]:
        wanted = list(
            islice(
                nx.shortest_simple_paths(graph, threads.number[one], threads.number[other], weight="weight"),
                5,
            )
        )
        costs = [sum(graph.edges[step]["weight"] for step in pairwise(path)) for path in wanted]
        assert [thread.cost for thread in threads.between(one, other, 5)] == costs
    print(
        f"  networkx for the same: median {1e3 * theirs:.0f} ms; ratio {theirs / ours:.0f}, the same lengths"
    )


def main() -> None:
    """Build the daybook, time each task, print."""
    view = WorkingView.of(load_vocabulary(), entries(), revision="bench")
    weighed = counting(view)
    derivation = weighed.derivation
    print(
        f"  {len(derivation.sources):,} sources; {sum(map(len, derivation.parents.values())):,} links of derivation"
    )
    weighing(view, weighed)
    threading(view, weighed)


if __name__ == "__main__":
    main()
