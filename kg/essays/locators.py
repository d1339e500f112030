"""Places in a source, such as "p. 12" or "pl. 4", read from the daybook and told in the language of a print.

A citation processor recognises a label only in the document's own language, and knows neither plates nor lots. So each
place is read here by the labels of sources/conventions/locators.csv, and given to it in the form that it prints right:
pages bare, other labels singular and in braces, several labels in a row bare.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.resources import resource

_VALUE = re.compile(r"(?:\d|[IVXLCDM]+\b|[ivxlcdm]+\b|[A-Za-z]\d)")
_HAS_WORDS = re.compile(r"\s[^\W\d_]{3,}")
_PARTS = re.compile(r"\s*[,;]\s+")


@dataclass(frozen=True, slots=True)
class Label:
    """A kind of place in a source, and how it is printed in each language."""

    name: str
    is_term: bool
    """Whether the Citation Style Language has it."""
    printed: tuple[tuple[str, str], ...]
    written: tuple[str, ...]

    def text(self, language: str) -> str:
        """Its short form in a language."""
        return dict(self.printed)[language]


@dataclass(frozen=True, slots=True)
class PartOfPlace:
    """One label with what it counts: page, 12–14; or words with no label."""

    label: Label | None
    value: str

    def text(self, language: str) -> str:
        """As it is printed where no citation processor is at work."""
        if self.label is None:
            return self.value
        return f"{self._short(language)} {self.value}"

    def _short(self, language: str) -> str:
        if self.label is None:
            return ""
        short = self.label.text(language)
        is_plural = re.search(r"\d\s*[-–]\s*\d|\d,\s*\d|\bf{1,2}\.", self.value) is not None
        plurals = {"en": {"p.": "pp.", "fol.": "fols.", "pl.": "pls.", "fig.": "figs.", "no.": "nos."}}
        return plurals.get(language, {}).get(short, short) if is_plural else short


@lru_cache(maxsize=1)
def labels() -> tuple[Label, ...]:
    """The labels of places that are known."""
    with resource("sources/conventions/locators.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return tuple(
            Label(
                row["label"],
                row["is_term"] == "yes",
                tuple((code, row[code]) for code in ("en", "fr", "de")),
                tuple(row["written"].split("|")),
            )
            for row in rows
        )


@lru_cache(maxsize=1)
def _pattern() -> re.Pattern[str]:
    forms = sorted((form for label in labels() for form in label.written), key=len, reverse=True)
    return re.compile(rf"({'|'.join(map(re.escape, forms))})(?:\s+|(?<=\.))(?=\S)")


@lru_cache(maxsize=1)
def _by_form() -> dict[str, Label]:
    return {form: label for label in reversed(labels()) for form in label.written}


def read_place(text: str) -> tuple[PartOfPlace, ...]:
    """The parts of a place, each with its label where it has one.

    >>> [(p.label.name if p.label else None, p.value) for p in read_place("p. 12, fig. 3")]
    [('page', '12'), ('figure', '3')]
    >>> [(p.label, p.value) for p in read_place("under the wig")]
    [(None, 'under the wig')]
    """
    return tuple(_merged(_part(part) for part in _PARTS.split(" ".join(text.split())) if part))


def _part(text: str) -> PartOfPlace:
    found = _pattern().match(text)
    if found and _VALUE.match(text, found.end()):
        return PartOfPlace(_by_form()[found[1]], text[found.end() :])
    return PartOfPlace(None, text)


def _merged(parts: Iterable[PartOfPlace]) -> Iterator[PartOfPlace]:
    """A bare figure behind a label goes with it: pp. 12, 14; words in a row are one place."""
    before: PartOfPlace | None = None
    for part in parts:
        if (
            before is not None
            and before.label is not None
            and part.label is None
            and part.value[0].isdecimal()
        ):
            before = PartOfPlace(before.label, f"{before.value}, {part.value}")
            continue
        if before is not None and before.label is None and part.label is None:
            before = PartOfPlace(None, f"{before.value}, {part.value}")
            continue
        if before is not None:
            yield before
        before = part
    if before is not None:
        yield before


def one_place(places: Iterable[str]) -> tuple[PartOfPlace, ...]:
    """Several places in one source as one: those of one label together, pages first, words last.

    >>> [p.text("en") for p in one_place(["pl. 3", "p. 12", "p. 14", "p. 12", "head"])]
    ['pp. 12, 14', 'pl. 3', 'head']
    >>> [p.text("de") for p in one_place(["p. 12, fig. 3"])]
    ['S. 12', 'Abb. 3']
    """
    read = [read_place(text) for text in dict.fromkeys(places)]
    whole = [place for place in read if len(place) > 1]
    values: dict[Label | None, list[str]] = {}
    for part in (place[0] for place in read if len(place) == 1):
        values.setdefault(part.label, []).append(part.value)
    ordered = sorted(values, key=lambda label: (label is None, label is None or label.name != "page"))
    single = [
        PartOfPlace(label, ("; " if label is None else ", ").join(_in_order(values[label])))
        for label in ordered
    ]
    return (*single, *(part for place in whole for part in place))


def _told(places: Iterable[str], language: str) -> str:
    """Several places in words: a semicolon divides them, so that the comma within one is no division."""
    places = tuple(dict.fromkeys(places))
    whole = [text for text in places if len(read_place(text)) > 1]
    single = [part.text(language) for part in one_place(text for text in places if text not in whole)]
    each = [", ".join(part.text(language) for part in read_place(text)) for text in whole]
    return "; ".join((*single, *each))


def _in_order(values: Iterable[str]) -> list[str]:
    """Values once each; figures in their order, words as they came."""
    given = tuple(dict.fromkeys(values))
    once = [one for one in given if not any(other.startswith(f"{one}, ") for other in given)]
    return sorted(once, key=int) if all(value.isdecimal() for value in once) else once


def for_processor(places: Iterable[str], language: str) -> str:
    """The places in one source as a citation processor reads them behind a citation, in the document's language.

    >>> for_processor(["p. 12"], "de"), for_processor(["fig. 3"], "en"), for_processor(["lot 14, p. 3"], "en")
    ('S. 12', '{fig. 3}', 'lot 14, p. 3')
    >>> for_processor(["12 September 1890"], "en")
    '{}12 September 1890'
    """
    places = tuple(places)
    parts = tuple(_without_braces(part) for part in one_place(places))
    if len(parts) == 1 and parts[0].label is not None:
        label = parts[0].label
        told = f"{label.text(language)} {parts[0].value}"
        if _HAS_WORDS.search(parts[0].value):
            return f"{{}}{told}"  # words would be counted: fols. 3 recto
        return told if label.name == "page" else f"{{{told}}}"
    told = _told(places, language).replace("{", "(").replace("}", ")")
    if parts and parts[0].label is not None:
        return told
    # Empty braces end the place in a source, so that a day is not taken for a page.
    return f"{{}}{told}" if _reads_as_place(told) else told


def _reads_as_place(text: str) -> bool:
    return _VALUE.match(text) is not None or text.split(" ", 1)[0].endswith(".")


def _without_braces(part: PartOfPlace) -> PartOfPlace:
    return PartOfPlace(part.label, part.value.replace("{", "(").replace("}", ")"))


def in_words(places: Iterable[str], language: str) -> str:
    """The places in one source as a reader reads them.

    >>> in_words(["pl. 3", "p. 12", "p. 14"], "fr")
    'p. 12, 14; pl. 3'
    """
    return _told(places, language)
