"""The difference constraints of a simple temporal network, as checked arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from scipy import sparse

from kg.errors import KilnmarkError

Integers = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

#: No path may add up to more than this, so that bounded, unbounded and idle values never meet.
LONGEST_PATH: Final = 1 << 58


class NetworkError(KilnmarkError):
    """The arrays that were given do not describe a network."""


@dataclass(frozen=True, eq=False)
class Network:
    """Difference constraints ``x[head] - x[tail] <= weight`` between ``size`` points; point 0 is the origin.

    ``claim`` names the one claim that each edge rests on, or -1 for a rule that no claim can be blamed for.
    "x is not before c" is the edge tail=x, head=0, weight=-c; "x is not after c" is tail=0, head=x, weight=c.

    :raises NetworkError: if the arrays differ in length, name points that do not exist or hold weights so
        large that sums could overflow.

    >>> from kg.chronology.solve import solve
    >>> network = Network(2, [0, 1], [1, 0], [700_000, -690_000], [0, 1])
    >>> solve(network).window(1)
    (690000, 700000)
    """

    size: int
    tail: npt.ArrayLike
    head: npt.ArrayLike
    weight: npt.ArrayLike
    claim: npt.ArrayLike

    def __post_init__(self) -> None:
        for name, kind in (("tail", np.int32), ("head", np.int32), ("weight", np.int64), ("claim", np.int32)):
            object.__setattr__(self, name, _whole_numbers(name, getattr(self, name), kind))
        _check_ends(self)
        _check_weights(self)

    @property
    def edge_count(self) -> int:
        """How many constraints there are."""
        return len(self.tails)

    @cached_property
    def tails(self) -> Integers:
        """The tail of each edge, ready for indexing."""
        return np.asarray(self.tail, dtype=np.int64)

    @cached_property
    def heads(self) -> Integers:
        """The head of each edge, ready for indexing."""
        return np.asarray(self.head, dtype=np.int64)

    @cached_property
    def weights(self) -> Integers:
        """The weight of each edge, in days."""
        return np.asarray(self.weight, dtype=np.int64)

    @cached_property
    def claims(self) -> Integers:
        """The claim that each edge rests on; -1 for a rule."""
        return np.asarray(self.claim, dtype=np.int64)

    @property
    def claim_count(self) -> int:
        """One more than the highest claim number in use."""
        return int(self.claims.max(initial=-1)) + 1

    @cached_property
    def by_tail(self) -> Grouping:
        """The edges grouped by the point they leave."""
        return Grouping.of(self.tails, self.size)

    @cached_property
    def by_head(self) -> Grouping:
        """The edges grouped by the point they enter."""
        return Grouping.of(self.heads, self.size)

    @cached_property
    def by_claim(self) -> Grouping:
        """The edges grouped by claim, rules first: group 0 holds the rules, group c + 1 claim c."""
        return Grouping.of(self.claims + 1, self.claim_count + 1)

    def edges_of(self, claim: int) -> Integers:
        """The edges that rest on one claim, in ascending order."""
        return self.by_claim.group(claim + 1)

    def claims_of(self, edges: Sequence[int]) -> frozenset[int]:
        """The claims that these edges rest on, without the rules."""
        return frozenset(int(c) for c in self.claims[list(edges)] if c >= 0)

    def without_claims(self, claims: frozenset[int]) -> Mask:
        """Which edges remain when these claims are set aside."""
        aside = np.zeros(self.claim_count + 1, dtype=np.bool_)
        aside[[claim + 1 for claim in sorted(claims)]] = True
        return ~aside[self.claims + 1]


@dataclass(frozen=True, eq=False, slots=True)
class Grouping:
    """Edge numbers sorted by a key: those of key k stand at ``start[k]`` up to ``start[k + 1]``."""

    start: Integers
    edges: Integers

    @classmethod
    def of(cls, keys: Integers, key_count: int) -> Grouping:
        """Group edges by key with one counting sort; within a key the edges keep their order."""
        count = len(keys)
        cells = (np.ones(count, np.bool_), (keys, np.arange(count)))
        table = sparse.coo_array(cells, shape=(key_count, count)).tocsr()
        return cls(table.indptr.astype(np.int64), table.indices.astype(np.int64))

    def group(self, key: int) -> Integers:
        """The edges of one key."""
        return self.edges[self.start[key] : self.start[key + 1]]


def _whole_numbers(name: str, values: npt.ArrayLike, kind: type[np.signedinteger[Any]]) -> npt.NDArray[Any]:
    given = np.asarray(values)
    if given.ndim != 1 or (given.size and given.dtype.kind not in "iu"):
        raise NetworkError(f"{name} is {given.dtype} of {given.ndim} dimensions; give one row of integers.")
    limits = np.iinfo(kind)
    if given.size and not (limits.min <= int(given.min()) and int(given.max()) <= limits.max):
        raise NetworkError(f"{name} holds numbers beyond {limits.min} to {limits.max}; give smaller ones.")
    array = given.astype(kind)
    array.setflags(write=False)
    return array


def _check_ends(network: Network) -> None:
    lengths = {name: len(np.asarray(getattr(network, name))) for name in ("tail", "head", "weight", "claim")}
    if len(set(lengths.values())) > 1:
        raise NetworkError(f"The arrays differ in length: {lengths}; give one value per edge in each.")
    if network.size < 1:
        raise NetworkError(f"The size is {network.size}; a network has at least its origin, point 0.")
    for name, points in (("tail", network.tails), ("head", network.heads)):
        if points.size and (points.min() < 0 or points.max() >= network.size):
            raise NetworkError(
                f"{name} names points {points.min()} to {points.max()}; use 0 to {network.size - 1}."
            )
    if network.claims.min(initial=-1) < -1:
        raise NetworkError(f"claim holds {network.claims.min()}; give a claim's number, or -1 for a rule.")


def _check_weights(network: Network) -> None:
    largest = max(abs(int(network.weights.min(initial=0))), abs(int(network.weights.max(initial=0))))
    if largest * network.size >= LONGEST_PATH:
        raise NetworkError(
            f"A weight of {largest} days over {network.size} points could overflow; "
            f"keep weights below {LONGEST_PATH // network.size}."
        )
