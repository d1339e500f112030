"""A print as Markdown with its notes written out; it needs no other program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from kg.essays.bibliography import (
    escaped_for_markdown,
    full_citation,
    reference,
    short_citation,
    sort_key,
)
from kg.essays.publish_plan import Illustration, Manuscript, PrintedNote, note_rows
from kg.essays.syntax import (
    Block,
    Emphasis,
    Essay,
    Figure,
    Heading,
    Inline,
    ItemList,
    Link,
    NoteReference,
    Paragraph,
    Picture,
    Quotation,
    Strong,
    Text,
    to_markdown,
)


def markdown_text(manuscript: Manuscript) -> str:
    """The print as Markdown; the notes of a catalogue begin anew with each entry."""
    return _Writing(manuscript).text()


class _Writing:
    """Writes one print."""

    def __init__(self, manuscript: Manuscript) -> None:
        self.manuscript = manuscript
        self.language = manuscript.settings.language
        self.words = manuscript.words
        self.items = {item["id"]: item for item in manuscript.items}
        self.notes: list[str] = []
        self.cited: set[str] = set()
        self.entry, self.in_entry = 0, 0

    def text(self) -> str:
        made = self.manuscript
        parts = [f"# {escaped_for_markdown(made.title)}"] if made.is_catalogue else []
        for number, essay in enumerate(made.essays, start=1):
            self.entry, self.in_entry = number if made.is_catalogue else 0, 0
            blocks = tuple(self.block(essay, block) for block in essay.blocks)
            if made.is_catalogue:
                blocks = tuple(_lower(block, number) for block in blocks)
            parts += [to_markdown(Essay("", (block,))).rstrip("\n") for block in blocks]
        parts += self.end_matter()
        parts += self.notes
        return "\n\n".join(parts) + "\n"

    def end_matter(self) -> Iterator[str]:
        made = self.manuscript
        if made.illustrations:
            yield f"## {self.words['illustrations']}"
            yield "\n".join(
                f"- {escaped_for_markdown(self.picture_words(one))}" for one in made.illustrations
            )
        if made.terms:
            yield f"## {self.words['glossary']}"
            rows = ((escaped_for_markdown(t.words), escaped_for_markdown(t.meaning)) for t in made.terms)
            yield "\n".join(f"- *{words}*: {meaning}" for words, meaning in rows)
        if made.items:
            yield f"## {self.words['sources']}"
            ordered = sorted(made.items, key=sort_key)
            yield "\n".join(f"- {_closed(reference(item, self.language))}" for item in ordered)

    def picture_words(self, one: Illustration) -> str:
        caption = one.figure.picture.caption.strip().rstrip(".")
        start = f"{self.words['figure']} {one.number}. "
        label = f"{self.words['photograph']} {one.label}."
        return f"{start}{caption}. {label}" if caption else f"{start}{label}"

    def block(self, essay: Essay, block: Block) -> Block:
        match block:
            case Heading() | Paragraph():
                return replace(block, inlines=self.inlines(essay, block.inlines))
            case Quotation():
                return replace(block, blocks=tuple(self.block(essay, b) for b in block.blocks))
            case ItemList():
                rows = tuple(tuple(self.block(essay, inner) for inner in item) for item in block.items)
                return replace(block, items=rows)
            case Figure():
                one = self.manuscript.numbers[id(block)]
                start = Text(f"{self.words['figure']} {one.number}. ")
                return Paragraph((start, *self.inlines(essay, block.picture.inlines)))

    def inlines(self, essay: Essay, inlines: Sequence[Inline]) -> tuple[Inline, ...]:
        found: list[Inline] = []
        for inline in note_rows(inlines):
            if isinstance(inline, list):
                found.append(self.note(essay, self.manuscript.note(essay, inline)))
            elif isinstance(inline, Emphasis | Strong | Link):
                found.append(replace(inline, inlines=self.inlines(essay, inline.inlines)))
            elif not isinstance(inline, Picture):
                found.append(inline)
        return tuple(found)

    def note(self, essay: Essay, note: PrintedNote) -> NoteReference:
        """A reference to a numbered note, whose words are kept for the end."""
        cites = []
        for one in note.sources:
            write = short_citation if one.source in self.cited else full_citation
            cites.append(write(self.items[one.source], one.places, self.language))
            self.cited.add(one.source)
        told = [_closed("; ".join(cites))] if cites else []
        for remark in note.remarks:
            bare = tuple(inline for inline in remark if not isinstance(inline, NoteReference))
            told.append(to_markdown(Essay("", (Paragraph(bare),))).strip())
        if note.is_own:
            told.append(f"{self.words['own']}.")
        self.in_entry += 1
        # A label stands once in a file, so the notes of a catalogue's entry bear its number too.
        label = f"{self.entry}-{self.in_entry}" if self.entry else str(self.in_entry)
        self.notes.append(f"[^{label}]: {' '.join(told)}")
        return NoteReference(None, None, label)


def _closed(text: str) -> str:
    return text if text.rstrip("*”").endswith((".", "!", "?")) else f"{text}."


def _lower(block: Block, number: int) -> Block:
    """A heading of a catalogue's entry: one level lower, the entry's with its number."""
    if not isinstance(block, Heading):
        return block
    start = (Text(f"{number} "),) if block.level == 1 else ()
    return replace(block, level=min(6, block.level + 1), inlines=(*start, *block.inlines))
