"""What is stated about names, read from sources/conventions: words with a role, and how much each agreement weighs."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from kg.intake.reconcile.letters import key_of, plain, words_of
from kg.intake.reconcile.weights import Agreement, Weights
from kg.resources import resource


@dataclass(frozen=True, slots=True)
class NameWord:
    """A word or phrase that is no name by itself: a legal form, a title, a word for kin, an abbreviation."""

    text: str
    role: str
    """legal, together, follows, predecessor, generation, title, joiner, particle, trade or forename."""
    value: str
    """What the word stands for, whatever the language; several meanings are divided by a stroke."""
    language: str
    basis: str


@lru_cache(maxsize=1)
def name_words() -> Mapping[tuple[str, ...], NameWord]:
    """The words with a role, by their letters; a phrase is keyed by its words in order. Forenames stand apart."""
    found: dict[tuple[str, ...], NameWord] = {}
    for row in _rows():
        if row.role != "forename":
            found.setdefault(_key(row.text), row)
    return found


@lru_cache(maxsize=1)
def longest_phrase() -> int:
    """The number of words of the longest phrase that has a role."""
    return max(map(len, name_words()))


@lru_cache(maxsize=1)
def forenames_meant() -> Mapping[str, frozenset[str]]:
    """What each listed short form of a forename may stand for, in plain letters."""
    found: dict[str, set[str]] = defaultdict(set)
    for row in _rows():
        if row.role == "forename":
            found[key_of(row.text)].update(plain(full) for full in row.value.split("|"))
    return {short: frozenset(full) for short, full in found.items()}


@lru_cache(maxsize=1)
def stated_weights() -> Weights:
    """The weights as stated by hand: each level with its share among records of one thing and among others."""
    path = resource("sources/conventions/name_agreement.csv")
    with path.open(encoding="utf-8", newline="") as file:
        return Weights(
            tuple(
                Agreement(
                    r["field"],
                    r["level"],
                    float(r["among_the_same"]),
                    float(r["among_others"]),
                    r["says"],
                    r["basis"],
                )
                for r in csv.DictReader(file)
            )
        )


def _rows() -> list[NameWord]:
    with resource("sources/conventions/names.csv").open(encoding="utf-8", newline="") as file:
        return [NameWord(**row) for row in csv.DictReader(file)]


def _key(text: str) -> tuple[str, ...]:
    return tuple(key_of(word.text) for word in words_of(text))
