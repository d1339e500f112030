"""Recorded marks laid out for quick comparing, and the choice of the few that are worth aligning."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from kg.marks.confusion import ConfusionModel, Facing
from kg.marks.matching_align import Places, Plan, Scores, scores
from kg.marks.matching_grams import PER_BIT, SHAPES, GramIndex, Run, classes, runs_of
from kg.marks.matching_symbols import ANY, BREAK, PAD, Step

Bits = npt.NDArray[np.float64]
Overlaps = npt.NDArray[np.int16]
#: Marks aligned at once; a larger table would leave the processor's cache.
AT_ONCE = 2_000
#: So many marks are picked by the runs of characters that they share with the mark in hand. Of these, so many are
#: aligned: more if a stretch of any length is lost in the mark in hand, as the first guesses know less then.
BY_RUNS, CANDIDATES, CANDIDATES_OPEN = 22_000, 5_000, 10_000
#: These numbers are for a mark of so many steps or more; a shorter one shares fewer runs, and costs less to align.
_FULL_LENGTH, _AT_MOST = 32, 60_000
#: How much further in than its own length a piece at one end of a mark is looked for.
_SLACK = 2
#: What a first guess takes off, in bits, for a run that only one mark has, for each character of such runs, and
#: for a character read as another. Chosen by trial on invented marks; the alignment decides, not these.
_RUN, _CHARACTER, _MISREAD = 2.0, 1.15, 7.0
#: How the worth of a character is shared out among runs of each shape, and what a run at an end of the mark is worth
#: beside; with a lost stretch in the mark, its ends say less. By trial too.
_SHARES = (1.0, 1.0, 2.0)
_END, _END_OF_OPEN = 2.0, 1.4


@dataclass(frozen=True, slots=True)
class Stretch:
    """Neighbours on the shelf that are alike in length."""

    places: slice
    characters: int
    """How many characters each has, breaks and lost stretches of any length left out."""
    is_open: bool
    """Whether a lost stretch of any length stands in them."""


@dataclass(frozen=True)
class Shelf:
    """Distinct recorded marks that are all turned one way, sorted by length; open gaps come last."""

    facing: Facing
    records: tuple[bytes, ...]
    owners: tuple[tuple[int, ...], ...]
    """For each mark the numbers of all who bear it."""
    flat: npt.NDArray[np.uint8]
    starts: npt.NDArray[np.int64]
    grams: GramIndex

    @classmethod
    def of(cls, facing: Facing, marks: Sequence[tuple[bytes, int]], model: ConfusionModel) -> Shelf:
        """The shelf of some marks, each with the number of its bearer."""
        owners: dict[bytes, list[int]] = {}
        for symbols, owner in marks:
            owners.setdefault(symbols, []).append(owner)
        records = tuple(sorted(owners, key=lambda symbols: (*_alike(symbols), symbols)))
        starts = np.concatenate([[0], np.cumsum([len(r) for r in records], dtype=np.int64)]).astype(np.int64)
        flat = np.frombuffer(b"".join(records), dtype=np.uint8)
        grams = GramIndex.of(flat, starts, model)
        return cls(facing, records, tuple(tuple(owners[r]) for r in records), flat, starts, grams)

    @property
    def bytes_held(self) -> int:
        """The memory of the marks laid end to end and of their runs."""
        return self.flat.nbytes + self.starts.nbytes + self.grams.bytes_held

    @cached_property
    def lengths(self) -> Places:
        """The length of each mark in symbols."""
        return np.diff(self.starts).astype(np.intp)

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """The stretches of alike marks, in order."""
        alike = [_alike(record) for record in self.records]
        begins = [at for at, key in enumerate(alike) if at == 0 or key != alike[at - 1]]
        bounds = pairwise([*begins, len(alike)])
        return tuple(Stretch(slice(a, b), alike[a][1], alike[a][0]) for a, b in bounds)

    def scored(self, plan: Plan, places: Places) -> Scores:
        """The score of some of the marks, in the plan's unit."""
        found: Scores = np.empty(len(places), dtype=plan.unit.kind)
        for start in range(0, len(places), AT_ONCE):
            some = slice(start, start + AT_ONCE)
            found[some] = scores(plan, *self.table(places[some]))
        return found

    def table(self, places: Places) -> tuple[npt.NDArray[np.uint8], Places]:
        """Some marks as columns of a padded table, and their lengths."""
        lengths = self.lengths[places]
        rows = np.arange(int(lengths.max(initial=0)))[:, None]
        inside = rows < lengths
        if not inside.size:
            return np.zeros(inside.shape, dtype=np.uint8), lengths
        at = np.where(inside, self.starts[places] + rows, 0)
        return np.where(inside, self.flat[at], PAD).astype(np.uint8), lengths

    def candidates(self, steps: Sequence[Step], plan: Plan, model: ConfusionModel) -> Places:
        """The places of the marks that may score best, rising: by the runs they share, then by their order too."""
        is_open = any(step.kind == "any" for step in steps)
        by_runs, most = _how_many(len(steps), is_open=is_open)
        if len(self.records) <= most:
            return np.arange(len(self.records), dtype=np.intp)
        runs = runs_of([step.symbol for step in steps], model)
        weights = _weights(runs, plan, is_open)
        shared = self.grams.overlap(runs, weights)
        guess = np.empty_like(shared)
        for stretch in self.stretches:
            overlaps = shared[stretch.places]
            guesses = _guesses(stretch, steps, sum(weights), int(overlaps.max(initial=0)))
            guess[stretch.places] = guesses.take(overlaps)
        places = largest(guess, by_runs)
        if len(places) <= most:
            return places
        second = guess[places] / PER_BIT + self._by_order(
            places, shared[places] / PER_BIT, steps, plan, model
        )
        return places[largest(np.rint(second * PER_BIT).astype(np.int32), most)]

    def _by_order(
        self, places: Places, shared: Bits, steps: Sequence[Step], plan: Plan, model: ConfusionModel
    ) -> Bits:
        """A second guess at some scores in bits, which counts only what is shared in the same order."""
        count = Counter(step.kind for step in steps)
        seen = count["character"] + count["uncertain"]
        lost = count["lost"] + count["perhaps lost"]
        in_order = np.clip(self._shared_in_order(places, steps, model) - lost, 0, seen)
        whole = sum(plan.worth)
        overlap = 0.5 * np.minimum(shared, whole) + 0.5 * whole * in_order / seen
        not_recorded = seen - in_order
        cost = np.where(not_recorded > 0, _RUN + _CHARACTER * not_recorded, 0) * ~self.is_open[places]
        if not count["any"]:
            not_seen = np.maximum(0, self.characters[places] - lost - in_order)
            cost += np.where(not_seen > 0, _RUN + _CHARACTER * not_seen, 0)
        found: Bits = overlap - cost
        return found

    def _shared_in_order(self, places: Places, steps: Sequence[Step], model: ConfusionModel) -> Bits:
        """How many characters marks share with the mark in hand in its order; between lost stretches, each apart."""
        of_symbol = classes(model)
        pieces: list[list[int]] = [[]]
        for step in steps:
            if step.kind == "any":
                pieces.append([])
            elif step.kind != "break":
                pieces[-1].append(int(of_symbol[step.symbol]))
        found = np.zeros(len(places))
        for at, piece in enumerate(pieces):
            # What stands before the first lost stretch begins the mark, what stands behind the last ends it.
            is_at_an_end = len(pieces) > 1 and at in (0, len(pieces) - 1)
            window = len(piece) + _SLACK if is_at_an_end else 64
            if piece:
                found += self.grams.in_order(places, piece, window, is_from_end=at > 0)
        return found

    @cached_property
    def characters(self) -> Places:
        """How many characters each mark has, as its stretch says."""
        return np.array([stretch.characters for stretch in self.stretches], dtype=np.intp).repeat(self._sizes)

    @cached_property
    def is_open(self) -> npt.NDArray[np.bool_]:
        """Whether a lost stretch of any length stands in each mark."""
        return np.array([stretch.is_open for stretch in self.stretches], dtype=bool).repeat(self._sizes)

    @property
    def _sizes(self) -> list[int]:
        return [stretch.places.stop - stretch.places.start for stretch in self.stretches]


