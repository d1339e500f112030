"""The words of a passage: each with its place, and in the one spelling by which names are compared."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

#: A number with its groups, a word, or one sign; an elided article ("d'", "l'") is a word of its own.
_TOKEN = re.compile(
    r"\d+(?:[., \u202f]\d{3})*(?!\d)|\d+|(?:[DdLlQqNnSsCcJjMm]|[Qq]u)['’](?=\w)|[^\W\d_]+(?:-[^\W\d_]+)*|\S"
)
_SIGNS = {
    "‐": "-",
    "‑": "-",
    "–": "-",
    "—": "-",
    "’": "'",
    "‘": "'",
    "“": '"',
    "”": '"',
    "«": '"',
    "»": '"',
    "„": '"',
}
_TWO_LETTERS = (("ae", "a"), ("oe", "o"), ("ue", "u"))


@dataclass(frozen=True, slots=True)
class Word:
    """A word, number or sign of a passage."""

    text: str
    start: int
    end: int
    plain: str
    """In small letters, without accents; ä and ae are one."""

    @property
    def is_word(self) -> bool:
        """Whether it is a word, not a number or sign."""
        return self.text[0].isalpha()

    @property
    def is_capital(self) -> bool:
        """Whether it is a word that begins with a capital letter."""
        return self.text[0].isupper()


def words_of(text: str) -> tuple[Word, ...]:
    """The words, numbers and signs of a text, in order.

    >>> [word.plain for word in words_of("Teichgräber’s d'Or")]
    ['teichgraber', "'", 's', "d'", 'or']
    """
    return tuple(Word(m[0], m.start(), m.end(), plain(m[0])) for m in _TOKEN.finditer(text))


@lru_cache(maxsize=16384)
def plain(text: str) -> str:
    """A word in the spelling by which words are compared: small letters, no accents, ä as ae as a.

    >>> plain("Teichgräber") == plain("TEICHGRAEBER")
    True
    """
    text = _SIGNS.get(text, text)
    folded = unicodedata.normalize(
        "NFKD", text.casefold().replace("ø", "o").replace("œ", "oe").replace("æ", "ae")
    )
    folded = "".join(sign for sign in folded if not unicodedata.combining(sign))
    for two, one in _TWO_LETTERS:
        folded = folded.replace(two, one)
    return folded.replace("’", "'")
