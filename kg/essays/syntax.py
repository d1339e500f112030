"""The text of an essay: a small Markdown whose footnote references hold the claims behind each sentence.

A reference is ``[^claim]``, with a place of its own ``[^claim, p. 12]``; ``[^own]`` is the writer's own judgement; any
other name, such as ``[^note]``, is a remark whose words stand in a paragraph ``[^note]: …`` of the text. Headings,
paragraphs, lists, quotations, emphasis, links to the web and pictures that the daybook names are read; raw HTML is
not, and nothing in a text can name a file.

Authority: CommonMark 0.31, as markdown-it-py reads it; footnote references as common extensions of it write them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from markdown_it import MarkdownIt
from markdown_it.token import Token

from kg.errors import KilnmarkError

#: Characters of one essay; a longer text is several essays.
LONGEST_ESSAY = 2_000_000
#: How deep lists and quotations may stand inside each other.
DEEPEST = 12
#: A claim's id: a letter c and ten letters or figures of base 32.
CLAIM_ID = re.compile(r"c[a-z2-7]{3,10}")
_REFERENCE = re.compile(r"\[\^([^\]\[\n]{1,300})\]")
_REMARK = re.compile(r"\[\^([A-Za-z0-9_-]{1,60})\]:[ \t]+")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_SCHEMES = ("http://", "https://", "mailto:")
#: Characters that turn the direction of what follows, or hide in it.
TURNING = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c\u200b\ufeff\u2060]")


class EssayNotUnderstood(KilnmarkError):
    """A text holds what an essay cannot hold, at a place."""

    def __init__(self, text: str, line: int, column: int, what: str) -> None:
        shown = (text.split("\n")[line - 1 : line] or [""])[0]
        first = max(0, column - 60)
        window = TURNING.sub("\ufffd", shown[first : first + 100])
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


@dataclass(frozen=True, slots=True)
class Text:
    """Plain words."""

    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class LineBreak:
    """A line that ends by intent."""

    place: Place


@dataclass(frozen=True, slots=True)
class NoteReference:
    """What a sentence rests on: a claim with perhaps a place of its own, the writer's judgement, or a remark."""

    claim: str | None
    locator: str | None
    remark: str | None
    place: Place

    @property
    def is_own(self) -> bool:
        """Whether it is the writer's own judgement."""
        return self.claim is None and self.remark is None


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Words in italics."""

    inlines: tuple[Inline, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Strong:
    """Words in bold."""

    inlines: tuple[Inline, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Link:
    """A link to the web or to an address for letters."""

    target: str
    inlines: tuple[Inline, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture by the name that the daybook has for it, with its caption."""

    name: str
    caption: str
    place: Place


Inline = Text | LineBreak | NoteReference | Emphasis | Strong | Link | Picture


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the title."""

    level: int
    inlines: tuple[Inline, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    inlines: tuple[Inline, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Quotation:
    """Blocks quoted at length."""

    blocks: tuple[Block, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class ItemList:
    """A list; each item is some blocks."""

    items: tuple[tuple[Block, ...], ...]
    is_numbered: bool
    first: int
    place: Place


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture that stands by itself."""

    picture: Picture
    place: Place


Block = Heading | Paragraph | Quotation | ItemList | Figure


@dataclass(frozen=True, slots=True)
class Essay:
    """An essay taken apart."""

    text: str
    blocks: tuple[Block, ...]
    remarks: tuple[tuple[str, tuple[Inline, ...]], ...] = ()
    """Each remark's name and words, in the order of the text."""

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
        """Every reference, in the order of the text."""
        for block in self.prose():
            if not isinstance(block, Figure):
                yield from _references(block.inlines)
        for _, inlines in self.remarks:
            yield from _references(inlines)


def _prose(blocks: Sequence[Block]) -> Iterator[Heading | Paragraph | Figure]:
    for block in blocks:
        if isinstance(block, Quotation):
            yield from _prose(block.blocks)
        elif isinstance(block, ItemList):
            for item in block.items:
                yield from _prose(item)
        else:
            yield block


