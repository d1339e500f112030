"""The mapping: one page of TOML that says what each column of a table means.

::

    name = "museum-objects-years"

    [source]
    id = "museum-objects"
    label = "Object list of a museum"
    convention = "widens-with-age"

    [[thing]]
    name = "object"
    id = "object-{object_id}"
    kind = "Piece"
    label = "{title}"
    unique = true

    [[claim]]
    about = "object"
    says = "madeOn"
    from = "museum_earliest"
    to = "museum_latest"
    form = "year"

``sources/mappings/`` holds whole ones; the README of that folder explains every key.
"""

from __future__ import annotations

from collections.abc import Mapping as MappingOf
from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from kg.dates.phrases import Language
from kg.intake.faults import BadMapping
from kg.intake.templates import Template
from kg.vocabulary import Property


def is_length(prop: Property) -> bool:
    """Whether a property counts millimetres, as its name says."""
    return prop.is_number and prop.name.endswith("Mm")


@dataclass(frozen=True, slots=True)
class Condition:
    """Which rows a thing or claim is for: a column is filled, or holds one of some texts."""

    column: str
    texts: frozenset[str] | None = None
    """None: any text will do."""

    def holds(self, cells: MappingOf[str, str]) -> bool:
        """Whether a row meets it; capital and small letters are one."""
        cell = cells.get(self.column, "")
        return cell != "" if self.texts is None else cell.casefold() in self.texts


@dataclass(frozen=True, slots=True)
class ThingRule:
    """What a row is about: how the thing is named, of which classes it is, and when it is there."""

    name: str
    id: Template
    kinds: tuple[str, ...]
    label: Template
    is_unique: bool
    is_found_by_label: bool
    is_confidential: bool
    when: tuple[Condition, ...]
    unless: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class SourceRule:
    """The source of the claims: the table itself, or a source that columns name."""

    id: Template
    kind: str
    label: Template
    convention: str | None
    locator: Template
    is_own_locator: bool
    """Whether the mapping gives the locator; else it is the row, and the sheet where there are several."""


@dataclass(frozen=True, slots=True)
class ClaimRule:
    """What a row says of one of its things, and where the value stands."""

    about: str
    says: Property
    column: str | None
    text: Template | None
    thing: str | None
    first: str | None
    last: str | None
    form: str
    is_throughout: bool
    """For two columns: the date lasts from one to the other, instead of lying somewhere between."""
    written_as: MappingOf[str, str]
    quotation: Template | None
    strength: str
    is_confidential: bool
    when: tuple[Condition, ...]
    unless: tuple[Condition, ...]
    unit: str | None = None
    """For a length: the unit of the column, of which whole millimetres are made."""

    @property
    def is_length(self) -> bool:
        """Whether its property counts millimetres, so that a unit can be named."""
        return is_length(self.says)

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that the value stands in."""
        named = tuple(column for column in (self.column, self.first, self.last) if column)
        return named or (self.text.columns if self.text else ())


@dataclass(frozen=True, slots=True)
class Mapping:
    """All that a mapping file says."""

    name: str
    researcher: str | None
    encoding: str
    delimiter: str | None
    sheet: str | None
    """The sheet of a workbook; None is the first."""
    language: Language | None
    has_year_zero: bool
    source: SourceRule
    things: tuple[ThingRule, ...]
    claims: tuple[ClaimRule, ...]
    columns: frozenset[str] = field(default_factory=frozenset)
    """Every column that it names."""

    def require_columns(self, table: str, headings: Sequence[str]) -> None:
        """Check that a table has every column that is named here.

        :raises BadMapping: naming each absent column and near ones.
        """
        absent = {}
        for column in sorted(self.columns - set(headings)):
            near = get_close_matches(column, headings, n=2)
            absent[column] = f" Did you mean {' or '.join(map(repr, near))}?" if near else ""
        its = f"Its columns: {', '.join(headings)}."
        if len(absent) == 1:
            ((column, hint),) = absent.items()
            raise BadMapping(
                f"The mapping {self.name} names the column {column!r}, which {table} has not.{hint} {its}"
            )
        if absent:
            lines = [f"  - {column!r}.{hint}" for column, hint in absent.items()]
            head = f"The mapping {self.name} names {len(lines)} columns that {table} has not:"
            raise BadMapping("\n".join([head, *lines, its]))
