"""What the rows of a table say under a mapping: things, claims, and every fault with its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from kg.daybook.record import Citation, Draft, Thing
from kg.daybook.trig import check_slugs
from kg.daybook.view import WorkingView
from kg.intake.faults import BadTable, Fault, FaultyRows
from kg.intake.mapping import ClaimRule, Condition, Mapping, ThingRule
from kg.intake.rows import Row, Table
from kg.intake.templates import ROW, Template
from kg.intake.values import NO_DATE, NOTHING, CellReader, Found, Unusable, Value

#: Claims of one entry; more are taken in by parts of the table.
MOST_CLAIMS = 500_000
#: Faults that are kept with their places; reading stops at so many that refuse the table.
MOST_FAULTS = 1_000
#: Rows between two calls of the progress callback.
_STEP = 500

Progress = Callable[[str, int, int], None]
#: What makes two claims of one table the same; the locator does not, so a row may move.
Identity = tuple[str, str, str, str, str | None, str | None, str, bool]


def identity(draft: Draft) -> Identity:
    """What a claim says and which source says it, whatever row it stands in."""
    cited = draft.citation
    return (
        draft.subject, draft.property, draft.value, cited.source, draft.written, cited.quotation,
        draft.strength, draft.is_confidential,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Answer:
    """What a row answered when asked for a property of a subject."""

    row: int
    text: str
    is_said: bool


@dataclass
class Harvest:
    """All that the rows say."""

    things: dict[str, Thing] = field(default_factory=dict)
    rows_of: dict[str, int] = field(default_factory=dict)
    """The row in which each thing was met first."""
    drafts: dict[Identity, Draft] = field(default_factory=dict)
    asked: dict[tuple[str, str], Answer] = field(default_factory=dict)
    """For each subject and property that rows were asked about, what they answered."""
    faults: list[Fault] = field(default_factory=list)
    sources: set[str] = field(default_factory=set)
    rows: int = 0
    left_out: int = 0
    """Dates that could not be read."""
    undated: int = 0
    """Cells that say that there is no date."""
    relabelled: int = 0
    """Rows that give a thing another name than the first row did."""

    @property
    def refusing(self) -> tuple[Fault, ...]:
        """The faults for which the table is refused."""
        return tuple(fault for fault in self.faults if not fault.is_left_out)


def harvest(table: Table, mapping: Mapping, view: WorkingView, progress: Progress | None = None) -> Harvest:
    """Read a whole table; nothing is recorded.

    :raises kg.intake.faults.BadMapping: if the table lacks a column that the mapping names.
    :raises BadTable: if the file is no table that can be read, or gives too many claims.
    """
    mapping.require_columns(table.name, table.headings)
    reader = _Harvester(table, mapping, view)
    for row in table.rows():
        if progress and reader.found.rows % _STEP == 0:
            progress("rows read", reader.found.rows, 0)
        reader.row(row)
    reader.check_links()
    return reader.found


class _Harvester:
    """Reads one row after the other into a harvest."""

    def __init__(self, table: Table, mapping: Mapping, view: WorkingView) -> None:
        self.table, self.mapping, self.view = table, mapping, view
        self.found = Harvest()
        self.cells = CellReader(mapping, view.convention)
        self.links: list[tuple[int, ClaimRule, str]] = []
        self.reserved = ROW not in table.headings
        self.by_label: dict[str, list[str]] = {}
        if any(rule.is_found_by_label for rule in mapping.things):
            for thing in view.things.values():
                self.by_label.setdefault(thing.label.casefold(), []).append(thing.slug)

    def row(self, row: Row) -> None:
        found, cells = self.found, row.cells
        found.rows += 1
        if self.reserved:
            cells[ROW] = str(row.number)
        source = self.source(row)
        here = {rule.name: self.thing(row, rule) for rule in self.mapping.things if _applies(rule, cells)}
        if source is not None:
            for rule in self.mapping.claims:
                subject = here.get(rule.about)
                if subject is not None:
                    self.claim(row, rule, subject, here, source)
        if len(found.drafts) > MOST_CLAIMS:
            raise BadTable(
                f"{self.table.name} gives more than {MOST_CLAIMS:,} claims. Cut it into parts and take in each."
            )

    def fault(
        self, row: int, column: str, found: str, expected: str, remedy: str, *, is_left_out: bool = False
    ) -> None:
        faults = self.found.faults
        if is_left_out and len(faults) >= MOST_FAULTS:
            return
        faults.append(Fault(row, column, found, expected, remedy, is_left_out))
        if not is_left_out and len(faults) >= MOST_FAULTS and len(self.found.refusing) >= MOST_FAULTS:
            raise FaultyRows(self.table.name, self.found.refusing, is_cut=True)

    def source(self, row: Row) -> Citation | None:
        rule = self.mapping.source
        slug = self.slug(row, "source", rule.id)
        if slug is None or self.is_blank(row, "source label", rule.label):
            return None
        if slug not in self.found.sources:
            self.found.sources.add(slug)
            self.keep(
                row, Thing(slug, (rule.kind,), rule.label.filled(row.cells), convention=rule.convention)
            )
        locator = rule.locator.filled(row.cells)
        if self.table.sheet is not None and not rule.is_own_locator:
            locator = f"sheet {self.table.sheet}, {locator}"
        if not locator:
            columns = ", ".join(rule.locator.columns)
            self.fault(row.number, columns, "", "the place in the source", "Fill the cell.")
            return None
        return Citation(slug, locator)

    def is_blank(self, row: Row, what: str, template: Template) -> bool:
        column = template.missing(row.cells)
        if column is not None:
            remedy = f"Fill the cell, or write {{{column}?}} in the mapping where it may be empty."
            self.fault(row.number, column, "", f"a text for the {what}", remedy)
        return column is not None

    def slug(self, row: Row, what: str, template: Template) -> str | None:
        if self.is_blank(row, f"id of {what}", template):
            return None
        slug = template.slug(row.cells)
        for problem in check_slugs([slug]):
            columns = ", ".join(template.columns)
            self.fault(row.number, columns, slug, f"a name for {what}", problem)
            return None
        return slug

    def thing(self, row: Row, rule: ThingRule) -> str | None:
        label = rule.label.filled(row.cells)
        slug = self.looked_up(row, rule, label) if rule.is_found_by_label and label else None
        slug = slug or self.slug(row, rule.name, rule.id)
        if slug is None:
            return None
        first = self.found.rows_of.get(slug)
        if first is None:
            self.keep(row, Thing(slug, rule.kinds, label or slug, rule.is_confidential))
        elif rule.is_unique:
            remedy = f"Row {first} has it already. Give one of the rows an id of its own, or remove it."
            self.fault(row.number, ", ".join(rule.id.columns), slug, "an id that no other row has", remedy)
            return None
        elif label and label != self.found.things[slug].label:
            self.found.relabelled += 1
        return slug

    def looked_up(self, row: Row, rule: ThingRule, label: str) -> str | None:
        """The thing of the daybook that has this name and one of these classes."""
        kinds = self.view.kinds
        hits = [
            slug
            for slug in self.by_label.get(label.casefold(), ())
            if any(self.view.vocabulary.is_a(kinds(slug), kind) for kind in rule.kinds)
        ]
        if len(hits) > 1:
            remedy = "Several things have this name; tell them apart by their ids, without find-by-label."
            self.fault(
                row.number, ", ".join(rule.label.columns), label, "one thing", f"{', '.join(hits)}: {remedy}"
            )
        return hits[0] if len(hits) == 1 else None

    def keep(self, row: Row, thing: Thing) -> None:
        """Note a thing, once; one of quite another class in the daybook is a fault."""
        found, vocabulary = self.found, self.view.vocabulary
        before = self.view.kinds(thing.slug)
        shared = {a for kind in before for a in vocabulary.ancestors.get(kind, ())}
        if before and not any(vocabulary.ancestors[kind] & shared - {"Thing"} for kind in thing.kinds):
            remedy = "Change the id in the mapping, so that it is another name."
            wanted = f"a {', '.join(thing.kinds)}; the daybook has it as {', '.join(before)}"
            self.fault(row.number, "id", thing.slug, wanted, remedy)
        found.rows_of.setdefault(thing.slug, row.number)
        found.things.setdefault(thing.slug, thing)

    def claim(
        self, row: Row, rule: ClaimRule, subject: str, here: dict[str, str | None], citation: Citation
    ) -> None:
        value = self.value(row, rule, here)
        key = subject, rule.says.name
        if isinstance(value, Value):
            draft = self.draft(row, rule, subject, value, citation)
            self.found.drafts.setdefault(identity(draft), draft)
            before = self.found.asked.get(key)
            text = value.written or value.value
            if before is None or not before.is_said:
                self.found.asked[key] = Answer(row.number, text, True)
            elif before.row == row.number:
                self.found.asked[key] = Answer(row.number, f"{before.text}; {text}", True)
            return
        if isinstance(value, Unusable):
            self.found.left_out += value.is_left_out
            self.fault(
                row.number,
                value.column,
                value.found,
                value.expected,
                value.remedy,
                is_left_out=value.is_left_out,
            )
        self.found.undated += value is NO_DATE
        text = "" if value is NOTHING else "–".join(row.cells[column] for column in rule.columns)
        self.found.asked.setdefault(key, Answer(row.number, text, False))

    def value(self, row: Row, rule: ClaimRule, here: dict[str, str | None]) -> Found:
        if not _applies(rule, row.cells):
            return NOTHING
        if rule.thing is not None:
            linked = here.get(rule.thing)
            return Value(linked) if linked else NOTHING
        value = self.cells.value(rule, row.cells)
        if isinstance(value, Value) and rule.says.is_link:
            self.links.append((row.number, rule, value.value))
        return value

    @staticmethod
    def draft(row: Row, rule: ClaimRule, subject: str, value: Value, citation: Citation) -> Draft:
        words = rule.quotation.filled(row.cells) if rule.quotation else value.quoted or ""
        cited = Citation(citation.source, citation.locator, words) if words else citation
        return Draft(
            subject, rule.says.name, value.value, cited, value.written, rule.strength, rule.is_confidential
        )

    def check_links(self) -> None:
        """Each id that a column gives must be a thing of the daybook or of this table, or a claim."""
        for row, rule, slug in self.links:
            wanted = rule.says.range
            if wanted == "Claim":
                is_known = slug in self.view.claims
            else:
                thing = self.found.things.get(slug) or self.view.things.get(slug)
                is_known = thing is not None and self.view.vocabulary.is_a(thing.kinds, wanted)
            if not is_known:
                label = self.view.vocabulary.kind(wanted).label
                remedy = "Record it first, or make it with a [[thing]] of the mapping."
                self.fault(
                    row, ", ".join(rule.columns), slug, f"an id in the daybook of the class {label!r}", remedy
                )


def _applies(rule: ThingRule | ClaimRule, cells: dict[str, str]) -> bool:
    return _all(rule.when, cells) and not any(condition.holds(cells) for condition in rule.unless)


def _all(conditions: Iterable[Condition], cells: dict[str, str]) -> bool:
    return all(condition.holds(cells) for condition in conditions)
