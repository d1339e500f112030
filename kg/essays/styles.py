"""The citation styles that ship: independent CSL styles, listed in sources/styles/styles.csv."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from kg.errors import KilnmarkError
from kg.resources import resource

#: The style that is used in each language where none is named.
DEFAULTS: Mapping[str, str] = {"en": "chicago-notes", "fr": "infoclio-fr", "de": "infoclio-de"}


class StyleUnknown(KilnmarkError):
    """A citation style was named that does not ship."""


@dataclass(frozen=True, slots=True)
class Style:
    """A citation style: its name, whether it cites in notes or in the text, and the language it is made for."""

    name: str
    is_note: bool
    language: str
    """The language tag that a citation processor is given, where the print has the same language."""
    what: str

    @property
    def file(self) -> Path:
        """The file in the Citation Style Language."""
        return resource(f"sources/styles/{self.name}.csl")


@lru_cache(maxsize=1)
def styles() -> tuple[Style, ...]:
    """Every style that ships."""
    with resource("sources/styles/styles.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Style(row["style"], row["kind"] == "note", row["language"], row["what"])
            for row in csv.DictReader(file)
        )


def style_named(name: str | None, language: str) -> Style:
    """The style of a name, or the house's default for a language.

    :raises StyleUnknown: if no style of that name ships.

    >>> style_named(None, "de").name
    'infoclio-de'
    """
    wanted = name or DEFAULTS[language]
    for style in styles():
        if style.name == wanted:
            return style
    known = ", ".join(style.name for style in styles())
    raise StyleUnknown(f"No style is called {wanted!r}; expected one of {known}.")
