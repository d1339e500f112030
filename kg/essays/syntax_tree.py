"""What the text of an essay is made of: blocks, inlines and notes, each with the place where it was written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from kg.errors import KilnmarkError


class EssayNotUnderstood(KilnmarkError):
    """The text of an essay holds something that this program does not read; the place is shown."""

    def __init__(self, line: int, column: int, shown: str, found: str, wanted: str) -> None:
        #: Where it stands; both begin at 1.
        self.line, self.column = line, column
        #: What was found, and what to do.
        self.found, self.wanted = found, wanted
        window = max(0, column - 61)
        cut = "".join(c if c.isprintable() else "\ufffd" for c in shown[window : window + 100])
        caret = " " * (min(column - 1, len(shown)) - window)
        super().__init__(f"Line {line}, column {column}: {found}. {wanted}\n    {cut}\n    {caret}^")


class Cited(NamedTuple):
    """A claim in a note, perhaps with a locator of the note's own."""

    claim: str
    locator: str | None = None


@dataclass(frozen=True, slots=True)
class Node:
    """A part of an essay, with the line and column of its beginning, both from 1."""

    line: int = field(default=0, compare=False, kw_only=True)
    column: int = field(default=0, compare=False, kw_only=True)


@dataclass(frozen=True, slots=True)
class Text(Node):
    """Words without markup."""

    text: str
    runs: tuple[tuple[int, int, int], ...] = field(default=(), compare=False, repr=False)
    """Where stretches of it were written: offset in the text, line, column. Escapes and line ends begin a new one."""

    def place(self, offset: int) -> tuple[int, int]:
        """The line and column of a character of it."""
        start, line, column = 0, self.line, self.column
        for run in self.runs:
            if run[0] > offset:
                break
            start, line, column = run
        return line, column + offset - start


@dataclass(frozen=True, slots=True)
class LineBreak(Node):
    """A new line within a paragraph."""


@dataclass(frozen=True, slots=True)
class NoteReference(Node):
    """A note at a place in the text: the claims it rests on, remarks, and whether the writer judges."""

    cited: tuple[Cited, ...] = ()
    remarks: tuple[str, ...] = ()
    """The labels of remarks, whose text stands at the end of the essay."""
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class Emphasis(Node):
    """Words set in italics."""

    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Strong(Node):
    """Words set in bold."""

    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Link(Node):
    """Words that lead to a web page or an address for letters."""

    inlines: tuple[Inline, ...]
    address: str


Inline: TypeAlias = Text | LineBreak | NoteReference | Emphasis | Strong | Link


@dataclass(frozen=True, slots=True)
class Heading(Node):
    """A heading; level 1 is the title."""

    level: int
    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Paragraph(Node):
    """A paragraph."""

    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Figure(Node):
    """An illustration: a photograph that the daybook names, and its caption."""

    photograph: str
    caption: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Quote(Node):
    """Another's words, set apart."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class ListItem(Node):
    """One item of a list."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class BulletList(Node):
    """A list without numbers."""

    items: tuple[ListItem, ...]
    is_tight: bool = True


@dataclass(frozen=True, slots=True)
class NumberedList(Node):
    """A numbered list; ``start`` is its first number."""

    items: tuple[ListItem, ...]
    start: int = 1
    is_tight: bool = True


Block: TypeAlias = Heading | Paragraph | Figure | Quote | BulletList | NumberedList


@dataclass(frozen=True, slots=True)
class Remark(Node):
    """The text of a note that is a remark."""

    label: str
    inlines: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Essay:
    """An essay as it is written."""

    blocks: tuple[Block, ...]
    remarks: tuple[Remark, ...] = ()
    first_line: int = field(default=1, compare=False)
    """The line of the file where it begins."""

    @property
    def title(self) -> str:
        """The words of its title; empty if it has none."""
        return next((words(b.inlines) for b in self.blocks if isinstance(b, Heading) and b.level == 1), "")

    def remark(self, label: str) -> Remark:
        """The remark of a label."""
        return next(remark for remark in self.remarks if remark.label == label)

    def notes(self) -> Iterator[NoteReference]:
        """Every note in the order of the text."""
        for block in self.blocks:
            yield from notes_of(block)

    def paragraphs(self) -> Iterator[Paragraph]:
        """Every paragraph in the order of the text, those of quotes and lists too."""
        for block in self.blocks:
            yield from _paragraphs(block)

    def figures(self) -> Iterator[Figure]:
        """Every illustration in the order of the text."""
        for block in self.blocks:
            yield from _figures(block)


def words(inlines: tuple[Inline, ...]) -> str:
    """The words of some inlines, without notes and markup."""
    parts = []
    for inline in inlines:
        match inline:
            case Text():
                parts.append(inline.text)
            case LineBreak():
                parts.append(" ")
            case Emphasis() | Strong() | Link():
                parts.append(words(inline.inlines))
    return "".join(parts)


def notes_of(node: Block | ListItem | Inline) -> Iterator[NoteReference]:
    """The notes within a part of an essay, in their order."""
    match node:
        case NoteReference():
            yield node
        case Heading() | Paragraph() | Emphasis() | Strong() | Link():
            for inline in node.inlines:
                yield from notes_of(inline)
        case Figure():
            for inline in node.caption:
                yield from notes_of(inline)
        case _:
            for block in _within(node):
                yield from notes_of(block)


def _within(node: Block | ListItem | Inline) -> tuple[Block | ListItem, ...]:
    match node:
        case BulletList() | NumberedList():
            return node.items
        case Quote() | ListItem():
            return node.blocks
    return ()


def _paragraphs(node: Block | ListItem) -> Iterator[Paragraph]:
    if isinstance(node, Paragraph):
        yield node
    for block in _within(node):
        yield from _paragraphs(block)


def _figures(node: Block | ListItem) -> Iterator[Figure]:
    if isinstance(node, Figure):
        yield node
    for block in _within(node):
        yield from _figures(block)
