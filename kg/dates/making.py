"""When the thing in hand was made, where a phrase tells several acts apart: "designed 1860, made 1874"."""

from __future__ import annotations

from dataclasses import dataclass

from kg.dates.conventions import Convention
from kg.dates.cursor import Cursor
from kg.dates.edtf import Edtf
from kg.dates.items import Item
from kg.dates.main_date import combined, edtf_of, not_before, spanning, up_to
from kg.dates.window import Window


@dataclass(frozen=True, slots=True)
class Making:
    """What a phrase says of when the thing in hand was made: EDTF, as printed and with the allowance."""

    edtf: str
    core: Window
    window: Window


def making_date(cursor: Cursor, items: list[Item], main: Edtf, means: Convention) -> Edtf | None:
    """The date to hold a making against, or None if the phrase gives none.

    A making that is named counts, with the begin and the end of the work; where none is named, a later
    printing, casting or assembling, for that made the thing in hand; then a date without a word.
    A design, a patent, or a print not dated gives only the day that the making is not before.
    """
    kinds = {item.kind for item in items}
    if not kinds - {""}:
        return main
    dated = [item for item in items if item.edtf is not None]
    plain = [item for item in dated if not item.kind]
    if any(item.edtf is None and item.kind in {"making", "later"} for item in items):
        return not_before(dated)
    made = _of_kind(dated, "making")[:1] or _of_kind(dated, "later")[:1]
    work, ends = _of_kind(dated, "begun"), _of_kind(dated, "finishing")
    if made or plain:
        base = edtf_of(made[0]) if made else combined(cursor, plain, means)
        base = _after_design(base, dated)
        return spanning([edtf_of(i) for i in work], base, [edtf_of(i) for i in ends])
    bounding, records = _of_kind(dated, "design") + _of_kind(dated, "legal"), _of_kind(dated, "record")
    if len(bounding) == len(dated):
        return not_before(dated)
    if bounding and len(bounding) + len(records) == len(dated):
        return up_to(not_before(bounding), edtf_of(records[0]))
    if work and ends:
        return spanning([], edtf_of(work[0]), [edtf_of(i) for i in ends])
    return main


def _after_design(base: Edtf, dated: list[Item]) -> Edtf:
    """ "made by 1874" after a design of 1860 was made from 1860 to 1874."""
    if base.window.first is not None:
        return base
    return up_to(not_before([item for item in dated if item.kind in {"design", "legal"}]), base)


def _of_kind(items: list[Item], kind: str) -> list[Item]:
    return [item for item in items if item.kind == kind]
