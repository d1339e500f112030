"""How far two names agree, field by field: the level of each, without any weight."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from kg.intake.reconcile.conventions import forenames_meant
from kg.intake.reconcile.letters import distance, skeleton, without_umlaut
from kg.intake.reconcile.reading import Forename, Partner, ReadName

#: A name of fewer letters than this is another name when one letter differs.
LEAST_FOR_NEAR = 5

#: Partners of a house that are paired in every way; a name with more must have the same surnames.
MOST_PARTNERS = 4

Level = tuple[str, str]
"""A field and the level at which two records agree in it."""


def name_levels(one: ReadName, other: ReadName) -> Iterator[Level]:
    """The levels at which two names agree; a field that one of them leaves open is passed over."""
    surname, pairs = _partners(one, other)
    yield "surname", surname
    if surname not in {"partners", "different"}:
        levels = [level for a, b in pairs if (level := forename_level(a.forenames, b.forenames))]
        if levels:
            yield "forename", min(levels, key=_FORENAME_ORDER.index)
    for field in ("legal", "together", "generation", "follows"):
        level = _set_level(getattr(one, field), getattr(other, field))
        if level is not None and not (field == "follows" and level == "one"):
            yield field, level


def follows_from(one: ReadName, other: ReadName) -> tuple[str, ...]:
    """The words by which the first name says that its house follows the second's; none if it does not."""
    if any(_surname_level(before, partner, is_kin=True) != "different"
           for before in one.predecessors for partner in other.partners):  # fmt: skip
        return ("late",)
    if one.follows and not other.follows and _partners(one, other)[0] not in {"different", "partners"}:
        return tuple(sorted(one.follows))
    return ()


def surname_level(one: str, other: str, *, is_kin: bool = False) -> str:
    """How two surnames in plain letters agree: same, slip, near or different.

    >>> surname_level("thornbury", "thombury"), surname_level("tarn", "tarr"), surname_level("bressolier", "bresolier")
    ('slip', 'different', 'slip')
    """
    short, long = sorted((one, other), key=len)
    if one == other or (is_kin and long == short + "s"):
        return "same"  # "Zwettlers Söhne" are the sons of Zwettler
    return letters_level(short, long)


def letters_level(one: str, other: str) -> str:
    """How two words in plain letters agree, whether two dots are written as an e or not."""
    bare = without_umlaut(one), without_umlaut(other)
    if one == other or bare[0] == bare[1]:
        return "same"
    if skeleton(one) == skeleton(other) or skeleton(bare[0]) == skeleton(bare[1]):
        return "slip"
    is_near = any(_is_near(*sorted(pair, key=len)) for pair in ((one, other), bare))
    return "near" if is_near else "different"


def _is_near(short: str, long: str) -> bool:
    return len(short) >= LEAST_FOR_NEAR and len(long) - len(short) <= 1 and distance(short, long) <= 1


_SURNAME_ORDER = ("same", "slip", "near", "different")
_FORENAME_ORDER = ("different", "near", "initial", "abbreviation", "same")


def _surname_level(one: Partner, other: Partner, *, is_kin: bool) -> str:
    return surname_level(one.surname, other.surname, is_kin=is_kin)


def _partners(one: ReadName, other: ReadName) -> tuple[str, list[tuple[Partner, Partner]]]:
    """The level of the surnames, and the partners that go together; every partner must have one."""
    fewer, more = sorted((one.partners, other.partners), key=len)
    if len(more) > MOST_PARTNERS:
        return ("same" if one.surnames == other.surnames else "different"), []
    is_kin = bool(one.follows or other.follows)
    ways = [tuple(zip(fewer, chosen, strict=True)) for chosen in permutations(more, len(fewer))]
    best = min(ways, key=lambda way: _badness(way, is_kin), default=())
    levels = [_surname_level(a, b, is_kin=is_kin) for a, b in best]
    pairs = [pair for pair, level in zip(best, levels, strict=True) if level != "different"]
    if not pairs:
        return "different", []
    if len(pairs) < len(more):
        return "partners", pairs
    return max(levels, key=_SURNAME_ORDER.index), pairs


def _badness(way: tuple[tuple[Partner, Partner], ...], is_kin: bool) -> tuple[int, int]:
    """How ill the partners go together in a way of pairing them: by surnames, then by forenames."""
    surnames = sum(_SURNAME_ORDER.index(_surname_level(a, b, is_kin=is_kin)) for a, b in way)
    levels = [forename_level(a.forenames, b.forenames) for a, b in way]
    return surnames, -sum(_FORENAME_ORDER.index(level) + 1 for level in levels if level)


def forename_level(one: tuple[Forename, ...], other: tuple[Forename, ...]) -> str | None:
    """How two men's or women's forenames agree; None if one has none.

    Names beyond those of the shorter list say nothing: Ernst August is called Ernst.
    """
    if not one or not other:
        return None
    found = [_one_forename(a, b) for a, b in zip(one, other, strict=False)]
    return "different" if "different" in found else max(found, key=_FORENAME_ORDER.index)


def _one_forename(one: Forename, other: Forename) -> str:
    a, b = one.letters, other.letters
    if a == b:
        return "initial" if one.is_initial else "same"
    if one.is_initial or other.is_initial:
        return "initial" if a[0] == b[0] else "different"
    if _is_short_for(one, b) or _is_short_for(other, a):
        return "abbreviation"
    meant = forenames_meant()
    if meant.get(a, frozenset({a})) & meant.get(b, frozenset({b})):
        return "abbreviation"
    level = letters_level(a, b)
    return "same" if level == "slip" else level


def _is_short_for(short: Forename, full: str) -> bool:
    """Whether a forename written short can stand for another: its begin, or its first and last letters in order."""
    letters = short.letters
    if not short.is_short or len(letters) >= len(full) or letters[0] != full[0]:
        return False
    return full.startswith(letters) or (letters[-1] == full[-1] and _is_in_order(letters, full))


def _is_in_order(letters: str, full: str) -> bool:
    rest = iter(full)
    return all(letter in rest for letter in letters)


def _set_level(one: frozenset[str], other: frozenset[str]) -> str | None:
    if one == other:
        return "same" if one else None
    if not one or not other:
        return "one"
    return "different" if not one & other else "same"
