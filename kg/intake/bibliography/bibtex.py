"""BibTeX and BibLaTeX, read raw by bibtexparser; macros and cross references are resolved, LaTeX is decoded last.

Names are parted before LaTeX is decoded, since the braces that hold a firm's name together are gone after it.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from bibtexparser.middlewares.names import (
    InvalidNameError,
    parse_single_name_into_parts,
    split_multiple_persons_names,
)
from bibtexparser.model import (
    Block,
    DuplicateBlockKeyBlock,
    Entry,
    ParsingFailedBlock,
    String,
)
from bibtexparser.splitter import Splitter

from kg.dates.edtf import parse_edtf
from kg.dates.errors import DateNotUnderstood
from kg.intake.bibliography.latex import decode
from kg.intake.bibliography.record import Draft, Fault, Name, People, Record, Said, cut

#: The types of BibTeX and BibLaTeX (its manual, section 2.1) and the types of the Citation Style Language.
TYPES = {
    "article": "article-journal", "suppperiodical": "article-journal", "periodical": "periodical",
    "book": "book", "mvbook": "book", "collection": "book", "mvcollection": "book", "reference": "book",
    "mvreference": "book", "proceedings": "book", "mvproceedings": "book", "manual": "book", "booklet": "pamphlet",
    "inbook": "chapter", "bookinbook": "chapter", "suppbook": "chapter", "incollection": "chapter",
    "suppcollection": "chapter", "inproceedings": "paper-conference", "conference": "paper-conference",
    "inreference": "entry-encyclopedia", "phdthesis": "thesis", "mastersthesis": "thesis", "thesis": "thesis",
    "techreport": "report", "report": "report", "unpublished": "manuscript", "online": "webpage",
    "electronic": "webpage", "www": "webpage", "patent": "patent", "letter": "personal_communication",
    "dataset": "dataset", "artwork": "graphic", "image": "graphic", "review": "review", "legislation": "legislation",
    "standard": "standard", "misc": "document", "map": "map",
}  # fmt: skip
_TEXTS = {
    "booktitle": "container-title", "journal": "container-title", "journaltitle": "container-title",
    "series": "collection-title", "volume": "volume", "issue": "issue", "pages": "page",
    "pagetotal": "number-of-pages", "volumes": "number-of-volumes", "edition": "edition", "publisher": "publisher",
    "organization": "publisher", "institution": "publisher", "school": "publisher", "address": "publisher-place",
    "location": "publisher-place", "doi": "DOI", "isbn": "ISBN", "issn": "ISSN", "url": "URL",
    "language": "language", "langid": "language", "howpublished": "genre", "type": "genre", "eventtitle": "event",
    "library": "call-number",
}  # fmt: skip
_PEOPLE = {"author": "author", "editor": "editor", "translator": "translator"}
_NOTED = (
    "abstract addendum annotation annote bookauthor commentator comment holder keywords mainsubtitle maintitle note "
    "origdate origlocation origpublisher origtitle pubstate reprinttitle review titleaddon venue volumetitle"
)
_NOTES = frozenset(_NOTED.split())
_SUBTITLES = {"subtitle": "title", "booksubtitle": "booktitle", "journalsubtitle": "journaltitle"}
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_NAMES = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
                "November", "December")  # fmt: skip
#: What an entry inherits from the entry that it refers to, where that has a name of its own for it.
_INHERITED_AS = {"title": "booktitle", "subtitle": "booksubtitle"}
_NOT_INHERITED = frozenset(
    ("crossref", "xdata", "xref", "ids", "author", "pages", "doi", "keywords", "abstract", "note")
)
#: Characters of a field whose people are parted.
_LONGEST_NAMES = 50_000
#: Characters to which macros may lengthen a value: a few lines of macros within macros can grow without end.
_LONGEST_BY_MACROS = 2_000


@dataclass(frozen=True, slots=True)
class _Field:
    """A field with its macros resolved, its LaTeX still in it."""

    name: str
    text: str
    line: int
    origin: str = ""
    """The key of the entry that it is inherited from."""

    @property
    def shown(self) -> str:
        return f"{self.name} (of {self.origin})" if self.origin else self.name


class _Overgrown(Exception):
    """Macros would make a value far longer than it is written."""


@dataclass
class _Source:
    """An entry with its fields."""

    entry: Entry
    fields: dict[str, _Field] = field(default_factory=dict)
    unknown: list[tuple[_Field, str]] = field(default_factory=list)


def read_bibtex(text: str, faults: list[Fault]) -> list[Record]:
    """The records of a BibTeX or BibLaTeX file; blocks that cannot be read become faults with their lines."""
    with _quiet():
        blocks = Splitter(text).split().blocks
    strings = dict(zip(_MONTHS, _MONTH_NAMES, strict=True))
    sources: dict[str, _Source] = {}
    for block in sorted(blocks, key=lambda block: not isinstance(block, String)):
        try:
            if isinstance(block, String):
                strings[block.key.lower()] = _value(block.value, strings)[0]
            elif isinstance(block, Entry):
                sources[block.key] = _source(block, strings)
        except _Overgrown:
            faults.append(_overgrown(block))
        if (fault := _fault(block)) is not None:
            faults.append(fault)
    return [
        _record(source, sources, faults) for source in sources.values() if source.entry.entry_type != "xdata"
    ]


@contextmanager
def _quiet() -> Iterator[None]:
    """Failed blocks are told as faults; the library need not print them too."""
    logger = logging.getLogger("bibtexparser")
    level = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        logger.setLevel(level)


def _line(block: Block) -> int:
    """The line on which a block begins, counted from 1."""
    return (block.start_line or 0) + 1


def _fault(block: Block) -> Fault | None:
    if isinstance(block, DuplicateBlockKeyBlock):
        wanted = f"a key that no other record has; line {_line(block.previous_block)} has it already"
        return Fault(_line(block), block.key, wanted, "Give one of them another key, or remove it.")
    if isinstance(block, ParsingFailedBlock):
        first = (block.raw or "").strip().split("\n", 1)[0]
        wanted = "a whole record, @book{key, title = {…}, …}"
        return Fault(_line(block), first, wanted, "Close its braces and put = after each field's name.")
    return None


def _overgrown(block: Block) -> Fault:
    """The fault of a block whose macros stand for far too much."""
    first = (block.raw or "").strip().split("\n", 1)[0]
    wanted = f"macros that make no value longer than {_LONGEST_BY_MACROS:,} characters"
    return Fault(_line(block), first, wanted, "Write the value out, or shorten the macros.")


def _source(entry: Entry, strings: dict[str, str]) -> _Source:
    source = _Source(entry)
    for given in entry.fields:
        text, unknown = _value(str(given.value), strings)
        found = _Field(given.key.lower(), text, (given.start_line or entry.start_line or 0) + 1)
        source.fields.setdefault(found.name, found)
        source.unknown += [(found, name) for name in unknown]
    return source


def _value(raw: str, strings: dict[str, str]) -> tuple[str, list[str]]:
    """What a value says, its quotation marks or outer braces taken off; and names of macros that nothing defines."""
    parts = _parts(raw.strip()) if "#" in raw else [raw.strip()]
    said, unknown = [], []
    for part in parts:
        if len(part) >= 2 and (part[0], part[-1]) in (("{", "}"), ('"', '"')):
            said.append(part[1:-1])
        elif part.isdigit() or part.lower() in strings:
            said.append(strings.get(part.lower(), part))
        else:
            said.append(part)
            unknown.append(part)
    if sum(map(len, said)) > max(len(raw), _LONGEST_BY_MACROS):
        raise _Overgrown
    return "".join(said), unknown


def _parts(raw: str) -> list[str]:
    """The parts of a value that # joins, outside braces and quotation marks."""
    parts, depth, quoted, start = [], 0, False, 0
    for at, mark in enumerate(raw):
        if mark == "{":
            depth += 1
        elif mark == "}":
            depth -= 1
        elif mark == '"' and depth == 0:
            quoted = not quoted
        elif mark == "#" and depth == 0 and not quoted:
            parts.append(raw[start:at].strip())
            start = at + 1
    return [*parts, raw[start:].strip()]


