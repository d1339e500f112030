"""Where the sentences of a text end, in English, French and German.

A full stop ends a sentence where a blank or a note follows, unless what stands before it is an abbreviation, an
initial or an ordinal, or what follows goes on in small letters. The abbreviations of the trade and the words that
begin a sentence are data: sources/conventions/abbreviations.csv.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.resources import resource

_PARAGRAPH = re.compile(r"\n[ \t]*\n")
_END = re.compile(r"[.!?…]+(?:[”’\"'“)\]]|[ \xa0\u202f]?»)*")
_LONGEST_ABBREVIATION = 14
_BEFORE = re.compile(r"[^\s(\[“„«\"‘]+$")
_INITIAL = re.compile(r"(?:\w+-)?(?:[^\W\d_]\.-?)*[^\W\d_]\.")
_MONEY = re.compile(r"\d+[sd]\.")
_ORDINAL = re.compile(r"(?:\d{1,2}|[IVX]{1,6})\.")
_LIST_NUMBER = re.compile(r"\(?\d{1,2}\.")
_OPENING = " \t\n\xa0\u202f“„«\"'‘([–—-"


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


def sentences_of(text: str, language: str = "en") -> list[tuple[int, int]]:
    """The begin and end of each sentence of a text of several paragraphs, without the blanks around it.

    >>> [slice(*span) for span in sentences_of("By Tarn & Co. She is 18 in. (46 cm) high.")]
    [slice(0, 13, None), slice(14, 41, None)]
    """
    found: list[tuple[int, int]] = []
    start = 0
    for begin, end in _paragraphs(text):
        start = begin
        for cut in sentence_ends(text[begin:end], language):
            words = text[start : begin + cut]
            if words.strip():
                found.append((start + len(words) - len(words.lstrip()), start + len(words.rstrip())))
            start = begin + cut
    return found


def _paragraphs(text: str) -> Iterator[tuple[int, int]]:
    start = 0
    for gap in _PARAGRAPH.finditer(text):
        yield start, gap.start()
        start = gap.end()
    yield start, len(text)


def sentence_ends(text: str, language: str = "en", notes: frozenset[int] = frozenset()) -> Iterator[int]:
    """The offsets behind the last character of each sentence; ``notes`` are offsets at which a note stands."""
    words = _words(language)
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
