"""From the cells of a row to the value of a claim, typed by the property's range."""

from __future__ import annotations

import re
from collections.abc import Mapping as MappingOf
from dataclasses import dataclass

from kg.dates.conventions import DEFAULT, Convention, convention
from kg.dates.edtf import parse_edtf, year_text
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_phrase
from kg.intake.lengths import LengthNotUnderstood, millimetres
from kg.intake.mapping import ClaimRule, Mapping

_YEAR = re.compile(r"[+-]?\d{1,4}")
_WHOLE = re.compile(r"[+-]?\d{1,18}")


@dataclass(frozen=True, slots=True)
class Value:
    """What a claim says: its value, and for dates and lengths the words of the source."""

    value: str
    written: str | None = None
    quoted: str | None = None
    """The words of the cell, where the value was made of them by a unit."""


@dataclass(frozen=True, slots=True)
class Unusable:
    """Why cells give no value."""

    column: str
    found: str
    expected: str
    remedy: str
    is_left_out: bool
    """True for dates: the claim is left out and counted. False: the table is refused."""


#: The answer of a cell that is empty, or says that there is no date.
NOTHING, NO_DATE = "nothing", "no date"

Found = Value | Unusable | str


class CellReader:
    """Reads the values of a mapping's claims."""

    def __init__(self, mapping: Mapping, default_convention: str | None = None) -> None:
        self.mapping = mapping
        self.means: Convention = convention(mapping.source.convention or default_convention or DEFAULT)

    def value(self, rule: ClaimRule, cells: MappingOf[str, str]) -> Found:
        """The value that a row gives to a claim that is no link made by the mapping."""
        if rule.says.is_date:
            return self.range(rule, cells) if rule.column is None else self.date(rule, rule.column, cells)
        text = self._text(rule, cells)
        if text == "":
            return NOTHING
        if rule.unit is not None:
            return _length(rule, text, rule.unit)
        if rule.says.is_number:
            if not _WHOLE.fullmatch(text):
                place = ", ".join(rule.columns)
                other = (
                    'or name its unit in the mapping: unit = "cm"'
                    if rule.is_length
                    else "or map its text to a number"
                )
                remedy = f"Correct the cell, {other}."
                return Unusable(place, text, f"a whole number for {rule.says.label}", remedy, False)
            return Value(str(int(text)))
        return Value(text)

    @staticmethod
    def _text(rule: ClaimRule, cells: MappingOf[str, str]) -> str:
        if rule.column is not None:
            cell = cells[rule.column]
            return rule.written_as.get(cell.casefold(), cell)
        assert rule.text is not None  # the mapping was checked: one way is given
        return "" if rule.text.missing(cells) else rule.text.filled(cells)

    def date(self, rule: ClaimRule, column: str, cells: MappingOf[str, str]) -> Found:
        """The date in one column."""
        cell = cells[column]
        text = rule.written_as.get(cell.casefold(), cell)
        if text == "":
            return NOTHING
        try:
            edtf = self.edtf(rule, text)
        except DateNotUnderstood as error:
            return _unread(rule, column, cell, error)
        return Value(edtf, cell) if edtf else NO_DATE

    def range(self, rule: ClaimRule, cells: MappingOf[str, str]) -> Found:
        """The date between two columns; an empty one leaves that end open."""
        texts = [cells[column] if column else "" for column in (rule.first, rule.last)]
        place = " to ".join(rule.columns)
        if not any(texts):
            return NOTHING
        dash = " to " if any(text.startswith("-") for text in texts) else "–"
        written = texts[0] if texts[0] == texts[1] else dash.join(texts).strip()
        ends: list[str] = []
        for text in texts:
            try:
                ends.append(self.edtf(rule, text) if text else "")
            except DateNotUnderstood as error:
                return _unread(rule, place, text, error)
        try:
            return Value(str(parse_edtf(_joined(rule, *ends))), written) if any(ends) else NO_DATE
        except DateNotUnderstood:
            remedy = "Left out: correct the two columns, the earlier first, each with one date."
            return Unusable(place, written, "a first date that is not after the last", remedy, True)

    def edtf(self, rule: ClaimRule, text: str) -> str:
        """The date of a text in EDTF; empty if the text says that there is none.

        Of "designed 1902, made 1910" a dating takes the making, another property the whole.

        :raises DateNotUnderstood: if it is not of that form.
        """
        if rule.form == "year":
            return self.year(text)
        if rule.form == "edtf":
            return str(parse_edtf(text))
        reading = read_phrase(text, self.means, self.mapping.language)
        if reading.status != "read":
            return ""
        return (reading.making.edtf if rule.says.is_opinion and reading.making else reading.edtf) or ""

    def year(self, text: str) -> str:
        """A year as a number, negative before our era, in EDTF.

        Tables mostly count as history does, without a year 0: -1 is 1 BCE, which EDTF writes 0000.
        """
        if not _YEAR.fullmatch(text):
            raise DateNotUnderstood(text, 0, "a year such as 1878, or -43 before our era")
        year = int(text)
        if self.mapping.has_year_zero:
            return year_text(year)
        if year == 0:
            raise DateNotUnderstood(
                text, 0, "a year other than 0 (write year-zero = true if the table has one)"
            )
        return year_text(year + 1 if year < 0 else year)


def _length(rule: ClaimRule, text: str, unit: str) -> Found:
    try:
        return Value(str(millimetres(text, unit)), quoted=text)
    except LengthNotUnderstood as error:
        remedy = "Correct the cell, or map its text to a length."
        return Unusable(", ".join(rule.columns), text, error.wanted, remedy, False)


def _joined(rule: ClaimRule, first: str, last: str) -> str:
    if first == last:
        return first
    if rule.is_throughout:
        return f"{first or '..'}/{last or '..'}"
    return f"[{first}..{last}]"


def _unread(rule: ClaimRule, column: str, text: str, error: DateNotUnderstood) -> Unusable:
    wanted = f"{error.wanted} at character {error.at + 1}" if error.at else error.wanted
    remedy = "Left out: correct the cell, or add the claim by hand."
    return Unusable(column, text, wanted, remedy, True)
