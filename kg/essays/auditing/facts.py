"""The facts that a sentence says: dates, measures, numbers, names, words in quotation marks, acts and materials."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kg.daybook.discretion import folded
from kg.essays.auditing.dates import SaidDate, said_dates
from kg.essays.auditing.hygiene import in_latin
from kg.essays.auditing.words import bare, pattern, values, words
from kg.essays.hedges import hedges
from kg.essays.house import MM_IN_AN_INCH

_QUARTERS = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875, "": 0.0}
_MEASURE = re.compile(
    r"(?<![\w.,])(?P<whole>\d+)?(?P<rest>[.,]\d+)?\s?(?P<part>[¼½¾⅛⅜⅝⅞]?)\s?(?P<unit>in\.|ins\.|inch(?:es)?|″|cm|mm|ft|(?:centi|milli)met(?:re|er)s?)(?!\w)",
    re.IGNORECASE,
)
_MM = {"in": MM_IN_AN_INCH, "ft": 12 * MM_IN_AN_INCH, "cm": 10.0, "mm": 1.0}
_QUOTE = re.compile(r"“([^”]{1,1000})”|\"([^\"]{1,1000})\"|„([^“”]{1,1000})[“”]|«([^»]{1,1000})»")
_NUMBER = re.compile(r"(?<![\w])\d+(?:[,.]\d{3})*(?!\w)|\d+")
_CAPITAL = re.compile(r"[^\W\d_][\w’'.&-]*")
_ROMAN = re.compile(r"[IVXLCDM]+\.?")
_MASK = "\x00"


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that a sentence says and a claim must hold, with its place in the sentence."""

    sort: str
    """date, measure, number, name, quotation, act or material."""
    first: int
    last: int
    words: str
    date: SaidDate | None = None
    number: int | None = None
    millimetres: float = 0.0
    tolerance: float = 0.0

    @property
    def is_hard(self) -> bool:
        """Whether it stays a fact where the writer gives an own judgement."""
        return self.sort in ("date", "measure", "number", "name", "quotation")


def masked(text: str, spans: Iterable[tuple[int, int]]) -> str:
    """A text in which some stretches are blotted out, of the same length."""
    parts, at = [], 0
    for first, last in sorted(spans):
        if last > at:
            parts += [text[at:first], _MASK * (last - max(first, at))]
            at = last
    return "".join((*parts, text[at:]))


def facts_of(
    text: str, name_words: frozenset[str], known: Iterable[str] = (), seen: re.Pattern[str] | None = None
) -> tuple[Fact, ...]:
    """The facts of a sentence in their order.

    ``name_words`` are words of names on record; ``known`` are names that may stand without a claim; ``seen`` finds
    materials and features on record.
    """
    found = [*_quotations(text)]
    rest = masked(text, [(f.first, f.last) for f in found])
    rest = masked(rest, known_names(rest, known))
    dates = [Fact("date", d.first, d.last, d.words, date=d) for d in said_dates(rest)]
    rest = masked(rest, [(f.first, f.last) for f in dates])
    measures = [*_measures(rest)]
    rest = masked(rest, [(f.first, f.last) for f in measures])
    numbers = [*_numbers(rest)]
    found += [*dates, *measures, *numbers, *_names(rest, name_words), *_acts(rest, seen)]
    return tuple(sorted(found, key=lambda fact: (fact.first, fact.last)))


def known_names(text: str, known: Iterable[str]) -> Iterator[tuple[int, int]]:
    """Where whole names stand in a text, the longest first, capitals and all."""
    taken: list[tuple[int, int]] = []
    for name in sorted({n.strip() for n in known if len(n.strip()) > 2}, key=len, reverse=True):
        at = text.find(name)
        while at >= 0:
            end = at + len(name)
            if not (text[at - 1 : at].isalnum() or text[end : end + 1].isalnum()) and not any(
                a < end and at < b for a, b in taken
            ):
                taken.append((at, end))
            at = text.find(name, end)
    yield from taken


def _quotations(text: str) -> Iterator[Fact]:
    for found in _QUOTE.finditer(text):
        inner = next(group for group in found.groups() if group is not None)
        if not _is_said_of_words(inner):
            yield Fact("quotation", found.start(), found.end(), inner)


