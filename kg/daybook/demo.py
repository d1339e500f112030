"""The demo: an invented doll trade, read from sources/demo and recorded note by note."""

from __future__ import annotations

import csv
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kg.daybook.daybook import Daybook, Note
from kg.daybook.note_reader import BadNote, Fault
from kg.daybook.notes import note_from_tables
from kg.daybook.shelf import MARKER, check_is_free
from kg.daybook.view import WorkingView
from kg.resources import resource

#: The piece that the first command of the demo tests, and the words of its dating in print.
MAIN_PIECE = "piece-lady-with-blue-snood"
MAIN_PHRASE = "about 1878"
TITLE = "Demo: an invented trade"


@dataclass(frozen=True, slots=True)
class DemoNote:
    """One note of the demo: its file name without the ending, and its tables as written."""

    name: str
    tables: Mapping[str, Any]


def begin_demo(folder: Path) -> Daybook:
    """A new daybook in a folder, holding the invented trade; its entries have the same names every time.

    :raises kg.daybook.shelf.DaybookExists: if the folder holds anything.
    """
    check_is_free(folder)
    folder = folder.resolve()
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent, prefix=f".{folder.name}.") as beside:
        made = Path(beside) / "demo"
        book = Daybook.begin(made, TITLE)
        for note in demo_notes():
            book.record(book.compose(read_demo_note(note, book.view())))
        _put(made, folder)
    return Daybook.open(folder)


def _put(made: Path, folder: Path) -> None:
    """Move a whole daybook to its place; into a folder that is there already its settings file goes last."""
    if not folder.exists():
        made.rename(folder)
        return
    for part in sorted(made.iterdir(), key=lambda part: part.name == MARKER):
        part.rename(folder / part.name)


def demo_notes(folder: Path | None = None) -> Iterator[DemoNote]:
    """The notes of the demo in their order, each with the tables beside it taken in."""
    for path in sorted((folder or resource("sources/demo/notes")).glob("*.toml")):
        tables: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
        for kind in ("thing", "claim"):
            rows = list(_rows(path.with_suffix(f".{kind}s.csv")))
            if rows:
                tables[kind] = [*tables.get(kind, []), *rows]
        yield DemoNote(path.stem, tables)


def read_demo_note(note: DemoNote, view: WorkingView) -> Note:
    """The note that one of the demo's stands for, by the same reader as a typed note.

    :raises kg.daybook.notes.BadNote: naming every fault with its place.
    """
    tables = dict(note.tables)
    tables["claim"] = [_with_claim_named(note.name, row, view) for row in tables.get("claim", [])]
    return note_from_tables(tables, view)


def _with_claim_named(note: str, row: Mapping[str, Any], view: WorkingView) -> Mapping[str, Any]:
    """A row whose value describes a claim, with the id of the only claim that answers to it."""
    wanted = row.get("value")
    if not isinstance(wanted, dict):
        return row
    hits = [
        claim.id
        for claim in view.claims.values()
        if wanted
        == {
            key: value
            for key, value in (
                ("about", claim.subject),
                ("says", claim.property),
                ("source", claim.citation.source),
                ("value", claim.written or claim.value),
            )
            if key in wanted
        }
    ]
    if len(hits) != 1:
        raise BadNote(
            [Fault(f"demo note {note}", f"{len(hits)} claims answer to {wanted}; name exactly one.")]
        )
    return {**row, "value": hits[0]}


def _rows(path: Path) -> Iterator[dict[str, Any]]:
    """The rows of a table beside a note, as the note itself would write them."""
    if not path.is_file():
        return
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            filled: dict[str, Any] = {key: text for key, text in row.items() if text}
            if "kind" in filled:
                filled["kind"] = filled["kind"].split("|")
            if "confidential" in filled:
                filled["confidential"] = filled["confidential"] == "yes"
            yield filled
