"""References that stand whole in a source's name: "A. Author, Title (Place, 1932)", and names of people.

A part is taken out of a name only where a claim confirms it: the author by who wrote it, the date by when it was
published. What nothing confirms stays in the title, as it is written.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

_WORDS = "af d' da dal de del della den der di do dos du el la las le los of ten ter van von zu zum zur"
#: Words before a family name that are printed with it and not sorted by, in the languages of the literature.
_PARTICLES = frozenset(_WORDS.split())
_IN_QUOTES = re.compile(r"(?:'(?P<single>.+)'|‘(?P<curly>.+)’|“(?P<double>.+)”), (?P<rest>.+)")
_PERIODICAL = re.compile(
    r"(?P<container>.+?),? (?:vol\. )?(?P<volume>\d{1,4})(?:[,.:] ?(?:no\. )?(?P<issue>\d{1,4}))?"
)
_IN_BRACKETS = re.compile(r"(?P<before>.+\S) \((?P<inside>[^()]+)\)")


@dataclass(frozen=True, slots=True)
class Author:
    """Someone who wrote, edited or translated a source."""

    slug: str
    label: str
    family: str | None
    """The family name, where a claim gives it."""
    is_firm: bool


@dataclass(frozen=True)
class Reading:
    """What a source's name says by CSL variable, and who and what stays in the title."""

    variables: dict[str, str] = field(default_factory=dict)
    named: frozenset[str] = frozenset()
    """Slugs of authors whose names stay in the title, so that they need not be printed again."""
    has_date: bool = False
    """Whether the date stays in the title."""


def person_name(author: Author) -> tuple[dict[str, str], str | None]:
    """A name as CSL takes it, and a sentence where the family name was read and not claimed.

    >>> person_name(Author("tarn", "Ottmar van Tarn", None, False))[0]
    {'family': 'Tarn', 'given': 'Ottmar', 'non-dropping-particle': 'van'}
    >>> person_name(Author("firm-tarn", "Tarn & Ottery", None, True))
    ({'literal': 'Tarn & Ottery'}, None)
    """
    words = author.label.split()
    if author.is_firm or len(words) < 2:
        return {"literal": author.label}, None
    if author.family is not None:
        return _with_family(author), None
    if "," in author.label:
        family, given = (part.strip() for part in author.label.split(",", 1))
        return {"family": family, "given": given}, None
    given, particle = _parted(words[:-1])
    name = {"family": words[-1], "given": given} | ({"non-dropping-particle": particle} if particle else {})
    return (
        name,
        f"{words[-1]} is taken to be the family name of {author.label}; a claim familyName would say so.",
    )


def _parted(words: Sequence[str]) -> tuple[str, str]:
    """The words before a family name as given name and particle; the first is never a particle."""
    start = len(words)
    while start > 1 and words[start - 1].casefold() in _PARTICLES:
        start -= 1
    return " ".join(words[:start]), " ".join(words[start:])


def _with_family(author: Author) -> dict[str, str]:
    """A name whose family name a claim gives: before it stand given name and particle, after it a suffix."""
    family = author.family or ""
    before, found, after = author.label.rpartition(family)
    given, particle = _parted(before.split())
    if not found or not given:
        return {"literal": author.label}
    name = {"family": family, "given": given}
    if particle:
        name["non-dropping-particle"] = particle
    return name | ({"suffix": after.strip(" ,")} if after.strip(" ,") else {})


def read_label(label: str, authors: Sequence[Author], dates: Iterable[str]) -> Reading:
    """What the name of a source says, each part taken out only where an author or a date confirms it.

    >>> tarn = Author("tarn", "Ottmar Tarn", None, False)
    >>> read_label("O. Tarn, Heads of the Valley (Sonneberg, 1932)", [tarn], ["1932"]).variables
    {'title': 'Heads of the Valley', 'publisher-place': 'Sonneberg'}
    >>> read_label("O. Tarn, 'On moulds', The Collector 12 (1932)", [tarn], ["1932"]).variables
    {'title': 'On moulds', 'container-title': 'The Collector', 'volume': '12'}
    >>> read_label("A list of moulds (second part)", [], []).variables
    {'title': 'A list of moulds (second part)'}
    """
    text, place, has_date = _without_date(label, list(dates))
    rest = _without_author(text, authors)
    variables = _title_of(rest if rest is not None else text)
    if place and not has_date:
        variables["publisher-place"] = place
    stays = () if rest is not None else (a for a in authors if _folded(text).startswith(_folded(a.label)))
    return Reading(variables, frozenset(author.slug for author in stays), has_date)


def _without_date(label: str, dates: list[str]) -> tuple[str, str | None, bool]:
    """The name without a date at its end, the place before that date in brackets, and whether a date stays."""
    brackets = _IN_BRACKETS.fullmatch(label)
    if brackets:
        *places, last = brackets["inside"].rsplit(", ", 1)
        if last in dates:
            return brackets["before"], places[0] if places else None, False
    for date in dates:
        if label.endswith(f", {date}") and len(label) > len(date) + 2:
            return label[: -len(date) - 2], None, False
    return label, None, any(date and date in label for date in dates)


def _without_author(text: str, authors: Sequence[Author]) -> str | None:
    """The text after an author at its begin; None where it does not begin with the only author."""
    before, comma, after = text.partition(", ")
    if len(authors) != 1 or not comma or _folded(before) not in _forms(authors[0]):
        return None
    return after


def _forms(author: Author) -> set[str]:
    """The ways in which one name is written before a title: whole, with initials, the family name alone."""
    if author.is_firm:
        return {_folded(author.label)}
    name, _ = person_name(author)
    given, family = name.get("given", ""), name.get("family", author.label)
    family = f"{name['non-dropping-particle']} {family}" if "non-dropping-particle" in name else family
    initials = re.sub(r"(\w)\w*\.?", r"\1.", given)
    forms = (author.label, f"{initials} {family}", family, f"{initials.replace(' ', '')} {family}")
    return {_folded(form) for form in forms}


def _title_of(text: str) -> dict[str, str]:
    quoted = _IN_QUOTES.fullmatch(text)
    if quoted is None:
        return {"title": text}
    variables = {"title": quoted["single"] or quoted["curly"] or quoted["double"]}
    periodical = _PERIODICAL.fullmatch(quoted["rest"])
    if periodical is None:
        return variables | {"container-title": quoted["rest"]}
    variables |= {"container-title": periodical["container"], "volume": periodical["volume"]}
    return variables | ({"issue": periodical["issue"]} if periodical["issue"] else {})


def _folded(text: str) -> str:
    """A text for comparing, without accents and case."""
    plain = unicodedata.normalize("NFKD", text)
    return "".join(mark for mark in plain if not unicodedata.combining(mark)).casefold()
