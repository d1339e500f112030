"""Taking in a table: what it adds to the daybook, what it supersedes, and one entry for the whole.

The remark of the entry names the mapping. By it a later take-in knows which claims came from this table: what the
file still says is kept, what its rows now say otherwise is withdrawn with the reason, and rows that are no longer
in the file are counted and left as they are, since a part of a table may be taken in too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Claim, Draft, Entry, Judgement, Thing
from kg.daybook.shelf import LARGEST_ENTRY
from kg.daybook.view import WorkingView
from kg.intake.effects import Effects, effects_of
from kg.intake.faults import BadTable, Fault, FaultyRows, IllFormed
from kg.intake.harvest import Answer, Harvest, Identity, Progress, harvest, identity
from kg.intake.mapping import Mapping
from kg.intake.mapping_reader import read_mapping
from kg.intake.rows import Table
from kg.intake.tables import open_table
from kg.intake.undo import undone_by

#: What an entry, a claim and a thing take in the file besides their own texts, at most.
_BYTES_OF_AN_ENTRY, _BYTES_A_CLAIM, _BYTES_A_THING = 1_000, 260, 150


@dataclass(frozen=True)
class Plan:
    """What a take-in would record, and every fault; nothing is written by making one."""

    table: str
    mapping: str
    researcher: str
    remark: str
    rows: int
    things: tuple[Thing, ...]
    """Things that are new, or newly described."""
    drafts: tuple[Draft, ...]
    judgements: tuple[Judgement, ...]
    faults: tuple[Fault, ...]
    left_out: int
    """Dates that could not be read."""
    undated: int
    """Cells that say that there is no date."""
    relabelled: int
    kept: int
    """Claims that are on record already."""
    gone: int
    """Claims from an earlier take-in whose rows are no longer in the file; they are left as they are."""

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to record."""
        return not (self.things or self.drafts or self.judgements)

    @property
    def refusing(self) -> tuple[Fault, ...]:
        """The faults for which the table is refused."""
        return tuple(fault for fault in self.faults if not fault.is_left_out)

    @property
    def withdrawn(self) -> int:
        """How many claims of an earlier take-in are superseded."""
        return sum(judgement.standing == "withdrawn" for judgement in self.judgements)


def plan_take_in(
    view: WorkingView,
    table_path: Path,
    mapping_path: Path,
    *,
    researcher: str | None = None,
    otherwise: str | None = None,
    progress: Progress | None = None,
) -> Plan:
    """What taking in a table would record: the dry run.

    It is signed by ``researcher``, else by the one that the mapping names, else by ``otherwise``.

    :raises kg.intake.faults.BadMapping: if the mapping cannot be used.
    :raises BadTable: if the file is no table that can be read.
    """
    mapping = read_mapping(mapping_path, view.vocabulary)
    table = open_table(
        table_path, encoding=mapping.encoding, delimiter=mapping.delimiter, sheet=mapping.sheet
    )
    who = (researcher or mapping.researcher or otherwise or "").strip()
    if not who:
        raise BadTable(
            'No researcher is named. Give --researcher, or write researcher = "Your Name" in the mapping.'
        )
    found = harvest(table, mapping, view, progress)
    if progress:
        progress("comparing with the daybook", found.rows, 0)
    return _Comparison(view, mapping, table, found).plan(who)


def take_in_table(
    daybook: Daybook,
    table_path: Path,
    mapping_path: Path,
    *,
    researcher: str | None = None,
    progress: Progress | None = None,
) -> tuple[Plan, Entry | None]:
    """Take in a table as one entry; None if the daybook holds all of it already.

    :raises FaultyRows: if a row has a fault other than a date that cannot be read; nothing is recorded.
    """
    plan = plan_take_in(daybook.view(), table_path, mapping_path, researcher=researcher, progress=progress)
    return plan, record_plan(daybook, plan, progress)


def try_plan(daybook: Daybook, plan: Plan, progress: Progress | None = None) -> tuple[Entry, Effects] | None:
    """The entry that a plan would become and what it would bring; None if there is nothing to record.

    Nothing is written.
    """
    if plan.is_empty:
        return None
    _check_size(plan)
    if progress:
        progress("composing the entry", len(plan.drafts), 0)
    entry = daybook.compose(Note(plan.researcher, plan.remark, plan.things, plan.drafts, plan.judgements))
    return entry, effects_of(daybook.view(), entry, progress)


def _check_size(plan: Plan) -> None:
    """Tell a table whose entry would be too large to be opened again.

    :raises BadTable: naming the size.
    """
    size = sum(_BYTES_A_THING + len(thing.slug) + len(thing.label.encode()) for thing in plan.things)
    size += _BYTES_OF_AN_ENTRY + sum(
        _BYTES_A_CLAIM
        + 2 * len(draft.subject)
        + len(draft.value.encode())
        + len((draft.written or "").encode())
        + len((draft.citation.quotation or "").encode())
        for draft in plan.drafts
    )
    if size > LARGEST_ENTRY:
        raise BadTable(
            f"{plan.table} would make an entry of about {size // 2**20:,} MB; at most {LARGEST_ENTRY // 2**20} MB are "
            "kept in one. Cut the table into parts and take in each."
        )


