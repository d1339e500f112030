"""How a picture tells kinds of things and standings of claims apart: a sign and a manner of line, besides colour."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kg.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class Family:
    """Classes of things that are drawn alike."""

    name: str
    label: str
    sign: str
    """Stands before each label, so that the kind shows without colour."""
    kinds: tuple[str, ...]


#: What no other family holds: materials, places, features, periods, questions, researchers.
OTHER = Family("other", "materials, places and all else", "○", ())

#: A date or a text, which is no thing.
VALUE = Family("value", "dates and texts", "", ())

#: The first that a thing belongs to counts: a piece that was examined is a source too, and drawn as a piece.
FAMILIES = (
    Family("maker", "makers, firms and people", "●", ("Actor",)),
    Family("piece", "pieces and parts", "■", ("Artefact",)),
    Family("model", "models and moulds", "▰", ("Model", "Mould", "SizeChart")),
    Family("mark", "marks", "▲", ("Mark",)),
    Family("registration", "registrations", "◆", ("Registration",)),
    Family("event", "sales, awards and exhibitions", "★", ("Event",)),
    Family("source", "sources", "▼", ("Source",)),
    OTHER,
)


def family_of(vocabulary: Vocabulary, kinds: Iterable[str]) -> Family:
    """The family of a thing of some classes."""
    kinds = tuple(kinds)
    return next(
        (family for family in FAMILIES if any(vocabulary.is_a(kinds, kind) for kind in family.kinds)), OTHER
    )


def kinds_of(vocabulary: Vocabulary, family: Family) -> frozenset[str]:
    """The classes of a family; those of what no other family holds are all the others."""
    if family is not OTHER:
        return frozenset(family.kinds)
    return frozenset(
        kind for kind in vocabulary.kinds if kind != "Thing" and family_of(vocabulary, (kind,)) is OTHER
    )


@dataclass(frozen=True, slots=True)
class Manner:
    """How the line of a claim is drawn."""

    name: str
    label: str
    width: float
    dashes: tuple[int, ...]


FIRM = Manner("firm", "several witnesses, or one read first-hand", 2.4, ())
HELD = Manner("held", "held, not weighed here", 1.6, ())
THIN = Manner("thin", "one witness at second hand, or none known", 1.3, ())
OPEN = Manner("open", "contested, or circular", 1.9, (10, 6))
DOUBTED = Manner("doubted", "doubted", 1.9, (2, 5))

MANNERS = (FIRM, HELD, THIN, OPEN, DOUBTED)
