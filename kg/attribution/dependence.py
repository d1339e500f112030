"""Features that say the same thing twice, and how little each of them then counts.

A wig and the pate under it, a kid body and its gussets: seen together, they are nearly one observation. The remedy has
two steps, both stated here and tested.

1. *How alike two features are* is measured within makers. Pairs of recorded pieces by one maker either agree on a
   feature or not; the correlation of the two agreements, centred for each maker, is one where the second feature
   repeats the first and zero where they vary independently once the maker is known (the discrete case of distance
   correlation, G. J. Székely, M. L. Rizzo and N. K. Bakirov, Annals of Statistics 35, 2007). Correlations within the
   noise are taken as zero. Features that the vocabulary declares to be counted once with one another have one.
2. *What each counts* solves R w = 1 for the matrix R of these likenesses: the weighting of T. Leinster ("The
   magnitude of metric spaces", 2013). Independent features count one each, a repeated one shares its weight with its
   copy, and repeating a feature changes nothing for any other.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.optimize import nnls

from kg.attribution.likelihood import Records
from kg.attribution.weight import Floats

#: Correlations smaller than this many standard errors are taken as noise.
NOISE = 4.0
#: So many pairs at most are compared, taken evenly from all: enough to tell a likeness of 0.02 from noise.
PAIRS = 40_000
#: Pairs of pieces that are compared for each piece: with the next, and the next but one, of the same maker.
STEPS = (1, 2)
_NEGLIGIBLE = 1e-9


def likeness(records: Records, declared: Iterable[tuple[int, int]] = ()) -> Floats:
    """By feature and feature: how far one repeats the other, from zero to one."""
    agreement, seen = _agreements(records)
    together = seen.T @ seen
    products = agreement.T @ agreement
    spread = (agreement**2).T @ seen
    scale = np.sqrt(spread * spread.T)
    alike = np.divide(products, scale, out=np.zeros_like(products), where=scale > _NEGLIGIBLE)
    alike[np.abs(alike) * np.sqrt(together) < NOISE] = 0.0
    alike = np.clip(alike, 0.0, 1.0)
    for one, other in declared:
        alike[one, other] = alike[other, one] = 1.0
    np.fill_diagonal(alike, 1.0)
    return alike


def _agreements(records: Records) -> tuple[Floats, Floats]:
    """Whether pairs of pieces by one maker agree on each feature, centred by maker, and whether both were seen."""
    order = np.argsort(records.maker, kind="stable")
    maker, codes = records.maker[order], records.codes[order]
    agree, both, owner = [], [], []
    for step in STEPS:
        same = np.flatnonzero(maker[step:] == maker[:-step])
        same = same[:: max(1, len(STEPS) * len(same) // PAIRS)]
        first, second = codes[same], codes[same + step]
        known = (first >= 0) & (second >= 0)
        agree.append(((first == second) & known).astype(np.float64))
        both.append(known.astype(np.float64))
        owner.append(maker[same])
    agreed, seen, makers = np.concatenate(agree), np.concatenate(both), np.concatenate(owner)
    starts = np.argsort(makers, kind="stable")
    agreed, seen, makers = agreed[starts], seen[starts], makers[starts]
    if not len(makers):
        return agreed, seen
    begins = np.flatnonzero(np.concatenate([[True], makers[1:] != makers[:-1]]))
    total, count = np.add.reduceat(agreed, begins), np.add.reduceat(seen, begins)
    mean = np.divide(total, count, out=np.zeros_like(total), where=count > 0)
    lengths = np.diff(np.append(begins, len(makers)))
    return (agreed - np.repeat(mean, lengths, axis=0)) * seen, seen


def shares(alike: Floats) -> Floats:
    """What each feature counts, from zero to one, given how alike the features are.

    >>> shares(np.array([[1.0, 1.0, 0.0], [1.0, 1.0, 0.0], [0.0, 0.0, 1.0]])).round(3).tolist()
    [0.5, 0.5, 1.0]
    """
    if not len(alike):
        return np.zeros(0)
    weights = np.linalg.pinv(alike, hermitian=True) @ np.ones(len(alike))
    if (weights < -_NEGLIGIBLE).any():
        weights = nnls(alike, np.ones(len(alike)))[0]
    return np.clip(weights, 0.0, 1.0)
