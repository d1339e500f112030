"""The small stated lexicon by which passages are read: sources/conventions/link_words.csv."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Literal

from kg.intake.passages.words import Word, plain, words_of
from kg.resources import resource

Side = Literal["left", "right", "any"]
#: At most so many words lie in the gap that a star allows.
WIDEST_GAP = 5
#: Words of at most so many letters are compared with their accents.
SHORT = 3
#: Lists in which accents count: "ne" denies, "né" is born.
_AS_SPELT = frozenset({"negation", "hedge"})


@dataclass(frozen=True, slots=True)
class Link:
    """A row of words that says a property, and where its subject and its value stand."""

    property: str
    words: tuple[frozenset[str], ...]
    """One set of alternatives a word; an empty set is a gap."""
    about: Side
    value: Side
    about_lead: frozenset[str]
    value_lead: frozenset[str]

    def spans(self, words: Sequence[Word]) -> Iterator[tuple[int, int]]:
        """Where the row of words stands: the place of its first word and the place after its last."""
        for at, word in enumerate(words):
            if _compared(word) in self.words[0] and (last := self._end(words, at + 1, 1)) is not None:
                yield at, last

    def _end(self, words: Sequence[Word], at: int, step: int) -> int | None:
        if step == len(self.words):
            return at
        if not self.words[step]:
            for skipped in range(WIDEST_GAP + 1):
                place = at + skipped
                if place < len(words) and _compared(words[place]) in self.words[step + 1]:
                    return self._end(words, place + 1, step + 2)
            return None
        if at < len(words) and _compared(words[at]) in self.words[step]:
            return self._end(words, at + 1, step + 1)
        return None


@dataclass(frozen=True)
class Lexicon:
    """The links and the lists of words."""

    links: tuple[Link, ...]
    lists: Mapping[str, frozenset[tuple[str, ...]]] = field(default_factory=dict)
    by_language: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """The common small words of each language, by which its sentences are told."""

    def single(self, kind: str) -> frozenset[str]:
        """The words of a list that stand alone."""
        return frozenset(words[0] for words in self.lists.get(kind, ()) if len(words) == 1)

    @property
    def widow(self) -> frozenset[str]:
        """Widow, Witwe, veuve."""
        return self.single("widow")

    @property
    def family(self) -> frozenset[str]:
        """Sons, Gebrüder, fils: what stands beside a surname in the name of a firm."""
        return self.single("family")

    @property
    def conjunctions(self) -> frozenset[str]:
        """And, und, et."""
        return self.single("conjunction")

    @property
    def mould(self) -> frozenset[str]:
        """Words that stand before the number of a mould."""
        return self.single("mould")

    @property
    def number(self) -> frozenset[str]:
        """Words that stand before the number of a registration."""
        return self.single("number")

    @property
    def of(self) -> frozenset[str]:
        """Of, von, de."""
        return self.single("of")

    @property
    def known(self) -> frozenset[str]:
        """Words that stand with a capital letter and are no name."""
        return self.single("known") | self.single("title")

    def parts(self) -> Mapping[str, frozenset[str]]:
        """The words for each class of part."""
        return {
            kind.removeprefix("part:"): self.single(kind) for kind in self.lists if kind.startswith("part:")
        }

    def language_of(self, words: Sequence[Word]) -> str:
        """The language that most of the small words of a sentence belong to."""
        spelt = [word.plain for word in words]
        return max(
            sorted(self.by_language), key=lambda one: sum(word in self.by_language[one] for word in spelt)
        )

    def first_in(self, kind: str, words: Sequence[Word], first: int, last: int) -> tuple[int, int] | None:
        """Where an entry of a list first stands between two places."""
        rows = self.lists.get(kind, frozenset())
        spelt = [word.text.casefold() if kind in _AS_SPELT else word.plain for word in words]
        for at in range(max(first, 0), min(last, len(words))):
            for row in rows:
                if tuple(spelt[at : at + len(row)]) == row:
                    return at, at + len(row)
        return None

    @cached_property
    def common(self) -> frozenset[str]:
        """Every word of the lexicon: what stands with a capital letter at the begin of a sentence and is no name."""
        lists = (word for kind in self.lists.values() for row in kind for word in row)
        return frozenset(lists) | frozenset(
            word for link in self.links for choices in link.words for word in choices
        )


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The lexicon that ships."""
    links: list[Link] = []
    lists: dict[str, set[tuple[str, ...]]] = defaultdict(set)
    small: dict[str, set[str]] = defaultdict(set)
    path = resource("sources/conventions/link_words.csv")
    rows = (line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    for row in csv.DictReader(rows):
        if row["kind"] == "link":
            links += _links(row)
            continue
        for entry in row["words"].split("/"):
            words = words_of(entry)
            is_spelt = row["kind"] in _AS_SPELT
            lists[row["kind"]].add(tuple(word.text.casefold() if is_spelt else word.plain for word in words))
            if row["kind"] == "known":
                small[row["language"]].update(word.plain for word in words)
    by_language = {language: frozenset(words) for language, words in small.items()}
    return Lexicon(tuple(links), {kind: frozenset(entries) for kind, entries in lists.items()}, by_language)


def _links(row: Mapping[str, str]) -> Iterator[Link]:
    about, value = row["about"], row["value"]
    sides: tuple[Side, ...] = ("left", "right", "any")
    (about_side,) = (side for side in sides if side == about)
    (value_side,) = (side for side in sides if side == value)
    for words in _alternatives(row["words"]):
        yield Link(
            row["says"], words, about_side, value_side, _lead(row["about_lead"]), _lead(row["value_lead"])
        )


def _alternatives(text: str) -> Iterator[tuple[frozenset[str], ...]]:
    """The rows that "wound/gave up|shut down" stands for: a bar divides rows, a stroke the choices for one word."""
    for row in text.split("|"):
        places: list[frozenset[str]] = []
        for item in row.split():
            if item == "*":
                places.append(frozenset())
            elif "/" in item:
                places.append(frozenset(_entry(choice) for choice in item.split("/")))
            elif item.endswith("'"):
                places.append(frozenset({plain(item)}))
            else:
                places += [frozenset({_compared(word)}) for word in words_of(item)]
        yield tuple(places)


def _compared(word: Word) -> str:
    """How a word is compared with link words: a short one as it is spelt, for "né" is not "ne"."""
    return word.text.casefold().replace("’", "'") if len(word.plain) <= SHORT else word.plain


def _entry(choice: str) -> str:
    return choice.casefold() if len(plain(choice)) <= SHORT else plain(choice)


def _lead(text: str) -> frozenset[str]:
    return frozenset(plain(word) for word in text.split("/") if word)
