"""People in tables of addresses, compared field by field: names, street, place, date of birth and numbers.

The mapping says which column holds which field. Weights are learned from the pairs themselves, without labels.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kg.intake.reconcile.learning import MISSING, Background, Learned, Levels, learn
from kg.intake.reconcile.letters import distance, plain

Person = Mapping[str, str]
"""A row by field; a field that is empty is not known."""
Pair = tuple[int, int]

GIVEN, SURNAME = "given_name", "surname"
#: The fields that are compared, under the names that the mapping gives to columns.
FIELDS = (
    GIVEN,
    SURNAME,
    "street_number",
    "street",
    "further_address",
    "suburb",
    "postcode",
    "state",
    "date_of_birth",
    "social_security_id",
)
#: Levels of a field: the same, one letter apart, a part apart, different; and swapped, which only names can be.
SAME, ONE_LETTER, IN_PART, ANOTHER, SWAPPED = range(5)
COUNT = tuple(5 if field in (GIVEN, SURNAME) else 4 for field in FIELDS)
#: Letters that may differ in a text of as many letters for it to agree in part. Common practice, no source.
PART_OF = 3
#: Fields whose agreement alone, or together, makes a pair worth comparing.
BLOCKS = (
    ("social_security_id",),
    ("date_of_birth",),
    (SURNAME,),
    (GIVEN, "postcode"),
    (GIVEN, "suburb"),
    ("street", "street_number"),
)

#: Letters of a field that are compared.
LONGEST_FIELD = 200
#: How many pairs are drawn at random, and the seed of the draw.
DRAWN, DRAW = 20_000, 1969


@dataclass(frozen=True, slots=True)
class People:
    """Rows of people, their fields in plain letters."""

    rows: tuple[Person, ...]

    @classmethod
    def of(cls, rows: Sequence[Mapping[str, str]], columns: Mapping[str, str]) -> People:
        """People from the rows of a table; ``columns`` gives the column of each field."""
        return cls(
            tuple(
                {field: plain(row.get(columns[field], "")[:LONGEST_FIELD]) for field in columns}
                for row in rows
            )
        )

    def pairs(self) -> Iterator[Pair]:
        """Every two people who agree in one of the blocks, each pair once, in order."""
        found: set[Pair] = set()
        for block in BLOCKS:
            shelf: dict[tuple[str, ...], list[int]] = defaultdict(list)
            for number, row in enumerate(self.rows):
                key = tuple(row.get(field, "") for field in block)
                if all(key):
                    shelf[key].append(number)
            found.update(
                (a, b) for numbers in shelf.values() for i, a in enumerate(numbers) for b in numbers[i + 1 :]
            )
        return iter(sorted(found))

    def levels(self, pairs: Sequence[Pair]) -> Levels:
        """The level of each field for each pair, a row a pair."""
        table = [pair_levels(self.rows[a], self.rows[b]) for a, b in pairs]
        return np.asarray(table, dtype=np.int64).reshape(-1, len(FIELDS))

    def background(self, among: Sequence[int] | None = None) -> Background:
        """Pairs of people drawn at random, by which one learns how often any two agree."""
        numbers = np.arange(len(self.rows)) if among is None else np.asarray(among)
        drawn = np.random.default_rng(DRAW).integers(0, len(numbers), size=(DRAWN, 2))
        kept = [(int(numbers[a]), int(numbers[b])) for a, b in drawn if a != b]
        return Background(self.levels(kept), len(numbers) * (len(numbers) - 1) // 2)

    def matches(self, pairs: Sequence[Pair], learned: Learned | None = None) -> tuple[bool, ...]:
        """For each pair whether it is more probably one person than two."""
        levels = self.levels(pairs)
        weights = learned or learn(levels, COUNT, self.background())
        return tuple((weights.probabilities(levels) > 1 / 2).tolist())


def pair_levels(one: Person, other: Person) -> tuple[int, ...]:
    """The level at which two people agree in each field."""
    names = [row.get(field, "") for row in (one, other) for field in (GIVEN, SURNAME)]
    is_swapped = all(names) and names[0] == names[3] and names[1] == names[2] and names[0] != names[1]
    return tuple(
        SWAPPED
        if is_swapped and field in (GIVEN, SURNAME)
        else text_level(one.get(field, ""), other.get(field, ""))
        for field in FIELDS
    )


def text_level(one: str, other: str) -> int:
    """The level at which two texts in plain letters agree.

    >>> text_level("smith", "smith"), text_level("smith", "smiht"), text_level("smith", "")
    (0, 1, -1)
    """
    if not one or not other:
        return MISSING
    if one == other:
        return SAME
    short, long = sorted((one, other), key=lambda text: (len(text), text))
    if len(long) - len(short) > max(1, len(long) // PART_OF):
        return ANOTHER
    apart = distance(short, long)
    if apart == 1:
        return ONE_LETTER
    return IN_PART if apart <= len(long) // PART_OF else ANOTHER
