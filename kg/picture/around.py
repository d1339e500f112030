"""The picture of what lies round a thing, or of some threads: one line for all claims that join the same two things."""

from __future__ import annotations

from collections.abc import Iterable

from kg.picture.layout import distances, places
from kg.picture.looks import DOUBTED, FIRM, OPEN, THIN
from kg.picture.picture import MOST_NODES, Line, Picture, thing_node
from kg.picture.picture import says as property_of
from kg.sources_weighed.standing import Step
from kg.threads.around import around
from kg.threads.threads import Allowed, Link, Thread, Threads

_MANNER = {
    Step.SEVERAL: FIRM,
    Step.FIRST_HAND: FIRM,
    Step.SECOND_HAND: THIN,
    Step.NOT_KNOWN: THIN,
    Step.CONTESTED: OPEN,
    Step.CIRCULAR: OPEN,
    Step.DOUBTED: DOUBTED,
}


def picture_around(threads: Threads, centre: str, steps: int, allowed: Allowed) -> Picture:
    """The surroundings of a thing, so many steps far."""
    found = around(threads, centre, steps, allowed, MOST_NODES)
    return _of_links(threads, found.links, centre, found.distance, found.left_out)


def picture_of_threads(threads: Threads, found: Iterable[Thread]) -> Picture:
    """Some threads between the same two things, from the first to the last."""
    links: dict[frozenset[str], Link] = {}
    begin = ""
    for thread in found:
        begin = thread.links[0].before
        for link in thread.links:
            links.setdefault(frozenset((link.before, link.after)), link)
    far = distances(((link.before, link.after) for link in links.values()), begin)
    kept = dict(sorted(far.items(), key=lambda pair: (pair[1], pair[0]))[:MOST_NODES])
    drawn = [link for link in links.values() if link.before in kept and link.after in kept]
    return _of_links(threads, drawn, begin, kept, len(far) - len(kept))


def _of_links(
    threads: Threads, links: Iterable[Link], centre: str, distance: dict[str, int], left_out: int
) -> Picture:
    view, links = threads.view, tuple(links)
    at = places(((link.before, link.after) for link in links), distance)
    nodes = tuple(thing_node(view, slug, slug == centre, at[slug]) for slug in distance)
    lines = tuple(_line(threads, link) for link in links)
    return Picture(nodes, lines, (), left_out)


def _line(threads: Threads, link: Link) -> Line:
    claim = link.claim
    ids = (claim.id, *(other.id for other in link.others))
    label = property_of(threads.view, claim)
    return Line(claim.subject, claim.value, label, None, _MANNER[link.step], ids)
