"""Dates as catalogues print them, in English, French and German, read into windows.

Nothing is guessed: a phrase is read whole or refused, with the place where reading stopped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from kg.dates.conventions import DEFAULT, Convention, convention
from kg.dates.cursor import Cursor
from kg.dates.edtf import Edtf, parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.dates.items import Item, read_items
from kg.dates.main_date import limit_of, main_date
from kg.dates.making import Making, making_date
from kg.dates.tokens import tokens_of
from kg.dates.window import Window

#: Longer text is prose, not a date.
LONGEST_PHRASE = 300

Language = Literal["en", "fr", "de"]

#: Signs that catalogues do not print and EDTF does.
_NOTATION = re.compile(r"\.\.|[0-9]X|[~%]")

_QUALIFIER_WORDS = {"approximate": "about", "uncertain": "perhaps", "both": "about, perhaps"}


@dataclass(frozen=True, slots=True)
class Stage:
    """One act that a phrase dates, such as designing or casting, with its own date if it has one.

    ``kind`` is design, begun, making, finishing, later (a printing, casting or assembling), altered (a
    repair, a dress), legal (a patent, a registration) or record (a sale, a gift); ``word`` is as
    printed, or "dated" where no word stands.
    """

    word: str
    kind: str
    edtf: str | None
    core: Window | None
    window: Window | None
    qualifier: str | None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a catalogue phrase says of a date, and how it was read.

    ``core`` is what is printed; ``window`` is the core widened for "circa" and "?" by the convention.
    """

    text: str
    status: Literal["read", "no-date"]
    edtf: str | None
    core: Window | None
    qualifier: str | None
    window: Window | None
    alternatives: tuple[Window, ...]
    stages: tuple[Stage, ...]
    why: str
    #: The date to hold a making against, where the phrase tells acts apart; see `making`.
    made: Making | None = None

    @property
    def making(self) -> Making | None:
        """When the thing in hand was made, or None if the phrase does not say.

        "designed 1860, made 1874" has the main dates 1860 to 1874, as museums index it; the making is
        1874. "patented 1873" says only that the making is not before 1873. Without stages it is the main date.

        >>> read_date("designed 1860, made 1874").making.edtf
        '1874'
        """
        return self.made


def read_date(
    text: str, convention_name: str = DEFAULT, *, circa: int | None = None, language: Language | None = None
) -> Reading:
    """What a catalogue phrase says of a date.

    :raises DateNotUnderstood: if any part of the phrase cannot be read.
    :raises ConventionUnknown: if there is no convention of that name.

    >>> reading = read_date("c. 1878")
    >>> reading.edtf, str(reading.window)
    ('1878~', '1873-01-01..1883-12-31/1873-01-01..1883-12-31')
    """
    means = convention(convention_name)
    if circa is not None:
        means = means.with_circa(circa)
    return read_phrase(text, means, language)


def read_phrase(text: str, means: Convention, language: Language | None = None) -> Reading:
    """What a catalogue phrase says of a date, under a convention already at hand.

    :raises DateNotUnderstood: if any part of the phrase cannot be read.
    """
    if len(text) > LONGEST_PHRASE:
        raise DateNotUnderstood(text, LONGEST_PHRASE, f"a date of at most {LONGEST_PHRASE} characters")
    return _read(text, means, language)


@lru_cache(maxsize=8192)
def _read(text: str, means: Convention, language: Language | None) -> Reading:
    if _NOTATION.search(text) and (written := _as_edtf(text)) is not None:
        window, why = _widened(written, means)
        told = _why(written, ["the text is EDTF"], why)
        return Reading(
            text,
            "read",
            written.text,
            written.window,
            _words(written),
            window,
            written.alternatives,
            (),
            told,
            Making(written.text, written.window, window),
        )
    cursor = Cursor(text, tokens_of(text), language)
    items = read_items(cursor, means)
    if not items:
        if any(token.has("nodate") for token in cursor.tokens):
            return Reading(
                text, "no-date", None, None, None, None, (), (), "The source says that it has no date."
            )
        raise DateNotUnderstood(text, 0, "a date")
    edtf = main_date(cursor, items, means)
    window, why = _widened(edtf, means)
    limit = limit_of(items)
    if limit is not None and edtf.qualifier is not None:
        window = window.clipped(limit)
    staged = any(item.kind for item in items)
    making = making_date(cursor, items, edtf, means)
    return Reading(
        text,
        "read",
        edtf.text,
        edtf.window,
        _words(edtf),
        window,
        edtf.alternatives if len(edtf.alternatives) > 1 else (),
        tuple(_stage(item, means) for item in items) if staged else (),
        _why(edtf, cursor.notes, why),
        _making(making, edtf, window, means),
    )


def _making(making: Edtf | None, main: Edtf, window: Window, means: Convention) -> Making | None:
    if making is None:
        return None
    wide = window if making is main else _widened(making, means)[0]
    return Making(making.text, making.window, wide)


def _as_edtf(text: str) -> Edtf | None:
    try:
        return parse_edtf(text)
    except DateNotUnderstood:
        return None


def _words(edtf: Edtf) -> str | None:
    return _QUALIFIER_WORDS[edtf.qualifier] if edtf.qualifier else None


def _widened(edtf: Edtf, means: Convention) -> tuple[Window, str]:
    if edtf.qualifier is None:
        return edtf.window, ""
    window, widths = means.widened(edtf.window, edtf.begin_qualifier, edtf.end_qualifier)
    told = "; ".join(f"{w.years} years ({w.basis})" for w in widths)
    return window, f"'{_words(edtf)}' allows {told}, by the convention '{means.name}'" if told else ""


def _stage(item: Item, means: Convention) -> Stage:
    word, kind = item.word or "dated", item.kind or "making"
    if item.edtf is None:
        return Stage(word, kind, None, None, None, None)
    window, _ = _widened(item.edtf, means)
    return Stage(word, kind, item.edtf.text, item.edtf.window, window, _words(item.edtf))


def _why(edtf: Edtf, notes: list[str], width: str) -> str:
    told = [f"Read as {edtf.text}", *dict.fromkeys(notes), *([width] if width else [])]
    return "; ".join(told) + "."
