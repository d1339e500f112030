"""The letters of a name: folded, so that case, accents and misread figures make no difference, and how far apart."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

#: Letters that have no accent to take off, and are written as others where a press lacks them.
_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "’": "'"}
)
#: Figures that stand for letters when a reader of print has them inside a word. Common practice, no source.
_FIGURES = {"0": "o", "1": "l", "5": "s", "8": "b"}
_FIGURE = re.compile(r"(?<=[^\W\d_])[0158]|[0158](?=[^\W\d_])")
#: A capital B amid small letters is a sharp s misread.
_SHARP_S = re.compile(r"(?<=[a-zà-öø-ÿ])B(?=[a-zà-öø-ÿ]|$)")
#: A vowel with two dots is written with an e where the press lacks it; "que" and diphthongs are not that.
_UMLAUT = re.compile(r"(?<![aeiouyq])([aou])e")
#: Letters that print and its readers confuse: rn and m, long s and f, vv and w, ii and u.
_CONFUSED = (("rn", "m"), ("vv", "w"), ("ii", "u"))
_LONG_S = re.compile(r"(?<=.)f(?=.)")
_WORD = re.compile(r"&|\+|[^\W_]+(?:[.'’\-]{1,2}[^\W_]+)*[.'’]?")


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a name as printed."""

    text: str

    @property
    def is_short(self) -> bool:
        """Whether it is written as an abbreviation: with a stop, an apostrophe inside, or as one letter."""
        return self.text.endswith(".") or "'" in self.text[1:-1] or len(self.text) == 1


def words_of(text: str) -> tuple[Word, ...]:
    """The words of a text, each with its own stop and apostrophe; & is a word.

    >>> [word.text for word in words_of("Wm. Tarn & Sons, Ltd.")]
    ['Wm.', 'Tarn', '&', 'Sons', 'Ltd.']
    """
    return tuple(Word(found.group()) for found in _WORD.finditer(unicodedata.normalize("NFKC", text)))


@lru_cache(maxsize=200_000)
def plain(text: str) -> str:
    """A text in small letters without accents, misread figures mended, words parted by one blank.

    >>> plain("Mönchmeier"), plain("0llerenshaw"), plain("Kannegießer")
    ('monchmeier', 'ollerenshaw', 'kannegiesser')
    """
    mended = _SHARP_S.sub("ss", unicodedata.normalize("NFKC", text))
    # Twice: what one pass makes of a letter may be the neighbour or the accent that the next looks for.
    for _ in range(3):
        mended = _FIGURE.sub(lambda found: _FIGURES[found.group()], mended)
        mended = mended.casefold().translate(_LETTERS)
        apart = unicodedata.normalize("NFKD", mended)
        mended = "".join(c for c in apart if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() or c == "'" else " " for c in mended).replace("'", "").split())


@lru_cache(maxsize=200_000)
def without_umlaut(letters: str) -> str:
    """Plain letters without an e that may stand for two dots.

    >>> without_umlaut("moenchmeier") == without_umlaut("monchmeier")
    True
    """
    return _UMLAUT.sub(r"\1", letters)


def key_of(word: str) -> str:
    """The letters of one word run together, as words with a role are looked up.

    >>> key_of("G.m.b.H."), key_of("A.-G."), key_of("&")
    ('gmbh', 'ag', '&')
    """
    return word if word in "&+" else plain(word).replace(" ", "")


@lru_cache(maxsize=200_000)
def skeleton(letters: str) -> str:
    """Plain letters with those made one that print confuses; a doubled letter stands once.

    >>> skeleton("thornbury") == skeleton("thombury"), skeleton("castagnet") == skeleton("caftagnet")
    (True, True)
    """
    for found, stands in _CONFUSED:
        letters = letters.replace(found, stands)
    return re.sub(r"(.)\1+", r"\1", _LONG_S.sub("s", letters))


@lru_cache(maxsize=400_000)
def distance(one: str, other: str) -> int:
    """The least number of letters put in, left out, changed, or swapped with their neighbour.

    The "optimal string alignment" distance, after Damerau (Communications of the ACM 7, 1964).

    >>> distance("pouzadoux", "puozadoux"), distance("tarn", "tarne"), distance("", "ab")
    (1, 1, 2)
    """
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        earlier, before, row = before, row, [i]
        for j, b in enumerate(other, start=1):
            best = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and b == one[i - 2]:
                best = min(best, earlier[j - 2] + 1)
            row.append(best)
    return row[-1]


def one_left_out(letters: str) -> Iterator[str]:
    """The letters themselves, and each way to leave one out.

    Two words that differ by one letter, or by two neighbours swapped, share one of these (the deletion neighbourhood:
    Bocek, Hunt and Stiller, "Fast Similarity Search in Large Dictionaries", University of Zurich, 2007).
    """
    yield letters
    for at in range(len(letters)):
        yield letters[:at] + letters[at + 1 :]