def _how_many(steps: int, *, is_open: bool) -> tuple[int, int]:
    """How many marks to pick by runs, and how many of them to align, for a mark of so many steps."""
    shorter = max(1.0, _FULL_LENGTH / max(1, steps))
    by_runs = min(_AT_MOST, int(BY_RUNS * shorter))
    # The marks that resemble a short one are short themselves, unless a stretch of it is lost.
    most = CANDIDATES_OPEN * shorter if is_open else CANDIDATES * shorter**2
    return by_runs, min(_AT_MOST, int(most))


def _alike(symbols: bytes) -> tuple[bool, int]:
    return ANY in symbols, len(symbols) - symbols.count(BREAK) - symbols.count(ANY)


def _weights(runs: Sequence[Run], plan: Plan, is_open: bool) -> list[float]:
    """What each run is worth in bits: the worth of a character is shared out among the runs that cover it."""
    shares: defaultdict[int, float] = defaultdict(float)
    for run in runs:
        for at in run.covers:
            shares[at] += _SHARES[run.shape]
    at_an_end = _END_OF_OPEN if is_open else _END
    found: list[float] = []
    for run in runs:
        worth = sum(plan.worth[at] / shares[at] for at in run.covers) * _SHARES[run.shape]
        found.append(worth + (at_an_end if len(run.covers) < len(SHAPES[run.shape]) else 0))
    return found


