"""The alignment against a slow one written from the definition, and the laws of its parts."""

from __future__ import annotations

import math
from functools import cache
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.marks.confusion import confusion_model
from kg.marks.matching import MarkIndex
from kg.marks.matching_align import COARSE, FINE, layers, padded, plan_of, scores
from kg.marks.matching_parts import parts_of
from kg.marks.matching_symbols import ANY, BREAK, FIRST, LOST, SYMBOLS, Step, shown, steps_of, symbols_of
from kg.marks.matching_trade import TradeModel
from kg.marks.transcription import parse_transcription

MODEL = confusion_model()
RECORDS = (
    "D.R.G.M. 171104 Germany",
    "Germany 139/4",
    "1[---]04 Germany",
    "K & O 8",
    "A[..]9",
    "[---]38 B",
    "S 5 I",
)
TRADE = TradeModel.learned([symbols_of(parse_transcription(text)) for text in RECORDS])
PIECES = (
    "3",
    "8",
    "1?",
    "I",
    "0",
    "O",
    " ",
    " / ",
    "G",
    "ER",
    "M",
    "/4",
    "[.]",
    "[..]",
    "[- 1-3 -]",
    "[---]",
    "S?",
)
MARKS = st.lists(st.sampled_from(PIECES), min_size=1, max_size=9).map(lambda pieces: "".join(pieces) + "3")
NEVER = -math.inf


class SlowAlignment:
    """The best alignment by recursion over the two ends, in bits."""

    def __init__(self, steps: tuple[Step, ...], record: bytes) -> None:
        self.steps, self.record = steps, record
        chance = {row.written: math.log2(row.chance) for row in MODEL.rows if row.kind == "chance"}
        self.missing, self.more_missing = chance["missing run begins"], chance["missing run goes on"]
        self.adding, self.more_adding = chance["added run begins"], chance["added run goes on"]
        self.spacing = chance["space or point"]
        self.usual = TRADE.chances(steps)
        self.best, self.added = cache(self._best), cache(self._added)

    @property
    def score(self) -> float:
        return self.best(len(self.steps), len(self.record))

    def pair(self, at: int, symbol: int) -> float:
        step = self.steps[at]
        if symbol in (LOST, ANY):
            return 0.0
        if step.kind in ("lost", "perhaps lost"):
            return NEVER if symbol == BREAK else 0.0
        if (step.kind == "break") != (symbol == BREAK):
            return NEVER
        if step.kind == "break":
            return math.log2((1 - 2**self.spacing) / self.usual[at])
        goes_on = 1 - 2**self.missing - 2**self.adding
        seen = MODEL.seen_as(is_uncertain=step.kind == "uncertain")[symbol, step.symbol]
        return math.log2(seen * goes_on / self.usual[at])

    def run(self, begin: int, end: int) -> float:
        return sum(0.0 if self.record[k] in (BREAK, ANY) else self.more_missing for k in range(begin, end))

    def _best(self, at: int, place: int) -> float:
        runs = (self.missing + self.run(k, place) + self.stepped(at, k) for k in range(place))
        return max(self.stepped(at, place), *runs, NEVER)

    def stepped(self, at: int, place: int) -> float:
        here = self.paired(at, place)
        if not place or self.record[place - 1] not in (BREAK, ANY):
            return here
        behind_loss = at > 0 and self.steps[at - 1].symbol in (LOST, ANY)
        skip = 0.0 if behind_loss or self.record[place - 1] == ANY else self.spacing
        return max(here, skip + self.paired(at, place - 1))

    def paired(self, at: int, place: int) -> float:
        if at == 0:
            return 0.0 if place == 0 else NEVER
        kind = self.steps[at - 1].kind
        if kind == "any":
            return max(self.best(at - 1, k) for k in range(place + 1))
        found = self.best(at - 1, place) if kind == "perhaps lost" else self.added(at, place)
        if place:
            found = max(found, self.best(at - 1, place - 1) + self.pair(at - 1, self.record[place - 1]))
        return found

    def _added(self, at: int, place: int) -> float:
        if at == 0:
            return NEVER
        if self.steps[at - 1].kind == "break":
            return max(self.best(at - 1, place) + self.spacing, self.added(at - 1, place))
        free = self.best(at - 1, place) if place and self.record[place - 1] == ANY else NEVER
        return max(
            free, max(self.best(at - 1, place) + self.adding, self.added(at - 1, place)) + self.more_adding
        )


