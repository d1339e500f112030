"""Reading a mapping file, checked against the vocabulary, with every block of it named in faults."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from kg.dates.conventions import ConventionUnknown, convention
from kg.dates.phrases import Language
from kg.intake.faults import BadMapping
from kg.intake.mapping import ClaimRule, Condition, Mapping, SourceRule, ThingRule
from kg.intake.mapping_keys import KEYS, NEEDED, checked, text_of
from kg.intake.tables import ENCODINGS
from kg.intake.templates import Template, slug_of
from kg.vocabulary import Property, UnknownTerm, Vocabulary

FORMS = ("year", "phrase", "edtf")
LANGUAGES: dict[str, Language] = {"en": "en", "fr": "fr", "de": "de"}
#: A mapping is one page; a longer file is something else.
MOST_BYTES = 100_000


def read_mapping(path: Path, vocabulary: Vocabulary) -> Mapping:
    """The mapping in a file, checked against the vocabulary.

    :raises BadMapping: if it is no TOML, or leaves out or misnames anything; the block is named.
    """
    if not path.is_file():
        raise BadMapping(
            f"There is no mapping file {path}. `sources/mappings/` holds examples to begin from."
        )
    if path.stat().st_size > MOST_BYTES:
        raise BadMapping(f"{path.name} has more than {MOST_BYTES:,} bytes; expected one page of TOML.")
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadMapping(f"The mapping {path.name} is no TOML that can be read: {error}.") from error
    try:
        return _Reader(vocabulary).mapping(tables)
    except BadMapping as error:
        raise BadMapping(f"The mapping {path.name}: {error}") from error


class _Reader:
    """Reads the tables of a mapping, noting every column that it names."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.columns: set[str] = set()
        self.names: dict[str, ThingRule] = {}

    def mapping(self, tables: dict[str, Any]) -> Mapping:
        top = checked("the top", tables, KEYS["top"], NEEDED["top"])
        name = text_of("the top", top, "name") or ""
        if slug_of(name) != name:
            raise BadMapping(
                f"name = {name!r} found; expected letters, digits and '-', such as 'museum-objects'."
            )
        encoding = text_of("the top", top, "encoding") or "utf-8"
        if encoding not in ENCODINGS:
            raise BadMapping(f"encoding = {encoding!r} found; expected one of {', '.join(ENCODINGS)}.")
        dates = checked("[dates]", top.get("dates", {}), KEYS["dates"], ())
        source = self.source(top["source"])
        for number, row in enumerate(_rows(top, "thing"), start=1):
            rule = self.thing(f"[[thing]] {number}", row)
            if rule.name in self.names:
                raise BadMapping(f"two [[thing]] are named {rule.name!r}; give each a name of its own.")
            self.names[rule.name] = rule
        claims = tuple(
            self.claim(f"[[claim]] {n}", row) for n, row in enumerate(_rows(top, "claim"), start=1)
        )
        return Mapping(
            name,
            text_of("the top", top, "researcher"),
            encoding,
            _delimiter(text_of("the top", top, "delimiter")),
            text_of("the top", top, "sheet"),
            _language(text_of("[dates]", dates, "language")),
            _flag("[dates]", dates, "year-zero"),
            source,
            tuple(self.names.values()),
            claims,
            frozenset(self.columns),
        )

    def template(self, place: str, row: dict[str, Any], key: str, default: str | None = None) -> Template:
        text = text_of(place, row, key) or default
        if not text:
            raise BadMapping(f"{place}: {key} is missing.")
        found = Template.of(text)
        self.columns.update(found.columns)
        return found

    def source(self, given: object) -> SourceRule:
        place = "[source]"
        row = checked(place, given, KEYS["source"], NEEDED["source"])
        named = text_of(place, row, "convention")
        if named is not None:
            try:
                convention(named)
            except ConventionUnknown as error:
                raise BadMapping(f"{place}: {error.args[0]}.") from error
        kind = self.kind(place, text_of(place, row, "kind") or "Dataset")
        if not self.vocabulary.is_a([kind], "Source"):
            raise BadMapping(
                f"{place}: kind = {kind!r} is no source. Name a book, register, letter or data file."
            )
        locator = self.template(place, row, "locator", "row {row}")
        if not locator.fields and not locator.text.strip():
            raise BadMapping(f"{place}: the locator is empty.")
        return SourceRule(
            self.template(place, row, "id"),
            kind,
            self.template(place, row, "label"),
            named,
            locator,
            "locator" in row,
        )

    def kind(self, place: str, name: str) -> str:
        try:
            return self.vocabulary.kind(name).name
        except UnknownTerm as error:
            raise BadMapping(f"{place}: {error}") from error

    def thing(self, place: str, given: object) -> ThingRule:
        row = checked(place, given, KEYS["thing"], NEEDED["thing"])
        kinds = row["kind"] if isinstance(row["kind"], list) else [row["kind"]]
        template = self.template(place, row, "id")
        if not template.columns:
            raise BadMapping(
                f"{place}: id = {template.text!r} names no column, so every row would be one thing."
            )
        return ThingRule(
            text_of(place, row, "name") or "",
            template,
            tuple(sorted(self.kind(place, str(kind)) for kind in kinds)),
            self.template(place, row, "label"),
            _flag(place, row, "unique"),
            _flag(place, row, "find-by-label"),
            _flag(place, row, "confidential"),
            self.conditions(place, row, "when"),
            self.conditions(place, row, "unless"),
        )

    def conditions(self, place: str, row: dict[str, Any], key: str) -> tuple[Condition, ...]:
        given = row.get(key)
        if given is None:
            return ()
        found: tuple[Condition, ...]
        if isinstance(given, str):
            found = (Condition(given),)
        elif isinstance(given, dict) and all(isinstance(texts, list) for texts in given.values()):
            found = tuple(
                Condition(column, frozenset(str(text).casefold() for text in texts))
                for column, texts in given.items()
            )
        else:
            raise BadMapping(
                f'{place}: {key} = {given!r} found; expected a column, or {{ column = ["text", …] }}.'
            )
        self.columns.update(condition.column for condition in found)
        return found

    def claim(self, place: str, given: object) -> ClaimRule:
        row = checked(place, given, KEYS["claim"], NEEDED["claim"])
        about = self.named(place, "about", text_of(place, row, "about") or "")
        try:
            prop = self.vocabulary.property(text_of(place, row, "says") or "")
        except UnknownTerm as error:
            raise BadMapping(f"{place}: {error}") from error
        _check_value(place, row, prop)
        self.check_domain(place, prop, about)
        thing = text_of(place, row, "thing")
        if thing is not None:
            self.named(place, "thing", thing)
        columns = {key: text_of(place, row, key) for key in ("column", "from", "to")}
        self.columns.update(column for column in columns.values() if column)
        strength = text_of(place, row, "strength") or "hard"
        if strength not in self.vocabulary.strengths:
            raise BadMapping(
                f"{place}: strength = {strength!r}; expected {', '.join(self.vocabulary.strengths)}."
            )
        return ClaimRule(
            about.name,
            prop,
            columns["column"],
            self.template(place, row, "text") if "text" in row else None,
            thing,
            columns["from"],
            columns["to"],
            text_of(place, row, "form") or "",
            (text_of(place, row, "range") or "within") == "throughout",
            _texts(place, row),
            self.template(place, row, "quotation") if "quotation" in row else None,
            strength,
            _flag(place, row, "confidential"),
            self.conditions(place, row, "when"),
            self.conditions(place, row, "unless"),
        )

    def named(self, place: str, key: str, name: str) -> ThingRule:
        found = self.names.get(name)
        if found is None:
            known = ", ".join(self.names) or "none"
            raise BadMapping(
                f"{place}: {key} = {name!r} is no [[thing]] of this mapping; there are: {known}."
            )
        return found

    def check_domain(self, place: str, prop: Property, about: ThingRule) -> None:
        if not self.vocabulary.is_a(about.kinds, prop.domain):
            raise BadMapping(
                f"{place}: {prop.name} is said of a {self.vocabulary.kind(prop.domain).label}; "
                f"{about.name} is a {', '.join(about.kinds)}."
            )


