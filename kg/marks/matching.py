"""Ranking recorded marks by how well they explain a mark in hand, even when half of it is gone.

A score is a logarithm to base 2, in bits: how much likelier the mark in hand is if it is the recorded one, worn and
misread, than if it is an unrelated mark of the trade. Ten bits are about thirty decibans, a thousand to one. It is no
probability: among a million recorded marks one unrelated mark is expected to reach twenty bits by chance. A mark
that scores nothing or less is no match and is left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from time import perf_counter

import numpy as np

from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.marks.confusion import ConfusionModel, Facing, confusion_model
from kg.marks.matching_align import COARSE, COARSE_BITS, COARSE_SYMBOLS, FINE, Places, layers, padded, plan_of
from kg.marks.matching_parts import DECIBANS_PER_BIT, Part, parts_of
from kg.marks.matching_shelf import Shelf, largest
from kg.marks.matching_symbols import Step, shown, steps_of, symbols_of, symbols_of_texts, turned
from kg.marks.matching_trade import TradeModel
from kg.marks.transcription import Transcription, TranscriptionNotUnderstood, parse_transcription

#: So many recorded marks, those that share the most with the mark in hand, are aligned with it.
CANDIDATES = 6_000
#: Of these, so many that look best at first are aligned in full.
FINALISTS = 300
#: A mirrored or inverted mark is typed as often as it reads as it is seen.
_EITHER_WAY = 0.5


class NothingToMatch(KilnmarkError):
    """A mark was to be compared, but nothing of it can be read."""


@dataclass(frozen=True, slots=True)
class Match:
    """A recorded mark that may be the one in hand, with its score and the parts that make it up."""

    id: str
    score_bits: float
    parts: tuple[Part, ...]
    """In the order of the mark; their bits add up to the score."""
    recorded: str = ""
    """The recorded mark as it was compared: in capitals, points and spaces alike."""
    facing: Facing = "as written"
    """Mirrored or inverted if one of the two had to be turned round to compare them."""

    @property
    def decibans(self) -> float:
        """The score in decibans."""
        return self.score_bits * DECIBANS_PER_BIT

    @property
    def told(self) -> tuple[str, ...]:
        """The parts as short sentences, with their weights in decibans."""
        return tuple(part.told for part in self.parts)


@dataclass(frozen=True, slots=True)
class _Comparison:
    """One way to compare the mark in hand: with which shelf, turned how, with which part of the score settled."""

    shelf: Shelf
    steps: tuple[Step, ...]
    facing: Facing
    settled_bits: float = 0.0

    @property
    def settled(self) -> int:
        """What is settled before any character is compared, in the unit of scores."""
        return round(self.settled_bits * FINE.per_bit)


_Found = tuple[int, _Comparison, int]  # the score, how it was compared, the place on the shelf


@dataclass(frozen=True)
class MarkIndex:
    """Recorded marks, made ready for comparing: build it once, search it often."""

    ids: tuple[str, ...]
    shelves: tuple[Shelf, ...]
    """All marks as they were typed; behind them the mirrored and the inverted ones, turned back."""
    trade: TradeModel
    model: ConfusionModel
    build_seconds: float

    @classmethod
    def build(cls, ids: Sequence[str], marks: Sequence[Transcription | str]) -> MarkIndex:
        """The index of some marks: transcriptions, or plain texts that are taken as they stand.

        :raises ValueError: if there is not one id for each mark.

        >>> index = MarkIndex.build(["a", "b", "c"], ["D.R.G.M. 171104", "Germany 6", "Depose 4"])
        >>> index.search("Gemnany 6", 1)[0].id
        'b'
        """
        begun = perf_counter()
        if len(ids) != len(marks):
            raise ValueError(f"{len(ids)} ids for {len(marks)} marks; give one for each")
        model = confusion_model()
        upright = list(zip(_symbols_of_all(marks), range(len(marks)), strict=True))
        shelves = [Shelf.of("as written", upright, model)]
        for facing in ("mirrored", "inverted"):
            faced = [(s[::-1], at) for s, at in upright if getattr(marks[at], "orientation", "") == facing]
            if faced:
                shelves.append(Shelf.of(facing, faced, model))
        trade = TradeModel.learned([symbols for symbols, _ in upright])
        return cls(tuple(ids), tuple(shelves), trade, model, perf_counter() - begun)

    @property
    def bytes_held(self) -> int:
        """The memory that the index takes beside the ids: the marks, and their runs."""
        return sum(shelf.bytes_held for shelf in self.shelves)

    @property
    def expected_by_chance_bits(self) -> float:
        """The score that one unrelated mark among all those recorded is expected to reach by chance."""
        return math.log2(max(1, len(self.ids)))

    def search(self, mark: Transcription | str, count: int = 10) -> list[Match]:
        """The recorded marks that explain a mark best, the best first; equal ones in the order of recording.

        Only the marks that share the most runs of characters are aligned. Ids that bear the same mark each have
        their own place.

        :raises NothingToMatch: if nothing of the mark can be read.
        """
        return self._ranked(mark, count, is_exhaustive=False)

    def exhaustive(self, mark: Transcription | str, count: int = 10) -> list[Match]:
        """What ``search`` finds if every recorded mark is aligned in full: the judge of its recall.

        :raises NothingToMatch: if nothing of the mark can be read.
        """
        return self._ranked(mark, count, is_exhaustive=True)

    def _ranked(self, mark: Transcription | str, count: int, *, is_exhaustive: bool) -> list[Match]:
        found: list[_Found] = []
        for way in self._comparisons(mark):
            whole = np.arange(len(way.shelf.records), dtype=np.intp)
            places = whole if is_exhaustive else self._finalists(way, max(count, FINALISTS))
            found += self._scored(way, places, count)
        found.sort(key=lambda f: (-f[0], f[1].shelf.owners[f[2]]))
        return list(self._told(found, count))

    def _finalists(self, way: _Comparison, most: int) -> Places:
        """The marks on a shelf that are worth aligning in full."""
        shelf = way.shelf
        plan = plan_of(way.steps, self.trade, self.model, way.facing, COARSE)
        is_long = len(way.steps) > COARSE_SYMBOLS // 2 or sum(plan.worth) > COARSE_BITS
        places = shelf.candidates(way.steps, plan, self.model, most * 3 if is_long else CANDIDATES)
        if is_long:  # its scores would not fit the coarse unit
            return places
        short = shelf.lengths[places] + len(way.steps) <= COARSE_SYMBOLS
        best = largest(shelf.scored(plan, places[short]), most)
        return np.concatenate([places[short][best], places[~short]])

    def _scored(self, way: _Comparison, places: Places, count: int) -> Iterator[_Found]:
        """The best of some marks on a shelf, all those that equal the last of them included."""
        results = way.shelf.scored(plan_of(way.steps, self.trade, self.model, way.facing), places) + way.settled
        floor = 1
        if len(results) > count:
            floor = max(floor, int(np.partition(results, -count)[-count]))
        for at in np.flatnonzero(results >= floor).tolist():
            yield int(results[at]), way, int(places[at])

    def _told(self, found: Sequence[_Found], count: int) -> Iterator[Match]:
        """The first matches of a ranking, each id once, with their parts."""
        told: set[str] = set()
        for score, way, place in found:
            parts: tuple[Part, ...] = ()
            for owner in way.shelf.owners[place]:
                if len(told) == count:
                    return
                name = self.ids[owner]
                if name not in told:
                    told.add(name)
                    parts = parts or self._parts(way, place)
                    recorded = shown(way.shelf.records[place])
                    yield Match(name, score / FINE.per_bit, parts, recorded, way.facing)

    def _parts(self, way: _Comparison, place: int) -> tuple[Part, ...]:
        record = way.shelf.records[place]
        plan = plan_of(way.steps, self.trade, self.model, way.facing)
        parts = parts_of(plan, layers(plan, padded([record])), record, 0)
        return (*parts, Part("facing", "", "", way.settled / FINE.per_bit)) if way.settled else parts

    def _comparisons(self, mark: Transcription | str) -> Iterator[_Comparison]:
        """All ways in which the mark in hand and those on record may have been typed."""
        steps = steps_of(mark)
        if not any(step.kind in ("character", "uncertain") for step in steps):
            raise NothingToMatch(
                f"Nothing of {str(mark)!r} can be read, so it resembles every mark alike. "
                f"Type at least one character that is seen, even an uncertain one such as 'A?'."
            )
        half = math.log2(_EITHER_WAY)
        facing: Facing = "as written" if isinstance(mark, str) else mark.orientation
        for shelf in self.shelves[1:]:
            if shelf.facing != facing:
                yield _Comparison(shelf, steps, shelf.facing, half)
        if facing == "as written":
            yield _Comparison(self.shelves[0], steps, "as written")
            return
        ways = {"as written": steps, facing: turned(steps)}
        at_large = [sum(map(math.log2, self.trade.chances(way))) for way in ways.values()]
        # An unrelated mark may have been typed either way too, so both ways are held against one likelihood.
        either = float(np.logaddexp2(*at_large)) + half
        for (turn, way), bits in zip(ways.items(), at_large, strict=True):
            yield _Comparison(self.shelves[0], way, "as written" if turn == "as written" else facing, half + bits - either)


def _symbols_of_all(marks: Sequence[Transcription | str]) -> list[bytes]:
    texts = [mark for mark in marks if isinstance(mark, str)]
    plain = iter(symbols_of_texts(texts) if texts else [])
    return [next(plain) if isinstance(mark, str) else symbols_of(mark) for mark in marks]


def nearest(mark: Transcription | str, view: WorkingView, count: int = 10) -> list[Match]:
    """The marks on record in a daybook that explain a mark best; a match's id is the thing that is so marked.

    :raises NothingToMatch: if nothing of the mark can be read.
    """
    return daybook_index(view).search(mark, count)


def daybook_index(view: WorkingView) -> MarkIndex:
    """The index of all marks that a daybook's live claims transcribe; keep it for several searches of one view."""
    claims = [claim for claim in view.live if claim.property == "transcribed"]
    return MarkIndex.build([claim.subject for claim in claims], [_read(claim.value) for claim in claims])


def _read(written: str) -> Transcription | str:
    """A recorded mark as a transcription, or as plain text where it does not follow the conventions."""
    try:
        return parse_transcription(written)
    except TranscriptionNotUnderstood:
        return written
