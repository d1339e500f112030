"""Which names are worth comparing at all: those whose surnames are near, found by an index, never all with all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from kg.intake.reconcile.conventions import forenames_meant
from kg.intake.reconcile.letters import one_left_out, skeleton, without_umlaut
from kg.intake.reconcile.likeness import LEAST_FOR_NEAR, surname_level
from kg.intake.reconcile.reading import Partner, ReadName

#: The letter under which a name stands that gives no forename: it may go with any.
ANY = ""

Shelf = dict[tuple[str, str], set[int]]


class NameIndex:
    """Names by the surnames of their partners, so that those near to a name are found without looking at the rest.

    A name is near if one of its surnames agrees with one of the other's in any way that counts (letters_level), and the
    first letters of the forenames agree where both are given. So no pair that would be listed is lost.
    """

    def __init__(self, names: Sequence[Iterable[ReadName]]) -> None:
        self.names = [tuple(reads) for reads in names]
        self._shelf: Shelf = defaultdict(set)
        self._letters: dict[str, set[str]] = defaultdict(set)
        for number, reads in enumerate(self.names):
            for surname, letter in _keys(reads):
                self._shelf[surname, letter].add(number)
                self._letters[surname].add(letter)
        self._by_handle: dict[str, set[str]] = defaultdict(set)
        for surname in self._letters:
            for handle in _handles(surname):
                self._by_handle[handle].add(surname)
        self._near: dict[str, tuple[str, ...]] = {}

    def near(self, reads: Iterable[ReadName]) -> set[int]:
        """The numbers of the names that are near to a name (or to one of several for one thing)."""
        found: set[int] = set()
        for surname, letter in _keys(reads):
            for other in self._surnames_near(surname):
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

    def _surnames_near(self, surname: str) -> tuple[str, ...]:
        found = self._near.get(surname)
        if found is None:
            hits = {other for handle in _handles(surname) for other in self._by_handle.get(handle, ())}
            found = self._near[surname] = tuple(sorted(o for o in hits if _may_be_one(surname, o)))
        return found


def _may_be_one(one: str, other: str) -> bool:
    return surname_level(one, other, is_kin=True) != "different"


def _keys(reads: Iterable[ReadName]) -> set[tuple[str, str]]:
    """Under which surnames and which first letters of forenames a name stands."""
    return {
        (partner.surname, letter)
        for read in reads
        for partner in (*read.partners, *read.predecessors)
        for letter in _first_letters(partner)
    }


def _first_letters(partner: Partner) -> set[str]:
    if not partner.forenames:
        return {ANY}
    first = partner.forenames[0].letters
    return {first[0], *(full[0] for full in forenames_meant().get(first, ()))}


def _handles(surname: str) -> Iterator[str]:
    """What two surnames that agree in any way share: a skeleton, or letters with at most one left out."""
    for letters in {surname, without_umlaut(surname)}:
        yield f"bones {skeleton(letters)}"
        yield letters
        if letters.endswith("s"):
            yield letters[:-1]
        if len(letters) >= LEAST_FOR_NEAR - 1:
            yield from one_left_out(letters)
