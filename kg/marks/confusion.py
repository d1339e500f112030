"""How worn characters are misread: the chance that a character as written is seen as another.

The figures are those of sources/rules/confusions.csv, each with its basis; none has been measured yet.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from kg.marks.matching_symbols import FIRST, SYMBOLS, symbols_of_character
from kg.resources import resource

Facing = Literal["as written", "mirrored", "inverted"]
Chances = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Confusion:
    """A row of the table: in some circumstance, one character is seen as another with some chance."""

    kind: str
    written: str
    seen: str
    chance: float
    because: str
    basis: str


@dataclass(frozen=True)
class ConfusionModel:
    """The chances of misreading, as matrices over symbols: row as written, column as seen."""

    rows: tuple[Confusion, ...]

    def chance(self, name: str) -> float:
        """A single chance that is no confusion of two characters, such as ``missing run begins``."""
        return next(row.chance for row in self.rows if row.kind == "chance" and row.written == name)

    @lru_cache(maxsize=8)  # noqa: B019 - the model is one per process, from `confusion_model`.
    def seen_as(self, facing: Facing = "as written", *, is_uncertain: bool = False) -> Chances:
        """The chance that a symbol as written is seen as each other one; each row adds up to one.

        Rows and columns of symbols that are no characters are zero.
        """
        chances = np.zeros((SYMBOLS, SYMBOLS))
        named = {"worn", "script", facing}
        for row in self.rows:
            if row.kind in named:
                written, seen = (symbols_of_character(c)[0] for c in (row.written, row.seen))
                chances[written, seen] += row.chance
        stray = self.chance("another character")
        chances[FIRST:, FIRST:] += stray / (SYMBOLS - FIRST)
        inside = range(FIRST, SYMBOLS)
        others = chances.sum(axis=1)
        # A row whose confusions come near to certainty keeps a twentieth for the character itself.
        too_much = others > 0.95
        chances[too_much] *= (0.95 / others[too_much])[:, None]
        chances[inside, inside] += (1 - chances.sum(axis=1))[FIRST:]
        return self._uncertain(chances) if is_uncertain else chances

    def _uncertain(self, chances: Chances) -> Chances:
        """With a share of each character's certainty given to those it resembles, and to any other."""
        share = self.chance("uncertain character")
        alike = chances.copy()
        inside = np.arange(FIRST, SYMBOLS)
        alike[inside, inside] = 0
        alike[FIRST:] /= alike[FIRST:].sum(axis=1, keepdims=True)
        flat = np.zeros_like(chances)
        flat[FIRST:, FIRST:] = 1 / (SYMBOLS - FIRST)
        return (1 - share) * chances + share * (0.6 * alike + 0.4 * flat)


@lru_cache(maxsize=1)
def confusion_model() -> ConfusionModel:
    """The model that ships."""
    with resource("sources/rules/confusions.csv").open(encoding="utf-8", newline="") as table:
        return ConfusionModel(
            tuple(
                Confusion(r["kind"], r["written"], r["seen"], float(r["chance"]), r["because"], r["basis"])
                for r in csv.DictReader(table)
            )
        )
