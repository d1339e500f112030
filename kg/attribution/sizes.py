"""Heights and size numbers: what a maker's recorded sizes say of a measured height, in millimetres.

A size number belongs to one maker's own series. From the maker's chart and its recorded pieces a straight line of
height on size is laid, with its spread: kid stretches and stringing sags, so a height differs from its chart by a few
per cent (common practice, no source). A height that includes shoes, wig or hat is not compared.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from kg.attribution.observations import unit_of
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: The least spread of heights about a chart, as a share of the height (common practice, no source).
LEAST_SPREAD = 0.03
#: Fewer points than this, and no line is laid.
LEAST_POINTS = 3
_LISTED = re.compile(r"\s*([0-9]+(?:/0)?)\s*:\s*([0-9]+)\s*mm\s*")
_SIZE = re.compile(r"\s*(?:no\.?\s*)?([0-9]+)(/0)?\s*", re.IGNORECASE)

Point = tuple[float, float]


def size_of(text: str) -> float | None:
    """A size number as a place in its series; sizes below one are written 0, 2/0, 3/0 and so on.

    >>> size_of("4"), size_of("0"), size_of("2/0"), size_of("petite")
    (4.0, 0.0, -1.0, None)
    """
    found = _SIZE.fullmatch(text)
    if found is None:
        return None
    number = float(found[1])
    return 1 - number if found[2] else number


@dataclass(frozen=True, slots=True)
class Measured:
    """The height and size number of a piece, with the claims that give them."""

    height_mm: float
    size: float | None
    claims: tuple[Claim, ...]


def measured(view: WorkingView, piece: str) -> Measured | None:
    """What was measured on a piece; None if nothing, or if the height includes shoes, wig or hat."""
    said = [claim for thing in unit_of(view, piece) for claim in view.by_subject.get(thing, ())]
    heights = [c for c in said if c.property == "heightMm" and c.subject == piece]
    if not heights or any(c.property == "heightIncludes" and c.subject == piece for c in said):
        return None
    sizes = [c for c in said if c.property == "sizeNumber" and size_of(c.value) is not None]
    height = float(np.median([float(c.value) for c in heights]))
    return Measured(height, size_of(sizes[0].value) if sizes else None, (*heights, *sizes))


@dataclass(frozen=True)
class Series:
    """A straight line of height on size with its spread, by least squares."""

    points: int
    intercept: float
    slope: float
    spread: float
    mean: float
    scatter: float
    """The sum of squared distances of the sizes from their mean."""

    @classmethod
    def fitted(cls, points: Sequence[Point]) -> Series | None:
        """The line through some sizes and heights; None where there are too few, or only one size."""
        sizes = np.array([size for size, _ in points], dtype=np.float64)
        heights = np.array([height for _, height in points], dtype=np.float64)
        if len(points) < LEAST_POINTS or len(set(sizes.tolist())) < 2:
            return None
        slope, intercept = np.polyfit(sizes, heights, 1)
        rest = heights - (intercept + slope * sizes)
        spread = math.sqrt(float((rest**2).sum()) / (len(points) - 2)) if len(points) > 2 else 0.0
        spread = max(spread, LEAST_SPREAD * float(heights.mean()))
        mean = float(sizes.mean())
        return cls(
            len(points), float(intercept), float(slope), spread, mean, float(((sizes - mean) ** 2).sum())
        )

    def log_density(self, height_mm: float, size: float) -> float:
        """The logarithm of the chance of a height at a size, by the predictive t distribution of the line."""
        width = self.spread * math.sqrt(1 + 1 / self.points + (size - self.mean) ** 2 / self.scatter)
        expected = self.intercept + self.slope * size
        return float(student.logpdf(height_mm, max(1, self.points - 2), loc=expected, scale=width))


@dataclass(frozen=True)
class Sizes:
    """The series of each maker, and the heights of the trade as a whole."""

    series: Mapping[str, Series]
    trade: Series | None
    log_mean: float
    log_spread: float
    height_count: int

    def log_ratio(self, maker: str, seen: Measured) -> float:
        """How much likelier the height is at that size in a maker's series than in the trade as a whole (natural log).

        Without a size number, or without a series of the maker, a height says nothing: every maker made small and
        large dolls.
        """
        line = self.series.get(maker)
        if line is None or seen.size is None:
            return 0.0
        return line.log_density(seen.height_mm, seen.size) - self.log_trade(seen)

    def log_trade(self, seen: Measured) -> float:
        """The logarithm of the chance of the height in the trade, at its size if the trade's sizes allow a line."""
        if self.trade is not None and seen.size is not None:
            return self.trade.log_density(seen.height_mm, seen.size)
        z = (math.log(seen.height_mm) - self.log_mean) / self.log_spread
        return -z * z / 2 - math.log(self.log_spread * seen.height_mm * math.sqrt(2 * math.pi))


def learned_sizes(view: WorkingView, rows_of: Mapping[str, Sequence[str]]) -> Sizes:
    """The series of each maker, from its charts and its recorded pieces (``rows_of``: the pieces of each maker)."""
    points: dict[str, list[Point]] = defaultdict(list)
    heights = []
    for maker, pieces in rows_of.items():
        for piece in pieces:
            seen = measured(view, piece)
            if seen is not None:
                heights.append(math.log(seen.height_mm))
                if seen.size is not None:
                    points[maker].append((seen.size, seen.height_mm))
    for maker, listed in charts(view).items():
        points[maker] += listed
    series = {maker: line for maker, some in points.items() if (line := Series.fitted(some)) is not None}
    spread = float(np.std(heights)) if len(heights) > 1 else 1.0
    mean = float(np.mean(heights)) if heights else math.log(400)
    trade = Series.fitted([point for some in points.values() for point in some])
    return Sizes(series, trade, mean, max(spread, LEAST_SPREAD), len(heights))


def charts(view: WorkingView) -> dict[str, list[Point]]:
    """The sizes and heights that each maker's recorded size charts list."""
    found: dict[str, list[Point]] = defaultdict(list)
    for claim in view.live:
        if claim.property == "chartOf":
            for line in view.by_subject.get(claim.subject, ()):
                listed = _LISTED.fullmatch(line.value) if line.property == "chartLists" else None
                size = size_of(listed[1]) if listed else None
                if listed is not None and size is not None:
                    found[claim.value].append((size, float(listed[2])))
    return found
