"""The scale on which constraints are reckoned: every year 372 steps long, every month 31.

On it "ten years later" is one constant, the same day of the same month, whatever leap days lie between; on a count of
days it is not. Order is kept, and so is every difference in whole years or months. Days that no calendar has (31 April)
have a step of their own; a last day falls back from it to the day before, a first day goes on to the day after.
"""

from __future__ import annotations

from functools import lru_cache

from kg.dates.window import civil, day_of, month_length

STEPS_A_MONTH = 31
STEPS_A_YEAR = 12 * STEPS_A_MONTH


@lru_cache(maxsize=65_536)
def step_of(day: int) -> int:
    """The step of a day.

    >>> from kg.dates.window import day_of
    >>> step_of(day_of(1908, 12, 31)) - step_of(day_of(1898, 12, 31)) == 10 * STEPS_A_YEAR
    True
    """
    year, month, of_month = civil(day)
    return year * STEPS_A_YEAR + (month - 1) * STEPS_A_MONTH + of_month - 1


def last_day(step: int) -> int:
    """The last day that is not after a step."""
    year, month, of_month = _parts(step)
    return day_of(year, month, min(of_month, month_length(year, month)))


def first_day(step: int) -> int:
    """The first day that is not before a step."""
    year, month, of_month = _parts(step)
    past = of_month > month_length(year, month)
    return last_day(step) + (1 if past else 0)


def _parts(step: int) -> tuple[int, int, int]:
    year, rest = divmod(step, STEPS_A_YEAR)
    month, of_month = divmod(rest, STEPS_A_MONTH)
    return year, month + 1, of_month + 1
