"""The single dates of EDTF: everything that may stand at one end of an interval or in a set."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from kg.dates.errors import DateNotUnderstood
from kg.dates.window import Window, day_of, month_length

Qualifier = Literal["uncertain", "approximate", "both"]

#: Years farther away are refused: no source of ours speaks of them, and a huge exponent would never end.
FARTHEST_YEAR = 10**12

#: First and last month of the groups of months 21 to 41, as (years later, month). EDTF gives seasons no
#: bounds. Those without a hemisphere are taken as northern, in whole months (meteorological seasons).
#: "Winter 1916" may open the year or close it, so it takes in both winters that touch it.
SUB_YEARS: dict[int, tuple[tuple[int, int], tuple[int, int]]] = {
    21: ((0, 3), (0, 5)),
    22: ((0, 6), (0, 8)),
    23: ((0, 9), (0, 11)),
    24: ((0, 1), (1, 2)),
    25: ((0, 3), (0, 5)),
    26: ((0, 6), (0, 8)),
    27: ((0, 9), (0, 11)),
    28: ((0, 1), (1, 2)),
    29: ((0, 9), (0, 11)),
    30: ((0, 1), (1, 2)),
    31: ((0, 3), (0, 5)),
    32: ((0, 6), (0, 8)),
    **{33 + n: ((0, 3 * n + 1), (0, 3 * n + 3)) for n in range(4)},
    **{37 + n: ((0, 4 * n + 1), (0, 4 * n + 4)) for n in range(3)},
    **{40 + n: ((0, 6 * n + 1), (0, 6 * n + 6)) for n in range(2)},
}

_MEANING: dict[str, Qualifier] = {"?": "uncertain", "~": "approximate", "%": "both"}
_UNKNOWN = Window()
_DATE = re.compile(
    r"([?~%]?)(-?)([0-9X]{4})([?~%]?)"
    r"(?:-([?~%]?)([0-9X]{2})([?~%]?)(?:-([?~%]?)([0-9X]{2})([?~%]?))?)?"
    r"(T([0-9]{2}):([0-9]{2}):([0-9]{2})(Z|[+-][0-9]{2}(?::?[0-9]{2})?)?)?\Z"
)
_LONG_YEAR = re.compile(r"(?:Y(-?[0-9]+)(?:E([0-9]{1,3}))?|(-?[0-9]{4}))(?:S([0-9]{1,3}))?([?~%]?)\Z")


@dataclass(frozen=True, slots=True)
class Atom:
    """One date of EDTF, with what is said of its parts."""

    kind: Literal["date", "datetime", "season"]
    window: Window
    said: Qualifier | None = None
    parts: tuple[tuple[str, Qualifier], ...] = ()


def both_said(a: Qualifier | None, b: Qualifier | None) -> Qualifier | None:
    """What two qualifiers say together."""
    if a is None or b is None or a == b:
        return a or b
    return "both"


@lru_cache(maxsize=16_384)
def _years(first: int, last: int) -> Window:
    return Window.within(day_of(first), day_of(last, 12, 31))


def read_atom(body: str, text: str, at: int) -> Atom:
    """One date of EDTF, standing at a place of a longer text.

    :raises DateNotUnderstood: pointing into the longer text.
    """
    if len(body) == 4 and body.isascii() and body.isdigit():
        return Atom("date", _years(int(body), int(body)))
    match = _DATE.match(body)
    if match is None:
        return _long_year(body, text, at)
    sign, year, month, day = match[2], match[3], match[6], match[9]
    parts = _parts(match)
    said: Qualifier | None = None
    for _, each in parts:
        said = both_said(said, each)
    if match[11]:
        _check_clock(match, text, at)
        if day is None or "X" in body or parts:
            raise DateNotUnderstood(text, at, "a full day, without '?', '~', '%' or 'X', before a clock time")
    kind: Literal["date", "datetime", "season"] = "datetime" if match[11] else "date"
    if month and "X" not in month and int(month) > 12:
        return Atom("season", _season(sign + year, int(month), day, text, at + match.start(6)), said, parts)
    return Atom(kind, _matching(sign, year, month, day, text, at, match), said, parts)


def _parts(match: re.Match[str]) -> tuple[tuple[str, Qualifier], ...]:
    """What is said of year, month and day: a mark before a part means it, one after it all up to there."""
    names = ("year", "month", "day")
    said: dict[str, Qualifier] = {}
    for index, (before, value, after) in enumerate(((1, 3, 4), (5, 6, 7), (8, 9, 10))):
        if match[value] is None:
            break
        if match[before]:
            said[names[index]] = _merged(said.get(names[index]), match[before])
        if match[after]:
            for name in names[: index + 1]:
                said[name] = _merged(said.get(name), match[after])
    return tuple((name, said[name]) for name in names if name in said)


def _merged(old: Qualifier | None, mark: str) -> Qualifier:
    return both_said(old, _MEANING[mark]) or _MEANING[mark]


def _check_clock(match: re.Match[str], text: str, at: int) -> None:
    for group, most, name in ((12, 23, "an hour"), (13, 59, "a minute"), (14, 59, "a second")):
        if int(match[group]) > most:
            raise DateNotUnderstood(text, at + match.start(group), f"{name} from 00 to {most}")
    shift = match[15]
    if shift and shift != "Z" and (int(shift[1:3]) > 23 or int(shift[3:].lstrip(":") or 0) > 59):
        raise DateNotUnderstood(text, at + match.start(15), "a shift from UTC of at most 23:59")


def _season(year: str, number: int, day: str | None, text: str, at: int) -> Window:
    if number not in SUB_YEARS:
        raise DateNotUnderstood(text, at, "a month from 01 to 12 or a group of months from 21 to 41")
    if day is not None:
        raise DateNotUnderstood(text, at + 2, "no day after a season, quarter or half-year")
    if "X" in year:
        raise DateNotUnderstood(text, at, "a month: a season needs a year without 'X'")
    (y1, m1), (y2, m2) = SUB_YEARS[number]
    first_year, last_year = int(year) + y1, int(year) + y2
    return Window.within(day_of(first_year, m1), day_of(last_year, m2, month_length(last_year, m2)))


def _matching(
    sign: str, year: str, month: str | None, day: str | None, text: str, at: int, match: re.Match[str]
) -> Window:
    """The window from the first to the last day that fits the digits given."""
    if year == "XXXX":
        _check_month_and_day(month, day, text, at, match)
        return _UNKNOWN
    low, high = int(year.replace("X", "0")), int(year.replace("X", "9"))
    first_year, last_year = (-high, -low) if sign else (low, high)
    if month is None:
        return _years(first_year, last_year)
    months = _check_month_and_day(month, day, text, at, match)
    if "X" not in year and day is not None and "X" not in month + day and int(day) <= 28:
        only = day_of(first_year, months[0], int(day))
        return Window.within(only, only)
    ends = []
    for back in (False, True):
        years = range(last_year, first_year - 1, -1) if back else range(first_year, last_year + 1)
        ends.append(_first_fitting(years, months[::-1] if back else months, day, back))
    if ends[0] is None or ends[1] is None:
        raise DateNotUnderstood(text, at + match.start(9), f"a day that {sign}{year}-{month} has")
    return Window.within(ends[0], ends[1])


def _first_fitting(years: range, months: list[int], day: str | None, back: bool) -> int | None:
    for year in years:
        for month in months:
            length = month_length(year, month)
            if day is None:
                return day_of(year, month, length if back else 1)
            days = _fitting(day, length)
            if days:
                return day_of(year, month, days[-1] if back else days[0])
    return None


@lru_cache(maxsize=512)
def _fitting(pattern: str, most: int) -> list[int]:
    """The numbers from 1 that a pattern of digits and X allows; shared, so never changed."""
    return [n for n in range(1, most + 1) if _fits(n, pattern)]


def _fits(number: int, pattern: str) -> bool:
    return all(p in ("X", n) for p, n in zip(pattern, f"{number:02d}", strict=True))


def _check_month_and_day(
    month: str | None, day: str | None, text: str, at: int, match: re.Match[str]
) -> list[int]:
    months = _fitting(month, 12) if month is not None else []
    if month is not None and not months:
        raise DateNotUnderstood(text, at + match.start(6), "a month from 01 to 12")
    if day is not None and not _fitting(day, 31):
        raise DateNotUnderstood(text, at + match.start(9), "a day from 01 to 31")
    return months


def _long_year(body: str, text: str, at: int) -> Atom:
    match = _LONG_YEAR.match(body)
    if match is None:
        raise DateNotUnderstood(text, at + _how_far(body), _wanted(body))
    digits, exponent, short, significant, mark = match.groups()
    if exponent is not None and int(exponent) > 12:
        raise DateNotUnderstood(
            text, at + match.start(2), f"an exponent that keeps the year within {FARTHEST_YEAR}"
        )
    year = int(short or digits) * 10 ** int(exponent or 0)
    if abs(year) > FARTHEST_YEAR:
        raise DateNotUnderstood(text, at + 1, f"a year within {FARTHEST_YEAR} of the year 0")
    if digits and exponent is None and abs(year) <= 9999:
        raise DateNotUnderstood(
            text, at, "a year of four digits without 'Y', or one of more than four with it"
        )
    first, last = _significant(year, significant, text, at + match.start(4))
    said = _MEANING[mark] if mark else None
    return Atom("date", _years(first, last), said, (("year", said),) if said else ())


def _significant(year: int, significant: str | None, text: str, at: int) -> tuple[int, int]:
    """The years that share the leading digits that count."""
    if significant is None:
        return year, year
    length = max(4, len(str(abs(year))))
    if not 1 <= int(significant) <= length:
        raise DateNotUnderstood(text, at, f"from 1 to {length} significant digits")
    step = 10 ** (length - int(significant))
    low = abs(year) // step * step
    high = low + step - 1
    return (-high, -low) if year < 0 else (low, high)


def _how_far(body: str) -> int:
    """How many characters are the start of some EDTF date: where the pointing caret goes."""
    template = "0000-00-00T00:00:00"
    index = 1 if body[:1] in {"-", "?", "~", "%"} else 0
    place = 0
    while index < len(body) and place < len(template):
        c, t = body[index], template[place]
        if (t == "0" and (c.isdigit() or c == "X")) or c == t:
            place += 1
        elif c not in "?~%":
            break
        index += 1
    return min(index, len(body))


def _wanted(body: str) -> str:
    if not body:
        return "a date"
    if body.isdigit() and len(body) > 4:
        return "a year of four digits; a longer one begins with 'Y'"
    if body.isdigit():
        return "a year of four digits, such as 0850"
    return "a date such as 1878, 1878-05, 1878-05-12, 187X, 1878~ or Y-17000"