def _guesses(stretch: Stretch, steps: Sequence[Step], whole: float, largest_overlap: int) -> Overlaps:
    """A first guess at the score for each overlap from nothing to the largest, in the unit of overlaps.

    ``whole`` is the overlap of a mark that shares every run, in bits.
    """
    count = Counter(step.kind for step in steps)
    seen = count["character"] + count["uncertain"]
    overlaps = np.arange(largest_overlap + 1) / PER_BIT
    not_recorded = np.maximum(0, seen * (1 - overlaps / max(whole, 1e-9)))
    not_seen = np.maximum(
        0, stretch.characters - count["lost"] - count["perhaps lost"] - (seen - not_recorded)
    )
    for_not_seen = np.where(not_seen > 0.3, _RUN + _CHARACTER * not_seen, 0)
    if stretch.is_open:
        cost = for_not_seen * (count["any"] == 0)
    else:
        cost = np.where(not_recorded > 0.3, _RUN + _CHARACTER * not_recorded, 0)
        if not count["any"]:
            uneven = np.abs(not_recorded - not_seen)
            misread = _MISREAD * np.minimum(not_recorded, not_seen)
            misread += np.where(uneven > 0.3, 3 * _RUN + _CHARACTER * uneven, 0)
            cost = np.minimum(cost + for_not_seen, misread)
    found: Overlaps = np.clip(np.rint((overlaps - cost) * PER_BIT), -30_000, 30_000).astype(np.int16)
    return found


def largest(values: Scores, count: int) -> Places:
    """The places of the ``count`` largest values, rising; among equal ones it does not matter which."""
    if len(values) <= count:
        return np.arange(len(values), dtype=np.intp)
    # The threshold is guessed from every sixty-fourth value and lowered until enough lie above it.
    sample = np.sort(values[::64])
    at = max(0, len(sample) - 1 - count // 64 - 8)
    found = np.flatnonzero(values >= sample[at])
    while len(found) < count and at:
        at = max(0, at - max(8, count // 64))
        found = np.flatnonzero(values >= sample[at])
    if len(found) < count:
        found = np.arange(len(values), dtype=np.intp)
    if len(found) > count:
        picked = np.argpartition(-values[found].astype(np.int32), count - 1)[:count]
        found = np.sort(found[picked])
    return found
