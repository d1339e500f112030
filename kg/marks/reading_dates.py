"""Reading dates, years and prices on a mark."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from kg.dates.window import day_of, month_length
from kg.marks.bounds import MONTH_NAMES, DatedBound, bound
from kg.marks.glyphs import Glyph
from kg.marks.numbers import Digits
from kg.marks.tokens import LOST, Plain, Reading, Token

_D = rf"[\d{LOST}]"
_DATES = (
    re.compile(
        rf"(?<![\w{LOST}])(?P<month>[^\W\d_]{{3,9}})(?:\.?\s+|\.?(?=\d))(?P<day>{_D}{{1,2}})(?:(?i:st|nd|rd|th|d))?\s*[.,]?\s*(?P<year>{_D}{{4}}|['’]\d\d)(?!{_D})"
    ),
    re.compile(
        rf"(?<!{_D})(?P<day>{_D}{{1,2}})(?:(?i:st|nd|rd|th|d)|\.)?\s*(?P<month>[^\W\d_]{{3,9}})\.?,?\s*(?P<year>{_D}{{4}})(?!{_D})"
    ),
    re.compile(rf"(?<!{_D})(?P<day>{_D}{{1,2}})\.\s?(?P<number>\d{{1,2}})\.\s?(?P<year>{_D}{{4}})(?!{_D})"),
)
#: The first letters of the months in English, German and French.
_MONTHS: Mapping[str, int] = {
    "jan": 1,
    "feb": 2,
    "fév": 2,
    "fev": 2,
    "mar": 3,
    "mär": 3,
    "mae": 3,
    "apr": 4,
    "avr": 4,
    "may": 5,
    "mai": 5,
    "jun": 6,
    "juin": 6,
    "jul": 7,
    "juil": 7,
    "aug": 8,
    "aoû": 8,
    "aou": 8,
    "sep": 9,
    "oct": 10,
    "okt": 10,
    "nov": 11,
    "dec": 12,
    "dez": 12,
    "déc": 12,
}
_PATENTED = re.compile(
    rf"(?<![\w{LOST}])pat(?:'?d|ented|ents?)?\.?(?:\s*(?:in|on|the|u\.?\s?s\.?(?:\s?a\.?)?)(?![a-z]),?)*[^\w{LOST}]{{0,4}}$",
    re.IGNORECASE,
)
_REGISTERED = re.compile(
    rf"(?<![\w{LOST}])(?:diamond\s+of|regist(?:ered|\.)|rd\.?)[^\w{LOST}]{{0,3}}$", re.IGNORECASE
)
_COPYRIGHT = re.compile(r"(?:©|cop(?:y)?r(?:ight)?\.?|anno)\W{0,3}$", re.IGNORECASE)
_SUM = rf"{_D}+(?:[.,](?:{_D}{{2}}(?!{_D})|[-–—]+))?"
_PENCE = rf"{_D}{{1,2}}(?:\s?[½¼¾])?"
#: Sums of money, the longer forms first; ``f``, ``m``, ``s`` and ``d`` may be letters of a size as well.
_PRICE = re.compile(
    rf"£\s*{_D}+(?:[./-]{_D}{{1,2}}){{2}}(?!{_D})"  # pounds, shillings and pence: £1.1.0
    rf"|£\s*{_D}+\s+{_D}{{1,2}}s\b\.?(?:\s*{_PENCE}\s?d\b\.?)?"
    rf"|(?:[£$]|(?<![\w.])(?:m|mk|fr|frs|f|fl|kr)\b\.?)\s*{_SUM}(?!{_D})"
    rf"|(?<![\w/.]){_D}+\s?(?:s|sh)\b\.?\s*{_PENCE}\s?d\b\.?"  # 7s. 6d.
    rf"|(?<![\w/.]){_D}+\s?(?:mk|m|marks?|fr|frs|francs?|f|fl)\b\.?\s*{_D}{{2}}(?!{_D})(?:\s?(?:pf|c|cts?|cent\w*)\b\.?)?"
    rf"|(?<![\w/.]){_SUM}\s?(?:mk|frs?|fl|kr|sh|gns?|guineas?|cts?|cents?|centimes?|sous?|pf|pfg|francs?|marks?"
    rf"|shillings?|pence|dollars?|f|m|s|d|c)\b(?!\.?\w)\.?|(?<![\w/.]){_SUM}\s?[¢$£]"
    rf"|(?<![\w/.,]){_D}{{1,3}}[.,]{_D}{{2}}(?![\w{LOST}/.,])"  # a sum without its currency
    rf"|(?<![\w/]){_D}{{1,3}}/(?:[-–—]|{_D}{{1,2}}\s?[½¼¾])",  # 5/- and 1/11½
    re.IGNORECASE,
)
_MEASURE = re.compile(
    rf"(?<![\w/.,]){_D}{{1,3}}(?:[.,]{_D}|\s?[½¼¾]|\s1/[24])?\s?(?:(?:cm|mm|ins?|inch(?:es)?|zoll|pouces?)\b(?!\s\w)\.?|[\"″])",
    re.IGNORECASE,
)
#: Years that a mark on a doll or its costume can name.
YEARS = (1700, 1999)


def date_tokens(plain: Plain) -> Iterator[Token]:
    """Days in full: a patent's date of grant, a date of registration, or a date without a word before it."""
    seen: set[int] = set()
    for pattern in _DATES:
        for hit in pattern.finditer(plain.text):
            token = _date_token(plain, hit)
            if token is not None and not seen & set(range(token.start, token.end)):
                seen |= set(range(token.start, token.end))
                yield token


