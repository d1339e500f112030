"""A mapping drafted from a table's headings: for each column what it says, as TOML that can be kept and mended."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kg.asking.adding import properties_for
from kg.asking.found import compared
from kg.asking.stock import Choice
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.templates import Template
from kg.vocabulary import Property, Vocabulary

#: What a column can be besides a property: the number or name by which a row is known, its display name, its place.
ID, LABEL, LOCATOR, QUOTATION = "the id", "the label", "the locator", "the quotation"

_USES = (
    Choice(ID, "Its number, or what else tells one row's thing from all others"),
    Choice(LABEL, "Its name, as it is shown"),
    Choice(LOCATOR, "The place in the source (page, number)"),
    Choice(QUOTATION, "The words of the source"),
)

#: Headings that are known for what they say, as they are compared.
_KNOWN = {
    ID: {"id", "no", "number", "nr", "inventory number", "object id", "lot", "inv no"},
    LABEL: {"name", "title", "label"},
    LOCATOR: {"page", "locator", "place in source", "p"},
    QUOTATION: {"quotation", "words", "quote"},
}


class NoDraft(KilnmarkError):
    """The columns chosen do not make a mapping yet."""


@dataclass(frozen=True, slots=True)
class MappingDraft:
    """What each column says, of a thing a row, and which source says so."""

    name: str
    kind: str
    """The class of the thing that a row is about."""
    source: str
    """The name of the source: the table itself, or the book that it was made from."""
    source_kind: str
    uses: tuple[tuple[str, str], ...]
    """Each column that is used, with a property or one of `ID`, `LABEL`, `LOCATOR`, `QUOTATION`."""


def uses_for(view: WorkingView, kind: str) -> tuple[Choice, ...]:
    """What a column can say where a row is about a thing of this class."""
    properties = properties_for(view, (kind,))
    return (*_USES, *(Choice(one.name, one.text) for one in properties))


def guessed(view: WorkingView, kind: str, headings: Sequence[str]) -> Mapping[str, str]:
    """What the headings seem to say: those that are named as a property, or as tables usually name them."""
    names: dict[str, str] = {}
    for one in properties_for(view, (kind,)):
        prop = view.vocabulary.properties[one.name]
        names.setdefault(_plain(prop.label), one.name)
        names[_plain(one.name)] = one.name
    names |= {_plain(known): use for use, all_known in _KNOWN.items() for known in all_known}
    found: dict[str, str] = {}
    for heading in headings:
        use = names.get(_plain(heading))
        if use is not None and use not in found.values():
            found[heading] = use
    return found


def _plain(text: str) -> str:
    """A heading or name as it is compared: without spaces and underscores too."""
    return compared(text.replace("_", " ")).replace(" ", "")


def toml_of(draft: MappingDraft, vocabulary: Vocabulary) -> str:
    """The mapping as a page of TOML.

    :raises NoDraft: if no column tells the rows apart, or none says anything.
    """
    by_use = {use: column for column, use in draft.uses}
    if ID not in by_use:
        raise NoDraft(
            "Choose the column that tells one row's thing from all others, such as a number. "
            "A name will do where no two are alike."
        )
    said = [
        (column, vocabulary.properties[use]) for column, use in draft.uses if use in vocabulary.properties
    ]
    if not said:
        raise NoDraft("Choose for at least one column what it says of the thing.")
    if not draft.source.strip():
        raise NoDraft("Name the source that says so: the table itself, or the book that it was made from.")
    return "\n".join(_blocks(draft, vocabulary, by_use, said)) + "\n"


def _blocks(
    draft: MappingDraft,
    vocabulary: Vocabulary,
    by_use: Mapping[str, str],
    said: Sequence[tuple[str, Property]],
) -> Iterator[str]:
    kind = vocabulary.kind(draft.kind)
    yield from _block("", name=Template.of("{name}").slug({"name": draft.name.casefold()}) or "table")
    source_id = Template.of("{kind}-{name}").slug(
        {"kind": vocabulary.kind(draft.source_kind).label, "name": draft.source.casefold()}
    )
    locator = {"locator": f"{{{by_use[LOCATOR]}}}"} if LOCATOR in by_use else {}
    yield from _block("[source]", id=source_id, kind=draft.source_kind, label=draft.source.strip(), **locator)
    label = by_use.get(LABEL, by_use[ID])
    yield from _block(
        "[[thing]]",
        name="row",
        id=f"{Template.of('{kind}').slug({'kind': kind.label})}-{{{by_use[ID]}}}",
        kind=kind.name,
        label=f"{{{label}}}",
        unique=True,
    )
    links = [(number, column, prop) for number, (column, prop) in enumerate(said, 1) if prop.is_link]
    for number, column, prop in links:
        yield from _linked(number, column, prop, vocabulary)
    named = {column: f"linked-{number}" for number, column, _ in links}
    quotation = {"quotation": f"{{{by_use[QUOTATION]}}}"} if QUOTATION in by_use else {}
    for column, prop in said:
        way = {"thing": named[column]} if column in named else {"column": column}
        form = {"form": "phrase"} if prop.is_date else {}
        when = {"when": column} if column in named else {}
        yield from _block("[[claim]]", about="row", says=prop.name, **way, **form, **quotation, **when)


def _linked(number: int, column: str, prop: Property, vocabulary: Vocabulary) -> Iterator[str]:
    """The thing that a column names: one on record of that name, or a new one."""
    label = vocabulary.kind(prop.range).label.split(",")[0].split(" ")[0]
    yield from _block(
        "[[thing]]",
        **{
            "name": f"linked-{number}",
            "id": f"{label}-{{{column}}}",
            "kind": prop.range,
            "label": f"{{{column}}}",
            "find-by-label": True,
            "when": column,
        },
    )


def _block(head: str, **pairs: object) -> Iterator[str]:
    """One block of TOML; a JSON string is a TOML string too."""
    if head:
        yield ""
        yield head
    for key, value in pairs.items():
        text = ("true" if value else "false") if isinstance(value, bool) else _quoted(str(value))
        yield f"{key} = {text}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