def record_plan(
    daybook: Daybook,
    plan: Plan,
    progress: Progress | None = None,
    tried: tuple[Entry, Effects] | None = None,
) -> Entry | None:
    """Record a plan as one entry, whole or not at all; ``tried`` is what ``try_plan`` gave for it.

    :raises FaultyRows: if the plan has a fault for which the table is refused.
    :raises IllFormed: if a claim or thing of it is ill-formed by the shapes.
    """
    if plan.refusing:
        raise FaultyRows(plan.table, plan.refusing)
    found = tried or try_plan(daybook, plan, progress)
    if found is None:
        return None
    entry, effects = found
    if effects.refusing:
        raise IllFormed(plan.table, effects.refusing)
    if progress:
        progress("recording", len(plan.drafts), len(plan.drafts))
    return daybook.record(entry)


class _Comparison:
    """A harvest beside what the daybook holds."""

    def __init__(self, view: WorkingView, mapping: Mapping, table: Table, found: Harvest) -> None:
        self.view, self.mapping, self.table, self.found = view, mapping, table, found
        self.prefix = f"Table {mapping.name}: "
        self.earlier = {name: e for name, e in view.entries.items() if e.note.startswith(self.prefix)}
        self.described = {thing.slug: thing for e in self.earlier.values() for thing in e.things}

    def plan(self, researcher: str) -> Plan:
        found = self.found
        standing = self.on_record()
        drafts, judgements, kept = [], [], 0
        for key, draft in found.drafts.items():
            old = standing.get(key)
            if not old:
                drafts.append(draft)
            elif (again := self.said_again(draft, old)) is not None:
                judgements.append(again)
            else:
                kept += 1
        superseded, gone = self.superseded()
        return Plan(
            self.table.name,
            self.mapping.name,
            researcher,
            f"{self.prefix}{self.table.name}, {found.rows} rows, SHA-256 {self.table.digest()}.",
            found.rows,
            tuple(thing for thing in map(self.new_thing, found.things.values()) if thing),
            tuple(drafts),
            (*judgements, *superseded),
            tuple(found.faults),
            found.left_out,
            found.undated,
            found.relabelled,
            kept,
            gone,
        )

    def on_record(self) -> dict[Identity, list[Claim]]:
        """The claims of these sources that say what the table says."""
        kept: dict[Identity, list[Claim]] = {}
        for claim in self.view.claims.values():
            if claim.citation.source in self.found.sources:
                key = identity(claim.as_draft())
                if key in self.found.drafts:
                    kept.setdefault(key, []).append(claim)
        return kept

    def said_again(self, draft: Draft, old: Iterable[Claim]) -> Judgement | None:
        """A judgement that a claim is held again, if an earlier take-in withdrew it."""
        for claim in old:
            judged = self.view.judgements.get(claim.id)
            if judged is None or judged.standing != "withdrawn":
                return None
        if judged is None or not self.is_of_the_table(judged.entry):
            return None  # a researcher withdrew it; the table does not overrule that
        return Judgement(claim.id, "held", f"{draft.citation.locator} of {self.table.name} says so again")

    def is_of_the_table(self, entry: str) -> bool:
        """Whether an entry is an earlier take-in of this mapping, or the undoing of one."""
        found = self.view.entries.get(entry)
        undone = undone_by(found.note) if found else None
        return entry in self.earlier or (undone is not None and self.is_of_the_table(undone))

    def superseded(self) -> tuple[list[Judgement], int]:
        """Withdrawals of what the rows now say otherwise, and how many claims have no row any more."""
        withdrawals, gone = [], 0
        for entry in self.earlier.values():
            for claim in entry.claims:
                if (
                    self.view.standing(claim.id) == "withdrawn"
                    or identity(claim.as_draft()) in self.found.drafts
                ):
                    continue
                answer = self.found.asked.get((claim.subject, claim.property))
                if answer is None:
                    gone += 1
                else:
                    withdrawals.append(Judgement(claim.id, "withdrawn", self.why(answer)))
        return withdrawals, gone

    def why(self, answer: Answer) -> str:
        row = f"row {answer.row} of {self.table.name}"
        if answer.is_said:
            return f"{row} now says {answer.text}"
        return (
            f"{row} now says {answer.text!r}, which was not taken in"
            if answer.text
            else f"{row} no longer says so"
        )

    def new_thing(self, thing: Thing) -> Thing | None:
        """The thing as it is to be recorded, or None if the daybook has it so."""
        known = self.view.things.get(thing.slug)
        if known is None:
            return thing
        # A name that someone gave since stands, unless the table itself has changed its own.
        before = self.described.get(thing.slug)
        label = known.label if before is None or before.label == thing.label else thing.label
        is_held = (
            label == known.label
            and set(thing.kinds) <= set(known.kinds)
            and (known.is_confidential or not thing.is_confidential)
            and thing.convention in (None, known.convention)
        )
        if is_held:
            return None
        return Thing(thing.slug, thing.kinds, label, thing.is_confidential, thing.convention)
