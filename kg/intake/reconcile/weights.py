"""Weights of agreement, after Fellegi and Sunter ("A Theory for Record Linkage", JASA 64, 1969).

For each field, two records agree at some level. The weight of a level is the logarithm of its share among pairs of
one thing over its share among pairs of two; in decibans, ten of which multiply the odds by ten.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from kg.attribution.weight import decibans
from kg.errors import KilnmarkError


class BadWeights(KilnmarkError):
    """A level has a share that is none: not above 0 and at most 1."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """A level at which two records agree in a field, with what it says for their being one."""

    field: str
    level: str
    among_the_same: float
    """Its share among pairs of records of one thing (m)."""
    among_others: float
    """Its share among pairs of records of two things (u)."""
    says: str
    basis: str

    def __post_init__(self) -> None:
        if not all(0 < share <= 1 for share in (self.among_the_same, self.among_others)):
            raise BadWeights(
                f"{self.field}, {self.level}: shares {self.among_the_same} and {self.among_others} found; "
                "expected shares above 0 and at most 1."
            )

    @property
    def weight(self) -> float:
        """What it says for one thing (above 0) or for two, in decibans."""
        return decibans(self.among_the_same / self.among_others)


@dataclass(frozen=True)
class Weights:
    """Every level of every field with its weight."""

    agreements: tuple[Agreement, ...]

    @cached_property
    def _by_level(self) -> Mapping[tuple[str, str], Agreement]:
        return {(a.field, a.level): a for a in self.agreements}

    def of(self, field: str, level: str) -> Agreement:
        """The agreement of that field and level.

        :raises BadWeights: if none is stated.
        """
        try:
            return self._by_level[field, level]
        except KeyError as error:
            raise BadWeights(f"No weight is stated for {field}, {level}.") from error
