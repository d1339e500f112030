"""A record of a bibliography, whatever format it was written in, and what became of each of its fields."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

from kg.errors import KilnmarkError
from kg.intake.bibliography.texts import one_line

#: Faults printed in one message; the rest are counted.
MOST_TOLD = 20
#: Characters of a text that a message quotes.
_QUOTED = 80


class BadBibliography(KilnmarkError):
    """The file is no bibliography that can be read; nothing was recorded."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One record, or part of the file, that cannot be read: where, what was found, what to do."""

    line: int
    found: str
    expected: str
    remedy: str

    def __str__(self) -> str:
        return f"line {self.line}: {cut(self.found)!r} found; expected {self.expected}. {self.remedy}"


class FaultyRecords(BadBibliography):
    """Records of the file have faults; nothing was recorded."""

    def __init__(self, file: str, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        more = len(self.faults) - MOST_TOLD
        lines = [f"  - {fault}" for fault in self.faults[:MOST_TOLD]]
        if more > 0:
            lines.append(f"  … and {more} more; --dry-run --json lists them.")
        count = f"{len(self.faults)} fault{'s' if len(self.faults) > 1 else ''}"
        super().__init__(
            f"Nothing was recorded: {count} in {file}. Mend the file, or take in the rest with --leave-out.\n"
            + "\n".join(lines)
        )


class Outcome(Enum):
    """What became of a field of a record."""

    MAPPED = "mapped"
    NOTED = "kept as a note"
    NOT_UNDERSTOOD = "not understood"
    QUESTIONED = "to be looked at"


@dataclass(frozen=True, slots=True)
class FieldReport:
    """One field of a record, where it stands, and what became of it."""

    line: int
    record: str
    field: str
    outcome: Outcome
    why: str = ""
    """For what was not understood or is to be looked at: the reason. It stays in the record as it was written."""


@dataclass(frozen=True, slots=True)
class Said:
    """What a field says, as text, with its place."""

    text: str
    field: str
    line: int


@dataclass(frozen=True, slots=True)
class Name:
    """A person by family and given name, or a firm or society by its name as a whole."""

    family: str = ""
    given: str = ""
    particle: str = ""
    suffix: str = ""
    literal: str = ""

    @property
    def whole(self) -> str:
        """The name as one says it.

        >>> Name("Tarn", "Ottmar", "van", "jr.").whole
        'Ottmar van Tarn, jr.'
        """
        if self.literal:
            return self.literal
        said = " ".join(part for part in (self.given, self.particle, self.family) if part)
        return f"{said}, {self.suffix}" if self.suffix else said


@dataclass(frozen=True, slots=True)
class People:
    """The people of one role, in their order."""

    names: tuple[Name, ...]
    is_cut: bool
    """Whether the list ends with "and others"."""
    said: Said
    """The field as it was written."""


@dataclass(frozen=True)
class Record:
    """One record by the variables of the Citation Style Language, and the text that it was read from."""

    key: str
    line: int
    type: str
    """A type of the Citation Style Language."""
    texts: Mapping[str, Said]
    dates: Mapping[str, Said]
    """Dates as they are printed."""
    people: Mapping[str, People]
    notes: tuple[Said, ...]
    report: tuple[FieldReport, ...]
    raw: str

    @property
    def place(self) -> str:
        """Where the record stands in the file, as a locator."""
        return f"line {self.line}, {cut(one_line(self.key))}" if self.key else f"line {self.line}"

    def text(self, variable: str) -> str:
        """What a text variable says; empty if nothing."""
        said = self.texts.get(variable)
        return said.text if said else ""


@dataclass
class Draft:
    """A record while it is read: what is mapped, noted and not understood, each told as it comes."""

    key: str
    line: int
    type: str = "document"
    texts: dict[str, Said] = field(default_factory=dict)
    dates: dict[str, Said] = field(default_factory=dict)
    people: dict[str, People] = field(default_factory=dict)
    notes: list[Said] = field(default_factory=list)
    report: list[FieldReport] = field(default_factory=list)

    def tell(self, said: Said, outcome: Outcome, why: str = "") -> None:
        """Put down what became of a field."""
        self.report.append(FieldReport(said.line, self.key or f"line {self.line}", said.field, outcome, why))

    def put(self, variable: str, said: Said) -> None:
        """Map a field to a text variable; a second one for the same variable is kept as a note."""
        if not said.text:
            return
        if variable in self.texts:
            if self.texts[variable].text != said.text:
                self.note(said)
            return
        self.texts[variable] = said
        self.tell(said, Outcome.MAPPED)

    def note(self, said: Said) -> None:
        """Keep a field as a note."""
        if said.text:
            self.notes.append(said)
            self.tell(said, Outcome.NOTED)

    def question(self, said: Said, why: str) -> None:
        """Tell something about a field that is mapped or noted."""
        self.tell(said, Outcome.QUESTIONED, why)

    def not_understood(self, said: Said, why: str) -> None:
        """Leave a field in the record only, and say why."""
        self.tell(said, Outcome.NOT_UNDERSTOOD, why)

    def record(self, raw: str) -> Record:
        """The record as read."""
        return Record(
            self.key,
            self.line,
            self.type,
            self.texts,
            self.dates,
            self.people,
            tuple(self.notes),
            tuple(self.report),
            raw,
        )


@dataclass(frozen=True)
class Bibliography:
    """What a file holds: its records, and the faults of what could not be read."""

    name: str
    format: str
    digest: str
    records: tuple[Record, ...]
    faults: tuple[Fault, ...]


def cut(text: str, most: int = _QUOTED) -> str:
    """A text short enough to be quoted."""
    return text if len(text) <= most else text[:most] + "…"
