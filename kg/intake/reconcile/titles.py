"""Names that are no maker's: titles of sources, places, pieces, moulds. Compared word by word, the rare words first."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from kg.intake.reconcile.letters import distance, plain, skeleton
from kg.intake.reconcile.likeness import Level

#: Words of a title under which it is looked up: its rarest.
RAREST = 3
#: A word that more titles have than this finds nothing: all their pairs would be compared.
MOST_SHARING = 200
#: Letters of a title that are compared.
LONGEST_TITLE = 1_000
#: What share of the words, weighed by rarity, two titles must have in common to be near, or to agree in part.
NEAR, PART = 0.8, 0.5
#: Words shorter than this are other words when one letter differs.
LEAST_FOR_NEAR = 5


class Titles:
    """Titles of things of one kind, with how rare each word is among them."""

    def __init__(self, titles: Sequence[Iterable[str]]) -> None:
        self.words = [tuple(dict.fromkeys(map(words_and_numbers, names))) for names in titles]
        counts = Counter(word for names in self.words for words, _ in names for word in words)
        self.count = max(len(titles), 1)
        self.counts: Mapping[str, int] = counts

    def rarity(self, word: str) -> float:
        """How much a word says: the logarithm of how many titles there are for each that has it."""
        return math.log((self.count + 1) / (self.counts.get(word, 0) + 0.5))

    @cached_property
    def _shelf(self) -> Mapping[str, set[int]]:
        shelf: dict[str, set[int]] = defaultdict(set)
        for number, names in enumerate(self.words):
            for key in self.keys(names):
                shelf[key].add(number)
        return {key: numbers for key, numbers in shelf.items() if len(numbers) <= MOST_SHARING}

    @cached_property
    def too_common(self) -> int:
        """How many titles hold only words that very many hold, so that they are compared with none."""
        return sum(not self._shelf.keys() & self.keys(names) for names in self.words)

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Every two titles that share one of their rarest words, each pair once."""
        found = {(a, b) for numbers in self._shelf.values() for a in numbers for b in numbers if a < b}
        return iter(sorted(found))

    def near(self, title: str) -> set[int]:
        """The numbers of the titles that share one of the rarest words of a title from elsewhere."""
        return {
            number for key in self.keys([words_and_numbers(title)]) for number in self._shelf.get(key, ())
        }

    def keys(self, names: Iterable[tuple[frozenset[str], frozenset[str]]]) -> set[str]:
        """The rarest words of a thing's titles, without what print confuses."""
        return {
            skeleton(word)
            for words, _ in names
            for word in sorted(words, key=lambda word: (-self.rarity(word), word))[:RAREST]
        }

    def levels(self, one: str, other: str) -> Iterator[Level]:
        """The levels at which two titles agree."""
        (words, numbers), (others, their_numbers) = words_and_numbers(one), words_and_numbers(other)
        yield "title", self.level(words, others)
        if numbers or their_numbers:
            is_one = not numbers or not their_numbers
            yield "number", "one" if is_one else "same" if numbers == their_numbers else "different"

    def level(self, one: frozenset[str], other: frozenset[str]) -> str:
        """How two titles agree: near only where one of them says all that the other says."""
        if one == other:
            return "same"
        share = self.share(one, other)
        says_all = any(
            all(_has(more, word) for word in fewer) for fewer, more in ((one, other), (other, one))
        )
        return "near" if share >= NEAR and says_all else "part" if share >= PART else "different"

    def share(self, one: frozenset[str], other: frozenset[str]) -> float:
        """What share of the words two titles have in common, weighed by rarity; a word may differ by a letter."""
        both = sum(self.rarity(w) for w in one if _has(other, w)) + sum(
            self.rarity(w) for w in other if _has(one, w)
        )
        every = sum(map(self.rarity, one)) + sum(map(self.rarity, other))
        return both / every if every else 0.0


def words_and_numbers(title: str) -> tuple[frozenset[str], frozenset[str]]:
    """The words of a title in plain letters, and its numbers and years apart.

    >>> words, numbers = words_and_numbers("Tarn, Heads of the Valley (1932)")
    >>> sorted(words), sorted(numbers)
    (['heads', 'of', 'tarn', 'the', 'valley'], ['1932'])
    """
    title = title[:LONGEST_TITLE]
    numbers = frozenset(re.findall(r"\d+", title))
    return frozenset(word for word in plain(title).split() if not word.isdigit()), numbers


def _has(words: frozenset[str], wanted: str) -> bool:
    if wanted in words:
        return True
    return len(wanted) >= LEAST_FOR_NEAR and any(
        abs(len(word) - len(wanted)) <= 1
        and len(word) >= LEAST_FOR_NEAR
        and distance(*sorted((word, wanted))) <= 1
        for word in words
    )
