"""Dates of a phrase made whole: each lacking piece taken from its neighbour, each with its EDTF text."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from kg.dates.conventions import Convention, parts
from kg.dates.cursor import PENDING, Operand
from kg.dates.edtf import year_text
from kg.dates.errors import DateNotUnderstood
from kg.dates.periods import periods
from kg.dates.window import civil, day_of, month_length

#: A year, month or day: (year,), (year, month) or (year, month, day), in astronomical years.
Stamp = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Term:
    """One date: its own EDTF text if EDTF has one, and the dates at which it begins and ends."""

    atom: str | None
    low: Stamp | None
    high: Stamp | None
    about_low: bool = False
    about_high: bool = False
    perhaps: bool = False
    since: bool = False

    def mark(self, low: bool) -> str:
        """The EDTF qualifier of an end."""
        about = self.about_low if low else self.about_high
        return "%" if about and self.perhaps else "~" if about else "?" if self.perhaps else ""


def stamp_text(stamp: Stamp) -> str:
    """A year, month or day in EDTF."""
    return year_text(stamp[0]) + "".join(f"-{n:02d}" for n in stamp[1:])


def complete(operands: list[Operand], joins: list[str], text: str) -> None:
    """Give each operand what it lacks from the one that follows, or else from the one before.

    :raises DateNotUnderstood: if something still lacks.
    """
    for index in range(len(operands) - 2, -1, -1):
        _from_the_right(operands[index], operands[index + 1], joins[index])
    for index in range(1, len(operands)):
        _from_the_left(operands[index], operands[index - 1], joins[index - 1], text)
    for operand in operands:
        if operand.kind == "ordinal" and (operand.style == "roman" or _part_of_a_century(operand)):
            operand.kind = "century"  # "fin XIXe", "late 19th": nothing else has such parts and numbers
        if operand.kind in PENDING:
            raise DateNotUnderstood(text, _figure(text, operand.at), _missing(operand))
    for left, right in pairwise(operands):
        _same_sort_of_decade(left, right)


def _part_of_a_century(operand: Operand) -> bool:
    return bool(operand.part or operand.unit) and 11 <= operand.number <= 21


def _missing(operand: Operand) -> str:
    if operand.kind == "ordinal":
        return "'century' after an ordinal number"
    if operand.kind == "yearless":
        return "a year of four digits with the month or season"
    if operand.kind == "none":
        return "what this is a part of: a century, decade or year"
    return "a year of four digits or, before 1000, an era such as CE or BCE"


def _from_the_right(left: Operand, right: Operand, join: str) -> None:
    if left.kind == "none" and left.bound == "":
        _share(left, right)
    elif left.kind == "ordinal":
        _complete_ordinal(left, right)
    elif left.kind == "yearless" and right.kind in {"month", "day", "season"}:
        left.number = right.number
        left.kind = "season" if left.month > 12 else "day" if left.day else "month"
    elif left.kind == "short":
        _complete_short(left, right, join)
    if right.era and not left.era and left.kind == right.kind and left.kind in {"year", "century", "decade"}:
        # "1-299 CE" counts up; "530-330 BCE" counts down; "206-220 CE" could not be otherwise.
        downwards = left.number > right.number
        if (right.era == "bce" and downwards) or right.era == "ce":
            left.era = right.era


def _share(left: Operand, right: Operand) -> None:
    left.kind, left.number, left.era, left.period = right.kind, right.number, right.era, right.period
    left.style = right.style
    if right.kind in {"month"}:
        left.month = right.month


def _complete_ordinal(left: Operand, right: Operand) -> None:
    if right.unit and right.nth.isdigit() and left.number < int(right.nth) and not left.unit:
        left.nth, left.unit = str(left.number), right.unit
        _share(left, right)
    elif right.kind == "century":
        left.kind, left.era = "century", right.era
    elif right.kind in {"day", "yearless"} and right.day and left.number <= 31:
        left.kind, left.month, left.day, left.number = right.kind, right.month, left.number, right.number


def _complete_short(left: Operand, right: Operand, join: str) -> None:
    if left.style == "decade":
        return
    if right.kind in {"century", "ordinal"} or right.unit:
        _complete_ordinal(left, right)
        if left.kind == "short" and right.kind == "ordinal":
            left.kind = "ordinal"
    elif right.kind in {"day", "yearless"} and right.day and left.number <= 31:
        left.kind, left.month, left.day, left.number = right.kind, right.month, left.number, right.number
    elif right.kind == "year" and right.era:
        left.kind, left.era = "year", right.era if right.era == "ce" or left.number > right.number else ""
    elif right.kind == "year" and left.number < right.number < 1000 and join == "to":
        left.kind, left.era = "year", "ce"  # "50-320": a range that counts up has no other reading


def _from_the_left(right: Operand, left: Operand, join: str, text: str) -> None:
    if right.kind == "short" and left.kind == "year" and left.era == "ce" and left.number < right.number:
        right.kind, right.era = "year", "ce"  # "A.D. 50-75"
    if (
        right.kind != "short"
        or left.kind not in {"year", "decade"}
        or left.era == "bce"
        or left.number < 1000
    ):
        return
    scale = 10**right.digits
    number = left.number // scale * scale + right.number
    if right.style == "decade":
        number = left.number // 100 * 100 + right.number
        if left.kind == "year" and left.number % 10 == 0 and left.style == "":
            left.kind, left.style = "decade", "s"
    if number <= left.number:
        raise DateNotUnderstood(text, right.at, f"a year after {left.number}, or all four digits of it")
    right.kind = "decade" if right.style == "decade" else "year"
    right.number = number


def _same_sort_of_decade(left: Operand, right: Operand) -> None:
    """ "1900s-1910s" speaks of two decades, though "1900s" alone is a century."""
    if left.kind == right.kind == "decade":
        if left.number % 100 or right.number % 100:
            left.style = left.style if left.number % 100 else "er"
            right.style = right.style if right.number % 100 else "er"
    elif left.kind == "decade" and left.style == "annees" and right.kind == "year" and not right.number % 10:
        right.kind, right.style = "decade", "annees"
    elif left.kind == "year" and right.kind == "decade" and right.number % 100 and not left.number % 10:
        left.kind, left.style = "decade", "er"


def term_of(operand: Operand, convention: Convention, text: str, notes: list[str]) -> Term:
    """The date that a whole operand stands for.

    :raises DateNotUnderstood: if it has a part that such a date has not.
    """
    atom, low, high = _bare(operand, convention, text, notes)
    about_low = about_high = operand.about
    if operand.kind == "period":
        period = periods()[operand.period]
        about_low, about_high = about_low or period.begin_is_about, about_high or period.end_is_about
    if operand.part or operand.unit:
        low, high = _part(operand, low, high, convention, text, notes)
        atom = _quarter_atom(operand, low)
    if operand.width is not None:
        low, high = _within_width(operand, low, high, text, notes)
        atom, about_low, about_high = None, False, False
    term = Term(atom, low, high, about_low, about_high, operand.perhaps)
    return _bounded(term, operand.bound) if operand.bound else term


def _within_width(
    operand: Operand, low: Stamp, high: Stamp, text: str, notes: list[str]
) -> tuple[Stamp, Stamp]:
    """The years from one to another that "1880 ± 5" prints, whatever a convention says of circa."""
    width = operand.width or 0
    if len(low) > 1 or len(high) > 1:
        raise DateNotUnderstood(text, operand.at, "a year before '±', not a month or day")
    notes.append(f"± {width} years are printed, so no convention is used")
    first, last = (low[0] - width,), (high[0] + width,)
    if operand.bound == "before":  # whatever the year is, the date lies before the last that it may be
        return last, last
    return (first, first) if operand.bound == "after" else (first, last)


def _bounded(term: Term, bound: str) -> Term:
    low, high = term.low, term.high
    assert low is not None
    assert high is not None
    perhaps = term.perhaps
    if bound == "before":
        return Term(None, None, _step(low, -1), False, term.about_low, perhaps)
    if bound == "until":
        return Term(None, None, high, False, term.about_high, perhaps)
    if bound == "after":
        return Term(None, _step(high, 1), None, term.about_high, False, perhaps)
    return Term(term.atom, low, None, term.about_low, False, perhaps, since=bound == "since")


def _step(stamp: Stamp, by: int) -> Stamp:
    """The year, month or day before or after one."""
    if len(stamp) == 1:
        return (stamp[0] + by,)
    if len(stamp) == 2:
        months = stamp[0] * 12 + stamp[1] - 1 + by
        return months // 12, months % 12 + 1
    return civil(day_of(*stamp) + by)


_Bare = tuple[str | None, Stamp, Stamp]


def _bare(operand: Operand, convention: Convention, text: str, notes: list[str]) -> _Bare:
    """The date without its qualifiers, bounds and parts."""
    kind, number = operand.kind, operand.number
    if kind == "year":
        return _year(operand, text)
    if kind == "day":
        day = (number, operand.month, operand.day)
        return stamp_text(day), day, day
    if kind == "month":
        return stamp_text((number, operand.month)), (number, operand.month), (number, operand.month)
    if kind == "decade":
        return _decade(operand, convention, notes)
    if kind == "century":
        return _century(operand, convention, notes)
    if kind == "season":
        return _season(operand, notes)
    period = periods()[operand.period]
    about = ", and an edge is itself about" if period.begin_is_about or period.end_is_about else ""
    notes.append(f"{period.name} is {period.begin}-{period.end} ({period.source}), by convention{about}")
    return None, (period.begin,), (period.end,)


def _figure(text: str, at: int) -> int:
    """The place of the first figure from a place on: an error about a year points there, past "about" and the like."""
    return next((place for place in range(at, len(text)) if text[place].isdigit()), at)


def _year(operand: Operand, text: str) -> _Bare:
    if operand.number == 0:
        raise DateNotUnderstood(text, operand.at, "a year from 1")
    if operand.number < 100 and not operand.era:
        raise DateNotUnderstood(
            text, _figure(text, operand.at), "a year of four digits or, before 1000, an era such as CE or BCE"
        )
    year = 1 - operand.number if operand.era == "bce" else operand.number
    return year_text(year), (year,), (year,)


def _decade(operand: Operand, convention: Convention, notes: list[str]) -> _Bare:
    number = operand.number
    if operand.era == "bce":
        length = 100 if number % 100 == 0 and operand.style == "s" else 10
        return None, (1 - number - length + 1,), (1 - number,)
    if number % 100 == 0 and operand.style == "s":
        notes.append(f"{number}s is read as the whole century")
        return f"{number // 100:02d}XX", (number,), (number + 99,)
    return f"{number // 10:03d}X", (number,), (number + 9,)


def _century(operand: Operand, convention: Convention, notes: list[str]) -> _Bare:
    number = operand.number
    if operand.era == "bce":
        atom, first, last = None, 1 - 100 * number, -100 * (number - 1)
    else:
        first = 100 * (number - 1) + convention.century_from
        last, atom = first + 99, f"{number - 1:02d}XX" if convention.century_from == 0 else None
    if not (operand.part or operand.unit or operand.era == "bce"):
        told = f"a century is {_years_told(first, last)} here"
        notes.append(f"{told} by the convention '{convention.name}' ({convention.century_basis})")
    return atom, (first,), (last,)


def _years_told(first: int, last: int) -> str:
    """Two years as a reader of prose expects them; the year 0 of EDTF is 1 BCE."""
    if last < 1:
        return f"{1 - first}–{1 - last} BCE"
    return f"{first}–{last}" if first > 0 else f"{1 - first} BCE–{last} CE"


def _season(operand: Operand, notes: list[str]) -> _Bare:
    year, code = operand.number, operand.month
    if operand.to_year:
        return None, (year, 12), (operand.to_year, 2)
    if code == 24:
        notes.append("winter may open the year or close it, so both are allowed")
        return f"{year_text(year)}-24", (year, 1), (year + 1, 2)
    notes.append("seasons are taken as northern, in whole months")
    first = 3 * (code - 20)
    return f"{year_text(year)}-{code}", (year, first), (year, first + 2)


def _part(
    operand: Operand, low: Stamp, high: Stamp, convention: Convention, text: str, notes: list[str]
) -> tuple[Stamp, Stamp]:
    if operand.kind == "day" or operand.kind == "season" or (operand.kind == "month" and operand.unit):
        raise DateNotUnderstood(text, operand.at, "a century, decade, year or month after the name of a part")
    if operand.part and operand.unit:
        raise DateNotUnderstood(text, operand.at, "one part of a century or decade, not a part of a part")
    if operand.kind == "month":
        return _part_of_month(operand.part, low, convention, notes)
    if operand.kind == "year":
        first, last, basis = _steps(operand, 1, 12, "year", text)
        edges: tuple[Stamp, Stamp] = ((low[0], first), (low[0], last))
        told = f"months {first}–{last} of {low[0]}"
    else:
        length = high[0] - low[0] + 1
        unit = "decade" if length == 10 else "century"
        first, last, basis = _steps(operand, 0, length - 1, unit, text)
        edges, told = ((low[0] + first,), (low[0] + last,)), _years_told(low[0] + first, low[0] + last)
    notes.append(f"'{_part_name(operand)}' is {told} by the convention '{convention.name}' ({basis})")
    return edges


def _part_of_month(part: str, low: Stamp, convention: Convention, notes: list[str]) -> tuple[Stamp, Stamp]:
    days = parts()["month", part]
    first, last = days.first, min(days.last, month_length(low[0], low[1]))
    notes.append(f"'{part}' is days {first}–{last} by the convention '{convention.name}' ({days.basis})")
    return (*low, first), (*low, last)


_NTH = {"1": "first", "2": "second", "3": "third", "4": "fourth"}
_UNITS = {2: "half", 3: "third", 4: "quarter", 10: "decade"}


def _part_name(operand: Operand) -> str:
    """The part in the words that this package tells it in."""
    if operand.part:
        return operand.part
    nth = _NTH.get(operand.nth) or (operand.nth if operand.nth == "last" else f"{operand.nth}th")
    return f"{nth} {_UNITS[operand.unit]}"


def _steps(operand: Operand, start: int, end: int, unit: str, text: str) -> tuple[int, int, str]:
    """First and last step of the part, counted from the start of the whole, and the basis for them."""
    length = end - start + 1
    if operand.unit:
        n = operand.unit
        if n == 10 and unit != "century":
            raise DateNotUnderstood(text, operand.at, "a century, which is what has decades")
        nth = n if operand.nth == "last" else int(operand.nth)
        return start + round(length * (nth - 1) / n), start + round(length * nth / n) - 1, "equal parts"
    part = parts()[unit, operand.part]
    whole = 100 if unit == "century" else 10 if unit == "decade" else 12
    if length == whole:
        return part.first, part.last, part.basis
    scale = length / whole  # a named period, divided as a century is
    return round(part.first * scale), round((part.last + 1) * scale) - 1, part.basis


def _quarter_atom(operand: Operand, low: Stamp) -> str | None:
    """EDTF has a form of its own for quarters and halves of a year."""
    if operand.kind != "year" or operand.unit not in {2, 4}:
        return None
    nth = operand.unit if operand.nth == "last" else int(operand.nth)
    return f"{year_text(low[0])}-{(32 if operand.unit == 4 else 39) + nth}"
