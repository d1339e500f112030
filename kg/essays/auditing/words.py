"""The words by which the audit reads sentences, from sources/conventions/factual_words.csv."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache

from kg.daybook.discretion import folded
from kg.resources import resource


@lru_cache(maxsize=1)
def _rows() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    with resource("sources/conventions/factual_words.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            (row["role"], row["value"], tuple(row["words"].split("|"))) for row in csv.DictReader(file)
        )


@lru_cache(maxsize=64)
def words(role: str, value: str | None = None) -> tuple[str, ...]:
    """The words that have a role, or one value of it, in the order of the file.

    >>> words("number_word", "3")[0]
    'three'
    """
    return tuple(
        word for kind, worth, every in _rows() if kind == role and value in (None, worth) for word in every
    )


@lru_cache(maxsize=16)
def values(role: str) -> Mapping[str, str]:
    """What each word of a role stands for, by the word without capitals."""
    return {word.casefold(): worth for kind, worth, every in _rows() if kind == role for word in every}


@lru_cache(maxsize=64)
def pattern(role: str, value: str | None = None) -> re.Pattern[str]:
    """Finds any word of a role as a whole word, whatever its capitals.

    >>> bool(pattern("hedge").search("It is Probably so."))
    True
    """
    return any_of(words(role, value))


def any_of(each: Iterable[str]) -> re.Pattern[str]:
    """Finds any of some words or phrases, the longest first, as whole words and whatever their capitals."""
    ordered = sorted((re.escape(one) for one in each), key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(ordered)})(?!\w)" if ordered else r"(?!)", re.IGNORECASE)


def bare(word: str) -> str:
    """A word of a name for comparing: no capitals, accents, points and genitive endings.

    >>> [bare(w) for w in ("Tarn’s", "Éloïse", "d’Oriel", "O.")]
    ['tarn', 'eloise', 'oriel', 'o']
    """
    plain = folded(word).replace("’", "'").strip(".'")
    plain = re.sub(r"^(?:d|l|qu)'", "", plain)
    return re.sub(r"'s?$", "", plain)
