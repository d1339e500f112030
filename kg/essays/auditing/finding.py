"""What the audit finds: a fault of one kind, its place and words, what it is, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kg.essays.syntax import Place


class Kind(Enum):
    """The kinds of fault, by the words that stand over them."""

    NO_CLAIM = "a fact without a claim"
    UNKNOWN_CLAIM = "a note that names no standing claim"
    NOT_HELD = "said, and not held by the claims"
    TOO_SURE = "surer than the claims"
    SHAKEN = "rests on what is doubted, set aside or contradicted"
    SECOND_HAND = "cited as if seen"
    CONFIDENTIAL = "confidential"
    STALE = "print that no longer stands"
    HYGIENE = "the text itself"

    def __bool__(self) -> bool:
        raise TypeError("A kind is one of nine; compare it with Kind.NO_CLAIM or another.")


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault of an essay."""

    kind: Kind
    place: Place
    """Where the fault stands, counted from 1."""
    words: str
    """The words that are at fault, or the sentence that they stand in."""
    message: str
    remedy: str
    claims: tuple[str, ...] = ()
    """The ids of the claims concerned."""
