"""Marks as strings of symbols for comparing: case, accents and kinds of space laid aside.

Capitals and small letters are one symbol, as catalogues differ in them; accents are dropped; ``ß`` is two. A space,
point, dash or line break is one symbol, the *break*, and several in a row are one. A lost character is a symbol of
its own, and so is a stretch of which no one can say how long it was. What an editor restored counts as lost, because
it was not seen; what an editor expanded was never on the piece and is left out.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from kg.marks.described import on_the_piece
from kg.marks.transcription import Gap, Glyph, LineBreak, Transcription, Vacant

#: Bytes of the symbols that are no characters: padding, break, lost character, stretch of any length.
PAD, BREAK, LOST, ANY = range(4)
_PLAIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/&+*=°"
BUCKETS = 16
#: The characters of the alphabet in the order of their symbols; signs of other scripts share the last sixteen.
FIRST = ANY + 1
SYMBOLS = FIRST + len(_PLAIN) + BUCKETS
_OF_CHARACTER = {char: FIRST + at for at, char in enumerate(_PLAIN)}
_LETTERS = {
    "Æ": "AE",
    "Œ": "OE",
    "Ø": "O",
    "Ł": "L",
    "Đ": "D",
    "Þ": "P",
    "ı": "I",
    "И": "N",
    "Я": "R",
    "×": "X",
    "№": "NO",
}
_BREAKS = frozenset(" .,:;-–—_'’‘\"“”„()[]{}|\\<>!?·•©®")

Kind = Literal["character", "uncertain", "break", "lost", "perhaps lost", "any"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a mark in hand: a symbol that was seen, or a place where something is lost."""

    kind: Kind
    symbol: int
    seen: str
    at: int = 0
    """The place of its element in the mark."""
    usual: float | None = None
    """Its chance in the trade, where that is known without learning it letter by letter."""


@lru_cache(maxsize=4096)
def symbols_of_character(char: str) -> bytes:
    """The symbols of one character as typed: mostly one, two for ``ß``, none for a bare accent.

    >>> symbols_of_character("ü") == symbols_of_character("U")
    True
    """
    if char in _BREAKS or char.isspace():
        return bytes([BREAK])
    if char == "…":
        return bytes([ANY])
    folded = unicodedata.normalize("NFKD", _LETTERS.get(char.upper(), char.upper()))
    folded = "".join(_LETTERS.get(c, c) for c in folded.upper() if not unicodedata.combining(c))
    return bytes(_symbol(c) for c in folded)


def _symbol(char: str) -> int:
    if char in _BREAKS or char.isspace():
        return BREAK
    return _OF_CHARACTER.get(char) or FIRST + len(_PLAIN) + ord(char) % BUCKETS


def character_of(symbol: int) -> str:
    """What stands for a symbol when it is shown: the capital, a space, a dot for a lost one, ``…`` for a stretch."""
    if symbol < FIRST:
        return ("", " ", ".", "…")[symbol]
    at = symbol - FIRST
    return _PLAIN[at] if at < len(_PLAIN) else "□"


def shown(symbols: bytes) -> str:
    """A string of symbols as it is shown.

    >>> shown(symbols_of_text("D.R.G.M. 17…"))
    'D R G M 17…'
    """
    return "".join(map(character_of, symbols))


def symbols_of_text(text: str) -> bytes:
    """The symbols of plain text, taken as it stands; ``…`` is a lost stretch."""
    return tidy(b"".join(map(symbols_of_character, text)))


def symbols_of_texts(texts: Sequence[str]) -> list[bytes]:
    """The symbols of many plain texts, by one pass over all."""
    joined = "\n".join(text if "\n" not in text else text.replace("\n", " ") for text in texts)
    table = {ord(c): symbols_of_character(c).decode("latin-1") for c in set(joined) if c != "\n"}
    table[ord("\n")] = "\xff"
    whole = _TIDYING.sub(_shorter, joined.translate(table).encode("latin-1"))
    return whole.split(b"\xff")


#: Runs of breaks and stretches; breaks beside a stretch or at either end say nothing.
_TIDYING = re.compile(rb"[\x01\x03]{2,}|(?:(?<=\xff)|\A)\x01|\x01(?=\xff|\Z)")


def _shorter(run: re.Match[bytes]) -> bytes:
    if ANY in run[0]:
        return bytes([ANY])
    whole = run.string
    at_end = (
        run.start() == 0
        or whole[run.start() - 1] == 0xFF
        or run.end() == len(whole)
        or whole[run.end()] == 0xFF
    )
    return b"" if at_end else bytes([BREAK])


def tidy(symbols: bytes) -> bytes:
    """Symbols with each run of breaks made one, and none beside a stretch or at an end."""
    return _TIDYING.sub(_shorter, symbols)


def symbols_of(mark: Transcription | str) -> bytes:
    """The symbols of a recorded mark: a transcription, or plain text taken as it stands."""
    if isinstance(mark, str):
        return symbols_of_text(mark)
    return tidy(b"".join(_recorded(element) for _, element in on_the_piece(mark.elements)))


def _recorded(element: object) -> bytes:
    match element:
        case Glyph(_, "expanded"):
            return b""
        case Glyph(_, "lost" | "restored") | Glyph("", _):
            return bytes([LOST])
        case Glyph(char, _):
            return symbols_of_character(char)
        case Gap(least, most):
            return bytes([LOST]) * (least if most is not None else max(0, least - 1)) + bytes([ANY])
        case _:
            return bytes([BREAK])


def steps_of(mark: Transcription | str) -> tuple[Step, ...]:
    """The steps of the mark in hand."""
    if isinstance(mark, str):
        return _tidied(_placed(_clear(c), at) for at, c in enumerate(mark))
    return _tidied(_placed(_in_hand(element), at) for at, element in on_the_piece(mark.elements))


def _placed(steps: list[Step], at: int) -> list[Step]:
    return [replace(step, at=at) for step in steps]


def _clear(char: str, kind: Kind = "character") -> list[Step]:
    named: dict[int, Kind] = {BREAK: "break", ANY: "any"}
    return [Step(named.get(s, kind), s, char) for s in symbols_of_character(char)]


def _in_hand(element: object) -> list[Step]:
    match element:
        case Glyph(_, "expanded"):
            return []
        case Glyph(char, "restored" | "lost") | Glyph("" as char, _):
            return [Step("lost", LOST, f"[{char or '.'}]")]
        case Glyph(char, state):
            return _clear(char, "character" if state == "clear" else "uncertain")
        case Gap(least, None):
            return [Step("lost", LOST, "[.]")] * max(0, least - 1) + [Step("any", ANY, "[---]")]
        case Gap(least, int(most)):
            perhaps = [Step("perhaps lost", LOST, "[.]")] * (most - least)
            return [Step("lost", LOST, "[.]")] * least + perhaps
        case LineBreak() | Vacant():
            return [Step("break", BREAK, " ")]
    raise TypeError(f"{element!r} is no part of a transcription")


def _tidied(runs: Iterable[list[Step]]) -> tuple[Step, ...]:
    """Steps with each run of breaks made one, and none beside a stretch or at an end."""
    kept: list[Step] = []
    for step in (step for run in runs for step in run):
        if step.kind == "break" and (not kept or kept[-1].kind in ("break", "any")):
            continue
        if step.kind == "any" and kept and kept[-1].kind in ("break", "any"):
            kept.pop()
        kept.append(step)
    if kept and kept[-1].kind == "break":
        kept.pop()
    return tuple(kept)


def turned(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps in the order in which they stand on the piece when it is mirrored or inverted."""
    return tuple(reversed(steps))
