"""The dates that a sentence says, each as a window, and whether the dates of its claims lie in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.dates.phrases import read_date
from kg.dates.window import Window
from kg.errors import KilnmarkError
from kg.essays.auditing.words import any_of, values, words

_MONTH = (
    "January|February|March|April|May|June|July|August|September|October|November|December|Januar|Februar|März|Mai|"
    "Juni|Juli|Oktober|Dezember|janvier|février|mars|avril|mai|juin|juillet|août|septembre|octobre|novembre|décembre|"
    "Jan\\.?|Feb\\.?|Aug\\.?|Sept?\\.?|Oct\\.?|Nov\\.?|Dec\\.?"
)
_YEAR = r"(?:1[4-9]|20)\d\d"
_PART = r"(?:early|mid|middle|late|first half of the|second half of the|(?:first|second|third|last) quarter of the)"
_DATE = re.compile(
    rf"(?P<day>(?:\d{{1,2}}(?:st|nd|rd|th|\.)? )?(?:{_MONTH}) {_YEAR}\b|(?:{_MONTH}) \d{{1,2}}, {_YEAR}\b)"
    rf"|(?P<iso>\b{_YEAR}-\d\d-\d\d\b)"
    rf"|(?P<season>(?:spring|summer|autumn|winter) (?:of )?{_YEAR}\b)"
    rf"|(?P<decade>(?:{_PART}[ -])?\b{_YEAR}s\b)"
    rf"|(?P<century>(?:{_PART}[ -])?\b(?:1[4-9]|20|2[01])th[ -]century\b)"
    rf"|(?P<range>\b{_YEAR} ?[–—/-] ?(?:{_YEAR}|\d\d)\b(?![\d-]))"
    rf"|(?P<either>\b{_YEAR} or {_YEAR}\b)"
    rf"|(?P<year>(?<![\d£$€])\b{_YEAR}\b(?![\d%]))",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\b(?:between|zwischen|entre) ((?:the (?:beginning|end) of )?)$", re.IGNORECASE)
_UNIT_BEHIND = re.compile(r"\s?(?:mm|cm|in\.|inch|francs?|marks|pounds|pieces|dolls|copies)\b", re.IGNORECASE)
_LEAD_NUMBER = re.compile(
    rf"(?:{'|'.join(re.escape(w) for w in sorted(words('number_lead'), key=len, reverse=True))})\s*$",
    re.IGNORECASE,
)
#: How far behind a date its leading words are sought.
_REACH = 60


@dataclass(frozen=True, slots=True)
class SaidDate:
    """A date as a sentence says it."""

    first: int
    last: int
    words: str
    core: Window
    wide: Window
    """The window widened for "about"."""
    direction: str | None = None
    """before, by, after or from; None where the date is said to be the time itself."""
    is_negated: bool = False
    is_rough: bool = False
    ends: tuple[SaidDate, ...] = ()
    """For a stretch of years, the dates at its two ends."""


def said_dates(text: str) -> tuple[SaidDate, ...]:
    """The dates that a text says, in their order.

    >>> [(d.words, d.direction) for d in said_dates("made about 1878, before no. 1900 of June 1884")]
    [('about 1878', None), ('June 1884', None)]
    """
    found = [said for match in _DATE.finditer(text) if (said := _said(text, match)) is not None]
    return tuple(_with_between(text, found))


def _said(text: str, match: re.Match[str]) -> SaidDate | None:
    before = text[max(0, match.start() - _REACH) : match.start()]
    kind = match.lastgroup
    if kind == "year" and (_LEAD_NUMBER.search(before) or _UNIT_BEHIND.match(text, match.end())):
        return None
    core = _window(match[0])
    if core is None:
        return None
    lead, qualifier = _qualifier(before)
    wide = (
        (_window(f"{'perhaps' if qualifier == 'perhaps' else 'about'} {match[0]}") or core)
        if qualifier
        else core
    )
    direction, lead = _direction(lead)
    start = match.start() - (len(before) - len(lead) if qualifier else 0)
    return SaidDate(
        start,
        match.end(),
        text[start : match.end()],
        core,
        wide,
        direction,
        _NOT.search(re.split(r"[;:.]|, ", lead)[-1]) is not None,
        bool(qualifier),
        _ends(match) if kind in ("range", "either") else (),
    )


@lru_cache(maxsize=4096)
def _window(phrase: str) -> Window | None:
    try:
        return read_date(phrase.replace("—", "–").replace("mid-", "mid ")).window
    except (KilnmarkError, ValueError):
        return None


def _ends(match: re.Match[str]) -> tuple[SaidDate, ...]:
    years = re.findall(r"\d+", match[0])
    if len(years[1]) == 2:
        years[1] = years[0][:2] + years[1]
    windows = [_window(year) for year in years]
    return tuple(
        SaidDate(match.start(), match.end(), year, window, window)
        for year, window in zip(years, windows, strict=True)
        if window is not None
    )


_QUALIFIER = any_of(words("date_qualifier"))
_BEHIND_QUALIFIER = re.compile(r"(?:\s|in |on |the |early |late )*", re.IGNORECASE)


def _qualifier(before: str) -> tuple[str, str]:
    """What stands before a date without its "about", and that word."""
    last = _last(_QUALIFIER, before)
    if last is None or not _BEHIND_QUALIFIER.fullmatch(before, last.end()):
        return before, ""
    return before[: last.start()], last[0].casefold()


def _last(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    return next(reversed(list(pattern.finditer(text))), None)


_DIRECTION = any_of(words("direction"))
_BEHIND_DIRECTION = re.compile(r"(?:\s|the (?:end|beginning) of |the |in |on )*", re.IGNORECASE)


def _direction(before: str) -> tuple[str | None, str]:
    """Whether "before" or the like leads a date, and what stands before that."""
    last = _last(_DIRECTION, before)
    if last is None or not _BEHIND_DIRECTION.fullmatch(before, last.end()):
        return None, before
    return values("direction").get(last[0].casefold()), before[: last.start()]


_NOT = any_of(words("not"))


def _with_between(text: str, found: list[SaidDate]) -> Iterator[SaidDate]:
    """The dates, with "between A and B" as one stretch that has two ends."""
    skip = -1
    for number, said in enumerate(found):
        if number == skip:
            continue
        other = found[number + 1] if number + 1 < len(found) else None
        lead = _BETWEEN.search(text[: said.first])
        if (
            other is not None
            and lead
            and re.fullmatch(
                r" (?:and|und|et) (?:the (?:end|beginning) of )?",
                text[said.last : other.first],
                re.IGNORECASE,
            )
        ):
            skip = number + 1
            whole = _between(said.core, other.core)
            yield SaidDate(
                lead.start(), other.last, text[lead.start() : other.last], whole, whole, ends=(said, other)
            )
        else:
            yield said


def _between(one: Window, other: Window) -> Window:
    days = [day for window in (one, other) for day in (window.first, window.last) if day is not None]
    return Window.within(min(days), max(days)) if days else Window()


@dataclass(frozen=True, slots=True)
class HeldDate:
    """A date that a claim holds: without and with the width of its circa."""

    core: Window
    wide: Window
    is_rough: bool


def holds(said: SaidDate, held: Iterable[HeldDate], edges: Iterable[int]) -> bool:
    """Whether claims hold a date: one of theirs lies in it, or it is a limit that follows from them."""
    held, edges = tuple(held), tuple(edges)
    if said.ends:
        each = [_is_point(end, held, edges) for end in said.ends]
        # Where one end is a date on record the other must be; a stretch of neither is a window around one.
        return all(each) or (not any(each) and any(_lies_in(said.core, one) for one in held))
    if _is_point(said, held, edges):
        return True
    if said.direction is None or said.is_negated:
        return False
    reach = _reach(said)
    return any(reach.contains(one.wide) for one in held)


def _is_point(said: SaidDate, held: tuple[HeldDate, ...], edges: tuple[int, ...]) -> bool:
    if any(day in said.core for day in edges):
        return True
    for one in held:
        if said.is_rough and (said.core.contains(one.core) or said.wide.contains(one.wide)):
            return True
        if not one.is_rough and said.core.contains(one.core):
            return True
        if one.is_rough and said.core.contains(one.wide):
            return True
        if said.direction is not None and said.core.contains(one.core):
            return True
    return False


def _lies_in(window: Window, held: HeldDate) -> bool:
    return held.core.span is not None and window.contains(held.wide)


def _reach(said: SaidDate) -> Window:
    """The days that "before", "by", "after" or "from" a date leaves."""
    core = said.core
    match said.direction:
        case "before":
            return Window.within(None, core.first - 1 if core.first is not None else None)
        case "by":
            return Window.within(None, core.last)
        case "after":
            return Window.within(core.last + 1 if core.last is not None else None, None)
        case _:
            return Window.within(core.first, None)
