"""Reading the tables of a note: every fault is named, each with its place."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from kg.dates.conventions import DEFAULT, ConventionUnknown, convention
from kg.dates.edtf import parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_phrase
from kg.daybook.daybook import Note
from kg.daybook.record import BadRecord, Citation, Draft, Judgement, Thing, in_utc
from kg.daybook.trig import check_slugs
from kg.daybook.view import WorkingView
from kg.vocabulary import Property, UnknownTerm

_KEYS = {
    "thing": {"id", "kind", "label", "confidential", "dates-by"},
    "claim": {
        "about", "says", "value", "source", "locator", "quotation", "strength", "confidential", "written",
    },
    "judgement": {"claim", "about", "says", "value", "source", "finds", "why"},
}  # fmt: skip
_NEEDED = {
    "thing": ("id", "kind", "label"),
    "claim": ("about", "says", "value", "source", "locator"),
    "judgement": ("finds", "why"),
}
#: Characters of a text, of names and of what becomes part of an address; figures of a number.
LONGEST_TEXT, LARGEST_NUMBER = 100_000, 10**18
_LONGEST = {"id": 200, "about": 200, "source": 200, "says": 200, "label": 1_000, "locator": 1_000}
#: Control codes other than line breaks and tabs, and marks that turn the direction of what follows.
_STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_TOP = {"researcher", "remark", "recorded", *_KEYS}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a note: where, and what to do."""

    place: str
    message: str

    def __str__(self) -> str:
        return f"{self.place}: {self.message}"


