"""Taking in RDF: entries of another daybook as they are, and what else speaks the vocabulary as one entry of its own.

Three things come in. An entry (a named graph, or the claims of an export that name their entry) keeps its researcher,
its time and its claim ids, which follow from what it says; one whose ids do not is refused. A claim with its citation
is recorded as a typed note is. A plain statement in the vocabulary becomes a claim that cites the file itself. All else
is counted as not understood. A file with one ill-formed claim is refused whole.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pyoxigraph as ox

from kg.daybook.daybook import Daybook, Note
from kg.daybook.note_reader import Reader
from kg.daybook.notes import only_new
from kg.daybook.record import BadRecord, Draft, Entry, Thing, compose, recomposed, vouches_for
from kg.daybook.trig import DamagedEntry, read_in_order
from kg.daybook.view import Sense, WorkingView
from kg.intake.crm_names import CRMINF, compact
from kg.intake.crm_write import CrmWriter
from kg.intake.effects import Effects, effects_of
from kg.intake.rdf_in_parse import NAMING, BadRdf, Parsed, parse_rdf
from kg.intake.rdf_in_sort import Sorted, name_of, sort_statements
from kg.vocabulary import ENTRY, RDF, RDFS, K

#: Faults that one message tells; the rest are counted.
MOST_TOLD = 20
_BOOLEANS = {"true": True, "1": True, "false": False, "0": False}


class FaultyRdf(BadRdf):
    """Claims of an RDF file are ill-formed; nothing was recorded."""

    def __init__(self, file: str, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        lines = [f"  - {fault}" for fault in self.faults[:MOST_TOLD]]
        if len(self.faults) > MOST_TOLD:
            lines.append(f"  … and {len(self.faults) - MOST_TOLD} more")
        number = f"{len(self.faults)} fault{'s' if len(self.faults) > 1 else ''}"
        super().__init__(f"Nothing was recorded: {number} in {file}.\n" + "\n".join(lines))


@dataclass(frozen=True, slots=True)
class RdfPlan:
    """What taking in an RDF file would record, and what of it would not be."""

    file: str
    form: str
    digest: str
    statements: int
    entries: tuple[Entry, ...]
    """Entries of another daybook that are new here, each as it was signed there."""
    note: Note | None
    """What becomes one entry of its own; None if nothing does."""
    known_entries: int
    known_claims: int
    set_aside: int
    """Claims that are on record and were set aside or withdrawn here; they are not brought back."""
    not_understood: Mapping[str, int]
    """What is neither entry, claim nor thing: how often each property or class stands in the file."""
    said_again: int = 0
    """Statements that say in the words of CIDOC CRM what the file's entries say already."""

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to record."""
        return not self.entries and self.note is None

    def all_entries(self, daybook: Daybook) -> tuple[Entry, ...]:
        """Every entry that would be recorded, the file's own one last."""
        return self.entries if self.note is None else (*self.entries, daybook.compose(self.note))


def plan_rdf(view: WorkingView, path: Path, researcher: str) -> RdfPlan:
    """What taking in an RDF file would record: the dry run.

    :raises BadRdf: if it cannot be read, holds nothing of a daybook, or holds an ill-formed claim.
    """
    return plan_parsed(view, parse_rdf(path), researcher)


def plan_parsed(view: WorkingView, parsed: Parsed, researcher: str) -> RdfPlan:
    """What taking in the statements of a file would record.

    :raises BadRdf: if they hold nothing of a daybook, or an ill-formed claim.
    """
    found = sort_statements(parsed.quads, view.vocabulary)
    if not (found.entries or found.things or found.cited or found.plain):
        told = ", ".join(list(found.not_understood)[:5])
        raise BadRdf(
            f"{parsed.name} holds no entry, claim or thing in the daybook's vocabulary (<{K}…>); "
            f"found {told or 'no statement'}. Map its properties to those that `kilnmark vocabulary` lists."
        )
    entries = _Entries(view, found)
    fresh = list(entries.fresh())
    offered = _Offered(view, parsed, found)
    note = offered.note(researcher)
    if faults := [*entries.faults, *offered.faults]:
        raise FaultyRdf(parsed.name, faults)
    again = said_again(view, entries.whole, note.things if note else (), found.not_understood)
    note, known, gone = _without_known(note, view)
    return RdfPlan(
        parsed.name,
        parsed.form,
        parsed.digest,
        len(parsed.quads),
        tuple(fresh),
        note,
        entries.known,
        entries.known_claims + known,
        gone,
        dict(sorted((found.not_understood - again).items(), key=lambda pair: (-pair[1], pair[0]))),
        again.total(),
    )


