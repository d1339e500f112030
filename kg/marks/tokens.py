"""The plain text of a mark with its losses marked, and what reading finds in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from kg.dates.window import Window
from kg.marks.bounds import DatedBound
from kg.marks.glyphs import Element, Gap, Glyph, LineBreak, Vacant, spelled
from kg.marks.rules import Caution, spellings
from kg.marks.transcription import Transcription

#: Stands for one lost character, and for a lost stretch, in the text that is searched.
LOST, STRETCH = "□", "⋯"
DIGIT = rf"[\d{LOST}{STRETCH}]"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a stretch of a mark, with the bounds that it gives for the making of the piece.

    ``alternatives`` names the other ways to read the same stretch; while there are any, no bound here is hard.
    """

    kind: str
    text: str
    number: str | None = None
    bounds: tuple[DatedBound, ...] = ()
    sentence: str = ""
    series: str | None = None
    lowest: int | None = None
    highest: int | None = None
    registered: Window | None = None
    """When the number was given out, by its register."""
    limits: tuple[str, ...] = ()
    """What the register's table cannot say."""
    question: str | None = None
    cautions: tuple[Caution, ...] = ()
    alternatives: tuple[str, ...] = ()
    start: int = 0
    end: int = 0


@dataclass(frozen=True, slots=True)
class Token:
    """A stretch of a mark with every way to read it, from ``start`` up to ``end`` in the searched text."""

    start: int
    end: int
    readings: tuple[Reading, ...]
    #: Tokens of one stretch are read together, as ways that exclude each other, only within one family.
    family: str = "words"


@dataclass(frozen=True, slots=True)
class Plain:
    """The text of a mark for searching: one character an element, with losses as ``□`` and ``⋯``.

    A new line is ``\\n``. ``filled`` are the places where a lost character was completed from a known wording.
    """

    text: str
    elements: tuple[Element, ...]
    filled: frozenset[int] = field(default=frozenset())
    #: Where each character stands in the text with every expansion and without completions.
    origin: tuple[int, ...] = ()

    @classmethod
    def of(cls, mark: Transcription, *, is_expanded: bool) -> Plain:
        """The text of a mark, with or without the letters that the reader supplied to abbreviations."""
        kept = [(at, e) for at, e in enumerate(mark.elements) if is_expanded or not _is_expansion(e)]
        text = "".join(_sign(e) for _, e in kept)
        return cls(text, tuple(e for _, e in kept), origin=tuple(at for at, _ in kept))

    def place(self, start: int, end: int) -> tuple[int, int]:
        """Where a stretch of this text stands in the whole text, from its first up to its last character."""
        places = self.origin[start:end]
        return min(places), max(places) + 1

    @property
    def certain(self) -> str:
        """The text with every character that is not clear put down as lost."""
        return "".join(
            LOST if isinstance(e, Glyph) and e.state in ("unclear", "restored", "erased") else char
            for char, e in zip(self.text, self.elements, strict=True)
        )

    def has(self, start: int, end: int, *states: str) -> bool:
        """Whether some character of a stretch is in one of these states."""
        return any(isinstance(e, Glyph) and e.state in states for e in self.elements[start:end])

    def is_filled(self, start: int, end: int) -> bool:
        """Whether some character of a stretch was completed."""
        return any(start <= at < end for at in self.filled)

    def is_torn(self, start: int, end: int) -> bool:
        """Whether something is lost directly before or behind a stretch, so that it may be part of a longer word."""
        return bool(set(self.text[max(0, start - 1) : start] + self.text[end : end + 1]) & {LOST, STRETCH})

    def shown(self, start: int, end: int) -> str:
        """A stretch as a transcription writes it, without escapes: lost characters as ``[.]`` and ``[---]``."""
        return re.sub(r"\\(.)", r"\1", spelled(self.elements[start:end])).strip()

    def completions(self) -> Iterator[Plain]:
        """The same text with each half-lost word completed to a wording that it could be, one at a time."""
        for word in re.finditer(rf"[^\s\d]*[{LOST}{STRETCH}][^\s\d]*", self.text):
            for spelling in spellings():
                filled = _completed(word[0], spelling)
                if filled is not None:
                    yield self._with(word.start(), word.end(), filled)

    def _with(self, start: int, end: int, spelling: str) -> Plain:
        size = len(spelling)
        middle = tuple(Glyph(char) for char in spelling)
        spread = [self.origin[min(start + at, end - 1)] for at in range(size - 1)] + [self.origin[end - 1]]
        return Plain(
            f"{self.text[:start]}{spelling}{self.text[end:]}",
            (*self.elements[:start], *middle, *self.elements[end:]),
            frozenset(range(start, start + size)),
            (*self.origin[:start], *spread, *self.origin[end:]),
        )


def _completed(torn: str, spelling: str) -> str | None:
    """The spelling if a torn word could be it: its legible letters agree, and there are enough of them."""
    legible = [c for c in torn if c.isalpha()]
    if len(legible) < 2 or 2 * len(legible) < sum(c.isalpha() for c in spelling):
        return None
    pattern = "".join("." if c == LOST else ".*" if c == STRETCH else re.escape(c) for c in torn)
    for form in (spelling, spelling.removesuffix(".")):
        if re.fullmatch(pattern, form, re.IGNORECASE):
            return form
    return None


def demoted(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """The readings of one token, each naming the others; none of their bounds is hard while there are several."""
    if len(readings) < 2:
        return readings
    has_free_way = any(not reading.bounds for reading in readings)
    names = [label(reading) for reading in readings]
    why = "only if it is read so"
    return tuple(
        replace(
            reading,
            bounds=tuple(b.at_most("weak" if has_free_way else "usual", why) for b in reading.bounds),
            alternatives=tuple(names[:at] + names[at + 1 :]),
        )
        for at, reading in enumerate(readings)
    )


def label(reading: Reading) -> str:
    """The kind of a reading, with its series if it has one."""
    return f"{reading.kind} ({reading.series})" if reading.series else reading.kind


def _is_expansion(element: Element) -> bool:
    return isinstance(element, Glyph) and element.state == "expanded"


def _sign(element: Element) -> str:
    match element:
        case Glyph(char):
            return (char or LOST)[0]
        case Gap():
            return STRETCH
        case LineBreak():
            return "\n"
        case Vacant():
            return " "
