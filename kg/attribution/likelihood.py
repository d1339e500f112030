"""How often each maker's recorded pieces show each value, smoothed towards the period and the trade as a whole.

This module knows numbers only: makers, features and values are columns and codes. A maker's chance of a value is

    (pieces of the maker with the value + a · chance in the maker's period) / (pieces of the maker + a)

and the chance in a period is built from the trade's in the same way, so a maker with three recorded pieces leans on
the period, and a period with few on the trade. The strength a of the leaning is learned for each feature from the
recorded pieces: the one under which each piece is best foretold from the others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from kg.attribution.weight import Floats

Codes = npt.NDArray[np.int32]

#: Strengths of leaning that are tried for each feature, in recorded pieces. Half a piece is the least (as below): a
#: value that none of a maker's n pieces shows is then never less likely than one (2n + 1)th of what the maker leans on.
#: That costs a little held-out log loss, and keeps few pieces from speaking too surely against a maker.
STRENGTHS: Floats = np.exp2(np.arange(-1, 9, dtype=np.float64))
#: Added to each value's count in the trade as a whole, so that nothing is impossible before it is seen (the estimator
#: of Krichevsky and Trofimov 1981).
TRADE_FLOOR = 0.5
#: The lowest chance that is ever used; below it differences are noise.
_LEAST = 1e-300


@dataclass(frozen=True)
class Records:
    """The recorded pieces as a table: one row a piece, one column a feature."""

    maker: Codes
    """The number of each piece's maker."""
    codes: Codes
    """The code of each feature's value; -1 where nothing was seen."""
    sizes: tuple[int, ...]
    """How many values each feature has."""
    maker_count: int
    period: Codes
    """The period of each maker; -1 where none is known."""
    weight: Floats
    """What each row counts: one, or less where the maker is doubted."""
    belief: Floats | None = None
    """By row and feature: how far what was seen is believed; None where all of it is believed in full."""

    def __post_init__(self) -> None:
        if self.codes.shape != (len(self.maker), len(self.sizes)):
            raise ValueError(
                f"{self.codes.shape} codes for {len(self.maker)} pieces and {len(self.sizes)} features"
            )

    @classmethod
    def plain(cls, maker: Codes, codes: Codes, sizes: tuple[int, ...], maker_count: int) -> Records:
        """A table whose rows all count one and whose makers belong to no period."""
        return cls(maker, codes, sizes, maker_count, np.full(maker_count, -1, np.int32), np.ones(len(maker)))

    @cached_property
    def cells(self) -> Floats:
        """By row and feature: what the value counts."""
        whole = np.broadcast_to(self.weight[:, None], self.codes.shape)
        return whole if self.belief is None else whole * self.belief

    def rows(self, some: npt.NDArray[np.int64]) -> Records:
        """The table of some of its rows."""
        return replace(
            self,
            maker=self.maker[some],
            codes=self.codes[some],
            weight=self.weight[some],
            belief=None if self.belief is None else self.belief[some],
        )

    @cached_property
    def offsets(self) -> npt.NDArray[np.int64]:
        """The column at which each feature's values begin when all are laid side by side."""
        return np.concatenate([[0], np.cumsum(self.sizes)]).astype(np.int64)

    @cached_property
    def outputs(self) -> Floats:
        """The recorded pieces of each maker."""
        return np.bincount(self.maker, self.weight, self.maker_count).astype(np.float64)


@dataclass(frozen=True, slots=True)
class Smoothing:
    """How counts become chances."""

    is_hierarchical: bool = True
    """False: each maker stands alone, with ``flat`` added to every count (Laplace's rule)."""
    flat: float = 1.0


