"""The people and firms that a bibliography names, found among those on record or made anew."""

from __future__ import annotations

from collections import defaultdict

from kg.daybook.csl_label import Author, person_name
from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.intake.bibliography.record import Name
from kg.intake.bibliography.texts import folded, one_line, slugged

#: People of one family name that a new one is compared with.
_MOST_COMPARED = 50
#: People that one name is told to resemble.
_MOST_TOLD = 3


class PeopleFinder:
    """Finds who is meant by a name: the only one on record of that whole name, else somebody new.

    Initials join nobody: that "O. Tarn" may be a known Ottmar Tarn is told.
    """

    def __init__(self, view: WorkingView) -> None:
        self.view = view
        self.made: dict[str, Thing] = {}
        self.told: dict[str, None] = {}
        self._next: dict[str, int] = {}
        self._by_name: dict[str, list[str]] = defaultdict(list)
        self._by_family: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for slug, thing in view.things.items():
            if view.vocabulary.is_a(thing.kinds, "Actor") and not thing.is_confidential:
                self._put(slug, thing.label, "Firm" in thing.kinds)

    def _put(self, slug: str, label: str, is_firm: bool) -> None:
        self._by_name[folded(label)].append(slug)
        name, _ = person_name(Author(slug, label, None, is_firm))
        if "family" in name:
            self._by_family[folded(name["family"])].append((slug, folded(name.get("given", ""))))

    def find(self, name: Name) -> str:
        """The slug of who is meant; a new person or firm is put among those that are made."""
        whole = one_line(name.whole)
        known = self._by_name.get(folded(whole), [])
        if len(known) == 1:
            return known[0]
        if len(known) > 1:
            told = f"{whole!r} names {', '.join(sorted(known))}; a new record of that name was made."
            self.told[told] = None
        else:
            self._tell_alike(whole, name)
        return self._new(whole, name)

    def _tell_alike(self, whole: str, name: Name) -> None:
        """Tell those on record whose initials agree."""
        given = folded(name.given).split()
        near = self._by_family.get(folded(name.family), ())[:_MOST_COMPARED] if given else ()
        found = [
            slug
            for slug, theirs in ((slug, other.split()) for slug, other in near)
            if theirs and all(a[0] == b[0] for a, b in zip(given, theirs, strict=False))
        ]
        if found:
            slugs = " or ".join(found[:_MOST_TOLD])
            self.told[
                f"{whole} may be {slugs}; they were not joined. `kilnmark same-as` compares and joins them."
            ] = None

    def _new(self, whole: str, name: Name) -> str:
        family, given = slugged(name.family or name.literal)[:60], slugged(name.given)[:60]
        base = f"author-{family or 'unnamed'}"
        choices = [base, *([f"{base}-{given}"] if given else [])]
        slug = next((choice for choice in choices if self._is_free(choice)), "")
        number = self._next.get(choices[-1], 2)
        while not slug:
            choice = f"{choices[-1]}-{number}"
            slug, number = (choice if self._is_free(choice) else ""), number + 1
        self._next[choices[-1]] = number
        kind = "Firm" if name.literal else "Person"
        self.made[slug] = Thing(slug, (kind,), whole[:500])
        self._put(slug, whole, bool(name.literal))
        return slug

    def _is_free(self, slug: str) -> bool:
        return slug not in self.view.things and slug not in self.made
