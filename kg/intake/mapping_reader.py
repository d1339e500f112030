"""Reading a mapping file, checked against the vocabulary, with every block of it named in faults."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from kg.dates.conventions import ConventionUnknown, convention
from kg.dates.phrases import Language
from kg.intake.faults import BadMapping
from kg.intake.lengths import UNITS
from kg.intake.mapping import ClaimRule, Condition, Mapping, SourceRule, ThingRule, is_length
from kg.intake.mapping_keys import KEYS, NEEDED, astray, block, text_of
from kg.intake.plain_text import NoUtf8, utf8_text
from kg.intake.tables import ENCODINGS
from kg.intake.templates import Template, slug_of
from kg.vocabulary import Property, UnknownTerm, Vocabulary

#: What a reading gives.
Read = TypeVar("Read")

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
        tables = tomllib.loads(utf8_text(path.read_bytes(), f"The mapping {path.name}"))
    except NoUtf8 as error:
        raise BadMapping(f"{error} Save it as UTF-8.") from error
    except tomllib.TOMLDecodeError as error:
        raise BadMapping(f"The mapping {path.name} is no TOML that can be read: {error}.") from error
    reader = _Reader(vocabulary)
    mapping = reader.mapping(tables)
    if mapping is None:
        raise BadMapping.of(path.name, list(reader.faults))
    return mapping


class _Reader:
    """Reads the tables of a mapping, noting every column that it names and every fault."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.columns: set[str] = set()
        self.names: dict[str, ThingRule | None] = {}
        """Each [[thing]] by its name; None where it is at fault, so that claims about it are not."""
        self.faults: dict[str, None] = {}

    def tried(self, default: Read, read: Callable[..., Read], *given: Any) -> Read:
        """What a reading gives; the default, with the fault noted, where it fails."""
        try:
            return read(*given)
        except BadMapping as error:
            self.faults[str(error)] = None
            return default

    def block(self, place: str, given: object, sort: str) -> dict[str, Any]:
        """A block of a mapping, with every key that is unknown or missing noted.

        :raises BadMapping: if it is no block.
        """
        row = block(place, given, KEYS[sort])
        self.faults.update(dict.fromkeys(astray(place, row, KEYS[sort], NEEDED.get(sort, ()))))
        return row

    def mapping(self, tables: dict[str, Any]) -> Mapping | None:
        """The mapping; None, with the faults noted, if there is anything wrong with it."""
        place = "the top"
        top = self.block(place, tables, "top")
        dates: dict[str, Any] = {}
        dates = self.tried(dates, self.block, "[dates]", top.get("dates", {}), "dates")
        source = self.tried(None, self.source, top.get("source", {})) if "source" in top else None
        nothing: list[Any] = []
        for number, row in enumerate(self.tried(nothing, _rows, top, "thing"), start=1):
            self.tried(None, self.thing, f"[[thing]] {number}", row)
        claims = [
            self.tried(None, self.claim, f"[[claim]] {number}", row)
            for number, row in enumerate(self.tried(nothing, _rows, top, "claim"), start=1)
        ]
        name, encoding = self.tried("", _name, top), self.tried("", _encoding, top)
        researcher, sheet = (self.tried(None, text_of, place, top, key) for key in ("researcher", "sheet"))
        delimiter, language = self.tried(None, _delimiter, top), self.tried(None, _language, dates)
        has_year_zero = self.tried(False, _flag, "[dates]", dates, "year-zero")
        if self.faults or source is None:
            return None
        return Mapping(
            name,
            researcher,
            encoding,
            delimiter,
            sheet,
            language,
            has_year_zero,
            source,
            tuple(rule for rule in self.names.values() if rule),
            tuple(claim for claim in claims if claim),
            frozenset(self.columns),
        )

    def template(self, place: str, row: dict[str, Any], key: str, default: str | None = None) -> Template:
        text = text_of(place, row, key) or default
        if not text:
            raise BadMapping(f"{place}: {key} is missing.")
        try:
            found = Template.of(text)
        except BadMapping as error:
            raise BadMapping(f"{place}: {key} = {error}") from error
        self.columns.update(found.columns)
        return found

    def source(self, given: object) -> SourceRule | None:
        place = "[source]"
        row = self.block(place, given, "source")
        named = self.tried(None, _convention, place, row)
        kind = self.tried("", self.source_kind, place, row)
        locator = self.tried(None, self.template, place, row, "locator", "row {row}")
        if locator is not None and not locator.fields and not locator.text.strip():
            self.faults[f"{place}: the locator is empty."] = None
        name, label = (self.tried_template(place, row, key) for key in ("id", "label"))
        if name is None or label is None or locator is None:
            return None
        return SourceRule(name, kind, label, named, locator, "locator" in row)

    def tried_template(self, place: str, row: dict[str, Any], key: str) -> Template | None:
        """The template of a key that must be there; a key that is missing is noted with its block."""
        return self.tried(None, self.template, place, row, key) if row.get(key, "") != "" else None

    def source_kind(self, place: str, row: dict[str, Any]) -> str:
        kind = self.kind(place, text_of(place, row, "kind") or "Dataset")
        if not self.vocabulary.is_a([kind], "Source"):
            raise BadMapping(
                f"{place}: kind = {kind!r} is no source. Name a book, register, letter or data file."
            )
        return kind

    def kind(self, place: str, name: str) -> str:
        try:
            return self.vocabulary.kind(name).name
        except UnknownTerm as error:
            raise BadMapping(f"{place}: {error}") from error

    def thing(self, place: str, given: object) -> None:
        """Read a [[thing]] and keep it by its name."""
        row = self.block(place, given, "thing")
        kinds = row["kind"] if isinstance(row.get("kind"), list) else [row["kind"]] if row.get("kind") else []
        read = [self.tried("", self.kind, place, str(kind)) for kind in kinds]
        name = self.tried(None, text_of, place, row, "name") or ""
        if name in self.names:
            raise BadMapping(f"two [[thing]] are named {name!r}; give each a name of its own.")
        template, label = (self.tried_template(place, row, key) for key in ("id", "label"))
        if template is not None and not template.columns:
            raise BadMapping(
                f"{place}: id = {template.text!r} names no column, so every row would be one thing."
            )
        is_unique, is_found, is_kept = (
            self.tried(False, _flag, place, row, key) for key in ("unique", "find-by-label", "confidential")
        )
        when, unless = self.tried_conditions(place, row)
        is_whole = template is not None and label is not None and read and all(read)
        self.names[name] = (
            ThingRule(name, template, tuple(sorted(read)), label, is_unique, is_found, is_kept, when, unless)
            if is_whole and template and label
            else None
        )

    def tried_conditions(
        self, place: str, row: dict[str, Any]
    ) -> tuple[tuple[Condition, ...], tuple[Condition, ...]]:
        """Which rows a block is for, and which not."""
        nothing: tuple[Condition, ...] = ()
        return (
            self.tried(nothing, self.conditions, place, row, "when"),
            self.tried(nothing, self.conditions, place, row, "unless"),
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

    def claim(self, place: str, given: object) -> ClaimRule | None:
        row = self.block(place, given, "claim")
        about = self.tried(None, self.named, place, "about", row) if row.get("about") else None
        prop = self.tried(None, self.property, place, row) if row.get("says") else None
        if prop is not None:
            self.tried(None, _check_value, place, row, prop)
            self.tried(None, _check_unit, place, row, prop)
        if prop is not None and about is not None:
            self.tried(None, self.check_domain, place, prop, about)
        if "thing" in row:
            self.tried(None, self.named, place, "thing", row)
        column, first, last, form, span, thing, unit = (
            self.tried(None, text_of, place, row, key)
            for key in ("column", "from", "to", "form", "range", "thing", "unit")
        )
        self.columns.update(name for name in (column, first, last) if name)
        text, quotation = (self.tried_template(place, row, key) for key in ("text", "quotation"))
        strength = self.tried("hard", self.strength, place, row)
        written_as: dict[str, str] = self.tried({}, _texts, place, row)
        is_confidential = self.tried(False, _flag, place, row, "confidential")
        when, unless = self.tried_conditions(place, row)
        if prop is None or about is None:
            return None
        return ClaimRule(
            about.name,
            prop,
            column,
            text,
            thing,
            first,
            last,
            form or "",
            span == "throughout",
            written_as,
            quotation,
            strength,
            is_confidential,
            when,
            unless,
            unit,
        )

    def property(self, place: str, row: dict[str, Any]) -> Property:
        try:
            return self.vocabulary.property(text_of(place, row, "says") or "")
        except UnknownTerm as error:
            raise BadMapping(f"{place}: {error}") from error

    def strength(self, place: str, row: dict[str, Any]) -> str:
        found = text_of(place, row, "strength") or "hard"
        if found not in self.vocabulary.strengths:
            raise BadMapping(
                f"{place}: strength = {found!r}; expected {', '.join(self.vocabulary.strengths)}."
            )
        return found

    def named(self, place: str, key: str, row: dict[str, Any]) -> ThingRule | None:
        """The [[thing]] that a claim names; None if it is one that is at fault itself."""
        name = text_of(place, row, key) or ""
        if name not in self.names:
            known = ", ".join(filter(None, self.names)) or "none"
            raise BadMapping(
                f"{place}: {key} = {name!r} is no [[thing]] of this mapping; there are: {known}."
            )
        return self.names[name]

    def check_domain(self, place: str, prop: Property, about: ThingRule) -> None:
        if not self.vocabulary.is_a(about.kinds, prop.domain):
            raise BadMapping(
                f"{place}: {prop.name} is said of a {self.vocabulary.kind(prop.domain).label}; "
                f"{about.name} is a {', '.join(about.kinds)}."
            )


def _name(top: dict[str, Any]) -> str:
    name = text_of("the top", top, "name") or ""
    if name and slug_of(name) != name:
        raise BadMapping(
            f"name = {name!r} found; expected letters, digits and '-', such as 'museum-objects'."
        )
    return name


def _encoding(top: dict[str, Any]) -> str:
    found = text_of("the top", top, "encoding") or "utf-8"
    if found not in ENCODINGS:
        raise BadMapping(f"encoding = {found!r} found; expected one of {', '.join(ENCODINGS)}.")
    return found


def _convention(place: str, row: dict[str, Any]) -> str | None:
    named = text_of(place, row, "convention")
    if named is not None:
        try:
            convention(named)
        except ConventionUnknown as error:
            raise BadMapping(f"{place}: {error.args[0]}.") from error
    return named


def _check_unit(place: str, row: dict[str, Any], prop: Property) -> None:
    """Check that a unit is one of those that are known, and is named for a length."""
    unit = text_of(place, row, "unit")
    if unit is None:
        return
    if not is_length(prop):
        raise BadMapping(f"{place}: unit is for lengths such as heightMm; {prop.name} is none.")
    if unit not in UNITS:
        raise BadMapping(f"{place}: unit = {unit!r} found; expected one of {', '.join(UNITS)}.")


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
    if key not in tables:
        return []  # noted with the block
    found = tables[key]
    if not isinstance(found, list) or not found:
        raise BadMapping(f"write [[{key}]] with two brackets, at least once.")
    return found


def _flag(place: str, row: dict[str, Any], key: str) -> bool:
    found = row.get(key, False)
    if not isinstance(found, bool):
        raise BadMapping(f"{place}: {key} = {found!r} found; expected true or false.")
    return found


def _delimiter(top: dict[str, Any]) -> str | None:
    given = text_of("the top", top, "delimiter")
    found = "\t" if given == "tab" else given
    if found is not None and (len(found) != 1 or found in '"\r\n'):
        raise BadMapping(f'delimiter = {given!r} found; expected one character such as ";" or "tab".')
    return found


def _language(dates: dict[str, Any]) -> Language | None:
    given = text_of("[dates]", dates, "language")
    if given is not None and given not in LANGUAGES:
        raise BadMapping(f"[dates]: language = {given!r} found; expected one of {', '.join(LANGUAGES)}.")
    return LANGUAGES[given] if given else None
