"""How surely a sentence speaks: the least sure word of the clause, by the tables of the house and everyday hedges."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from kg.essays.auditing.words import pattern, values
from kg.essays.hedges import CERTAINTIES, hedges, least_sure

_CLAUSE = re.compile(r";\s|, (?:and|but|while|whereas)\s", re.IGNORECASE)
#: A hedge that begins so near the head of a sentence leads all of it.
_LEAD = 12


@lru_cache(maxsize=1)
def _phrases() -> tuple[tuple[re.Pattern[str], str], ...]:
    """The words of the house's tables before and behind the maker's name, with what they are worth."""
    found: dict[str, str] = {}
    for row in hedges():
        if row.certainty in ("probably", "possibly", "formerly"):
            for _, text in row.words:
                for part in text.split("{maker}"):
                    words = part.strip()
                    if len(words) > 6:
                        found[words] = row.certainty
    ordered = sorted(found, key=len, reverse=True)
    return tuple((re.compile(rf"(?<!\w){re.escape(w)}(?!\w)", re.IGNORECASE), found[w]) for w in ordered)


def clauses(text: str) -> tuple[tuple[int, int], ...]:
    """Where the clauses of a sentence begin and end."""
    cuts = [0, *(found.start() for found in _CLAUSE.finditer(text)), len(text)]
    return tuple(pairwise(cuts))


def certainty_said(text: str, at: int | None = None) -> str:
    """How surely a sentence speaks, or its clause at a place.

    >>> certainty_said("Possibly by Tarn; the body is by Ottery.", 30), certainty_said("She is by Tarn.")
    ('possibly', 'held')
    """
    first, last = next(((a, b) for a, b in clauses(text) if at is not None and a <= at < b), (0, len(text)))
    said = ["held"]
    worth = values("hedge")
    for found in pattern("hedge").finditer(text):
        if first <= found.start() < last or found.start() <= _LEAD:
            said.append(worth[found[0].casefold()])
    said += [values("hedge_all")[found[0].casefold()] for found in pattern("hedge_all").finditer(text)]
    for phrase, certainty in _phrases():
        said += [certainty for f in phrase.finditer(text) if first <= f.start() < last or f.start() <= _LEAD]
    return least_sure(*said)


def is_surer(said: str, allowed: str) -> bool:
    """Whether a degree of certainty is surer than another."""
    return CERTAINTIES.index(said) < CERTAINTIES.index(allowed)
