"""Laws of attribution, for whatever tables and evidence Hypothesis thinks of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.attribution.calibration import AsComputed, Isotonic, Platt, Remedy, calibration_error, shown
from kg.attribution.candidates import weigh
from kg.attribution.evidence import Evidence
from kg.attribution.exclusions import Exclusion
from kg.attribution.good_turing import unseen_mass
from kg.attribution.held_out import Calibration
from kg.attribution.inquiry import Inquiry, Settings
from kg.attribution.likelihood import Likelihood
from kg.attribution.next_look import information_gain
from kg.attribution.weight import Floats
from tests.attribution.tables import random_records

MAKERS = 6
weights = st.lists(st.floats(-6, 6), min_size=MAKERS, max_size=MAKERS)
remedies = st.one_of(
    st.just(AsComputed()),
    st.builds(Platt, st.floats(0.2, 2), st.floats(-2, 2)),
    st.builds(
        lambda low, high: Isotonic(np.array([0.05, 0.9]), np.array([low, max(low, high)]), 0.01),
        st.floats(0.0, 0.5),
        st.floats(0.5, 1.0),
    ),
)


@dataclass
class Recorded:
    """Stands for the recorded pieces where only the names of the makers matter."""

    makers: tuple[str, ...]


@dataclass
class Stand:
    """Stands for an inquiry in `weigh`, with a prior and a calibration of the law's choosing."""

    log_prior: Floats
    calibration: Calibration
    recorded: Recorded
    settings: Settings


@st.composite
def inquiries(draw: st.DrawFn) -> Inquiry:
    prior = np.array(draw(st.lists(st.floats(0.05, 1), min_size=MAKERS + 1, max_size=MAKERS + 1)))
    remedy: Remedy = draw(remedies)
    figures = Calibration(draw(st.integers(30, 500)), 0, 0, 0, 0, 0, 0, 0, remedy, ())
    names = tuple(f"maker-{n}" for n in range(MAKERS))
    stand = Stand(np.log(prior / prior.sum()), figures, Recorded(names), Settings())
    return cast(Inquiry, stand)


def seen(logs: list[float], name: str, column: int) -> Evidence:
    return Evidence("feature" if column >= 0 else "mark", name, name, "", np.array(logs), (), (), column)


@st.composite
def bodies_of_evidence(draw: st.DrawFn) -> tuple[Evidence, ...]:
    each = draw(st.lists(st.tuples(weights, st.booleans()), min_size=0, max_size=5))
    return tuple(seen(logs, f"e{n}", -1 if is_mark else n) for n, (logs, is_mark) in enumerate(each))


@given(inquiries(), bodies_of_evidence(), st.booleans())
def test_an_observation_equally_likely_under_all_candidates_changes_nothing(
    inquiry: Inquiry, evidence: tuple[Evidence, ...], is_mark: bool
) -> None:
    idle = seen([0.0] * MAKERS, "idle", -1 if is_mark else 99)
    before, after = weigh(inquiry, evidence, {}), weigh(inquiry, (*evidence, idle), {})
    assert np.allclose(before[0], after[0], atol=1e-12)


@given(inquiries(), bodies_of_evidence(), st.randoms(use_true_random=False))
def test_the_order_of_observations_does_not_matter(
    inquiry: Inquiry, evidence: tuple[Evidence, ...], chance: object
) -> None:
    mixed = list(evidence)
    chance.shuffle(mixed)  # type: ignore[attr-defined]  # Hypothesis types its random source loosely
    assert np.allclose(weigh(inquiry, evidence, {})[0], weigh(inquiry, tuple(mixed), {})[0], atol=1e-12)


@given(inquiries(), bodies_of_evidence(), st.sets(st.integers(0, MAKERS - 1)), st.integers(0, MAKERS - 1))
def test_adding_a_certain_exclusion_never_lowers_the_others(
    inquiry: Inquiry, evidence: tuple[Evidence, ...], ruled_out: set[int], further: int
) -> None:
    def without(numbers: set[int]) -> Floats:
        return weigh(inquiry, evidence, {f"maker-{n}": Exclusion(f"maker-{n}", (), False) for n in numbers})[
            0
        ]

    before, after = without(ruled_out), without(ruled_out | {further})
    others = [n for n in range(MAKERS + 1) if n != further]
    assert (after[others] >= before[others] - 1e-12).all()
    assert after[further] == 0


