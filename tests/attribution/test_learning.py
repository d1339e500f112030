"""Learning from recorded pieces: smoothing, repeats, leaving out, calibration."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kg.attribution.calibration import AsComputed, Isotonic, Platt, shown
from kg.attribution.dependence import likeness, shares
from kg.attribution.held_out import _unseen_odds, calibrate, doubt_of, doubted, leave_one_out
from kg.attribution.likelihood import Likelihood, Records
from kg.attribution.weight import Floats, normalised
from tests.attribution.tables import random_records


def test_a_maker_with_three_recorded_pieces_does_not_win_by_accident() -> None:
    """Three pieces that all show a rare value weigh less than thirty of which most do."""
    maker = np.array([0] * 3 + [1] * 30 + [2] * 300, dtype=np.int32)
    rare = [1] * 3 + [1] * 27 + [0] * 3 + [0] * 290 + [1] * 10
    records = Records.plain(maker, np.array(rare, dtype=np.int32)[:, None], (2,), 3)
    flat = Likelihood.learned(records)
    firm = replace(flat, to_period=np.array([4.0]))
    assert firm.chances[0, 1] < firm.chances[1, 1]
    assert firm.chances[0, 1] > firm.trade[1]


def test_a_maker_without_recorded_pieces_is_like_its_period_and_without_one_like_the_trade() -> None:
    records = random_records(3)
    maker = np.where(records.maker == 0, 1, records.maker).astype(np.int32)
    period = records.period.copy()
    period[0] = -1
    learned = Likelihood.learned(replace(records, maker=maker, period=period))
    assert np.allclose(learned.chances[0], learned.trade)
    period = period.copy()
    period[0] = period[2] = 1
    learned = Likelihood.learned(replace(records, maker=maker, period=period))
    assert np.allclose(learned.chances[0], learned._periods(0.0, 0.0)[1])
    assert not np.allclose(learned.chances[0], learned.trade)


def test_the_chances_of_every_maker_add_up_to_one_for_every_feature() -> None:
    learned = Likelihood.learned(random_records(4))
    starts = learned.records.offsets[:-1]
    assert np.allclose(np.add.reduceat(learned.chances, starts, axis=1), 1)
    assert np.allclose(np.add.reduceat(learned.trade, starts), 1)


def test_a_doubted_piece_counts_half_of_a_held_one() -> None:
    records = random_records(5, doubted=0)
    twice = Records(
        np.concatenate([records.maker, records.maker]),
        np.concatenate([records.codes, records.codes]),
        records.sizes,
        records.maker_count,
        records.period,
        np.full(2 * len(records.maker), 0.5),
    )
    assert np.allclose(Likelihood.learned(records).chances, Likelihood.learned(twice).chances)


def test_a_doubted_observation_counts_half_in_what_is_learned_and_the_rest_of_the_piece_in_full() -> None:
    maker = np.zeros(4, dtype=np.int32)
    codes = np.array([[0, 0], [0, 0], [1, 0], [1, 1]], dtype=np.int32)
    belief = np.array([[1, 1], [1, 1], [1, 1], [0.5, 1]])
    records = Records(maker, codes, (2, 2), 1, np.full(1, -1, np.int32), np.ones(4), belief)
    learned = Likelihood.learned(records)
    assert learned.counts.tolist() == [[2, 1.5, 3, 1]]
    assert learned.totals.tolist() == [[3.5, 4]]
    assert records.outputs.tolist() == [4]


def left_out_by_hand(learned: Likelihood, row: int, share: Floats) -> Floats:
    """A ranking of one piece from all the others, learned anew under the same strengths."""
    records = learned.records
    rest = np.arange(len(records.maker)) != row
    others = records.rows(np.flatnonzero(rest))
    bare = Likelihood.learned(others)
    again = replace(bare, to_period=learned.to_period, to_trade=learned.to_trade)
    seen = np.flatnonzero(records.codes[row] >= 0)
    columns = records.offsets[seen] + records.codes[row, seen]
    table = np.log(np.vstack([again.chances, again.trade]))[:, columns] @ share[seen]
    outputs = others.outputs
    odds = _unseen_odds(outputs, np.zeros(1), np.zeros(1))
    with np.errstate(divide="ignore"):
        return normalised(table + np.log(np.append(outputs, odds)))


@pytest.mark.parametrize("seed", range(4))
def test_leaving_one_out_in_closed_form_is_leaving_one_out_by_hand(seed: int) -> None:
    records = random_records(seed, pieces=60, makers=12)
    learned = Likelihood.learned(records)
    share = np.array([1.0, 0.5, 1.0, 0.25, 1.0])
    held = leave_one_out(learned, share)
    assert held.kept.tolist() == list(range(60))
    for row in range(60):
        assert held.chances[row] == pytest.approx(left_out_by_hand(learned, row, share), abs=2e-5)


def test_the_truth_of_a_makers_only_piece_is_a_maker_not_in_the_daybook() -> None:
    records = random_records(8, pieces=40, makers=5, doubted=0)
    alone = replace(
        records,
        maker=np.append(records.maker, 5).astype(np.int32),
        codes=np.vstack([records.codes, records.codes[:1]]),
        weight=np.append(records.weight, 1.0),
        period=np.append(records.period, 0).astype(np.int32),
        maker_count=6,
    )
    held = leave_one_out(Likelihood.learned(alone), np.ones(5))
    assert held.truth[-1] == 6
    assert held.chances[-1, 5] == 0


def test_figures_are_those_of_the_rankings() -> None:
    held = leave_one_out(Likelihood.learned(random_records(11)), np.ones(5))
    own = held.chances[np.arange(held.count), held.truth]
    assert held.own == pytest.approx(own)
    assert held.top == pytest.approx(held.chances.max(axis=1))
    assert held.rank.tolist() == (1 + (held.chances > own[:, None]).sum(axis=1)).tolist()
    onehot = np.eye(held.chances.shape[1])[held.truth]
    assert held.squares == pytest.approx(((held.chances - onehot) ** 2).sum(axis=1), abs=1e-5)


# ---------------------------------------------------------------- repeats


def with_copy(records: Records, column: int) -> Records:
    return replace(
        records,
        codes=np.hstack([records.codes, records.codes[:, [column]]]),
        sizes=(*records.sizes, records.sizes[column]),
    )


@pytest.mark.parametrize("seed", range(5))
def test_a_feature_that_repeats_another_changes_no_ranking(seed: int) -> None:
    records = random_records(seed, pieces=1_500, makers=30, doubted=0)
    twice = with_copy(records, 2)
    one, two = Likelihood.learned(records), Likelihood.learned(twice)
    counted_once, counted = shares(likeness(records)), shares(likeness(twice))
    assert counted[2] + counted[-1] == pytest.approx(counted_once[2])
    before, after = leave_one_out(one, counted_once), leave_one_out(two, counted)
    assert np.abs(before.chances - after.chances).max() < 1e-5
    naive = leave_one_out(two, np.ones(6))
    assert np.abs(before.chances - naive.chances).max() > 0.05


@pytest.mark.parametrize("seed", range(5))
def test_features_that_vary_independently_within_makers_each_count_in_full(seed: int) -> None:
    records = random_records(seed, pieces=1_500, makers=30, habit=0.3)
    assert shares(likeness(records)).tolist() == [1.0] * 5


def test_a_wig_and_its_pate_that_mostly_go_together_count_for_little_more_than_one() -> None:
    chance = np.random.default_rng(2)
    maker = chance.integers(0, 20, 2_000).astype(np.int32)
    wig = chance.integers(0, 3, 2_000)
    pate = np.where(chance.random(2_000) < 0.95, wig, chance.integers(0, 3, 2_000))
    other = chance.integers(0, 3, 2_000)
    records = Records.plain(maker, np.stack([wig, pate, other], axis=1).astype(np.int32), (3, 3, 3), 20)
    counted = shares(likeness(records))
    assert 1.0 <= counted[0] + counted[1] < 1.25
    assert counted[2] == 1.0


def test_features_declared_to_repeat_each_other_count_once_however_few_pieces_are_recorded() -> None:
    records = random_records(6, pieces=8)
    assert shares(likeness(records, [(0, 1)])).tolist() == pytest.approx([0.5, 0.5, 1, 1, 1])


def test_shares_are_never_negative_or_more_than_one() -> None:
    chance = np.random.default_rng(3)
    for _ in range(50):
        alike = np.triu(chance.random((6, 6)) * 0.9, 1)
        counted = shares(alike + alike.T + np.eye(6))
        assert (counted >= 0).all()
        assert (counted <= 1).all()


# ---------------------------------------------------------------- calibration


def test_a_ranking_that_says_too_much_is_brought_down_and_its_error_with_it() -> None:
    records = random_records(1, pieces=900, makers=8, habit=2.0, doubted=0)
    trebled = replace(records, codes=np.hstack([records.codes] * 3), sizes=records.sizes * 3)
    held = leave_one_out(Likelihood.learned(trebled), np.ones(15))
    found = calibrate(held)
    assert found.error_as_computed > 0.1
    assert found.error < found.error_as_computed / 2
    assert found.remedy.name in ("Platt", "isotonic")


@pytest.mark.parametrize(
    "remedy", [AsComputed(), Platt(0.7, -0.3), Isotonic(np.array([0.1, 0.5]), np.array([0.2, 0.4]))]
)
def test_what_is_shown_adds_up_to_one_keeps_the_order_and_leaves_nothing_at_nothing(
    remedy: AsComputed | Platt | Isotonic,
) -> None:
    chances = np.array([[0.6, 0.3, 0.1, 0.0]])
    found = shown(remedy, chances)
    assert found.sum() == pytest.approx(1)
    assert found[0, 3] == 0
    assert (np.diff(found[0]) <= 0).all()


def test_what_a_remedy_empties_is_shown_as_it_was_computed() -> None:
    flat = Isotonic(np.array([0.0, 1.0]), np.array([0.0, 0.0]))
    assert shown(flat, np.array([[0.7, 0.3]])).tolist() == [[0.7, 0.3]]


def test_sure_answers_that_often_fail_leave_their_excess_to_the_prior() -> None:
    chances = np.tile([0.96, 0.04], (18, 1))
    truth = np.array([0] * 14 + [1] * 4)
    doubt = doubt_of(chances, truth)
    assert doubt == pytest.approx(1 - (15 / 20) / 0.96)
    assert doubted(chances[0], np.array([0.0, 1.0]), doubt)[0] == pytest.approx(0.75)
    assert doubt_of(np.tile([0.6, 0.4], (18, 1)), truth) == 0.0
    assert doubt_of(chances[:0], truth[:0]) == 0.0
