"""Whether two records are one work: by DOI, by ISBN, or by title, author and year, with the reasons."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import Enum
from typing import Any

from kg.intake.bibliography.identifiers import doi, isbns
from kg.intake.bibliography.kinds import PARTS
from kg.intake.bibliography.texts import folded

#: Titles of one author and year that agree to this part may be one title with a slip in it.
CLOSE = 0.9
#: Titles that agree less than this are told where a DOI or ISBN is the same.
FAR = 0.5
#: Sources that a record is compared with for one number or one title.
_MOST_COMPARED = 50
#: Sources of one author and year whose titles are compared letter by letter.
_MOST_SLIPS = 12
#: Sources that a record is told to resemble.
_MOST_TOLD = 5


class Match(Enum):
    """How one field of two records compares."""

    SAME = "same"
    CLOSE = "close"
    UNKNOWN = "unknown"
    DIFFERENT = "different"


@dataclass(frozen=True, slots=True)
class Card:
    """What a source is recognised by."""

    slug: str
    is_part: bool
    doi: str | None
    isbns: frozenset[str]
    title: str
    main: str
    """The title without its subtitle."""
    authors: tuple[tuple[str, str], ...]
    """Family name and initials, folded; a firm has its whole name and no initials."""
    year: str
    date: str
    numbers: tuple[tuple[str, str], ...]
    """Edition, volume, issue and the like, folded, where they are given."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """That a record may be a source that is there already, and why."""

    slug: str
    is_sure: bool
    reasons: tuple[str, ...]
    against: tuple[str, ...] = ()

    def __str__(self) -> str:
        told = ", ".join(self.reasons)
        return f"{told}; but {', '.join(self.against)}" if self.against else told


_NUMBERS = ("edition", "volume", "issue", "number", "container-title", "page")


def card(slug: str, item: Mapping[str, Any], date: str) -> Card:
    """The card of a source, from its CSL-JSON item and its date in EDTF or in words."""
    title = str(item.get("title", ""))
    years = re.findall(r"\d{4}", date)
    return Card(
        slug,
        item.get("type") in PARTS,
        doi(str(item.get("DOI", ""))),
        isbns(str(item.get("ISBN", "")))[0],
        folded(title),
        folded(re.split(r"[:.;] | [–—-] ", title, maxsplit=1)[0]),
        tuple(_author(name) for name in item.get("author", ()) if name.get("literal") != "others"),
        years[0] if years else "",
        date,
        tuple((name, folded(str(item[name]))) for name in _NUMBERS if item.get(name)),
    )


def _author(name: Mapping[str, str]) -> tuple[str, str]:
    if "literal" in name:
        return folded(name["literal"]), ""
    return folded(name.get("family", "")), "".join(word[0] for word in folded(name.get("given", "")).split())


class Finder:
    """The sources that are there, to be found by what they are recognised by."""

    def __init__(self, cards: Iterable[Card] = ()) -> None:
        self._by_number: dict[str, list[Card]] = defaultdict(list)
        self._by_title: dict[str, list[Card]] = defaultdict(list)
        self._by_author: dict[tuple[str, str], list[Card]] = defaultdict(list)
        for found in cards:
            self.add(found)

    def add(self, found: Card) -> None:
        """Put one more source among them."""
        for number in (*([found.doi] if found.doi else ()), *(() if found.is_part else found.isbns)):
            self._by_number[number].append(found)
        if found.main:
            self._by_title[found.main].append(found)
        if found.authors and found.year:
            self._by_author[found.authors[0][0], found.year].append(found)

    def find(self, wanted: Card) -> list[Likeness]:
        """The sources that a record is, or may be; the sure ones first."""
        near: dict[str, Card] = {}
        for number in (*([wanted.doi] if wanted.doi else ()), *(() if wanted.is_part else wanted.isbns)):
            near |= {found.slug: found for found in self._by_number.get(number, ())[:_MOST_COMPARED]}
        if wanted.main:
            near |= {found.slug: found for found in self._by_title.get(wanted.main, ())[:_MOST_COMPARED]}
        if wanted.authors and wanted.year:
            same = self._by_author.get((wanted.authors[0][0], wanted.year), ())
            near |= {found.slug: found for found in same[:_MOST_SLIPS]}
        found = [likeness for old in near.values() if (likeness := alike(wanted, old)) is not None]
        return sorted(found, key=lambda likeness: (not likeness.is_sure, likeness.slug))[:_MOST_TOLD]


def alike(new: Card, old: Card) -> Likeness | None:
    """Whether a record is a source that is there, for sure or perhaps; None if nothing speaks for it."""
    reasons, against = [], _against(new, old)
    if new.doi and new.doi == old.doi:
        reasons.append(f"the same DOI {new.doi}")
    shared = new.isbns & old.isbns
    if shared and not (new.is_part or old.is_part):
        reasons.append(f"the same ISBN {min(shared)}")
    if reasons:
        if new.title and old.title and new.main != old.main and _ratio(new.title, old.title) < FAR:
            against.append("the titles differ")
        return Likeness(old.slug, not against, tuple(reasons), tuple(against))
    return _by_words(new, old, against)


def may_be_one(new: Card, old: Card) -> bool:
    """Whether a record of the same key can be the same work, edited: something of title, author or number agrees."""
    if not (new.title and old.title) or new.main == old.main or _ratio(new.title, old.title) >= FAR:
        return True
    has_number = bool(new.isbns & old.isbns) or (new.doi is not None and new.doi == old.doi)
    return has_number or bool(new.authors and old.authors and new.authors[0][0] == old.authors[0][0])


def _by_words(new: Card, old: Card, against: list[str]) -> Likeness | None:
    title, authors, year = _titles(new, old), _authors(new, old), _years(new, old)
    if Match.DIFFERENT in (title, authors, year) or new.is_part != old.is_part or title is Match.UNKNOWN:
        return None
    if title is Match.CLOSE and not (authors is year is Match.SAME):
        return None
    has_authors = bool(new.authors and old.authors)
    if authors is not Match.SAME and year is not Match.SAME:
        return None
    reasons = ["the same title" if new.title == old.title else "the same title but for the subtitle"]
    if title is Match.CLOSE:
        reasons = ["almost the same title"]
    if authors is Match.SAME:
        reasons.append("the same author" if has_authors else "neither names an author")
    if year is Match.SAME:
        reasons.append(f"the same year {new.year}")
    doubts = []
    if authors is Match.UNKNOWN:
        doubts.append("only one of them names an author")
    if year is Match.UNKNOWN:
        doubts.append("only one of them names a year" if new.year or old.year else "neither names a year")
    told = [*against, *doubts, *(["one has a slip, or they are two"] if title is Match.CLOSE else [])]
    return Likeness(old.slug, not told, tuple(reasons), tuple(told))


def _titles(new: Card, old: Card) -> Match:
    if not new.title or not old.title:
        return Match.UNKNOWN
    if new.title == old.title:
        return Match.SAME
    if new.main == old.main and (new.title == new.main or old.title == old.main):
        return Match.SAME
    # Titles that differ in a number are parts of a series, or of two years, and no slip.
    if re.findall(r"\d+", new.title) != re.findall(r"\d+", old.title):
        return Match.DIFFERENT
    return Match.CLOSE if _ratio(new.title, old.title) >= CLOSE else Match.DIFFERENT


def _authors(new: Card, old: Card) -> Match:
    if not new.authors and not old.authors:
        return Match.SAME
    if not new.authors or not old.authors:
        return Match.UNKNOWN
    pairs = list(zip(new.authors, old.authors, strict=False))
    if any(a[0] != b[0] or not _agree(a[1], b[1]) for a, b in pairs):
        return Match.DIFFERENT
    return Match.SAME


def _agree(a: str, b: str) -> bool:
    """Whether initials may be of one person: the shorter begins the longer."""
    return a.startswith(b) or b.startswith(a)


def _years(new: Card, old: Card) -> Match:
    if not new.year or not old.year:
        return Match.SAME if new.year == old.year == "" and new.date == old.date != "" else Match.UNKNOWN
    if new.year != old.year:
        return Match.DIFFERENT
    precise = len(new.date) >= len("1873-06") and len(old.date) >= len("1873-06")
    return Match.DIFFERENT if precise and not _one_day(new.date, old.date) else Match.SAME


def _one_day(a: str, b: str) -> bool:
    return a.startswith(b) or b.startswith(a)


def _against(new: Card, old: Card) -> list[str]:
    theirs = dict(old.numbers)
    told = [
        f"the {name.removesuffix('-title')} differs"
        for name, text in new.numbers
        if name in theirs and theirs[name] != text
    ]
    if new.isbns and old.isbns and not new.isbns & old.isbns:
        told.append("the ISBN differs")
    if new.doi and old.doi and new.doi != old.doi:
        told.append("the DOI differs")
    return told


def _ratio(a: str, b: str) -> float:
    if min(len(a), len(b)) * 2 < max(len(a), len(b)):
        return 0.0
    return SequenceMatcher(None, a[:300], b[:300], autojunk=False).ratio()
