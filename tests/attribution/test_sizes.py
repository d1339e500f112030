"""Heights and size numbers: each maker's own series, in millimetres, without shoes and wig."""

from __future__ import annotations

import math

import pytest
from scipy.stats import linregress

from kg.attribution.sizes import LEAST_SPREAD, Series, learned_sizes, measured, size_of
from kg.daybook.record import Thing
from tests.attribution.trade import SWIVEL, says, trade


def test_a_line_is_that_of_least_squares_with_its_spread() -> None:
    points = [(1.0, 250.0), (2.0, 330.0), (3.0, 350.0), (4.0, 470.0), (5.0, 480.0)]
    line = Series.fitted(points)
    judge = linregress([size for size, _ in points], [height for _, height in points])
    assert line is not None
    assert line.slope == pytest.approx(judge.slope)
    assert line.intercept == pytest.approx(judge.intercept)
    rest = [height - judge.intercept - judge.slope * size for size, height in points]
    assert line.spread == pytest.approx(math.sqrt(sum(r * r for r in rest) / 3))


def test_an_exact_chart_still_leaves_room_for_kid_that_stretches() -> None:
    line = Series.fitted([(1, 200), (2, 300), (3, 400)])
    assert line is not None
    assert line.spread == pytest.approx(LEAST_SPREAD * 300)


@pytest.mark.parametrize("points", [[], [(1.0, 200.0)], [(2.0, 200.0)] * 5])
def test_too_few_points_or_one_size_make_no_line(points: list[tuple[float, float]]) -> None:
    assert Series.fitted(points) is None


def test_the_same_size_number_is_another_height_elsewhere() -> None:
    book = trade()
    book.add(
        things=[Thing("chart-a", ("SizeChart",), "a"), Thing("chart-b", ("SizeChart",), "b")],
        drafts=[
            says("chart-a", "chartOf", "brumelow"),
            *(says("chart-a", "chartLists", line) for line in ("2: 300 mm", "4: 400 mm", "6: 500 mm")),
            says("chart-b", "chartOf", "tarn"),
            *(says("chart-b", "chartLists", line) for line in ("2: 400 mm", "4: 600 mm", "6: 800 mm")),
            says("lady", "heightMm", "405"),
            says("lady", "sizeNumber", "4"),
        ],
    )
    view = book.view()
    sizes, seen = learned_sizes(view, {}), measured(view, "lady")
    assert seen is not None
    assert sizes.log_ratio("brumelow", seen) > 0 > sizes.log_ratio("tarn", seen)
    assert sizes.log_ratio("ottery", seen) == 0


def test_a_height_with_shoes_is_not_compared_and_one_without_a_size_says_nothing() -> None:
    book = trade()
    book.add(drafts=[says("lady", "heightMm", "405")])
    seen = measured(book.view(), "lady")
    assert seen is not None
    assert learned_sizes(book.view(), {}).log_ratio("brumelow", seen) == 0
    book.add(drafts=[says("lady", "heightIncludes", "shoes")])
    assert measured(book.view(), "lady") is None
    book.lady(SWIVEL)
    assert measured(book.view(), "brumelow") is None


def test_sizes_below_one_count_downwards() -> None:
    assert [size_of(t) for t in ("3/0", "2/0", "0", "1", "no. 7", "grande")] == [-2, -1, 0, 1, 7, None]
