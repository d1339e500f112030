"""An index of short runs of symbols, by which a search looks at the few recorded marks that could score well.

Symbols that are often confused are one class here. Each recorded mark is entered under its pairs of
neighbouring classes, its pairs with one class between, and its triples, with its two ends as a class of their
own. A run that stands on many marks is kept as one bit for each mark, a rare one as a list of marks, whichever
is smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from kg.marks.confusion import ConfusionModel
from kg.marks.matching_symbols import ANY, BREAK, FIRST, LOST, SYMBOLS

Bytes = npt.NDArray[np.uint8]
Places = npt.NDArray[np.int32]
#: The offsets of the symbols in a run, for each shape of run.
SHAPES = ((0, 1), (0, 2), (0, 1, 2))
#: Classes of symbols that are no characters: a place where something is lost, and either end of the mark.
_LOST_CLASS, _END_CLASS, _FIRST_CLASS = 0, 1, 2
#: Characters as often confused as this, both ways added, may share a class; a class holds no more than four.
_OFTEN, _MOST_IN_CLASS = 0.04, 4
_BASE = 64
#: Weights are added up in steps of an eighth of a bit; a sum stays below the largest.
PER_BIT = 8
LARGEST = 15_000


@lru_cache(maxsize=4)
def classes(model: ConfusionModel) -> Bytes:
    """The class of each symbol: those most often confused are put together first."""
    chances = model.seen_as()
    both = chances + chances.T
    pairs = sorted(
        (-both[a, b], a, b) for a in range(FIRST, SYMBOLS) for b in range(a) if both[a, b] >= _OFTEN
    )
    member = {symbol: frozenset({symbol}) for symbol in range(FIRST, SYMBOLS)}
    for _, a, b in pairs:
        joined = member[a] | member[b]
        if len(joined) <= _MOST_IN_CLASS:
            member.update(dict.fromkeys(joined, joined))
    numbers = {
        group: at for at, group in enumerate(sorted(set(member.values()), key=min), start=_FIRST_CLASS)
    }
    found = np.zeros(256, dtype=np.uint8)
    for symbol, group in member.items():
        found[symbol] = numbers[group]
    found[LOST] = found[ANY] = _LOST_CLASS
    return found


@dataclass(frozen=True, slots=True)
class Run:
    """A run of classes in the mark in hand, and the steps that it covers."""

    shape: int
    code: int
    covers: tuple[int, ...]


def runs_of(symbols: Sequence[int], model: ConfusionModel) -> list[Run]:
    """The runs of a mark in hand, each once, none across a place where something is lost."""
    of_symbol = classes(model)
    # The steps that are no breaks, between the two ends; an end has no step of its own.
    line = [
        (_END_CLASS, -1),
        *((int(of_symbol[s]), at) for at, s in enumerate(symbols) if s != BREAK),
        (_END_CLASS, -1),
    ]
    found: dict[tuple[int, int], Run] = {}
    for shape, offsets in enumerate(SHAPES):
        for start in range(len(line) - offsets[-1]):
            picked = [line[start + offset] for offset in offsets]
            if all(cls != _LOST_CLASS for cls, _ in picked):
                code = 0
                for cls, _ in picked:
                    code = code * _BASE + cls
                found.setdefault((shape, code), Run(shape, code, tuple(at for _, at in picked if at >= 0)))
    return list(found.values())


@dataclass(frozen=True)
class GramIndex:
    """For each run, the recorded marks that hold it."""

    size: int
    dense: dict[tuple[int, int], Bytes]
    """Runs that stand on many marks: a bit for each mark, eight to a byte."""
    sparse: dict[tuple[int, int], Places]
    """Rare runs: the places of their marks, rising."""
    line: Bytes
    """The classes of all marks without breaks, each between two ends."""
    begins: npt.NDArray[np.int64]
    """Where the classes of each mark begin in the line, and the end of the last."""

    @classmethod
    def of(cls, flat: Bytes, starts: npt.NDArray[np.int64], model: ConfusionModel) -> GramIndex:
        """The index of marks laid end to end; ``starts`` holds where each begins, and the end of the last."""
        size = len(starts) - 1
        dense: dict[tuple[int, int], Bytes] = {}
        sparse: dict[tuple[int, int], Places] = {}
        line, owner = _line(flat, starts, classes(model))
        for shape, offsets in enumerate(SHAPES):
            for code, places in _postings(line, owner, offsets):
                if len(places) * 32 >= size:
                    bits = np.zeros(size, dtype=bool)
                    bits[places] = True
                    dense[shape, code] = np.packbits(bits)
                else:
                    sparse[shape, code] = places
        begins = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=size))]).astype(np.int64)
        return cls(size, dense, sparse, line, begins)

    @property
    def bytes_held(self) -> int:
        """The memory that the lists and bits take."""
        runs = sum(a.nbytes for a in self.dense.values()) + sum(a.nbytes for a in self.sparse.values())
        return runs + self.line.nbytes + self.begins.nbytes

    def overlap(self, runs: Sequence[Run], bits: Sequence[float]) -> npt.NDArray[np.int16]:
        """For each recorded mark, the weights of the runs that it shares, added up, in eighths of a bit."""
        total = np.zeros(self.size, dtype=np.int16)
        part = np.zeros(self.size, dtype=np.uint8)
        scaled = np.empty(self.size, dtype=np.uint8)
        used = 0
        scale = min(PER_BIT, LARGEST / max(1.0, sum(bits)))
        for run, weight in zip(runs, bits, strict=True):
            units = min(255, round(weight * scale))
            # Small sums in bytes are quick; they are carried over before they could run out of a byte.
            if used + units > 255:
                total += part
                part[:] = 0
                used = 0
            used += units
            key = (run.shape, run.code)
            if units and key in self.dense:
                np.multiply(np.unpackbits(self.dense[key], count=self.size), np.uint8(units), out=scaled)
                part += scaled
            elif units and key in self.sparse:
                part[self.sparse[key]] += np.uint8(units)
        total += part
        return total

    def in_order(
        self,
        places: npt.NDArray[np.intp],
        wanted: Sequence[int],
        window: int = 64,
        *,
        is_from_end: bool = False,
    ) -> npt.NDArray[np.int32]:
        """For each of some marks, how many classes it shares with those wanted, in their order.

        Only the first places of a mark are looked at, or the last, at most 64. A wanted lost class is shared with
        any. This is the longest common subsequence, all places of a mark in one word: H. Hyyrö, Bit-parallel
        LCS-length computation revisited, Australasian Workshop on Combinatorial Algorithms 2004.
        """
        first, behind = self.begins[places] + 1, self.begins[places + 1] - 1
        lengths = np.minimum(behind - first, min(window, 64))
        columns = np.arange(int(lengths.max(initial=0)))
        table = self.line.take((behind - lengths if is_from_end else first)[:, None] + columns, mode="clip")
        table[columns >= lengths[:, None]] = _END_CLASS
        masks = {cls: _as_words(table == cls) for cls in set(wanted) - {_LOST_CLASS}}
        masks[_LOST_CLASS] = _as_words(table != _END_CLASS)
        unshared = np.full(len(places), 2**64 - 1, dtype=np.uint64)
        for cls in wanted:
            found = unshared & masks[cls]
            kept = unshared ^ found
            unshared += found
            unshared |= kept
        return np.bitwise_count(~unshared).astype(np.int32)


def _as_words(is_there: npt.NDArray[np.bool_]) -> npt.NDArray[np.uint64]:
    """Rows of up to 64 answers as one word each, the first answer its lowest bit."""
    packed = np.packbits(is_there, axis=1, bitorder="little")
    words = np.zeros((len(packed), 8), dtype=np.uint8)
    words[:, : packed.shape[1]] = packed
    return words.view("<u8").ravel()


def _line(flat: Bytes, starts: npt.NDArray[np.int64], of_symbol: Bytes) -> tuple[Bytes, Places]:
    """The classes of all marks without breaks, each between two ends, and the mark that each belongs to."""
    size = len(starts) - 1
    owner = np.repeat(np.arange(size, dtype=np.int32), np.diff(starts))
    is_kept = flat != BREAK
    inner, inner_owner = of_symbol[flat[is_kept]], owner[is_kept]
    # Each mark takes two places more than it has symbols: they move up by one, and by two for each mark before.
    line = np.full(len(inner) + 2 * size, _END_CLASS, dtype=np.uint8)
    line[np.arange(len(inner)) + 2 * inner_owner.astype(np.int64) + 1] = inner
    counts = np.bincount(inner_owner, minlength=size) + 2
    return line, np.repeat(np.arange(size, dtype=np.int32), counts)


def _postings(line: Bytes, owner: Places, offsets: Sequence[int]) -> Iterator[tuple[int, Places]]:
    """Each run of one shape with the marks that hold it, each mark once."""
    span = len(line) - offsets[-1]
    if span <= 0:
        return
    codes = np.zeros(span, dtype=np.uint32)
    is_kept = owner[:span] == owner[offsets[-1] :]
    for offset in offsets:
        symbols = line[offset : offset + span]
        codes = codes * np.uint32(_BASE) + symbols
        is_kept &= symbols != _LOST_CLASS
    codes, owners = codes[is_kept], owner[:span][is_kept]
    # Codes are made dense so that they fit sixteen bits, which numpy sorts by radix.
    known, small = np.unique(codes, return_inverse=True) if len(codes) < 1000 else _numbered(codes)
    order = np.argsort(small.astype(np.uint16), kind="stable")
    small, owners = small[order], owners[order]
    is_new = np.ones(len(small), dtype=bool)
    is_new[1:] = (small[1:] != small[:-1]) | (owners[1:] != owners[:-1])
    small, owners = small[is_new], owners[is_new]
    bounds = np.searchsorted(small, np.arange(len(known) + 1))
    for at, code in enumerate(known):
        yield int(code), owners[bounds[at] : bounds[at + 1]].copy()


def _numbered(codes: npt.NDArray[np.uint32]) -> tuple[npt.NDArray[np.uint32], npt.NDArray[np.int64]]:
    present = np.flatnonzero(np.bincount(codes, minlength=1))
    number = np.zeros(int(present[-1]) + 1, dtype=np.int64)
    number[present] = np.arange(len(present))
    return present.astype(np.uint32), number[codes]
