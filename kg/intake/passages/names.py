"""Names in a passage: which things of the daybook its words may mean."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.intake.passages.lexicon import Lexicon, lexicon
from kg.intake.passages.words import Word, words_of

#: Signs that stand inside names without meaning anything there.
_PASSED_OVER = frozenset("().\"'")
#: A slip of the pen is looked for in words of at least this length only.
SHORTEST_SLIP = 7
_QUOTED = re.compile(r"['‘“\"«„]([^'’”\"»“]{6,})['’”\"»“]")
_YEAR = re.compile(r"\b(1[5-9]\d\d|20\d\d)\b")
_AND = "and"


@dataclass(frozen=True, slots=True)
class Mention:
    """A stretch of words that may name things of the daybook; without any, a name that the daybook does not know."""

    first: int
    """The place of its first word."""
    last: int
    """The place after its last word."""
    exact: tuple[str, ...]
    """Things of that name."""
    loose: tuple[str, ...] = ()
    """Things that are called so in short: by a surname, a number, a title."""
    slip: str | None = None
    """The name as the daybook spells it, where the passage spells it otherwise."""

    @property
    def is_known(self) -> bool:
        """Whether the daybook has anything of that name."""
        return bool(self.exact or self.loose)


@dataclass
class NameIndex:
    """Every name of the daybook's things, by its words."""

    view: WorkingView
    words: Lexicon = field(default_factory=lexicon)
    _exact: dict[tuple[str, ...], set[str]] = field(default_factory=lambda: defaultdict(set))
    _loose: dict[tuple[str, ...], set[str]] = field(default_factory=lambda: defaultdict(set))
    _longest: dict[str, int] = field(default_factory=dict)
    _capitals: set[str] = field(default_factory=set)
    _numbers: dict[str, list[tuple[str, frozenset[str]]]] = field(default_factory=lambda: defaultdict(list))

    @classmethod
    def of(cls, view: WorkingView) -> NameIndex:
        """The names of a working view; names of what is confidential are among them, as she knows them."""
        index = cls(view)
        named: dict[str, list[str]] = defaultdict(list)
        for claim in view.live:
            if claim.property == "named":
                named[claim.subject].append(claim.value)
            elif claim.property == "numbered":
                index._number(claim.subject, claim.value)
        for thing in view.things.values():
            for name in (thing.label, *named.get(thing.slug, ())):
                index._add(thing, name)
        for claim in view.live:
            if claim.property == "writtenBy":
                index._add_author(claim.subject, claim.value)
        return index

    def mentions(self, words: tuple[Word, ...]) -> list[Mention]:
        """The names in some words, none overlapping another, the longest first."""
        found: list[Mention] = []
        meant = self._corrected(words)
        at = 0
        while at < len(words):
            mention = self._numbered(meant, at) or self._longest_at(meant, at)
            if mention is None:
                at += 1
                continue
            slips = [
                m.plain
                for m, w in zip(meant[at : mention.last], words[at:], strict=False)
                if m.plain != w.plain
            ]
            found.append(replace(mention, slip=" ".join(slips) or None))
            at = mention.last
        return found

    # ------------------------------------------------------------ filling

    def _add(self, thing: Thing, name: str) -> None:
        is_a = self.view.vocabulary.is_a
        if is_a(thing.kinds, "Claim") or is_a(thing.kinds, "Sentence") or is_a(thing.kinds, "Answer"):
            return
        self._put(self._exact, name, thing.slug)
        if is_a(thing.kinds, "Source"):
            self._add_source(thing, name)
        elif is_a(thing.kinds, "Person"):
            self._add_person(thing, name)
        elif is_a(thing.kinds, "Actor"):
            self._add_firm(thing, name)
        elif is_a(thing.kinds, "Event") or is_a(thing.kinds, "Mould"):
            self._put(self._exact, name.split(",")[0], thing.slug)
        if is_a(thing.kinds, "Registration"):
            years = frozenset(_YEAR.findall(name)) | self._years(thing.slug)
            for number in re.findall(r"\d[\d ,.]*\d|\d", _YEAR.sub(" ", name)):
                self._numbers[re.sub(r"\D", "", number)].append((thing.slug, years))

    def _years(self, slug: str) -> frozenset[str]:
        dated = (
            c.value[:4]
            for c in self.view.by_subject.get(slug, ())
            if c.property in {"filedOn", "registeredOn"}
        )
        return frozenset(year for year in dated if year.isdigit())

    def _add_person(self, thing: Thing, name: str) -> None:
        head = name.split(",")[0]
        self._put(self._exact, head, thing.slug)
        parts = [word.text for word in words_of(head) if word.is_word]
        if len(parts) < 2 or not parts[-1][0].isupper():
            return
        surname, given = parts[-1], parts[:-1]
        maiden = re.search(r",\s*(?:née?|geb\.?|geborene|born)\s+(\S+)", name)
        if maiden:
            self._put(self._exact, " ".join([*given, maiden[1]]), thing.slug)
        self._put(self._exact, f"{surname}, {' '.join(given)}", thing.slug)
        self._put(self._exact, " ".join([*(part[0] for part in given), surname]), thing.slug)
        self._put(self._exact, " ".join([given[0], surname]), thing.slug)
        self._put(self._loose, surname, thing.slug)

    def _add_firm(self, thing: Thing, name: str) -> None:
        head, *rest = (part.strip() for part in name.split(","))
        self._put(self._exact, head, thing.slug)
        for part in rest:
            if part[:1].isupper():
                self._put(self._exact, part, thing.slug)
        tokens = [word for word in words_of(head) if word.is_word or word.text == "&"]
        widowed = [word for word in tokens if word.plain in self.words.widow]
        if widowed and len(tokens) == 2:
            name_of = next(word for word in tokens if word not in widowed)
            for title in self.words.widow:
                self._put(self._exact, f"{title} {name_of.text}", thing.slug)
                self._put(self._exact, f"{name_of.text} {title}", thing.slug)
        bare = [word.text for word in tokens if word.plain not in self.words.family]
        if len(bare) < len(tokens) and len(bare) >= 3:
            self._put(self._exact, " ".join(bare), thing.slug)

    def _add_source(self, thing: Thing, name: str) -> None:
        quoted = _QUOTED.search(name)
        bare = re.sub(r"[\s,]*(\(.*|\d{4})$", "", name)
        titles = [quoted[1]] if quoted else [bare, re.sub(r"^[^,]{2,30}, ", "", bare)]
        for title in titles:
            if len(words_of(title)) >= 2:
                self._put(self._exact, title, thing.slug)

    def _add_author(self, source: str, author: str) -> None:
        label, name = self.view.label(source), self.view.label(author).split(",")[0]
        years = set(_YEAR.findall(label))
        surname = words_of(name)[-1].text if words_of(name) else ""
        for year in years:
            self._put(self._loose, f"{surname} {year}", source)

    def _number(self, slug: str, value: str) -> None:
        digits = re.sub(r"\D", "", value)
        key = (
            digits
            if value.strip().isdigit() or len(digits) > 2
            else "".join(w.plain for w in words_of(value))
        )
        self._numbers[key].append((slug, self._years(slug)))

    def _put(self, where: dict[tuple[str, ...], set[str]], name: str, slug: str) -> None:
        key = tuple(self._spelt(word) for word in words_of(name) if word.plain not in _PASSED_OVER)
        if not key or (len(key) == 1 and len(key[0]) < 3):
            return
        where[key].add(slug)
        if self.view.vocabulary.is_a(self.view.kinds(slug), "Actor"):
            self._capitals.update(word for word in key if len(word) >= SHORTEST_SLIP)
        self._longest[key[0]] = max(self._longest.get(key[0], 0), len(key))

    def _spelt(self, word: Word) -> str:
        if word.text == "&" or word.plain in self.words.conjunctions:
            return _AND
        return word.plain

    # ------------------------------------------------------------ finding

    def _longest_at(self, words: tuple[Word, ...], at: int) -> Mention | None:
        best: Mention | None = None
        for first in self._spellings(words, at):
            longest = self._longest.get(first)
            if longest is None:
                continue
            for key, last in self._keys(words, at, first, longest):
                exact, loose = self._exact.get(key, ()), self._loose.get(key, ())
                is_longer = best is None or last > best.last
                if is_longer and (exact or loose) and self._may_be_a_name(words, at, last, exact or loose):
                    best = Mention(at, last, tuple(sorted(exact)), tuple(sorted(set(loose) - set(exact))))
        return best

    def _keys(
        self, words: tuple[Word, ...], at: int, first: str, longest: int
    ) -> Iterator[tuple[tuple[str, ...], int]]:
        """The keys that the words from a place spell, with the place after each; the last word may be a genitive."""
        so_far: tuple[str, ...] = (first,)
        yield so_far, at + 1
        place = at + 1
        while len(so_far) < longest and place < len(words):
            if words[place].plain in _PASSED_OVER:
                place += 1
                continue
            for spelt in self._spellings(words, place)[1:]:
                yield (*so_far, spelt), place + 1
            so_far = (*so_far, self._spelt(words[place]))
            place += 1
            yield so_far, place

    def _spellings(self, words: tuple[Word, ...], at: int) -> list[str]:
        """How a word may be meant: as it stands, or a genitive without its s."""
        word = words[at]
        spelt = [self._spelt(word)]
        if word.is_word and len(word.plain) > 4 and word.plain.endswith("s"):
            spelt.append(word.plain[:-1])
        return spelt

    def _may_be_a_name(self, words: tuple[Word, ...], at: int, last: int, slugs: Iterable[str]) -> bool:
        """Whether words that spell a name are one: of a person, firm or place they begin with a capital."""
        is_a, kinds = self.view.vocabulary.is_a, self.view.kinds
        if all(
            is_a(kinds(slug), "Actor") or is_a(kinds(slug), "Place") or is_a(kinds(slug), "Model")
            for slug in slugs
        ):
            return any(word.is_capital for word in words[at:last])
        return True

    def _corrected(self, words: tuple[Word, ...]) -> tuple[Word, ...]:
        """The words with one wrong letter put right where a word is one slip away from a name, and from one only."""
        return tuple(replace(word, plain=self._meant(word)) for word in words)

    def _meant(self, word: Word) -> str:
        named = self._name_words
        spelt = word.plain
        if not word.is_capital or len(spelt) < SHORTEST_SLIP or spelt in self.words.known:
            return spelt
        if spelt in named or spelt.removesuffix("s") in named:
            return spelt
        near = {name for key in (spelt, *_deleted(spelt)) for name in self._near.get(key, ())}
        near = {name for name in near if _is_one_slip(name, spelt)}
        return near.pop() if len(near) == 1 else spelt

    @cached_property
    def _name_words(self) -> frozenset[str]:
        """The longer words of names that begin with a capital: what a slip is looked for in."""
        return frozenset(
            word for key in (*self._exact, *self._loose) for word in key if len(word) >= SHORTEST_SLIP
        )

    @cached_property
    def _near(self) -> Mapping[str, set[str]]:
        near: dict[str, set[str]] = defaultdict(set)
        for name in self._capitals:
            for key in (name, *_deleted(name)):
                near[key].add(name)
        return near

    def _numbered(self, words: tuple[Word, ...], at: int) -> Mention | None:
        """A registration or mould called by its number: "no. 41 of 1877", "mould 108", "D.R.G.M. 17 310"."""
        word = words[at]
        if not word.text[0].isdigit():
            return self._lettered(words, at)
        digits = re.sub(r"\D", "", word.text)
        known = self._numbers.get(digits, [])
        if not known:
            return None
        before = [w.plain for w in words[max(0, at - 4) : at] if w.plain not in _PASSED_OVER]
        is_a = self.view.vocabulary.is_a
        year = self._year_after(words, at + 1)
        first, last = at, at + 1
        if set(before[-3:]) & self.words.mould:
            slugs = {slug for slug, _ in known if is_a(self.view.kinds(slug), "Mould")}
        elif year is not None:
            slugs = {slug for slug, years in known if year[0] in years}
            last = year[1]
        elif (before and set(before[-3:]) & self.words.number) or len(digits) >= 5:
            slugs = {slug for slug, _ in known if is_a(self.view.kinds(slug), "Registration")}
        else:
            return None
        return Mention(first, last, (), tuple(sorted(slugs))) if slugs else None

    def _lettered(self, words: tuple[Word, ...], at: int) -> Mention | None:
        """A mould called by a letter, or by a letter and a number: "mould K", "Form R 9"."""
        if at == 0 or words[at - 1].plain not in self.words.mould or len(words[at].plain) > 3:
            return None
        for last in (at + 2, at + 1):
            known = self._numbers.get("".join(word.plain for word in words[at:last]), [])
            slugs = {slug for slug, _ in known if self.view.vocabulary.is_a(self.view.kinds(slug), "Mould")}
            if slugs:
                return Mention(at, last, (), tuple(sorted(slugs)))
        return None

    def _year_after(self, words: tuple[Word, ...], at: int) -> tuple[str, int] | None:
        for place in (at, at + 1):
            is_joined = place == at or words[at].plain in self.words.of
            if place < len(words) and is_joined and _YEAR.fullmatch(words[place].text):
                return words[place].text, place + 1
        return None


def _deleted(name: str) -> set[str]:
    return {name[:at] + name[at + 1 :] for at in range(len(name))}


@lru_cache(maxsize=4096)
def _is_one_slip(one: str, other: str) -> bool:
    """Whether two words differ by one letter changed, added, lost, or by two neighbours swapped."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    rest_one, rest_other = one[start:], other[start:]
    if len(one) == len(other):
        swapped = rest_one[:2] == rest_other[:2][::-1] and rest_one[2:] == rest_other[2:]
        return rest_one[1:] == rest_other[1:] or swapped
    longer, shorter = (rest_one, rest_other) if len(one) > len(other) else (rest_other, rest_one)
    return longer[1:] == shorter
