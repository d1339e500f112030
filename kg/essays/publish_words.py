"""The few words that a print adds of itself, in its language: headings, the note of a judgement, captions."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from functools import lru_cache

from kg.errors import KilnmarkError
from kg.resources import resource

#: The languages of print, with the tag that a citation processor needs.
LANGUAGES: Mapping[str, str] = {"en": "en-GB", "fr": "fr-FR", "de": "de-DE"}


#: Little words that are frequent in one language and no words of the others. Common practice, no source.
_ENGLISH = frozenset(("the", "of", "and", "was", "is", "she", "it", "by", "with", "from", "that"))
_OTHERS = frozenset(
    ("der", "das", "und", "ist", "sie", "von", "mit", "le", "les", "et", "est", "par", "une", "dans")
)


def is_english(text: str) -> bool:
    """Whether a text is plainly English.

    >>> is_english("The lady is by Tarn."), is_english("Die Dame ist von Tarn und wurde 1880 gefertigt.")
    (True, False)
    """
    words = re.findall(r"[^\W\d_]+", text.casefold())
    english, others = (sum(word in some for word in words) for some in (_ENGLISH, _OTHERS))
    return english >= 2 and english > 2 * others


class LanguageUnknown(KilnmarkError):
    """A print was asked for in a language that the house has no words for."""


@lru_cache(maxsize=3)
def print_words(language: str) -> Mapping[str, str]:
    """The words of a print by their keys.

    :raises LanguageUnknown: if there are none in that language.

    >>> print_words("de")["own"]
    'Eigenes Urteil'
    """
    if language not in LANGUAGES:
        raise LanguageUnknown(f"The language {language!r} found; expected one of {', '.join(LANGUAGES)}.")
    with resource("sources/conventions/print_words.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["key"]: row[language] for row in rows}