@settings(max_examples=150, deadline=None)
@given(MARKS, st.sampled_from(RECORDS) | MARKS)
def test_the_score_is_that_of_the_best_alignment_by_definition(seen: str, recorded: str) -> None:
    steps, record = steps_of(parse_transcription(seen)), symbols_of(parse_transcription(recorded))
    found = scores(plan_of(steps, TRADE, MODEL), padded([record]), np.array([len(record)]))[0] / FINE.per_bit
    # Each term is rounded to a thousandth of a bit.
    assert found == pytest.approx(
        SlowAlignment(steps, record).score, abs=(len(steps) + len(record) + 2) / 2000
    )


@settings(max_examples=150, deadline=None)
@given(MARKS, st.lists(st.sampled_from(RECORDS) | MARKS, min_size=1, max_size=5))
def test_the_parts_add_up_to_the_score_and_spell_both_marks(seen: str, recorded: list[str]) -> None:
    steps = steps_of(parse_transcription(seen))
    records = [symbols_of(parse_transcription(text)) for text in recorded]
    plan, table = plan_of(steps, TRADE, MODEL), padded(records)
    results = scores(plan, table, np.array([len(r) for r in records]))
    for column, record in enumerate(records):
        parts = parts_of(plan, layers(plan, table), record, column)
        assert sum(round(part.bits * FINE.per_bit) for part in parts) == results[column]
        assert "".join(part.recorded for part in parts) == shown(record)
        assert "".join(part.seen for part in parts) == "".join(step.seen for step in steps)


@settings(max_examples=100, deadline=None)
@given(MARKS, st.sampled_from(RECORDS) | MARKS)
def test_a_first_look_is_as_near_as_its_rounding_allows(seen: str, recorded: str) -> None:
    steps, record = steps_of(parse_transcription(seen)), symbols_of(parse_transcription(recorded))
    table, lengths = padded([record]), np.array([len(record)])
    coarse = scores(plan_of(steps, TRADE, MODEL, unit=COARSE), table, lengths)[0] / COARSE.per_bit
    fine = scores(plan_of(steps, TRADE, MODEL), table, lengths)[0] / FINE.per_bit
    assert abs(coarse - fine) <= (len(steps) + len(record) + 2) / COARSE.per_bit / 2 + 0.05


@settings(max_examples=50, deadline=None)
@given(MARKS, MARKS)
def test_a_score_is_the_same_alone_and_among_longer_marks(seen: str, recorded: str) -> None:
    plan, record = (
        plan_of(steps_of(parse_transcription(seen)), TRADE, MODEL),
        symbols_of(parse_transcription(recorded)),
    )
    long = symbols_of("G.R.M. 1380 SERO 138/4 ER")
    alone = scores(plan, padded([record]), np.array([len(record)]))[0]
    among = scores(plan, padded([long, record]), np.array([len(long), len(record)]))[1]
    assert alone == among


# A busy machine may take its time at any one example.
@settings(deadline=None)
@given(st.text(alphabet="GERMANY 1380./", max_size=6))
def test_the_chances_of_what_may_come_next_in_the_trade_add_up_to_one(before: str) -> None:
    context = symbols_of(before)
    total = sum(TRADE.chance(context, symbol) for symbol in (BREAK, *range(FIRST, SYMBOLS)))
    assert total == pytest.approx(1)


def test_a_word_that_stands_on_most_marks_weighs_less_than_a_number_that_stands_on_one() -> None:
    index = MarkIndex.build([str(n) for n in range(50)], [f"Germany {n * 137 % 1000:03d}" for n in range(50)])
    best = index.search("Germany 137", 1)[0]
    assert best.id == "1"
    assert best.score_bits > 4
    assert index.search(parse_transcription("Germany [...]")) == []


def test_a_mark_of_the_greatest_length_is_compared_without_overflow() -> None:
    random = Random(5)
    long = "".join(random.choice("ABCDEFGHKLMNPRST1234567890") for _ in range(900))
    index = MarkIndex.build(["long", "short"], [long, "AB 1"])
    best = index.search(long, 1)[0]
    assert best.id == "long"
    assert best.score_bits == pytest.approx(sum(part.bits for part in best.parts))
    assert best.score_bits > 1000
