"""The parts of a sentence that a proposal is made from: names, unknown names, dates and link words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_date
from kg.intake.passages.lexicon import Lexicon, Link
from kg.intake.passages.names import Mention, NameIndex
from kg.intake.passages.words import Word

#: The longest date in words and signs: "between 17 May 1872 and the beginning of the year 1874".
LONGEST_DATE = 14
#: What a date may begin with that says nothing of it.
_PLAIN = frozenset(
    {"in", "en", "im", "am", "on", "le", "la", "the", "an", "au", "den", "des", "dem", "du", "der", "l'"}
)
_OPENING, _CLOSING = frozenset("(["), frozenset(")]")
_STOPS = frozenset(";:")


@dataclass(frozen=True, slots=True)
class Dated:
    """A date in a sentence: its place, the words as printed and what they mean."""

    first: int
    last: int
    written: str
    edtf: str


@dataclass(frozen=True, slots=True)
class Trigger:
    """Link words where they stand, with what they may say."""

    first: int
    last: int
    link: Link


class Sentence:
    """A sentence taken apart."""

    def __init__(self, text: str, start: int, words: tuple[Word, ...], index: NameIndex) -> None:
        self.text, self.start, self.words = text, start, words
        self.lexicon: Lexicon = index.words
        known = index.mentions(words)
        self.language = self.lexicon.language_of(words)
        self.mentions = sorted([*_settled(known, words, self.lexicon, self.language)], key=lambda m: m.first)
        taken = {
            place
            for mention in self.mentions
            if mention.is_known
            for place in range(mention.first, mention.last)
        }
        self.triggers = [
            Trigger(first, last, link)
            for link in self.lexicon.links
            for first, last in link.spans(words)
            if first not in taken
        ]
        properties = index.view.vocabulary.properties
        self.dated_triggers = [
            t for t in self.triggers if t.link.property in properties and properties[t.link.property].is_date
        ]
        self._taken = taken

    def shown(self, first: int, last: int) -> str:
        """The words between two places as they are printed."""
        if first >= last:
            return ""
        return self.text[self.words[first].start : self.words[last - 1].end]

    def region_before(self, trigger: Trigger, *, for_date: bool = False) -> int:
        """Where the words that belong to a trigger begin on its left: after the link words before it, or a stop.

        For a date only link words that take a date themselves count.
        """
        before = self.dated_triggers if for_date else self.triggers
        first = max((t.last for t in before if t.last <= trigger.first), default=0)
        return self._after_stop(first, trigger.first)

    def region_after(self, trigger: Trigger, *, for_date: bool = False) -> int:
        """Where the words that belong to a trigger end on its right: before the next link words, or a stop."""
        after = self.dated_triggers if for_date else self.triggers
        last = min((t.first for t in after if t.first >= trigger.last), default=len(self.words))
        relatives = self.lexicon.single("relative")
        for place in range(trigger.last, last):
            sign = self.words[place].text
            if sign in _STOPS or (sign in _CLOSING and self._depth(trigger.first) > 0):
                return place
            if sign == "," and place + 1 < last and self.words[place + 1].plain in relatives:
                return place
        return last

    def _after_stop(self, first: int, last: int) -> int:
        depth = self._depth(last)
        for place in range(last - 1, first - 1, -1):
            sign = self.words[place].text
            if sign in _STOPS or (sign in _OPENING and depth > 0):
                return place + 1
        return first

    def _depth(self, place: int) -> int:
        signs = [word.text for word in self.words[:place]]
        return sum(sign in _OPENING for sign in signs) - sum(sign in _CLOSING for sign in signs)

    def dates(self, first: int, last: int) -> list[Dated]:
        """The dates between two places, each as long as it can be read; dates that are denied are left out."""
        found: list[Dated] = []
        at = first
        while at < last:
            dated = None if at in self._taken else self._date_at(at, last) or self._same_year(at, last)
            if dated is None:
                at += 1
                continue
            if self.lexicon.first_in("negation", self.words, max(at - 2, 0), at) is None:
                found.append(dated)
            at = dated.last
        return found

    def _same_year(self, first: int, last: int) -> Dated | None:
        """ "19 March of the same year": the day in the year that stands before it."""
        for end in range(min(last, first + 8), first + 2, -1):
            tail = self.lexicon.first_in("sameyear", self.words, first + 2, end)
            years = [word.text for word in self.words[:first] if len(word.text) == 4 and word.text.isdigit()]
            if tail is None or tail[1] != end or not years or not self.words[first].text[0].isdigit():
                continue
            edtf = _edtf(f"{self.shown(first, tail[0])} {years[-1]}")
            if edtf is not None:
                return Dated(first, end, self.shown(first, end), edtf)
        return None

    def _date_at(self, first: int, last: int) -> Dated | None:
        if self.words[first].plain in _PLAIN or not _may_begin(self.words[first]):
            return None
        for end in range(min(last, first + LONGEST_DATE), first, -1):
            if end - 1 in self._taken or any(place in self._taken for place in range(first, end)):
                continue
            stretch = self.words[first:end]
            if not any(word.text[0].isdigit() for word in stretch) and len(stretch) > 5:
                continue
            if not (stretch[-1].text[0].isalnum() or stretch[-1].text in ".?)~"):
                continue
            if stretch[-1].text == "." and len(stretch) > 1 and _edtf(self.shown(first, end - 1)) is not None:
                continue
            written = self.shown(first, end)
            edtf = _edtf(written)
            if edtf is not None:
                return Dated(first, end, written, edtf)
        return None

    def clause(self, trigger: Trigger) -> tuple[int, int]:
        """The clause of a trigger, from the stop before it to a few words behind it."""
        return self._after_stop(0, trigger.first), min(trigger.last + 3, self.region_after(trigger))


def _edtf(written: str) -> str | None:
    if not any(sign.isdigit() for sign in written) and len(written) < 8:
        return None
    try:
        return read_date(written).edtf
    except DateNotUnderstood:
        return None


def _may_begin(word: Word) -> bool:
    return word.text[0].isalnum() or word.text in "[~<>"


def _settled(
    known: list[Mention], words: Sequence[Word], lexicon: Lexicon, language: str
) -> Iterator[Mention]:
    """The names that stand, and the names that the daybook does not know.

    A surname with an unknown first name before it, or with a partner behind it, is somebody else.
    """
    taken = {place for mention in known for place in range(mention.first, mention.last)}
    for mention in known:
        whole = _whole_name(mention, words, lexicon, taken) if mention.last - mention.first == 1 else None
        yield mention if whole is None else Mention(*whole, ())
        taken.update(range(*whole) if whole else ())
    at = 0
    while at < len(words):
        if at in taken or not _is_unknown_name(words, at, lexicon):
            at += 1
            continue
        last = at + 1
        while last < len(words) and last not in taken and _is_unknown_name(words, last, lexicon):
            last += 1
        if last - at >= 2 or (at > 0 and language != "de"):
            yield Mention(at, last, ())
        at = last


def _is_unknown_name(words: Sequence[Word], at: int, lexicon: Lexicon) -> bool:
    word = words[at]
    return (
        word.is_word
        and word.is_capital
        and word.plain not in lexicon.known
        and len(word.text) > 1
        and not (at == 0 and word.plain in lexicon.common)
    )


def _whole_name(
    mention: Mention, words: Sequence[Word], lexicon: Lexicon, taken: set[int]
) -> tuple[int, int] | None:
    """The longer name that a surname is only a part of, where an unknown word before or behind it says so."""
    first, last = mention.first, mention.last
    while first > 0 and first - 1 not in taken and _is_unknown_name(words, first - 1, lexicon):
        first -= 1
    is_joined = last + 1 < len(words) and words[last].text == "&" and words[last + 1].is_capital
    if is_joined and last + 1 not in taken:
        last += 2
    elif last < len(words) and words[last].plain in lexicon.family and words[last].is_word:
        last += 1
    return (first, last) if (first, last) != (mention.first, mention.last) else None
