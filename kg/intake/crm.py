"""The vocabulary in the words of CIDOC CRM: a class for every kind of thing, a path for every property.

The paths are rows of sources/mappings/crm_paths.csv: from the subject by ``link`` to an event of ``class``, and from
the event by ``step`` to the value; without ``link`` the step goes from the subject itself. ``keyed`` says whether a
thing has one such event or one for each value. A property without a row goes by the nearest word that the vocabulary
gives it (``k:mapsTo``), and the export says so.

Authority: CIDOC CRM 7.1 (names, domains and ranges as its RDFS has them); CRMinf 1.0 for claims and judgements (from
memory); PROV-O (W3C 2013).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast, get_args

from kg.errors import KilnmarkError
from kg.intake.crm_names import CRM, CRMINF, compact, expanded
from kg.resources import resource
from kg.vocabulary import Kind, Property, Vocabulary

ValueForm = Literal[
    "thing", "claim", "time", "note", "text", "name", "identifier", "dimension", "condition", "nearest"
]
PathKind = Literal["", "narrows", "kept"]
_COLUMNS = ["property", "link", "node", "class", "keyed", "step", "value", "kind", "note"]


_ENDS = {
    "time": "crm:E52_Time-Span", "dimension": "crm:E54_Dimension", "condition": "crm:E3_Condition_State",
    "name": "crm:E41_Appellation", "identifier": "crm:E42_Identifier", "note": "text", "text": "text",
    "nearest": "value",
}  # fmt: skip


class BadCrmTable(KilnmarkError):
    """A table of the mapping to CIDOC CRM says something that this program cannot use."""


@dataclass(frozen=True, slots=True)
class Path:
    """How one property is said in CIDOC CRM; names are prefixed, such as ``crm:E12_Production``."""

    of: str
    """The property."""
    link: str
    node: str
    event: str
    is_one: bool
    step: str
    value: ValueForm
    kind: PathKind
    note: str

    @property
    def is_kept(self) -> bool:
        """Whether the property stays in the daybook's own vocabulary."""
        return self.kind == "kept"

    @property
    def told(self) -> str:
        """The path on one line, as the table of the mapping prints it."""
        if self.is_kept:
            return "kept as it is"
        end = _ENDS.get(self.value, self.value)
        steps = [f"{self.link} → {self.event}"] if self.link else []
        return " → ".join([*steps, self.step, end])


@lru_cache(maxsize=1)
def shipped_paths() -> Mapping[str, Path]:
    """The paths that ship, by property.

    :raises BadCrmTable: naming the line at fault.
    """
    found: dict[str, Path] = {}
    with resource("sources/mappings/crm_paths.csv").open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        if reader.fieldnames != _COLUMNS:
            raise BadCrmTable(f"crm_paths.csv has the columns {reader.fieldnames}; expected {_COLUMNS}.")
        for row in reader:
            path = _path(row, f"crm_paths.csv, line {reader.line_num}")
            if path.of in found:
                raise BadCrmTable(f"crm_paths.csv, line {reader.line_num}: {path.of} has a path already.")
            found[path.of] = path
    return found


def _path(row: Mapping[str, str], where: str) -> Path:
    is_kept = row["kind"] == "kept"
    if row["kind"] not in get_args(PathKind) or (is_kept and not row["note"]):
        raise BadCrmTable(
            f"{where}: kind {row['kind']!r} found; expected narrows or kept with its reason, or nothing."
        )
    if not is_kept and (not row["step"] or row["value"] not in get_args(ValueForm)):
        raise BadCrmTable(f"{where}: step {row['step']!r} with value {row['value']!r} found; expected both.")
    if len({bool(row[column]) for column in ("link", "node", "class", "keyed")}) > 1:
        raise BadCrmTable(f"{where}: link, node, class and keyed stand together or not at all.")
    for column in ("link", "class", "step"):
        if row[column]:
            expanded(row[column])
    return Path(
        row["property"], row["link"], row["node"], row["class"], row["keyed"] == "one", row["step"],
        cast(ValueForm, row["value"] or "text"), cast(PathKind, row["kind"]), row["note"],
    )  # fmt: skip


def path_of(prop: Property) -> Path:
    """The path of a property: its row, or the nearest word that the vocabulary gives it."""
    found = shipped_paths().get(prop.name)
    if found is not None:
        return found
    if not prop.maps_to:
        return Path(prop.name, "", "", "", False, "", "text", "kept", "no word elsewhere is given for it")
    return Path(prop.name, "", "", "", False, compact(prop.maps_to), "nearest", "", "")


def is_nearest_only(path: Path) -> bool:
    """Whether a property of CIDOC CRM itself is said by its nearest word alone, for want of a path."""
    return path.value == "nearest" and path.step.startswith(("crm:", "crminf:"))


@lru_cache(maxsize=1)
def shipped_classes() -> Mapping[str, tuple[str, str]]:
    """For kinds whose nearest word is not of CIDOC CRM: the class there, and a note."""
    with resource("sources/mappings/crm_classes.csv").open(encoding="utf-8", newline="") as file:
        return {row["class"]: (row["crm"], row["note"]) for row in csv.DictReader(file)}


def classes_of(kind: Kind, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The classes elsewhere of a kind, that of CIDOC CRM first, as prefixed names."""
    own = [compact(kind.maps_to)] if kind.maps_to else []
    step: Kind | None = kind
    while step is not None:
        if step.name in shipped_classes():
            return tuple(dict.fromkeys([shipped_classes()[step.name][0], *own]))
        if step.maps_to.startswith((CRM, CRMINF)):
            return tuple(dict.fromkeys([compact(step.maps_to), *own]))
        step = vocabulary.kinds.get(step.parent) if step.parent else None
    return tuple(own)


def crm_table(vocabulary: Vocabulary) -> str:
    """The mapping as a page in Markdown: every class and every property of the vocabulary with where it goes."""
    lines = [
        "# The vocabulary in CIDOC CRM",
        "",
        _INTRODUCTION,
        "",
        "| class | elsewhere | remark |",
        "|---|---|---|",
    ]
    for kind in sorted(vocabulary.kinds.values(), key=lambda k: k.name):
        remark = shipped_classes().get(kind.name, ("", ""))[1]
        lines.append(
            f"| {kind.name} | {', '.join(classes_of(kind, vocabulary)) or 'kept as it is'} | {remark} |"
        )
    lines += ["", "| property | path | remark |", "|---|---|---|"]
    for prop in sorted(vocabulary.properties.values(), key=lambda p: p.name):
        path = path_of(prop)
        lines.append(f"| {prop.name} | {path.told} | {_remark(path)} |")
    return "\n".join([*lines, ""])


def _remark(path: Path) -> str:
    said: Iterable[str] = (
        "narrower there" if path.kind == "narrows" else "",
        "by its nearest word alone" if is_nearest_only(path) else "",
        path.note,
    )
    return "; ".join(part for part in said if part)


_INTRODUCTION = """\
Made from sources/mappings/crm_paths.csv and crm_classes.csv by `python -m kg.intake.crm`. A path goes from the thing
that a claim is about to its value; where an event stands between, a thing has one such event or one for each value.
Every claim also stands whole beside its path, as a proposition set with its source, so that nothing that a path
leaves out is lost."""

if __name__ == "__main__":
    from kg.vocabulary import load_vocabulary

    print(crm_table(load_vocabulary()), end="")
