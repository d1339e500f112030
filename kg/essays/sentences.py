"""The sentences of a paragraph, each with its place and with the notes that stand at it.

A full stop ends a sentence where a blank or a note follows, unless what stands before it is an abbreviation, an
initial or an ordinal, or what follows goes on in small letters. The abbreviations of the trade and the words that
begin a sentence are data: sources/conventions/abbreviations.csv.
"""

from __future__ import annotations

import csv
import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

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
from kg.resources import resource

_END = re.compile(r"[.!?…]+(?:[”’\"'“)\]]|[ \xa0\u202f]?»)*")
_LONGEST_ABBREVIATION = 14
_BEFORE = re.compile(r"[^\s(\[“„«\"‘]+$")
_INITIAL = re.compile(r"(?:\w+-)?(?:[^\W\d_]\.-?)*[^\W\d_]\.")
_MONEY = re.compile(r"\d+[sd]\.")
_ORDINAL = re.compile(r"(?:\d{1,2}|[IVX]{1,6})\.")
_LIST_NUMBER = re.compile(r"\(?\d{1,2}\.")
_OPENING = " \t\n\xa0\u202f“„«\"'‘([–—-"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of an essay in plain words, where it begins, and the notes that stand at it."""

    text: str
    place: Place
    notes: tuple[NoteReference, ...] = ()


@dataclass(frozen=True, slots=True)
class _Words:
    """The abbreviations and first words of a language."""

    never: frozenset[str]
    may: frozenset[str]
    after_number: frozenset[str]
    starters: frozenset[str]


@lru_cache(maxsize=8)
def _words(language: str) -> _Words:
    kinds: dict[str, set[str]] = {"never": set(), "may": set(), "after number": set(), "starter": set()}
    with resource("sources/conventions/abbreviations.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            if row["language"] in ("any", language):
                kinds[row["ends_sentence"]].add(row["abbreviation"])
    return _Words(*(frozenset(kinds[kind]) for kind in ("never", "may", "after number", "starter")))


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
    cuts = _cuts(text, frozenset(at for at, _ in flat.notes), _words(language), language)
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


def _cuts(text: str, notes: frozenset[int], words: _Words, language: str) -> Iterator[int]:
    """The offsets behind the last character of each sentence."""
    for found in _END.finditer(text):
        end = found.end()
        is_loose = end >= len(text) or end in notes or text[end].isspace()
        if is_loose and _ends(text, found, words, language):
            yield end
    yield len(text)


def _ends(text: str, found: re.Match[str], words: _Words, language: str) -> bool:
    after = text[found.end() : found.end() + 80]
    bare = after.lstrip(_OPENING)
    if not bare:
        return True
    if bare[0].islower():
        return False
    if not found[0].startswith(".") or found[0].startswith(".."):
        return True
    return _stop_ends(text[max(0, found.start() - 40) : found.start() + 1], after, bare, words, language)


def _stop_ends(before: str, after: str, bare: str, words: _Words, language: str) -> bool:
    """Whether a full stop with these words before and behind it ends a sentence."""
    next_word = re.split(r"[\s,;:.!?’']", bare, maxsplit=1)[0]
    starts = next_word in words.starters
    is_capital = bare[0].isupper()
    token = _BEFORE.search(before)
    last = token[0] if token else before
    behind_number = re.search(r"\d\S*\s*$", before[: len(before) - len(last)]) is not None
    if _ends_with(before, words.never) and not (behind_number and last in words.after_number):
        return False
    if _MONEY.fullmatch(last) or (behind_number and last in words.after_number):
        return is_capital and not after.lstrip().startswith("(")
    if _ends_with(before, words.may):
        return (
            is_capital and not _ends_with(next_word + ".", words.may) and not after.lstrip().startswith("(")
        )
    if _LIST_NUMBER.fullmatch(last) and before.strip() == last:
        return False
    if language == "de" and _ORDINAL.fullmatch(last):
        return starts
    if _INITIAL.fullmatch(last):
        return starts
    return True


def _ends_with(before: str, abbreviations: frozenset[str]) -> bool:
    """Whether a text ends with one of some abbreviations as a word of its own, blanks within it counted as one."""
    tail = re.sub(r"[\s\xa0\u202f]+", " ", before)
    for size in range(2, min(len(tail), _LONGEST_ABBREVIATION) + 1):
        word = tail[-size:]
        begun = word[0].lower() + word[1:] if size > 2 else word  # "Vol." begins a sentence as "vol." goes on
        if (word in abbreviations or begun in abbreviations) and (
            size == len(tail) or not tail[-size - 1].isalnum()
        ):
            return True
    return False


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
