"""A maker's name as printed, taken apart: whose house, which forenames, which form, and whether it follows another."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from kg.intake.reconcile.conventions import NameWord, longest_phrase, name_words
from kg.intake.reconcile.letters import Word, key_of, plain, words_of

#: Letters of a name that are read.
LONGEST_NAME = 300
_BRACKETS = re.compile(r"^\s*([^()]+?)\s*\(([^()]+)\)\s*(.*)$")
_INITIALS = re.compile(r"^(?:[^\W\d_][.\-]{1,2})+[^\W\d_]?\.?$")
_GENITIVE = re.compile(r"['’][sS]$")


@dataclass(frozen=True, slots=True)
class Forename:
    """A forename in plain letters, and whether it is written short."""

    letters: str
    is_short: bool = False

    @property
    def is_initial(self) -> bool:
        """Whether only its first letter is given."""
        return len(self.letters) == 1


@dataclass(frozen=True, slots=True)
class Partner:
    """One of those whose house it is."""

    surname: str
    """In plain letters, without its particle."""
    forenames: tuple[Forename, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadName:
    """What a name says, whatever the order, language and spelling of its parts."""

    partners: tuple[Partner, ...]
    legal: frozenset[str] = frozenset()
    together: frozenset[str] = frozenset()
    """Brothers or sisters."""
    follows: frozenset[str] = frozenset()
    """Words that say that the house follows another: widow, sons, heirs, successor."""
    generation: frozenset[str] = frozenset()
    predecessors: tuple[Partner, ...] = ()
    """Whose house it was before, where the name says so."""

    @property
    def surnames(self) -> frozenset[str]:
        """The surnames of all partners."""
        return frozenset(partner.surname for partner in self.partners)


@dataclass
class _Gathered:
    """The parts of a name while it is read."""

    groups: list[list[Word]] = field(default_factory=lambda: [[]])
    before: list[list[Word]] = field(default_factory=list)
    marks: dict[str, set[str]] = field(default_factory=dict)

    def take(self, role: str, word: NameWord) -> None:
        """Put aside a word that has a role."""
        if role == "joiner":
            self.groups.append([])
        elif role == "predecessor":
            self.before = [[]]
        elif word.value:
            self.marks.setdefault(role, set()).add(word.value)


@lru_cache(maxsize=200_000)
def read_name(text: str) -> ReadName:
    """The name taken apart.

    >>> read_name("Tarn, William").partners == read_name("Mr. William Tarn & Sons").partners
    True
    """
    # A name is short; of a text that goes on, only its begin is read, and blanks count once.
    text = " ".join(text[:LONGEST_NAME].split())
    turned = _BRACKETS.sub(r"\1, \2 \3", text)
    first, *rest = [part for part in re.split(r"[,;]", turned) if part.strip()] or [text]
    gathered = _Gathered()
    _sort_words(words_of(first), gathered)
    forenames: list[Word] = []
    for part in rest:
        later = _Gathered()
        _sort_words(words_of(part), later, is_after_comma=True)
        names = [word for group in later.groups for word in group]
        if all(_is_capital(word) for word in names):
            forenames += names
        for role, values in later.marks.items():
            gathered.marks.setdefault(role, set()).update(values)
        gathered.before += later.before
    if not any(gathered.groups):
        gathered.groups = [list(words_of(text))]
    partners = [_partner(group) for group in gathered.groups if group]
    if forenames and len(partners) == 1 and not partners[0].forenames:
        partners = [Partner(partners[0].surname, _forenames(forenames))]
    marks = {role: frozenset(values) for role, values in gathered.marks.items()}
    return ReadName(
        tuple(sorted((p for p in partners if p.surname), key=lambda p: p.surname)),
        marks.get("legal", frozenset()),
        marks.get("together", frozenset()),
        marks.get("follows", frozenset()),
        marks.get("generation", frozenset()),
        tuple(_partner(group) for group in gathered.before if group),
    )


def _sort_words(words: tuple[Word, ...], gathered: _Gathered, *, is_after_comma: bool = False) -> None:
    """Put each word where it belongs: a phrase with a role aside, a name into the group at hand."""
    at = 0
    while at < len(words):
        length, found = _phrase(words, at, is_after_comma)
        if found is None:
            target = gathered.before or gathered.groups
            target[-1].append(words[at])
        elif found.role not in {"particle", "title", "trade"}:
            gathered.take(found.role, found)
        at += length


def _phrase(words: tuple[Word, ...], at: int, is_after_comma: bool) -> tuple[int, NameWord | None]:
    """The longest phrase with a role that begins at a word, and how many words it has."""
    for length in range(min(longest_phrase(), len(words) - at), 0, -1):
        key = tuple(key_of(word.text) for word in words[at : at + length])
        found = name_words().get(key)
        if found is None or (len(key) == 1 and _is_rather_a_name(words, at, found, is_after_comma)):
            continue
        return length, found
    return 1, None


def _is_rather_a_name(words: tuple[Word, ...], at: int, found: NameWord, is_after_comma: bool) -> bool:
    """Whether a word that could have a role stands where only a name can: one letter, or initials, at the front."""
    text = words[at].text
    if text in "&+":
        return False
    if len(key_of(text)) == 1 and found.role != "title":
        return at == 0 or (found.role == "joiner" and at + 1 == len(words)) or text[0].isupper()
    is_front = at == 0 and not is_after_comma and len(words) > 1
    return found.role in {"legal", "title"} and is_front and _INITIALS.match(text) is not None


def _is_capital(word: Word) -> bool:
    """Whether a word begins as names do."""
    return not word.text[0].islower()


def _partner(words: list[Word]) -> Partner:
    *before, last = words
    return Partner(plain(_GENITIVE.sub("", last.text)).replace(" ", ""), _forenames(before))


def _forenames(words: list[Word]) -> tuple[Forename, ...]:
    found: list[Forename] = []
    for word in words:
        if _INITIALS.match(word.text):
            found += [Forename(letter, True) for letter in plain(word.text).replace(" ", "")]
        else:
            for part in re.split(r"-", word.text):
                letters = plain(part).replace(" ", "")
                if letters:
                    found.append(Forename(letters, Word(part).is_short))
    return tuple(found)
