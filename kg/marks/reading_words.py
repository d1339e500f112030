"""Reading words on a mark: legal wording, company forms, places, materials, initials and names."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kg.marks.bounds import STRENGTHS, DatedBound
from kg.marks.glyphs import folded
from kg.marks.registers import registers
from kg.marks.rules import (
    LegalRule,
    cautions_for,
    company_words,
    labels,
    legal_rules,
    materials,
    places,
    street_words,
)
from kg.marks.tokens import LOST, STRETCH, Plain, Reading, Token

_WORD = re.compile(rf"[^\W\d_{LOST}{STRETCH}]?[^\s]*[^\W\d_][^\s]*")
_INITIALS = re.compile(r"(?:[^\W\d_]\.?[\s.&+-]*(?:u\.|und|et|and)?\s*){1,4}")
#: Nobody signs with more initials than these.
MOST_INITIALS = 4
_OR_ELSE = {
    "number": "a number of another kind",
    "initials": "somebody's initials",
    "country of origin": "the country alone, with an initial before it",
}


def legal_tokens(plain: Plain) -> Iterator[Token]:
    """Wording that a dated rule speaks of.

    Wording within other wording is not read again where the other says all that it says, at least as sharply.
    """
    found = [token for rule in legal_rules() for token in _wordings(plain, rule)]
    yield from (token for token in found if not any(_says_more(other, token) for other in found))


def _wordings(plain: Plain, rule: LegalRule) -> Iterator[Token]:
    for hit in rule.pattern.finditer(plain.text) if rule.pattern else ():
        if not hit[0].strip() or plain.is_torn(hit.start(), hit.end()):
            continue
        # Where dots stand between the letters, the last one belongs to the wording too.
        has_last_dot = "." in hit[0] and plain.text[hit.end() : hit.end() + 1] == "."
        start, end = hit.start(), hit.end() + has_last_dot
        readings = tuple(_legal_readings(plain, rule, start, end))
        countries = _countries(plain, start) if rule.is_of_a_number else set()
        if countries and rule.jurisdiction not in countries:
            continue
        if len(countries) > 1:
            why = f"only if the number is of the {rule.jurisdiction}"
            weakened = [tuple(b.at_most("weak", why) for b in r.bounds) for r in readings]
            readings = tuple(replace(r, bounds=b) for r, b in zip(readings, weakened, strict=True))
        yield Token(start, end, readings, f"wording {hit.re.pattern}")


def _countries(plain: Plain, start: int) -> set[str]:
    """The countries of whose registers the words at a place speak: those of the first label that stands there."""
    for label in labels():
        if any(hit.start() <= start < hit.end() for hit in label.pattern.finditer(plain.text)):
            return {registers()[series].country for series in label.series}
    return set()


def _says_more(longer: Token, token: Token) -> bool:
    """Whether a longer wording holds another one and bounds each side at least as tightly and as strongly."""
    if not (longer.start <= token.start and token.end <= longer.end and len(longer.readings) == 1):
        return False
    if (longer.start, longer.end) == (token.start, token.end) and _covers(token, longer):
        return False
    return _covers(longer, token)


def _covers(token: Token, other: Token) -> bool:
    mine = token.readings[0].bounds
    return all(any(_is_covered(b, by) for by in mine) for r in other.readings for b in r.bounds)


def _is_covered(bound: DatedBound, by: DatedBound) -> bool:
    if STRENGTHS.index(by.strength) > STRENGTHS.index(bound.strength):
        return False
    first = bound.earliest is None or (by.earliest is not None and by.earliest >= bound.earliest)
    return first and (bound.latest is None or (by.latest is not None and by.latest <= bound.latest))


def _legal_readings(plain: Plain, rule: LegalRule, start: int, end: int) -> Iterator[Reading]:
    bounds = rule.bounds
    if plain.has(start, end, "unclear", "restored", "erased"):
        bounds = tuple(b.at_most("usual", "not every letter is clear") for b in bounds)
    text = plain.shown(start, end)
    about = f"{rule.phrase}, {rule.jurisdiction}"
    about += f" ({rule.note})" if rule.note else ""
    yield Reading(rule.kind, text, None, bounds, about, start=start, end=end)
    letters = sum(char.isalpha() for char in text)
    if rule.or_else and (rule.or_else != "initials" or letters <= MOST_INITIALS):
        said = f"or {_OR_ELSE.get(rule.or_else, rule.or_else)}"
        yield Reading(rule.or_else, text, None, (), said, start=start, end=end)


def street_tokens(plain: Plain) -> Iterator[Token]:
    """House numbers with their streets."""
    for pattern, meaning in street_words():
        for hit in pattern.finditer(plain.text):
            if "\n" not in hit[0]:
                text = plain.shown(*hit.span())
                yield _token(plain, *hit.span(), Reading("address", text, None, (), meaning))


def material_tokens(plain: Plain) -> Iterator[Token]:
    """Names of materials and techniques, and words that call for a caution."""
    text_searched = folded(plain.text)
    for known in materials().values():
        for hit in re.finditer(known.pattern, text_searched):
            text = plain.shown(*hit.span())
            cautions = (*known.cautions, *(c for c in cautions_for(text) if c not in known.cautions))
            bounds = tuple(b.at_most("usual", "a word on a mark can be a trade name") for b in known.bounds)
            sentence = f"{known.name}: {known.event} {known.basis}".strip()
            reading = Reading("material", text, None, bounds, sentence, cautions=cautions)
            yield _token(plain, *hit.span(), reading)


def caution_tokens(plain: Plain, read: Sequence[Token]) -> Iterator[Token]:
    """Words of hazards and protected materials that no dated rule has read."""
    for caution in cautions_for(plain.text):
        for word in caution.words:
            for hit in re.finditer(rf"(?<!\w){re.escape(word)}(?!\w)", plain.text, re.IGNORECASE):
                if not any(t.start <= hit.start() < t.end and t.readings[0].kind == "material" for t in read):
                    text = plain.shown(*hit.span())
                    sentence = f"{caution}"
                    yield _token(
                        plain, *hit.span(), Reading("material", text, sentence=sentence, cautions=(caution,))
                    )


def company_tokens(plain: Plain) -> Iterator[Token]:
    """Words of firms that carry no date."""
    for pattern, meaning in company_words():
        for hit in pattern.finditer(plain.text):
            text = plain.shown(*hit.span())
            yield _token(plain, *hit.span(), Reading("company form", text, None, (), f"{meaning}"))


def place_tokens(plain: Plain) -> Iterator[Token]:
    """Places that the table knows."""
    for name, country in places().items():
        for hit in re.finditer(rf"(?<!\w){re.escape(name)}(?!\w)", plain.text, re.IGNORECASE):
            text = plain.shown(*hit.span())
            sentence = f"a place ({country}); it names where a firm was, not always where the piece was made"
            yield _token(plain, *hit.span(), Reading("place", text, None, (), sentence))


def name_tokens(plain: Plain, read: Sequence[Token]) -> Iterator[Token]:
    """What no rule has read: initials, names and other words, line by line."""
    covered = {at for token in read for at in range(token.start, token.end)}
    for stretch in _stretches(plain.text, covered):
        start, end = stretch
        text = plain.shown(start, end)
        letters = re.sub(r"[^\w]|\d|_", "", text)
        if not letters:
            if any(sign in plain.text[start:end] for sign in (LOST, STRETCH)):
                yield _token(plain, start, end, Reading("lost", text, None, (), "lost, and not guessed at"))
            elif text:
                yield _token(plain, start, end, Reading("sign", text, None, (), "a sign without a date"))
            continue
        is_initials = (
            _INITIALS.fullmatch(plain.text[start:end].strip())
            and letters.isupper()
            and len(letters) <= MOST_INITIALS
        )
        readings = [Reading("initials", text, None, (), "initials of a maker, artist or place")] * bool(
            is_initials
        )
        if not is_initials or (len(letters) > 1 and "." not in text and " " not in text):
            readings.append(Reading("name", text, None, (), "a name or a word that no table knows"))
        if len(letters) == 1:
            readings.append(Reading("size letter", text, None, (), "a letter of a size or a series"))
        yield _token(plain, start, end, *readings)


def _stretches(text: str, covered: set[int]) -> Iterator[tuple[int, int]]:
    """The parts of a line that are not covered, without the blanks around them."""
    start: int | None = None
    for at in range(len(text) + 1):
        is_free = at < len(text) and at not in covered and text[at] != "\n"
        if is_free and start is None:
            start = at
        elif not is_free and start is not None:
            first, last = start, at
            while first < last and (text[first].isspace() or text[first] in ".,;:"):
                first += 1
            while first < last and (text[last - 1].isspace() or text[last - 1] in ",;"):
                last -= 1
            if first < last:
                yield first, last
            start = None


def _token(plain: Plain, start: int, end: int, *readings: Reading) -> Token:
    return Token(start, end, tuple(replace(reading, start=start, end=end) for reading in readings))
