"""Plain edit distance: how many characters must be put in, taken out or changed to turn one text into another.

The match score says more; this is for comparing by hand and with other programs. V. I. Levenshtein, Binary codes
capable of correcting deletions, insertions and reversals, Soviet Physics Doklady 10, 1966.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def edit_distance(first: str, second: str) -> int:
    """The least number of single characters put in, taken out or changed, each counted once.

    >>> edit_distance("GERMANY", "GEPMAN")
    2
    """
    return edit_distances(first, [second])[0]


def edit_distances(text: str, others: Sequence[str]) -> list[int]:
    """The edit distance of one text from each of some others, by one alignment over all at once."""
    if not others:
        return []
    height = max(map(len, others))
    lengths = np.array([len(other) for other in others], dtype=np.intp)
    table = np.zeros((height, len(others)), dtype=np.uint32)
    for column, other in enumerate(others):
        table[: len(other), column] = [ord(char) for char in other]
    down = np.arange(height + 1, dtype=np.int32)[:, None]
    row = np.repeat(down, len(others), axis=1)
    for char in text:
        reached = row + 1
        np.minimum(reached[1:], row[:-1] + (table != ord(char)), out=reached[1:])
        # Taking out any number of characters in a row: the least of all ways from above, each step counted.
        row = np.minimum.accumulate(reached - down, axis=0) + down
    found: list[int] = row[lengths, np.arange(len(others))].tolist()
    return found