class BadNote(BadRecord):
    """A note cannot be recorded as it stands; nothing was written."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        lines = "\n".join(f"  - {fault}" for fault in self.faults)
        count = len(self.faults)
        super().__init__(
            f"Nothing was recorded: {count} fault{'s' if count > 1 else ''} in the note.\n{lines}"
        )


class Reader:
    """Reads the tables of a note and gathers every fault."""

    def __init__(self, view: WorkingView, *, is_typed: bool = True) -> None:
        self.view = view
        self.is_typed = is_typed
        """Whether somebody typed it: a control character is a slip then. From a file it is kept, as tables keep it."""
        self.faults: list[Fault] = []
        self.things: dict[str, Thing] = {}

    def note(self, tables: Mapping[str, Any], researcher: str | None) -> Note:
        """The note that the tables say.

        :raises BadNote: with every fault, if there is one.
        """
        for key in tables.keys() - _TOP:
            self.fault("the file", f"{key!r} is no part of a note; expected {', '.join(sorted(_TOP))}.")
        who = tables.get("researcher") or researcher
        if not isinstance(who, str) or not who.strip():
            self.fault(
                "the file", 'no researcher is named. Add researcher = "Your Name" or give --researcher.'
            )
        things = [self.thing(place, row) for place, row in self.rows(tables, "thing")]
        slugs = [thing.slug for thing in things if thing]
        for slug in sorted({slug for slug in slugs if slugs.count(slug) > 1}):
            self.fault("the file", f"{slug!r} is described {slugs.count(slug)} times; describe it once.")
        self.things = {thing.slug: thing for thing in things if thing}
        drafts = [self.claim(place, row) for place, row in self.rows(tables, "claim")]
        judgements = [self.judgement(place, row) for place, row in self.rows(tables, "judgement")]
        recorded = self.recorded(tables.get("recorded"))
        if not (things or drafts or judgements) and not self.faults:
            self.fault("the file", "it holds no [[thing]], [[claim]] or [[judgement]].")
        if self.faults:
            raise BadNote(self.faults)
        return Note(
            str(who).strip(),
            str(tables.get("remark", "")),
            tuple(self.things.values()),
            tuple(draft for draft in drafts if draft),
            tuple(judgement for judgement in judgements if judgement),
            recorded,
        )

    def fault(self, place: str, message: str) -> None:
        """Keep a fault with its place."""
        self.faults.append(Fault(place, message))

    def rows(self, tables: Mapping[str, Any], kind: str) -> list[tuple[str, Mapping[str, Any]]]:
        """The tables of a kind with their places; what no table can hold is a fault."""
        listed = tables.get(kind, [])
        if not isinstance(listed, list):
            self.fault(f"[{kind}]", f"write [[{kind}]] with two brackets, once for each.")
            return []
        good: list[tuple[str, Mapping[str, Any]]] = []
        for number, row in enumerate(listed, start=1):
            place = f"{kind} {number}"
            if not isinstance(row, dict):
                self.fault(place, f"expected a table of {', '.join(sorted(_KEYS[kind]))}.")
                continue
            for key in sorted(row.keys() - _KEYS[kind]):
                self.fault(place, f"{key!r} is unknown here; expected {', '.join(sorted(_KEYS[kind]))}.")
            for key in _NEEDED[kind]:
                if not _has(row, key):
                    self.fault(place, _MISSING.get(key, f"{key!r} is missing."))
            plain = [
                self.is_plain(place, key, value) for key, value in sorted(row.items())
            ]  # each fault is named
            if all(plain):
                good.append((place, row))
        return good

    def is_plain(self, place: str, key: str, value: object) -> bool:
        """Whether a value is one text, number or date (or, for kinds, a list of texts), and none too long."""
        before = len(self.faults)
        if key == "kind" and isinstance(value, list):
            plain = [self.is_plain(place, "one of the kinds", one) for one in value]
            return all(plain)
        if not isinstance(value, str | bool | int | float | date):
            self.fault(place, f"{key} is a {type(value).__name__}; write one text, number or date.")
        elif isinstance(value, int) and abs(value) >= LARGEST_NUMBER:
            self.fault(place, f"{key} is a number of more than 18 figures.")
        elif isinstance(value, str):
            most = _LONGEST.get(key, LONGEST_TEXT)
            if len(value) > most:
                self.fault(place, f"{key} has {len(value):,} characters; at most {most:,} are taken.")
            if self.is_typed and (found := _STEERING.search(value)):
                told = f"U+{ord(found[0]):04X} at character {found.start() + 1}"
                self.fault(place, f"{key} holds the control character {told}; take it out.")
        return len(self.faults) == before

    def thing(self, place: str, row: Mapping[str, Any]) -> Thing | None:
        """The thing that a row describes, or None if it has no id."""
        listed = row.get("kind", [])
        kinds = [
            self.kind(place, str(kind)) for kind in (listed if isinstance(listed, list) else [listed]) if kind
        ]
        slug = str(row.get("id", ""))
        for problem in check_slugs([slug] if slug else []):
            self.fault(place, problem)
        named = row.get("dates-by")
        if named is not None:
            try:
                convention(str(named))
            except ConventionUnknown as error:
                self.fault(place, str(error))
        if not slug:
            return None
        return Thing(
            slug,
            tuple(sorted(kind for kind in kinds if kind)),
            str(row.get("label", "")).strip(),
            self.confidential(place, row),
            str(named) if named is not None else None,
        )

    def kind(self, place: str, name: str) -> str | None:
        """The class of this name, or None if the vocabulary has none."""
        try:
            return self.view.vocabulary.kind(name).name
        except UnknownTerm as error:
            self.fault(place, str(error))
            return None

    def claim(self, place: str, row: Mapping[str, Any]) -> Draft | None:
        """The claim that a row makes, or None if it lacks what every claim needs."""
        prop = self.property(place, row)
        self.about(place, prop, row)
        if _has(row, "source"):
            self.source(place, str(row["source"]))
        value, written = self.value(place, prop, row) if prop and _has(row, "value") else ("", None)
        strength = str(row.get("strength", "hard"))
        if strength not in self.view.vocabulary.strengths:
            known = ", ".join(self.view.vocabulary.strengths)
            self.fault(place, f"strength {strength!r} found; expected {known}.")
        if prop is None or not all(_has(row, key) for key in _NEEDED["claim"]):
            return None
        quotation = row.get("quotation")
        citation = Citation(
            str(row["source"]), str(row["locator"]).strip(), str(quotation) if quotation is not None else None
        )
        is_confidential = self.confidential(place, row)
        return Draft(str(row["about"]), prop.name, value, citation, written, strength, is_confidential)

    def confidential(self, place: str, row: Mapping[str, Any]) -> bool:
        """Whether a row is marked; a mark that is neither true nor false is a fault, never passed over."""
        given = row.get("confidential", False)
        if isinstance(given, bool):
            return given
        self.fault(place, f"confidential = {given!r} found; expected true or false, without quotation marks.")
        return True

    def property(self, place: str, row: Mapping[str, Any]) -> Property | None:
        """The property that a row says, or None if the vocabulary has none of that name."""
        if not _has(row, "says"):
            return None
        try:
            return self.view.vocabulary.property(str(row["says"]))
        except UnknownTerm as error:
            self.fault(place, str(error))
            return None

    def about(self, place: str, prop: Property | None, row: Mapping[str, Any]) -> None:
        """Tell a subject that is not known, or of which the property is not said."""
        if not _has(row, "about"):
            return
        if prop is not None and prop.domain == "Claim":
            self.known_claim(place, "about", str(row["about"]))
        elif self.known(place, "about", str(row["about"])) and prop is not None:
            self.fits(place, "about", str(row["about"]), prop.domain, f"{prop.label!r} is said of")

    def known(self, place: str, key: str, slug: str) -> bool:
        """Whether a thing is in the daybook or in this note; one that is in neither is a fault."""
        if slug in self.things or slug in self.view.things:
            return True
        near = self.view.near(slug.casefold())
        self.fault(place, f"{key} {slug!r} is neither in the daybook nor a [[thing]] of this note.{near}")
        return False

    def kinds(self, slug: str) -> frozenset[str]:
        """The classes of a thing, by this note and by the daybook."""
        here = self.things[slug].kinds if slug in self.things else ()
        return frozenset((*here, *self.view.kinds(slug)))

    def fits(self, place: str, key: str, slug: str, wanted: str, why: str) -> None:
        """Tell a thing of the wrong class."""
        vocabulary, kinds = self.view.vocabulary, self.kinds(slug)
        if kinds and wanted in vocabulary.kinds and not vocabulary.is_a(kinds, wanted):
            found = ", ".join(
                sorted(vocabulary.kinds[kind].label for kind in kinds if kind in vocabulary.kinds)
            )
            self.fault(place, f"{key} {slug!r} is a {found}; {why} a {vocabulary.kinds[wanted].label}.")

    def known_claim(self, place: str, key: str, claim_id: str) -> None:
        """Tell a claim that the daybook does not hold."""
        if claim_id not in self.view.claims:
            self.fault(place, f"{key} {claim_id!r} is no claim of the daybook.")

    def source(self, place: str, slug: str) -> None:
        """Tell a source that is not known, or is no source."""
        if self.known(place, "source", slug):
            self.fits(place, "source", slug, "Source", "a claim cites")

    def value(self, place: str, prop: Property, row: Mapping[str, Any]) -> tuple[str, str | None]:
        """The value as it is recorded, and as the source writes it where that differs."""
        given = row["value"]
        if prop.is_date:
            return self.date(place, prop, given, row)
        if prop.is_number:
            if isinstance(given, bool) or not re.fullmatch(r"[+-]?\d{1,18}", str(given).strip()):
                self.fault(place, f"value {given!r} found; {prop.label} is a whole number.")
                return "0", None
            return str(int(given)), None
        if prop.is_link and prop.range == "Claim":
            self.known_claim(place, "value", str(given))
        elif prop.is_link and self.known(place, "value", str(given)):
            self.fits(place, "value", str(given), prop.range, f"{prop.label!r} names")
        return str(given).strip(), None

    def date(
        self, place: str, prop: Property, given: object, row: Mapping[str, Any]
    ) -> tuple[str, str | None]:
        """A date as EDTF, and as the source writes it."""
        text = given.isoformat() if isinstance(given, date) else str(given).strip()
        written = str(row["written"]) if "written" in row else text
        try:
            return str(parse_edtf(text)), written
        except DateNotUnderstood:
            pass
        source = str(row.get("source", ""))
        thing = self.things.get(source) or self.view.things.get(source)
        try:
            reading = read_phrase(
                text, convention((thing.convention if thing else None) or self.view.convention or DEFAULT)
            )
        except DateNotUnderstood as error:
            self.fault(
                place,
                f"{error}\n    Write the date as the source prints it, or in EDTF, such as 1878~ or 1871/1886.",
            )
            return "", None
        # "designed 1902, made 1910" dates the making to 1910; other properties take what the phrase says as a whole.
        edtf = reading.making.edtf if prop.is_opinion and reading.making else reading.edtf
        if edtf is None:
            self.fault(place, f"{text!r} says that there is no date; leave the claim out.")
            return "", None
        return edtf, written

    def judgement(self, place: str, row: Mapping[str, Any]) -> Judgement | None:
        """The judgement that a row passes."""
        finds = {label: name for name, label in self.view.vocabulary.standings.items()}
        finds |= {name: name for name in self.view.vocabulary.standings}
        found = finds.get(str(row.get("finds", "")))
        if found is None and _has(row, "finds"):
            self.fault(
                place,
                f"finds {row['finds']!r}; expected {', '.join(self.view.vocabulary.standings.values())}.",
            )
        return Judgement(self.judged(place, row), found or "held", str(row.get("why", "")).strip())

    def judged(self, place: str, row: Mapping[str, Any]) -> str:
        """The id of the claim that a judgement is about: given, or the only one that says so."""
        if "claim" in row:
            if str(row["claim"]) not in self.view.claims:
                self.fault(place, f"claim {row['claim']!r} is not in the daybook.")
            return str(row["claim"])
        asked = {key: str(row[key]) for key in ("about", "says", "value", "source") if key in row}
        hits = [
            claim.id
            for claim in self.view.claims.values()
            if asked.items() <= {"about": claim.subject, "says": claim.property, "value": claim.written or claim.value,
                                 "source": claim.citation.source}.items()
        ]  # fmt: skip
        if not asked or len(hits) != 1:
            self.fault(
                place, f"{len(hits)} claims answer to {asked}; give claim = the id of the one that is meant."
            )
            return ""
        return hits[0]

    def recorded(self, given: object) -> datetime | None:
        """When the note was taken, in UTC, or None for now."""
        if given is None:
            return None
        if isinstance(given, datetime):
            try:
                return in_utc(given if given.tzinfo else given.replace(tzinfo=UTC))
            except BadRecord as error:
                self.fault("the file", str(error))
                return None
        self.fault(
            "the file", f"recorded = {given!r} found; expected a date and time such as 2026-03-02T09:00:00Z."
        )
        return None


def _has(row: Mapping[str, Any], key: str) -> bool:
    return str(row.get(key, "")).strip() not in ("", "[]")


_MISSING = {
    "source": "no source is cited. Name the book, register, letter or object that says so.",
    "locator": "no locator. Add the page, plate, number or place in the source, such as 'p. 12' or 'head, back'.",
    "about": "it does not say what it is about; add about = the id of a thing.",
    "says": "it names no property; add says = such as 'madeBy'. `kilnmark vocabulary` lists them.",
    "why": "a judgement gives its reason; add why.",
}
