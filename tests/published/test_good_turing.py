"""The unseen and the weight of evidence, against the published figures.

Source: W. A. Gale and G. Sampson, "Good–Turing frequency estimation without tears", Journal of Quantitative
Linguistics 2 (1995), 217–237: the prosody table of its worked example. The counts and the figures of the example
(30,902 observations, P0 = 0.003883, a line of slope -1.389374) are given from memory of the paper and of the program
that its authors published; that the counts add up to 30,902 confirms them.

Source: I. J. Good, "Studies in the history of probability and statistics XXXVII: A. M. Turing's statistical work in
World War II", Biometrika 66 (1979), 393–396: ban, deciban, and the example of the loaded die (from memory).
"""

from __future__ import annotations

import math

import pytest

from kg.attribution.good_turing import NothingCounted, simple_good_turing, unseen_makers, unseen_mass
from kg.attribution.weight import DECIBANS_PER_NAT, decibans

PROSODY = dict(
    zip(
        [
            *(
                1,
                2,
                3,
                4,
                5,
                6,
                7,
                8,
                9,
                10,
                12,
                14,
                15,
                16,
                17,
                19,
                20,
                21,
                23,
                24,
                25,
                26,
                27,
                28,
                31,
                32,
                33,
                34,
            ),
            *(
                36,
                41,
                43,
                45,
                46,
                47,
                50,
                71,
                84,
                101,
                105,
                121,
                124,
                146,
                162,
                193,
                199,
                224,
                226,
                254,
                257,
                339,
            ),
            *(421, 456, 481, 483, 1140, 1256, 1322, 1530, 2131, 2395, 6925, 7846),
        ],
        [
            *(
                120,
                40,
                24,
                13,
                15,
                5,
                11,
                2,
                2,
                1,
                3,
                2,
                1,
                1,
                3,
                1,
                3,
                2,
                3,
                3,
                3,
                2,
                2,
                1,
                2,
                2,
                1,
                2,
                2,
                3,
                1,
                3,
            ),
            *([1] * 30),
        ],
        strict=True,
    )
)


def test_the_table_of_the_worked_example_is_whole() -> None:
    assert sum(r * n for r, n in PROSODY.items()) == 30_902


def test_the_mass_of_the_unseen_is_that_of_the_worked_example() -> None:
    assert simple_good_turing(PROSODY).unseen == pytest.approx(120 / 30_902)
    assert round(simple_good_turing(PROSODY).unseen, 6) == 0.003883


def test_the_line_of_the_worked_example_has_the_published_slope() -> None:
    assert round(simple_good_turing(PROSODY).slope, 6) == -1.389374


def test_from_the_first_count_on_the_worked_example_uses_the_line() -> None:
    found = simple_good_turing(PROSODY)
    for r in (1, 2, 3, 5, 7846):
        assert found.adjusted[r] == pytest.approx(r * (1 + 1 / r) ** (found.slope + 1))


def test_seen_and_unseen_add_up_to_one() -> None:
    found = simple_good_turing(PROSODY)
    seen = sum(found.chances[r] * n for r, n in PROSODY.items())
    assert seen + found.unseen == pytest.approx(1, abs=1e-12)


def test_a_turing_estimate_that_differs_clearly_from_the_line_is_kept() -> None:
    counts = {1: 10_000, 2: 9_000, 3: 500, 4: 120, 5: 24, 6: 13}
    found = simple_good_turing(counts)
    assert found.adjusted[1] == pytest.approx(2 * 9_000 / 10_000)


def test_no_line_is_laid_through_one_count() -> None:
    with pytest.raises(NothingCounted):
        simple_good_turing({1: 4})


def test_the_unseen_mass_of_makers_is_that_of_the_single_ones() -> None:
    assert unseen_mass([1, 1, 2, 6]) == pytest.approx(0.2)
    assert unseen_mass([3, 7]) == pytest.approx(0.1)
    with pytest.raises(NothingCounted, match="Record pieces first"):
        unseen_mass([0, 0])


def test_the_number_of_unseen_makers_is_chaos_estimate_and_at_least_one() -> None:
    assert unseen_makers([1, 1, 1, 1, 2, 5]) == pytest.approx(4 * 3 / (2 * 2))
    assert unseen_makers([4, 5]) == 1


def test_a_factor_of_ten_is_a_ban_and_a_factor_of_five_to_four_about_a_deciban() -> None:
    assert decibans(10) == 10
    assert decibans(5 / 4) == pytest.approx(1, abs=0.04)
    assert math.log(10) * DECIBANS_PER_NAT == pytest.approx(10)


def test_a_six_from_a_die_loaded_to_a_third_weighs_three_decibans_and_no_six_one_against() -> None:
    assert decibans((1 / 3) / (1 / 6)) == pytest.approx(10 * math.log10(2))
    assert decibans((2 / 3) / (5 / 6)) == pytest.approx(10 * math.log10(4 / 5))
