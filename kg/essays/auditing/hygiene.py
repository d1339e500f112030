"""Letters of another script within a word, and marks of unfinished work."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.words import words

#: Letters that look like Latin ones. From memory of Unicode's table of confusables (UTS 39); the plain cases only.
_ALIKE = str.maketrans(
    "аеорсухіјѕԁһАВЕКМНОРСТУХІЈЅοιαρνυκΑΒΕΖΗΙΚΜΝΟΡΤΥΧ",
    "aeopcyxijsdhABEKMHOPCTYXIJSoiapvukABEZHIKMNOPTYX",
)
_WORD = re.compile(r"[^\W\d_]{2,}")
_SCRIPTS = ("LATIN", "CYRILLIC", "GREEK")


def in_latin(word: str) -> str:
    """A word with the letters that look like Latin ones made so."""
    return word.translate(_ALIKE)


def unclean(passage: Passage) -> Iterator[Finding]:
    """Words of two scripts, words in letters that only look Latin, and remarks to oneself."""
    for found in _WORD.finditer(passage.text):
        if not found[0].isascii() and _is_mixed(found[0]):
            odd = ", ".join(f"U+{ord(c):04X}" for c in dict.fromkeys(found[0]) if _script(c) != "LATIN")
            yield Finding(
                Kind.HYGIENE,
                passage.place(found.start()),
                found[0],
                f"“{found[0]}” holds letters that only look Latin ({odd}); no search finds it.",
                "Type the word again.",
            )
    for found in _REMARK.finditer(passage.text):
        yield Finding(
            Kind.HYGIENE,
            passage.place(found.start()),
            found[0],
            f"“{found[0]}” is a remark to yourself.",
            "Settle it, or take it out.",
        )


def _is_mixed(word: str) -> bool:
    scripts = {_script(c) for c in word} - {""}
    return len(scripts) > 1 or ("LATIN" not in scripts and bool(scripts) and in_latin(word).isascii())


def _script(letter: str) -> str:
    name = unicodedata.name(letter, "")
    return next((script for script in _SCRIPTS if name.startswith(script)), "")


def _remarks() -> re.Pattern[str]:
    """Plain words only as such: in capitals, in brackets, or with the question mark that they carry."""
    loud = [re.escape(w) for w in words("remark") if w.isupper() or not w[0].isalpha()]
    loud += [r"xxx", r"tbc", r"tbd"]
    asked = [re.escape(w) for w in words("remark") if w.endswith("?") and w[0].isalpha()]
    plain = [re.escape(w) for w in words("remark") if w.islower() and not w.endswith("?")]
    return re.compile(
        rf"(?<!\w)(?:{'|'.join(loud)})(?!\w)|(?<=[\[(])(?:{'|'.join([*asked, *plain])})(?=[\])])"
    )


_REMARK = _remarks()