def record_rdf(
    daybook: Daybook, plan: RdfPlan, written: Callable[[int, int], None] | None = None
) -> tuple[Entry, ...]:
    """Record a plan, each entry whole or not at all, the file's own last; the same file again changes nothing.

    ``written`` is told after each entry how many there are, of how many, so that who breaks off knows how far it came.
    """
    entries = plan.all_entries(daybook)
    for number, entry in enumerate(entries, start=1):
        daybook.record(entry)
        if written:
            written(number, len(entries))
    return entries


def check_plan(daybook: Daybook, plan: RdfPlan) -> Effects:
    """What recording a plan would bring to the rest of the daybook; nothing is written."""
    entries = plan.all_entries(daybook)
    whole = Entry(
        "taken in",
        daybook.clock(),
        "",
        "",
        tuple(thing for entry in entries for thing in entry.things),
        tuple(claim for entry in entries for claim in entry.claims),
        tuple(judgement for entry in entries for judgement in entry.judgements),
    )
    return effects_of(daybook.view(), whole)


class _Entries:
    """The entries that a file holds, whole or in part."""

    def __init__(self, view: WorkingView, found: Sorted) -> None:
        self.view, self.found = view, found
        self.sense = Sense(view.vocabulary)
        self.faults: list[str] = []
        self.known = self.known_claims = 0
        self.whole: list[Entry] = []
        """Every entry that could be read, on record or not."""

    def fresh(self) -> Iterator[Entry]:
        """The entries that are new here, without what is on record already."""
        for iri, quads in self.found.entries.items():
            entry = self.read(iri, quads)
            if entry is None:
                continue
            self.whole.append(entry)
            new = self.new_part(entry)
            if new is None:
                self.known += 1
            else:
                yield new

    def read(self, iri: str, quads: list[ox.Quad]) -> Entry | None:
        """An entry whose ids follow from what it says; None, with its faults told, if it is not one."""
        name = iri[len(ENTRY) :]
        try:
            (entry,) = read_in_order(ox.serialize(quads, format=ox.RdfFormat.TRIG) or b"")
            if entry.recorded > datetime.now(UTC) + timedelta(days=1):
                raise BadRecord(f"it was recorded at {entry.recorded.isoformat()}, which lies in the future")
            made = recomposed(entry)
            forged = [claim.id for claim in entry.claims if not vouches_for(entry, claim)]
        except (DamagedEntry, BadRecord, ValueError) as error:
            self.faults.append(f"entry {name}: {error}. Export it anew from its daybook.")
            return None
        if forged:
            self.faults.append(
                f"entry {name}: {', '.join(forged[:3])} say something else than their ids vouch for. "
                "Export it anew from its daybook."
            )
            return None
        self.faults += [f"entry {name}: {fault}" for fault in self.sense.faults_of(entry)]
        return entry if made.name == entry.name else made

    def new_part(self, entry: Entry) -> Entry | None:
        """The entry, or if only part of it is here the part that is new; None if all is on record."""
        if entry.name in self.view.entries:
            self.known_claims += len(entry.claims)
            return None
        claims = []
        for claim in entry.claims:
            old = self.view.claims.get(claim.id)
            if old is None:
                claims.append(claim)
            elif old.as_draft() != claim.as_draft():
                self.faults.append(f"claim {claim.id} says something else here than in the daybook.")
            else:
                self.known_claims += 1
        things = tuple(thing for thing in entry.things if not _is_known(thing, self.view))
        passed = self.passed(entry)
        judgements = tuple(j for j in entry.judgements if (j.claim, j.standing, j.why) not in passed)
        if not (claims or things or judgements):
            return None
        if (
            len(claims) == len(entry.claims)
            and things == entry.things
            and len(judgements) == len(entry.judgements)
        ):
            return entry
        return compose(
            entry.recorded,
            entry.researcher,
            entry.note,
            things=things,
            drafts=tuple(claim.as_draft() for claim in claims),
            judgements=tuple(replace(judgement, entry="") for judgement in judgements),
        )

    def passed(self, entry: Entry) -> set[tuple[str, str, str]]:
        """The judgements on record that the same researcher passed at the same moment."""
        return {
            (judgement.claim, judgement.standing, judgement.why)
            for old in (self.view.entries.values() if entry.judgements else ())
            if (old.recorded, old.researcher) == (entry.recorded, entry.researcher)
            for judgement in old.judgements
        }


