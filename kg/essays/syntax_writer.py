"""An essay written back as Markdown, in one form for each tree."""

from __future__ import annotations

import re

from kg.essays.syntax_tree import (
    Block,
    Emphasis,
    Essay,
    Figure,
    Heading,
    Inline,
    ItemList,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Picture,
    Quotation,
    Strong,
    Text,
)

_MARKUP = re.compile(r"([\\`*_\[\]<>|])")
_ENTITY = re.compile(r"&(?=#?\w+;)")
_BEGINS_A_BLOCK = re.compile(r"(?:#{1,6}(?=\s|$)|[-+](?=\s|$)|-{3,}|={3,}|~{3})")
_CLOSING, _ESCAPED = re.compile(r"([]\\])"), r"\\\1"
_BEGINS_A_NUMBER = re.compile(r"(\d{1,9})([.)])(?=\s|$)")


def to_markdown(essay: Essay) -> str:
    """The essay in Markdown; reading it gives the same tree again."""
    parts = [_block(block) for block in essay.blocks]
    parts += [f"[^{name}]: {_inlines(inlines)}" for name, inlines in essay.remarks]
    return "\n\n".join(parts) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading():
            return f"{'#' * block.level} {_heading(block.inlines)}"
        case Paragraph():
            return _begun(_inlines(block.inlines))
        case Figure():
            return _inline(block.picture)
        case Quotation():
            inner = "\n\n".join(map(_block, block.blocks))
            return "\n".join(f"> {line}".rstrip() for line in inner.split("\n"))
        case ItemList():
            numbers = range(block.first, block.first + len(block.items))
            return _items(block, [f"{n}. " if block.is_numbered else "- " for n in numbers])


def _items(block: ItemList, marks: list[str]) -> str:
    gap = "\n" if block.is_tight else "\n\n"
    told = []
    for item, mark in zip(block.items, marks, strict=True):
        inner = gap.join(map(_block, item))
        told.append(mark + f"\n{' ' * len(mark)}".join(inner.split("\n")))
    return "\n".join(line.rstrip() for line in gap.join(told).split("\n"))


def _heading(inlines: tuple[Inline, ...]) -> str:
    """Signs # at the end of a heading would be taken for its closing."""
    return re.sub(r"(^|\s)(#+)$", r"\1\\\2", _inlines(inlines))


def _begun(text: str) -> str:
    """A paragraph whose first signs cannot be taken for a list or heading."""
    numbered = _BEGINS_A_NUMBER.match(text)
    if numbered:
        return f"{numbered[1]}\\{text[len(numbered[1]) :]}"
    lines = text.split("\n")
    return "\n".join(f"\\{line}" if _BEGINS_A_BLOCK.match(line) else line for line in lines)


def _inlines(inlines: tuple[Inline, ...]) -> str:
    return "".join(_inline(inline) for inline in inlines)


def _inline(inline: Inline) -> str:
    match inline:
        case Text():
            return escaped(inline.text)
        case LineBreak():
            return "\\\n"
        case NoteReference():
            return _note(inline)
        case Emphasis():
            return f"*{_inlines(inline.inlines)}*"
        case Strong():
            return f"**{_inlines(inline.inlines)}**"
        case Link():
            return f"[{_inlines(inline.inlines)}]({inline.target})"
        case Picture():
            return f"![{_inlines(inline.inlines)}]({inline.name})"


def _note(note: NoteReference) -> str:
    if note.claim is not None and note.locator is not None:
        return f"[^{note.claim}, {_CLOSING.sub(_ESCAPED, note.locator)}]"
    return f"[^{note.claim or note.remark or 'own'}]"


def escaped(text: str) -> str:
    """Words as they stand in Markdown: words and nothing else.

    >>> print(escaped("C[---]T & Co. *1*"))
    C\\[---\\]T & Co. \\*1\\*
    """
    return _ENTITY.sub("&amp;", _MARKUP.sub(r"\\\1", text))
