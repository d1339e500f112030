"""Weight of evidence in decibans, and the steps between weights, odds and probabilities.

The weight of evidence for a hypothesis is the logarithm of its Bayes factor; ten decibans multiply the odds by ten
(I. J. Good, "Studies in the history of probability and statistics XXXVII: A. M. Turing's statistical work in World
War II", Biometrika 66, 1979).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Natural units of evidence to decibans.
DECIBANS_PER_NAT = 10 / math.log(10)


def decibans(factor: float) -> float:
    """The weight of evidence of a Bayes factor.

    >>> round(decibans(2), 2), round(decibans(4 / 5), 2)
    (3.01, -0.97)
    """
    return 10 * math.log10(factor)


def normalised(logs: Floats) -> Floats:
    """Probabilities along the last axis from logarithms up to a constant; -inf is impossible.

    Where everything is impossible, nothing has any probability.

    >>> normalised(np.log(np.array([1.0, 3.0]))).tolist()
    [0.25, 0.75]
    """
    top = logs.max(axis=-1, keepdims=True)
    raised = np.exp(logs - np.where(np.isfinite(top), top, 0))
    total = raised.sum(axis=-1, keepdims=True)
    shares: Floats = np.divide(raised, total, out=np.zeros_like(raised), where=total > 0)
    return shares
