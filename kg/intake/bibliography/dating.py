"""The dates of a bibliography, kept as printed and read by the date phrases."""

from __future__ import annotations

from kg.dates.conventions import DEFAULT, convention
from kg.dates.edtf import parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_phrase
from kg.daybook.view import WorkingView
from kg.intake.bibliography.texts import one_line


class Dates:
    """Reads each printed date once."""

    def __init__(self, view: WorkingView) -> None:
        self._means = convention(view.convention or DEFAULT)
        self._read: dict[str, str | None] = {}
        self._says_none: set[str] = set()

    def edtf(self, printed: str) -> str | None:
        """The date in EDTF; None if it cannot be read, or says that there is none."""
        text = one_line(printed)
        if text not in self._read:
            self._read[text] = self._edtf(text)
        return self._read[text]

    def says_none(self, printed: str) -> bool:
        """Whether the words say that there is no date, as "n.d." does."""
        return self.edtf(printed) is None and one_line(printed) in self._says_none

    def _edtf(self, text: str) -> str | None:
        try:
            return str(parse_edtf(text))
        except DateNotUnderstood:
            pass
        try:
            reading = read_phrase(text, self._means)
        except DateNotUnderstood:
            return None
        if reading.status != "read":
            self._says_none.add(text)
            return None
        return reading.edtf
