"""Dated rules: legal wording, company forms, materials and techniques, and the cautions that some of them call for.

The tables lie in sources/rules/. A rule that says "not before" may be hard; an end is never hard, because dies,
labels and stock outlive the law that they name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from kg.errors import KilnmarkError
from kg.marks.bounds import DatedBound, as_strength, bound, edtf_window
from kg.marks.glyphs import folded
from kg.marks.registers import read_table

FOLDER = "sources/rules"
#: Signs for lost characters; a word that touches one may be part of a longer word.
_TORN = "□⋯"


class MaterialUnknown(KilnmarkError, LookupError):
    """A material or technique was named that the table does not hold."""


@dataclass(frozen=True, slots=True)
class LegalRule:
    """Wording that a law, a customs rule or a company form brought onto goods, and from when to when."""

    phrase: str
    kind: str
    pattern: re.Pattern[str] | None
    spellings: tuple[str, ...]
    or_else: str
    jurisdiction: str
    basis: str
    note: str
    bounds: tuple[DatedBound, ...]

    @property
    def is_of_a_number(self) -> bool:
        """Whether a number belongs to the wording, so that it speaks only of the country whose number it is."""
        return self.phrase.endswith("[number]")


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind where a material can hurt someone or is protected, and who has the last word."""

    hazard: str
    words: tuple[str, ...]
    text: str
    defer_to: str
    basis: str

    def __str__(self) -> str:
        return f"{self.text} Ask {self.defer_to}."


@dataclass(frozen=True, slots=True)
class Material:
    """A material or technique with the time from which, and to which, it was in use."""

    name: str
    kind: str
    event: str
    basis: str
    hazard_note: str
    cautions: tuple[Caution, ...]
    bounds: tuple[DatedBound, ...]

    @property
    def pattern(self) -> str:
        """What finds the name in a folded text, with a hyphen or a space between its words."""
        words = re.split(r"[- ]", folded(self.word))
        return rf"(?<!\w){'[- ]'.join(map(re.escape, words))}(?!\w)"

    @property
    def word(self) -> str:
        """The name without its remarks, as it may stand in a mark or a description."""
        return re.split(r"[,(]", self.name)[0].strip().casefold()


@dataclass(frozen=True, slots=True)
class Label:
    """Words before a number that say which registers it can belong to."""

    pattern: re.Pattern[str]
    series: tuple[str, ...]
    kind: str
    is_sure: bool = True
    """Whether the words can mean no other register than these."""


@lru_cache(maxsize=1)
def legal_rules() -> tuple[LegalRule, ...]:
    """Every row of sources/rules/legal_wording.csv, those that no pattern finds included."""
    return tuple(_legal_rule(row) for row in read_table(f"{FOLDER}/legal_wording.csv"))


def legal_rule(phrase: str) -> LegalRule:
    """The rule of a phrase as the table writes it.

    :raises KeyError: if the table has no such row.
    """
    return {rule.phrase: rule for rule in legal_rules()}[phrase]


@lru_cache(maxsize=1)
def cautions() -> Mapping[str, Caution]:
    """Every caution of sources/rules/hazards.csv, by hazard."""
    return {
        row["hazard"]: Caution(
            row["hazard"], tuple(row["words"].split("|")), row["caution"], row["defer_to"], row["basis"]
        )
        for row in read_table(f"{FOLDER}/hazards.csv")
    }


def cautions_for(text: str) -> tuple[Caution, ...]:
    """The cautions that a description or a mark calls for by its words.

    >>> [caution.hazard for caution in cautions_for("CELLULOID head, eyes with ivory rims")]
    ['cellulose nitrate', 'protected ivory']
    """
    plain = text.casefold()
    return tuple(
        c for c in cautions().values() if any(re.search(rf"\b{re.escape(w)}\b", plain) for w in c.words)
    )


@lru_cache(maxsize=1)
def materials() -> Mapping[str, Material]:
    """Every row of sources/rules/materials_and_techniques.csv, by name."""
    return {row["name"]: _material(row) for row in read_table(f"{FOLDER}/materials_and_techniques.csv")}


def material(name: str) -> Material:
    """The material or technique of a name, whole or without its remarks.

    :raises MaterialUnknown: if the table holds none; near names are listed.

    >>> material("celluloid").bounds[0].strength
    'usual'
    """
    wanted = name.strip().casefold()
    for known in materials().values():
        if wanted in (known.name.casefold(), known.word):
            return known
    from difflib import get_close_matches

    near = get_close_matches(wanted, [known.word for known in materials().values()], n=3, cutoff=0.4)
    raise MaterialUnknown(
        f"no material or technique {name!r} in the table; near it: {', '.join(near) or 'none'}"
    )


