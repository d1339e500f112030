"""Who touched a thing or a claim, and when: the entries behind it, the latest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from kg.chronology.telling import MONTHS
from kg.daybook.view import WorkingView


@dataclass(frozen=True, slots=True)
class Touch:
    """One entry that speaks of a thing or claim."""

    entry: str
    day: str
    researcher: str
    note: str
    holds: str
    """What the entry holds in all, such as "2 things, 5 claims"."""


def touches(view: WorkingView, entries: Iterable[str]) -> tuple[Touch, ...]:
    """Some entries as they are told, the latest first."""
    found = sorted({name for name in entries if name in view.entries}, reverse=True)
    return tuple(touch(view, name) for name in found)


def touch(view: WorkingView, name: str) -> Touch:
    """One entry as it is told."""
    entry = view.entries[name]
    holds = _holds(entry.things, entry.claims, entry.judgements)
    return Touch(name, day_of_entry(entry.recorded), entry.researcher, entry.note, holds)


def day_of_entry(recorded: datetime) -> str:
    """The day of recording as one writes it.

    >>> day_of_entry(datetime(2026, 6, 15, 9))
    '15 June 2026'
    """
    return f"{recorded.day} {MONTHS[recorded.month - 1]} {recorded.year}"


def _holds(things: tuple[object, ...], claims: tuple[object, ...], judgements: tuple[object, ...]) -> str:
    counted = ((len(things), "thing"), (len(claims), "claim"), (len(judgements), "judgement"))
    return ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for count, word in counted if count)