@given(inquiries(), bodies_of_evidence(), st.sets(st.integers(0, MAKERS - 1)))
def test_probabilities_add_up_to_one_and_a_maker_not_in_the_daybook_is_never_ruled_out(
    inquiry: Inquiry, evidence: tuple[Evidence, ...], ruled_out: set[int]
) -> None:
    excluded = {f"maker-{n}": Exclusion(f"maker-{n}", (), False) for n in ruled_out}
    chances, _ = weigh(inquiry, evidence, excluded)
    assert np.isclose(chances.sum(), 1)
    assert chances[-1] >= 1 / (inquiry.calibration.pieces + 2) - 1e-12


@given(inquiries(), weights, st.integers(0, MAKERS - 1), st.floats(0.1, 5))
def test_more_weight_for_a_maker_never_lowers_it(
    inquiry: Inquiry, logs: list[float], maker: int, more: float
) -> None:
    stronger = [log + more * (n == maker) for n, log in enumerate(logs)]
    for column in (0, -1):
        before = weigh(inquiry, (seen(logs, "e", column),), {})[0]
        after = weigh(inquiry, (seen(stronger, "e", column),), {})[0]
        assert after[maker] >= before[maker] - 1e-12


@given(st.integers(0, 10_000))
@settings(max_examples=25)
def test_the_order_of_recorded_pieces_does_not_matter(seed: int) -> None:
    records = random_records(seed, pieces=50)
    order = np.random.default_rng(seed).permutation(50)
    mixed = records.rows(order)
    assert np.allclose(Likelihood.learned(records).chances, Likelihood.learned(mixed).chances)


@given(st.integers(0, 10_000))
@settings(max_examples=25)
def test_chances_are_chances_and_lie_between_a_makers_own_share_and_what_it_leans_on(seed: int) -> None:
    learned = Likelihood.learned(random_records(seed, pieces=50))
    parents = learned._parents(learned._periods(0.0, 0.0), learned.trade)
    totals = learned._spread(learned.totals)
    own = np.divide(learned.counts, totals, out=parents.copy(), where=totals > 0)
    low, high = np.minimum(own, parents), np.maximum(own, parents)
    assert (learned.chances > 0).all()
    assert ((learned.chances >= low - 1e-12) & (learned.chances <= high + 1e-12)).all()


@given(st.lists(st.integers(0, 20), min_size=1, max_size=40).filter(any))
def test_the_unseen_mass_is_a_chance_and_never_nothing(outputs: list[int]) -> None:
    assert 0 < unseen_mass(outputs) <= 1


chance_lists = st.lists(st.floats(0.01, 1), min_size=2, max_size=6)


@given(chance_lists, st.integers(0, 10_000))
def test_a_look_never_costs_knowledge_and_never_gives_more_than_the_doubt(
    raw: list[float], seed: int
) -> None:
    chances = np.array(raw) / sum(raw)
    likelihoods = np.random.default_rng(seed).dirichlet(np.full(4, 0.5), len(raw))
    doubt = float(-(chances * np.log2(chances)).sum())
    assert 0 <= information_gain(chances, likelihoods) <= doubt + 1e-9


@given(remedies, chance_lists)
def test_a_remedy_keeps_ranks_and_adds_up_to_one(remedy: Remedy, raw: list[float]) -> None:
    chances = np.array(raw) / sum(raw)
    found = shown(remedy, chances[None, :])[0]
    assert np.isclose(found.sum(), 1)
    order = np.argsort(chances)
    assert (np.diff(found[order]) >= -1e-12).all()


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60))
def test_the_calibration_error_is_between_nothing_and_one(pairs: list[tuple[float, bool]]) -> None:
    said, hits = np.array([p for p, _ in pairs]), np.array([h for _, h in pairs])
    assert 0 <= calibration_error(said, hits) <= 1
