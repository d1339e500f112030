"""The few words that a print adds of itself, in its language: headings, the note of a judgement, captions."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import lru_cache

from kg.errors import KilnmarkError
from kg.resources import resource

#: The languages of print, with the tag that a citation processor needs.
LANGUAGES: Mapping[str, str] = {"en": "en-GB", "fr": "fr-FR", "de": "de-DE"}


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
