"""What lies round a thing: the things that claims join to it, step by step, and the links between them."""

from __future__ import annotations

from dataclasses import dataclass

from kg.sources_weighed.standing import STEPS, Step, steps_below_the_best
from kg.threads.threads import LIKENESS, Allowed, Link, Threads


@dataclass(frozen=True, slots=True)
class Around:
    """The surroundings of a thing."""

    centre: str
    distance: dict[str, int]
    """The things that are kept, the centre among them, with how many steps each lies from it."""
    links: tuple[Link, ...]
    """What joins two of them, those nearest the centre first."""
    left_out: int
    """How many further things lie within these steps."""


def around(threads: Threads, centre: str, steps: int, allowed: Allowed, most: int) -> Around:
    """The things within so many steps, at most so many of them, the nearest and best attested kept.

    What very many things share (a place, a material) is met, but no way leads on through it: to share it is a
    likeness, and no connection.
    """
    distance, cost = {threads.number[centre]: 0}, {threads.number[centre]: 0}
    edge = [threads.number[centre]]
    for step in range(1, steps + 1):
        reached: dict[int, int] = {}
        for here in edge:
            if step > 1 and _is_likeness(threads, threads.names[here]):
                continue
            for other in threads.neighbours.get(here, ()):
                if other in distance or not threads.may_pass(threads.names[other], allowed):
                    continue
                dear = _cost(threads, here, other)
                if dear <= _dearest(allowed.least):
                    reached[other] = min(reached.get(other, dear + cost[here]), dear + cost[here])
        distance.update(dict.fromkeys(reached, step))
        cost.update(reached)
        edge = list(reached)
    kept = sorted(distance, key=lambda n: (distance[n], cost[n], threads.names[n]))[:most]
    links = _links(threads, kept, allowed)
    return Around(centre, {threads.names[n]: distance[n] for n in kept}, links, len(distance) - len(kept))


def _links(threads: Threads, kept: list[int], allowed: Allowed) -> tuple[Link, ...]:
    """The links between the kept things, without those below the least standing."""
    place = {number: n for n, number in enumerate(kept)}
    pairs = [
        (one, other)
        for one in kept
        for other in threads.neighbours.get(one, ())
        if place.get(other, -1) > place[one] and _cost(threads, one, other) <= _dearest(allowed.least)
    ]
    pairs.sort(key=lambda pair: (place[pair[0]], place[pair[1]]))
    return tuple(threads.link(*pair) for pair in pairs)


def _cost(threads: Threads, one: int, other: int) -> int:
    return threads.joined[min(one, other), max(one, other)][0][0]


def _dearest(least: Step | None) -> int:
    return len(STEPS) if least is None else 1 + steps_below_the_best(least)


def _is_likeness(threads: Threads, slug: str) -> bool:
    is_a, kinds = threads.view.vocabulary.is_a, threads.view.kinds(slug)
    return any(is_a(kinds, kind) for kind in LIKENESS)
