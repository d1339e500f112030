"""Weights learned from pairs that nobody has labelled, by expectation and maximisation.

The model is that of Fellegi and Sunter (1969) with two classes of pairs and fields that are independent within a class;
its shares are estimated as by Winkler ("Using the EM Algorithm for Weight Computation in the Fellegi-Sunter Model of
Record Linkage", American Statistical Association, 1988), with more than two levels a field.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from kg.errors import KilnmarkError
from kg.intake.reconcile.weights import Agreement, Weights

Floats = npt.NDArray[np.float64]
Levels = npt.NDArray[np.int64]

#: Level of a field that one of two records leaves open: it says nothing.
MISSING = -1
#: Rounds after which the search stops, and the change of a share below which it has settled.
MOST_ROUNDS, SETTLED = 200, 1e-6
#: Weights for named fields are learned from no fewer pairs than this.
LEAST_PAIRS = 200
#: Pairs added in thought to each level of each class, so that none has the share nought.
ADDED = 0.5


class TooFewPairs(KilnmarkError):
    """There are not enough pairs to learn weights from."""


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned: the share of pairs that are one, and the shares of each level of each field."""

    share: float
    """Of all pairs, how many are one."""
    among_the_same: tuple[Floats, ...]
    among_others: tuple[Floats, ...]
    rounds: int

    def weights(self, levels: Levels) -> Floats:
        """The weight of each row of levels for one thing, in decibans, without the share of pairs that are one."""
        found = np.zeros(len(levels))
        for field, (same, other) in enumerate(zip(self.among_the_same, self.among_others, strict=True)):
            by_level = np.append(10 * np.log10(same / other), 0.0)  # the last place is that of MISSING
            found += by_level[levels[:, field]]
        return found

    def probabilities(self, levels: Levels) -> Floats:
        """How probable it is that each row of levels is that of one thing."""
        prior = 10 * np.log10(self.share / (1 - self.share))
        odds: Floats = np.power(10.0, np.clip((self.weights(levels) + prior) / 10, -300, 300))
        result: Floats = odds / (1 + odds)
        return result


@dataclass(frozen=True, slots=True)
class Background:
    """What any two records look like: levels of pairs drawn at random, and how many pairs there are in all.

    Pairs that share a block agree in it whether they are one or not. Shares among others that are learned from such
    pairs alone would make a different surname speak for one person; so they are taken from pairs drawn at random.
    """

    levels: Levels
    pairs: int


def learn(levels: Levels, count: Sequence[int], background: Background) -> Learned:
    """Weights from the levels of unlabelled pairs, a row a pair; level 0 is the best agreement of a field.

    ``count`` says how many levels each field has. The shares among others are those of the background and stay; the
    shares among the same, and how many of all pairs are one, are searched. Neither depends on the order of the pairs.

    :raises TooFewPairs: if there are no pairs to learn from.
    """
    if not len(levels) or not len(background.levels):
        raise TooFewPairs(
            "No pairs were found to learn weights from; expected at least one, and one at random."
        )
    rows, times = np.unique(levels, axis=0, return_counts=True)
    every = np.ones(len(background.levels))
    other = tuple(_shares(background.levels[:, field], every, n) for field, n in enumerate(count))
    found = Learned(
        len(levels) / 2 / max(background.pairs, len(levels)), tuple(map(_falling, count)), other, 0
    )
    for number in range(1, MOST_ROUNDS + 1):
        believed = found.probabilities(rows) * times
        share = float(np.clip(believed.sum() / max(background.pairs, len(levels)), 1e-12, 1 - 1e-9))
        same = tuple(_shares(rows[:, field], believed, n) for field, n in enumerate(count))
        before, found = found, Learned(share, same, other, number)
        if _change(before, found) < SETTLED:
            break
    return found


def _falling(count: int) -> Floats:
    """Shares that halve and halve again: most agree, few differ."""
    shares = np.power(0.25, np.arange(count))
    result: Floats = shares / shares.sum()
    return result


def _shares(levels: Levels, weights: Floats, count: int) -> Floats:
    known = levels != MISSING
    sums = np.bincount(levels[known], weights=weights[known], minlength=count) + ADDED
    result: Floats = sums / sums.sum()
    return result


def _change(before: Learned, after: Learned) -> float:
    pairs = zip(before.among_the_same, after.among_the_same, strict=True)
    return max(abs(before.share - after.share), *(float(np.abs(a - b).max()) for a, b in pairs))


def estimated_weights(
    pairs: Sequence[Mapping[str, str]], drawn: Sequence[Mapping[str, str]], of: int, stated: Weights
) -> Weights:
    """Weights for named fields and levels, learned from pairs without labels in place of those stated by hand.

    ``pairs`` and ``drawn`` give the level of each field, for pairs that are near and for pairs drawn at random; ``of``
    is how many pairs there are in all. Fields and levels are those that are stated.

    :raises TooFewPairs: if there are fewer than LEAST_PAIRS of either.
    """
    if min(len(pairs), len(drawn)) < LEAST_PAIRS:
        raise TooFewPairs(
            f"{len(pairs)} near pairs and {len(drawn)} drawn at random found; expected {LEAST_PAIRS} of each. "
            "Use the weights as stated."
        )
    fields = list(dict.fromkeys(a.field for a in stated.agreements))
    levels = {field: [a.level for a in stated.agreements if a.field == field] for field in fields}

    def table(rows: Sequence[Mapping[str, str]]) -> Levels:
        coded = [[levels[f].index(row[f]) if f in row else MISSING for f in fields] for row in rows]
        return np.asarray(coded, dtype=np.int64)

    found = learn(table(pairs), [len(levels[f]) for f in fields], Background(table(drawn), of))
    places = {(f, level): (n, at) for n, f in enumerate(fields) for at, level in enumerate(levels[f])}
    basis = f"learned from {len(pairs)} near pairs and {len(drawn)} drawn at random, without labels"

    def learned(a: Agreement) -> Agreement:
        field, level = places[a.field, a.level]
        same, other = (float(shares[field][level]) for shares in (found.among_the_same, found.among_others))
        return replace(a, among_the_same=same, among_others=other, basis=basis)

    return Weights(tuple(map(learned, stated.agreements)))
