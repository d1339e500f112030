"""An essay as sentences: plain words, each with its notes and the place of every character."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from kg.essays.auditing.words import pattern, words
from kg.essays.syntax import (
    Emphasis,
    Essay,
    Figure,
    Heading,
    Inline,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Place,
    Strong,
    Text,
    references_in,
)

_STOP = re.compile(r"[.!?…]+[”’\"')\]]*(\s+)(?=[“‘\"'(\[]*(\S))")
_LAST_WORD = re.compile(r"[\w.’'°]+\.$")
#: The next word, unless it is an initial: "J. A. Tarn".
_NEXT_WORD = re.compile(r"[“‘\"'(\[]*([^\W\d_]+)(?![^\W\d_])(?<![^\w]\w(?=\.))")
_INITIAL = re.compile(r"(?:^|[.\-’'&])[^\W\d_]\.$")
#: Amounts and measures written in one: "12s.", "46cm.".
_AMOUNT = re.compile(r"\d+[a-z]{1,2}\.")
_QUOTED = re.compile(r"“[^”]{0,400}”")


@dataclass(frozen=True, slots=True)
class Passage:
    """A sentence, heading or caption with its notes."""

    text: str
    notes: tuple[NoteReference, ...]
    starts: tuple[int, ...] = field(repr=False, compare=False)
    """The offsets at which its stretches of words begin, for `place`."""
    stretches: tuple[tuple[Text, int], ...] = field(repr=False, compare=False)
    is_sentence: bool = True
    """False for headings, captions and remarks: they need no claims."""
    is_reserved: bool = False
    """Whether its section said before that all this goes only if the record is right."""

    @property
    def claims(self) -> tuple[str, ...]:
        """The ids in its notes, each once, in their order."""
        return tuple(dict.fromkeys(note.claim for note in self.notes if note.claim is not None))

    @property
    def is_own(self) -> bool:
        """Whether a note says that it is the writer's own judgement."""
        return any(note.is_own for note in self.notes)

    def place(self, offset: int = 0) -> Place:
        """Where one of its characters was written."""
        if not self.stretches:
            return Place(1, 1)
        number = max(0, bisect_right(self.starts, offset) - 1)
        text, shift = self.stretches[number]
        return text.place_of(offset - self.starts[number] + shift)


@dataclass(slots=True)
class _Flat:
    """The words of a block in a row, with their places and notes."""

    text: str = ""
    starts: list[int] = field(default_factory=list)
    stretches: list[Text] = field(default_factory=list)
    notes: list[tuple[int, NoteReference]] = field(default_factory=list)

    def add(self, inlines: Iterable[Inline]) -> None:
        parts: list[str] = []
        length = 0
        stack: list[Iterator[Inline]] = [iter(inlines)]
        while stack:
            inline = next(stack[-1], None)
            if inline is None:
                stack.pop()
            elif isinstance(inline, NoteReference):
                self.notes.append((length, inline))
            elif isinstance(inline, Emphasis | Strong | Link):
                stack.append(iter(inline.inlines))
            elif isinstance(inline, Text | LineBreak):
                text = inline if isinstance(inline, Text) else Text(" ", inline.place)
                self.starts.append(length)
                self.stretches.append(text)
                parts.append(text.text)
                length += len(text.text)
        self.text = "".join(parts)

    def passage(self, first: int, last: int, notes: Iterable[NoteReference], is_sentence: bool) -> Passage:
        low = max(0, bisect_right(self.starts, first) - 1)
        high = bisect_right(self.starts, max(first, last - 1))
        pairs = [(n, self.stretches[n]) for n in range(low, high)]
        starts = tuple(max(0, self.starts[n] - first) for n, _ in pairs)
        stretches = tuple((text, max(0, first - self.starts[n])) for n, text in pairs)
        return Passage(self.text[first:last], tuple(notes), starts, stretches, is_sentence)


def passages(essay: Essay) -> Iterator[Passage]:
    """Every sentence, heading, caption and remark of an essay, in the order of the text; remarks last."""
    called = {name: tuple(references_in(inlines)) for name, inlines in essay.remarks}
    is_reserved = False
    for block in essay.prose():
        flat = _Flat()
        flat.add(block.picture.inlines if isinstance(block, Figure) else block.inlines)
        if isinstance(block, Paragraph):
            for passage in _sentences(flat, called):
                yield replace(passage, is_reserved=is_reserved)
                is_reserved = is_reserved or pattern("hedge_all").search(passage.text) is not None
        elif isinstance(block, Heading | Figure):
            is_reserved = is_reserved and isinstance(block, Figure)
            yield flat.passage(0, len(flat.text), [note for _, note in flat.notes], is_sentence=False)
    for _, inlines in essay.remarks:
        flat = _Flat()
        flat.add(inlines)
        yield flat.passage(0, len(flat.text), [note for _, note in flat.notes], is_sentence=False)


def _sentences(flat: _Flat, called: Mapping[str, tuple[NoteReference, ...]]) -> Iterator[Passage]:
    ends = [*sentence_ends(flat.text), len(flat.text)]
    first, number = 0, 0
    for end in ends:
        notes: list[NoteReference] = []
        while number < len(flat.notes) and (flat.notes[number][0] <= end or end == len(flat.text)):
            note = flat.notes[number][1]
            notes += [note, *called.get(note.remark or "", ())]
            number += 1
        start = first + len(flat.text[first:end]) - len(flat.text[first:end].lstrip())
        if notes or flat.text[start:end].strip():
            yield flat.passage(min(start, end), end, notes, is_sentence=True)
        first = end


def sentence_ends(text: str) -> Iterator[int]:
    """Where the sentences of a paragraph end, but for the last; blanks behind a stop belong to what follows.

    >>> text = "She is 18 in. (46 cm) high. J. B. Tarn made no. 4. It sold for 12s. 6d. in Bath."
    >>> [text[end:].split()[0] for end in sentence_ends(text)]
    ['J.', 'It']
    """
    inside = [(m.start(), m.end()) for m in _QUOTED.finditer(text)]
    at = 0
    for found in _STOP.finditer(text):
        while at < len(inside) and inside[at][1] <= found.start():
            at += 1
        is_quoted = at < len(inside) and inside[at][0] < found.start() < inside[at][1] - 1
        if not is_quoted and _ends(text, found):
            yield found.start(1)


def _ends(text: str, found: re.Match[str]) -> bool:
    """Whether a stop before a blank ends its sentence."""
    following = found[2]
    if following.islower():
        return False
    if found[0][0] != ".":
        return True
    word = _LAST_WORD.search(text, max(0, found.start() - 30), found.start() + 1)
    last = word[0] if word else ""
    if last in words("never_ends") or last.casefold() in words("never_ends"):
        return False
    upcoming = _NEXT_WORD.match(text, found.end())
    begins = upcoming is not None and upcoming[1].casefold() in words("begins")
    if _INITIAL.search(last):
        return begins
    if last in words("may_end") or _AMOUNT.fullmatch(last):
        return begins
    return following.isupper() or following.isdecimal() or following in "“‘\"'([*"
