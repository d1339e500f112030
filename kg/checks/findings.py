"""What a check finds, and the report of a whole run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum


class Severity(Enum):
    """How grave a finding is: impossible, unusual, or merely worth knowing."""

    VIOLATION = "Violation"
    WARNING = "Warning"
    INFO = "Info"

    @property
    def rank(self) -> int:
        """The gravest is 0."""
        return _RANKS[self]

    @property
    def word(self) -> str:
        """What a reader calls it: the values above are SHACL's own names, kept for data.

        >>> Severity.VIOLATION.word, Severity.WARNING.word, Severity.INFO.word
        ('Fault', 'Doubt', 'Note')
        """
        return _WORDS[self]


_RANKS = {Severity.VIOLATION: 0, Severity.WARNING: 1, Severity.INFO: 2}
_WORDS = {Severity.VIOLATION: "Fault", Severity.WARNING: "Doubt", Severity.INFO: "Note"}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a shape found wrong with one thing or claim."""

    shape: str
    severity: Severity
    focus: str
    """The slug of the thing, or the id of the claim, that was checked."""
    message: str
    hint: str
    claims: tuple[str, ...] = ()
    """The ids of the claims that together make the fault, in the order of the sentence."""
    path: str = ""
    """The property looked at, where the shape looks at one."""
    value: str = ""
    """The value found wrong, where there is one."""

    @property
    def order(self) -> tuple[int, str, str, tuple[str, ...], str, str]:
        """By gravity, then shape, focus, claims, path and value."""
        return (self.severity.rank, self.shape, self.focus, self.claims, self.path, self.value)

    def __str__(self) -> str:
        return f"{self.severity.word}: {self.focus}: {self.message}\n    {self.hint}"


@dataclass(frozen=True)
class Report:
    """Every finding of one run in a fixed order, and how many nodes each shape matched."""

    findings: tuple[Finding, ...]
    matched: Mapping[str, int]
    nodes: frozenset[str] | None = None
    """The things and claims that were checked; None for the whole daybook."""

    @classmethod
    def of(
        cls, findings: Iterable[Finding], matched: Mapping[str, int], nodes: frozenset[str] | None = None
    ) -> Report:
        """The report of these findings, put in order, each once."""
        return cls(tuple(sorted(set(findings), key=lambda f: f.order)), dict(sorted(matched.items())), nodes)

    @property
    def violations(self) -> tuple[Finding, ...]:
        """The findings that cannot stand."""
        return tuple(f for f in self.findings if f.severity is Severity.VIOLATION)

    @property
    def structural(self) -> tuple[Finding, ...]:
        """The violations that lie in one claim or thing alone: it is ill-formed, whatever the rest says.

        The others set claims against each other, which a daybook records and tells.
        """
        return tuple(f for f in self.violations if len(f.claims) < 2)

    @property
    def has_matched(self) -> bool:
        """Whether any shape matched any node: a report without findings means nothing otherwise."""
        return any(self.matched.values())

    def about(self, nodes: Iterable[str]) -> tuple[Finding, ...]:
        """The findings whose focus is one of these things and claims."""
        wanted = frozenset(nodes)
        return tuple(f for f in self.findings if f.focus in wanted)

    @property
    def summary(self) -> str:
        """One sentence: what was found, or that nothing was there to check."""
        if not self.has_matched:
            return "Nothing was checked: no shape matched any thing or claim."
        shapes = sum(1 for count in self.matched.values() if count)
        if not self.findings:
            return f"Nothing found wrong; {shapes} of {len(self.matched)} shapes had something to check."
        counts = Counter(f.severity for f in self.findings)
        told = ", ".join(
            f"{counts[s]} {s.word.lower()}{'s' if counts[s] > 1 else ''}" for s in Severity if counts[s]
        )
        return f"Found {told}; {shapes} of {len(self.matched)} shapes had something to check."