@dataclass(frozen=True)
class Likelihood:
    """What was learned: the chance of each value of each feature for each maker, and in the trade as a whole."""

    records: Records
    smoothing: Smoothing
    counts: Floats
    """Makers by values: the weighted pieces that show it."""
    totals: Floats
    """Makers by features: the weighted pieces on which the feature was seen."""
    to_period: Floats
    """By feature: how strongly makers lean on their period."""
    to_trade: Floats
    """By feature: how strongly periods lean on the trade."""

    @classmethod
    def learned(cls, records: Records, smoothing: Smoothing | None = None) -> Likelihood:
        """The likelihood that the recorded pieces teach."""
        counts = _counts(records)
        totals = _totals(records, counts)
        blank = np.zeros(len(records.sizes))
        bare = cls(records, smoothing or Smoothing(), counts, totals, blank, blank)
        if not bare.smoothing.is_hierarchical:
            return bare
        period = bare.period_counts
        to_trade = _best(period, bare, bare.trade)
        leaning = np.repeat(to_trade, records.sizes)
        parents = (period + leaning * bare.trade) / (bare._spread(bare.period_totals) + leaning)
        own = bare._parents(parents, bare.trade)
        return cls(records, bare.smoothing, counts, totals, _best(counts, bare, own), to_trade)

    # ------------------------------------------------------------ counts at the three levels

    def _spread(self, by_feature: Floats) -> Floats:
        """A figure of each feature, repeated for each of its values."""
        return np.repeat(by_feature, self.records.sizes, axis=-1)

    @cached_property
    def trade_counts(self) -> Floats:
        """By value: the pieces of the whole trade."""
        total: Floats = self.counts.sum(axis=0)
        return total

    @cached_property
    def period_counts(self) -> Floats:
        """Periods by values."""
        return _grouped(self.counts, self.records.period)

    @cached_property
    def period_totals(self) -> Floats:
        """Periods by features."""
        return _grouped(self.totals, self.records.period)

    # ------------------------------------------------------------ chances

    @cached_property
    def trade(self) -> Floats:
        """By value: its chance in the trade as a whole, which is also that of a maker not in the daybook."""
        return self._trade(np.zeros(len(self.trade_counts)))

    def _trade(self, less: Floats | float) -> Floats:
        floor = TRADE_FLOOR if self.smoothing.is_hierarchical else self.smoothing.flat
        sizes = self._spread(np.asarray(self.records.sizes, dtype=np.float64))
        totals = self._spread(self.totals.sum(axis=0))
        chance: Floats = (np.maximum(self.trade_counts - less, 0) + floor) / (
            np.maximum(totals - less, 0) + floor * sizes
        )
        return chance

    @cached_property
    def chances(self) -> Floats:
        """Makers by values: the chance of each value."""
        if not self.smoothing.is_hierarchical:
            return self._alone()
        return self._makers(self._parents(self._periods(0.0, 0.0), self.trade), 0.0)

    def _alone(self) -> Floats:
        flat = self.smoothing.flat
        sizes = self._spread(np.asarray(self.records.sizes, dtype=np.float64))
        chance: Floats = (self.counts + flat) / (self._spread(self.totals) + flat * sizes)
        return chance

    def _periods(self, less: float, less_of_trade: float) -> Floats:
        """Periods by values, with a piece that shows the value taken from the period and from the trade."""
        leaning = self._spread(self.to_trade)
        counts = np.maximum(self.period_counts - less, 0)
        totals = np.maximum(self._spread(self.period_totals) - less, 0)
        chance: Floats = (counts + leaning * self._trade(less_of_trade)) / (totals + leaning)
        return chance

    def _parents(self, periods: Floats, trade: Floats) -> Floats:
        """Makers by values: what each maker leans on."""
        period = self.records.period
        if not len(periods):
            return np.broadcast_to(trade, self.counts.shape)
        return np.where((period >= 0)[:, None], periods[np.maximum(period, 0)], trade)

    def _makers(self, parents: Floats, less: float) -> Floats:
        leaning = self._spread(self.to_period)
        counts = np.maximum(self.counts - less, 0) if less else self.counts
        totals = self._spread(self.totals)
        if less:
            totals = np.maximum(totals - less, 0)
        chance: Floats = (counts + leaning * parents) / (totals + leaning)
        return chance

    # ------------------------------------------------------------ chances with one piece left out

    def left_out(self, weight: float) -> LeftOut:
        """The chances of each value for a piece that shows it, when that piece is not learned from.

        A row that counts ``weight`` is taken from its maker, its maker's period and the trade; only the chances of the
        values that it shows itself are asked for, and those depend on nothing else of the piece. That is why every
        piece can be left out without learning anew.
        """
        if not self.smoothing.is_hierarchical:
            flat = self.smoothing.flat
            sizes = self._spread(np.asarray(self.records.sizes, dtype=np.float64))
            own = (np.maximum(self.counts - weight, 0) + flat) / (
                np.maximum(self._spread(self.totals) - weight, 0) + flat * sizes
            )
            return LeftOut(self._alone(), self._alone(), own, self._trade(weight))
        trade = self._trade(weight)
        elsewhere = self._parents(self._periods(0.0, weight), trade)
        within = self._parents(self._periods(weight, weight), trade)
        # A maker of no known period leans on the trade, from which the piece is taken wherever it stood.
        own = self._makers(within, weight)
        return LeftOut(self._makers(elsewhere, 0.0), self._makers(within, 0.0), own, trade)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Makers by values, for a left-out piece that shows the value: by how its own maker stands to each maker."""

    other_period: Floats
    same_period: Floats
    own: Floats
    trade: Floats


def _counts(records: Records) -> Floats:
    width = int(records.offsets[-1])
    seen = records.codes >= 0
    cells = records.maker[:, None].astype(np.int64) * width + records.offsets[:-1] + records.codes
    flat = np.bincount(cells[seen], records.cells[seen], records.maker_count * width).astype(np.float64)
    return flat.reshape(records.maker_count, width)


def _totals(records: Records, counts: Floats) -> Floats:
    if not records.sizes:
        return np.zeros((records.maker_count, 0))
    totals: Floats = np.add.reduceat(counts, records.offsets[:-1], axis=1)
    return totals


def _grouped(values: Floats, period: Codes) -> Floats:
    groups = int(period.max(initial=-1)) + 1
    summed = np.zeros((groups, values.shape[1]))
    for group in range(groups):
        summed[group] = values[period == group].sum(axis=0)
    return summed


def _best(counts: Floats, bare: Likelihood, parents: Floats) -> Floats:
    """By feature: the strength of leaning under which each piece is best foretold from the others of its row."""
    if not counts.size:
        return np.ones(len(bare.records.sizes))
    starts = bare.records.offsets[:-1]
    totals = np.repeat(np.add.reduceat(counts, starts, axis=1), bare.records.sizes, axis=1)
    shown = counts > 0
    rows, columns = np.nonzero(shown)
    count = counts[rows, columns]
    total = totals[rows, columns]
    parent = np.broadcast_to(parents, counts.shape)[rows, columns]
    feature = np.searchsorted(starts, columns, side="right") - 1
    fits = []
    for strength in STRENGTHS:
        chance = (np.maximum(count - 1, 0) + strength * parent) / (np.maximum(total - 1, 0) + strength)
        gain = count * np.log(np.maximum(chance, _LEAST))
        fits.append(np.bincount(feature, gain, len(starts)))
    best: Floats = STRENGTHS[np.asarray(fits).argmax(axis=0)]
    return best
