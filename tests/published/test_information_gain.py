"""The expected information gain of a look is mutual information: against scikit-learn's."""

from __future__ import annotations

from importlib import import_module

import numpy as np
import pytest

from kg.attribution.next_look import information_gain

# Imported by name: scikit-learn ships no types.
cluster = import_module("sklearn.metrics.cluster")


@pytest.mark.parametrize("seed", range(20))
def test_the_gain_is_the_mutual_information_of_maker_and_value(seed: int) -> None:
    chance = np.random.default_rng(seed)
    makers, values = int(chance.integers(2, 40)), int(chance.integers(2, 12))
    # The judge counts in whole numbers, so the chances are given as counts of a large table.
    table = chance.integers(0, 10_000, (makers, values)) * (chance.random((makers, values)) < 0.7)
    table[:, 0] += 1
    chances, likelihoods = table.sum(axis=1) / table.sum(), table / table.sum(axis=1, keepdims=True)
    nats = cluster.mutual_info_score(None, None, contingency=table)
    assert information_gain(chances, likelihoods) * np.log(2) == pytest.approx(nats, abs=1e-12)


def test_counted_pairs_give_the_same_as_their_labels() -> None:
    chance = np.random.default_rng(7)
    maker, value = chance.integers(0, 5, 400), chance.integers(0, 4, 400)
    table = np.zeros((5, 4))
    np.add.at(table, (maker, value), 1)
    gain = information_gain(table.sum(axis=1) / 400, table / table.sum(axis=1, keepdims=True))
    assert gain * np.log(2) == pytest.approx(cluster.mutual_info_score(maker, value), abs=1e-12)


def test_a_look_that_finds_the_same_with_every_maker_gains_nothing() -> None:
    assert information_gain(np.array([0.2, 0.8]), np.array([[0.3, 0.7], [0.3, 0.7]])) == 0


def test_a_look_that_settles_one_of_four_equal_makers_gains_two_bits() -> None:
    assert information_gain(np.full(4, 0.25), np.eye(4)) == pytest.approx(2)
