"""The words and figures of a catalogue phrase, each with what it may mean and where it stands."""

from __future__ import annotations

import csv
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from kg.dates.periods import period_names
from kg.resources import resource


@dataclass(slots=True)
class Token:
    """One word, figure or sign of a phrase; ``roles`` is what the tables say of it."""

    kind: str  # "number", "ordinal", "decade", "known", "word" or "sign"
    text: str
    start: int
    end: int
    number: int = 0
    roles: dict[str, str] | None = None
    language: str = ""

    def has(self, role: str) -> bool:
        """Whether the tables give this word a role."""
        return self.roles is not None and role in self.roles


class _Folding(dict[int, str]):
    """Each character in lower case and without its accent, always as one character."""

    _ALIKE: ClassVar[dict[str, str]] = {
        "’": "'",
        "‘": "'",
        "`": "'",
        "´": "'",
        "ʼ": "'",
        "×": "x",
        "ø": "o",
        "œ": "o",
        "æ": "a",
        "{": "(",
    }
    _ALIKE |= dict.fromkeys("“”„«»", '"')
    _ALIKE |= dict.fromkeys("‐‑‒–—―−﹘－", "-")

    def __missing__(self, code: int) -> str:
        char = chr(code)
        plain = self._ALIKE.get(char) or unicodedata.normalize("NFKD", char)[:1].lower()
        self[code] = value = plain if len(plain) == 1 else char
        return value


_FOLDING = _Folding()
_RAW = re.compile(
    r"(?P<decade>[0-9]{2,4}'?(?:ies|s|ern|er)(?![a-z]))|(?P<ordinal>[0-9]{1,2}(?:st|nd|rd|th|ieme|eme|ere|er|re|nde|e|ter|tes|ten|te)(?=c(?![a-z])|[^a-z]|$))"
    r"|(?P<number>[0-9]+)|(?P<word>[a-zß]+)|(?P<sign>[^ ])"
)
_FIGURES = re.compile("[0-9]+")
_ROMAN = re.compile(r"(?P<figure>X{0,2}(?:IX|IV|V?I{0,3}))(?P<ending>e|eme|ème|ième|er|th)?\Z")
_ROMAN_SMALL = re.compile(r"(?P<figure>x{0,2}(?:ix|iv|v?i{0,3}))(?P<ending>e|eme|ieme)\Z")
_VALUES = {"I": 1, "V": 5, "X": 10}


def folded(text: str) -> str:
    """A text in lower case, without accents, of the same length."""
    return text.translate(_FOLDING)


def tokens_of(text: str) -> list[Token]:
    """The tokens of a phrase, the longest entry of the tables first."""
    raw = [(m.lastgroup or "sign", m[0], m.start(), m.end()) for m in _RAW.finditer(folded(text))]
    tokens: list[Token] = []
    table = _table()
    index = 0
    while index < len(raw):
        kind, word, start, end = raw[index]
        if (
            word == "c"
            and index + 1 < len(raw)
            and (century := _numbered_century(raw[index + 1], start, text))
        ):
            tokens += century
            index += 2
            continue
        entries = table.get(word)
        entry = _longest(entries, raw, index) if entries else None
        if entry is None and kind == "word" and (halves := _early_or_late_period(word, start, table)):
            tokens += halves
            index += 1
            continue
        if entry is None:
            tokens.append(_plain(kind, word, start, end, text))
            index += 1
            continue
        index += 1 + len(entry.rest)
        end = raw[index - 1][3]
        roles, language = entry.roles, entry.language
        if entry.spellings:
            roles, language = entry.spellings.get(text[start:end].lower(), (roles, language))
        tokens.append(Token("known", "" if entry.rest else word, start, end, 0, roles, language))
        index = _past_a_dot(raw, index)
    return tokens


def _numbered_century(raw: tuple[str, str, int, int], start: int, text: str) -> list[Token]:
    """The number and the century of "C19" and "C19th", as British museums print it."""
    kind, word, begin, end = raw
    if begin != start + 1 or kind not in {"number", "ordinal"} or text[start] != "C":
        return []
    figures = _FIGURES.match(word)
    number = int(figures[0]) if figures else 0
    if not 11 <= number <= 21 or not text[begin : begin + 2].isdigit():
        return []
    known = Token("known", "", end, end, 0, {"century": ""}, "en")
    return [Token("ordinal", word, start, end, number), known]


