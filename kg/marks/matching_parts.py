"""The parts of a match: which characters agree, which were confused, which are lost, and what each weighs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from kg.marks.matching_align import Layer, Plan
from kg.marks.matching_symbols import ANY, BREAK, LOST, Step, shown

PartKind = Literal["same", "common", "uncertain", "confused", "lost", "missing", "added", "spacing", "facing"]
WORDS: dict[PartKind, str] = {
    "same": "agrees",
    "common": "agrees, as on the marks of many makers",
    "uncertain": "agrees with uncertain characters",
    "confused": "may be a misreading",
    "lost": "is lost on one of the two",
    "missing": "is recorded but not seen",
    "added": "is seen but not recorded",
    "spacing": "is spaced or pointed otherwise",
    "facing": "is read turned round, or may be",
}


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of an alignment: what is seen, what is recorded, and how many bits that is worth."""

    kind: PartKind
    seen: str
    recorded: str
    bits: float

    @property
    def decibans(self) -> float:
        """The weight in decibans, ten to a factor of ten."""
        return self.bits * DECIBANS_PER_BIT

    @property
    def told(self) -> str:
        """The part as a short sentence."""
        named = {"missing": f"{self.recorded!r}", "facing": "The whole"}.get(self.kind, f"{self.seen!r}")
        if self.kind in ("confused", "lost", "spacing"):
            named = f"{self.seen!r} against {self.recorded!r}"
        return f"{named} {WORDS[self.kind]} ({self.decibans:+.0f} decibans)"


#: Ten times the logarithm of 2 to base 10.
DECIBANS_PER_BIT = 3.0102999566398120
_Piece = tuple[PartKind, str, bytes, int]


def parts_of(plan: Plan, kept: Sequence[Layer], record: bytes, column: int) -> tuple[Part, ...]:
    """The parts of one alignment in the order of the mark; their bits add up to its score."""
    pieces = _joined(list(_Trace(plan, kept, record, column).pieces())[::-1])
    found: list[Part] = []
    for kind, run in groupby(pieces, key=lambda piece: piece[0]):
        together = list(run)
        seen = "".join(piece[1] for piece in together)
        recorded = shown(b"".join(piece[2] for piece in together))
        found.append(Part(kind, seen, recorded, sum(piece[3] for piece in together) / plan.unit.per_bit))
    return tuple(found)


def _joined(pieces: Sequence[_Piece]) -> Iterator[_Piece]:
    """The pieces of an alignment, a space or point behind common wording counted with it."""
    before: PartKind = "same"
    for kind, seen, recorded, weight in pieces:
        is_behind = kind == "same" and before == "common" and recorded == bytes([BREAK])
        before = "common" if is_behind else kind
        yield before, seen, recorded, weight


class _Trace:
    """Follows the best alignment of one mark back from its end."""

    def __init__(self, plan: Plan, kept: Sequence[Layer], record: bytes, column: int) -> None:
        self.plan, self.record = plan, record
        self.best, self.stepped, self.paired, self.added = (
            [getattr(layer, name)[:, column].tolist() for layer in kept]
            for name in ("best", "stepped", "paired", "added")
        )
        self.run = [0]
        for symbol in record:
            self.run.append(self.run[-1] + int(plan.prices.skip_more[symbol]))
        self.at, self.place = len(plan.rows), len(record)
        self.is_adding = False

    def pieces(self) -> Iterator[_Piece]:
        while self.at or self.place:
            if not self.is_adding:
                yield from self.passed_over()
            if self.at:
                yield self.adding() if self.is_adding else self.pairing()

    def passed_over(self) -> Iterator[_Piece]:
        """What of the record was passed over behind the last step."""
        score = self.best[self.at][self.place]
        if score != self.stepped[self.at][self.place]:
            begins = next(k for k in range(self.place) if score == self._after_run_from(k))
            weight = score - self.stepped[self.at][begins]
            yield "missing", "", self.record[begins : self.place], weight
            self.place = begins
        score = self.stepped[self.at][self.place]
        if score != self.paired[self.at][self.place]:
            self.place -= 1
            symbol = self.record[self.place]
            yield (
                "spacing" if symbol == BREAK else "lost",
                "",
                bytes([symbol]),
                score - self.paired[self.at][self.place],
            )

    def _after_run_from(self, begins: int) -> int:
        passed = self.run[self.place] - self.run[begins]
        return int(self.stepped[self.at][begins] + passed + self.plan.prices.missing_begins)

    def pairing(self) -> _Piece:
        """What the last step was paired with."""
        score, before, row = (
            self.paired[self.at][self.place],
            self.best[self.at - 1],
            self.plan.rows[self.at - 1],
        )
        step = row.step
        if step.kind == "any":
            begins = next(k for k in range(self.place + 1) if before[k] == score)
            piece: _Piece = ("lost", step.seen, self.record[begins : self.place], 0)
            self.at, self.place = self.at - 1, begins
            return piece
        if self.place:
            symbol = self.record[self.place - 1]
            weight = int(row.against[symbol])
            if before[self.place - 1] + weight == score:
                self.at, self.place = self.at - 1, self.place - 1
                return _kind(step, symbol), step.seen, bytes([symbol]), weight
        if step.kind == "perhaps lost":
            self.at -= 1
            return "lost", step.seen, b"", 0
        return self.adding()

    def adding(self) -> _Piece:
        """The last step as an addition to what is recorded."""
        cost, step = self.plan.prices, self.plan.rows[self.at - 1].step
        score, before = self.added[self.at][self.place], self.best[self.at - 1][self.place]
        self.at -= 1
        self.is_adding = False
        if step.kind == "break" and score == before + cost.break_added:
            return "spacing", step.seen, b"", cost.break_added
        if step.kind != "break" and self.place and self.record[self.place - 1] == ANY and score == before:
            return "lost", step.seen, b"", 0
        if step.kind != "break" and score == before + cost.added_begins + cost.added_more:
            return "added", step.seen, b"", cost.added_begins + cost.added_more
        self.is_adding = True
        return "added", step.seen, b"", score - self.added[self.at][self.place]


def _kind(step: Step, symbol: int) -> PartKind:
    if step.symbol in (LOST, ANY) or symbol in (LOST, ANY):
        return "lost"
    if step.symbol != symbol:
        return "confused"
    if step.usual is not None:
        return "common"
    return "uncertain" if step.kind == "uncertain" else "same"
