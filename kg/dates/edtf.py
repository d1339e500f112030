"""Extended Date/Time Format, levels 0 to 2, in and out.

The notation is that of the Library of Congress EDTF specification and ISO 8601-2:2019. Two things go
beyond its text. Members of a set may carry a qualifier (``[..1880~]``), as any date may. Seasons have
no bounds in the standard; the bounds used here are a convention and stand in ``_edtf_atoms.SUB_YEARS``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from kg.dates._edtf_atoms import Atom, Qualifier, both_said, read_atom
from kg.dates.errors import DateNotUnderstood
from kg.dates.window import Window, WindowNotPossible, civil, month_length

Kind = Literal["date", "datetime", "season", "interval", "one-of", "all-of"]

#: Longer text is not a date; the limit keeps a pasted page from being searched.
LONGEST_EDTF = 500


@dataclass(frozen=True, slots=True)
class Edtf:
    """A date in EDTF: the text, and what it says.

    ``qualifier`` gathers what is said anywhere in the date; ``begin_qualifier`` and ``end_qualifier``
    what is said of each end; ``qualified_parts`` names the parts of a single date that it is said of.
    """

    text: str
    kind: Kind
    window: Window
    qualifier: Qualifier | None = None
    begin_qualifier: Qualifier | None = None
    end_qualifier: Qualifier | None = None
    qualified_parts: tuple[tuple[str, Qualifier], ...] = ()
    alternatives: tuple[Window, ...] = ()

    def __str__(self) -> str:
        return self.text


def parse_edtf(text: str) -> Edtf:
    """The date that an EDTF text stands for.

    :raises DateNotUnderstood: if the text is not EDTF, pointing at the character.

    >>> str(parse_edtf("1890~/1920").window)
    '1890-01-01..1890-12-31/1920-01-01..1920-12-31'
    >>> parse_edtf("1890~/1920").begin_qualifier
    'approximate'
    """
    if len(text) > LONGEST_EDTF:
        raise DateNotUnderstood(text, LONGEST_EDTF, f"at most {LONGEST_EDTF} characters")
    return _parse(text)


@lru_cache(maxsize=16_384)
def _parse(text: str) -> Edtf:
    body = text.strip()
    at = len(text) - len(text.lstrip())
    if not body:
        raise DateNotUnderstood(text, 0, "an EDTF date such as 1878, 1890/1920 or [1867..1899]")
    if body[0] in "[{":
        return _set(text, body, at)
    if "/" in body:
        return _interval(text, body, at)
    atom = read_atom(body, text, at)
    single = atom.window
    said = atom.said
    return Edtf(body, atom.kind, single, said, said, said, atom.parts)


def _interval(text: str, body: str, at: int) -> Edtf:
    left, _, right = body.partition("/")
    if "/" in right:
        raise DateNotUnderstood(text, at + len(left) + 1 + right.index("/"), "one '/' only")
    if left in {"", ".."} and right in {"", ".."}:
        raise DateNotUnderstood(text, at, "a date on at least one side of '/'")
    begin = _end_of_interval(left, text, at)
    end = _end_of_interval(right, text, at + len(left) + 1)
    try:
        window = _interval_window(left, begin, right, end)
    except WindowNotPossible:
        raise DateNotUnderstood(
            text, at + len(left) + 1, f"an end that is not before the begin {left!r}"
        ) from None
    first, last = begin.said if begin else None, end.said if end else None
    return Edtf(body, "interval", window, both_said(first, last), first, last)


def _end_of_interval(side: str, text: str, at: int) -> Atom | None:
    return None if side in {"", ".."} else read_atom(side, text, at)


def _interval_window(left: str, begin: Atom | None, right: str, end: Atom | None) -> Window:
    if begin and end:
        return Window.spanning(begin.window, end.window)
    if begin:
        first, last = begin.window.first, begin.window.last
        return Window(first, last, None, None, end_open=right == "..")
    assert end is not None
    return Window(None, None, end.window.first, end.window.last, begin_open=left == "..")


def _set(text: str, body: str, at: int) -> Edtf:
    closing = "]" if body[0] == "[" else "}"
    if body[-1] != closing or len(body) == 1:
        raise DateNotUnderstood(text, at + len(body), f"{closing!r} to close the set")
    members: list[_Member] = []
    place = 1
    for piece in body[1:-1].split(","):
        lead = len(piece) - len(piece.lstrip())
        members.append(_member(piece.strip(), text, at + place + lead))
        place += len(piece) + 1
    canonical = body[0] + ",".join(m.text for m in members) + closing
    said = None
    for member in members:
        said = both_said(said, both_said(member.first_said, member.last_said))
    one_of = body[0] == "["
    return Edtf(
        canonical,
        "one-of" if one_of else "all-of",
        _one_of(members) if one_of else _all_of(members),
        said,
        members[0].first_said,
        members[-1].last_said,
        alternatives=tuple(m.window for m in members) if one_of else (),
    )


@dataclass(frozen=True, slots=True)
class _Member:
    text: str
    window: Window
    first_said: Qualifier | None
    last_said: Qualifier | None


def _member(piece: str, text: str, at: int) -> _Member:
    if ".." not in piece:
        atom = read_atom(piece, text, at)
        return _Member(piece, atom.window, atom.said, atom.said)
    left, _, right = piece.partition("..")
    begin = read_atom(left, text, at) if left else None
    end = read_atom(right, text, at + len(left) + 2) if right else None
    if begin is None and end is None:
        raise DateNotUnderstood(text, at, "a date before or after '..'")
    first = begin.window.first if begin else None
    last = end.window.last if end else None
    if first is not None and last is not None and first > last:
        raise DateNotUnderstood(text, at + len(left) + 2, f"a date that is not before {left!r}")
    window = Window.within(first, last, begin_open=begin is None, end_open=end is None)
    # An end left open says nothing of its own, so what is said of the other end holds for the member.
    first_said = begin.said if begin else end.said if end else None
    return _Member(piece, window, first_said, end.said if end else first_said)


def _one_of(members: list[_Member]) -> Window:
    window = members[0].window
    for member in members[1:]:
        window = window.hull(member.window)
    return window


def _all_of(members: list[_Member]) -> Window:
    """Something that took place in every member: it begins in the earliest and ends in the latest."""
    begins = min(members, key=lambda m: (m.window.first is not None, m.window.first or 0)).window
    ends = max(members, key=lambda m: (m.window.last is None, m.window.last or 0)).window
    return Window.spanning(begins, ends)


def as_edtf(window: Window) -> str:
    """The EDTF text of a window.

    :raises ValueError: if EDTF has no form for it, as when the ends are vague in uneven ways.

    >>> as_edtf(parse_edtf("186X").window), as_edtf(parse_edtf("[1867..1899]").window)
    ('186X', '[1867..1899]')
    """
    begin, end = (window.begin_earliest, window.begin_latest), (window.end_earliest, window.end_latest)
    if begin == end and begin != (None, None):
        return _one_date(window)
    left = ".." if window.begin_open else "" if begin == (None, None) else _atom_text(*begin)
    right = ".." if window.end_open else "" if end == (None, None) else _atom_text(*end)
    text = f"{left}/{right}"
    if (
        left is None
        or right is None
        or text in {"/", "../", "/..", "../.."}
        or parse_edtf(text).window != window
    ):
        raise ValueError(f"EDTF has no form for the window {window}; keep its four bounds")
    return text


def _one_date(window: Window) -> str:
    first, last = window.first, window.last
    if first is not None and last is not None:
        whole = _atom_text(first, last)
        return whole if whole is not None else f"[{_shortest(first, True)}..{_shortest(last, False)}]"
    if first is None and window.begin_open and last is not None:
        return f"[..{_shortest(last, False)}]"
    if last is None and window.end_open and first is not None:
        return f"[{_shortest(first, True)}..]"
    raise ValueError(f"EDTF has no form for the window {window}; keep its four bounds")


def _atom_text(first: int | None, last: int | None) -> str | None:
    """The single EDTF date that runs from one day to another, if there is one."""
    if first is None or last is None:
        return None
    if first == last:
        return _day_text(first)
    (y1, m1, d1), (y2, m2, d2) = civil(first), civil(last)
    if d1 != 1 or d2 != month_length(y2, m2):
        return None
    if (y1, m1) == (y2, m2):
        return f"{year_text(y1)}-{m1:02d}" if abs(y1) <= 9999 else None
    if (m1, m2) != (1, 12):
        return None
    return _years_text(y1, y2)


def _years_text(y1: int, y2: int) -> str | None:
    if y1 == y2:
        return year_text(y1)
    for places in (1, 2, 3):
        if y1 >= 0 and y2 <= 9999 and y1 % 10**places == 0 and y2 == y1 + 10**places - 1:
            return f"{y1:04d}"[:-places] + "X" * places
    return None


def _day_text(day: int) -> str | None:
    year, month, of_month = civil(day)
    return f"{year_text(year)}-{month:02d}-{of_month:02d}" if abs(year) <= 9999 else None


def _shortest(day: int, at_start: bool) -> str:
    """The shortest EDTF date that begins, or ends, on a day."""
    year, month, of_month = civil(day)
    edge = (1, 1) if at_start else (12, 31)
    if (month, of_month) == edge:
        return year_text(year)
    if abs(year) > 9999:
        raise ValueError(f"EDTF writes no month in the year {year}; keep the four bounds")
    if of_month == (1 if at_start else month_length(year, month)):
        return f"{year_text(year)}-{month:02d}"
    return f"{year_text(year)}-{month:02d}-{of_month:02d}"


def year_text(year: int) -> str:
    """A year as EDTF writes it: four digits, a minus sign before the year 0, ``Y`` beyond 9999.

    >>> year_text(-529), year_text(12000)
    ('-0529', 'Y12000')
    """
    if abs(year) > 9999:
        return f"Y{year}"
    return f"{'-' if year < 0 else ''}{abs(year):04d}"
