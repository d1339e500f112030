"""What speaks for two records being one thing, and what against: each reason with its weight in decibans."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from kg.daybook.record import Claim
from kg.intake.reconcile.conventions import stated_weights
from kg.intake.reconcile.likeness import Level, follows_from, name_levels
from kg.intake.reconcile.reading import ReadName, read_name
from kg.intake.reconcile.weights import Weights

#: From this weight on two records are listed as probably one thing, in decibans: a hundred times as likely as not to
#: agree so if they are one. Stated; common practice, no source.
LIKELY = 20.0


class Relation(Enum):
    """What two records look like to each other."""

    SAME = "probably one"
    FOLLOWS = "the first follows the second"
    FOLLOWED = "the second follows the first"
    EXCLUDED = "cannot be one"
    OTHER = "not enough speaks for one"

    def __bool__(self) -> bool:
        raise TypeError("A relation has five answers; compare it with Relation.SAME")

    @property
    def turned(self) -> Relation:
        """The same relation, seen from the second record."""
        turn = {Relation.FOLLOWS: Relation.FOLLOWED, Relation.FOLLOWED: Relation.FOLLOWS}
        return turn.get(self, self)


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for or against: a field, in words, its weight, and the claims behind it."""

    field: str
    says: str
    weight: float
    claims: tuple[Claim, ...] = ()


@dataclass(frozen=True, slots=True)
class Likeness:
    """Two names compared: the relation, the weight of all reasons, and the reasons."""

    relation: Relation
    weight: float
    reasons: tuple[Reason, ...]
    follows: tuple[str, ...] = ()
    """The words by which one of the names says that it follows the other."""


def weighed_levels(levels: Iterable[Level], weights: Weights) -> tuple[Reason, ...]:
    """Each level as a reason with its weight."""
    found = (weights.of(field, level) for field, level in levels)
    return tuple(Reason(a.field, a.says, a.weight) for a in found)


def compare_names(one: str, other: str, weights: Weights | None = None) -> Likeness:
    """What two names as printed say of their being one maker.

    A name that says widow, sons or successors is the name of a firm that follows: it is never the same as the name
    without that word.

    >>> compare_names("Tarn & Sons", "Tarn").relation
    <Relation.FOLLOWS: 'the first follows the second'>
    """
    return compare_read(read_name(one), read_name(other), weights or stated_weights())


def compare_read(one: ReadName, other: ReadName, weights: Weights) -> Likeness:
    """The same for names that are taken apart already."""
    reasons = weighed_levels(name_levels(one, other), weights)
    weight = total(reasons)
    forward, back = follows_from(one, other), follows_from(other, one)
    is_another_person = any(r.field == "forename" and r.weight < 0 for r in reasons)
    if forward and not is_another_person:
        return Likeness(Relation.FOLLOWS, weight, reasons, forward)
    if back and not is_another_person:
        return Likeness(Relation.FOLLOWED, weight, reasons, back)
    return Likeness(Relation.SAME if weight >= LIKELY else Relation.OTHER, weight, reasons)


def total(reasons: Sequence[Reason]) -> float:
    """The weight of all reasons together, in decibans; as if each spoke by itself."""
    return sum(reason.weight for reason in reasons)
