"""Places of the things in a picture: columns from the centre outward, the same at each look.

The centre stands at the left, what one claim joins to it in the next column, and so on; so a label has the whole
width of its column. A column that would grow too high is broken into several.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

#: Distances in the picture's own units: between two columns, between the parts of a broken one, between two rows.
COLUMN, BROKEN, ROW = 330, 216, 62

#: No column is broken that has no more than this.
_LEAST_ROWS = 18

#: A picture is about so much wider than high.
_ASPECT = 1.5

Place = tuple[int, int]


def places(ends: Iterable[tuple[str, str]], distance: Mapping[str, int]) -> dict[str, Place]:
    """The place of each thing, by how many steps it lies from the centre and what it is joined to."""
    near = _neighbours(ends)
    most = max(_LEAST_ROWS, round(math.sqrt(len(distance) * BROKEN / (ROW * _ASPECT))))
    found: dict[str, Place] = {}
    left = 0
    for depth in sorted(set(distance.values())):
        keys = [key for key in distance if distance[key] == depth]
        wished = {key: _mean([found[n][1] / ROW for n in near[key] if n in found]) for key in keys}
        if len(keys) <= most:
            rows = _apart(wished)
            found |= {key: (left, round(rows[key] * ROW)) for key in keys}
        else:
            parts = math.ceil(len(keys) / most)
            found |= _broken(wished, math.ceil(len(keys) / parts), left)
            left += (parts - 1) * BROKEN
        left += COLUMN
    return found


def distances(ends: Iterable[tuple[str, str]], centre: str) -> dict[str, int]:
    """How many claims each thing lies from the centre; those that hang together elsewhere follow farther out."""
    near = _neighbours(ends)
    found: dict[str, int] = {}
    for start in [*([centre] if centre in near else []), *sorted(near)]:
        if start in found:
            continue
        depth = max(found.values(), default=-1) + 1
        edge = {start}
        while edge:
            found.update(dict.fromkeys(edge, depth))
            edge = {n for key in edge for n in near[key]} - found.keys()
            depth += 1
    return found


def _neighbours(ends: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    near: dict[str, set[str]] = defaultdict(set)
    for tail, head in ends:
        near[tail].add(head)
        near[head].add(tail)
    return near


def _broken(wished: Mapping[str, float], rows: int, left: int) -> dict[str, Place]:
    """A column broken into several, in the order wished for, each part centred on the first row."""
    order = sorted(wished, key=lambda key: (wished[key], key))
    found = {}
    for number, key in enumerate(order):
        part, row = divmod(number, rows)
        height = min(rows, len(order) - part * rows)
        found[key] = (left + part * BROKEN, round((row - (height - 1) / 2) * ROW))
    return found


def _apart(wished: Mapping[str, float]) -> dict[str, float]:
    """Rows at least one apart, in the order wished for and as near to it as that allows."""
    found: dict[str, float] = {}
    least = -math.inf
    for key in sorted(wished, key=lambda key: (wished[key], key)):
        found[key] = max(wished[key], least)
        least = found[key] + 1
    shift = _mean([wished[key] - found[key] for key in found])
    return {key: row + shift for key, row in found.items()}


def _mean(given: list[float]) -> float:
    return sum(given) / len(given) if given else 0.0