def _check_value(place: str, row: dict[str, Any], prop: Property) -> None:
    """Check that a claim says where its value stands, once, and in a way that fits the property."""
    ways: list[str] = [key for key in ("column", "text", "thing") if key in row]
    if {"from", "to"} & set(row):
        ways.append("from/to")
    if len(ways) != 1:
        found = ", ".join(ways) or "none"
        raise BadMapping(f"{place}: give one of column, text, thing, or from and to; found {found}.")
    form = row.get("form")
    if prop.is_date and (form not in FORMS or ways[0] not in {"column", "from/to"}):
        raise BadMapping(
            f"{place}: {prop.name} is a date; give column, or from and to, and form = one of {', '.join(FORMS)}."
        )
    if not prop.is_date and (form is not None or ways[0] == "from/to" or "range" in row):
        raise BadMapping(f"{place}: {prop.name} is no date, so form, range, from and to have no place here.")
    if (ways[0] == "thing") != (prop.is_link and ways[0] != "column"):
        link = "thing = a [[thing]] of this mapping, or column = ids of the daybook"
        wanted = link if prop.is_link else "column or text"
        raise BadMapping(f"{place}: the value of {prop.name} needs {wanted}; found {ways[0]}.")
    if row.get("range", "within") not in {"within", "throughout"}:
        raise BadMapping(f"{place}: range = {row['range']!r} found; expected 'within' or 'throughout'.")


def _texts(place: str, row: dict[str, Any]) -> dict[str, str]:
    given = row.get("map", {})
    if not isinstance(given, dict) or not all(isinstance(text, str) for text in given.values()):
        raise BadMapping(f'{place}: map = {given!r} found; expected {{ "text in the column" = "value", … }}.')
    if given and "column" not in row:
        raise BadMapping(f"{place}: map needs column.")
    return {key.casefold(): text for key, text in given.items()}


def _rows(tables: dict[str, Any], key: str) -> list[Any]:
    found = tables[key]
    if not isinstance(found, list) or not found:
        raise BadMapping(f"write [[{key}]] with two brackets, at least once.")
    return found


def _flag(place: str, row: dict[str, Any], key: str) -> bool:
    found = row.get(key, False)
    if not isinstance(found, bool):
        raise BadMapping(f"{place}: {key} = {found!r} found; expected true or false.")
    return found


def _delimiter(given: str | None) -> str | None:
    found = "\t" if given == "tab" else given
    if found is not None and (len(found) != 1 or found in '"\r\n'):
        raise BadMapping(f'delimiter = {given!r} found; expected one character such as ";" or "tab".')
    return found


def _language(given: str | None) -> Language | None:
    if given is not None and given not in LANGUAGES:
        raise BadMapping(f"[dates]: language = {given!r} found; expected one of {', '.join(LANGUAGES)}.")
    return LANGUAGES[given] if given else None
