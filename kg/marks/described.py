"""Words of a transcription that describe the mark and do not stand on the piece.

A registration diamond is written with the names of its corners, and some people begin with the technique without a
colon. Such words are no evidence that two marks are alike, so they are left out where marks are compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from kg.marks.glyphs import Element
from kg.marks.reading_diamond import ITEM, WORD
from kg.marks.tokens import sign_of
from kg.marks.transcription import head_words


def on_the_piece(elements: Sequence[Element]) -> tuple[tuple[int, Element], ...]:
    """The elements without the words that describe them, each with its place among all.

    >>> from kg.marks.transcription import parse_transcription
    >>> "".join(e.char for _, e in on_the_piece(parse_transcription("diamond, top X, right 7").elements))
    'X 7'
    """
    text = "".join(map(sign_of, elements))
    left_out = {at for start, end in _described(text) for at in range(start, end)}
    return tuple((at, element) for at, element in enumerate(elements) if at not in left_out)


def _described(text: str) -> Iterator[tuple[int, int]]:
    if technique := _technique().match(text):
        yield technique.span()
    for word in WORD.finditer(text):
        if word[0] == "◇":
            continue
        yield word.span()
        at = word.end()
        while item := ITEM.match(text, at):
            # A blank stays between two values, as on the piece they stand apart.
            is_first = at == word.end()
            yield (at, item.start("value")) if is_first else (at, item.start("value") - 1)
            at = item.end()


@lru_cache(maxsize=1)
def _technique() -> re.Pattern[str]:
    words = "|".join(word for word, role in head_words().items() if role == "technique")
    return re.compile(rf"(?:{words})\s+(?=\S)")
