"""The daybook as a workbook: a sheet about the export, one of all claims, and one for each kind of thing.

Every cell is text, so that nothing in it is calculated. Authority: Office Open XML, ISO/IEC 29500.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import IO

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from kg.daybook.record import Claim, Thing
from kg.daybook.view import WorkingView

#: What a cell and a sheet hold at most.
LONGEST_CELL, MOST_ROWS = 32_767, 1_048_576
#: Characters of a sheet's name, and those that it cannot hold.
LONGEST_TITLE = 31
_NOT_IN_TITLES = re.compile(r"[\[\]:*?/\\']")
_WIDEST, _NARROWEST = 60, 8
ABOUT, CLAIMS = "About this export", "Claims"


class _Book:
    """A workbook of text cells that counts what it had to cut or take out."""

    def __init__(self) -> None:
        self.book = Workbook(write_only=True)
        self.cut = self.cleaned = self.left = 0
        self.titles: set[str] = set()

    def begin(self, title: str) -> WriteOnlyWorksheet:
        """A new sheet behind those that are there."""
        sheet: WriteOnlyWorksheet = self.book.create_sheet(self.title(title))
        return sheet

    def fill(self, sheet: WriteOnlyWorksheet, headings: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        """Write a sheet: headings that stay in sight, and rows of text."""
        kept = list(rows)
        self.left += max(len(kept) - (MOST_ROWS - 1), 0)
        kept = kept[: MOST_ROWS - 1]
        sheet.freeze_panes = "A2"
        for number, heading in enumerate(headings):
            longest = max((len(row[number]) for row in kept[:500]), default=0)
            width = min(max(longest, len(heading), _NARROWEST) + 2, _WIDEST)
            sheet.column_dimensions[_letters(number)].width = width  # type: ignore[attr-defined]  # the stubs lack it
        sheet.append([self.cell(sheet, heading, is_bold=True) for heading in headings])
        for row in kept:
            sheet.append([self.cell(sheet, value) for value in row])

    def cell(self, sheet: WriteOnlyWorksheet, text: str, *, is_bold: bool = False) -> Cell:
        """A cell that holds a text as text, whatever it begins with."""
        clean = ILLEGAL_CHARACTERS_RE.sub("", text)
        self.cleaned += clean != text
        if len(clean) > LONGEST_CELL:
            self.cut += 1
            clean = clean[: LONGEST_CELL - 1] + "…"
        cell: Cell = WriteOnlyCell(sheet, value=clean)
        cell.data_type = "s"
        if is_bold:
            cell.font = Font(bold=True)
        return cell

    def title(self, wanted: str) -> str:
        """A name for a sheet that no other sheet has."""
        base = _NOT_IN_TITLES.sub(" ", wanted).strip()[:LONGEST_TITLE] or "Sheet"
        title, number = base, 2
        while title.casefold() in self.titles:
            title, number = f"{base[: LONGEST_TITLE - 4]} {number}", number + 1
        self.titles.add(title.casefold())
        return title


def write_xlsx(
    file: IO[bytes],
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    things: Sequence[Thing],
    claims: Sequence[Claim],
    view: WorkingView,
    remarks: Sequence[str],
) -> None:
    """Write a workbook of the claims and things that an export holds.

    ``rows`` are the claims as lines of text under ``headings``; ``claims`` those that take part in the working view.
    """
    book = _Book()
    about = book.begin(ABOUT)
    book.fill(book.begin(CLAIMS), headings, rows)
    by_thing: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        by_thing[claim.subject].append(claim)
    for label, members in sorted(_by_kind(things, view).items()):
        told = [thing for thing in members if thing.slug in by_thing]
        if told:
            book.fill(book.begin(label), *_table(told, by_thing, view))
    book.fill(about, [ABOUT], [[line] for line in _about(book, remarks)])
    whole = io.BytesIO()  # a reader that goes away in the middle must not break the packing
    book.book.save(whole)
    file.write(whole.getbuffer())


def _by_kind(things: Iterable[Thing], view: WorkingView) -> dict[str, list[Thing]]:
    """Things by the broadest kind below that of things in general: makers, pieces and parts, sources."""
    found: dict[str, list[Thing]] = defaultdict(list)
    for thing in things:
        labels = {_broadest(kind, view) for kind in thing.kinds if kind in view.vocabulary.kinds}
        for label in labels or {"other things"}:
            found[label].append(thing)
    return found


def _broadest(kind: str, view: WorkingView) -> str:
    kinds = view.vocabulary.kinds
    while (parent := kinds[kind].parent) and parent in kinds and kinds[parent].parent in kinds:
        kind = parent
    return kinds[kind].label


def _table(
    things: Sequence[Thing], by_thing: dict[str, list[Claim]], view: WorkingView
) -> tuple[list[str], list[list[str]]]:
    """A line for each thing, a column for each property that is said of one; several values stand one below another."""
    props = view.vocabulary.properties
    used = {claim.property for thing in things for claim in by_thing[thing.slug]}
    columns = sorted(used, key=lambda name: (props[name].group, props[name].order, name))
    rows = []
    for thing in sorted(things, key=lambda thing: (thing.label.casefold(), thing.slug)):
        values: dict[str, list[str]] = defaultdict(list)
        for claim in by_thing[thing.slug]:
            doubt = "" if view.standing(claim.id) == "held" else " (doubted)"
            values[claim.property].append(view.value_text(claim) + doubt)
        kinds = ", ".join(view.vocabulary.kinds[k].label for k in thing.kinds if k in view.vocabulary.kinds)
        cells = ["\n".join(dict.fromkeys(values[name])) for name in columns]
        rows.append([thing.slug, thing.label, kinds, *cells])
    return ["id", "name", "kind", *(props[name].label for name in columns)], rows


def _about(book: _Book, remarks: Sequence[str]) -> list[str]:
    counts = (
        (book.cleaned, "cells held control characters, which were taken out."),
        (book.cut, f"cells held more than {LONGEST_CELL:,} characters and were cut; TriG holds them whole."),
        (book.left, f"lines were left out: a sheet holds {MOST_ROWS:,}. TriG holds them all."),
    )
    return [
        *remarks,
        "Each line of the sheet of claims is one claim with its source. The other sheets hold what stands now.",
        *(f"{number:,} {what}" for number, what in counts if number),
    ]


def _letters(number: int) -> str:
    """The name of a column: A, B, … Z, AA.

    >>> _letters(0), _letters(27)
    ('A', 'AB')
    """
    found = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        found = chr(65 + rest) + found
    return found
