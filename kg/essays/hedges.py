"""Degrees of attribution in words: certainty and relation, two fields, by the table that the house chooses.

The tables stand in sources/conventions/hedges.csv. Which certainty a claim's standing carries stands in
certainties.csv beside it. No words are used but those of the chosen table.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.errors import KilnmarkError
from kg.resources import resource
from kg.sources_weighed.standing import Step

#: The table that is used where none is named.
DEFAULT_TABLE = "certainty-first"
#: Certainties from the surest down; ``unidentified`` names nobody.
CERTAINTIES = ("held", "probably", "possibly", "formerly", "unidentified")
LANGUAGES = {"en": "english", "fr": "french", "de": "german"}


class HedgeUnknown(KilnmarkError):
    """A table, language, certainty or relation was named that the house's tables do not hold."""


@dataclass(frozen=True, slots=True)
class Hedge:
    """One row of a house's table: a degree of attribution with its words, its meaning and its basis."""

    table: str
    certainty: str
    relation: str
    words: tuple[tuple[str, str], ...]
    """The words in each language, with ``{maker}`` for the name."""
    meaning: str
    basis: str

    def text(self, maker: str, language: str = "en") -> str:
        """The words for a maker, as they stand after "is".

        :raises HedgeUnknown: if the table has no words in that language.
        """
        found = dict(self.words).get(language)
        if found is None:
            known = ", ".join(code for code, _ in self.words)
            raise HedgeUnknown(f"The language {language!r} has no hedges; expected one of {known}.")
        return found.replace("{maker}", maker)


@lru_cache(maxsize=1)
def hedges() -> tuple[Hedge, ...]:
    """Every row of every table, in the order of the file."""
    with resource("sources/conventions/hedges.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Hedge(
                row["table"],
                row["certainty"],
                row["relation"],
                tuple((code, row[column]) for code, column in LANGUAGES.items() if row[column]),
                row["meaning"],
                row["basis"],
            )
            for row in csv.DictReader(file)
        )


def tables() -> tuple[str, ...]:
    """The names of the tables that ship, the default first."""
    return tuple(dict.fromkeys((DEFAULT_TABLE, *(row.table for row in hedges()))))


def table(name: str = DEFAULT_TABLE) -> tuple[Hedge, ...]:
    """The rows of one table.

    :raises HedgeUnknown: if there is none of that name.
    """
    found = tuple(row for row in hedges() if row.table == name)
    if not found:
        raise HedgeUnknown(f"No house table is called {name!r}; expected one of {', '.join(tables())}.")
    return found


def hedge(name: str, certainty: str, relation: str) -> Hedge:
    """The row of a table for a degree of certainty and a relation.

    :raises HedgeUnknown: if there is no such table or row.

    >>> hedge("saleroom", "probably", "by").text("Tarn & Ottery")
    'attributed to Tarn & Ottery'
    """
    for row in table(name):
        if (row.certainty, row.relation) == (certainty, relation):
            return row
    raise HedgeUnknown(
        f"The house table {name!r} has no row for {certainty!r} and {relation!r}. Add one to hedges.csv."
    )


@dataclass(frozen=True, slots=True)
class Founded:
    """What a claim's standing carries: a degree of certainty, and the words that lead to a statement of history."""

    certainty: str
    lead: str


@lru_cache(maxsize=1)
def _founded() -> dict[str, Founded]:
    with resource("sources/conventions/certainties.csv").open(encoding="utf-8", newline="") as file:
        return {row["standing"]: Founded(row["certainty"], row["lead"]) for row in csv.DictReader(file)}


def certainty_of(step: Step) -> str:
    """The most that may be said of a claim that stands on a step.

    >>> certainty_of(Step.CONTESTED)
    'possibly'
    """
    return _founded()[step.value].certainty


def lead_of(step: Step) -> str:
    """The words that lead to a statement of history which stands on a step; none where it is held.

    >>> lead_of(Step.SECOND_HAND), lead_of(Step.FIRST_HAND)
    ('by one account', '')
    """
    return _founded()[step.value].lead


def least_sure(*certainties: str) -> str:
    """The least sure of some degrees of certainty.

    >>> least_sure("held", "probably")
    'probably'
    """
    return max(certainties, key=CERTAINTIES.index)


def glossary(name: str = DEFAULT_TABLE, language: str = "en") -> Iterator[tuple[str, str]]:
    """Each degree of a table in words with its meaning, to be printed with an essay."""
    for row in table(name):
        yield row.text("…", language), row.meaning