def _date_token(plain: Plain, hit: re.Match[str]) -> Token | None:
    groups = hit.groupdict()
    month = int(groups["number"]) if groups.get("number") is not None else _month(groups["month"])
    if month is None or not 1 <= month <= 12:
        return None
    kind, strength, meaning = _kind_of_date(plain.text[: hit.start()])
    year = _year(plain, *hit.span("year"), kind)
    day, last = reach(plain, *hit.span("day"))
    if year is None or last < 1 or not YEARS[0] <= year <= YEARS[1]:
        return None
    if max(day, 1) > month_length(year, month):
        return _impossible(plain, hit, month, year) if groups.get("month") is not None else None
    first = day_of(year, month, max(day, 1))
    certain = plain.certain
    is_sure = _kind_of_date(certain[: hit.start()])[0] == kind
    if groups.get("month") is not None:
        is_sure = is_sure and LOST not in certain[hit.start("month") : hit.end("month")]
    text = plain.shown(*hit.span())
    made = bound(
        first,
        None,
        strength="hard" if strength == "hard" and is_sure else "usual",
        confidence="as printed on the piece",
        source="the mark itself",
        row=text,
        meaning=meaning,
    )
    sentence = f"{meaning}"
    return Token(
        *hit.span(), (Reading(kind, text, None, (made,), sentence, start=hit.start(), end=hit.end()),)
    )


def _impossible(plain: Plain, hit: re.Match[str], month: int, year: int) -> Token:
    """A day that the calendar does not have: it is told, and bounds nothing."""
    text, most = plain.shown(*hit.span()), month_length(year, month)
    said = f"there is no such day: {MONTH_NAMES[month - 1]} {year} has {most}; it is not read otherwise"
    question = f"What does {text!r} say on the piece? {MONTH_NAMES[month - 1]} {year} has only {most} days."
    reading = Reading("date", text, None, (), said, question=question, start=hit.start(), end=hit.end())
    return Token(*hit.span(), (reading,))


