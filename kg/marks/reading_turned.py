"""Reading marks that stand mirrored or inverted, which people type as they look or as they read.

A mirrored mark is read as it was typed or in reverse order, whichever rules and tables read more of: so a mirrored
word is read as its original. Where neither says more, its numbers are read both ways. A number that no word
assigns is read both ways on an inverted mark too, if it is another number upside down (0, 1, 6, 8 and 9 can be);
a number behind a word that can be read stands as that word stands.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from kg.marks.glyphs import Element, Glyph
from kg.marks.numbers import RUN
from kg.marks.reading_numbers import number_tokens
from kg.marks.tokens import Plain, Token, sign_of
from kg.marks.transcription import Orientation

#: Digits that are digits upside down too.
UPSIDE_DOWN = {"0": "0", "1": "1", "6": "9", "8": "8", "9": "6"}
#: What tells that a text is read the right way round: wording that rules and tables know.
_TELLING = frozenset(
    [
        "legal wording",
        "country of origin",
        "company form",
        "place",
        "material",
        "registration diamond",
        "patent date",
        "registration date",
        "date",
    ]
)


def reversed_order(text: str) -> list[int]:
    """The places of a text with each line in reverse order."""
    order = [at for first, last in _lines(text) for at in (*range(last - 1, first - 1, -1), last)]
    return order[:-1]


def in_order(plain: Plain, order: Sequence[int], origin: Sequence[int]) -> Plain:
    """The text in another order, with the places where its characters stand in the whole."""
    return Plain(
        "".join(plain.text[at] for at in order),
        tuple(plain.elements[at] for at in order),
        origin=tuple(origin),
    )


def placed(token: Token, order: Sequence[int]) -> Token:
    """A token read in another order, at its places in the text as it was typed."""

    def span(start: int, end: int) -> tuple[int, int]:
        places = order[start : max(end, start + 1)]
        return min(places), max(places) + 1

    spans = [span(reading.start, reading.end) for reading in token.readings]
    readings = tuple(replace(r, start=s, end=e) for r, (s, e) in zip(token.readings, spans, strict=True))
    start, end = span(token.start, token.end)
    return replace(token, start=start, end=end, readings=readings)


def _lines(text: str) -> Iterator[tuple[int, int]]:
    start = 0
    for line in text.split("\n"):
        yield start, start + len(line)
        start += len(line) + 1


def worth(tokens: Sequence[Token]) -> int:
    """How many characters rules and tables read as words or as labelled numbers: the right way round has more."""
    told = [t for t in tokens if not t.readings[0].alternatives]
    sure = [t for t in told if t.readings[0].kind in _TELLING or _is_labelled(t)]
    return len({at for token in sure for at in range(token.start, token.end)})


def _is_labelled(token: Token) -> bool:
    first = token.readings[0]
    return first.series is not None and any(char.isalpha() for char in first.text)


def turned_numbers(plain: Plain, orientation: Orientation, known: Sequence[Token]) -> list[Token]:
    """The numbers of a mirrored or inverted mark that no word assigns, read the other way round."""
    turn = _mirrored if orientation == "mirrored" else _inverted
    other = _with_turned_runs(plain, turn)
    if other.text == plain.text:
        return []
    standing = {(t.start, t.end) for t in known if t.family == "number" and not _is_labelled(t)}
    covered = [t for t in known if (t.start, t.end) not in standing]
    found = number_tokens(
        other, [t for t in covered if any(c.isdigit() for c in plain.text[t.start : t.end])]
    )
    return [
        token for token in found if other.text[token.start : token.end] != plain.text[token.start : token.end]
    ]


def names_of(tokens: Sequence[Token]) -> list[Token]:
    """The tokens that are read as names or initials only."""
    return [t for t in tokens if {r.kind for r in t.readings} <= {"name", "initials", "size letter"}]


def with_questions(tokens: Sequence[Token], turned: Sequence[Token], orientation: Orientation) -> list[Token]:
    """The tokens with those turned beside them, each asking which way round it stands."""
    first = {_key(t): t.readings[0].text for t in tokens}
    other = {_key(t): t.readings[0].text for t in turned if first.get(_key(t)) != t.readings[0].text}

    def asking(token: Token) -> Token:
        key = _key(token)
        if key not in other or key not in first:
            return token
        question = (
            f"Which is it, {first[key]} or {other[key]}? The mark stands {orientation}: look at the piece."
        )
        return replace(token, readings=tuple(replace(r, question=question) for r in token.readings))

    return [asking(token) for token in (*tokens, *(t for t in turned if _key(t) in other))]


def _key(token: Token) -> tuple[int, int, str]:
    return token.start, token.end, token.family


def _with_turned_runs(plain: Plain, turn: Callable[[Sequence[Element]], tuple[Element, ...] | None]) -> Plain:
    text, elements = list(plain.text), list(plain.elements)
    for run in re.finditer(rf"{RUN.pattern}(?:[/-]{RUN.pattern})*", plain.text):
        turned = turn(plain.elements[run.start() : run.end()])
        if turned is not None and any(c.isdigit() for c in run[0]):
            elements[run.start() : run.end()] = turned
            text[run.start() : run.end()] = [sign_of(e) for e in turned]
    return Plain("".join(text), tuple(elements), origin=plain.origin)


def _mirrored(run: Sequence[Element]) -> tuple[Element, ...]:
    return tuple(reversed(run))


def _inverted(run: Sequence[Element]) -> tuple[Element, ...] | None:
    """The run upside down; None if one of its digits would be none."""
    found: list[Element] = []
    for element in reversed(run):
        if isinstance(element, Glyph) and element.char.isdigit():
            if element.char not in UPSIDE_DOWN:
                return None
            found.append(replace(element, char=UPSIDE_DOWN[element.char]))
        else:
            found.append(element)
    return tuple(found)
