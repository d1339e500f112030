"""The best alignment of a mark in hand with many recorded ones at once, and its score.

The score is the logarithm to base 2 of how much likelier the mark in hand is if it is the recorded one, worn
and misread, than if it is an unrelated mark of the trade: O. Gotoh's alignment with runs of missing and of
added characters (An improved algorithm for matching biological sequences, Journal of Molecular Biology 162,
1982), with lost stretches that match anything within their length at no cost. Scores are whole numbers,
thousandths of a bit or, for a first look at many marks, 32nds, so that sums are exact whatever their order.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from kg.marks.confusion import ConfusionModel, Facing
from kg.marks.matching_symbols import ANY, BREAK, FIRST, LOST, PAD, SYMBOLS, Step
from kg.marks.matching_trade import TradeModel

Scores = npt.NDArray[np.signedinteger[Any]]
Symbols = npt.NDArray[np.uint8]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Unit:
    """What scores are counted in."""

    per_bit: int
    kind: type[np.signedinteger[Any]]
    never: int
    """So low that no sum of real scores comes near it, and so high that two of it do not overflow."""


#: The unit of every score that is given out.
FINE = Unit(1000, np.int32, -10_000_000)
#: The unit of a first look: half the memory, so twice as quick.
COARSE = Unit(32, np.int16, -12_000)
#: A first look adds up at most this many bits, and aligns marks of at most so many symbols together.
COARSE_BITS, COARSE_SYMBOLS = 600, 240
#: Fewer columns than these are quicker to go down one by one.
_FEW = 100


@dataclass(frozen=True, slots=True)
class Prices:
    """What missing and added characters cost, per symbol where it differs; all are zero or less."""

    skip_one: Scores
    """A single recorded symbol passed over at no more than a break's price."""
    skip_lost: Scores
    """The same behind a lost character, where a break may be lost too."""
    skip_more: Scores
    """A recorded symbol within a missing run."""
    missing_begins: int
    missing_more: int
    added_begins: int
    added_more: int
    break_added: int


@dataclass(frozen=True, slots=True)
class Row:
    """One step of the mark in hand, as scores against each recorded symbol."""

    step: Step
    against: Scores


@dataclass(frozen=True, slots=True)
class Plan:
    """A mark in hand, made ready for alignment."""

    unit: Unit
    rows: tuple[Row, ...]
    prices: Prices
    worth: tuple[float, ...]
    """For each step, how rare its character is in bits; 0 where it was not seen."""


@dataclass(slots=True)
class Layer:
    """All states after one step: rows are places in the recorded marks, columns the marks.

    ``paired`` ends with this step paired or added, ``stepped`` may have passed over one cheap symbol since,
    ``best`` may have passed over a missing run; ``added`` ends with this step as an added character.
    """

    paired: Scores
    stepped: Scores
    best: Scores
    added: Scores


@lru_cache(maxsize=8)
def prices(model: ConfusionModel, unit: Unit) -> Prices:
    """The prices that follow from the chances of a model."""

    def price(name: str) -> int:
        return round(unit.per_bit * math.log2(model.chance(name)))

    skip_one = np.full(256, unit.never, dtype=unit.kind)
    skip_one[BREAK], skip_one[ANY] = price("space or point"), 0
    skip_lost = skip_one.copy()
    skip_lost[BREAK] = 0
    skip_more = np.full(256, price("missing run goes on"), dtype=unit.kind)
    skip_more[BREAK] = skip_more[ANY] = 0
    return Prices(
        skip_one,
        skip_lost,
        skip_more,
        price("missing run begins"),
        price("missing run goes on"),
        price("added run begins"),
        price("added run goes on"),
        price("space or point"),
    )


def plan_of(
    steps: Sequence[Step],
    trade: TradeModel,
    model: ConfusionModel,
    facing: Facing = "as written",
    unit: Unit = FINE,
) -> Plan:
    """The mark in hand, ready for alignment: each step scored against each symbol that could be recorded.

    ``facing`` other than as written says that the steps come turned, and allows for turned characters.
    """
    goes_on = 1 - model.chance("missing run begins") - model.chance("added run begins")
    seen = {flag: model.seen_as(facing, is_uncertain=flag) * goes_on for flag in (False, True)}
    both_break = 1 - model.chance("space or point")
    rows: list[Row] = []
    usuals = trade.chances(steps)
    for step, usual in zip(steps, usuals, strict=True):
        against = np.full(256, unit.never, dtype=unit.kind)
        against[LOST : ANY + 1] = 0
        if step.kind in ("character", "uncertain"):
            ratio = seen[step.kind == "uncertain"][FIRST:, step.symbol] / usual
            against[FIRST:SYMBOLS] = np.rint(unit.per_bit * np.log2(ratio)).astype(unit.kind)
        elif step.kind == "break":
            against[BREAK] = round(unit.per_bit * math.log2(both_break / usual))
        else:
            against[FIRST:SYMBOLS] = 0
        rows.append(Row(step, against))
    return Plan(unit, tuple(rows), prices(model, unit), tuple(-math.log2(usual) for usual in usuals))


