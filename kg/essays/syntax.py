"""The text of an essay: a small Markdown whose footnote references hold the claims behind each sentence.

A reference is ``[^claim]``, with a place of its own ``[^claim, p. 12]``; ``[^own]`` is the writer's own judgement; any
other name, such as ``[^note]``, is a remark whose words stand in a paragraph ``[^note]: …`` of the text. Headings,
paragraphs, lists, quotations, emphasis, links to the web and pictures that the daybook names are read; raw HTML,
tables, code and ruled lines are refused, and nothing in a text can name a file.

Authority: CommonMark 0.31, as markdown-it-py reads it; footnote references as common extensions of it write them.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from markdown_it.token import Token

from kg.essays.syntax_reader import DEEPEST, NOTE, parser
from kg.essays.syntax_tree import (
    TURNING,
    Block,
    Emphasis,
    Essay,
    EssayNotUnderstood,
    Figure,
    Heading,
    Inline,
    ItemList,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Picture,
    Place,
    Quotation,
    Strong,
    Text,
    plain_words,
    references_in,
)
from kg.essays.syntax_writer import escaped, to_markdown

__all__ = [
    "CLAIM_ID", "DEEPEST", "LONGEST_ESSAY", "TURNING", "Block", "Emphasis", "Essay", "EssayNotUnderstood",
    "Figure", "Heading", "Inline", "ItemList", "LineBreak", "Link", "NoteReference", "Paragraph", "Picture",
    "Place", "Quotation", "Strong", "Text", "escaped", "plain_words", "read_catalogue", "read_essay",
    "references_in", "to_markdown",
]  # fmt: skip

#: Characters of one essay; a longer text is several essays.
LONGEST_ESSAY = 2_000_000
#: A claim's id: a letter c and ten letters or figures of base 32.
CLAIM_ID = re.compile(r"c[a-z2-7]{3,10}")
#: Opening brackets in one paragraph and in one essay, notes not counted: the parser's work grows with their square.
MOST_BRACKETS, MOST_BRACKETS_IN_ALL = 1_000, 10_000
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,199}")
_REMARK = re.compile(r"[A-Za-z0-9_-]{1,60}")
_TARGET = re.compile(r"(?:https?://|mailto:)[^\s\x00-\x1f<>\"\\^`{|}]{1,2000}", re.IGNORECASE)
_TITLE = re.compile(r"^# ", re.MULTILINE)
_UNSEEN = re.compile(f"{TURNING.pattern}|[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")

_Where = Callable[[int], Place]


def read_essay(text: str, first_line: int = 1) -> Essay:
    """An essay from its text; ``first_line`` is the line of its file at which it begins.

    :raises EssayNotUnderstood: naming the place of what cannot stand in an essay.

    >>> [note.claim for note in read_essay("# Lady\\n\\nBy Tarn.[^c3ov][^c5iw, p. 3]").references()]
    ['c3ov', 'c5iw']
    """
    text = _one_line_end(text)
    if len(text) > LONGEST_ESSAY:
        what = f"the text has {len(text):,} characters; an essay has at most {LONGEST_ESSAY:,}."
        raise EssayNotUnderstood(text[:200], first_line, 1, what, first_line)
    return _Reader(text, first_line).essay()


def read_catalogue(text: str) -> tuple[Essay, ...]:
    """The essays of a file that holds several, each under a title of its own; remarks follow their essay.

    :raises EssayNotUnderstood: naming the place, by the lines of the file.
    """
    text = _one_line_end(text)
    starts = [found.start() for found in _TITLE.finditer(text)]
    if not starts or text[: starts[0]].strip():
        starts = [0, *starts]
    ends = [*starts[1:], len(text)]
    lines, at, essays = 1, 0, []
    for start, end in zip(starts, ends, strict=True):
        lines, at = lines + text.count("\n", at, start), start
        essays.append(read_essay(text[start:end], lines))
    return tuple(essays)


def _one_line_end(text: str) -> str:
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


@dataclass(slots=True)
class _Reader:
    text: str
    first_line: int
    lines: list[str] = field(default_factory=list)
    remarks: dict[str, tuple[Inline, ...]] = field(default_factory=dict)
    remark_places: dict[str, Place] = field(default_factory=dict)

    def essay(self) -> Essay:
        self._check_characters()
        self._check_brackets()
        self.lines = self.text.split("\n")
        blocks = self._blocks(iter(parser().parse(self.text)), "", 0)
        essay = Essay(self.text, blocks, tuple(self.remarks.items()), self.first_line)
        self._check_remarks(essay)
        return essay

    def _check_characters(self) -> None:
        found = _UNSEEN.search(self.text)
        if found is not None:
            at = found.start()
            place = Place(self.first_line + self.text.count("\n", 0, at), at - self.text.rfind("\n", 0, at))
            raise self._fault(
                place,
                f"the character U+{ord(found[0]):04X}, which is not seen and may turn or hide what follows. "
                "Delete it.",
            )

    def _check_brackets(self) -> None:
        line, in_all = self.first_line, 0
        for paragraph in re.split(r"(\n[ \t]*(?=\n))", self.text):
            count = paragraph.count("[") - len(NOTE.findall(paragraph)) if "[" in paragraph else 0
            in_all += count
            if count > MOST_BRACKETS or in_all > MOST_BRACKETS_IN_ALL:
                what = (
                    f"more than {MOST_BRACKETS:,} brackets in a paragraph, or {MOST_BRACKETS_IN_ALL:,} in the "
                    "essay, besides notes. Mend or divide it."
                )
                place = Place(line + len(paragraph) - len(paragraph.lstrip("\n")), 1)
                raise self._fault(place, what)
            line += paragraph.count("\n")

    def _check_remarks(self, essay: Essay) -> None:
        called = {note.remark: note.place for note in essay.references() if note.remark is not None}
        for name, place in called.items():
            if name not in self.remarks:
                raise self._fault(
                    place,
                    f"“{name}” is no claim's id, and no paragraph “[^{name}]: …” says what it is. "
                    "A claim's id is c and ten letters or figures; [^own] is your own judgement.",
                )
        for name, place in self.remark_places.items():
            if name not in called:
                raise self._fault(
                    place,
                    f"nothing calls the remark “{name}”. Put [^{name}] behind its sentence, or leave it out.",
                )
            if any(note.remark is not None for note in references_in(self.remarks[name])):
                raise self._fault(place, f"the remark “{name}” calls a remark. Write the two as one.")

    def _fault(self, place: Place, what: str) -> EssayNotUnderstood:
        return EssayNotUnderstood(self.text, place.line, place.column, what, self.first_line)

    # ------------------------------------------------------------ blocks

    def _blocks(self, tokens: Iterator[Token], until: str, depth: int) -> tuple[Block, ...]:
        found: list[Block] = []
        for token in tokens:
            if token.type == until:
                break
            block = self._block(token, tokens, depth)
            if block is not None:
                found.append(block)
        return tuple(found)

    def _block(self, token: Token, tokens: Iterator[Token], depth: int) -> Block | None:
        place = self._begin(token)
        if depth > DEEPEST:
            raise self._fault(
                place, f"lists and quotations stand more than {DEEPEST} deep. Write it flatter."
            )
        match token.type:
            case "paragraph_open":
                return self._paragraph(tokens, place)
            case "heading_open":
                return Heading(int(token.tag[1]), self._inlines(tokens), place)
            case "blockquote_open":
                return Quotation(self._blocks(tokens, "blockquote_close", depth + 1), place)
            case "bullet_list_open" | "ordered_list_open":
                return self._list(token, tokens, place, depth)
            case "remark_open":
                self._remark(token.info, tokens, place)
                return None
            case "refused_block":
                raise self._fault(place, token.info)
        raise AssertionError(token.type)  # no other rule of the parser is enabled

    def _begin(self, token: Token) -> Place:
        line = token.map[0] if token.map else 0
        shown = self.lines[line] if line < len(self.lines) else ""
        return Place(self.first_line + line, 1 + len(shown) - len(shown.lstrip(" \t")))

    def _list(self, token: Token, tokens: Iterator[Token], place: Place, depth: int) -> ItemList:
        closing = token.type.replace("open", "close")
        items, is_tight = [], True
        for inner in tokens:
            if inner.type == closing:
                break
            row = list(_until_closed(tokens))
            is_tight = is_tight and not any(
                one.type == "paragraph_open" and not one.hidden and one.level == inner.level + 1
                for one in row
            )
            items.append(self._blocks(iter(row), "", depth + 1))
        is_numbered = token.type == "ordered_list_open"
        return ItemList(tuple(items), is_numbered, int(token.attrs.get("start", 1)), place, is_tight)

    def _paragraph(self, tokens: Iterator[Token], place: Place) -> Block:
        inlines = self._inlines(tokens, may_be_picture=True)
        if len(inlines) == 1 and isinstance(inlines[0], Picture):
            return Figure(inlines[0], inlines[0].place)
        return Paragraph(inlines, inlines[0].place if inlines else place)

    def _remark(self, name: str, tokens: Iterator[Token], place: Place) -> None:
        inlines = self._inlines(tokens)
        if name in self.remarks:
            raise self._fault(place, f"the remark “{name}” is given twice. Name one of them otherwise.")
        if name == "own" or CLAIM_ID.fullmatch(name):
            raise self._fault(
                place, f"“{name}” cannot name a remark; claims are named so. Name it otherwise."
            )
        if not inlines:
            raise self._fault(place, f"the remark “{name}” is empty. Write its words behind the colon.")
        self.remarks[name], self.remark_places[name] = inlines, place

    # ------------------------------------------------------------ inlines

    def _inlines(self, tokens: Iterator[Token], *, may_be_picture: bool = False) -> tuple[Inline, ...]:
        token, _ = next(tokens), next(tokens)
        where = self._where(token)
        inlines = self._tree(token.children or [], where)
        if not (may_be_picture and len(inlines) == 1):
            self._no_picture(inlines)
        return inlines

    def _no_picture(self, inlines: Sequence[Inline]) -> None:
        for inline in inlines:
            if isinstance(inline, Picture):
                raise self._fault(inline.place, "a picture within words. Give it a paragraph of its own.")

    def _where(self, token: Token) -> _Where:
        """Tells where a character of a block's words was written."""
        first = token.map[0] if token.map else 0
        starts, places, offset = [], [], 0
        for number, part in enumerate(token.content.split("\n"), start=first):
            line = self.lines[number].rstrip() if number < len(self.lines) else ""
            bare = part.strip()
            found = (
                line.rfind(bare)
                if not line.endswith("#")
                else line.find(bare, len(line) - len(line.lstrip("# ")))
            )
            starts.append(offset)
            places.append(Place(self.first_line + number, found + 1 - (len(part) - len(part.lstrip()))))
            offset += len(part) + 1

        def where(at: int) -> Place:
            number = bisect_right(starts, at) - 1
            return Place(places[number].line, max(1, places[number].column + at - starts[number]))

        return where

    def _tree(self, tokens: Sequence[Token], where: _Where) -> tuple[Inline, ...]:
        """The inlines of a flat row of tokens; by a stack, so that no depth exhausts the interpreter."""
        stack: list[tuple[Token | None, list[Inline]]] = [(None, [])]
        for token in tokens:
            place = where(token.meta.get("at", 0))
            if token.nesting > 0:
                if len(stack) > DEEPEST:
                    raise self._fault(place, f"marks stand more than {DEEPEST} deep. Write it flatter.")
                stack.append((token, []))
            elif token.nesting < 0:
                opened, inner = stack.pop()
                if opened is not None:
                    stack[-1][1].append(self._spanning(opened, inner, where(opened.meta.get("at", 0))))
            else:
                stack[-1][1].extend(self._single(token, place, where))
        return _joined(stack[0][1])

    def _spanning(self, opened: Token, inner: list[Inline], place: Place) -> Inline:
        self._no_picture(inner)
        inlines = _joined(inner)
        if opened.type == "em_open":
            return Emphasis(inlines, place)
        if opened.type == "strong_open":
            return Strong(inlines, place)
        # The parser's place is the first word of the link, one behind its bracket.
        place = Place(place.line, max(1, place.column - 1))
        target = str(opened.attrs.get("href", ""))
        if "title" in opened.attrs or not _TARGET.fullmatch(target):
            raise self._fault(
                place,
                f"a link to {target[:80]!r}. Only http, https and mailto addresses without blanks or further "
                "words can stand in an essay.",
            )
        return Link(target, inlines, place)

    def _single(self, token: Token, place: Place, where: _Where) -> Iterator[Inline]:
        match token.type:
            case "text" | "text_special":
                if token.content:
                    yield Text(token.content, place, ((0, place),))
            case "softbreak":
                yield Text(" ", place, ((0, place),))
            case "hardbreak":
                yield LineBreak(place)
            case "note":
                yield self._reference(token.content, place)
            case "image":
                yield self._picture(token, place, where)
            case "refused":
                raise self._fault(place, token.info)

    def _reference(self, content: str, place: Place) -> NoteReference:
        name, comma, locator = (part.strip() for part in re.sub(r"\\(.)", r"\1", content).partition(","))
        if comma and not (locator and CLAIM_ID.fullmatch(name)):
            raise self._fault(
                place, f"“{content[:60]}” is no claim's id with a place behind it. Write [^claim, p. 12]."
            )
        if CLAIM_ID.fullmatch(name):
            return NoteReference(name, " ".join(locator.split()) or None, None, place)
        if not _REMARK.fullmatch(name):
            raise self._fault(
                place,
                f"“{content[:60]}” is neither a claim's id nor the name of a remark. "
                "Write [^claim], [^claim, p. 12], [^own] or [^note].",
            )
        return NoteReference(None, None, None if name == "own" else name, place)

    def _picture(self, token: Token, place: Place, where: _Where) -> Picture:
        name = str(token.attrs.get("src", ""))
        if not _NAME.fullmatch(name) or "title" in token.attrs:
            raise self._fault(
                place,
                f"a picture {name[:80]!r}. Name a photograph of the daybook by its id, as in "
                "![The lady](photograph-lady-front); files and addresses cannot be named.",
            )
        begin = int(token.meta.get("at", 0)) + 2
        inlines = self._tree(token.children or [], lambda at: where(begin + at))
        self._no_picture(inlines)
        return Picture(name, plain_words(inlines), place, inlines)


def _until_closed(tokens: Iterator[Token]) -> Iterator[Token]:
    """The tokens of a list item, from behind its opening to its closing."""
    level = 0
    for token in tokens:
        level += (token.type == "list_item_open") - (token.type == "list_item_close")
        if level < 0:
            return
        yield token


def _joined(inlines: Sequence[Inline]) -> tuple[Inline, ...]:
    """Neighbouring plain words as one."""
    found: list[Inline] = []
    for is_text, group in _grouped(inlines):
        if not is_text:
            found += group
            continue
        runs, offset = [], 0
        for text in group:
            if isinstance(text, Text):
                runs += [(offset + begins, place) for begins, place in text.runs]
                offset += len(text.text)
        found.append(Text(plain_words(group), group[0].place, tuple(runs)))
    return tuple(found)


def _grouped(inlines: Sequence[Inline]) -> Iterator[tuple[bool, list[Inline]]]:
    group: list[Inline] = []
    for inline in inlines:
        if group and isinstance(inline, Text) != isinstance(group[-1], Text):
            yield isinstance(group[-1], Text), group
            group = []
        group.append(inline)
    if group:
        yield isinstance(group[-1], Text), group
