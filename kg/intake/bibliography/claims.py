"""What a record says as claims on its source, each cited to the file and the line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from kg.daybook.csl import DATES, FURTHER, NAMES, VARIABLES
from kg.daybook.csl_dates import csl_date
from kg.daybook.record import Citation, Draft
from kg.daybook.view import WorkingView
from kg.intake.bibliography.dating import Dates
from kg.intake.bibliography.identifiers import doi, is_issn, isbns
from kg.intake.bibliography.kinds import type_to_claim
from kg.intake.bibliography.people import PeopleFinder
from kg.intake.bibliography.record import FieldReport, Outcome, Record, cut
from kg.intake.bibliography.texts import clean, folded, one_line

_PROPERTY = {variable: says for says, variable in VARIABLES.items()}
_DATE = {variable: says for says, variable in DATES.items()}
_ROLE = {variable: says for says, variable in NAMES.items()}
#: What a source may have several of; of all else a second, different one is told and not recorded.
_SEVERAL = frozenset(("noted", "citationKey", "bibliographicRecord", "familyName", "furtherNames"))


@dataclass
class Sayings:
    """The claims that records make, what they leave unsaid because it is on record, and what is told."""

    drafts: list[Draft] = field(default_factory=list)
    known: int = 0
    """Sayings that another source on record makes already."""
    told: list[FieldReport] = field(default_factory=list)


class Sayer:
    """Turns records into claims, beside what other sources say of the same things."""

    def __init__(self, view: WorkingView, bibliography: str) -> None:
        self.view, self.bibliography = view, bibliography
        self.dates = Dates(view)
        self.people = PeopleFinder(view)
        self.found = Sayings()
        self._here: dict[tuple[str, str], list[str]] = {}

    def say(self, record: Record, slug: str, kinds: tuple[str, ...]) -> None:
        """Add the claims of one record on a source of those classes."""
        for draft in self._drafts(record, slug, kinds):
            if self._is_wanted(record, draft):
                self._here.setdefault((draft.subject, draft.property), []).append(draft.value)
                self.found.drafts.append(draft)
        self._people(record, slug)

    def _drafts(self, record: Record, slug: str, kinds: tuple[str, ...]) -> Iterator[Draft]:
        cited = Citation(self.bibliography, record.place)
        for variable, said in record.texts.items():
            text = self._checked(record, variable, one_line(said.text))
            yield Draft(slug, _PROPERTY[variable], text, cited)
        kind = type_to_claim(record, kinds, self.view.vocabulary)
        if kind is not None:
            yield Draft(slug, "publicationType", kind, cited)
        for variable, said in record.dates.items():
            written = one_line(said.text)
            edtf = self.dates.edtf(written)
            if edtf is not None:
                yield Draft(slug, _DATE[variable], edtf, cited, written)
                self._tell(record, said.field, said.line, Outcome.MAPPED)
            else:
                yield Draft(slug, "noted", f"{said.field}: {written}", cited)
                if self.dates.says_none(written):
                    self._tell(record, said.field, said.line, Outcome.NOTED)
                    continue
                why = f"{cut(written)!r} is no date that is read here; kept as a note"
                self._tell(record, said.field, said.line, Outcome.NOT_UNDERSTOOD, why)
        for said in record.notes:
            yield Draft(slug, "noted", f"{said.field}: {one_line(said.text)}", cited)
        if record.key:
            yield Draft(slug, "citationKey", one_line(record.key), cited)
        yield Draft(slug, "bibliographicRecord", clean(record.raw).strip(), cited)

    def _tell(self, record: Record, name: str, line: int, outcome: Outcome, why: str = "") -> None:
        self.found.told.append(FieldReport(line, record.key or f"line {record.line}", name, outcome, why))

    def _checked(self, record: Record, variable: str, text: str) -> str:
        """A text as it is recorded; a number that cannot be right is told and kept."""
        said = record.texts[variable]
        wrong = ""
        if variable == "ISBN":
            good, bad = isbns(text)
            wrong = ", ".join(bad) or ("" if good else text)
            if wrong:
                why = f"{cut(wrong)!r} is no ISBN: its check digit or its length is wrong; kept as printed"
        elif variable == "ISSN" and not is_issn(text):
            wrong, why = (
                text,
                f"{cut(text)!r} is no ISSN: its check digit or its length is wrong; kept as printed",
            )
        elif variable == "DOI":
            number = doi(text)
            if number is None:
                wrong, why = (
                    text,
                    f"{cut(text)!r} is no DOI, which begins 10. and has a / in it; kept as printed",
                )
            else:
                text = number
        elif variable == "URL" and not text.lower().startswith(("http://", "https://")):
            wrong, why = text, f"{cut(text)!r} is no address of a web page; kept as printed"
        if wrong:
            self._tell(record, said.field, said.line, Outcome.QUESTIONED, why)
        return text

    def _is_wanted(self, record: Record, draft: Draft) -> bool:
        """Whether a claim adds something; one that differs from what others say is told instead."""
        says = draft.property
        theirs = [
            claim.value
            for claim in self.view.by_subject.get(draft.subject, ())
            if claim.property == says and claim.citation.source != self.bibliography
        ]
        if any(_is_same(says, draft.value, value) for value in theirs):
            self.found.known += 1
            return False
        here = self._here.get((draft.subject, says), [])
        if says in _SEVERAL or not (theirs or here):
            return True
        if any(_is_same(says, draft.value, value) for value in here):
            return False
        label = self.view.vocabulary.properties[says].label
        other = (theirs or here)[0]
        why = (
            f"{draft.subject} {label} {cut(other)!r} already; {cut(draft.value)!r} was not recorded beside it"
        )
        self._tell(record, says, record.line, Outcome.QUESTIONED, why)
        return False

    def _people(self, record: Record, slug: str) -> None:
        for role, people in record.people.items():
            says = _ROLE[role]
            line, shown = people.said.line, people.said.field
            if self._has_people(record, slug, says, [name.whole for name in people.names], shown):
                continue
            # The whole list is quoted, so that a list that is changed is recorded anew in its order.
            quoted = one_line(people.said.text)[:5_000]
            plain = Citation(self.bibliography, record.place)
            for number, name in enumerate(people.names, start=1):
                who = self.people.find(name)
                # The claims of an entry have no order; the place of each name keeps that of the list.
                cited = Citation(self.bibliography, f"{record.place}, {role} {number}", quoted)
                self.found.drafts.append(Draft(slug, says, who, cited))
                if name.family and self._lacks_family_name(who):
                    self._here.setdefault((who, "familyName"), []).append(name.family)
                    self.found.drafts.append(Draft(who, "familyName", one_line(name.family), plain))
            if people.is_cut:
                self.found.drafts.append(Draft(slug, "furtherNames", FURTHER[says], plain))
            self._here.setdefault((slug, says), []).append(role)
            self._tell(record, shown, line, Outcome.MAPPED)

    def _has_people(self, record: Record, slug: str, says: str, names: list[str], shown: str) -> bool:
        """Whether others say already who wrote it; that the names differ is told."""
        if (slug, says) in self._here:
            return True  # a second record of the file for the same source
        theirs = [
            self.view.label(claim.value)
            for claim in self.view.by_subject.get(slug, ())
            if claim.property == says and claim.citation.source != self.bibliography
        ]
        if not theirs:
            return False
        self.found.known += len(theirs)
        if [_last_word(name) for name in names] != [_last_word(name) for name in theirs]:
            why = f"{slug} has {', '.join(theirs)!r} already; {cut(', '.join(names))!r} was not recorded beside it"
            self._tell(record, shown, record.line, Outcome.QUESTIONED, why)
        return True

    def _lacks_family_name(self, who: str) -> bool:
        """Whether nobody but this file says by which name a person is sorted, and the file has not yet."""
        return (who, "familyName") not in self._here and not any(
            claim.property == "familyName" and claim.citation.source != self.bibliography
            for claim in self.view.by_subject.get(who, ())
        )


def _last_word(name: str) -> str:
    return folded(name).rsplit(" ", 1)[-1]


def _is_same(says: str, a: str, b: str) -> bool:
    if a == b:
        return True
    if says == "isbn":
        return bool(isbns(a)[0]) and isbns(a)[0] == isbns(b)[0]
    return says not in ("publishedOn", "consultedOn", "bibliographicRecord") and folded(a) == folded(b) != ""


def item_of(record: Record, dates: Dates) -> Mapping[str, object]:
    """The record as a CSL-JSON item, dates and all.

    Where a date cannot be read its words stand as they are.
    """
    item: dict[str, object] = {"id": record.key or f"line-{record.line}", "type": record.type}
    item |= {variable: one_line(said.text) for variable, said in record.texts.items()}
    for variable, said in record.dates.items():
        edtf = dates.edtf(said.text)
        item[variable] = csl_date(edtf, one_line(said.text)) if edtf else {"literal": one_line(said.text)}
    for role, people in record.people.items():
        names = [
            _csl_name(name.literal, name.family, name.given, name.particle, name.suffix)
            for name in people.names
        ]
        item[role] = [*names, *([{"literal": "others"}] if people.is_cut else [])]
    if record.notes:
        item["note"] = "; ".join(f"{said.field}: {one_line(said.text)}" for said in record.notes)
    return item


def _csl_name(literal: str, family: str, given: str, particle: str, suffix: str) -> dict[str, str]:
    if literal:
        return {"literal": one_line(literal)}
    parts = {"family": family, "given": given, "non-dropping-particle": particle, "suffix": suffix}
    return {part: one_line(text) for part, text in parts.items() if text}
