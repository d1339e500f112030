"""Calibration figures and remedies, against scikit-learn's."""

from __future__ import annotations

from importlib import import_module

import numpy as np
import pytest
from scipy.special import logit

from kg.attribution.calibration import (
    Hits,
    Isotonic,
    Platt,
    brier,
    calibration_error,
    log_loss,
    reliability,
)
from kg.attribution.weight import Floats

# Imported by name: scikit-learn ships no types.
sklearn_calibration = import_module("sklearn.calibration")
sklearn_metrics = import_module("sklearn.metrics")
sklearn_isotonic = import_module("sklearn.isotonic")


def answers(seed: int, count: int = 500) -> tuple[Floats, Hits]:
    chance = np.random.default_rng(seed)
    said = chance.beta(1.2, 0.8, count)
    return said, chance.random(count) < said**1.5


@pytest.mark.parametrize("seed", range(5))
def test_the_bars_of_the_reliability_diagram_are_those_of_the_calibration_curve(seed: int) -> None:
    said, hits = answers(seed)
    true, mean = sklearn_calibration.calibration_curve(hits, said, n_bins=10, strategy="uniform")
    bars = reliability(said, hits)
    assert [bar.came_true for bar in bars] == pytest.approx(true.tolist())
    assert [bar.said for bar in bars] == pytest.approx(mean.tolist())


@pytest.mark.parametrize("seed", range(5))
def test_the_calibration_error_is_the_weighted_gap_of_the_calibration_curve(seed: int) -> None:
    said, hits = answers(seed)
    true, mean = sklearn_calibration.calibration_curve(hits, said, n_bins=10, strategy="uniform")
    counts = np.histogram(said, bins=np.linspace(0, 1, 11))[0]
    expected = float((counts[counts > 0] * np.abs(true - mean)).sum() / len(said))
    assert calibration_error(said, hits) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_brier_and_log_loss_are_those_of_the_judge(seed: int) -> None:
    chance = np.random.default_rng(seed)
    chances = chance.dirichlet(np.full(6, 0.7), 300)
    truth = np.array([chance.choice(6, p=row) for row in chances])
    assert log_loss(chances, truth) == pytest.approx(
        sklearn_metrics.log_loss(truth, chances, labels=list(range(6))), abs=1e-9
    )
    by_answer = [sklearn_metrics.brier_score_loss(truth == k, chances[:, k]) for k in range(6)]
    assert brier(chances, truth) == pytest.approx(sum(by_answer), abs=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_the_isotonic_staircase_is_that_of_the_judge(seed: int) -> None:
    said, hits = answers(seed)
    judge = sklearn_isotonic.IsotonicRegression(out_of_bounds="clip").fit(said, hits.astype(float))
    asked = np.linspace(0.001, 0.999, 300)
    assert np.abs(Isotonic.fitted(said, hits)(asked) - judge.predict(asked)).max() < 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_platts_line_is_the_sigmoid_of_the_judge(seed: int) -> None:
    said, hits = answers(seed)
    judge = sklearn_calibration._SigmoidCalibration().fit(logit(said), hits)
    asked = np.linspace(0.001, 0.999, 300)
    assert np.abs(Platt.fitted(said, hits)(asked) - judge.predict(logit(asked))).max() < 1e-4
