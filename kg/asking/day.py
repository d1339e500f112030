"""The day that a reader asks about: today, or a past day as an address or a box gives it."""

from __future__ import annotations

from datetime import UTC, date, datetime

from kg.errors import KilnmarkError


class NoPastDay(KilnmarkError):
    """A day was named that is no day, or has not come yet."""


def past_day(text: str, today: date | None = None) -> date | None:
    """The past day that a text names; None is today, as the daybook stands now.

    >>> past_day("2026-06-15", date(2026, 7, 1)), past_day("2026-07-01", date(2026, 7, 1)), past_day("")
    (datetime.date(2026, 6, 15), None, None)

    :raises NoPastDay: if it is no day, or has not come yet.
    """
    today = today or datetime.now(UTC).date()  # entries are dated in UTC
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise NoPastDay(f"{text!r} is no day. Give a day such as 2026-06-15.") from error
    if day > today:
        raise NoPastDay(f"{day} has not come yet. Give a past day.")
    return None if day == today else day
