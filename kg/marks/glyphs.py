"""The elements of a mark as written down: characters, lost stretches, line breaks and vacant spaces."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal, get_args

State = Literal["clear", "unclear", "lost", "restored", "expanded", "erased"]

UNDERDOT = "\u0323"
#: Signs that mean something in a transcription, and are escaped where they stand on the piece.
SIGNS = frozenset("[](){}<>|/\\?:…")
#: How a vacant space is written between round brackets.
VACANT = re.compile(r"v(?:ac(?:at)?)?\.?(?: ?(\d{1,2}))?")


@dataclass(frozen=True, slots=True)
class Glyph:
    """One character of a mark and how it stands; ``char`` is empty where nothing of it can be read.

    Restored characters are the reader's, for what is lost; expanded ones were never on the piece.

    :raises ValueError: if ``char`` is not one printable character, or is missing where the state needs one.
    """

    char: str
    state: State = "clear"

    def __post_init__(self) -> None:
        if self.state not in get_args(State):
            raise ValueError(f"state {self.state!r} found; expected one of {', '.join(get_args(State))}")
        if (self.char == "") != (self.state == "lost") and not (self.char == "" and self.state == "erased"):
            raise ValueError(f"character {self.char!r} cannot be {self.state}; a lost one is ''")
        if self.char and (cluster(self.char, 0) != self.char or bare(self.char) != self.char):
            raise ValueError(f"{self.char!r} is not one character in normal form (NFC, without a dot below)")
        if self.char and (self.char != " " and not self.char.isprintable()):
            raise ValueError(f"{self.char!r} cannot stand on a piece; use LineBreak for a new line")
        if self.char == " " and self.state == "unclear":
            raise ValueError("a space cannot be uncertain; use Vacant or leave it clear")


@dataclass(frozen=True, slots=True)
class Gap:
    """A lost stretch: at least ``least`` characters, at most ``most``; ``None`` where no one can say.

    A stretch whose length is known is so many lost ``Glyph`` instead.
    """

    least: int = 1
    most: int | None = None
    is_erased: bool = False

    def __post_init__(self) -> None:
        if self.least < 0 or (self.most is not None and self.most <= self.least):
            raise ValueError(f"gap of {self.least} to {self.most} found; expected a range that rises")


@dataclass(frozen=True, slots=True)
class LineBreak:
    """The end of a line on the piece."""


@dataclass(frozen=True, slots=True)
class Vacant:
    """A space left empty on the piece, ``width`` characters wide if that could be told."""

    width: int | None = None


Element = Glyph | Gap | LineBreak | Vacant


def cluster(text: str, at: int) -> str:
    """The character at a place with the combining signs behind it."""
    end = at + 1
    while end < len(text) and unicodedata.combining(text[end]):
        end += 1
    return text[at:end]


def bare(char: str) -> str:
    """A character in normal form, without a dot below."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFD", char).replace(UNDERDOT, ""))


def folded(text: str) -> str:
    """A text without case and accents, character for character.

    >>> folded("Papier-Mâché")
    'papier-mache'
    """
    return "".join(unicodedata.normalize("NFD", char.lower())[0] for char in text)


def seen(element: Element) -> str:
    """An element as it can be read on the piece, in plain text."""
    match element:
        case Glyph(char, "clear" | "unclear" | "erased") if char:
            return char
        case Glyph(_, "expanded"):
            return ""
        case LineBreak():
            return " / "
        case Vacant():
            return " "
        case _:
            return "…"


def spelled(elements: Sequence[Element]) -> str:
    """The elements in the plainest form that reads back as the same."""
    parts: list[str] = []
    numbered = list(enumerate(elements))
    for key, group in groupby(numbered, key=lambda item: _run(item[1])):
        if key is None:
            parts += [_spelled_other(element) for _, element in group]
            continue
        state, is_blank = key
        run = [(at, e) for at, e in group if isinstance(e, Glyph)]
        inside = "." * len(run) if is_blank else "".join(_spelled_glyph(e, at, elements) for at, e in run)
        opening, closing = _BRACKETS.get(state, ("", ""))
        if state == "expanded" and VACANT.fullmatch(inside):
            inside = f"\\{inside}"
        parts.append(f"{opening}{inside}{closing}")
    return "".join(parts)


_BRACKETS = {"lost": ("[", "]"), "restored": ("[", "]"), "expanded": ("(", ")"), "erased": ("[[", "]]")}


def _run(element: Element) -> tuple[State, bool] | None:
    return (element.state, element.char == "") if isinstance(element, Glyph) else None


def _spelled_glyph(glyph: Glyph, at: int, elements: Sequence[Element]) -> str:
    char = glyph.char
    if glyph.state == "unclear":
        return (f"\\{char}" if char in SIGNS else char) + UNDERDOT
    is_in_square = glyph.state in ("restored", "erased")
    needs_escape = char in SIGNS or (is_in_square and char in ".-–—")
    if char == " ":
        beside = (*elements[at - 1 : at], *elements[at + 1 : at + 2])
        is_plain = len(beside) == 2 and not any(e in (LineBreak(), Glyph(" ")) for e in beside)
        needs_escape = glyph.state != "clear" or not is_plain
    return f"\\{char}" if needs_escape else char


def _spelled_other(element: Element) -> str:
    match element:
        case LineBreak():
            return " / "
        case Vacant(width):
            return f"(vac. {width})" if width is not None else "(vac.)"
        case Gap(1, None, is_erased):
            count = "[---]"
        case Gap(least, most, is_erased):
            count = f"[- {least}{'+' if most is None else f'-{most}'} -]"
        case _:
            raise TypeError(f"{element!r} is no element of a transcription")
    return f"[{count}]" if is_erased else count
