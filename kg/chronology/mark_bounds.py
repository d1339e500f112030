"""What a transcribed mark bounds, ready to be laid as constraints, each labelled with its register or rule and source.

The name of a material or technique is read in the same way, by the rules on when it was first to be had.
A stretch of a mark that can be read in several ways bounds only what all its readings grant; ``assumed`` takes one of
them for granted, to see what would follow.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.marks.bounds import STRENGTHS, DatedBound, Strength
from kg.marks.reading import read_mark
from kg.marks.rules import MaterialUnknown, material
from kg.marks.tokens import Reading, Token
from kg.marks.transcription import TranscriptionNotUnderstood


@dataclass(frozen=True, slots=True)
class MarkBound:
    """A first or last day (in days) for putting a mark on a piece, and why."""

    day: int
    is_lower: bool
    strength: Strength
    label: str


@dataclass(frozen=True, slots=True)
class WayToRead:
    """One way to read an ambiguous stretch of a mark, with all bounds of the mark if it is read so."""

    what: str
    bounds: tuple[MarkBound, ...]


@lru_cache(maxsize=65_536)
def mark_bounds(text: str) -> tuple[MarkBound, ...]:
    """The bounds that a mark gives however it is read; none if the text is no transcription."""
    return tuple(bound for token in _tokens(text) for bound in _of_token(token))


@lru_cache(maxsize=4_096)
def ways_to_read(text: str) -> tuple[tuple[WayToRead, ...], ...]:
    """For each ambiguous stretch, the ways to read it; stretches that bound nothing in any way are left out."""
    tokens = _tokens(text)
    found = []
    for place, token in enumerate(tokens):
        if len(token.readings) < 2 or not any(reading.bounds for reading in token.readings):
            continue
        rest = tuple(b for n, other in enumerate(tokens) if n != place for b in _of_token(other))
        found.append(tuple(WayToRead(_named(r), (*rest, *_of_reading(r))) for r in token.readings))
    return tuple(found)


@lru_cache(maxsize=4_096)
def material_bounds(name: str) -> tuple[MarkBound, ...]:
    """When a material or technique of this name was to be had, by the rules; none if no row has that very name.

    A name without the row's remarks may mean something wider, so its bounds are at most usual.
    """
    try:
        row = material(name)
    except MaterialUnknown:
        return ()
    is_whole = row.name.casefold() == name.strip().casefold()
    why = f"only if it is {row.name}"
    bounds = row.bounds if is_whole else tuple(bound.at_most("usual", why) for bound in row.bounds)
    return tuple(
        MarkBound(day, is_lower, bound.strength, _label(bound))
        for bound in bounds
        for day, is_lower in ((bound.earliest, True), (bound.latest, False))
        if day is not None
    )


def _tokens(text: str) -> tuple[Token, ...]:
    try:
        return read_mark(text).tokens
    except TranscriptionNotUnderstood:
        return ()


def _named(reading: Reading) -> str:
    kind = (reading.series or reading.kind).replace("-", " ")
    number = f" {reading.number}" if reading.number and reading.number not in reading.text else ""
    return f"{reading.text} read as {kind}{number}"


def _of_token(token: Token) -> Iterator[MarkBound]:
    if len(token.readings) == 1 and not token.readings[0].alternatives:
        yield from _of_reading(token.readings[0])
        return
    for is_lower in (True, False):
        told: int | None = None
        for strength in STRENGTHS:
            agreed = _agreed(token, strength, is_lower=is_lower)
            if agreed is not None and agreed[0] != told:
                told, loosest = agreed
                label = f"however {token.readings[0].text} is read: {_label(loosest)}"
                yield MarkBound(told, is_lower, strength, label)


def _agreed(token: Token, strength: Strength, *, is_lower: bool) -> tuple[int, DatedBound] | None:
    """The day that every reading grants at this strength, with the bound that grants most."""
    strong = STRENGTHS[: STRENGTHS.index(strength) + 1]
    granted: list[tuple[int, DatedBound]] = []
    for reading in token.readings:
        days = [
            (day, bound)
            for bound in reading.bounds
            if bound.strength in strong and (day := bound.earliest if is_lower else bound.latest) is not None
        ]
        if not days or reading.alternatives:
            return None
        granted.append((max if is_lower else min)(days, key=lambda pair: pair[0]))
    if not granted:
        return None
    return (min if is_lower else max)(granted, key=lambda pair: pair[0])


def _of_reading(reading: Reading) -> Iterator[MarkBound]:
    for bound in reading.bounds:
        if bound.earliest is not None:
            yield MarkBound(bound.earliest, True, bound.strength, f"{reading.text}: {_label(bound)}")
        if bound.latest is not None:
            yield MarkBound(bound.latest, False, bound.strength, f"{reading.text}: {_label(bound)}")


def _label(bound: DatedBound) -> str:
    return f"{bound.sentence} ({bound.source})"
