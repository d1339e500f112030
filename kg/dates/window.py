"""What is known of when something began and ended, in days.

Days are counted in the proleptic Gregorian calendar: day 1 is 1 January of the year 1, as in
``datetime.date.toordinal``, but for any year. Years are astronomical: 0 is 1 BCE, -1 is 2 BCE.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from kg.errors import KilnmarkError

_DAYS_IN_400_YEARS = 146_097
_MONTH_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class WindowNotPossible(KilnmarkError, ValueError):
    """Four bounds were given that no event can satisfy."""


def is_leap(year: int) -> bool:
    """Whether a year of the Gregorian calendar has a 29 February."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def month_length(year: int, month: int) -> int:
    """The number of days in a month."""
    return 29 if month == 2 and is_leap(year) else _MONTH_LENGTHS[month - 1]


def day_of(year: int, month: int = 1, day: int = 1) -> int:
    """The number of a calendar day.

    :raises ValueError: if the calendar has no such day.

    >>> day_of(1, 1, 1), day_of(0, 12, 31), day_of(1878, 5, 12)
    (1, 0, 685692)
    """
    if not 1 <= month <= 12:
        raise ValueError(f"month {month} found; expected 1 to 12")
    if not 1 <= day <= month_length(year, month):
        raise ValueError(f"day {day} found; {year}-{month:02} has {month_length(year, month)} days")
    shifted = year if month > 2 else year - 1  # the year begins in March, so that leap days end it
    era, within = divmod(shifted, 400)
    day_in_year = (153 * ((month + 9) % 12) + 2) // 5 + day - 1
    return era * _DAYS_IN_400_YEARS + within * 365 + within // 4 - within // 100 + day_in_year - 305