def _record(source: _Source, sources: dict[str, _Source], faults: list[Fault]) -> Record:
    entry = source.entry
    draft = Draft(entry.key.strip(), _line(entry))
    kind = entry.entry_type.lower()
    draft.type = TYPES.get(kind, "document")
    if kind not in TYPES:
        draft.not_understood(
            Said(kind, "type", draft.line),
            f"{cut(kind)!r} is no type that is known here; cited as a document",
        )
    if not draft.key:
        faults.append(
            Fault(
                draft.line,
                (entry.raw or "").split("\n", 1)[0],
                "a key after the brace",
                "Give the record a key.",
            )
        )
    for given, name in source.unknown:
        draft.question(
            Said(name, given.name, given.line), f"the macro {cut(name)!r} is not defined; kept as it is"
        )
    _Mapper(draft, kind, _with_inherited(source, sources, draft)).map()
    return draft.record(entry.raw or "")


def _with_inherited(source: _Source, sources: dict[str, _Source], draft: Draft) -> dict[str, _Field]:
    """An entry's fields and those of the entries that it refers to; its own come first."""
    fields = dict(source.fields)
    for reference in ("crossref", "xdata"):
        given = fields.pop(reference, None)
        for key in (part.strip() for part in given.text.split(",")) if given else ():
            parent = sources.get(key)
            if parent is None or parent is source:
                why = f"there is no record {cut(key)!r} in the file"
                draft.not_understood(Said(key, reference, given.line if given else draft.line), why)
                continue
            for name, found in parent.fields.items():
                own = _INHERITED_AS.get(name, name) if reference == "crossref" else name
                if own not in fields and (reference == "xdata" or name not in _NOT_INHERITED):
                    fields[own] = _Field(own, found.text, found.line, key)
    return fields