def _is_said_of_words(inner: str) -> bool:
    """Whether the house quotes a hedge of its own, as in: the width of “about”."""
    own = {*words("date_qualifier"), *(row.text("").strip() for row in hedges())}
    return folded(inner) in {folded(word) for word in own}


def _measures(text: str) -> Iterator[Fact]:
    for found in _MEASURE.finditer(text):
        if not (found["whole"] or found["part"]):
            continue
        unit = found["unit"].casefold().rstrip(".").replace("inches", "in").replace("inch", "in")
        unit = {"ins": "in", "″": "in"}.get(unit, unit.replace("centi", "c").replace("milli", "m")[:2])
        size = int(found["whole"] or 0) + float(f"0.{found['rest'][1:]}" if found["rest"] else 0)
        size += _QUARTERS[found["part"]]
        step = 10.0 ** -(len(found["rest"]) - 1) if found["rest"] else 0.25 if found["part"] else 1.0
        millimetres = size * _MM[unit]
        # Half a step of what is printed, and a hair for figures that lie just between.
        tolerance = step * _MM[unit] / 2 + 0.01
        yield Fact(
            "measure", found.start(), found.end(), found[0].strip(), None, None, millimetres, tolerance
        )


def _numbers(text: str) -> Iterator[Fact]:
    for found in _NUMBER.finditer(text):
        yield Fact(
            "number", found.start(), found.end(), found[0], number=int(re.sub(r"\D", "", found[0])[:18])
        )
    worth = values("number_word")
    for found in pattern("number_word").finditer(text):
        yield Fact("number", found.start(), found.end(), found[0], number=int(worth[found[0].casefold()]))


def _acts(text: str, seen: re.Pattern[str] | None) -> Iterator[Fact]:
    for sort in ("act", "material"):
        for found in pattern(sort).finditer(text):
            yield Fact(sort, found.start(), found.end(), found[0])
    for found in seen.finditer(folded(text)) if seen is not None else ():
        at = max(0, text.casefold().find(found[0]))
        yield Fact("material", at, at, found[0])


def _names(text: str, name_words: frozenset[str]) -> Iterator[Fact]:
    """Capitalised words that no rule of spelling explains, neighbours together."""
    is_foreign = len(pattern("foreign").findall(text)) >= 2
    tokens = list(_CAPITAL.finditer(text))
    group: list[re.Match[str]] = []
    for number, token in enumerate(tokens):
        following = tokens[number + 1] if number + 1 < len(tokens) else None
        if _is_name(text, token, following, name_words, is_foreign=is_foreign):
            group.append(token)
            continue
        yield from _name(text, group)
        group = []
    yield from _name(text, group)


def _name(text: str, group: list[re.Match[str]]) -> Iterator[Fact]:
    """Each word of a name is a fact of its own, so that one wrong word is found."""
    for token in group:
        shown = token[0].rstrip(".’'&-")
        yield Fact("name", token.start(), token.start() + len(shown), shown)


def _is_name(
    text: str,
    token: re.Match[str],
    following: re.Match[str] | None,
    name_words: frozenset[str],
    *,
    is_foreign: bool,
) -> bool:
    word = token[0].rstrip(".’'&-")
    plain = bare(in_latin(word))
    if not word[:1].isupper() or len(word) < 2 or _ROMAN.fullmatch(word) or _is_no_name(word):
        return False
    if plain in name_words or plain.removesuffix("s") in name_words:
        return True
    if is_foreign:
        return False
    if not _begins(text, token.start()):
        return True
    if word.casefold() in words("begins") or following is None:
        return False
    between = text[token.end() : following.start()]
    goes_on = following[0][:1].isupper() and len(following[0]) > 1 and not _is_no_name(following[0])
    return between == " & " or (between == " " and goes_on)


def _is_no_name(word: str) -> bool:
    return word.rstrip(".") in words("not_a_name") or word.casefold() in {
        w.casefold() for w in words("remark")
    }


def _begins(text: str, at: int) -> bool:
    """Whether a word stands at the head of a sentence, or behind a colon, a dash or an opening mark."""
    before = text[max(0, at - 40) : at].rstrip(" \t")
    return not before or before[-1] in ":.!?…—–“‘\"'([" or not before.strip("“‘\"'([*")