@lru_cache(maxsize=1)
def labels() -> tuple[Label, ...]:
    """The words before numbers, from sources/rules/number_labels.csv, in the order in which they are tried."""
    return tuple(
        Label(
            re.compile(rf"(?<![\w{_TORN}])(?:{row['pattern']})", re.IGNORECASE),
            tuple(row["series"].split("|")),
            row["kind"],
            row["is_sure"] == "yes",
        )
        for row in read_table(f"{FOLDER}/number_labels.csv")
    )


@lru_cache(maxsize=1)
def places() -> Mapping[str, str]:
    """Places that stand on marks, in capitals, each with its country."""
    return {row["name"].upper(): row["country"] for row in read_table(f"{FOLDER}/places_on_marks.csv")}


@lru_cache(maxsize=1)
def company_words() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Words of firms that carry no date, each with its meaning."""
    return tuple(
        (re.compile(rf"(?<!\w)(?:{row['pattern']})(?!\w)", re.IGNORECASE), row["meaning"])
        for row in read_table(f"{FOLDER}/company_words.csv")
    )


@lru_cache(maxsize=1)
def own_number_words() -> Mapping[str, re.Pattern[str]]:
    """Words before a maker's own number that say what it is, by kind of number; each ends where the number begins."""
    return {
        row["kind"]: re.compile(rf"(?<![\w{_TORN}])(?:{row['pattern']})[.:]?\s?$", re.IGNORECASE)
        for row in read_table(f"{FOLDER}/own_number_words.csv")
    }


@lru_cache(maxsize=1)
def words_before_years() -> tuple[re.Pattern[str], ...]:
    """Words behind which four digits are likelier a year than a number; each ends where the digits begin."""
    return tuple(
        re.compile(rf"(?<![\w{_TORN}])(?:{row['pattern']})[\s.,:]*$", re.IGNORECASE)
        for row in read_table(f"{FOLDER}/words_before_years.csv")
    )


@lru_cache(maxsize=1)
def street_words() -> tuple[tuple[re.Pattern[str], str], ...]:
    """House numbers with their streets, which carry no date, each with its meaning."""
    return tuple(
        (re.compile(rf"(?<![\w{_TORN}])(?:{row['pattern']})", re.IGNORECASE), row["meaning"])
        for row in read_table(f"{FOLDER}/street_words.csv")
    )


@lru_cache(maxsize=1)
def spellings() -> tuple[str, ...]:
    """The wording that a half-lost stretch may be completed to: whole phrases, and the single words of each."""
    phrases = {spelling for rule in legal_rules() for spelling in rule.spellings}
    return tuple(sorted(phrases | {word for phrase in phrases for word in phrase.split()}))


def _legal_rule(row: Mapping[str, str]) -> LegalRule:
    flags = 0 if row["case_sensitive"] == "yes" else re.IGNORECASE
    return LegalRule(
        row["phrase"],
        row["kind"],
        re.compile(row["pattern"], flags) if row["pattern"] else None,
        tuple(s for s in row["spellings"].split("|") if s),
        row["or_else"],
        row["jurisdiction"],
        row["basis"],
        row["note"],
        tuple(_both_ends(row, row["phrase"], row["basis"] or row["jurisdiction"] or row["note"])),
    )


def _material(row: Mapping[str, str]) -> Material:
    found = tuple(cautions()[hazard] for hazard in row["hazards"].split("|") if hazard)
    named = tuple(c for c in cautions_for(row["name"]) if c not in found)
    meaning = f"{row['event']}{': ' + row['basis'] if row['basis'] else ''}"
    bounds = tuple(_both_ends(row, row["name"], meaning))
    return Material(
        row["name"], row["kind"], row["event"], row["basis"], row["hazard_note"], found + named, bounds
    )


def _both_ends(row: Mapping[str, str], name: str, meaning: str) -> Iterator[DatedBound]:
    """The bounds of a row: one for each end that it names, each with its own strength."""
    for column, strength, is_first in (
        ("not_before", row["strength"], True),
        ("not_after", row["end_strength"], False),
    ):
        if not row[column]:
            continue
        window = edtf_window(row[column])
        yield bound(
            window.first if is_first else None,
            None if is_first else window.last,
            strength=as_strength(strength),
            confidence=row["confidence"],
            source=row["source"],
            row=name,
            meaning=meaning,
        )