def _year(plain: Plain, start: int, end: int, kind: str) -> int | None:
    """The lowest year that the figures allow; two figures are read only in a patent's date.

    Dates of grants stood on goods from 1842 to 1927 (Acts of 29 August 1842 and 7 February 1927), so that
    two figures from 42 on belong to the 19th century and those up to 27 to the 20th.
    """
    if end - start == 4:
        return reach(plain, start, end)[0]
    if kind != "patent date" or plain.has(start, end, "unclear", "restored", "erased"):
        return None
    short = int(plain.text[start + 1 : end])
    return 1800 + short if short >= 42 else 1900 + short if short <= 27 else None


def _kind_of_date(before: str) -> tuple[str, str, str]:
    if _PATENTED.search(before) or re.search(r"\d{4}\s*(?:[,;&]|and)?\s*$", before):
        return (
            "patent date",
            "hard",
            "the date of a grant (Act of 29 August 1842, s. 6); the piece is not older",
        )
    if _REGISTERED.search(before):
        return "registration date", "hard", "the date of a registration; the piece is not older"
    return "date", "usual", "a date on the piece, whose meaning the mark does not say"


def _month(word: str) -> int | None:
    lowered = word.casefold()
    return next((number for prefix, number in _MONTHS.items() if lowered.startswith(prefix)), None)


def reach(plain: Plain, start: int, end: int) -> tuple[int, int]:
    """The lowest and highest number that some digits allow, each doubtful one taken as 0 to 9."""
    low, high = "", ""
    for char, element in zip(plain.text[start:end], plain.elements[start:end], strict=True):
        is_clear = char.isdigit() and isinstance(element, Glyph) and element.state == "clear"
        low, high = low + (char if is_clear else "0"), high + (char if is_clear else "9")
    if low.startswith("0") and len(low) == 4:
        low = "1" + low[1:]
    return int(low), int(high)


def year_reading(plain: Plain, digits: Digits) -> Reading | None:
    """Four digits read as a year."""
    highest = digits.highest if digits.highest is not None else YEARS[1]
    if digits.count != 4 or digits.lowest > YEARS[1] or highest < YEARS[0]:
        return None
    first = max(digits.lowest, YEARS[0])
    meaning = "a year on the piece; it may be that of a patent, a design or a firm's foundation"
    text = plain.shown(digits.start, digits.end)
    made: DatedBound = bound(
        day_of(first),
        None,
        strength="usual",
        confidence="as printed on the piece",
        source="the mark itself",
        row=text,
        meaning=meaning,
    )
    return Reading("year", text, digits.pattern, (made,), f"{meaning}")


def is_said_to_be_a_year(plain: Plain, start: int) -> bool:
    """Whether the word before says that a year follows."""
    return bool(_COPYRIGHT.search(plain.text[:start]))


def is_patented_before(plain: Plain, start: int) -> bool:
    """Whether the word before says that a patent's date or number follows."""
    return bool(_PATENTED.search(plain.text[:start]))


def measure_tokens(plain: Plain) -> Iterator[Token]:
    """Heights and widths, by a unit of length."""
    for hit in _MEASURE.finditer(plain.text):
        text = plain.shown(*hit.span())
        said = "a measure of the piece or of a part"
        yield Token(
            *hit.span(), (Reading("measure", text, None, (), said, start=hit.start(), end=hit.end()),)
        )


def price_tokens(plain: Plain) -> Iterator[Token]:
    """Sums of money, by a currency's sign or word."""
    for hit in _PRICE.finditer(plain.text):
        text = plain.shown(*hit.span())
        sentence = "a price; it belongs to a sale, not to the making"
        readings = [Reading("price", text, None, (), sentence, start=hit.start(), end=hit.end())]
        if re.fullmatch(r"[A-Za-z][.\s]*\d+|\d+\s?[A-Za-z]", text):
            other = "or a number with a letter of a size or series"
            readings.append(Reading("size number", text, None, (), other, start=hit.start(), end=hit.end()))
        if re.fullmatch(r"[^A-Za-z£$¢/]+", text):
            other = "or a number with a dot or comma in it"
            readings.append(Reading("other number", text, None, (), other, start=hit.start(), end=hit.end()))
        yield Token(*hit.span(), tuple(readings))
