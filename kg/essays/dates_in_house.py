"""Dates as the house prints them: "about 1878", "1871–1886", "before 1884", "between 30 June 1880 and 1 April 1884".

Everything is computed from the date in EDTF or from a window; the words that the source printed stay in the note.
"""

from __future__ import annotations

from dataclasses import dataclass

from kg.chronology.telling import MONTHS, day_text, year_text
from kg.dates.edtf import Edtf, parse_edtf
from kg.dates.window import Window, civil, month_length

#: How a season of EDTF is called; the numbers are those of the standard.
SEASONS = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}


@dataclass(frozen=True, slots=True)
class DateInHouse:
    """A date in words, and the little word that leads to it in a sentence."""

    words: str
    lead: str = "in"
    """``in``, ``on``, or nothing where the words lead in by themselves."""

    @property
    def phrase(self) -> str:
        """The words as they stand in a sentence: "in 1872", "on 30 June 1880", "about 1878"."""
        return f"{self.lead} {self.words}".strip()


def edtf_in_house(text: str) -> DateInHouse:
    """A date in EDTF as the house prints it.

    :raises kg.dates.errors.DateNotUnderstood: if it is no EDTF.

    >>> [edtf_in_house(t).phrase for t in ("1878~", "1880-06-30", "187X", "[1867,1876]", "1874-22", "[..1883]")]
    ['about 1878', 'on 30 June 1880', 'in the 1870s', 'in 1867 or 1876', 'in summer 1874', 'before 1884']
    """
    date = parse_edtf(text)
    if len(date.alternatives) > 1:
        each = [window_in_house(window).words for window in date.alternatives]
        return DateInHouse(f"{', '.join(each[:-1])} or {each[-1]}")
    return _hedged(_plain(date), date)


def _plain(date: Edtf) -> DateInHouse:
    year, _, season = date.text.rstrip("?~%").rpartition("-")
    if date.kind == "season" and season in SEASONS:
        return DateInHouse(f"{SEASONS[season]} {year.strip('?~%')}")
    if date.kind == "date" and date.text.rstrip("?~%").endswith("X") and date.window.first is not None:
        years = _decade_or_century(date.window)
        if years is not None:
            return DateInHouse(years)
    return window_in_house(date.window)


def _decade_or_century(window: Window) -> str | None:
    """ "the 1870s" where a window is one decade, "the 1800s" where it is a hundred such years."""
    if window.first is None or window.last is None:
        return None
    first, last = civil(window.first)[0], civil(window.last)[0]
    return f"the {first}s" if last - first in (9, 99) and first > 0 else None


def _hedged(plain: DateInHouse, date: Edtf) -> DateInHouse:
    said = date.qualifier or ""
    if said == "approximate":
        return DateInHouse(f"about {plain.words}", "")
    if said == "uncertain":
        return DateInHouse(f"perhaps {plain.phrase}", "")
    return DateInHouse(f"perhaps about {plain.words}", "") if said else plain


def edge_in_house(day: int, *, is_low: bool) -> str:
    """A limit that no source names to the day: the year or the month whose first or last day it is.

    >>> from kg.dates.window import day_of
    >>> edge_in_house(day_of(1869, 11, 1), is_low=True), edge_in_house(day_of(1884, 12, 31), is_low=False)
    ('November 1869', '1884')
    """
    year, month, of_month = civil(day)
    if (month, of_month) == ((1, 1) if is_low else (12, 31)):
        return year_text(year)
    is_edge = of_month == (1 if is_low else month_length(year, month))
    return f"{MONTHS[month - 1]} {year_text(year)}" if is_edge else day_text(day)


def window_in_house(window: Window, recorded: frozenset[int] | None = None) -> DateInHouse:
    """The days that a window allows, as the house prints them.

    ``recorded`` are the days that a source names: an end that is none of them is told by its month. Without it both
    ends are days.

    >>> from kg.dates.window import day_of
    >>> window_in_house(Window.within(day_of(1880, 6, 30), day_of(1884, 4, 1))).phrase
    'between 30 June 1880 and 1 April 1884'
    >>> window_in_house(Window.within(day_of(1871), day_of(1886, 12, 31))).phrase
    'in 1871–1886'
    >>> window_in_house(Window.within(day_of(1869, 11, 1), day_of(1894, 12, 31)), frozenset()).phrase
    'between November 1869 and the end of 1894'
    """
    first, last = window.first, window.last
    if first is None or last is None:
        return _open(first, last, recorded)
    if first == last:
        return DateInHouse(day_text(first), "on")
    (y1, m1, d1), (y2, m2, d2) = civil(first), civil(last)
    if (m1, d1, m2, d2) == (1, 1, 12, 31):
        return DateInHouse(year_text(y1) if y1 == y2 else f"{year_text(y1)}–{year_text(y2)}")
    if d1 == 1 and d2 == month_length(y2, m2) and (y1, m1) == (y2, m2):
        return DateInHouse(f"{MONTHS[m1 - 1]} {year_text(y1)}")
    begins = year_text(y1) if (m1, d1) == (1, 1) else _edge(first, recorded, is_low=True)
    ends = f"the end of {year_text(y2)}" if (m2, d2) == (12, 31) else _edge(last, recorded, is_low=False)
    begins = f"the beginning of {begins}" if (m1, d1) == (1, 1) else begins
    return DateInHouse(f"between {begins} and {ends}", "")


def _edge(day: int, recorded: frozenset[int] | None, *, is_low: bool) -> str:
    return day_text(day) if recorded is None or day in recorded else edge_in_house(day, is_low=is_low)


def _open(first: int | None, last: int | None, recorded: frozenset[int] | None) -> DateInHouse:
    if first is not None:
        year, month, day = civil(first)
        if (month, day) == (1, 1):
            return DateInHouse(f"{year_text(year)} or later")
        return DateInHouse(f"not before {_edge(first, recorded, is_low=True)}", "")
    if last is not None:
        year, month, day = civil(last)
        if (month, day) == (12, 31):
            return DateInHouse(f"before {year_text(year + 1)}", "")
        return DateInHouse(f"by {_edge(last, recorded, is_low=False)}", "")
    return DateInHouse("at a time not known", "")
