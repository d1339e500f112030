"""Taking in a bibliography: which sources its records are, what is new, and one entry for the whole.

The remark of the entry names the bibliography. By it a later take-in knows which claims came from this file: what
the file still says is kept, what its records now say otherwise is withdrawn with the reason, and records that are
no longer in the file are counted and left as they are.
"""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from pathlib import Path

from kg.daybook.csl import cited_source
from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Claim, Draft, Entry, Judgement, Thing
from kg.daybook.view import WorkingView
from kg.intake.bibliography.claims import Sayer, item_of
from kg.intake.bibliography.duplicates import Card, Finder, Likeness, card, may_be_one
from kg.intake.bibliography.kinds import kind_of, label_of, slug_of
from kg.intake.bibliography.reading import read_bibliography
from kg.intake.bibliography.record import (
    BadBibliography,
    Bibliography,
    Fault,
    FaultyRecords,
    FieldReport,
    Outcome,
    Record,
    cut,
)
from kg.intake.bibliography.texts import clean, one_line, slugged
from kg.intake.harvest import Identity, identity
from kg.intake.undo import undone_by

Progress = Callable[[str, int, int], None]
#: Records between two calls of the progress callback.
_STEP = 500


class Standing(Enum):
    """How a record stands to the sources on record."""

    NEW = "new"
    KNOWN = "on record"
    TAKEN_BEFORE = "taken in before"
    TWICE = "twice in the file"


@dataclass(frozen=True, slots=True)
class Taken:
    """The source that a record is taken for, and why."""

    record: str
    line: int
    source: str
    label: str
    standing: Standing
    reasons: tuple[str, ...] = ()
    doubts: tuple[Likeness, ...] = ()
    """Sources that it may be besides; it was not joined with them."""


@dataclass(frozen=True)
class Wishes:
    """What the researcher decides: records that are a source, records that are none on record."""

    same: Mapping[str, str] = field(default_factory=dict)
    """The source that a record is, by the record's key or line."""
    new: Collection[str] = frozenset()
    """Records, by key or line, that are sources of their own whatever they resemble."""