class _Offered:
    """What a file says outside of entries, read as a typed note is."""

    def __init__(self, view: WorkingView, parsed: Parsed, found: Sorted) -> None:
        self.view, self.parsed, self.found = view, parsed, found
        self.faults: list[str] = []
        self.places: dict[str, list[str]] = {"thing": [], "claim": []}
        stem = re.sub(r"[^a-z0-9]+", "-", Path(parsed.name).stem.lower()).strip("-")[:60]
        self.source = f"file-{stem or parsed.digest[:10]}"

    def note(self, researcher: str) -> Note | None:
        """The note; None if the file says nothing outside of entries."""
        tables = {"thing": list(self.thing_rows()), "claim": list(self.claim_rows())}
        if any(row["source"] == self.source for row in tables["claim"]):
            tables["thing"].append({"id": self.source, "kind": "Dataset", "label": self.parsed.name})
            self.places["thing"].append(f"the file {self.parsed.name} as a source")
        reader = Reader(self.view, is_typed=False)
        described = [reader.thing(place, row) for place, row in reader.rows(tables, "thing")]
        reader.things = {thing.slug: thing for thing in described if thing}
        drafts = [reader.claim(place, row) for place, row in reader.rows(tables, "claim")]
        self.faults += [f"{self.told(fault.place)}: {fault.message}" for fault in reader.faults]
        things = tuple(reader.things.values())
        kept = tuple(dict.fromkeys(draft for draft in drafts if draft))
        if not (things or kept):
            return None
        remark = f"RDF file {self.parsed.name} ({self.parsed.form}), SHA-256 {self.parsed.digest}."
        # The time is fixed here, so that what is checked, shown and recorded are one entry with the same ids.
        return Note(researcher, remark, things, kept, recorded=datetime.now(UTC))

    def told(self, place: str) -> str:
        """The thing or claim that a place of the note reader means."""
        kind, _, number = place.partition(" ")
        listed = self.places.get(kind, [])
        return listed[int(number) - 1] if number.isdigit() and int(number) <= len(listed) else place

    def name(self, node: Any) -> str:
        """The slug or text of a node; one whose address names no thing is a fault."""
        if isinstance(node, ox.NamedNode) and not node.value.startswith(NAMING):
            self.faults.append(f"{self.shown(node)} names no thing; name it by http, https or urn.")
        return name_of(node, self.found.names)

    def shown(self, node: Any) -> str:
        """A node or statement as one reads it."""
        return _shown(node, self.found.names)

    def locator(self, triple: ox.Triple) -> str:
        """Where in the file a statement stands: the statement itself, which no editing of the file moves."""
        return f"statement {self.shown(triple)}"[:900]

    def thing_rows(self) -> Iterator[dict[str, Any]]:
        """A row for each thing that the file describes otherwise than the daybook does."""
        for node, pairs in self.found.things.items():
            slug = self.name(node)
            known = self.view.things.get(slug)
            self.places["thing"].append(self.shown(node))
            labels = list(dict.fromkeys(value.value for value in pairs.get(RDFS + "label", ())))
            if len(labels) > 1:
                self.faults.append(
                    f"{self.shown(node)}: it has {len(labels)} names ({', '.join(labels[:3])}); give one."
                )
            kinds = [self.name(kind) for kind in pairs.get(RDF + "type", ())]
            if known is not None:
                kinds, labels = kinds or list(known.kinds), labels or [known.label]
            row: dict[str, Any] = {"id": slug, "kind": kinds or "", "label": labels[0] if labels else ""}
            for key, part in (("confidential", "confidential"), ("dates-by", "datesBy")):
                if values := pairs.get(K + part):
                    row[key] = self.marked(key, values)
            yield row

    def claim_rows(self) -> Iterator[dict[str, Any]]:
        """A row for each claim: those that cite a source, then plain statements, which cite the file."""
        for triple, said in self.found.cited:
            self.places["claim"].append(self.shown(triple))
            row = self.row(triple)
            for key, values in said.items():
                if len(set(values)) > 1:
                    self.faults.append(
                        f"{self.shown(triple)}: it gives {key} {len(set(values))} times; give one."
                    )
                row[key] = self.marked(key, values)
            if "source" not in row:
                row |= {"source": self.source, "locator": row.get("locator", self.locator(triple))}
            yield row
        for triple in self.found.plain:
            self.places["claim"].append(self.shown(triple))
            yield self.row(triple) | {"source": self.source, "locator": self.locator(triple)}

    def row(self, triple: ox.Triple) -> dict[str, Any]:
        """What a statement says, as a row of a note."""
        return {
            "about": self.name(triple.subject),
            "says": self.name(triple.predicate),
            "value": self.name(triple.object),
        }

    def marked(self, key: str, values: list[Any]) -> Any:
        """A value of a row; the mark of confidentiality is true or false."""
        text = self.name(values[0])
        return _BOOLEANS.get(text, text) if key == "confidential" else text


