"""Ranking recorded marks by how well they explain a mark in hand, even when half of it is gone.

A score is a logarithm to base 2, in bits: how much likelier the mark in hand is if it is the recorded one, worn
and misread, than if it is an unrelated mark of the trade. Ten bits are about thirty decibans, a thousand to one.
It is no probability: among a million recorded marks one unrelated mark is expected to reach twenty bits by
chance. A mark that scores less than nothing is likelier unrelated; a search leaves it out unless told otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from time import perf_counter

import numpy as np

from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.marks.confusion import ConfusionModel, Facing, confusion_model
from kg.marks.matching_align import (
    COARSE,
    COARSE_BITS,
    COARSE_SYMBOLS,
    FINE,
    Places,
    Plan,
    layers,
    padded,
    plan_of,
)
from kg.marks.matching_common import Counted, bearers, is_common_alone, weighed_steps
from kg.marks.matching_parts import DECIBANS_PER_BIT, Part, parts_of
from kg.marks.matching_shelf import Shelf, largest
from kg.marks.matching_symbols import Step, shown, symbols_of, symbols_of_texts, turned
from kg.marks.matching_trade import TradeModel, sampled
from kg.marks.transcription import (
    Transcription,
    TranscriptionNotUnderstood,
    parse_transcription,
    without_head,
)

#: The marks that could still be among the best after a first look are aligned in full, at most so many.
FINALISTS = 500
#: What is faint, and shown only if asked for, reaches down to a thousand to one against: a fragment typed as if it
#: were the whole mark scores low against its own record.
LEAST_BITS_SHOWN = -10.0
#: A mirrored or inverted mark is typed as often as it reads as it is seen.
_EITHER_WAY = 0.5
_WHY_COMMON_ALONE = (
    "All that can be read is wording that the law or the customs asked for; "
    "it stands on the marks of every maker and tells none from another"
)


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


_Found = tuple[int, "_Comparison", int]  # the score, how it was compared, the place on the shelf


@dataclass(frozen=True)
class _Comparison:
    """One way to compare the mark in hand: with which shelf, turned how, at what cost."""

    shelf: Shelf
    steps: tuple[Step, ...]
    facing: Facing
    trade: TradeModel
    model: ConfusionModel
    settled_bits: float = 0.0

    @property
    def settled(self) -> int:
        """What is settled before any character is compared, in the unit of scores."""
        return round(self.settled_bits * FINE.per_bit)

    @cached_property
    def plan(self) -> Plan:
        """The mark in hand ready for alignment in full."""
        return plan_of(self.steps, self.trade, self.model, self.facing)

    def finalists(self, count: int) -> Places:
        """The marks on the shelf that are worth aligning in full."""
        shelf, steps = self.shelf, self.steps
        is_long = len(steps) > COARSE_SYMBOLS // 2 or sum(self.plan.worth) > COARSE_BITS
        places = shelf.candidates(steps, self.plan, self.model)
        if is_long:  # its scores would not fit the coarse unit
            return places
        short = shelf.lengths[places] + len(steps) <= COARSE_SYMBOLS
        kept, rest = places[short], places[~short]
        if len(kept) > count:
            looks = shelf.scored(plan_of(steps, self.trade, self.model, self.facing, COARSE), kept)
            # Two rounded sums of so many terms each are within as many units of what they would be unrounded.
            slack = len(steps) + int(shelf.lengths[kept].max())
            could_win = looks >= int(np.partition(looks, -count)[-count]) - slack
            kept = kept[could_win] if could_win.sum() <= FINALISTS else kept[largest(looks, FINALISTS)]
        return np.concatenate([kept, rest])

    def scored(self, places: Places, count: int, least_bits: float) -> Iterator[_Found]:
        """The best of some marks on the shelf, all those that equal the last of them included."""
        results = self.shelf.scored(self.plan, places) + self.settled
        floor = math.ceil(least_bits * FINE.per_bit)
        if len(results) > count:
            floor = max(floor, int(np.partition(results, -count)[-count]))
        for at in np.flatnonzero(results >= floor).tolist():
            yield int(results[at]), self, int(places[at])

    def parts(self, places: Sequence[int]) -> Iterator[tuple[Part, ...]]:
        """The parts of the alignment with each of some marks on the shelf."""
        records = [self.shelf.records[place] for place in places]
        kept = layers(self.plan, padded(records))
        turning = (Part("facing", "", "", self.settled / FINE.per_bit),) if self.settled else ()
        for column, record in enumerate(records):
            yield parts_of(self.plan, kept, record, column) + turning


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
        # Each mark counts once, however many pieces bear it: the other side is an unrelated mark, not a piece.
        trade = TradeModel.learned(shelves[0].records)
        return cls(tuple(ids), tuple(shelves), trade, model, perf_counter() - begun)

    @cached_property
    def _bearers(self) -> Counted:
        """Counts how many marks bear some wording; of very many, in a part of them."""
        return bearers(sampled(self.shelves[0].records))

    @property
    def bytes_held(self) -> int:
        """The memory that the index takes beside the ids: the marks, and their runs."""
        return sum(shelf.bytes_held for shelf in self.shelves)

    def search(self, mark: Transcription | str, count: int = 10, least_bits: float = 0.0) -> list[Match]:
        """The recorded marks that explain a mark best, the best first; equal ones in the order of recording.

        Only the marks that share the most runs of characters are aligned. Ids that bear the same mark have a
        place each. Marks below ``least_bits`` are left out.

        :raises NothingToMatch: if nothing of the mark can be read.
        """
        return self._ranked(mark, count, least_bits, is_exhaustive=False)

    def offered(
        self, mark: Transcription | str, count: int = 10, *, with_faint: bool = False
    ) -> tuple[list[Match], str]:
        """The marks to offer somebody who asks for the nearest, and why they are none or tell little.

        A mark of nothing but wording that a great many marks bear is offered none, unless faint ones are wanted.

        :raises NothingToMatch: if nothing of the mark can be read.
        """
        why = _WHY_COMMON_ALONE if is_common_alone(mark) else ""
        if why and not with_faint:
            return [], why
        found = self.search(mark, count, LEAST_BITS_SHOWN if with_faint else 0.0)
        return found, why or ("" if found else "No mark on record is likelier the same than another")

    def exhaustive(self, mark: Transcription | str, count: int = 10, least_bits: float = 0.0) -> list[Match]:
        """What ``search`` finds if every recorded mark is aligned in full: the judge of its recall.

        :raises NothingToMatch: if nothing of the mark can be read.
        """
        return self._ranked(mark, count, least_bits, is_exhaustive=True)

    def _ranked(
        self, mark: Transcription | str, count: int, least_bits: float, *, is_exhaustive: bool
    ) -> list[Match]:
        found: list[_Found] = []
        for way in self._comparisons(mark):
            whole = np.arange(len(way.shelf.records), dtype=np.intp)
            found += way.scored(whole if is_exhaustive else way.finalists(count), count, least_bits)
        found.sort(key=lambda f: (-f[0], f[1].shelf.owners[f[2]]))
        return self._matches(self._first(found, count))

    def _first(self, found: Sequence[_Found], count: int) -> dict[str, _Found]:
        """The first ids of a ranking, each once, with what was found."""
        first: dict[str, _Found] = {}
        for one in found:
            for owner in one[1].shelf.owners[one[2]]:
                if len(first) == count:
                    return first
                first.setdefault(self.ids[owner], one)
        return first

    @staticmethod
    def _matches(first: dict[str, _Found]) -> list[Match]:
        parts: dict[tuple[int, int], tuple[Part, ...]] = {}
        for way in {id(way): way for _, way, _ in first.values()}.values():
            places = sorted({place for _, its, place in first.values() if its is way})
            parts.update(zip(((id(way), place) for place in places), way.parts(places), strict=True))
        return [
            Match(
                id=name,
                score_bits=score / FINE.per_bit,
                parts=parts[id(way), place],
                recorded=shown(way.shelf.records[place]),
                facing=way.facing,
            )
            for name, (score, way, place) in first.items()
        ]

    def _comparisons(self, mark: Transcription | str) -> Iterator[_Comparison]:
        """All ways in which the mark in hand and those on record may have been typed."""
        steps = self._steps(mark, "as written")
        if not any(step.kind in ("character", "uncertain") for step in steps):
            raise NothingToMatch(
                f"Nothing of {str(mark)!r} can be read, so it resembles every mark alike. "
                f"Type at least one character that is seen, even an uncertain one such as 'A?'."
            )
        half = math.log2(_EITHER_WAY)
        facing: Facing = "as written" if isinstance(mark, str) else mark.orientation
        for shelf in self.shelves[1:]:
            if shelf.facing != facing:
                so_faced = self._steps(mark, shelf.facing)
                yield _Comparison(shelf, so_faced, shelf.facing, self.trade, self.model, half)
        if facing == "as written":
            yield _Comparison(self.shelves[0], steps, "as written", self.trade, self.model)
            return
        ways: dict[Facing, tuple[Step, ...]] = {
            "as written": steps,
            facing: turned(self._steps(mark, facing)),
        }
        at_large = [self._at_large(way) for way in ways.values()]
        # An unrelated mark may have been typed either way too, so both ways are held against one likelihood.
        either = float(np.logaddexp2(at_large[0], at_large[1])) + half
        for (turn, way), bits in zip(ways.items(), at_large, strict=True):
            yield _Comparison(self.shelves[0], way, turn, self.trade, self.model, half + bits - either)

    def _steps(self, mark: Transcription | str, facing: Facing) -> tuple[Step, ...]:
        return weighed_steps(mark, self._bearers, self.model, facing)

    def _at_large(self, way: Sequence[Step]) -> float:
        """How likely a way to read the mark is in the trade, in bits; common wording weighs alike either way."""
        chances = zip(way, self.trade.chances(way), strict=True)
        return math.fsum(math.log2(chance) for step, chance in chances if step.usual is None)


def _symbols_of_all(marks: Sequence[Transcription | str]) -> list[bytes]:
    texts = [mark for mark in marks if isinstance(mark, str)]
    plain = iter(symbols_of_texts(texts) if texts else [])
    return [next(plain) if isinstance(mark, str) else symbols_of(mark) for mark in marks]


def nearest(mark: Transcription | str, view: WorkingView, count: int = 10) -> list[Match]:
    """The marks on record in a daybook that explain a mark best; a match's id is the mark.

    Those that are somewhat likelier unrelated are among them, with their scores below zero.

    :raises NothingToMatch: if nothing of the mark can be read.
    """
    return daybook_index(view).search(mark, count, LEAST_BITS_SHOWN)


def daybook_index(view: WorkingView) -> MarkIndex:
    """The index of all marks that a daybook's live claims transcribe; one serves many searches of one view."""
    claims = [claim for claim in view.live if claim.property == "transcribed"]
    return MarkIndex.build([claim.subject for claim in claims], [_read(claim.value) for claim in claims])


def _read(written: str) -> Transcription | str:
    """A recorded mark as a transcription, or as plain text where it does not follow the conventions."""
    try:
        return parse_transcription(written)
    except TranscriptionNotUnderstood:
        return without_head(written)
