"""How well the ranking does on pieces whose maker is known: each is left out in turn and ranked from the others.

Nothing is learned anew: what a left-out piece takes from the counts depends on its own values only, so all pieces are
ranked from a few tables (see ``Likelihood.left_out``). The strengths of smoothing and the shares of dependent features
stay as learned from all pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from kg.attribution.calibration import (
    AsComputed,
    Bin,
    Hits,
    Isotonic,
    Platt,
    Remedy,
    brier,
    calibration_error,
    error_by_chance,
    log_loss,
    reliability,
    shown,
)
from kg.attribution.likelihood import LeftOut, Likelihood, Records
from kg.attribution.weight import Floats

#: Pieces ranked at once.
_AT_ONCE = 2_000
#: For calibration, at most so many pieces are kept with their whole ranking, evenly spaced.
KEPT = 3_000
#: A first answer of so much is a sure one.
SURE = 0.9
FOLDS = 5
#: Of each piece's ranking, so many leading answers teach the calibration.
LEADERS = 10
#: Isotonic regression is tried only from so many pieces on; on fewer it follows chance (A. Niculescu-Mizil and
#: R. Caruana, "Predicting good probabilities with supervised learning", 2005, find a thousand or so).
LEAST_FOR_ISOTONIC = 1_000
#: A ranking is called calibrated if its held-out error is no larger.
LARGEST_ERROR = 0.05

#: Outputs below this are nothing but rounding.
_NOTHING = 1e-9

Integers = npt.NDArray[np.int64]


@dataclass(frozen=True)
class HeldOut:
    """The left-out rankings in short: how each piece's own maker fared."""

    top: Floats
    """The highest probability given to any answer."""
    is_hit: Hits
    """Whether the highest went to the truth."""
    rank: Integers
    """The place of the truth, counted from one."""
    own: Floats
    """The probability given to the truth."""
    squares: Floats
    """The Brier score of each piece."""
    kept: Integers
    """The pieces whose whole ranking is kept."""
    chances: Floats
    """The rankings kept: makers, and last the maker not in the daybook."""
    truth: Integers
    """The place of the truth in them."""

    @property
    def count(self) -> int:
        """How many pieces were left out and ranked."""
        return len(self.top)


