"""Templates: short texts with columns in braces, as ``object-{object_id}``, and names made from words."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from kg.intake.faults import BadMapping

_FIELD = re.compile(r"\{([^{}]*?)(\?)?\}")
_PLAIN = re.compile(r"[A-Za-z0-9._-]+")
#: The longest name made from words; longer ones are cut and told apart by a digest.
LONGEST_SLUG = 80
#: Letters that do not fall apart into a base letter and a mark.
_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i", "’": "'"}
)
#: The field that stands for the number of the row.
ROW = "row"


@dataclass(frozen=True, slots=True)
class Template:
    """A text with columns in braces; ``{column?}`` may be empty, ``{row}`` is the row's number."""

    text: str
    fields: tuple[tuple[str, bool], ...]
    """Each column with whether it may be empty."""

    @classmethod
    def of(cls, text: str) -> Template:
        """The template that a text stands for.

        :raises BadMapping: if a brace is left over or encloses nothing.

        >>> Template.of("maker-{name}-{born?}").fields
        (('name', False), ('born', True))
        """
        fields = tuple((match[1].strip(), match[2] is not None) for match in _FIELD.finditer(text))
        rest = _FIELD.sub("", text)
        if "{" in rest or "}" in rest or any(not name for name, _ in fields):
            raise BadMapping(
                f"{text!r} has braces that name no column; write a column in each pair: {{title}}."
            )
        return cls(text, fields)

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that it names."""
        return tuple(name for name, _ in self.fields if name != ROW)

    def missing(self, cells: Mapping[str, str]) -> str | None:
        """The first column that must be filled and is not."""
        return next(
            (name for name, is_optional in self.fields if not is_optional and not cells.get(name, "")), None
        )

    def filled(self, cells: Mapping[str, str]) -> str:
        """The text with its columns filled in.

        >>> Template.of("{role?} {maker}").filled({"role": "", "maker": "A. Brumelow"})
        'A. Brumelow'
        """
        return _FIELD.sub(lambda match: cells.get(match[1].strip(), ""), self.text).strip()

    def slug(self, cells: Mapping[str, str]) -> str:
        """The name with its columns filled in, each made fit for a name.

        >>> Template.of("maker-{name}-{born?}").slug({"name": "Adèle Brumelow", "born": ""})
        'maker-adele-brumelow'
        """
        text = _FIELD.sub(lambda match: slug_of(cells.get(match[1].strip(), "")), self.text)
        return _cut(text.strip().rstrip("-."))


def slug_of(text: str) -> str:
    """A text made fit for a name: an inventory number as it is, words in plain small letters.

    A number holds a figure, and nothing that may not stand in a name. Letters without a plain form (another script)
    are told apart by a digest, so that two names stay two.

    >>> slug_of("K-101a"), slug_of("Müller & Søn"), slug_of("-34"), slug_of("BRUMELOW")
    ('K-101a', 'muller-son', '-34', 'brumelow')
    """
    if _PLAIN.fullmatch(text):
        return text if any(character.isdigit() for character in text) else text.lower()
    folded = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    base = "".join(character for character in folded if not unicodedata.combining(character))
    plain = re.sub(r"[^a-z0-9]+", "-", base).strip("-")
    is_lossy = any(character.isalnum() and not character.isascii() for character in base) or (
        bool(text) and not plain
    )
    return "-".join(part for part in (plain, _digest(text) if is_lossy else "") if part)


def _cut(slug: str) -> str:
    if len(slug) <= LONGEST_SLUG:
        return slug
    return f"{slug[: LONGEST_SLUG - 9].rstrip('-.')}-{_digest(slug)}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:8]