def scores(plan: Plan, records: Symbols, lengths: Places) -> Scores:
    """The score of each recorded mark, in the plan's unit.

    ``records`` has a column for each mark, padded below; ``lengths`` are their lengths.
    """
    last = _layers(plan, records, is_kept=False)[-1]
    return last.best[lengths, np.arange(records.shape[1])]


def layers(plan: Plan, records: Symbols) -> list[Layer]:
    """All states of the alignment, from before the first step on; for the few marks whose parts are shown."""
    return _layers(plan, records, is_kept=True)


def _layers(plan: Plan, records: Symbols, *, is_kept: bool) -> list[Layer]:
    ground = _Ground(records, plan.prices, plan.unit)
    layer = ground.before_all()
    kept = [layer]
    for row in plan.rows:
        layer = ground.after(layer, row)
        if is_kept:
            kept.append(layer)
    return kept if is_kept else [layer]


class _Ground:
    """The recorded marks that an alignment goes over."""

    def __init__(self, records: Symbols, cost: Prices, unit: Unit) -> None:
        self.cost, self.unit = cost, unit
        self.shape = (records.shape[0] + 1, records.shape[1])
        # numpy takes by its own kind of integer four times as fast as by bytes.
        self.at: Places = records.astype(np.intp)
        self.any_at = records == ANY
        self.has_any = bool(self.any_at.any())
        self.run: Scores = np.zeros(self.shape, dtype=unit.kind)
        np.cumsum(cost.skip_more.take(self.at), axis=0, out=self.run[1:])
        self.begun: Scores = self.run[1:] + unit.kind(cost.missing_begins)

    @cached_property
    def skip_one(self) -> Scores:
        """The price of passing over each recorded symbol alone."""
        return self.cost.skip_one.take(self.at)

    @cached_property
    def skip_lost(self) -> Scores:
        """The same behind a lost character."""
        return self.cost.skip_lost.take(self.at)

    def before_all(self) -> Layer:
        """The states before the first step."""
        paired: Scores = np.full(self.shape, self.unit.never, dtype=self.unit.kind)
        paired[0] = 0
        return self.closed(paired, np.full(self.shape, self.unit.never, dtype=self.unit.kind), self.skip_one)

    def after(self, before: Layer, row: Row) -> Layer:
        """The states after one more step."""
        added = self.added(before, row)
        otherwise = before.best if row.step.kind in ("perhaps lost", "any") else added
        if row.step.kind == "any":
            paired = otherwise.copy()
            _running_maximum(paired)
        else:
            pairs = row.against.take(self.at)
            pairs += before.best[:-1]
            paired = np.empty_like(otherwise)
            paired[0] = otherwise[0]
            np.maximum(otherwise[1:], pairs, out=paired[1:])
        return self.closed(paired, added, self.skip_lost if row.step.symbol in (LOST, ANY) else self.skip_one)

    def added(self, before: Layer, row: Row) -> Scores:
        """The states in which the step is an addition to what is recorded."""
        cost, kind = self.cost, self.unit.kind
        if row.step.kind == "break":
            # A run of added characters goes on over the break between two of its words.
            found: Scores = np.maximum(before.best + kind(cost.break_added), before.added)
            return found
        added: Scores = before.best + kind(cost.added_begins)
        np.maximum(added, before.added, out=added)
        added += kind(cost.added_more)
        if self.has_any:
            np.maximum(added[1:], before.best[1:], out=added[1:], where=self.any_at)
        return added

    def closed(self, paired: Scores, added: Scores, skip: Scores) -> Layer:
        """The states with all ways to pass over recorded symbols."""
        stepped = np.empty_like(paired)
        stepped[0] = paired[0]
        np.maximum(paired[1:], skip + paired[:-1], out=stepped[1:])
        begins = stepped[:-1] - self.run[:-1]
        _running_maximum(begins)
        begins += self.begun
        best = np.empty_like(paired)
        best[0] = stepped[0]
        np.maximum(stepped[1:], begins, out=best[1:])
        return Layer(paired, stepped, best, added)


def _running_maximum(scores: Scores) -> None:
    """Each row made the maximum of itself and all rows above it, in place."""
    if scores.shape[1] < _FEW:
        np.maximum.accumulate(scores, axis=0, out=scores)
        return
    # A loop over rows: over many columns, numpy's own accumulate along the first axis is ten times slower.
    for above, row in pairwise(scores):
        np.maximum(row, above, out=row)


def padded(records: Sequence[bytes]) -> Symbols:
    """Recorded marks as columns of one table."""
    height = max(map(len, records), default=0)
    whole = b"".join(record.ljust(height, bytes([PAD])) for record in records)
    return np.ascontiguousarray(np.frombuffer(whole, dtype=np.uint8).reshape(len(records), height).T)
