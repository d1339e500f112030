"""Taking in from the desk: a table, a bibliography or a passage, tried first, and recorded by who may.

What comes up from a browser is looked at again here: its size, its name, and what it is by its first bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory

from kg.asking.desk import Desk
from kg.asking.effect import Effect, effect_of
from kg.asking.lines import Line, lines_of
from kg.asking.recording import require_today
from kg.asking.roles import Colleague, acts_of, signing
from kg.asking.stock import Choice
from kg.daybook.daybook import Note
from kg.daybook.record import Entry
from kg.errors import KilnmarkError
from kg.intake.bibliography import Plan as BibliographyPlan
from kg.intake.bibliography import Wishes, plan_bibliography, record_bibliography
from kg.intake.bibliography.record import FaultyRecords
from kg.intake.effects import Progress
from kg.intake.mapping_reader import read_mapping
from kg.intake.tables import open_table
from kg.intake.take_in import Plan as TablePlan
from kg.intake.take_in import plan_take_in, record_plan
from kg.resources import resource

#: Bytes of a file that the desk takes; a larger one goes by the command `kilnmark take-in`.
MOST_BYTES = 50_000_000

#: Claims that are shown of what would be recorded.
MOST_LINES = 40

#: Rows that are shown of a table while its mapping is drafted.
MOST_SAMPLES = 3

#: First bytes of files that are often picked by mistake.
_WRONG = {
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture (PNG)",
    b"\xff\xd8\xff": "a picture (JPEG)",
    b"GIF8": "a picture (GIF)",
    b"MZ": "a program",
    b"\x7fELF": "a program",
    b"\x1f\x8b": "a compressed file",
    b"SQLite": "a database",
}


class BadUpload(KilnmarkError):
    """A file from the browser cannot be taken; nothing was recorded."""


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it came from the browser, checked."""

    name: str
    raw: bytes

    @property
    def digest(self) -> str:
        """SHA-256 of its bytes, in hexadecimal."""
        return hashlib.sha256(self.raw).hexdigest()

    @contextmanager
    def as_file(self) -> Iterator[Path]:
        """The file in a folder of its own, for as long as it is read."""
        with TemporaryDirectory(prefix="kilnmark-") as folder:
            path = Path(folder) / self.name
            path.write_bytes(self.raw)
            yield path


def checked_upload(name: str, raw: bytes) -> Upload:
    """A file from the browser, with its size, name and kind checked.

    :raises BadUpload: if it is empty, too large, or plainly something else than a table or a text.
    """
    plain = "".join(c for c in name.replace("\\", "/").split("/")[-1] if c.isprintable()).strip(" .")[-120:]
    if not plain:
        raise BadUpload("The file has no name. Save it under one, such as list.csv.")
    if not raw:
        raise BadUpload(f"{plain} is empty. Save or export it again.")
    if len(raw) > MOST_BYTES:
        raise BadUpload(
            f"{plain} has {len(raw):,} bytes; the desk takes at most {MOST_BYTES:,}. "
            "Cut it into parts, or use the command kilnmark take-in."
        )
    for sign, what in _WRONG.items():
        if raw.startswith(sign):
            raise BadUpload(
                f"{plain} is {what} by its first bytes; expected a table, a bibliography or a text."
            )
    return Upload(plain, raw)


@dataclass(frozen=True, slots=True)
class TableHead:
    """The headings of a table and its first rows."""

    headings: tuple[str, ...]
    samples: tuple[Mapping[str, str], ...]


def table_head(upload: Upload) -> TableHead:
    """The headings and first rows of a table.

    :raises kg.intake.faults.BadTable: if the file is no table that can be read.
    """
    with upload.as_file() as path:
        table = open_table(path)
        return TableHead(table.headings, tuple(row.cells for row in islice(table.rows(), MOST_SAMPLES)))


def shipped_mappings() -> tuple[Choice, ...]:
    """The mappings that ship, by name, and those of the examples."""
    folder = resource("sources/mappings")
    ship = [Choice(str(file.relative_to(folder)), file.stem) for file in sorted(folder.glob("*.toml"))]
    examples = sorted((folder / "examples").glob("*.toml"))
    return (*ship, *(Choice(str(file.relative_to(folder)), f"example: {file.stem}") for file in examples))