@dataclass(frozen=True)
class Plan:
    """What a take-in would record, and all that is told; nothing is written by making one."""

    file: str
    format: str
    source: str
    researcher: str
    remark: str
    records: int
    things: tuple[Thing, ...]
    drafts: tuple[Draft, ...]
    judgements: tuple[Judgement, ...]
    faults: tuple[Fault, ...]
    taken: tuple[Taken, ...]
    report: tuple[FieldReport, ...]
    told: tuple[str, ...]
    """Sentences on people that may be the same."""
    known: int
    """Sayings that another source on record makes already."""
    kept: int
    """Claims from an earlier take-in that the file still makes."""
    gone: int
    """Claims from an earlier take-in whose records are no longer in the file; they are left as they are."""

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to record."""
        return not (self.things or self.drafts or self.judgements)

    def outcomes(self) -> Counter[Outcome]:
        """How many fields were mapped, kept as notes, and not understood."""
        return Counter(report.outcome for report in self.report)


def plan_bibliography(
    view: WorkingView,
    path: Path,
    *,
    researcher: str | None = None,
    encoding: str | None = None,
    wishes: Wishes | None = None,
    progress: Progress | None = None,
) -> Plan:
    """What taking in a bibliography would record: the dry run.

    :raises BadBibliography: if the file is no bibliography that can be read, or nobody signs.
    """
    who = (researcher or "").strip()
    if not who:
        raise BadBibliography("No researcher is named. Give --researcher.")
    try:
        found = read_bibliography(path, encoding)
    except BadBibliography as error:
        where = "" if path.name in str(error) else f"{path.name}, "
        raise BadBibliography(f"{where}{error}") from error
    with _collector_at_rest():
        return _Planner(view, found, wishes or Wishes(), progress).plan(who)


def take_in_bibliography(
    daybook: Daybook, path: Path, *, researcher: str, wishes: Wishes | None = None
) -> tuple[Plan, Entry | None]:
    """Take in a bibliography as one entry; None if the daybook holds all of it already.

    :raises FaultyRecords: if a record cannot be read; nothing is recorded.
    """
    plan = plan_bibliography(daybook.view(), path, researcher=researcher, wishes=wishes)
    return plan, record_bibliography(daybook, plan)


def record_bibliography(
    daybook: Daybook, plan: Plan, *, leave_out: bool = False, progress: Progress | None = None
) -> Entry | None:
    """Record a plan as one entry, whole or not at all; ``leave_out`` passes over records with faults.

    :raises FaultyRecords: if there are faults and they are not to be left out.
    """
    if plan.faults and (not leave_out or not plan.records):
        raise FaultyRecords(plan.file, plan.faults)
    if plan.is_empty:
        return None
    if progress:
        progress("recording", len(plan.drafts), len(plan.drafts))
    note = Note(plan.researcher, plan.remark, plan.things, plan.drafts, plan.judgements)
    with _collector_at_rest():
        return daybook.record(daybook.compose(note))


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Python's cycle collector paused: many small values are made, and no cycles; it takes a fifth of the time."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


class _Planner:
    """The records of a file beside what the daybook holds."""

    def __init__(
        self, view: WorkingView, found: Bibliography, wishes: Wishes, progress: Progress | None
    ) -> None:
        self.view, self.found, self.wishes, self.progress = view, found, wishes, progress
        self.slug = f"bibliography-{slugged(found.name) or 'file'}"
        self.prefix = f"Bibliography {self.slug}: "
        self.sayer = Sayer(view, self.slug)
        self.own = [claim for claim in view.claims.values() if claim.citation.source == self.slug]
        # A record that was withdrawn, as an undone take-in is, is still known again: the last that stands counts most.
        known = [claim for claim in self.own if claim.property in ("citationKey", "bibliographicRecord")]
        known.sort(key=lambda claim: (view.standing(claim.id) != "withdrawn", claim.entry))
        self.before = {(claim.property, claim.value): claim.subject for claim in known}
        self.made: dict[str, Thing] = {}
        self.next_number: dict[str, int] = {}
        self.taken: list[Taken] = []

    @cached_property
    def finder(self) -> Finder:
        """The sources on record, to be found; made when the first record is looked for."""
        vocabulary = self.view.vocabulary
        return Finder(
            self.card_of(slug)
            for slug, thing in self.view.things.items()
            if vocabulary.is_a(thing.kinds, "Source")
            and not thing.is_confidential
            and not vocabulary.is_a(thing.kinds, "Artefact")
        )

    def card_of(self, slug: str) -> Card:
        """What a source on record is recognised by."""
        dates = [c.value for c in self.view.by_subject.get(slug, ()) if c.property == "publishedOn"]
        return card(slug, cited_source(self.view, slug).item, dates[0] if dates else "")

    def plan(self, researcher: str) -> Plan:
        self.check_wishes()
        self.check_source()
        for number, record in enumerate(self.found.records):
            if self.progress and number % _STEP == 0:
                self.progress("records", number, len(self.found.records))
            self.take(record)
        return self.compared(researcher)

    def check_source(self) -> None:
        kinds = self.view.kinds(self.slug)
        if kinds and not self.view.vocabulary.is_a(kinds, "Source"):
            raise BadBibliography(
                f"{self.slug} is a {', '.join(kinds)} in the daybook. Give the file another name."
            )
        if not kinds:
            label = f"Bibliography file {one_line(self.found.name)[:200]}"
            self.made[self.slug] = Thing(self.slug, ("Dataset",), label)

    def check_wishes(self) -> None:
        """Refuse a wish that names no record of the file, or no source."""
        names = {name for record in self.found.records for name in (record.key, str(record.line))}
        for name in (*self.wishes.same, *self.wishes.new):
            if name not in names:
                raise BadBibliography(
                    f"{self.found.name} has no record {name!r}. Name it by its key, or by the line on which it begins."
                )
        for slug in self.wishes.same.values():
            if not self.view.vocabulary.is_a(self.view.kinds(slug), "Source"):
                raise BadBibliography(
                    f"{slug!r} is no source of the daybook.{self.view.near(slug.casefold())}"
                )

    def take(self, record: Record) -> None:
        """Find the source that a record is, and what it says of it."""
        edtf = self.sayer.dates.edtf(record.dates["issued"].text) if "issued" in record.dates else None
        printed = one_line(record.dates["issued"].text) if "issued" in record.dates else ""
        item = item_of(record, self.sayer.dates)
        mine = card("", item, edtf or printed)
        slug, standing, reasons, doubts = self.source_of(record, mine)
        if not slug:
            slug = self.new_source(record, mine.year, printed[:40] if edtf != printed else mine.year)
        if standing in (Standing.NEW, Standing.KNOWN):
            self.finder.add(card(slug, item, edtf or printed))
        name = record.key or f"line {record.line}"
        label = self.made[slug].label if slug in self.made else self.view.label(slug)
        self.taken.append(Taken(name, record.line, slug, label, standing, reasons, doubts))
        self.sayer.say(record, slug, self.made[slug].kinds if slug in self.made else self.view.kinds(slug))

    def source_of(
        self, record: Record, mine: Card
    ) -> tuple[str, Standing, tuple[str, ...], tuple[Likeness, ...]]:
        """The source that a record is, how it stands to what is there, why, and what it may be besides."""
        names = (record.key, str(record.line))
        for name in names:
            if name in self.wishes.same:
                return self.wishes.same[name], Standing.KNOWN, ("the researcher says so",), ()
        before = self.taken_before(record, mine)
        if before is not None:
            return before, Standing.TAKEN_BEFORE, (), ()
        if any(name in self.wishes.new for name in names if name):
            return "", Standing.NEW, (), ()
        found = self.finder.find(mine)
        sure = [likeness for likeness in found if likeness.is_sure]
        if len(sure) == 1:
            standing = Standing.TWICE if sure[0].slug in self.made else Standing.KNOWN
            return sure[0].slug, standing, sure[0].reasons, ()
        return "", Standing.NEW, (), tuple(found)

    def taken_before(self, record: Record, mine: Card) -> str | None:
        """The source that this record of this file was taken for before: by its own words, else by its key."""
        before = self.before.get(("bibliographicRecord", clean(record.raw).strip()))
        if before is None and record.key:
            before = self.before.get(("citationKey", one_line(record.key)))
            if before is not None and not self.may_be(mine, before):
                return None  # the key was given to another work
        return before

    def may_be(self, mine: Card, slug: str) -> bool:
        thing = self.view.things.get(slug)
        return thing is None or thing.is_confidential or may_be_one(mine, self.card_of(slug))

    def new_source(self, record: Record, year: str, printed: str) -> str:
        kind = kind_of(record, self.view.vocabulary)
        base = slug_of(record, kind, year)
        slug, number = base, self.next_number.get(base, 2)
        while slug in self.view.things or slug in self.made:
            slug, number = f"{base}-{number}", number + 1
        self.next_number[base] = number
        self.made[slug] = Thing(slug, (kind,), label_of(record, printed))
        return slug

    def compared(self, researcher: str) -> Plan:
        """The plan: what is said beside what was taken in from this file before."""
        wanted: dict[Identity, Draft] = {}
        for draft in self.sayer.found.drafts:
            wanted.setdefault(identity(draft), draft)
        recorded: dict[Identity, list[Claim]] = {}
        for claim in self.own:
            recorded.setdefault(identity(claim.as_draft()), []).append(claim)
        drafts = tuple(draft for key, draft in wanted.items() if key not in recorded)
        again = [self.said_again(draft, recorded[key]) for key, draft in wanted.items() if key in recorded]
        superseded, gone = self.superseded(wanted)
        judged = (*(judgement for judgement in again if judgement), *superseded)
        used = {draft.value for draft in drafts} | {draft.subject for draft in drafts}
        people = (thing for slug, thing in self.sayer.people.made.items() if slug in used)
        report = (*(told for record in self.found.records for told in record.report), *self.sayer.found.told)
        count = len(self.found.records)
        return Plan(
            self.found.name, self.found.format, self.slug, researcher,
            f"{self.prefix}{one_line(self.found.name)}, {count} records, SHA-256 {self.found.digest}.",
            count, (*self.made.values(), *people), drafts, judged, self.found.faults, tuple(self.taken),
            tuple(sorted(report, key=lambda told: told.line)), tuple(self.sayer.people.told),
            self.sayer.found.known, sum(1 for judgement in again if judgement is None), gone,
        )  # fmt: skip

    def is_of_the_file(self, entry: str) -> bool:
        """Whether an entry is an earlier take-in of this file, or the undoing of one."""
        found = self.view.entries.get(entry)
        undone = undone_by(found.note) if found else None
        return entry in self.earlier or (undone is not None and self.is_of_the_file(undone))

    @cached_property
    def earlier(self) -> set[str]:
        """The entries by which this file was taken in before."""
        return {name for name, entry in self.view.entries.items() if entry.note.startswith(self.prefix)}

    def said_again(self, draft: Draft, old: list[Claim]) -> Judgement | None:
        """A judgement that a claim is held again, if an earlier take-in withdrew it."""
        for claim in old:
            judged = self.view.judgements.get(claim.id)
            if judged is None or judged.standing != "withdrawn":
                return None
        if judged is None or not self.is_of_the_file(judged.entry):
            return None  # a researcher withdrew it; the file does not overrule that
        return Judgement(old[-1].id, "held", f"{draft.citation.locator} of {self.found.name} says so again")

    def why(self, said: Draft) -> str:
        """Why a claim of an earlier take-in falls: what the file says now."""
        where = f"{said.citation.locator} of {self.found.name}"
        if said.property == "bibliographicRecord":
            return f"{where}: the record was written anew"
        label = self.view.vocabulary.properties[said.property].label
        return f"{where} now says: {label} {cut(said.written or said.value)}"

    def superseded(self, wanted: Mapping[Identity, Draft]) -> tuple[list[Judgement], int]:
        """Withdrawals of what the records now say otherwise, and how many claims have no record any more."""
        now: dict[tuple[str, str], Draft] = {}
        for draft in wanted.values():
            now.setdefault((draft.subject, draft.property), draft)
        subjects = {taken.source: taken for taken in self.taken}
        earlier = self.earlier
        withdrawals, gone = [], 0
        for claim in self.own:
            is_open = claim.entry in earlier and self.view.standing(claim.id) != "withdrawn"
            if not is_open or identity(claim.as_draft()) in wanted:
                continue
            said = now.get((claim.subject, claim.property))
            if said is not None:
                withdrawals.append(Judgement(claim.id, "withdrawn", self.why(said)))
            elif claim.subject in subjects:
                why = f"line {subjects[claim.subject].line} of {self.found.name} no longer says so"
                withdrawals.append(Judgement(claim.id, "withdrawn", why))
            else:
                gone += 1
        return withdrawals, gone
