"""RIS, read line by line: each tag with its line, and a record that has no end told and not swallowed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property

from kg.intake.bibliography.record import Draft, Fault, Name, Outcome, People, Record, Said, cut

#: The reference types of RIS and the types of the Citation Style Language.
TYPES = {
    "ABST": "article-journal", "ART": "graphic", "BILL": "bill", "BLOG": "post-weblog", "BOOK": "book",
    "CASE": "legal_case", "CHAP": "chapter", "CLSWK": "classic", "CONF": "paper-conference", "CPAPER":
    "paper-conference", "CTLG": "book", "DATA": "dataset", "DICT": "entry-dictionary", "EBOOK": "book",
    "ECHAP": "chapter", "EDBOOK": "book", "EJOUR": "article-journal", "ELEC": "webpage", "ENCYC":
    "entry-encyclopedia", "FIGURE": "figure", "GEN": "document", "ICOMM": "personal_communication", "INPR":
    "article-journal", "JFULL": "periodical", "JOUR": "article-journal", "LEGAL": "legislation", "MANSCPT":
    "manuscript", "MAP": "map", "MGZN": "article-magazine", "NEWS": "article-newspaper", "PAMP": "pamphlet",
    "PAT": "patent", "PCOMM": "personal_communication", "RPRT": "report", "SER": "book", "STAND":
    "standard", "STAT": "legislation", "THES": "thesis", "UNPB": "manuscript", "VIDEO": "motion_picture",
    "WEB": "webpage",
}  # fmt: skip
_TEXTS = {
    "TI": "title", "T1": "title", "CT": "title", "BT": "container-title", "T2": "container-title",
    "JO": "container-title", "JF": "container-title", "T3": "collection-title", "VL": "volume", "IS": "issue",
    "CP": "issue", "ET": "edition", "PB": "publisher", "CY": "publisher-place", "PP": "publisher-place",
    "DO": "DOI", "UR": "URL", "LA": "language", "CN": "call-number", "AV": "call-number", "M3": "genre",
    "NV": "number-of-volumes",
}  # fmt: skip
_PEOPLE = {
    "AU": "author",
    "A1": "author",
    "ED": "editor",
    "A2": "editor",
    "TA": "translator",
    "A4": "translator",
}
_NOTED = "AB N1 N2 KW M1 M2 RN CA OP RP A3 C1 J2 JA ST TT SE"
_NOTES = frozenset(_NOTED.split())
_WHOLE = frozenset(("book", "thesis", "report", "pamphlet", "classic"))
_TAG = re.compile(r"[ \t]*([A-Z][A-Z0-9])[ \t]{1,3}-(?:[ \t](.*)|[ \t]*)", re.DOTALL)


@dataclass
class _Lines:
    """The lines of one record."""

    line: int
    parts: list[tuple[str, list[str], int]] = field(default_factory=list)
    """Each tag with the lines of its text, and its line."""
    raw: list[str] = field(default_factory=list)

    @cached_property
    def tags(self) -> list[Said]:
        """Each tag as the field, with its text and its line."""
        return [Said(" ".join(part for part in texts if part), tag, line) for tag, texts, line in self.parts]


def read_ris(text: str, faults: list[Fault]) -> list[Record]:
    """The records of a RIS file; stray lines and records without an end become faults with their lines."""
    return [_record(lines) for lines in _split(text, faults)]


def _split(text: str, faults: list[Fault]) -> list[_Lines]:
    records: list[_Lines] = []
    here: _Lines | None = None
    for number, line in enumerate(text.split("\n"), start=1):
        found = _TAG.fullmatch(line)
        tag = found[1] if found else ""
        if tag == "TY":
            if here is not None:
                faults.append(_no_end(here, number))
            here = _Lines(number)
            records.append(here)
        if here is None:
            if line.strip():
                wanted = "TY  -, the begin of a record"
                faults.append(
                    Fault(number, line.strip(), wanted, "Remove the line, or give its record a begin.")
                )
            continue
        here.raw.append(line)
        if tag == "ER":
            here = None
        elif found:
            here.parts.append((tag, [(found[2] or "").strip()], number))
        elif line.strip():
            _continue(here, line, number, faults)
    if here is not None:
        faults.append(_no_end(here, text.count("\n") + 1))
    return records


def _continue(here: _Lines, line: str, number: int, faults: list[Fault]) -> None:
    """A line without a tag goes on with the field above it, unless that is the type."""
    tag, texts, _ = here.parts[-1]
    if tag == "TY":
        faults.append(Fault(number, line.strip(), "a tag such as AU  -", "Put a tag before the text."))
        return
    texts.append(line.strip())


def _no_end(here: _Lines, number: int) -> Fault:
    return Fault(here.line, f"{here.raw[0].strip()}, with no ER before line {number}", "ER  - at the end of the record",
                 "Add the line that ends the record.")  # fmt: skip


def _record(lines: _Lines) -> Record:
    key = next((said.text for said in lines.tags if said.field == "ID"), "")
    draft = Draft(key, lines.line)
    kind = lines.tags[0].text.upper()
    draft.type = TYPES.get(kind, "document")
    if kind not in TYPES:
        why = f"{cut(kind)!r} is no type that is known here; cited as a document"
        draft.not_understood(lines.tags[0], why)
    _Mapper(draft, kind, lines).map()
    return draft.record("\n".join(lines.raw))


class _Mapper:
    """Maps the tags of one record."""

    def __init__(self, draft: Draft, kind: str, lines: _Lines) -> None:
        self.draft, self.kind, self.tags = draft, kind, lines.tags[1:]

    def map(self) -> None:
        if self.kind == "CTLG":
            self.draft.texts["genre"] = Said("catalogue", "TY", self.draft.line)
        self.people()
        self.dates()
        self.pages()
        for said in self.tags:
            if said.field in ("ID", *_PEOPLE, "DA", "PY", "Y1", "Y2", "SP", "EP") or not said.text:
                continue
            if said.field in ("M1", "SN") or said.field in _TEXTS:
                self.text(said)
            elif said.field in _NOTES:
                self.draft.note(said)
            else:
                self.draft.not_understood(said, "no such tag is known here")

    def text(self, said: Said) -> None:
        variable = _TEXTS.get(said.field, "")
        if said.field == "SN":
            is_serial = re.fullmatch(r"\d{4}-?\d{3}[\dXx]", said.text.strip()) is not None
            variable = "ISSN" if is_serial else "ISBN"
        elif said.field == "M1":
            variable = "number" if self.draft.type in ("patent", "report", "standard") else ""
        elif variable == "container-title" and self.draft.type in _WHOLE:
            variable = "title" if said.field == "BT" else "collection-title"
        elif variable == "container-title" and self.draft.type == "periodical":
            variable = "title" if "title" not in self.draft.texts else variable
        elif said.field == "VL" and self.draft.type == "patent":
            variable = "number"
        if variable:
            self.draft.put(variable, said)
        else:
            self.draft.note(said)

    def people(self) -> None:
        for role in ("author", "editor", "translator"):
            found = [said for said in self.tags if _PEOPLE.get(said.field) == role and said.text]
            if not found:
                continue
            is_cut = found[-1].text.strip(" .").casefold() in ("others", "et al", "and others")
            names = tuple(ris_name(said.text) for said in (found[:-1] if is_cut else found))
            if names:
                said = Said("; ".join(said.text for said in found), found[0].field, found[0].line)
                self.draft.people[role] = People(names, is_cut, said)

    def dates(self) -> None:
        """DA where it says more than the year, else PY or Y1; the other is noted where it says something else."""
        given = {
            said.field: said
            for said in reversed(self.tags)
            if said.field in ("DA", "PY", "Y1", "Y2") and said.text
        }
        year = given.get("PY") or given.get("Y1")
        date = given.get("DA")
        if (
            date
            and year
            and re.fullmatch(r"\d{4}", ris_date(year.text))
            and not re.search(r"\d{4}", date.text)
        ):
            # A month or day alone, as in "DA  - July", goes with the year.
            best: Said | None = Said(f"{date.text.strip(' /')} {ris_date(year.text)}", "DA", date.line)
        else:
            best = date if date and (year is None or ris_date(year.text) in ris_date(date.text)) else year
        for variable, said in (("issued", best), ("accessed", given.get("Y2"))):
            if said is not None:
                self.draft.dates[variable] = Said(ris_date(said.text), said.field, said.line)
        for said in (date, given.get("PY"), given.get("Y1")):
            if said is not None and best is not None and said is not best:
                if ris_date(said.text) in ris_date(best.text) or said.field == best.field:
                    self.draft.tell(said, Outcome.MAPPED)
                else:
                    self.draft.note(said)

    def pages(self) -> None:
        ends = [
            next((said for said in self.tags if said.field == tag and said.text), None)
            for tag in ("SP", "EP")
        ]
        first, last = ends
        if first is None and last is None:
            return
        texts = [said.text for said in ends if said is not None]
        base = first or last
        assert base is not None  # one of them is there
        is_whole = self.draft.type in _WHOLE and last is None and texts[0].isdigit()
        text = texts[0] if len(set(texts)) == 1 else "–".join(texts)
        self.draft.put("number-of-pages" if is_whole else "page", Said(text, base.field, base.line))


def ris_date(text: str) -> str:
    """A date of RIS, ``YYYY/MM/DD/other``, in EDTF; what is no such date stays as it is written.

    >>> ris_date("1998/05/12/"), ris_date("1998///Spring"), ris_date("c. 1892")
    ('1998-05-12', 'Spring 1998', 'c. 1892')
    """
    year, *rest = (part.strip() for part in text.split("/"))
    if (
        not re.fullmatch(r"\d{4}", year)
        or len(rest) > 3
        or any(re.fullmatch(r"\d{3,}", part) for part in rest)
    ):
        return text.strip()
    numbers = [part for part in rest[:2] if re.fullmatch(r"\d{1,2}", part)]
    if len(numbers) != sum(bool(part) for part in rest[:2]):
        return text.strip()
    other = rest[2] if len(rest) == 3 else ""
    plain = "-".join([year, *(f"{int(number):02}" for number in numbers)])
    return f"{other} {plain}" if other and not numbers else plain


def ris_name(text: str) -> Name:
    """A name of RIS, ``Family, Given, Suffix``; without a comma it is a firm or society.

    >>> ris_name("Tarn, Ottmar").given, ris_name("Tarn & Ottery").literal
    ('Ottmar', 'Tarn & Ottery')
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) < 2 or not all(parts[:2]) or len(parts) > 3:
        return Name(literal=text.strip(" ,"))
    return Name(parts[0], parts[1], suffix=parts[2] if len(parts) == 3 else "")