class _Mapper:
    """Maps the fields of one entry."""

    def __init__(self, draft: Draft, kind: str, fields: dict[str, _Field]) -> None:
        self.draft, self.kind, self.fields = draft, kind, fields

    def map(self) -> None:
        self.titles()
        self.dates()
        for name, given in self.fields.items():
            said = self.said(given)
            if name in _PEOPLE:
                self.people(given)
            elif name == "number":
                self.draft.put(self.number_of(), said)
            elif name in _TEXTS:
                self.draft.put(_TEXTS[name], said)
            elif name in _NOTES:
                self.draft.note(said)
            else:
                self.draft.not_understood(said, "no such field is known here")

    def said(self, given: _Field) -> Said:
        """A field without its LaTeX; macros that are not known are told."""
        if given.name in ("url", "doi"):
            return Said(
                given.text.strip().replace("\\_", "_").replace("\\%", "%").strip("{}"),
                given.shown,
                given.line,
            )
        text, unknown = decode(given.text)
        if unknown:
            why = f"{', '.join(cut(name) for name in unknown[:5])} is no LaTeX that is known here; kept as typed"
            self.draft.question(Said(text, given.shown, given.line), why)
        return Said(text, given.shown, given.line)

    def titles(self) -> None:
        """Titles with their subtitles."""
        for under, over in _SUBTITLES.items():
            second = self.fields.pop(under, None)
            name = "journal" if over == "journaltitle" and "journal" in self.fields else over
            if second is None:
                continue
            first = self.fields.get(name)
            text = f"{first.text}: {second.text}" if first else second.text
            base = first or second
            self.fields[name] = _Field(name, text, base.line, base.origin)
        title = self.fields.pop("title", None)
        if title is not None:
            self.draft.put("title", self.said(title))

    def dates(self) -> None:
        """The date of publication, from a date or from year, month and day; and when it was read on line."""
        date, urldate = self.fields.pop("date", None), self.fields.pop("urldate", None)
        parts = [self.fields.pop(name, None) for name in ("year", "month", "day")]
        if date is None and parts[0] is not None:
            date = _Field(
                "year", _joined([part.text if part else "" for part in parts]), parts[0].line, parts[0].origin
            )
        elif date is not None and parts[0] is not None and parts[0].text.strip() not in date.text:
            self.draft.note(self.said(parts[0]))
        for variable, given in (("issued", date), ("accessed", urldate)):
            if given is not None and given.text.strip():
                # In EDTF the ~ says "about"; in LaTeX it is a blank.
                is_edtf = _is_edtf(given.text.strip())
                plain = Said(given.text.strip(), given.shown, given.line)
                self.draft.dates[variable] = plain if is_edtf else self.said(given)

    def number_of(self) -> str:
        if self.kind in ("article", "periodical", "suppperiodical"):
            return "issue"
        return (
            "number"
            if self.draft.type in ("patent", "report", "standard", "document")
            else "collection-number"
        )

    def people(self, given: _Field) -> None:
        if len(given.text) > _LONGEST_NAMES:
            said = Said(cut(given.text), given.shown, given.line)
            self.draft.not_understood(said, f"it has more than {_LONGEST_NAMES:,} characters")
            return
        names = [name for name in split_multiple_persons_names(given.text) if name.strip()]
        is_cut = bool(names) and names[-1].strip().lower() == "others"
        read = tuple(_name(name) for name in (names[:-1] if is_cut else names))
        people = tuple(name for name in read if name.whole)
        if people:
            said = Said(given.text.strip(), given.shown, given.line)
            self.draft.people[_PEOPLE[given.name]] = People(people, is_cut, said)


def _joined(parts: list[str]) -> str:
    """Year, month and day as one date: in EDTF where they are plain, else as a phrase."""
    year, month, day = (part.strip() for part in parts)
    numbers = {
        name.lower(): at for names in (_MONTH_NAMES, _MONTHS) for at, name in enumerate(names, start=1)
    }
    number = int(month) if month.isdigit() and len(month) < 3 else numbers.get(month.strip("{}. ").lower(), 0)
    if month and re.fullmatch(r"\d{4}", year) and 1 <= number <= 12:
        named = _MONTH_NAMES[number - 1]
        return f"{day} {named} {year}" if day.isdigit() else f"{named} {year}"
    return " ".join(part for part in (day, month, year) if part)


def _is_edtf(text: str) -> bool:
    try:
        parse_edtf(text)
    except DateNotUnderstood:
        return False
    return True


def _name(text: str) -> Name:
    """One name; braces round the whole of it mark a firm or society."""
    text = text.strip()
    if text.startswith("{") and text.endswith("}") and _closes_at_end(text):
        return Name(literal=decode(text)[0])
    try:
        parts = parse_single_name_into_parts(text, strict=False)
    except InvalidNameError:
        return Name(literal=decode(text)[0])
    given, particle, family, suffix = (
        decode(" ".join(words))[0] for words in (parts.first, parts.von, parts.last, parts.jr)
    )
    if not given and not particle and family:
        return Name(literal=family)
    return Name(family, given, particle, suffix)


def _closes_at_end(text: str) -> bool:
    depth = 0
    for at, mark in enumerate(text):
        depth += (mark == "{") - (mark == "}")
        if depth == 0:
            return at == len(text) - 1
    return False
