"""Whether probabilities mean what they say: errors of calibration, the reliability diagram, and the two remedies.

The remedies are isotonic regression (pool adjacent violators) and Platt's logistic line on the log-odds; both are
fitted on some pieces and measured on others.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.optimize import isotonic_regression, minimize
from scipy.special import expit, logit

from kg.attribution.weight import Floats

Hits = npt.NDArray[np.bool_]

BINS = 10
#: Probabilities are kept this far from none and one before their log-odds are taken.
_EDGE = 1e-12


@dataclass(frozen=True, slots=True)
class Bin:
    """One bar of a reliability diagram: what was said on average, and how often it came true."""

    lower: float
    upper: float
    count: int
    said: float
    came_true: float


def reliability(said: Floats, hits: Hits, bins: int = BINS) -> tuple[Bin, ...]:
    """The bars of the reliability diagram that hold anything, in bins of equal width."""
    place = np.minimum((said * bins).astype(np.int64), bins - 1)
    found = []
    for each in range(bins):
        inside = place == each
        if inside.any():
            count = int(inside.sum())
            found.append(
                Bin(
                    each / bins,
                    (each + 1) / bins,
                    count,
                    float(said[inside].mean()),
                    float(hits[inside].mean()),
                )
            )
    return tuple(found)


def calibration_error(said: Floats, hits: Hits, bins: int = BINS) -> float:
    """The expected calibration error: the mean distance of what was said from what came true, over all pieces."""
    if not len(said):
        return 0.0
    return sum(bar.count * abs(bar.said - bar.came_true) for bar in reliability(said, hits, bins)) / len(said)


def error_by_chance(said: Floats, bins: int = BINS) -> float:
    """The calibration error that a perfectly calibrated ranking would show on so few pieces, about.

    In each bar the share that comes true strays from what was said by sqrt(2 p (1 - p) / (pi n)) on average (the mean
    distance of a normal variable).
    """
    if not len(said):
        return 0.0
    bars = reliability(said, np.zeros(len(said), dtype=bool), bins)
    strays = (bar.count * float(np.sqrt(2 * bar.said * (1 - bar.said) / (np.pi * bar.count))) for bar in bars)
    return sum(strays) / len(said)


def brier(chances: Floats, truth: npt.NDArray[np.int64]) -> float:
    """The Brier score over all answers: the mean squared distance from the truth, between 0 and 2."""
    own = chances[np.arange(len(truth)), truth]
    return float(np.mean((chances**2).sum(axis=1) - 2 * own + 1))


def log_loss(chances: Floats, truth: npt.NDArray[np.int64]) -> float:
    """The mean surprise at the truth, in natural units."""
    own = chances[np.arange(len(truth)), truth]
    return float(-np.mean(np.log(np.maximum(own, 1e-15))))


class Remedy(Protocol):
    """A rising map from what was computed to what is shown."""

    @property
    def name(self) -> str:
        """What the remedy is called where it is told."""
        ...

    def __call__(self, chances: Floats) -> Floats: ...


@dataclass(frozen=True, slots=True)
class AsComputed:
    """No remedy: what is computed is shown."""

    name: str = "none"

    def __call__(self, chances: Floats) -> Floats:
        return chances


@dataclass(frozen=True, slots=True)
class Platt:
    """A logistic line on the log-odds (J. C. Platt, "Probabilistic outputs for support vector machines", 1999)."""

    slope: float
    intercept: float
    name: str = "Platt"

    def __call__(self, chances: Floats) -> Floats:
        line: Floats = expit(self.slope * _log_odds(chances) + self.intercept)
        return np.where(chances > 0, line, 0.0)

    @classmethod
    def fitted(cls, said: Floats, hits: Hits, weight: Floats | None = None) -> Platt:
        """The line of greatest likelihood; its slope is never negative, so that ranks are kept."""
        odds = _log_odds(said)
        # Platt's targets: a little short of certainty, so that pieces told apart without fault do not make it infinite.
        yes, no = float(hits.sum()), float((~hits).sum())
        hit = np.where(hits, (yes + 1) / (yes + 2), 1 / (no + 2))
        counts = np.ones(len(said)) if weight is None else weight

        def loss(line: Floats) -> tuple[float, Floats]:
            z = line[0] * odds + line[1]
            error = counts * (expit(z) - hit)
            surprise = counts * (np.logaddexp(0, z) - hit * z)
            return float(surprise.sum()), np.array([(error * odds).sum(), error.sum()])

        found = minimize(
            loss, np.array([1.0, 0.0]), jac=True, method="L-BFGS-B", bounds=[(0, None), (None, None)],
            options={"ftol": 1e-15, "gtol": 1e-10, "maxiter": 500},
        )  # fmt: skip
        return cls(float(found.x[0]), float(found.x[1]))


@dataclass(frozen=True)
class Isotonic:
    """A rising staircase through what came true, drawn straight between its steps.

    A staircase through few pieces has steps at nothing and at certainty. So that neither is said and ranks are kept,
    a small part of what was computed is mixed in.
    """

    steps: Floats
    heights: Floats
    mixed_in: float = 0.0
    name: str = "isotonic"

    def __call__(self, chances: Floats) -> Floats:
        drawn: Floats = np.interp(chances, self.steps, self.heights)
        drawn = (1 - self.mixed_in) * drawn + self.mixed_in * chances
        return np.where(chances > 0, drawn, 0.0)

    @classmethod
    def fitted(cls, said: Floats, hits: Hits, weight: Floats | None = None) -> Isotonic:
        """The rising staircase of least squared error; equal inputs share one height."""
        values, place = np.unique(said, return_inverse=True)
        counts = np.ones(len(said)) if weight is None else weight
        total = np.bincount(place, counts)
        mean = np.bincount(place, counts * hits) / total
        return cls(values, np.asarray(isotonic_regression(mean, weights=total).x, dtype=np.float64))


def _log_odds(chances: Floats) -> Floats:
    odds: Floats = logit(np.clip(chances, _EDGE, 1 - _EDGE))
    return odds


def shown(remedy: Remedy, chances: Floats) -> Floats:
    """What a remedy makes of a whole ranking: each answer mapped, then all made to add up to one again.

    Where the remedy leaves nothing of any answer, the ranking is shown as it was computed.
    """
    mapped = remedy(chances)
    total = mapped.sum(axis=-1, keepdims=True)
    return np.where(total > 0, mapped / np.where(total > 0, total, 1), chances)