def mapping_text(shipped: str) -> str:
    """The text of a mapping that ships.

    :raises BadUpload: if there is none of that name.
    """
    if shipped not in {choice.slug for choice in shipped_mappings()}:
        raise BadUpload(f"{shipped!r} is no mapping that ships. Choose one from the list.")
    return (resource("sources/mappings") / shipped).read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file, with its place."""

    place: str
    column: str
    found: str
    expected: str
    remedy: str
    is_left_out: bool
    """True: only this value is left out; False: the file is refused until it is mended."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A record of a bibliography that may be a source on record."""

    record: str
    label: str
    may_be: tuple[Choice, ...]
    """Each source that it may be, with the reasons."""


@dataclass(frozen=True)
class Trial:
    """A file tried before it is recorded: what would be written, what is wrong, what that would change."""

    counts: tuple[str, ...]
    lines: tuple[Line, ...]
    more: int
    faults: tuple[Fault, ...]
    doubts: tuple[Doubt, ...]
    effect: Effect | None
    """None where there is nothing to record."""
    is_empty: bool
    is_refused: bool


def try_table(
    desk: Desk, upload: Upload, mapping: str, colleague: Colleague, progress: Progress | None = None
) -> Trial:
    """What taking in a table by a mapping (a page of TOML) would record; nothing is written.

    :raises kg.intake.faults.BadMapping: if the mapping cannot be used.
    :raises kg.intake.faults.BadTable: if the file is no table that can be read.
    """
    plan = _table_plan(desk, upload, mapping, colleague, progress)
    faults = tuple(
        Fault(f"row {f.row}", f.column, f.found, f.expected, f.remedy, f.is_left_out) for f in plan.faults
    )
    counts = _counted(
        (plan.rows, "row", "read"),
        (len(plan.things), "thing", "new or newly described"),
        (len(plan.drafts), "claim", "new"),
        (plan.kept, "claim", "on record already"),
        (plan.withdrawn, "claim", "withdrawn, since the table now says otherwise"),
        (len(plan.judgements) - plan.withdrawn, "claim", "held again"),
        (plan.gone, "claim", "of rows that are no longer in the file; left standing"),
        (plan.left_out, "date", "left out, since not understood"),
        (plan.undated, "cell", "saying that there is no date"),
        (plan.relabelled, "row", "with another name for a thing; the first name is kept"),
    )
    return _tried(desk, _table_note(plan), counts, faults, bool(plan.refusing), progress)


