"""What answers to some words: things by names, numbers and marks, whatever the accents, and claims by their id."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import IntEnum
from heapq import nsmallest

from kg.asking.standpoint import Standpoint
from kg.asking.stock import kinds_text
from kg.daybook.discretion import folded
from kg.daybook.view import WorkingView

#: Hits that are shown; the rest are counted.
MOST_SHOWN = 20

#: Groups of properties whose texts name a thing: its names as printed and its numbers, its marks.
NAMING_GROUPS = frozenset({"identity", "marks"})

#: Longer texts are remarks, not names.
_LONGEST_NAME = 160

#: Letters that no accent can be taken from.
_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i"})


class Nearness(IntEnum):
    """How well a name answers, the best first."""

    WHOLE = 0
    BEGINS = 1
    WORDS = 2
    HOLDS = 3
    NEAR = 4


@dataclass(frozen=True, slots=True)
class Name:
    """One name, number or mark of a thing, as it stands and as it is compared."""

    slug: str
    text: str
    compared: str
    is_label: bool


@dataclass(frozen=True, slots=True)
class Hit:
    """A thing that answers to the words."""

    slug: str
    label: str
    kinds: str
    is_confidential: bool
    answering: str | None
    """The name, number or mark that answers, where it is not the thing's usual name."""
    claim_count: int
    nearness: Nearness


@dataclass(frozen=True, slots=True)
class Found:
    """All that answers to some words, the best first."""

    words: str
    hits: tuple[Hit, ...]
    """At most `MOST_SHOWN`."""
    count: int
    claim: str | None
    """The claim whose id was typed."""
    is_near_only: bool
    """Whether nothing answers as typed, so that the hits are only spelled alike."""

    @property
    def straight(self) -> str | None:
        """The one thing that is meant beyond doubt; None where there is a choice."""
        whole = [hit for hit in self.hits if hit.nearness is Nearness.WHOLE]
        if len(whole) == 1:
            return whole[0].slug
        return self.hits[0].slug if self.count == 1 and not self.is_near_only else None


def compared(text: str) -> str:
    """A text as it is compared: without capitals, accents and punctuation.

    >>> compared("Mme. Éléonore  VANE-Łoś, 'à la toupie'")
    'mme eleonore vane los a la toupie'
    """
    # Signs such as ℠ become capitals when they are taken apart, so that is done before the capitals go.
    apart = unicodedata.normalize("NFKD", text)
    return " ".join(re.findall(r"\w+", folded(apart).translate(_LETTERS)))


def find(standpoint: Standpoint, words: str) -> Found:
    """What answers to the words; names that are only spelled alike are told where nothing else answers."""
    view = standpoint.view
    names = standpoint.kept("names", lambda: tuple(_names(view)))
    wanted = compared(words)
    claim = words.strip() if words.strip() in view.claims else None
    if not wanted:
        return Found(words, (), 0, claim, False)
    best = _best(names, wanted)
    is_near_only = not best and claim is None
    if is_near_only:
        best = _spelled_alike(names, wanted)
    order = nsmallest(
        MOST_SHOWN,
        best,
        key=lambda slug: (best[slug][0], len(best[slug][1].compared), view.label(slug), slug),
    )
    hits = tuple(_hit(view, *best[slug]) for slug in order)
    return Found(words, hits, len(best), claim, is_near_only and bool(hits))


def _names(view: WorkingView) -> Iterator[Name]:
    for thing in view.things.values():
        yield Name(thing.slug, thing.label, compared(thing.label), True)
        yield Name(thing.slug, thing.slug, compared(thing.slug), False)
    properties = view.vocabulary.properties
    naming = {p.name for p in properties.values() if p.is_text and p.group in NAMING_GROUPS}
    for claim in view.live:
        if claim.property in naming and len(claim.value) <= _LONGEST_NAME:
            yield Name(claim.subject, claim.value, compared(claim.value), False)


def _best(names: tuple[Name, ...], wanted: str) -> dict[str, tuple[Nearness, Name]]:
    """For each thing that answers, its best name."""
    words = wanted.split()
    found: dict[str, tuple[Nearness, Name]] = {}
    for name in names:
        if all(word in name.compared for word in words):
            nearness = _nearness(name.compared, wanted, words)
            before = found.get(name.slug)
            if before is None or (nearness, not name.is_label) < (before[0], not before[1].is_label):
                found[name.slug] = nearness, name
    return found


def _nearness(name: str, wanted: str, words: list[str]) -> Nearness:
    if name == wanted:
        return Nearness.WHOLE
    if name.startswith(wanted):
        return Nearness.BEGINS
    spaced = f" {name}"
    return Nearness.WORDS if all(f" {word}" in spaced for word in words) else Nearness.HOLDS


def _spelled_alike(names: tuple[Name, ...], wanted: str) -> dict[str, tuple[Nearness, Name]]:
    by_word: dict[str, list[Name]] = {}
    for name in names:
        for word in {*name.compared.split(), name.compared}:
            by_word.setdefault(word, []).append(name)
    near = get_close_matches(wanted, by_word, n=MOST_SHOWN, cutoff=0.75)
    return {name.slug: (Nearness.NEAR, name) for word in reversed(near) for name in reversed(by_word[word])}


def _hit(view: WorkingView, nearness: Nearness, name: Name) -> Hit:
    thing = view.things.get(name.slug)
    by: Mapping[str, tuple[object, ...]] = view.by_subject
    return Hit(
        name.slug,
        view.label(name.slug),
        kinds_text(view, view.kinds(name.slug)),
        thing is not None and thing.is_confidential,
        None if name.is_label else name.text,
        len(by.get(name.slug, ())) + len(view.by_value.get(name.slug, ())),
        nearness,
    )