def _references(inlines: Sequence[Inline]) -> Iterator[NoteReference]:
    for inline in inlines:
        if isinstance(inline, NoteReference):
            yield inline
        elif isinstance(inline, Emphasis | Strong | Link):
            yield from _references(inline.inlines)


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


def read_essay(text: str) -> Essay:
    """An essay from its text.

    :raises EssayNotUnderstood: naming the place of what cannot stand in an essay.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if len(text) > LONGEST_ESSAY:
        raise EssayNotUnderstood(
            text[:200],
            1,
            1,
            f"the text has {len(text):,} characters; an essay has at most {LONGEST_ESSAY:,}.",
        )
    if (nul := text.find("\x00")) >= 0:
        line = text.count("\n", 0, nul) + 1
        raise EssayNotUnderstood(
            text, line, nul - text.rfind("\n", 0, nul), "a byte that is no text. Save it as UTF-8."
        )
    return _Reader(text).essay()


def _parser() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"html": False, "maxNesting": 4 * DEEPEST})
    parser.disable(["html_block", "html_inline", "reference", "autolink", "code", "fence", "entity"])
    # Addresses are judged here, with their place in the message, and not passed over in silence.
    parser.validateLink = lambda _url: True  # type: ignore[method-assign]
    parser.normalizeLink = lambda url: url  # type: ignore[method-assign]
    return parser


@dataclass(slots=True)
class _Cursor:
    """A place that moves through the text of a block as its words are met in order."""

    text: str
    at: int
    end: int

    def place(self) -> Place:
        return Place(self.text.count("\n", 0, self.at) + 1, self.at - self.text.rfind("\n", 0, self.at))

    def seek(self, words: str) -> None:
        """Move to where some words stand next, if they stand as written."""
        found = self.text.find(words, self.at, self.end)
        if found >= 0:
            self.at = found

    def pass_over(self, words: str) -> None:
        self.seek(words)
        self.at = min(self.end, self.at + len(words))


@dataclass(slots=True)
class _Reader:
    text: str
    starts: list[int] = field(default_factory=list)
    tokens: list[Token] = field(default_factory=list)
    at: int = 0
    remarks: list[tuple[str, tuple[Inline, ...]]] = field(default_factory=list)

    def essay(self) -> Essay:
        self.starts = [0, *(m.end() for m in re.finditer("\n", self.text)), len(self.text) + 1]
        self.tokens = _parser().parse(self.text)
        blocks = self._blocks("", 0)
        essay = Essay(self.text, blocks, tuple(self.remarks))
        self._check_remarks(essay)
        return essay

    def _check_remarks(self, essay: Essay) -> None:
        named = [name for name, _ in essay.remarks]
        for reference in essay.references():
            if reference.remark is not None and reference.remark not in named:
                raise self._fault(
                    reference.place,
                    f"“{reference.remark}” is no claim's id, and no paragraph “[^{reference.remark}]: …” says what it is. "
                    "A claim's id is c and ten letters or figures; [^own] is your own judgement.",
                )
        twice = [name for name in named if named.count(name) > 1]
        if twice:
            where = [m for m in re.finditer(r"^\[\^" + re.escape(twice[0]) + r"\]:", self.text, re.M)][
                -1
            ].start()
            raise self._fault(
                self._place(where), f"the remark “{twice[0]}” is given twice. Name one of them otherwise."
            )

    def _place(self, at: int) -> Place:
        return Place(self.text.count("\n", 0, at) + 1, at - self.text.rfind("\n", 0, at))

    def _fault(self, place: Place, what: str) -> EssayNotUnderstood:
        return EssayNotUnderstood(self.text, place.line, place.column, what)

    # ------------------------------------------------------------ blocks

    def _blocks(self, until: str, depth: int) -> tuple[Block, ...]:
        found: list[Block] = []
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            self.at += 1
            if token.type == until:
                break
            block = self._block(token, depth)
            if block is not None:
                found.append(block)
        return tuple(found)

    def _block(self, token: Token, depth: int) -> Block | None:
        place = self._begin(token)
        if depth > DEEPEST:
            raise self._fault(
                place, f"lists and quotations stand more than {DEEPEST} deep. Write it flatter."
            )
        if token.type == "paragraph_open":
            return self._paragraph(place)
        if token.type == "heading_open":
            return Heading(int(token.tag[1]), self._inlines_of_next(), place)
        if token.type == "blockquote_open":
            return Quotation(self._blocks("blockquote_close", depth + 1), place)
        if token.type in {"bullet_list_open", "ordered_list_open"}:
            return self._list(token, place, depth)
        if token.type == "hr":
            raise self._fault(place, "a line across the page. Divide the text by headings (## …) instead.")
        return None

    def _list(self, token: Token, place: Place, depth: int) -> ItemList:
        is_numbered = token.type == "ordered_list_open"
        closing = token.type.replace("open", "close")
        items: list[tuple[Block, ...]] = []
        while self.at < len(self.tokens):
            inner = self.tokens[self.at]
            self.at += 1
            if inner.type == closing:
                break
            if inner.type == "list_item_open":
                items.append(self._blocks("list_item_close", depth + 1))
        first = token.attrGet("start")
        return ItemList(tuple(items), is_numbered, int(first) if first is not None else 1, place)

    def _paragraph(self, place: Place) -> Block | None:
        token = self.tokens[self.at]
        remark = _REMARK.match(token.content)
        inlines = self._inlines_of_next(len(remark[0]) if remark else 0)
        if remark:
            self.remarks.append((remark[1], _without_lead(inlines, remark[0])))
            return None
        if len(inlines) == 1 and isinstance(inlines[0], Picture):
            return Figure(inlines[0], place)
        return Paragraph(inlines, place)

    def _begin(self, token: Token) -> Place:
        line = token.map[0] if token.map else 0
        start = self.starts[line]
        shown = self.text[start : self.starts[line + 1] - 1]
        return Place(line + 1, len(shown) - len(shown.lstrip(" ")) + 1)

    # ------------------------------------------------------------ inlines

    def _inlines_of_next(self, skip: int = 0) -> tuple[Inline, ...]:
        token = self.tokens[self.at]
        self.at += 2  # the words, and what closes them
        first, last = token.map or (0, 0)
        cursor = _Cursor(self.text, self.starts[first], min(self.starts[last], len(self.text)))
        if skip:
            cursor.seek("[^")
        children = token.children or []
        found, _ = self._inlines(children, 0, "", cursor)
        return found

    def _inlines(
        self, tokens: Sequence[Token], at: int, until: str, cursor: _Cursor
    ) -> tuple[tuple[Inline, ...], int]:
        found: list[Inline] = []
        while at < len(tokens):
            token = tokens[at]
            at += 1
            if token.type == until:
                break
            if token.type in {"em_open", "strong_open", "link_open"}:
                inline, at = self._spanning(token, tokens, at, cursor)
                found.append(inline)
            else:
                found += self._single(token, cursor)
        return _joined(found), at

    def _spanning(
        self, token: Token, tokens: Sequence[Token], at: int, cursor: _Cursor
    ) -> tuple[Inline, int]:
        cursor.seek(token.markup or "[")
        place = cursor.place()
        closing = token.type.replace("open", "close")
        if token.type == "link_open":
            target = str(token.attrGet("href") or "")
            self._check_target(target, place)
            inner, at = self._inlines(tokens, at, closing, cursor)
            cursor.pass_over(")")
            return Link(target, inner, place), at
        cursor.pass_over(token.markup)
        inner, at = self._inlines(tokens, at, closing, cursor)
        cursor.pass_over(token.markup)
        return (Emphasis(inner, place) if token.type == "em_open" else Strong(inner, place)), at

    def _check_target(self, target: str, place: Place) -> None:
        if not target.casefold().startswith(_SCHEMES) or re.search(r"[\x00-\x20]", target):
            raise self._fault(
                place,
                f"a link to {target[:80]!r}. Only http, https and mailto addresses can stand in an essay.",
            )

    def _single(self, token: Token, cursor: _Cursor) -> Iterator[Inline]:
        if token.type == "text":
            yield from self._words(token.content, cursor)
        elif token.type == "text_special":
            cursor.seek(token.markup or token.content)
            yield Text(token.content, cursor.place())
            cursor.pass_over(token.markup or token.content)
        elif token.type in {"softbreak", "hardbreak"}:
            place = cursor.place()
            cursor.pass_over("\n")
            yield LineBreak(place) if token.type == "hardbreak" else Text(" ", place)
        elif token.type == "image":
            yield self._picture(token, cursor)
        elif token.type == "code_inline":
            cursor.seek("`")
            raise self._fault(
                cursor.place(), "a stretch between backquotes. Essays print no code; use quotation marks."
            )

    def _picture(self, token: Token, cursor: _Cursor) -> Picture:
        cursor.seek("![")
        place = cursor.place()
        name = str(token.attrGet("src") or "")
        if not _NAME.fullmatch(name):
            raise self._fault(
                place,
                f"a picture {name[:80]!r}. Name a photograph of the daybook by its id, as in "
                "![The lady](photograph-lady-front); files and addresses cannot be named.",
            )
        cursor.pass_over(")")
        return Picture(name, token.content, place)

    def _words(self, words: str, cursor: _Cursor) -> Iterator[Inline]:
        last = 0
        for reference in _REFERENCE.finditer(words):
            if reference.start() > last:
                yield from self._text(words[last : reference.start()], cursor)
            cursor.seek(reference[0])
            yield self._reference(reference[1], cursor.place())
            cursor.pass_over(reference[0])
            last = reference.end()
        if last < len(words):
            yield from self._text(words[last:], cursor)

    def _text(self, words: str, cursor: _Cursor) -> Iterator[Inline]:
        cursor.seek(words)
        place = cursor.place()
        if (broken := words.find("[^")) >= 0:
            raise self._fault(
                Place(place.line, place.column + broken),
                "a reference that is not closed or is empty. Write [^claim], [^claim, p. 12] or [^own].",
            )
        cursor.pass_over(words)
        yield Text(words, place)

    def _reference(self, content: str, place: Place) -> NoteReference:
        name, comma, locator = (part.strip() for part in content.partition(","))
        if name == "own":
            if comma:
                raise self._fault(place, "[^own] has no place in a source. Write [^own] alone.")
            return NoteReference(None, None, None, place)
        if CLAIM_ID.fullmatch(name):
            if comma and not locator:
                raise self._fault(
                    place, "a comma without a place behind it. Write [^claim, p. 12], or leave it out."
                )
            return NoteReference(name, locator or None, None, place)
        if comma or not re.fullmatch(r"[A-Za-z0-9_-]{1,60}", name):
            raise self._fault(
                place,
                f"“{content[:60]}” is neither a claim's id nor the name of a remark. "
                "Write [^claim], [^claim, p. 12], [^own] or [^note].",
            )
        return NoteReference(None, None, name, place)


def _joined(inlines: Sequence[Inline]) -> tuple[Inline, ...]:
    """Neighbouring plain words as one."""
    found: list[Inline] = []
    for inline in inlines:
        before = found[-1] if found else None
        if isinstance(inline, Text) and isinstance(before, Text):
            found[-1] = Text(before.text + inline.text, before.place)
        else:
            found.append(inline)
    return tuple(found)


def _without_lead(inlines: tuple[Inline, ...], _lead: str) -> tuple[Inline, ...]:
    """The words of a remark without its name."""
    rest = inlines[1:]
    if rest and isinstance(rest[0], Text):
        first = rest[0]
        cut = len(first.text) - len(first.text.lstrip(": \t"))
        rest = (Text(first.text[cut:], Place(first.place.line, first.place.column + cut)), *rest[1:])
    return rest
