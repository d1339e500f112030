"""Reading numbers on a mark: those that a word assigns to a register, and those that stand alone."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kg.dates.window import day_of
from kg.marks.bounds import bound
from kg.marks.numbers import RUN, Digits, digits_at, register_reading, shown
from kg.marks.reading_dates import is_patented_before, is_said_to_be_a_year, year_reading
from kg.marks.registers import register, registers
from kg.marks.rules import Label, labels, own_number_words, words_before_years
from kg.marks.tokens import DIGIT, LOST, STRETCH, Plain, Reading, Token

#: What may stand between the words of a register and a number.
NUMBER_WORD = re.compile(
    rf"[\s.:,-]*(?:(?:numbers?|nos?|nrs?|n[°ºo]|№|#)[.:]*)?\s*(?P<design>d\s?-?\s?(?={DIGIT}))?(?={DIGIT})",
    re.IGNORECASE,
)
_OF_YEAR = re.compile(r"\s*(?:/|of)\s*(?:(?P<full>1[89]\d\d)|'?(?P<short>\d\d))(?!\d)")
_WORN_YEAR = re.compile(rf"\s*(?:[/{LOST}{STRETCH}]|[o{LOST}][f{LOST}])\s*{DIGIT}{{2}}", re.IGNORECASE)
_NEXT = re.compile(rf"\s*(?:,|;|&|\+|u\.|und|and|et)\s+(?={DIGIT})")
_FRACTION = re.compile(r"\s?[½¼¾]|/0+|\s?1/2")
_SIZE_BEHIND = re.compile(rf"\s?[/-]\s?({DIGIT}{{1,3}}|0)(?!{DIGIT})")
#: A word for "number" before digits that no register's word claims.
_NUMBERED = re.compile(
    r"(?<!\w)(?:n[°ºo]|no|nrs?|num(?:éro|ber|mer)|№|#)[.:]?\s?$|(?<!\w)n\.\s?[°ºo]\s?$", re.IGNORECASE
)
#: Mould numbers have at most so many digits, and register numbers are not looked for below this many.
MOULD_DIGITS, REGISTER_DIGITS = 5, 4


def labelled_tokens(plain: Plain, read: Sequence[Token]) -> Iterator[Token]:
    """Numbers behind words such as D.R.G.M. or Pat. No., in every register that the words allow."""
    taken = {at for token in read for at in range(token.start, token.end)}
    for label in labels():
        for hit in label.pattern.finditer(plain.text):
            behind = NUMBER_WORD.match(plain.text, hit.end())
            at = behind.end() if behind else None
            start = hit.start()
            while at is not None and at not in taken:
                token = _labelled(
                    plain, label, hit, at, is_design=bool(behind and behind["design"]), start=start
                )
                if token is None:
                    break
                yield token
                taken |= set(range(hit.start() if start == hit.start() else at, token.end))
                following = _NEXT.match(plain.text, token.end)
                at = start = following.end() if following else None  # type: ignore[assignment]  # None ends the loop


def _labelled(
    plain: Plain, label: Label, hit: re.Match[str], at: int, *, is_design: bool, start: int
) -> Token | None:
    found = digits_at(plain, at)
    if not found:
        return None
    # A word in front that could be missing too, such as U.S. before Pat. Des., need not be clear.
    is_clear = any(sure.end() == hit.end() for sure in label.pattern.finditer(plain.certain))
    series = ("US-D",) if is_design and "US" in label.series else label.series
    readings: list[Reading] = []
    for digits in found:
        for name in series:
            dated = _numbered_by_year(plain, digits, start) if name == "GB" else None
            reading = dated or register_reading(plain, register(name), digits, start, is_clear)
            # A number outside a register's table is no way to read it, unless a year behind it is only worn away.
            is_worn_year = name == "GB" and bool(_WORN_YEAR.match(plain.text, digits.end))
            if reading.bounds or len(series) == 1 or is_worn_year:
                readings.append(reading)
    if not label.is_sure:
        readings = [_not_for_sure(reading) for reading in readings]
    if len(found) > 1:
        parts = " or ".join(shown(digits) for digits in found)
        question = f"Is this one number or two: {parts}?"
        readings = [replace(reading, question=question) for reading in readings]
    readings += _not_of_the_label(plain, found[0], plain.text[hit.end() : at], at)
    end = max([d.end for d in found] + [r.end for r in readings])
    return Token(start, end, tuple(readings), "number")


def _not_for_sure(reading: Reading) -> Reading:
    """A reading whose words can mean another register as well."""
    bounds = tuple(b.at_most("usual", "the words may mean another register") for b in reading.bounds)
    said = f"{reading.sentence}; or of another register, such as one of trade marks"
    return replace(reading, bounds=bounds, sentence=said)


def _not_of_the_label(plain: Plain, digits: Digits, between: str, at: int) -> Iterator[Reading]:
    """The ways in which a number need not belong to the words before it: it is a year, or stands on another line."""
    year = year_reading(plain, digits)
    if year is not None and is_patented_before(plain, at) and not re.search(r"n", between, re.IGNORECASE):
        yield replace(year, kind="patent date", start=digits.start, end=digits.end)
    if "\n" in between and not re.search(r"n", between, re.IGNORECASE):
        yield from _own_numbers(plain, digits)


def _numbered_by_year(plain: Plain, digits: Digits, start: int) -> Reading | None:
    """A British patent before 1916, whose number began again each year and is quoted with it."""
    hit = _OF_YEAR.match(plain.text, digits.end)
    if hit is None or digits.highest is None or digits.highest > 100_000:
        return None
    if plain.has(digits.end, hit.end(), "unclear", "restored", "erased"):
        return None
    year = int(hit["full"]) if hit["full"] else int(hit["short"])
    if hit["short"]:
        # Two figures can only mean the years in which numbers were quoted so: 1852 to 1915.
        year += 1800 if year >= 52 else 1900
    if not 1852 <= year <= 1915:
        return None
    row = next(r for r in registers()["GB"].rows)
    made = bound(
        day_of(year),
        None,
        strength="hard",
        confidence="published",
        source=row.source,
        row="British patents before 1916",
        meaning=f"no. {shown(digits)} of {year}: the year of application",
    )
    text = plain.shown(start, hit.end())
    return Reading(
        "patent number",
        text,
        shown(digits),
        (made,),
        f"applied for in {year}",
        "GB",
        digits.lowest,
        digits.highest,
        start=start,
        end=hit.end(),
    )


def number_tokens(plain: Plain, read: Sequence[Token]) -> Iterator[Token]:
    """Numbers that no word assigns: mould, size, year, or one of a register that has such a number."""
    taken = {at for token in read for at in range(token.start, token.end)}
    for hit in RUN.finditer(plain.text):
        if hit.start() in taken or (
            hit.start() and (hit.start() - 1) in taken and plain.text[hit.start() - 1].isdigit()
        ):
            continue
        if not any(c.isdigit() for c in hit[0]):
            continue
        for digits in digits_at(plain, hit.start())[:1]:
            readings = list(_alone(plain, digits))
            end = max(reading.end for reading in readings)
            said = _said(plain, digits.start, taken)
            if said is not None and (named := [r for r in readings if r.kind == said[0]]):
                readings = named
            start = said[1] if said else _begin(plain, digits.start, taken)
            taken |= set(range(start, end))
            if start < digits.start:
                readings = [replace(r, text=plain.shown(start, r.end), start=start) for r in readings]
            yield Token(start, end, tuple(readings), "number")


def _said(plain: Plain, start: int, taken: set[int]) -> tuple[str, int] | None:
    """What a word before a number says that it is, and where that word begins."""
    for kind, pattern in own_number_words().items():
        word = pattern.search(plain.text[:start])
        if word and word.start() not in taken:
            return kind, word.start()
    return None


def _begin(plain: Plain, start: int, taken: set[int]) -> int:
    """Where a number begins with the word for "number" before it, if there is one."""
    word = _NUMBERED.search(plain.text[:start])
    return word.start() if word and word.start() not in taken else start


def _alone(plain: Plain, digits: Digits) -> Iterator[Reading]:
    year = year_reading(plain, digits)
    if year is not None and is_said_to_be_a_year(plain, digits.start):
        yield replace(year, start=digits.start, end=digits.end)
        return
    if year is not None and _is_likely_a_year(plain, digits.start):
        # The words before it speak of a year and of no register, so that only the maker's own numbers are left.
        yield replace(year, start=digits.start, end=digits.end)
        yield from _own_numbers(plain, digits)
        return
    yield from _own_numbers(plain, digits)
    if year is not None:
        yield replace(year, start=digits.start, end=digits.end)
    if digits.count >= REGISTER_DIGITS:
        for known in registers().values():
            reading = register_reading(plain, known, digits, digits.start, True)
            is_in_table = reading.registered is not None and reading.registered.last is not None
            if reading.bounds and is_in_table:
                yield replace(reading, sentence=f"{reading.sentence}; no word on the mark says so")


def _is_likely_a_year(plain: Plain, start: int) -> bool:
    return any(pattern.search(plain.text[:start]) for pattern in words_before_years())


def _own_numbers(plain: Plain, digits: Digits) -> Iterator[Reading]:
    """A maker's own numbers: mould and size; they date nothing until the maker's series is known."""
    start, end = digits.start, digits.end
    fraction = _FRACTION.match(plain.text, end)
    behind = None if fraction else _SIZE_BEHIND.match(plain.text, end)
    last = fraction.end() if fraction else behind.end() if behind else end
    text = plain.shown(start, last)
    behind_it = plain.shown(end, last)
    number = shown(digits) + (" 1/2" if behind_it == "1/2" else re.sub(r"\s", "", behind_it))
    if digits.count <= MOULD_DIGITS and not fraction:
        size = f" and size {plain.shown(*behind.span(1))}" if behind else ""
        said = f"mould number {shown(digits)}{size}; it gives no date until the maker's series is known"
        yield Reading("mould number", text, number, (), said, start=start, end=last)
    if digits.count <= 2 or fraction:
        said = "size number; sizes belong to one maker's own series"
        yield Reading("size number", text, number, (), said, start=start, end=last)
    if behind and digits.count <= 2 and not fraction:
        said = "or a price in shillings and pence"
        yield Reading("price", text, number, (), said, start=start, end=last)
    if digits.count > MOULD_DIGITS:
        said = "or another number of the maker, a shop or a museum"
        yield Reading("other number", text, number, (), said, start=start, end=last)
