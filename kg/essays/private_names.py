"""Surnames that must not be printed: a confidential owner is given away by "Mrs Thornquist" as by the whole name."""

from __future__ import annotations

import re
import unicodedata

from kg.daybook.view import WorkingView
from kg.essays.auditing.hygiene import in_latin

#: A shorter surname is found in too many words that mean nobody.
SHORTEST_SURNAME = 4
_WORD = re.compile(r"[^\W\d_]+(?:[’'-][^\W\d_]+)*")


def unmasked(text: str) -> tuple[str, list[int]]:
    """A text without the signs that hide a name in it, and where each letter stood.

    Signs that are not seen (a soft hyphen) are left out; letters that only look Latin are made so.

    >>> unmasked("Thorn\\u00adquist")[0]
    'Thornquist'
    """
    kept = [(at, letter) for at, letter in enumerate(text) if unicodedata.category(letter) != "Cf"]
    return in_latin("".join(letter for _, letter in kept)), [*(at for at, _ in kept), len(text)]


def private_surnames(view: WorkingView) -> re.Pattern[str] | None:
    """Finds the surnames of confidential persons, with their capitals; None where there are none.

    A word that stands in an open name too (a maker of that surname, a place, a material) gives nobody away.
    """
    is_a = view.vocabulary.is_a
    open_words = {
        word.casefold()
        for thing in view.things.values()
        if not thing.is_confidential
        for word in _WORD.findall(thing.label)
    }
    found = {
        surname
        for thing in view.things.values()
        if thing.is_confidential and is_a(thing.kinds, "Person")
        for surname in _WORD.findall(thing.label.partition(",")[0])[-1:]
        if len(surname) >= SHORTEST_SURNAME and surname.casefold() not in open_words
    }
    names = "|".join(re.escape(name) for one in sorted(found) for name in dict.fromkeys((one, one.upper())))
    return re.compile(rf"(?<!\w)(?:{names})(?!\w)") if names else None
