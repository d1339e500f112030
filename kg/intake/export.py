"""The daybook in open formats, each of which says of itself what was left out.

TriG, N-Quads and JSON-LD hold every entry whole; Turtle holds the working view; ``crm`` holds every claim in the words
of CIDOC CRM, CRMinf and PROV-O; CSV and the workbook have one line a claim. Every form reads back to the same claims.

Authority: RDF 1.1 TriG, Turtle, N-Triples and N-Quads (W3C 2014), JSON-LD 1.1 (W3C 2020), RFC 4180 for CSV.
"""

from __future__ import annotations

import csv
import io
import json
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
from kg.daybook.discretion import Discretion, LeftOut, total
from kg.daybook.record import Entry, Thing
from kg.daybook.shelf import entry_of
from kg.daybook.trig import read_in_order, to_trig
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.crm_names import PREFIXES
from kg.intake.crm_write import CrmWriter, view_quads
from kg.intake.export_xlsx import write_xlsx
from kg.intake.forms import Form
from kg.vocabulary import Vocabulary

COLUMNS = (
    "id", "subject", "subject label", "property", "value", "written", "source", "source label", "locator",
    "quotation", "standing", "entry", "recorded", "researcher",
)  # fmt: skip
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
#: A cell that begins with one of these is calculated by spreadsheets.
_FORMULA_STARTS = frozenset("=+-@\t\r")

#: The key under which a JSON-LD export tells what it is.
ABOUT = "about this export"

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
    remarks: tuple[str, ...] = ()
    """What else the form could not hold, or holds otherwise."""


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
    entries = list(_as_written(daybook, view) if form in _WHOLE else view.entries.values())
    if not with_confidential:
        entries = list(_open_parts(entries, Discretion(now), dropped))
    left_out = total(dropped)
    remarks = _remarks(daybook, view, left_out, with_confidential)
    more = _WRITERS[form](file, _told(entries, progress), view, remarks)
    claims = sum(len(entry.claims) for entry in entries)
    return Export(len(entries), claims, left_out, len(daybook.damaged), tuple(more or ()))


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


#: The forms that hold entries whole; the names of entries rest on the order in which things and claims stand in them.
_WHOLE = frozenset({Form.TRIG, Form.NQUADS, Form.JSONLD})


def _as_written(daybook: Daybook, view: WorkingView) -> Iterator[Entry]:
    """The entries with their things and claims in the order of their files."""
    files = {entry_of(name): name for name in daybook.shelf.names()}
    for entry in view.entries.values():
        if (
            len(entry.things) < MANY
            and len(entry.claims) < MANY
            and all(len(t.kinds) < MANY for t in entry.things)
        ):
            yield entry
        else:
            yield from read_in_order(daybook.shelf.read(files[entry.name]))


#: As many things of one sort can stand in more than one order.
MANY = 2


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
    # JSON has no comments. A key that the context does not define is no statement: readers of JSON-LD pass it over
    # (JSON-LD 1.1 API, section 5.1, expansion).
    quads = (quad for entry in entries for quad in _quads(entry, view.vocabulary))
    about = json.dumps({ABOUT: remarks}, ensure_ascii=False)[:-1]
    file.write(f'{about},"@graph":'.encode())
    ox.serialize(quads, output=file, format=ox.RdfFormat.JSON_LD)
    file.write(b"}")


def _things(entries: Iterable[Entry], view: WorkingView) -> list[Thing]:
    """The things that some entries describe, as all of these entries together describe them."""
    return list(WorkingView.of(view.vocabulary, entries).things.values())


def _write_turtle(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    kept = list(entries)
    file.write(_comments([*remarks, "The working view: live claims only, with what they state."]))
    triples = (quad.triple for quad in view_quads(kept, _things(kept, view), view))
    ox.serialize(triples, output=file, format=ox.RdfFormat.TURTLE, prefixes=PREFIXES)


def _write_crm(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> list[str]:
    return _crm(file, list(entries), view, remarks, ox.RdfFormat.TURTLE)


def _write_crm_nt(
    file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]
) -> list[str]:
    return _crm(file, list(entries), view, remarks, ox.RdfFormat.N_TRIPLES)


def _crm(
    file: IO[bytes], entries: list[Entry], view: WorkingView, remarks: list[str], form: ox.RdfFormat
) -> list[str]:
    writer = CrmWriter(view)
    told = "In the words of CIDOC CRM 7.1, CRMinf and PROV-O; sources/crm.md says how each property is put."
    file.write(_comments([*remarks, told]))
    triples = dict.fromkeys(quad.triple for quad in writer.quads(entries, _things(entries, view)))
    prefixes = PREFIXES if form is ox.RdfFormat.TURTLE else None
    ox.serialize(triples, output=file, format=form, prefixes=prefixes)
    more = []
    if writer.nearest:
        more.append(f"Put by their nearest word alone: {', '.join(sorted(writer.nearest))}.")
    if writer.lost:
        more.append(f"Claims left out, since this vocabulary does not understand them: {writer.lost}.")
    file.write(_comments(more))
    return more


def _write_xlsx(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    kept = list(entries)
    live = {claim.id for claim in view.live}
    claims = [claim for entry in kept for claim in entry.claims if claim.id in live]
    rows = (row for entry in kept for row in _rows(entry, view))
    write_xlsx(file, COLUMNS, rows, _things(kept, view), claims, view, remarks)


def _write_csv(file: IO[bytes], entries: Iterable[Entry], view: WorkingView, remarks: list[str]) -> None:
    text = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
    try:
        writer = csv.writer(text, lineterminator="\r\n")
        # CSV has no comments: the last heading says what the file is, and its column is empty.
        writer.writerow([*COLUMNS, safe_cell(" ".join(remarks))])
        for entry in entries:
            writer.writerows([*(safe_cell(cell) for cell in row), ""] for row in _rows(entry, view))
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

    A cell that has such a ``'`` already gets one more, so that taking one away always gives the cell back.

    >>> safe_cell("=1+1"), safe_cell("-34"), safe_cell("Lady"), safe_cell("'=1+1")
    ("'=1+1", '-34', 'Lady', "''=1+1")
    """
    begins = cell.lstrip("'")[:1] in _FORMULA_STARTS and not _NUMBER.fullmatch(cell)
    return f"'{cell}" if begins else cell


_WRITERS: dict[Form, Callable[[IO[bytes], Iterable[Entry], WorkingView, list[str]], list[str] | None]] = {
    Form.TRIG: _write_trig,
    Form.NQUADS: _write_nquads,
    Form.JSONLD: _write_jsonld,
    Form.TURTLE: _write_turtle,
    Form.CRM: _write_crm,
    Form.CRM_NTRIPLES: _write_crm_nt,
    Form.CSV: _write_csv,
    Form.XLSX: _write_xlsx,
}