def record_table(
    desk: Desk,
    colleague: Colleague,
    upload: Upload,
    mapping: str,
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Entry | None:
    """Take in a table as one entry; None if the daybook holds all of it already.

    :raises kg.asking.recording.OnlyToday: if a past day is shown.
    :raises kg.asking.roles.MayNot: if the colleague's role does not allow it.
    :raises kg.intake.faults.BadTable: if it has faults; nothing is recorded.
    """
    require_today(as_of)
    with desk.daybook() as daybook:
        plan = _table_plan(desk, upload, mapping, colleague, progress)
        colleague.require(acts_of(_table_note(plan), daybook.vocabulary))
        return record_plan(daybook, plan, progress)


def try_bibliography(
    desk: Desk, upload: Upload, wishes: Wishes, colleague: Colleague, progress: Progress | None = None
) -> Trial:
    """What taking in a bibliography would record; nothing is written.

    :raises kg.intake.bibliography.BadBibliography: if the file is no bibliography that can be read.
    """
    plan = _bibliography_plan(desk, upload, wishes, colleague, progress)
    view = desk.standpoint().view
    faults = tuple(Fault(f"line {f.line}", "", f.found, f.expected, f.remedy, True) for f in plan.faults)
    doubts = tuple(
        Doubt(
            taken.record,
            taken.label,
            tuple(Choice(one.slug, f"{view.label(one.slug)}: {one}") for one in taken.doubts),
        )
        for taken in plan.taken
        if taken.doubts
    )
    withdrawn = sum(judgement.standing == "withdrawn" for judgement in plan.judgements)
    counts = _counted(
        (plan.records, "record", f"of {plan.format} read"),
        (len(plan.things), "thing", "new or newly described"),
        (len(plan.drafts), "claim", "new"),
        (plan.kept, "claim", "taken in from this file before"),
        (plan.known, "saying", "that other sources on record make already"),
        (withdrawn, "claim", "withdrawn, since the file now says otherwise"),
        (len(plan.judgements) - withdrawn, "claim", "held again"),
        (plan.gone, "claim", "of records that are no longer in the file; left standing"),
        (len(plan.faults), "record", "that cannot be read and would be left out"),
    )
    tried = _tried(desk, _bibliography_note(plan), counts, faults, not plan.records, progress)
    return replace(tried, doubts=doubts)


def record_bibliography_of(
    desk: Desk,
    colleague: Colleague,
    upload: Upload,
    wishes: Wishes,
    as_of: date | None = None,
    progress: Progress | None = None,
    *,
    leave_out: bool = False,
) -> Entry | None:
    """Take in a bibliography as one entry; None if the daybook holds all of it already.

    :raises kg.asking.recording.OnlyToday: if a past day is shown.
    :raises kg.asking.roles.MayNot: if the colleague's role does not allow it.
    :raises kg.intake.bibliography.FaultyRecords: if a record cannot be read and is not to be left out.
    """
    require_today(as_of)
    with desk.daybook() as daybook:
        plan = _bibliography_plan(desk, upload, wishes, colleague, progress)
        if plan.faults and not leave_out:
            raise FaultyRecords(plan.file, plan.faults)
        colleague.require(acts_of(_bibliography_note(plan), daybook.vocabulary))
        return record_bibliography(daybook, plan, leave_out=leave_out, progress=progress)


def check_mapping(desk: Desk, text: str) -> None:
    """Check a mapping by itself, before any table is read by it.

    :raises kg.intake.faults.BadMapping: if it cannot be used.
    """
    with Upload("mapping.toml", text.encode()).as_file() as path:
        read_mapping(path, desk.standpoint().view.vocabulary)


def _table_plan(
    desk: Desk, upload: Upload, mapping: str, colleague: Colleague, progress: Progress | None
) -> TablePlan:
    with upload.as_file() as path, Upload("mapping.toml", mapping.encode()).as_file() as by:
        view = desk.standpoint().view
        return plan_take_in(view, path, by, researcher=signing(colleague.name), progress=progress)


def _bibliography_plan(
    desk: Desk, upload: Upload, wishes: Wishes, colleague: Colleague, progress: Progress | None
) -> BibliographyPlan:
    with upload.as_file() as path:
        view = desk.standpoint().view
        return plan_bibliography(
            view, path, researcher=signing(colleague.name), wishes=wishes, progress=progress
        )


def _table_note(plan: TablePlan) -> Note:
    return Note(plan.researcher, plan.remark, plan.things, plan.drafts, plan.judgements)


def _bibliography_note(plan: BibliographyPlan) -> Note:
    return Note(plan.researcher, plan.remark, plan.things, plan.drafts, plan.judgements)


def _tried(
    desk: Desk,
    note: Note,
    counts: tuple[str, ...],
    faults: tuple[Fault, ...],
    is_refused: bool,
    progress: Progress | None,
) -> Trial:
    faults = tuple(sorted(faults, key=lambda fault: fault.is_left_out))
    if not (note.things or note.drafts or note.judgements):
        return Trial(counts, (), 0, faults, (), None, True, is_refused)
    standpoint = desk.standpoint()
    with desk.daybook() as daybook:
        entry = daybook.compose(note)
    lines = lines_of(standpoint.view, _first_of(entry))
    effect = effect_of(standpoint, entry, progress)
    count = len(entry.claims) + len(entry.judgements)
    return Trial(
        counts,
        tuple(lines),
        max(count - len(lines), 0),
        faults,
        (),
        effect,
        False,
        is_refused or effect.is_refused,
    )


def _first_of(entry: Entry) -> Entry:
    """The entry with only the first of its claims and judgements, to be shown."""
    rest = max(MOST_LINES - len(entry.claims), 0)
    return replace(entry, claims=entry.claims[:MOST_LINES], judgements=entry.judgements[:rest])


def _counted(*given: tuple[int, str, str]) -> tuple[str, ...]:
    return tuple(
        f"{number:,} {noun}{'' if number == 1 else 's'} {what}" for number, noun, what in given if number
    )


#: What is chosen for a record that is a source of its own, whatever it resembles.
OWN = "its own"


def choices_in(doubt: Doubt) -> tuple[Choice, ...]:
    """What a doubtful record can be said to be."""
    same = (Choice(one.slug, f"The same as {one.text}") for one in doubt.may_be)
    return (Choice(OWN, "A source of its own"), *same)


def wishes_of(chosen: Iterable[tuple[str, str]]) -> Wishes:
    """What was decided of the records that may be sources on record: each with a source, or `OWN`."""
    pairs = dict(chosen)
    same = {record: source for record, source in pairs.items() if source != OWN}
    return Wishes(same, frozenset(record for record, source in pairs.items() if source == OWN))