def _early_or_late_period(word: str, start: int, table: dict[str, list[_Entry]]) -> list[Token]:
    """The two words of "Spätbiedermeier": a part, and a period of the list."""
    for part in ("fruh", "spat"):
        rest = word.removeprefix(part)
        if rest == word:
            continue
        for entry in table.get(rest, ()):
            if not entry.rest and "period" in entry.roles:
                cut = start + len(part)
                first = Token("known", part, start, cut, 0, table[part][-1].roles, "de")
                return [first, Token("known", rest, cut, start + len(word), 0, entry.roles, "de")]
    return []


def _longest(entries: list[_Entry], raw: list[tuple[str, str, int, int]], index: int) -> _Entry | None:
    for entry in entries:
        rest = entry.rest
        if not rest or tuple([r[1] for r in raw[index + 1 : index + 1 + len(rest)]]) == rest:
            return entry
    return None


def _past_a_dot(raw: list[tuple[str, str, int, int]], index: int) -> int:
    """Skip the full stop of an abbreviation, which follows its word without a space."""
    if (
        index < len(raw)
        and raw[index][1] == "."
        and raw[index][2] == raw[index - 1][3]
        and raw[index - 1][1] != "."
    ):
        return index + 1
    return index


def _plain(kind: str, word: str, start: int, end: int, text: str) -> Token:
    if kind == "number":
        return Token(kind, word, start, end, int(word) if len(word) < 9 else 10**9)
    if kind in {"decade", "ordinal"}:
        figures = _FIGURES.match(word)
        number = int(figures[0]) if figures else 0
        if kind == "decade" and number % 10:
            # "1er" and "21er" are ordinals; "1878s" is a slip of the pen that we do not mend.
            kind = "ordinal" if word.endswith("er") and number < 100 else "word"
        return Token(kind, word, start, end, number)
    if kind == "word":
        number = _roman(text[start:end])
        return Token("ordinal" if number else "word", word, start, end, number)
    return Token(kind, word, start, end)


@lru_cache(maxsize=4096)
def _roman(word: str) -> int:
    """The value of a Roman numeral up to 29, in capitals or with a French ending; 0 if it is none."""
    match = _ROMAN.match(word) or _ROMAN_SMALL.match(word)
    if match is None or not match["figure"]:
        return 0
    values = [_VALUES[c] for c in match["figure"].upper()]
    return sum(-v if v < after else v for v, after in zip(values, [*values[1:], 0], strict=True))


@dataclass(frozen=True, slots=True)
class _Entry:
    """What may follow the first word of a known phrase, and what the phrase means.

    Phrases that differ by an accent only ("des" and "dès") share an entry; ``spellings`` tells them apart.
    """

    rest: tuple[str, ...]
    roles: dict[str, str]
    language: str
    spellings: dict[str, tuple[dict[str, str], str]]


@lru_cache(maxsize=1)
def _table() -> dict[str, list[_Entry]]:
    """Every known phrase, under its first word, the longest first."""
    spellings: dict[tuple[str, ...], dict[str, tuple[dict[str, str], str]]] = {}
    for phrase, role, value, language in _known_phrases():
        key = tuple(m[0] for m in _RAW.finditer(folded(phrase)))
        roles, known_language = spellings.setdefault(key, {}).get(phrase.lower(), ({}, language))
        roles.setdefault(role, value)
        spellings[key][phrase.lower()] = (roles, language if known_language == language else "")
    table: dict[str, list[_Entry]] = {}
    for key in sorted(spellings, key=len, reverse=True):
        table.setdefault(key[0], []).append(_entry(key[1:], spellings[key]))
    return table


def _entry(rest: tuple[str, ...], spellings: dict[str, tuple[dict[str, str], str]]) -> _Entry:
    merged: dict[str, str] = {}
    for roles, _ in spellings.values():
        merged = {**roles, **merged}
    languages = {language for _, language in spellings.values()}
    return _Entry(
        rest, merged, languages.pop() if len(languages) == 1 else "", spellings if len(spellings) > 1 else {}
    )


def _known_phrases() -> list[tuple[str, str, str, str]]:
    with resource("sources/conventions/words.csv").open(encoding="utf-8", newline="") as file:
        rows = [(r["phrase"], r["role"], r["value"], r["language"]) for r in csv.DictReader(file)]
    return rows + [(name, "period", period, language) for name, period, language in period_names()]
