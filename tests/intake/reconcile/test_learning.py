"""Weights learned without labels: they find the classes that made the pairs, whatever the order."""

from __future__ import annotations

import numpy as np
import pytest

from kg.intake.reconcile.conventions import stated_weights
from kg.intake.reconcile.learning import (
    MISSING,
    Background,
    Learned,
    Levels,
    TooFewPairs,
    estimated_weights,
    learn,
)
from kg.intake.reconcile.people import COUNT, FIELDS, People

#: Shares of the levels of five fields among pairs of one thing and among others, from which pairs are made.
SAME = ((0.9, 0.08, 0.02), (0.8, 0.15, 0.05), (0.7, 0.2, 0.1), (0.85, 0.1, 0.05), (0.6, 0.3, 0.1))
OTHER = ((0.02, 0.03, 0.95), (0.1, 0.1, 0.8), (0.05, 0.05, 0.9), (0.04, 0.06, 0.9), (0.1, 0.2, 0.7))
LEVELS = (3,) * len(SAME)
EVERY = 200_000


def made(seed: int, same: int, other: int) -> tuple[Levels, np.ndarray]:
    dice = np.random.default_rng(seed)
    rows = [
        np.column_stack([dice.choice(3, size=n, p=p) for p in shares])
        for n, shares in ((same, SAME), (other, OTHER))
    ]
    return np.vstack(rows).astype(np.int64), np.repeat([True, False], (same, other))


def learned_from(levels: Levels) -> Learned:
    return learn(levels, LEVELS, Background(made(8, 0, 20_000)[0], EVERY))


def test_the_shares_that_made_the_pairs_are_found_again() -> None:
    levels, _ = made(7, 600, EVERY - 600)
    found = learned_from(levels)
    assert found.share == pytest.approx(600 / EVERY, rel=0.2)
    for shares, truth in zip((*found.among_the_same, *found.among_others), (*SAME, *OTHER), strict=True):
        assert shares == pytest.approx(truth, abs=0.06)


def test_pairs_are_told_apart_as_well_as_by_the_shares_that_made_them() -> None:
    levels, truth = made(7, 600, EVERY - 600)
    as_made = Learned(600 / EVERY, tuple(map(np.array, SAME)), tuple(map(np.array, OTHER)), 0)
    wrong = [int(((w.probabilities(levels) > 1 / 2) != truth).sum()) for w in (learned_from(levels), as_made)]
    assert wrong[0] <= 1.1 * wrong[1]
    assert wrong[1] < 100


def test_the_order_of_the_pairs_changes_nothing() -> None:
    levels, _ = made(7, 100, 2_000)
    forward, back = learned_from(levels), learned_from(levels[::-1])
    assert forward.share == back.share
    assert all(np.array_equal(a, b) for a, b in zip(forward.among_the_same, back.among_the_same, strict=True))


def test_a_field_that_is_not_known_says_nothing() -> None:
    found = learned_from(made(7, 100, 2_000)[0])
    weights = found.weights(np.array([[0, *[MISSING] * 4], [MISSING] * 5]))
    assert weights[1] == 0
    assert weights[0] == pytest.approx(10 * np.log10(found.among_the_same[0][0] / found.among_others[0][0]))


def test_no_pairs_are_refused() -> None:
    with pytest.raises(TooFewPairs, match="No pairs were found"):
        learn(np.empty((0, 5), dtype=np.int64), LEVELS, Background(made(8, 0, 10)[0], 45))


def test_weights_of_named_levels_are_learned_in_place_of_the_stated() -> None:
    near = [{"surname": "same", "forename": "same"}] * 150 + [
        {"surname": "same", "forename": "different"}
    ] * 350
    drawn = [{"surname": "different", "forename": "different"}] * 950 + [
        {"surname": "different", "forename": "same"}
    ] * 50
    weights = estimated_weights(near, drawn, 1_000_000, stated_weights())
    assert weights.of("surname", "same").weight > 20
    assert weights.of("forename", "different").weight < weights.of("forename", "same").weight
    assert "without labels" in weights.of("surname", "same").basis
    with pytest.raises(TooFewPairs, match="expected 200 of each"):
        estimated_weights(near[:5], drawn, 1_000, stated_weights())


def test_people_with_swapped_names_and_slips_are_matched_and_others_are_not() -> None:
    rows = [
        {
            "first": f"given{n}",
            "last": f"surname{n}",
            "born": f"19{n % 90 + 10}0{n % 9 + 1}11",
            "id": f"{n * 7919:07}",
        }
        for n in range(200)
    ]
    copies = [dict(row, first=row["last"], last=row["first"]) for row in rows[:20]]
    columns = {"given_name": "first", "surname": "last", "date_of_birth": "born", "social_security_id": "id"}
    assert set(columns) <= set(FIELDS)
    people = People.of([*rows, *copies], columns)
    pairs = list(people.pairs())
    found = {pair for pair, is_one in zip(pairs, people.matches(pairs), strict=True) if is_one}
    assert found == {(n, 200 + n) for n in range(20)}
    assert people.levels(pairs).shape == (len(pairs), len(COUNT))
