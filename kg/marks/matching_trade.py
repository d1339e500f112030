"""How likely a string of symbols is in the trade at large: the other side of the likelihood ratio.

A character model learned from the recorded marks, with up to four characters of context, smoothed by Witten and Bell's
method (I. H. Witten and T. C. Bell, The zero-frequency problem, IEEE Transactions on Information Theory 37, 1991).
So the word that stands on half of all marks weighs little, and a rare number much. A run of symbols that stands on
one recorded mark only is left out, as that mark may be the very one that is being compared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from kg.marks.matching_symbols import ANY, BREAK, BUCKETS, FIRST, LOST, PAD, SYMBOLS, Step

Codes = npt.NDArray[np.int64]
#: Characters of context, and the character itself.
ORDER = 5
#: More marks than these teach little more; they are taken evenly from all.
SAMPLE = 20_000
#: Before anything is learned, all capitals, digits and breaks are alike, and signs of other scripts rare.
_RARE = 0.02
_COMMON = SYMBOLS - FIRST - BUCKETS + 1


@dataclass(frozen=True, slots=True)
class _Runs:
    """The runs of one length that stand on more than one mark: how often, and what is known of their context."""

    codes: Codes
    counts: Codes
    contexts: Codes
    totals: Codes
    kinds: Codes

    def smoothed(self, code: int, shorter: float) -> float:
        """The chance of a run's last symbol after the rest, given the chance with less context."""
        total, kinds = _at(self.contexts, self.totals, code >> 8), _at(self.contexts, self.kinds, code >> 8)
        if total == 0:
            return shorter
        return (_at(self.codes, self.counts, code) + kinds * shorter) / (total + kinds)


@dataclass(frozen=True, slots=True)
class TradeModel:
    """The chance of each symbol after the symbols before it, in marks at large."""

    runs: tuple[_Runs, ...]

    @classmethod
    def learned(cls, marks: Sequence[bytes]) -> TradeModel:
        """The model of some marks; of very many, a part taken evenly."""
        joined = b"\0" + b"\0".join(sampled(marks)) + b"\0"
        flat = np.frombuffer(joined, dtype=np.uint8).astype(np.int64)
        return cls(tuple(_runs(flat, length) for length in range(1, ORDER + 1)))

    def chance(self, before: bytes, symbol: int) -> float:
        """The chance of a symbol after others; a leading padding symbol says that the mark begins there."""
        found = _RARE / BUCKETS if symbol >= SYMBOLS - BUCKETS else (1 - _RARE) / _COMMON
        for runs, length in zip(self.runs, range(min(len(before), ORDER - 1) + 1), strict=False):
            code = int.from_bytes(before[len(before) - length :] + bytes([symbol]), "big")
            found = runs.smoothed(code, found)
        return found

    def chances(self, steps: Sequence[Step]) -> list[float]:
        """The chance of each seen symbol after those before it; 1 where something is lost.

        What is lost interrupts the context: behind it, the model knows of nothing.
        """
        before = bytes([PAD])
        found: list[float] = []
        for step in steps:
            if step.symbol in (LOST, ANY):
                before = b""
                found.append(1.0)
            else:
                found.append(self.chance(before, step.symbol) if step.usual is None else step.usual)
                before = (before + bytes([step.symbol]))[-ORDER + 1 :]
        return found


def sampled(marks: Sequence[bytes]) -> Sequence[bytes]:
    """The marks to learn from: all, or of very many a part taken evenly."""
    return marks[:: max(1, len(marks) // SAMPLE)]


def _runs(flat: Codes, length: int) -> _Runs:
    codes = np.zeros(max(0, len(flat) - length + 1), dtype=np.int64)
    is_kept = np.ones(len(codes), dtype=bool)
    for at in range(length):
        symbols = flat[at : at + len(codes)]
        codes = (codes << 8) | symbols
        is_kept &= (
            (symbols == BREAK) | (symbols >= FIRST) | ((symbols == PAD) if at == 0 and length > 1 else False)
        )
    found, counts = np.unique(codes[is_kept], return_counts=True)
    found, counts = found[counts > 1], counts[counts > 1] - 1
    contexts, starts = np.unique(found >> 8, return_index=True)
    bounds = [*starts.tolist(), len(found)]
    totals = np.array([counts[a:b].sum() for a, b in pairwise(bounds)], dtype=np.int64)
    kinds = np.array([b - a for a, b in pairwise(bounds)], dtype=np.int64)
    return _Runs(found, counts.astype(np.int64), contexts, totals, kinds)


def _at(keys: Codes, values: Codes, key: int) -> int:
    place = int(np.searchsorted(keys, key))
    return int(values[place]) if place < len(keys) and keys[place] == key else 0
