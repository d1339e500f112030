"""The British registration diamond of 1842 to 1883: from the letters at its corners to the day of registration.

To 1867 the year stands at the top, the day at the right, the parcel below and the month at the left; from 1868
the day stands at the top, the year at the right, the month below and the parcel at the left. Many letters mean
both a year and a month, so a letter without its corner is asked about, never guessed. Tables and exceptions are
those of sources/registers/gb_registration_diamond.csv.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product

from kg.dates.window import Window, civil, day_of, month_length
from kg.errors import KilnmarkError
from kg.marks.bounds import MONTH_NAMES, DatedBound, bound, day_in_words, edtf_window
from kg.marks.registers import FOLDER, read_table

CORNERS = ("top", "right", "bottom", "left")
PERIODS = ("1842/1867", "1868/1883")
#: Which corner holds what in each period; checked against the table's layout rows when it is read.
_ROLES = ("year letter", "day of month", "parcel (bundle) number", "month letter")
_UNREADABLE = frozenset({"", "?", ".", "…", "□", "⋯", "[.]", "[---]"})


class DiamondNotPossible(KilnmarkError, ValueError):
    """A diamond was described that neither layout allows."""


@dataclass(frozen=True, slots=True)
class DiamondTable:
    """The published key: layouts, letters, exceptions and classes, with confidence and source."""

    roles: Mapping[tuple[str, str], str]
    """What stands at a corner in a period."""
    years: Mapping[tuple[str, str], int]
    months: Mapping[str, int]
    exceptions: tuple[tuple[str, str, int, int], ...]
    """Corner, letter, first and last day for which the letter stands for another."""
    classes: Mapping[str, str]
    confidences: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class Diamond:
    """What can be read at each corner of a diamond; None is a corner that was not described.

    An empty text is a corner that is there and cannot be read.
    """

    top: str | None = None
    right: str | None = None
    bottom: str | None = None
    left: str | None = None
    goods_class: str | None = None
    #: Characters whose corner was not said.
    loose: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DiamondReading:
    """One way to read a diamond: the days of registration that it allows."""

    period: str
    window: Window
    parcel: str | None
    goods: str | None
    goods_class: str | None
    notes: tuple[str, ...] = ()
    bounds: tuple[DatedBound, ...] = field(default=())

    @property
    def sentence(self) -> str:
        """The reading in words."""
        first, last = self.window.first, self.window.last
        assert first is not None, "a diamond is bounded on both sides"
        assert last is not None, "a diamond is bounded on both sides"
        when = day_in_words(first) if first == last else f"between {_plain(first)} and {_plain(last)}"
        parts = [f"registered {when}", f"layout of {self.period.replace('/', ' to ')}"]
        parts += [f"parcel {self.parcel}"] if self.parcel else []
        parts += [f"class {self.goods_class} ({self.goods})"] if self.goods else []
        return "; ".join([*parts, *self.notes])


def read_diamond(diamond: Diamond, period: str | None = None) -> tuple[DiamondReading, ...]:
    """Every way in which a diamond can be read; more than one means that corner or period must be asked for.

    :raises DiamondNotPossible: if no layout allows what was read.

    >>> [reading.sentence for reading in read_diamond(Diamond("X", "7", "3", "K", "I"))]
    ['registered 7 November 1842; layout of 1842 to 1867; parcel 3; class I (metal)']
    """
    if period is not None and period not in PERIODS:
        raise DiamondNotPossible(f"period {period!r} found; expected {' or '.join(PERIODS)}")
    goods_class = _goods_class(diamond)
    found: list[DiamondReading] = []
    for placed in _placings(diamond):
        for layout in (period,) if period else PERIODS:
            found += _in_layout(placed, layout, goods_class)
    if not found:
        shown = ", ".join(f"{c} {getattr(diamond, c)!r}" for c in CORNERS if getattr(diamond, c) is not None)
        raise DiamondNotPossible(
            f"no layout allows {shown or ' '.join(diamond.loose)}; expected a year letter, a month letter, "
            f"a day 1 to 31 and a parcel number: check which corner holds each"
        )
    return tuple(dict.fromkeys(found))


def question_about(diamond: Diamond, readings: tuple[DiamondReading, ...]) -> str | None:
    """What must be looked at on the piece before one reading stands; None if one already does."""
    if len(readings) < 2:
        return None
    if diamond.loose:
        letters = ", ".join(x for x in diamond.loose if x.isalpha() and x.upper() != "RD")
        return (
            f"At which corner stands each of {', '.join(diamond.loose)}? To 1867 the year is at the top and the month "
            f"at the left; from 1868 the year is at the right and the month below. "
            f"{letters or 'A letter'} may be either."
        )
    if len({reading.period for reading in readings}) == 1:
        return "The letters allow two dates by an exception of the register; the parcel number in the register decides."
    return "Which period? To 1867 a letter stands at the top and a day at the right; from 1868 the other way round."


@lru_cache(maxsize=1)
def diamond_table() -> DiamondTable:
    """The key of sources/registers/gb_registration_diamond.csv."""
    rows = read_table(f"{FOLDER}/gb_registration_diamond.csv")
    by = {
        e: [r for r in rows if r["element"] == e] for e in ("layout", "year", "month", "exception", "class")
    }
    months = {name: number for number, name in enumerate(MONTH_NAMES, start=1)}
    return DiamondTable(
        {
            (r["period"], r["position"].removesuffix(" corner")): r["meaning"]
            for r in by["layout"]
            if r["meaning"] in _ROLES
        },
        {(r["period"], r["code"]): int(r["meaning"]) for r in by["year"]},
        {r["code"]: months[r["meaning"]] for r in by["month"]},
        tuple(_exception(r) for r in by["exception"]),
        {r["code"]: r["meaning"] for r in by["class"]},
        {f"{r['element']} {r['period']} {r['code']}": r["confidence"] for r in rows},
        by["year"][0]["source"],
    )


def _exception(row: Mapping[str, str]) -> tuple[str, str, int, int]:
    first, last = edtf_window(row["not_before"]).first, edtf_window(row["not_after"]).last
    assert first is not None, "an exception names its first day"
    assert last is not None, "an exception names its last day"
    return row["position"].removesuffix(" corner"), row["code"], first, last


def _goods_class(diamond: Diamond) -> str | None:
    goods_class = diamond.goods_class.upper() if diamond.goods_class else None
    if goods_class is not None and goods_class not in diamond_table().classes:
        known = ", ".join(diamond_table().classes)
        raise DiamondNotPossible(f"class {diamond.goods_class!r} found; expected one of {known}")
    return goods_class


def _placings(diamond: Diamond) -> Iterator[dict[str, str | None]]:
    """Every way to lay the characters without a corner on the corners left free."""
    fixed = {corner: getattr(diamond, corner) for corner in CORNERS}
    loose = [x for x in diamond.loose if x.upper() != "RD"]
    free = [corner for corner in CORNERS if fixed[corner] is None]
    if len(loose) > len(free):
        raise DiamondNotPossible(f"{len(loose)} characters for {len(free)} free corners; a diamond has four")
    for corners in product(free, repeat=len(loose)):
        if len(set(corners)) == len(loose):
            yield {**fixed, **dict(zip(corners, loose, strict=True))}


def _in_layout(
    placed: Mapping[str, str | None], period: str, goods_class: str | None
) -> Iterator[DiamondReading]:
    table = diamond_table()
    at = {table.roles[period, corner]: corner for corner in CORNERS}
    year, day, parcel, month = (_legible(placed[at[role]]) for role in _ROLES)
    if (day and not _is_day(day)) or (parcel and not parcel.isdigit()):
        return
    ways = list(_dates(period, year, month, at["year letter"], at["month letter"]))
    for note, first, last in ways:
        days = _with_day(first, last, int(day) if day else None)
        if days is None:
            continue
        confidence = _confidence(period, year, month, goods_class)
        made = bound(
            days[0],
            None,
            strength="hard",
            confidence=confidence,
            source=table.source,
            row=f"registration diamond, {period.replace('/', ' to ')}",
            meaning="the day of registration; pieces made years later keep the mark",
        )
        goods = table.classes.get(goods_class) if goods_class else None
        window = Window.within(*days)
        yield DiamondReading(period, window, parcel, goods, goods_class, (note,) if note else (), (made,))


def _dates(
    period: str, year: str | None, month: str | None, year_corner: str, month_corner: str
) -> Iterator[tuple[str, int, int]]:
    """The stretches of days that a year and a month letter allow: by the rule, and by each exception."""
    table = diamond_table()
    begin, end = (int(y) for y in period.split("/"))
    years = [table.years[period, year]] if year is not None and (period, year) in table.years else []
    years = list(range(begin, end + 1)) if year is None else years
    months = [table.months[month]] if month is not None and month in table.months else []
    months = list(range(1, 13)) if month is None else months
    if years and months:
        # The register opened in September 1842, so the first month that fits is the first from then on.
        opened = day_of(1842, 9, 1)
        begins = [b for y in years for m in months if (b := day_of(y, m)) >= opened]
        if begins:
            last = day_of(years[-1], months[-1], month_length(years[-1], months[-1]))
            yield "", begins[0], last
    for note, first, last in _exceptions(period, year, month, year_corner, month_corner):
        yield note, first, last


def _exceptions(
    period: str, year: str | None, month: str | None, year_corner: str, month_corner: str
) -> Iterator[tuple[str, int, int]]:
    """The exceptions that fit: every letter of a given diamond must be the usual or the excepted one for those days."""
    table = diamond_table()
    begin, end = (int(y) for y in period.split("/"))
    stretches = sorted({(first, last) for _, _, first, last in table.exceptions})
    for first, last in stretches:
        (in_year, in_month, _) = civil(first)
        if not begin <= in_year <= end:
            continue
        excepted = {corner: code for corner, code, f, t in table.exceptions if (f, t) == (first, last)}
        usual_year = next(c for (p, c), y in table.years.items() if p == period and y == in_year)
        usual_months = {code for code, number in table.months.items() if number == in_month}
        year_fits = year in (None, excepted.get(year_corner, usual_year))
        month_codes = {excepted[month_corner]} if month_corner in excepted else usual_months
        month_fits = month is None or month in month_codes
        is_used = (year_corner in excepted and year is not None) or (
            month_corner in excepted and month is not None
        )
        if year_fits and month_fits and is_used:
            codes = " and ".join(f"{code} at the {corner}" for corner, code in excepted.items())
            yield f"by the exception of {_plain(first)} to {_plain(last)} ({codes})", first, last


def _with_day(first: int, last: int, day: int | None) -> tuple[int, int] | None:
    """The stretch of days narrowed to one day of the month, or None if the month has no such day."""
    if day is None:
        return first, last
    hits = [d for d in range(first, last + 1) if civil(d)[2] == day]
    return (hits[0], hits[-1]) if hits else None


def _confidence(period: str, year: str | None, month: str | None, goods_class: str | None) -> str:
    keys = (f"year {period} {year}", f"month 1842/1883 {month}")
    said = [diamond_table().confidences[k] for k in keys if k in diamond_table().confidences]
    said += [f"class {diamond_table().confidences[f'class 1842/1883 {goods_class}']}"] if goods_class else []
    return "; ".join(dict.fromkeys(said)) or "published"


def _legible(text: str | None) -> str | None:
    return None if text is None or text.strip() in _UNREADABLE else text.strip().upper()


def _is_day(text: str) -> bool:
    return bool(re.fullmatch(r"\d{1,2}", text)) and 1 <= int(text) <= 31


def _plain(day: int) -> str:
    year, month, of_month = civil(day)
    return f"{of_month} {MONTH_NAMES[month - 1]} {year}"
