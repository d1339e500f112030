"""Random tables of recorded pieces, for tests and laws."""

from __future__ import annotations

import numpy as np

from kg.attribution.likelihood import Records


def random_records(
    seed: int,
    *,
    pieces: int = 120,
    makers: int = 9,
    features: int = 5,
    missing: float = 0.2,
    doubted: float = 0.2,
    habit: float = 0.5,
) -> Records:
    """Pieces drawn from makers with habits; the smaller ``habit``, the firmer they are."""
    chance = np.random.default_rng(seed)
    sizes = tuple(int(n) for n in chance.integers(2, 6, features))
    maker = chance.integers(0, makers, pieces).astype(np.int32)
    columns = []
    for size in sizes:
        habits = chance.dirichlet(np.full(size, habit), makers)
        columns.append(
            np.minimum((habits[maker].cumsum(axis=1) < chance.random((pieces, 1))).sum(axis=1), size - 1)
        )
    codes = np.stack(columns, axis=1).astype(np.int32)
    codes[chance.random(codes.shape) < missing] = -1
    period = chance.integers(-1, 3, makers).astype(np.int32)
    weight = np.where(chance.random(pieces) < doubted, 0.5, 1.0)
    belief = np.where(chance.random(codes.shape) < doubted / 2, 0.5, 1.0) if doubted else None
    return Records(maker, codes, sizes, makers, period, weight, belief)
