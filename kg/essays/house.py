"""The house's own style: its table of hedges, its nouns and clauses, and the few numbers that it has chosen."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache

from kg.essays.hedges import DEFAULT_TABLE, LANGUAGES, HedgeUnknown, table
from kg.resources import resource

MM_IN_AN_INCH = 25.4
_QUARTERS = ("", "¼", "½", "¾")


@dataclass(frozen=True, slots=True)
class Noun:
    """What a piece is called in running text."""

    noun: str
    pronoun: str = "it"
    possessive: str = "its"

    @property
    def object(self) -> str:
        """The pronoun as an object: her, him, it."""
        return {"she": "her", "he": "him"}.get(self.pronoun, "it")


@dataclass(frozen=True, slots=True)
class HouseStyle:
    """How a house writes.

    :raises kg.essays.hedges.HedgeUnknown: if there is no such table of hedges, or no draft in that language.
    """

    hedges: str = DEFAULT_TABLE
    language: str = "en"
    gap_years: int = 10
    """A silence about the owners that lasts longer is stated."""
    most_compared: int = 4
    """So many other pieces are named in a comparison; the rest are counted."""

    def __post_init__(self) -> None:
        table(self.hedges)
        if self.language != "en":
            held = ", ".join(code for code in LANGUAGES if code != "en")
            raise HedgeUnknown(
                f"Drafts are written in English; {self.language!r} found. Give 'en'. The tables of hedges hold "
                f"the words in {held} too."
            )


@lru_cache(maxsize=1)
def nouns() -> dict[str, Noun]:
    """The nouns of sources/conventions/essay_nouns.csv, each with its pronouns."""
    with resource("sources/conventions/essay_nouns.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["noun"]: Noun(row["noun"], row["pronoun"], row["possessive"]) for row in csv.DictReader(file)
        }


@lru_cache(maxsize=1)
def clauses() -> dict[str, str]:
    """How a claim with each property is told as a clause, from sources/conventions/clauses.csv."""
    with resource("sources/conventions/clauses.csv").open(encoding="utf-8", newline="") as file:
        return {row["property"]: row["clause"] for row in csv.DictReader(file)}


def noun_of(label: str) -> Noun:
    """The noun in the name of a piece; a doll where none is known.

    >>> noun_of("Lady with the blue snood").pronoun
    'she'
    """
    words = (word.strip(".,'’").casefold() for word in label.replace("-", " ").split())
    return next((nouns()[word] for word in words if word in nouns()), Noun("doll"))


def height_in_house(height_mm: int) -> str:
    """A height in inches, to the nearest quarter, with centimetres behind.

    >>> height_in_house(415)
    '16¼ in. (41.5 cm)'
    """
    quarters = round(height_mm / MM_IN_AN_INCH * 4)
    whole, part = divmod(quarters, 4)
    inches = f"{whole or ''}{_QUARTERS[part]}" or "0"
    return f"{inches} in. ({height_mm / 10:g} cm)"
