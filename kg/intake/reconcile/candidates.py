"""Which names are worth comparing at all: those whose surnames are near, found by an index, never all with all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from kg.intake.reconcile.conventions import forenames_meant
from kg.intake.reconcile.letters import one_left_out, skeleton, without_umlaut
from kg.intake.reconcile.likeness import LEAST_FOR_NEAR
from kg.intake.reconcile.reading import Partner, ReadName

#: The letter under which a name stands that gives no forename: it may go with any.
ANY = ""

Shelf = dict[tuple[str, str], set[int]]


class NameIndex:
    """Names by the surnames of their partners, so that those near to a name are found without looking at the rest.

    A name is near if one of its surnames is one of the other's but for one letter put in, left out, changed or swapped
    (or for letters that print confuses), and the first letters of the forenames agree where both are given. Every pair
    that can reach the weight of a listed pair is near; ``tests`` compare it with looking at all pairs.
    """

    def __init__(self, names: Sequence[Iterable[ReadName]]) -> None:
        self.names = [tuple(reads) for reads in names]
        self._shelf: Shelf = defaultdict(set)
        self._letters: dict[str, set[str]] = defaultdict(set)
        for number, reads in enumerate(self.names):
            for bones, letter in _keys(reads):
                self._shelf[bones, letter].add(number)
                self._letters[bones].add(letter)
        self._by_variant: dict[str, set[str]] = defaultdict(set)
        for bones in self._letters:
            for variant in _variants(bones):
                self._by_variant[variant].add(bones)
        self._near: dict[str, tuple[str, ...]] = {}

    def near(self, reads: Iterable[ReadName]) -> set[int]:
        """The numbers of the names that are near to a name (or to one of several for one thing)."""
        found: set[int] = set()
        for bones, letter in _keys(reads):
            for other in self._surnames_near(bones):
                letters = self._letters[other] if letter == ANY else (letter, ANY)
                for each in letters:
                    found |= self._shelf.get((other, each), set())
        return found

    def pairs(self) -> Iterator[tuple[int, int]]:
        """Every two names that are near, each pair once, the lower number first."""
        for number, reads in enumerate(self.names):
            for other in sorted(self.near(reads)):
                if other > number:
                    yield number, other

    def _surnames_near(self, bones: str) -> tuple[str, ...]:
        found = self._near.get(bones)
        if found is None:
            hits = {other for variant in _variants(bones) for other in self._by_variant.get(variant, ())}
            found = self._near[bones] = tuple(sorted(hits))
        return found


def _keys(reads: Iterable[ReadName]) -> set[tuple[str, str]]:
    """Under which surname, without what print confuses, and which first letters of forenames a name stands."""
    return {
        (skeleton(surname), letter)
        for read in reads
        for partner in (*read.partners, *read.predecessors)
        for surname in (partner.surname, without_umlaut(partner.surname))
        for letter in _first_letters(partner)
    }


def _first_letters(partner: Partner) -> set[str]:
    if not partner.forenames:
        return {ANY}
    first = partner.forenames[0].letters
    return {first[0], *(full[0] for full in forenames_meant().get(first, ()))}


def _variants(bones: str) -> Iterator[str]:
    """The skeleton, and with one letter left out where it is long enough for another to be near it."""
    return one_left_out(bones) if len(bones) >= LEAST_FOR_NEAR - 1 else iter((bones,))
