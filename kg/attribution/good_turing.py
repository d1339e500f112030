"""What has not been seen yet: the Good–Turing mass of unrecorded makers, and the Simple Good–Turing estimator.

W. A. Gale and G. Sampson, "Good–Turing frequency estimation without tears", Journal of Quantitative Linguistics 2
(1995), 217–237.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from kg.attribution.weight import Floats
from kg.errors import KilnmarkError

#: The Turing estimate is kept while it differs from the line by more than this many standard deviations.
CONFIDENCE = 1.96


class NothingCounted(KilnmarkError):
    """An estimate of the unseen was asked for, but nothing has been counted."""

    def __init__(self) -> None:
        super().__init__(
            "Nothing has been counted, so nothing can be said of what is unseen. Record pieces first."
        )


def unseen_mass(outputs: Iterable[float]) -> float:
    """The chance that the next piece is by a maker of whom no piece is recorded: N1 / N.

    ``outputs`` are the recorded pieces of each maker. Where no maker has a single recorded piece, N1 is taken as one:
    "none of these" always competes.

    >>> unseen_mass([1, 1, 3, 5])
    0.2
    >>> unseen_mass([5, 5])
    0.1

    :raises NothingCounted: if no piece is recorded.
    """
    counted = np.asarray(list(outputs), dtype=float)
    total = float(counted.sum())
    if total <= 0:
        raise NothingCounted
    singles = float(np.count_nonzero((counted > 0) & (counted <= 1)))
    return min(max(singles, 1.0) / total, 1.0)


def unseen_makers(outputs: Iterable[float]) -> float:
    """How many makers have left no recorded piece, by Chao's estimator N1 (N1 - 1) / (2 (N2 + 1)); at least one.

    A. Chao, "Nonparametric estimation of the number of classes in a population", Scandinavian Journal of Statistics
    11 (1984), in its bias-corrected form.
    """
    counted = np.asarray(list(outputs), dtype=float)
    singles = float(np.count_nonzero((counted > 0) & (counted <= 1)))
    doubles = float(np.count_nonzero((counted > 1) & (counted <= 2)))
    return max(1.0, singles * (singles - 1) / (2 * (doubles + 1)))


@dataclass(frozen=True)
class SimpleGoodTuring:
    """The fitted estimator: the mass of the unseen, the line, and the adjusted count of each observed count."""

    unseen: float
    slope: float
    intercept: float
    adjusted: Mapping[int, float]
    """r* by r."""
    chances: Mapping[int, float]
    """The chance of one species seen r times, after renormalising."""


def simple_good_turing(frequencies: Mapping[int, int]) -> SimpleGoodTuring:
    """The Simple Good–Turing estimate from the number of species seen r times, for each r.

    :raises NothingCounted: if there are fewer than two different counts, which no line can be laid through.
    """
    r = np.array(sorted(frequencies), dtype=float)
    counts = np.array([frequencies[int(each)] for each in r], dtype=float)
    if len(r) < 2:
        raise NothingCounted
    total = float((r * counts).sum())
    unseen = frequencies.get(1, 0) / total
    slope, intercept = np.polyfit(np.log(r), np.log(_averaged(r, counts)), 1)
    adjusted = _adjusted(r, counts, float(slope), float(intercept))
    mass = float((counts * adjusted).sum())
    chances = (1 - unseen) * adjusted / mass
    keys = [int(each) for each in r]
    return SimpleGoodTuring(
        unseen,
        float(slope),
        float(intercept),
        dict(zip(keys, adjusted.tolist(), strict=True)),
        dict(zip(keys, chances.tolist(), strict=True)),
    )


def _averaged(r: Floats, counts: Floats) -> Floats:
    """Z: each count spread over the gap between its neighbours."""
    before = np.concatenate([[0.0], r[:-1]])
    after = np.concatenate([r[1:], [2 * r[-1] - before[-1]]])
    spread: Floats = 2 * counts / (after - before)
    return spread


def _adjusted(r: Floats, counts: Floats, slope: float, intercept: float) -> Floats:
    """r*: the Turing estimate while it differs clearly from the line, from then on the line."""
    by_count = dict(zip(r.tolist(), counts.tolist(), strict=True))
    smoothed = np.exp(intercept + slope * np.log(r))
    lined = (r + 1) * np.exp(intercept + slope * np.log(r + 1)) / smoothed
    adjusted, is_on_line = [], False
    for each, on_line in zip(r.tolist(), lined.tolist(), strict=True):
        above, here = by_count.get(each + 1), by_count[each]
        if above is None:
            is_on_line = True
        if not is_on_line and above is not None:
            turing = (each + 1) * above / here
            spread = ((each + 1) ** 2 * above / here**2 * (1 + above / here)) ** 0.5
            is_on_line = abs(turing - on_line) <= CONFIDENCE * spread
        adjusted.append(on_line if is_on_line or above is None else (each + 1) * above / here)
    return np.asarray(adjusted)
