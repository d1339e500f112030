"""What the text of an essay is made of: blocks, inlines and notes, each with the place where it was written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from kg.errors import KilnmarkError

#: Characters that turn the direction of what follows, or hide in it.
TURNING = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c\u200b\ufeff\u2060]")
_UNSEEN = re.compile(f"{TURNING.pattern}|[\x00-\x1f\x7f-\x9f\u2028\u2029]")


class EssayNotUnderstood(KilnmarkError):
    """A text holds what an essay cannot hold, at a place."""

    def __init__(self, text: str, line: int, column: int, what: str, first_line: int = 1) -> None:
        shown = (text.split("\n")[line - first_line : line - first_line + 1] or [""])[0]
        first = max(0, column - 60)
        window = _UNSEEN.sub("\ufffd", shown[first : first + 100])
        super().__init__(
            f"Line {line}, column {column}: {what}\n    {window}\n    {' ' * (column - 1 - first)}^"
        )
        self.line, self.column, self.what = line, column, what


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the text, counted from 1."""

    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.line}:{self.column}"


_NOWHERE = Place(1, 1)


@dataclass(frozen=True, slots=True)
class Text:
    """Plain words."""

    text: str
    place: Place = field(default=_NOWHERE, compare=False)
    runs: tuple[tuple[int, Place], ...] = field(default=(), compare=False, repr=False)
    """Where stretches of it were written, by their offsets; escapes and ends of lines begin a new one."""

    def place_of(self, offset: int) -> Place:
        """The place of one of its characters."""
        start, place = 0, self.place
        for begins, where in self.runs:
            if begins > offset:
                break
            start, place = begins, where
        return Place(place.line, place.column + offset - start)


@dataclass(frozen=True, slots=True)
class LineBreak:
    """A line that ends by intent."""

    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class NoteReference:
    """What a sentence rests on: a claim with perhaps a place of its own, the writer's judgement, or a remark."""

    claim: str | None
    locator: str | None
    remark: str | None
    place: Place = field(default=_NOWHERE, compare=False)

    @property
    def is_own(self) -> bool:
        """Whether it is the writer's own judgement."""
        return self.claim is None and self.remark is None


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Words in italics."""

    inlines: tuple[Inline, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Strong:
    """Words in bold."""

    inlines: tuple[Inline, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Link:
    """A link to the web or to an address for letters."""

    target: str
    inlines: tuple[Inline, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture by the name that the daybook has for it, with its caption."""

    name: str
    caption: str
    """The words of the caption, without markup and notes."""
    place: Place = field(default=_NOWHERE, compare=False)
    inlines: tuple[Inline, ...] = ()
    """The caption with its markup and notes."""


Inline: TypeAlias = Text | LineBreak | NoteReference | Emphasis | Strong | Link | Picture


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the title."""

    level: int
    inlines: tuple[Inline, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    inlines: tuple[Inline, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Quotation:
    """Blocks quoted at length."""

    blocks: tuple[Block, ...]
    place: Place = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class ItemList:
    """A list; each item is some blocks."""

    items: tuple[tuple[Block, ...], ...]
    is_numbered: bool
    first: int
    place: Place = field(default=_NOWHERE, compare=False)
    is_tight: bool = True
    """Whether its items stand without blank lines between them."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture that stands by itself."""

    picture: Picture
    place: Place = field(default=_NOWHERE, compare=False)


Block: TypeAlias = Heading | Paragraph | Quotation | ItemList | Figure


@dataclass(frozen=True, slots=True)
class Essay:
    """An essay taken apart."""

    text: str = field(compare=False, repr=False)
    blocks: tuple[Block, ...]
    remarks: tuple[tuple[str, tuple[Inline, ...]], ...] = ()
    """Each remark's name and words, in the order of the text."""
    first_line: int = field(default=1, compare=False)
    """The line of the file at which it begins."""
    origin: str = field(default="", compare=False)
    """The file or the essay of the daybook from which it was read, where several are read."""

    @property
    def title(self) -> str:
        """The words of the first heading of level 1; empty without one."""
        for block in self.blocks:
            if isinstance(block, Heading) and block.level == 1:
                return plain_words(block.inlines)
        return ""

    def prose(self) -> Iterator[Heading | Paragraph | Figure]:
        """Every heading, paragraph and figure, in the order of the text, from lists and quotations too."""
        yield from _prose(self.blocks)

    def references(self) -> Iterator[NoteReference]:
        """Every reference, in the order of the text, those of captions too; those of remarks last."""
        for block in self.prose():
            yield from references_in(block.picture.inlines if isinstance(block, Figure) else block.inlines)
        for _, inlines in self.remarks:
            yield from references_in(inlines)

    def fault(self, place: Place, what: str) -> EssayNotUnderstood:
        """An error that points at a place of the essay."""
        return EssayNotUnderstood(self.text, place.line, place.column, what, self.first_line)


def _prose(blocks: Sequence[Block]) -> Iterator[Heading | Paragraph | Figure]:
    for block in blocks:
        if isinstance(block, Quotation):
            yield from _prose(block.blocks)
        elif isinstance(block, ItemList):
            for item in block.items:
                yield from _prose(item)
        else:
            yield block


def references_in(inlines: Sequence[Inline]) -> Iterator[NoteReference]:
    """The references within some inlines, in their order."""
    for inline in inlines:
        if isinstance(inline, NoteReference):
            yield inline
        elif isinstance(inline, Emphasis | Strong | Link):
            yield from references_in(inline.inlines)


def plain_words(inlines: Sequence[Inline]) -> str:
    """The words of some inlines without marks and references."""
    parts: list[str] = []
    for inline in inlines:
        if isinstance(inline, Text):
            parts.append(inline.text)
        elif isinstance(inline, LineBreak):
            parts.append(" ")
        elif isinstance(inline, Emphasis | Strong | Link):
            parts.append(plain_words(inline.inlines))
    return "".join(parts)
