"""How surely a sentence speaks: the least sure word of the clause, by the tables of the house and everyday hedges."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from kg.essays.auditing.words import pattern, values
from kg.essays.hedges import CERTAINTIES, hedges, least_sure

_CLAUSE = re.compile(r";\s|, (?:and|but|while|whereas)\s", re.IGNORECASE)
#: What is said before a reason goes for the reason too.
_REASON = re.compile(r", (?:since|because|as|da|weil|car|puisque)\s", re.IGNORECASE)
#: A condition that the words behind it belong to: "if Tarn made her" gives nothing to Tarn.
CONDITION = re.compile(r"\bif (?:[^\s,;]+ ){0,5}$", re.IGNORECASE)
#: A hedge that begins so near the head of a sentence leads all of it.
_LEAD = 1


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
    reason = _REASON.search(text)
    reach = max(_LEAD, reason.start() if reason is not None and reason.start() <= first else 0)
    return least_sure(
        "held", *(c for start, c in _hedges_in(text) if first <= start < last or start <= reach)
    )


@lru_cache(maxsize=512)
def _hedges_in(text: str) -> tuple[tuple[int, str], ...]:
    """Where a sentence hedges, and to what degree; what goes for the whole sentence stands at its head."""
    worth = values("hedge")
    found = [(match.start(), worth[match[0].casefold()]) for match in pattern("hedge").finditer(text)]
    found += [(0, values("hedge_all")[match[0].casefold()]) for match in pattern("hedge_all").finditer(text)]
    found += [(match.start(), degree) for phrase, degree in _phrases() for match in phrase.finditer(text)]
    return tuple(found)


def is_surer(said: str, allowed: str) -> bool:
    """Whether a degree of certainty is surer than another."""
    return CERTAINTIES.index(said) < CERTAINTIES.index(allowed)


def is_supposed(text: str, maker: str) -> bool:
    """Whether a sentence takes it as a condition that a maker made the piece.

    >>> is_supposed("Not before 1871 if Tarn made her, since Tarn began in 1871.", "Tarn, doll maker")
    True
    """
    name = re.escape(maker.partition(", ")[0])
    return any(
        CONDITION.search(text, 0, found.start()) is not None
        for found in re.finditer(rf"(?<!\w){name}(?:, [^,;]+,)? made\b", text)
    )
