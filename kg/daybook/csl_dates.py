"""Dates as the Citation Style Language takes them."""

from __future__ import annotations

import re
from typing import Any

from kg.dates.edtf import parse_edtf
from kg.dates.errors import DateNotUnderstood

_PLAIN = re.compile(r"(-?\d{4})(?:-(\d\d)(?:-(\d\d))?)?")
#: Seasons of EDTF level 1, which CSL numbers from 1.
_SEASON = re.compile(r"(\d{4})-2([1-4])")


def csl_date(edtf: str, written: str | None = None) -> dict[str, Any]:
    """A date in EDTF as a CSL date: its parts where it is plain, else the words that the source prints.

    >>> csl_date("1880-06-30")
    {'date-parts': [[1880, 6, 30]]}
    >>> csl_date("1903/1905")
    {'date-parts': [[1903], [1905]]}
    >>> csl_date("1892~", "c. 1892")
    {'literal': 'c. 1892'}
    >>> csl_date("1916-22", "summer 1916")
    {'date-parts': [[1916]], 'season': 2}
    """
    parts = [_parts(side) for side in edtf.split("/")]
    if len(parts) <= 2 and all(parts) and _is_date(edtf):
        return {"date-parts": parts}
    season = _SEASON.fullmatch(edtf)
    if season:
        return {"date-parts": [[int(season[1])]], "season": int(season[2])}
    return {"literal": written or edtf}


def _parts(text: str) -> list[int]:
    """Year, month and day as far as a plain date has them; none for another date."""
    plain = _PLAIN.fullmatch(text)
    if plain is None or (plain[2] and int(plain[2]) > 12):
        return []
    return [int(part) for part in plain.groups() if part is not None]


def _is_date(text: str) -> bool:
    try:
        parse_edtf(text)
    except DateNotUnderstood:
        return False
    return True
