"""With exclusions, hierarchy, repeats and calibration off, a ranking is naive Bayes, as scikit-learn has it.

Sources: scikit-learn's ``CategoricalNB``; the penguins of Palmer Station (A. M. Horst, A. P. Hill and K. B. Gorman,
palmerpenguins, 2020), from the package of that name.
"""

from __future__ import annotations

import warnings
from importlib import import_module

import numpy as np
import numpy.typing as npt
import pytest

from kg.attribution.likelihood import Codes, Likelihood, Records, Smoothing
from kg.attribution.weight import Floats, normalised

# Imported by name: scikit-learn ships no types.
naive_bayes = import_module("sklearn.naive_bayes")


def log_posterior(codes: Codes, maker: Codes, sizes: tuple[int, ...], asked: Codes, flat: float) -> Floats:
    """The ranking of some rows by the product's own likelihood, without anything that naive Bayes lacks."""
    count = int(maker.max()) + 1
    records = Records.plain(maker, codes, sizes, count)
    learned = Likelihood.learned(records, Smoothing(is_hierarchical=False, flat=flat))
    columns = records.offsets[:-1] + asked
    scores = np.log(learned.chances)[:, columns].sum(axis=2).T + np.log(
        records.outputs / records.outputs.sum()
    )
    found: Floats = np.log(normalised(scores))
    return found


def judged(codes: Codes, maker: Codes, sizes: tuple[int, ...], asked: Codes, flat: float) -> Floats:
    judge = naive_bayes.CategoricalNB(alpha=flat, min_categories=list(sizes)).fit(codes, maker)
    found: Floats = judge.predict_log_proba(asked)
    return found


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("flat", [0.01, 0.5, 1.0, 3.0])
def test_log_posteriors_on_random_tables_are_those_of_naive_bayes(seed: int, flat: float) -> None:
    chance = np.random.default_rng(seed)
    rows, makers = int(chance.integers(20, 300)), int(chance.integers(2, 30))
    sizes = tuple(int(n) for n in chance.integers(2, 9, int(chance.integers(1, 12))))
    maker = np.concatenate([np.arange(makers), chance.integers(0, makers, rows)]).astype(np.int32)
    codes = np.stack([chance.integers(0, n, len(maker)) for n in sizes], axis=1).astype(np.int32)
    asked = np.stack([chance.integers(0, n, 50) for n in sizes], axis=1).astype(np.int32)
    ours, theirs = log_posterior(codes, maker, sizes, asked, flat), judged(codes, maker, sizes, asked, flat)
    assert np.abs(ours - theirs).max() < 1e-9


def penguins() -> tuple[Codes, Codes, tuple[int, ...]]:
    """The penguins whose every feature was measured, measurements cut into six equal shares."""
    palmerpenguins = import_module("palmerpenguins")
    with warnings.catch_warnings():
        # The package warns about the way in which it finds its own file.
        warnings.simplefilter("ignore")
        table = palmerpenguins.load_penguins().dropna()
    columns: list[npt.NDArray[np.int64]] = []
    for name in ("bill_length_mm", "bill_depth_mm", "flipper_length_mm", "body_mass_g"):
        edges = np.quantile(table[name].to_numpy(float), np.arange(1, 6) / 6)
        columns.append(np.searchsorted(edges, table[name].to_numpy(float)))
    for name in ("island", "sex"):
        columns.append(np.unique(table[name].to_numpy(str), return_inverse=True)[1])
    codes = np.stack(columns, axis=1).astype(np.int32)
    species = np.unique(table["species"].to_numpy(str), return_inverse=True)[1].astype(np.int32)
    return codes, species, tuple(int(n) for n in codes.max(axis=0) + 1)


def test_log_posteriors_on_the_penguins_are_those_of_naive_bayes() -> None:
    codes, species, sizes = penguins()
    assert codes.shape == (333, 6)
    asked, taught = codes[::3], np.arange(len(codes)) % 3 > 0
    ours = log_posterior(codes[taught], species[taught], sizes, asked, 1.0)
    theirs = judged(codes[taught], species[taught], sizes, asked, 1.0)
    assert np.abs(ours - theirs).max() < 1e-9