def said_again(
    view: WorkingView, entries: Iterable[Entry], things: tuple[Thing, ...], rest: Counter[str]
) -> Counter[str]:
    """What of the rest an export of these entries in the words of CIDOC CRM holds, by property and class.

    What somebody added to such an export goes beyond these numbers, so it stays in the rest.
    """
    kept = list(entries)
    if not (kept and rest.keys() & {compact(CRMINF + "J4_that"), compact(CRMINF + "I4_Proposition_Set")}):
        return Counter()
    described = Entry("things", datetime.now(UTC), "", "", things, (), ())
    theirs = WorkingView.of(view.vocabulary, [*kept, described])
    written: Counter[str] = Counter()
    for triple in {quad.triple for quad in CrmWriter(theirs).quads(kept, theirs.things.values())}:
        kind = triple.object if triple.predicate.value == RDF + "type" else triple.predicate
        if isinstance(kind, ox.NamedNode):
            written[compact(kind.value)] += 1
    return rest & written


def _without_known(note: Note | None, view: WorkingView) -> tuple[Note | None, int, int]:
    """The note without what is on record, and how much of it is: live, and set aside or withdrawn here."""
    if note is None:
        return None, 0, 0
    live = {claim.as_draft() for claim in view.live}
    gone = {claim.as_draft() for claim in view.claims.values()} - live
    kept = tuple(draft for draft in note.drafts if draft not in gone)
    aside = len(note.drafts) - len(kept)
    drafts: tuple[Draft, ...] = kept
    fresh, known = only_new(replace(note, drafts=drafts), view)
    return fresh, len(known), aside


def _is_known(thing: Thing, view: WorkingView) -> bool:
    """Whether the daybook describes a thing so already, or marks it more strictly."""
    old = view.things.get(thing.slug)
    return old is not None and replace(
        thing,
        kinds=tuple(sorted({*thing.kinds, *old.kinds})),
        is_confidential=thing.is_confidential or old.is_confidential,
        convention=thing.convention or old.convention,
    ) == replace(old, kinds=tuple(sorted(old.kinds)))


def _shown(node: Any, names: Mapping[Any, str]) -> str:
    """A node or statement as one reads it, on one line."""
    if isinstance(node, ox.Triple):
        return " ".join(_shown(part, names) for part in (node.subject, node.predicate, node.object))
    if isinstance(node, ox.NamedNode):
        return compact(node.value)
    if isinstance(node, ox.BlankNode):
        return f"[{names.get(node, 'unnamed')}]"
    return ascii(" ".join(str(node.value).split())[:200])
