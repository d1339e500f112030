"""The daybook in open formats: TriG, N-Quads and JSON-LD hold every entry whole, CSV one line a claim.

Authority: RDF 1.1 TriG and N-Quads (W3C 2014), JSON-LD 1.1 (W3C 2020), RFC 4180 for CSV.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import IO

import pyoxigraph as ox

from kg.daybook.daybook import Daybook
from kg.daybook.record import Entry
from kg.daybook.trig import to_trig
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.discretion import Discretion, LeftOut, total
from kg.intake.forms import Form
from kg.vocabulary import CLAIM, ENTRY, JUDGEMENT, RDF, RDFS, THING, XSD, K, Vocabulary

COLUMNS = (
    "id", "subject", "subject label", "property", "value", "written", "source", "source label", "locator",
    "quotation", "standing", "entry", "recorded", "researcher",
)  # fmt: skip
_PREFIXES = {"k": K, "t": THING, "c": CLAIM, "e": ENTRY, "j": JUDGEMENT, "rdf": RDF, "rdfs": RDFS, "xsd": XSD}
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
#: A cell that begins with one of these is calculated by spreadsheets.
_FORMULA_STARTS = frozenset("=+-@\t\r")

Progress = Callable[[str, int, int], None]


class CannotExport(KilnmarkError):
    """The export was to be written where it must not be."""


@dataclass(frozen=True, slots=True)
class Export:
    """What was exported and what was left out."""

    entries: int
    claims: int
    left_out: LeftOut
    damaged: int
    """Entry files that could not be read; ``kilnmark verify`` names them."""


def export_daybook(
    daybook: Daybook,
    form: Form,
    file: IO[bytes],
    *,
    as_of: date | None = None,
    with_confidential: bool = False,
    progress: Progress | None = None,
) -> Export:
    """Write the daybook, as it is or was at the end of a day, to an open binary file."""
    now = daybook.view()
    view = daybook.view(as_of) if as_of else now
    dropped: dict[str, LeftOut] = {}
    entries = list(view.entries.values())
    if not with_confidential:
        entries = list(_open_parts(entries, Discretion(now), dropped))
    left_out = total(dropped)
    _WRITERS[form](file, _told(entries, progress), view, _remarks(daybook, view, left_out, with_confidential))
    return Export(len(entries), sum(len(e.claims) for e in entries), left_out, len(daybook.damaged))


@contextmanager
def new_file(path: Path, daybook: Daybook) -> Iterator[IO[bytes]]:
    """An output file that appears under its name only when it is whole.

    :raises CannotExport: if it would lie in the daybook's own folder, or its folder is absent.
    """
    path = path.resolve()
    if path.is_relative_to(daybook.shelf.folder.resolve()):
        raise CannotExport(f"{path} lies in the daybook's own folder. Choose a place outside of it.")
    if not path.parent.is_dir() or path.is_dir():
        raise CannotExport(
            f"{path} cannot be written as a file. Choose a file name in a folder that is there."
        )
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with temporary.open("xb") as file:
            yield file
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


def _open_parts(
    entries: Iterable[Entry], discretion: Discretion, dropped: dict[str, LeftOut]
) -> Iterator[Entry]:
    for entry in entries:
        kept, dropped[entry.name] = discretion.open_part(entry)
        if kept is not None:
            yield kept


def _told(entries: list[Entry], progress: Progress | None) -> Iterator[Entry]:
    for number, entry in enumerate(entries):
        if progress and number % 100 == 0:
            progress("entries written", number, len(entries))
        yield entry


def _remarks(daybook: Daybook, view: WorkingView, left_out: LeftOut, with_confidential: bool) -> list[str]:
    """What the export says of itself, where its format has comments."""
    when = f"as of {view.as_of.isoformat()}" if view.as_of else "as it stands"
    if with_confidential:
        discretion = (
            "CONFIDENTIAL: this export holds confidential matter. Do not pass it on or print from it."
        )
    elif left_out:
        discretion = f"Left out as confidential: {left_out}."
    else:
        discretion = "Nothing was left out as confidential."
    title = " ".join(daybook.title.split())
    remarks = [f"Kilnmark daybook {title!r}, {when}.", discretion]
    if daybook.damaged:
        remarks.append(f"{len(daybook.damaged)} damaged entry files could not be read and are not in here.")
    return remarks


def _comments(remarks: Iterable[str]) -> bytes:
    return "".join(f"# {remark}\n" for remark in remarks).encode()


def _write_trig(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    file.write(_comments(remarks))
    for entry in entries:
        file.write(to_trig(entry, view.vocabulary))


def _quads(entry: Entry, vocabulary: Vocabulary) -> Iterable[ox.Quad]:
    return ox.parse(to_trig(entry, vocabulary), format=ox.RdfFormat.TRIG)


def _write_nquads(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    file.write(_comments(remarks))
    for entry in entries:
        ox.serialize(_quads(entry, view.vocabulary), output=file, format=ox.RdfFormat.N_QUADS)


def _write_jsonld(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    # JSON has no comments: what was left out is told on standard error alone.
    quads = (quad for entry in entries for quad in _quads(entry, view.vocabulary))
    ox.serialize(quads, output=file, format=ox.RdfFormat.JSON_LD, prefixes=_PREFIXES)


def _write_csv(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    text = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
    try:
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow(COLUMNS)
        for entry in entries:
            writer.writerows([safe_cell(cell) for cell in row] for row in _rows(entry, view))
    finally:
        text.detach()


def _rows(entry: Entry, view: WorkingView) -> Iterator[tuple[str, ...]]:
    recorded = entry.recorded.isoformat().replace("+00:00", "Z")
    for claim in entry.claims:
        cited = claim.citation
        yield (
            claim.id, claim.subject, view.label(claim.subject), claim.property, claim.value, claim.written or "",
            cited.source, view.label(cited.source), cited.locator, cited.quotation or "",
            view.standing(claim.id), entry.name, recorded, entry.researcher,
        )  # fmt: skip


def safe_cell(cell: str) -> str:
    """A cell that no spreadsheet calculates: one that begins as a formula gets a ``'`` before it, unless a number.

    >>> safe_cell("=1+1"), safe_cell("-34"), safe_cell("Lady")
    ("'=1+1", '-34', 'Lady')
    """
    return f"'{cell}" if cell[:1] in _FORMULA_STARTS and not _NUMBER.fullmatch(cell) else cell


_WRITERS: dict[Form, Callable[[IO[bytes], Iterable[Entry], WorkingView, list[str]], None]] = {
    Form.TRIG: _write_trig,
    Form.NQUADS: _write_nquads,
    Form.JSONLD: _write_jsonld,
    Form.CSV: _write_csv,
}
