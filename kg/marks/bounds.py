"""A bound that a mark gives for the making of a piece, and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from kg.dates.conventions import convention
from kg.dates.edtf import parse_edtf
from kg.dates.window import Window, civil

Strength = Literal["hard", "usual", "weak"]
#: From the strongest to the weakest; only a hard bound can contradict, the others strain.
STRENGTHS: tuple[Strength, ...] = ("hard", "usual", "weak")

#: The English names of the months.
MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True, slots=True)
class DatedBound:
    """A first or a last day for the making of a piece, in days, with the row and the source behind it.

    ``None`` means that the bound says nothing of that side.
    """

    earliest: int | None
    latest: int | None
    strength: Strength
    confidence: str
    source: str
    row: str
    meaning: str
    sentence: str

    @property
    def is_from_memory(self) -> bool:
        """Whether the figure, or part of it, rests on memory and not on a printed source."""
        return "memory" in self.confidence or "remembered" in self.confidence

    def at_most(self, strength: Strength, why: str) -> DatedBound:
        """The bound, no stronger than given; the sentence then says why."""
        if STRENGTHS.index(self.strength) >= STRENGTHS.index(strength):
            return self
        sentence = self.sentence.replace(f"({self.strength}", f"({strength}: {why}", 1)
        return replace(self, strength=strength, sentence=sentence)


def bound(
    earliest: int | None,
    latest: int | None,
    *,
    strength: Strength,
    confidence: str,
    source: str,
    row: str,
    meaning: str,
) -> DatedBound:
    """A bound with its sentence made from what it says."""
    sides = [f"not before {day_in_words(earliest)}"] if earliest is not None else []
    sides += [f"not after {day_in_words(latest)}"] if latest is not None else []
    sentence = f"{' and '.join(sides) or 'no date'} ({strength}): {row}: {meaning} [{confidence}]"
    return DatedBound(earliest, latest, strength, confidence, source, row, meaning, sentence)


def as_strength(text: str) -> Strength:
    """The strength that a table names.

    :raises ValueError: if it is none of the three.
    """
    for strength in STRENGTHS:
        if text == strength:
            return strength
    raise ValueError(f"strength {text!r} found; expected one of {', '.join(STRENGTHS)}")


@lru_cache(maxsize=1_024)
def edtf_window(text: str) -> Window:
    """What a table's EDTF date allows, with the house's width for circa."""
    date = parse_edtf(text)
    return convention().widened(date.window, date.begin_qualifier, date.end_qualifier)[0]


def day_in_words(day: int) -> str:
    """A day as one reads it; the first and last day of a year as that year.

    >>> from kg.dates.window import day_of
    >>> day_in_words(day_of(1892, 4, 20)), day_in_words(day_of(1911)), day_in_words(day_of(1952, 10, 31))
    ('20 April 1892', '1911', '31 October 1952')
    """
    year, month, of_month = civil(day)
    if (month, of_month) in ((1, 1), (12, 31)):
        return str(year)
    return f"{of_month} {MONTH_NAMES[month - 1]} {year}"
