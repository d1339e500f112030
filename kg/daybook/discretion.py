"""What must stay out of an export: confidential things and claims, and whatever would give them away."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from kg.daybook.record import Claim, Entry, Judgement
from kg.daybook.view import WorkingView

#: A confidential name shorter than this is not looked for in texts: it would be found inside other words.
SHORTEST_NAME = 3
#: So many characters of a confidential quotation, repeated elsewhere, give it away.
SHORTEST_QUOTATION = 20


@dataclass(frozen=True, slots=True)
class LeftOut:
    """How much was left out of an export for discretion."""

    things: int = 0
    claims: int = 0
    judgements: int = 0
    notes: int = 0

    def __bool__(self) -> bool:
        return bool(self.things or self.claims or self.judgements or self.notes)

    def __str__(self) -> str:
        counts = (
            (self.things, "thing"), (self.claims, "claim"), (self.judgements, "judgement"), (self.notes, "remark"),
        )  # fmt: skip
        return ", ".join(f"{n} {what}{'' if n == 1 else 's'}" for n, what in counts if n) or "nothing"


class Discretion:
    """Tells what of the entries is confidential.

    What was marked confidential on any day counts, also for an export as of an earlier day. A claim is left out if it
    is marked, if its subject, value or source is a confidential thing, if it is about a claim left out or names one,
    or if one of its texts names a confidential thing or repeats 20 characters of what a marked claim quotes; other
    things, judgements and remarks likewise. The names of a confidential thing are those that entries gave it and its
    slug, each looked for as a whole, whatever its capitals, accents and spaces: a part of a name (a surname alone),
    or a hint, is not found. Give such a part as a further name (``named``) of the thing, and it is.
    """

    def __init__(self, view: WorkingView) -> None:
        self.view = view
        marked = frozenset(slug for slug, thing in view.things.items() if thing.is_confidential)
        self._names = self._pattern(marked)
        self._quoted = frozenset(
            stretch
            for claim in view.claims.values()
            if claim.is_confidential and claim.citation.quotation
            for stretch in _stretches(folded(claim.citation.quotation))
        )
        described = (thing for entry in view.entries.values() for thing in entry.things)
        self.things = marked.union(thing.slug for thing in described if self.names_one(thing.label))
        self.claims = self._claims()

    def _pattern(self, marked: frozenset[str]) -> re.Pattern[str] | None:
        labels = set(marked)
        labels |= {
            thing.label
            for entry in self.view.entries.values()
            for thing in entry.things
            if thing.slug in marked
        }
        for claim in self.view.claims.values():
            if claim.property == "named" and claim.subject in marked:
                labels.add(claim.value)
        words = sorted(
            (re.escape(label) for label in map(folded, labels) if len(label) >= SHORTEST_NAME),
            key=len,
            reverse=True,
        )
        return re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)") if words else None

    def _claims(self) -> frozenset[str]:
        found = {claim.id for claim in self.view.claims.values() if self._is_told(claim)}
        every = self.view.claims
        links = [c for c in every.values() if c.value in every or c.subject in every]
        while more := {c.id for c in links if c.id not in found and (c.value in found or c.subject in found)}:
            found |= more
        return frozenset(found)

    def _is_told(self, claim: Claim) -> bool:
        cited = claim.citation
        texts = (claim.value, claim.written, cited.locator, cited.quotation)
        named = (claim.subject, claim.value, cited.source)
        return (
            claim.is_confidential
            or any(slug in self.things for slug in named)
            or any(self.names_one(text) for text in texts)
        )

    def names_one(self, text: str | None) -> bool:
        """Whether a text holds the name of a confidential thing, or repeats what a marked claim quotes."""
        if not text or not (self._names or self._quoted):
            return False
        plain = folded(text)
        return bool(
            (self._names and self._names.search(plain))
            or (self._quoted and not self._quoted.isdisjoint(_stretches(plain)))
        )

    def open_part(self, entry: Entry) -> tuple[Entry | None, LeftOut]:
        """The entry without what is confidential (None if nothing is left), and how much was left out."""
        things = tuple(thing for thing in entry.things if thing.slug not in self.things)
        claims = tuple(claim for claim in entry.claims if claim.id not in self.claims)
        judgements = tuple(j for j in entry.judgements if not self._hides_judgement(j))
        dropped = LeftOut(
            len(entry.things) - len(things),
            len(entry.claims) - len(claims),
            len(entry.judgements) - len(judgements),
        )
        # The remark of an entry that holds confidential matter may speak of it.
        hides_note = bool(entry.note) and (bool(dropped) or self.names_one(entry.note))
        dropped = replace(dropped, notes=int(hides_note))
        if not (things or claims or judgements):
            return None, dropped
        note = "" if hides_note else entry.note
        kept = replace(entry, note=note, things=things, claims=claims, judgements=judgements)
        return kept, dropped

    def _hides_judgement(self, judgement: Judgement) -> bool:
        return judgement.claim in self.claims or self.names_one(judgement.why)


def folded(text: str) -> str:
    """A text without capitals, accents and runs of white space, for comparing names.

    >>> folded("  Mme.  Éléonore\\tVANE ")
    'mme. eleonore vane'
    """
    letters = (c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return " ".join("".join(letters).split())


def _stretches(text: str) -> Iterator[str]:
    """Every stretch of a text as long as a quotation that is looked for."""
    return (text[start : start + SHORTEST_QUOTATION] for start in range(len(text) - SHORTEST_QUOTATION + 1))


def total(parts: Mapping[str, LeftOut]) -> LeftOut:
    """The sum of what was left out of several entries."""
    values = parts.values()
    return LeftOut(
        sum(p.things for p in values), sum(p.claims for p in values),
        sum(p.judgements for p in values), sum(p.notes for p in values),
    )  # fmt: skip
