"""The plain text of a mark with its losses marked, and what reading finds in it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

from kg.dates.window import Window
from kg.marks.bounds import DatedBound
from kg.marks.glyphs import Element, Gap, Glyph, LineBreak, Vacant, folded, spelled
from kg.marks.rules import Caution, spellings
from kg.marks.transcription import Transcription

#: Stands for one lost character, and for a lost stretch, in the text that is searched.
LOST, STRETCH = "□", "⋯"
DIGIT = rf"[\d{LOST}{STRETCH}]"
#: Wording that is half lost is looked for in so many words side by side.
MOST_WORDS = 3


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
        text = "".join(sign_of(e) for _, e in kept)
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
        """Whether a stretch holds all that was completed, but for a last dot."""
        return bool(self.filled) and start <= min(self.filled) and max(self.filled) <= end

    def is_torn(self, start: int, end: int) -> bool:
        """Whether something is lost directly before or behind a stretch, so that it may be part of a longer word."""
        return bool(set(self.text[max(0, start - 1) : start] + self.text[end : end + 1]) & {LOST, STRETCH})

    def shown(self, start: int, end: int) -> str:
        """A stretch as a transcription writes it, without escapes: lost characters as ``[.]`` and ``[---]``."""
        return re.sub(r"\\(.)", r"\1", spelled(self.elements[start:end])).strip()

    def completions(self) -> Iterator[Plain]:
        """The same text with each half-lost stretch completed to a wording that it could be, one at a time."""
        for start, end in self._torn_words():
            fits = _fits(self.text[start:end])
            for spelling in spellings() if fits else ():
                for form in dict.fromkeys((spelling, spelling.removesuffix("."))):
                    if fits is not None and fits(form):
                        yield self._with(start, end, form)
                        break

    def half_lost(self, wording: Iterable[str]) -> Iterator[tuple[int, int]]:
        """The stretches that are half lost and can be some wording of these."""
        for start, end in self._torn_words():
            fits = _fits(self.text[start:end])
            if fits and any(fits(s) or fits(s.removesuffix(".")) for s in wording):
                yield start, end

    def _torn_words(self) -> Iterator[tuple[int, int]]:
        """Words and neighbouring words of one line in which something is lost."""
        words = [word.span() for word in re.finditer(r"[^\s\d]+", self.text)]
        for at, (start, _) in enumerate(words):
            for before, (begin, end) in zip([None, *words[at:]], words[at : at + MOST_WORDS], strict=False):
                if before is not None and self.text[before[1] : begin] != " ":
                    break
                if set(self.text[start:end]) & {LOST, STRETCH}:
                    yield start, end

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


def _fits(torn: str) -> Callable[[str], bool] | None:
    """Whether a spelling can be what is half lost: its legible letters agree, and there are enough of them.

    Half of the letters must be legible, or the first three of a word that breaks off.
    """
    legible = sum(c.isalpha() for c in torn)
    breaks_off = legible >= 3 and torn[:-1].isalpha() and torn.endswith(STRETCH)
    if legible < 2:
        return None
    signs = {LOST: r"\S", STRETCH: ".*"}
    pattern = re.compile("".join(signs.get(c) or re.escape(folded(c)) for c in torn))

    def fits(spelling: str) -> bool:
        is_enough = breaks_off or 2 * legible >= sum(c.isalpha() for c in spelling)
        return is_enough and pattern.fullmatch(folded(spelling)) is not None

    return fits


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
            alternatives=(*names[:at], *names[at + 1 :], *reading.alternatives),
        )
        for at, reading in enumerate(readings)
    )


def label(reading: Reading) -> str:
    """The kind of a reading, with its series if it has one."""
    return f"{reading.kind} ({reading.series})" if reading.series else reading.kind


def _is_expansion(element: Element) -> bool:
    return isinstance(element, Glyph) and element.state == "expanded"


def sign_of(element: Element) -> str:
    """The one character that stands for an element in the text that is searched."""
    match element:
        case Glyph(char):
            return (char or LOST)[0]
        case Gap():
            return STRETCH
        case LineBreak():
            return "\n"
        case Vacant():
            return " "
