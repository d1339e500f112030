"""What can be wrong with a table or its mapping, each fault with its place and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kg.checks.findings import Finding
from kg.errors import KilnmarkError

#: Faults printed in one message; the rest are counted.
MOST_TOLD = 20
#: Characters of a cell that a fault quotes.
_QUOTED = 80


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a table: where, what was found, what was expected, what to do."""

    row: int
    """The row as a spreadsheet counts it: the headings are row 1."""
    column: str
    found: str
    expected: str
    remedy: str
    is_left_out: bool = False
    """True: only this value is left out (dates that cannot be read). False: the table is refused."""

    def __str__(self) -> str:
        found = self.found if len(self.found) <= _QUOTED else self.found[:_QUOTED] + "…"
        return f"row {self.row}, {self.column}: {found!r} found; expected {self.expected}. {self.remedy}"


class BadTable(KilnmarkError):
    """The table cannot be taken in as it stands; nothing was recorded."""


class BadMapping(KilnmarkError):
    """The mapping file does not say what a mapping must say; nothing was recorded."""

    @classmethod
    def of(cls, name: str, faults: Sequence[str]) -> BadMapping:
        """All faults of a mapping as one."""
        if len(faults) == 1:
            return cls(f"The mapping {name}: {faults[0]}")
        lines = [f"  - {fault}" for fault in faults[:MOST_TOLD]]
        if len(faults) > MOST_TOLD:
            lines.append(f"  … and {len(faults) - MOST_TOLD} more")
        return cls("\n".join([f"The mapping {name} has {len(faults)} faults:", *lines]))


class FaultyRows(BadTable):
    """Rows of the table have faults that must be mended first; nothing was recorded."""

    def __init__(self, table: str, faults: Sequence[Fault], is_cut: bool = False) -> None:
        self.faults = tuple(faults)
        more = len(self.faults) - MOST_TOLD
        lines = [f"  - {fault}" for fault in self.faults[:MOST_TOLD]]
        if more > 0:
            lines.append(f"  … and {more} more; --dry-run --json lists them.")
        count = f"{len(self.faults)}{' or more' if is_cut else ''} fault{'s' if len(self.faults) > 1 else ''}"
        super().__init__(f"Nothing was recorded: {count} in {table}.\n" + "\n".join(lines))


class IllFormed(BadTable):
    """Claims or things of the table are ill-formed by the shapes of the daybook; nothing was recorded."""

    def __init__(self, table: str, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        more = len(self.findings) - MOST_TOLD
        lines = [f"  - {finding.message} {finding.hint}" for finding in self.findings[:MOST_TOLD]]
        if more > 0:
            lines.append(f"  … and {more} more; --dry-run --json lists them.")
        super().__init__(
            f"Nothing was recorded: {len(self.findings)} claims or things of {table} are ill-formed.\n"
            + "\n".join(lines)
        )