def civil(day: int) -> tuple[int, int, int]:
    """The year, month and day of the month that a day number stands for.

    >>> civil(day_of(-529, 2, 28))
    (-529, 2, 28)
    """
    era, in_era = divmod(day + 305, _DAYS_IN_400_YEARS)
    in_cycle = (in_era - in_era // 1460 + in_era // 36_524 - in_era // 146_096) // 365
    in_year = in_era - (365 * in_cycle + in_cycle // 4 - in_cycle // 100)
    shifted_month = (5 * in_year + 2) // 153
    month = shifted_month + 3 if shifted_month < 10 else shifted_month - 9
    year = in_cycle + era * 400 + (1 if month <= 2 else 0)
    return year, month, in_year - (153 * shifted_month + 2) // 5 + 1


def year_of(day: int) -> int:
    """The astronomical year in which a day lies."""
    return civil(day)[0]


def iso(day: int) -> str:
    """A day in ISO 8601 form, signed before the year 0.

    >>> iso(day_of(-529)), iso(day_of(1878, 5, 12))
    ('-0529-01-01', '1878-05-12')
    """
    year, month, of_month = civil(day)
    sign = "-" if year < 0 else ""
    return f"{sign}{abs(year):04d}-{month:02d}-{of_month:02d}"


def shifted(day: int, years: int) -> int:
    """The same day of the month some years later, or earlier; 29 February may become 28 February."""
    year, month, of_month = civil(day)
    return day_of(year + years, month, min(of_month, month_length(year + years, month)))


class Span(NamedTuple):
    """A stretch of days known on both sides, both ends included."""

    first: int
    last: int


class Relation(Enum):
    """How one interval lies to another: the thirteen relations of Allen (1983)."""

    BEFORE = "<"
    AFTER = ">"
    DURING = "d"
    CONTAINS = "di"
    OVERLAPS = "o"
    OVERLAPPED_BY = "oi"
    MEETS = "m"
    MET_BY = "mi"
    STARTS = "s"
    STARTED_BY = "si"
    FINISHES = "f"
    FINISHED_BY = "fi"
    EQUALS = "="


def relation(a: Span, b: Span) -> Relation:
    """The one relation of Allen in which a span stands to another.

    A day is taken as a stretch of time, so a span that ends the day before another begins meets it.

    >>> relation(Span(1, 3), Span(4, 9))
    <Relation.MEETS: 'm'>
    """
    a_end, b_end = a.last + 1, b.last + 1
    if a_end <= b.first:
        return Relation.MEETS if a_end == b.first else Relation.BEFORE
    if b_end <= a.first:
        return Relation.MET_BY if b_end == a.first else Relation.AFTER
    start, end = (a.first > b.first) - (a.first < b.first), (a_end > b_end) - (a_end < b_end)
    return _SHARING[start, end]


_SHARING = {
    (0, 0): Relation.EQUALS,
    (0, -1): Relation.STARTS,
    (0, 1): Relation.STARTED_BY,
    (1, 0): Relation.FINISHES,
    (-1, 0): Relation.FINISHED_BY,
    (1, -1): Relation.DURING,
    (-1, 1): Relation.CONTAINS,
    (-1, -1): Relation.OVERLAPS,
    (1, 1): Relation.OVERLAPPED_BY,
}


@dataclass(frozen=True, slots=True)
class Window:
    """What is known of when something began and when it ended, in days, all bounds included.

    The bounds are those of CIDOC CRM: P82a (begin of the begin), P81a (end of the begin), P81b
    (begin of the end) and P82b (end of the end). ``None`` is a bound that is not known. An open side
    is a different thing: the source says that there is no limit there.

    :raises WindowNotPossible: if the bounds contradict each other.
    """

    begin_earliest: int | None = None
    begin_latest: int | None = None
    end_earliest: int | None = None
    end_latest: int | None = None
    begin_open: bool = False
    end_open: bool = False

    def __post_init__(self) -> None:
        pairs = (
            ("begin_earliest", "begin_latest"),
            ("end_earliest", "end_latest"),
            ("begin_earliest", "end_earliest"),
            ("begin_latest", "end_latest"),
            ("begin_earliest", "end_latest"),
        )
        for low, high in pairs:
            first, last = getattr(self, low), getattr(self, high)
            if first is not None and last is not None and first > last:
                raise WindowNotPossible(
                    f"{low} {iso(first)} lies after {high} {iso(last)}; swap or correct them"
                )
        if self.begin_open and self.begin_earliest is not None:
            raise WindowNotPossible("an open begin has no earliest day; leave begin_earliest out")
        if self.end_open and self.end_latest is not None:
            raise WindowNotPossible("an open end has no latest day; leave end_latest out")

    @classmethod
    def within(
        cls, first: int | None, last: int | None, *, begin_open: bool = False, end_open: bool = False
    ) -> Window:
        """The window of one date that lies somewhere from a first to a last day."""
        return cls(first, last, first, last, begin_open, end_open)

    @classmethod
    def spanning(cls, begin: Window, end: Window) -> Window:
        """The window of something that began in one window and ended in another."""
        first, last = begin.begin_earliest, end.end_latest
        return cls(
            first,
            _least(begin.end_latest, last),
            _most(end.begin_earliest, first),
            last,
            begin.begin_open,
            end.end_open,
        )

    @property
    def first(self) -> int | None:
        """The earliest day that the window allows."""
        return self.begin_earliest

    @property
    def last(self) -> int | None:
        """The latest day that the window allows."""
        return self.end_latest

    @property
    def span(self) -> Span | None:
        """The days from the earliest to the latest, or None if a side is open or unknown."""
        if self.begin_earliest is None or self.end_latest is None:
            return None
        return Span(self.begin_earliest, self.end_latest)

    def __contains__(self, day: int) -> bool:
        return (self.first is None or self.first <= day) and (self.last is None or day <= self.last)

    def has_year(self, year: int) -> bool:
        """Whether some day of a year lies in the window."""
        starts_in_time = self.last is None or day_of(year) <= self.last
        return starts_in_time and (self.first is None or self.first <= day_of(year, 12, 31))

    def contains(self, other: Window) -> bool:
        """Whether every day that another window allows is allowed here too."""
        low = self.first is None or (other.first is not None and self.first <= other.first)
        high = self.last is None or (other.last is not None and other.last <= self.last)
        return low and high

    def overlap(self, other: Window) -> Window | None:
        """The days that both windows allow, as one date among them; None if there are none."""
        first, last = _most(self.first, other.first), _least(self.last, other.last)
        if first is not None and last is not None and first > last:
            return None
        return Window.within(
            first,
            last,
            begin_open=first is None and self.begin_open and other.begin_open,
            end_open=last is None and self.end_open and other.end_open,
        )

    def hull(self, other: Window) -> Window:
        """The smallest window that allows all that either window allows."""
        return Window(
            _lowest(self.begin_earliest, other.begin_earliest),
            _highest(self.begin_latest, other.begin_latest),
            _lowest(self.end_earliest, other.end_earliest),
            _highest(self.end_latest, other.end_latest),
            self.begin_open or other.begin_open,
            self.end_open or other.end_open,
        )

    def widened(self, years: int, years_at_end: int | None = None) -> Window:
        """The window with its begin, and its end, moved outwards by whole calendar years.

        >>> w = Window.within(day_of(1878), day_of(1878, 12, 31)).widened(5)
        >>> iso(w.first), iso(w.last)
        ('1873-01-01', '1883-12-31')
        """
        at_end = years if years_at_end is None else years_at_end
        begin_earliest, end_latest = _moved(self.begin_earliest, -years), _moved(self.end_latest, at_end)
        return Window(
            begin_earliest,
            _least(_moved(self.begin_latest, years), end_latest) if self.begin_latest is not None else None,
            _most(_moved(self.end_earliest, -at_end), begin_earliest)
            if self.end_earliest is not None
            else None,
            end_latest,
            self.begin_open,
            self.end_open,
        )

    def clipped(self, limit: Window) -> Window:
        """The window with every bound brought within a limit; itself if they share no day."""
        if self.overlap(limit) is None:
            return self
        first, last = limit.first, limit.last

        def within(day: int | None) -> int | None:
            return None if day is None else _least(_most(day, first), last)

        return Window(
            _most(self.begin_earliest, first),
            within(self.begin_latest),
            within(self.end_earliest),
            _least(self.end_latest, last),
            self.begin_open and first is None,
            self.end_open and last is None,
        )

    def __str__(self) -> str:
        begin = _side(self.begin_earliest, self.begin_latest, "<" if self.begin_open else "?", "?")
        end = _side(self.end_earliest, self.end_latest, "?", ">" if self.end_open else "?")
        return f"{begin}/{end}"

    @classmethod
    def parse(cls, text: str) -> Window:
        """The window that ``str`` wrote: two ranges of days, ``?`` unknown, ``<`` and ``>`` open.

        :raises ValueError: if the text is not of that form.

        >>> str(Window.parse("1890-01-01..1890-12-31/?..>"))
        '1890-01-01..1890-12-31/?..>'
        """
        try:
            (a, b), (c, d) = (side.split("..") for side in text.split("/"))
        except ValueError:
            raise ValueError(f"{text!r} is not a window; expected 'day..day/day..day'") from None
        return cls(_read(a), _read(b), _read(c), _read(d), a == "<", d == ">")


def _side(first: int | None, last: int | None, no_first: str, no_last: str) -> str:
    low = no_first if first is None else iso(first)
    return f"{low}..{no_last if last is None else iso(last)}"


def _read(text: str) -> int | None:
    if text in {"?", "<", ">"}:
        return None
    year, month, day = text.rsplit("-", 2)
    return day_of(int(year), int(month), int(day))


def _moved(day: int | None, years: int) -> int | None:
    return None if day is None else shifted(day, years) if years else day


def _least(a: int | None, b: int | None) -> int | None:
    """The lesser of two bounds, where an unknown one does not bind."""
    return b if a is None else a if b is None else min(a, b)


def _most(a: int | None, b: int | None) -> int | None:
    """The greater of two bounds, where an unknown one does not bind."""
    return b if a is None else a if b is None else max(a, b)


def _lowest(a: int | None, b: int | None) -> int | None:
    return None if a is None or b is None else min(a, b)


def _highest(a: int | None, b: int | None) -> int | None:
    return None if a is None or b is None else max(a, b)
