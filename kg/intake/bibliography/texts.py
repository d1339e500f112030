"""Texts of a bibliography as they may be recorded and compared."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from functools import lru_cache

#: Control codes other than line breaks and tabs, marks that turn the direction of what follows, halves of characters.
_STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ue000-\ue008]")
#: Letters that ASCII writes with two.
_TWO_LETTERS = str.maketrans(
    {
        "ä": "ae",
        "ö": "oe",
        "ü": "ue",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "þ": "th",
    }
)
#: Words that a title may begin with and that say nothing in a name for it.
_ARTICLES = frozenset(
    {"a", "an", "the", "der", "die", "das", "ein", "eine", "le", "la", "les", "l", "un", "une", "il"}
)
_WORDS_OF_TITLE = 4


def clean(text: str) -> str:
    """A text without what steers a terminal or cannot be written; each such mark is replaced and seen."""
    return _STEERING.sub("\ufffd", text) if _STEERING.search(text) else text


def one_line(text: str) -> str:
    """A cleaned text with every run of blanks and line breaks as one blank."""
    return " ".join(clean(text).split())


@lru_cache(maxsize=65_536)
def folded(text: str) -> str:
    """A text for comparing: without accents, case and punctuation.

    >>> folded("Köpfe & Hände: I.") == folded("kopfe and hande i")
    True
    """
    plain = unicodedata.normalize("NFKD", text.replace("&", " and ").replace("ß", "ss").casefold())
    return " ".join(re.findall(r"\w+", "".join(mark for mark in plain if not unicodedata.combining(mark))))


def slugged(text: str) -> str:
    """A text as part of a name: small letters, digits and hyphens; empty if it has none.

    >>> slugged("Köpfe aus dem Ofen!"), slugged("Têtes"), slugged("人形")
    ('koepfe-aus-dem-ofen', 'tetes', '')
    """
    small = unicodedata.normalize("NFKC", text).lower().translate(_TWO_LETTERS)
    plain = unicodedata.normalize("NFKD", small)
    return "-".join(
        re.findall(r"[a-z0-9]+", "".join(mark for mark in plain if not unicodedata.combining(mark)))
    )


def title_words(title: str) -> str:
    """The first words of a title as part of a name, without an article at its begin."""
    words = slugged(title.replace("'", "").replace("’", "")).split("-")
    if len(words) > 1 and words[0] in _ARTICLES:
        words = words[1:]
    said = "-".join(words[:_WORDS_OF_TITLE])[:60].strip("-")
    return said or hashlib.sha256(title.encode("utf-8", "replace")).hexdigest()[:8]
