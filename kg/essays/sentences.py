"""The sentences of a paragraph, each with its place and with the notes that stand at it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kg.essays.syntax_tree import (
    Emphasis,
    Essay,
    Heading,
    Inline,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Place,
    Strong,
    Text,
)
from kg.prose import sentence_ends


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of an essay in plain words, where it begins, and the notes that stand at it."""

    text: str
    place: Place
    notes: tuple[NoteReference, ...] = ()


def sentences(
    paragraph: Paragraph | Heading | Sequence[Inline], language: str = "en"
) -> tuple[Sentence, ...]:
    """The sentences of a paragraph in their order; language is en, fr or de.

    >>> from kg.essays.syntax import read_essay
    >>> essay = read_essay("By Tarn & Co.[^c3ov] She is 18 in. (46 cm) high.")
    >>> [(s.text, len(s.notes)) for s in essay_sentences(essay)]
    [('By Tarn & Co.', 1), ('She is 18 in. (46 cm) high.', 0)]
    """
    inlines = paragraph.inlines if isinstance(paragraph, Paragraph | Heading) else paragraph
    flat = _Flat()
    flat.take(inlines)
    text = "".join(flat.parts)
    cuts = sentence_ends(text, language, frozenset(at for at, _ in flat.notes))
    return tuple(_sentences(text, cuts, flat))


def essay_sentences(essay: Essay, language: str = "en") -> Iterator[Sentence]:
    """The sentences of every paragraph of an essay; headings and captions have none."""
    for block in essay.prose():
        if isinstance(block, Paragraph):
            yield from sentences(block, language)


class _Flat:
    """The words of some inlines in a row, where they were written, and between which of them notes stand."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        self.notes: list[tuple[int, NoteReference]] = []
        self.starts: list[int] = []
        self.texts: list[Text | LineBreak] = []
        self.length = 0

    def take(self, inlines: Sequence[Inline]) -> None:
        for inline in inlines:
            if isinstance(inline, NoteReference):
                self.notes.append((self.length, inline))
            elif isinstance(inline, Text | LineBreak):
                words = inline.text if isinstance(inline, Text) else " "
                self.starts.append(self.length)
                self.texts.append(inline)
                self.parts.append(words)
                self.length += len(words)
            elif isinstance(inline, Emphasis | Strong | Link):
                self.take(inline.inlines)

    def place(self, offset: int) -> Place:
        number = bisect_right(self.starts, offset) - 1
        text = self.texts[number]
        return text.place_of(offset - self.starts[number]) if isinstance(text, Text) else text.place


def _sentences(text: str, cuts: Iterator[int], flat: _Flat) -> Iterator[Sentence]:
    spans, start = [], 0
    for cut in cuts:
        begin = start + len(text[start:cut]) - len(text[start:cut].lstrip())
        if begin < cut:
            spans.append((begin, cut))
        start = cut
    notes: list[list[NoteReference]] = [[] for _ in spans]
    begins = [begin for begin, _ in spans]
    for at, note in flat.notes:
        # A note belongs to the words before it; one at the very beginning to the first sentence.
        number = max(0, bisect_right(begins, at - 1) - 1)
        if notes:
            notes[number].append(note)
    for (begin, end), held in zip(spans, notes, strict=True):
        yield Sentence(" ".join(text[begin:end].split()), flat.place(begin), tuple(held))
