"""Named periods, such as "Second Empire" or "Biedermeier", with their years and the source of these."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache

from kg.resources import resource


@dataclass(frozen=True, slots=True)
class Period:
    """A named stretch of years in a region, with the source that gives them."""

    name: str
    region: str
    begin: int
    begin_is_about: bool
    end: int
    end_is_about: bool
    kind: str
    source: str
    confidence: str
    note: str

    @property
    def edtf(self) -> str:
        """The period as EDTF: one date somewhere within it.

        >>> periods()["Jugendstil"].edtf
        '[1895~..1910~]'
        """
        low, high = f"{self.begin:04d}{'~' * self.begin_is_about}", f"{self.end:04d}{'~' * self.end_is_about}"
        return f"[{low}..{high}]"


@lru_cache(maxsize=1)
def periods() -> dict[str, Period]:
    """Every period of sources/periods.csv, by the name in its first column."""
    with resource("sources/periods.csv").open(encoding="utf-8", newline="") as file:
        return {row["period"]: _from_row(row) for row in csv.DictReader(file)}


@lru_cache(maxsize=1)
def period_names() -> tuple[tuple[str, str, str], ...]:
    """Every name that a period goes by: the name as written, the period's own name, the language."""
    with resource("sources/conventions/period_names.csv").open(encoding="utf-8", newline="") as file:
        return tuple((row["name"], row["period"], row["language"]) for row in csv.DictReader(file))


def _from_row(row: dict[str, str]) -> Period:
    begin, end = row["begin"], row["end"]
    return Period(
        row["period"],
        row["region"],
        int(begin.rstrip("~")),
        begin.endswith("~"),
        int(end.rstrip("~")),
        end.endswith("~"),
        row["kind"],
        row["source"],
        row["confidence"],
        row["note"],
    )