def leave_one_out(likelihood: Likelihood, shares: Floats, *, has_unrecorded: bool = True) -> HeldOut:
    """Every recorded piece ranked from all the others.

    The truth of a piece that is its maker's only one is "a maker not in the daybook": without it none is recorded.
    """
    records = likelihood.records
    count = len(records.maker)
    parts: list[tuple[Integers, dict[str, Floats]]] = []
    stride = max(1, -(-count // KEPT))
    for rows, tables in _groups(likelihood, shares):
        for start in range(0, len(rows), _AT_ONCE):
            some = rows[start : start + _AT_ONCE]
            chances, truth = _ranked(likelihood, tables, some, has_unrecorded=has_unrecorded)
            parts.append((some, _figures(chances, truth, some % stride == 0)))
    order = np.argsort(np.concatenate([rows for rows, _ in parts]), kind="stable")
    flat = {
        key: np.concatenate([f[key] for _, f in parts])[order]
        for key in ("top", "hit", "rank", "own", "squares")
    }
    kept_rows = np.concatenate([rows[rows % stride == 0] for rows, _ in parts])
    kept_order = np.argsort(kept_rows, kind="stable")
    return HeldOut(
        flat["top"],
        flat["hit"].astype(bool),
        flat["rank"].astype(np.int64),
        flat["own"],
        flat["squares"],
        kept_rows[kept_order],
        np.concatenate([f["kept"] for _, f in parts])[kept_order].astype(np.float64),
        np.concatenate([f["truth"] for _, f in parts])[kept_order].astype(np.int64),
    )


@dataclass(frozen=True, slots=True)
class _Tables:
    """Log chances by value and maker, for pieces of one period; the last column of the others is the trade.

    ``weight`` is what a value counts in the pieces that show it: that much is taken away when they are left out.
    """

    others: npt.NDArray[np.float32]
    own: npt.NDArray[np.float32]
    weight: float


def _groups(likelihood: Likelihood, shares: Floats) -> Iterator[tuple[Integers, tuple[_Tables, ...]]]:
    records = likelihood.records
    period = records.period[records.maker]
    share = np.repeat(shares, records.sizes)[:, None]
    weights = np.unique(records.cells)
    left = [likelihood.left_out(float(weight)) for weight in weights]
    own = [(np.log(each.own).T * share).astype(np.float32) for each in left]
    for each in np.unique(period):
        tables = (
            _Tables(_others(likelihood, chances, int(each), share), mine, float(weight))
            for weight, chances, mine in zip(weights, left, own, strict=True)
        )
        yield np.flatnonzero(period == each), tuple(tables)


def _others(likelihood: Likelihood, left: LeftOut, period: int, share: Floats) -> npt.NDArray[np.float32]:
    same = (likelihood.records.period == period) & (period >= 0)
    chances = np.where(same[:, None], left.same_period, left.other_period)
    table = np.vstack([chances, left.trade])
    logs: npt.NDArray[np.float32] = (np.log(table).T * share).astype(np.float32)
    return logs


def _scores(
    records: Records, tables: tuple[_Tables, ...], rows: Integers
) -> tuple[npt.NDArray[np.float32], Floats]:
    """The weight of what was seen on some pieces, for all makers, and for the maker of each."""
    scores = np.zeros((len(rows), records.maker_count + 1), dtype=np.float32)
    own = np.zeros(len(rows))
    codes, cells, maker = records.codes[rows], records.cells[rows], records.maker[rows]
    for each in tables:
        at, feature = np.nonzero((codes >= 0) & (cells == each.weight))
        if not len(at):
            continue
        columns = records.offsets[feature] + codes[at, feature]
        marks = np.zeros((len(rows), int(records.offsets[-1])), dtype=np.float32)
        marks[at, columns] = 1
        scores += marks @ each.others
        own += np.bincount(at, each.own[columns, maker[at]], len(rows))
    return scores, own


def _ranked(
    likelihood: Likelihood, tables: tuple[_Tables, ...], rows: Integers, *, has_unrecorded: bool
) -> tuple[npt.NDArray[np.float32], Integers]:
    records = likelihood.records
    scores, own = _scores(records, tables, rows)
    maker, weight = records.maker[rows], records.weight[rows]
    each = np.arange(len(rows))
    outputs = records.outputs
    left = outputs[maker] - weight
    is_known = left > _NOTHING
    with np.errstate(divide="ignore"):
        scores[:, :-1] += np.log(outputs).astype(np.float32)
        scores[each, maker] = np.where(is_known, own + np.log(np.maximum(left, 0)), -np.inf)
        scores[:, -1] += np.log(_unseen_odds(outputs, outputs[maker], weight)).astype(np.float32)
    if not has_unrecorded:
        scores[:, -1] = np.where(is_known, -np.inf, scores[:, -1])
    scores -= scores.max(axis=1, keepdims=True)
    np.exp(scores, out=scores)
    scores /= scores.sum(axis=1, keepdims=True)
    return scores, np.where(is_known, maker, records.maker_count).astype(np.int64)


def _unseen_odds(outputs: Floats, own: Floats, weight: Floats) -> Floats:
    """The pieces' worth that goes to unrecorded makers when one piece of a maker with ``own`` pieces is left out."""
    singles = np.count_nonzero((outputs > 0) & (outputs <= 1))
    left = own - weight
    after = singles - ((own > 0) & (own <= 1)) + ((left > _NOTHING) & (left <= 1))
    total = outputs.sum() - weight
    mass = np.minimum(np.maximum(after, 1) / total, 0.5)
    odds: Floats = total * mass / (1 - mass)
    return odds


def _figures(chances: npt.NDArray[np.float32], truth: Integers, is_kept: Hits) -> dict[str, Floats]:
    each = np.arange(len(truth))
    own = chances[each, truth]
    best = chances.argmax(axis=1)
    return {
        "top": chances[each, best].astype(np.float64),
        "hit": (best == truth).astype(np.float64),
        "rank": 1.0 + (chances > own[:, None]).sum(axis=1),
        "own": own.astype(np.float64),
        "squares": np.einsum("ij,ij->i", chances, chances).astype(np.float64) - 2 * own + 1,
        "kept": chances[is_kept].astype(np.float64),
        "truth": truth[is_kept].astype(np.float64),
    }


@dataclass(frozen=True)
class Calibration:
    """The figures that stand beside every ranking, measured on pieces that were held out."""

    pieces: int
    top_1: float
    top_3: float
    log_loss: float
    brier: float
    error: float
    error_as_computed: float
    error_by_chance: float
    """What a perfectly calibrated ranking would show on so few pieces."""
    remedy: Remedy
    diagram: tuple[Bin, ...]
    doubt: float = 0.0
    """How much of a ranking by features and date is left to the prior (see `doubt_of`)."""

    @property
    def is_calibrated(self) -> bool:
        """Whether the held-out calibration error is small enough for the probabilities to be taken at their word."""
        return self.error <= LARGEST_ERROR


def calibrate(held: HeldOut, folds: int = FOLDS) -> Calibration:
    """The remedy with the least held-out log loss, and the figures of the ranking as it is shown.

    Each remedy is fitted on four fifths of the held-out pieces and measured on the fifth that it has not seen; the
    remedy that is then used is fitted on all. What is shown then leaves some doubt to the prior, learned and measured
    in the same way.
    """
    fold = np.arange(len(held.truth)) % folds
    names = ("none", "Platt", "isotonic") if len(held.truth) >= LEAST_FOR_ISOTONIC else ("none", "Platt")
    tried = {name: _cross_validated(name, held, fold, folds) for name in names}
    best = min(tried, key=lambda name: (log_loss(tried[name], held.truth), name != "none"))
    chances = tried[best]
    top = chances.max(axis=1)
    hits = chances.argmax(axis=1) == held.truth
    return Calibration(
        held.count,
        float(held.is_hit.mean()),
        float((held.rank <= 3).mean()),
        log_loss(chances, held.truth),
        brier(chances, held.truth),
        calibration_error(top, hits),
        calibration_error(held.top, held.is_hit),
        error_by_chance(top),
        _fitted(best, held.chances, held.truth),
        reliability(top, hits),
        doubt_of(shown(_fitted(best, held.chances, held.truth), held.chances), held.truth),
    )


def doubt_of(chances: Floats, truth: Integers) -> float:
    """The share of a ranking that is left to the prior, so that the surest answers are no surer than they came true.

    Of n held-out pieces whose first answer was given nine tenths or more, k came true: such answers are worth
    (k + 1) / (n + 2) (Laplace's rule of succession), and no more than half is ever left to the prior. Where no answer
    was so sure, nothing is.
    """
    top = chances.max(axis=1) if len(chances) else np.zeros(0)
    sure = top >= SURE
    if not sure.any():
        return 0.0
    true = float((chances.argmax(axis=1) == truth)[sure].sum())
    worth = (true + 1) / (float(sure.sum()) + 2)
    return float(np.clip(1 - worth / float(top[sure].mean()), 0.0, 0.5))


def doubted(chances: Floats, prior: Floats, doubt: float) -> Floats:
    """A ranking with a share of it left to the prior."""
    return (1 - doubt) * chances + doubt * prior


def _cross_validated(name: str, held: HeldOut, fold: Integers, folds: int) -> Floats:
    found = np.empty_like(held.chances)
    for each in range(folds):
        inside = fold == each
        if inside.any():
            remedy = _fitted(name, held.chances[~inside], held.truth[~inside])
            taught = shown(remedy, held.chances[~inside])
            doubt = doubt_of(taught, held.truth[~inside])
            found[inside] = doubted(shown(remedy, held.chances[inside]), taught.mean(axis=0), doubt)
    return found


def _fitted(name: str, chances: Floats, truth: Integers) -> Remedy:
    """A remedy taught by the leading answers of each ranking: was this the maker, or not?"""
    if name == "none" or not len(chances):
        return AsComputed()
    leaders = np.argsort(-chances, axis=1, kind="stable")[:, :LEADERS]
    said = np.take_along_axis(chances, leaders, axis=1).ravel()
    hits = (leaders == truth[:, None]).ravel()
    if name == "Platt":
        return Platt.fitted(said, hits)
    return replace(Isotonic.fitted(said, hits), mixed_in=1 / (len(truth) + 2))
