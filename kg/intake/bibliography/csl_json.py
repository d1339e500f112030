"""CSL-JSON: the items as they are, with repeated keys and values of the wrong type told."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from kg.daybook.csl import DATES, NAMES, TYPES, VARIABLES
from kg.intake.bibliography.record import (
    BadBibliography,
    Draft,
    Fault,
    Name,
    Outcome,
    People,
    Record,
    Said,
    cut,
)

_TEXTS = frozenset(VARIABLES.values())
_DATES = frozenset(DATES.values())
_PEOPLE = frozenset(NAMES.values())
_NOTES = frozenset(
    ("abstract", "annote", "keyword", "note", "original-title", "references", "section", "status")
)
_PARTS = "family given non-dropping-particle dropping-particle suffix literal comma-suffix static-ordering parse-names"
_NAME_PARTS = frozenset(_PARTS.split())
#: The tags that CSL-JSON allows in a text.
_TAGS = re.compile(r"</?(?:i|b|sc|sup|sub|span)>|<span (?:class|style)=\"[^\"<>]*\">")
_BLANK = re.compile(r"[ \t\n]*")


class _Repeated(dict[str, Any]):
    """An object in which a key stands more than once."""

    repeated: tuple[str, ...] = ()


def read_csl_json(text: str, faults: list[Fault]) -> list[Record]:
    """The items of a CSL-JSON file; what is no item becomes a fault with its line.

    :raises BadBibliography: if the file is no JSON.
    """
    records = []
    for item, line, raw in _items(text):
        if not isinstance(item, dict):
            faults.append(Fault(line, raw, "an item, {…}", "Remove it, or write it as an object."))
        elif (record := _Mapper(item, line, faults).record(raw)) is not None:
            records.append(record)
    return records


def _items(text: str) -> Iterator[tuple[Any, int, str]]:
    """Each item of the array, or of the only object's ``items``, with its line and its own text."""
    decoder = json.JSONDecoder(object_pairs_hook=_pairs, parse_constant=_refuse_constant)
    at = _skip(text, 0)
    if text[at : at + 1] == "{":
        whole, _ = _decoded(decoder, text, at)
        listed = whole.get("items")
        for item in listed if isinstance(listed, list) else [whole]:
            yield item, text.count("\n", 0, at) + 1, json.dumps(item, ensure_ascii=False)
        return
    line, counted, is_first = 1, 0, True
    at = _skip(text, at + 1)
    while text[at : at + 1] != "]":
        if not is_first:
            if text[at : at + 1] != ",":
                raise _no_json(text, at, "a comma or the closing ] of the list")
            at = _skip(text, at + 1)
        item, end = _decoded(decoder, text, at)
        line += text.count("\n", counted, at)
        counted = at
        yield item, line, text[at:end]
        at, is_first = _skip(text, end), False
    if _skip(text, at + 1) != len(text):
        raise _no_json(text, at + 1, "nothing after the closing ] of the list")


def _skip(text: str, at: int) -> int:
    found = _BLANK.match(text, at)
    return found.end() if found else at


def _decoded(decoder: json.JSONDecoder, text: str, at: int) -> tuple[Any, int]:
    try:
        return decoder.raw_decode(text, at)
    except json.JSONDecodeError as error:
        raise _no_json(text, error.pos, f"JSON ({error.msg})") from error
    except RecursionError as error:
        raise _no_json(text, at, "objects and lists that are not nested so deeply") from error
    except ValueError as error:
        raise _no_json(text, at, f"JSON ({error})") from error


def _no_json(text: str, at: int, wanted: str) -> BadBibliography:
    line = text.count("\n", 0, at) + 1
    found = text[at : at + 30] or "the end of the file"
    return BadBibliography(
        f"line {line}: {found!r} found; expected {wanted}. Mend the file or export it again."
    )


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = _Repeated(pairs)
    if len(made) < len(pairs):
        counts = Counter(name for name, _ in pairs)
        made.repeated = tuple(name for name, count in counts.items() if count > 1)
    return made


def _refuse_constant(name: str) -> Any:
    raise ValueError(f"{name} is no number")


def _repeated(value: Any) -> Iterator[str]:
    """Keys that stand twice in an item, also within it."""
    waiting = [value]
    while waiting:
        here = waiting.pop()
        if isinstance(here, _Repeated):
            yield from here.repeated
        waiting += here.values() if isinstance(here, dict) else here if isinstance(here, list) else []


class _Mapper:
    """Maps the variables of one item."""

    def __init__(self, item: dict[str, Any], line: int, faults: list[Fault]) -> None:
        self.item, self.line, self.faults = item, line, faults
        key = item.get("id", "")
        self.draft = Draft(str(key) if isinstance(key, str | int) else "", line)

    def record(self, raw: str) -> Record | None:
        """The record, or None if the item is refused."""
        before = len(self.faults)
        for key in dict.fromkeys(_repeated(self.item)):
            self.fault(f"{key} twice", "each name once in an object", "Remove one of the two.")
        if not isinstance(self.item.get("id", ""), str | int):
            self.fault(f"id {self.item['id']!r}", "a text or a number", "Correct the id.")
        kind = self.item.get("type", "document")
        if not isinstance(kind, str):
            self.fault(f"type {kind!r}", "a text such as book", "Correct the type.")
        elif kind not in TYPES:
            self.draft.not_understood(
                Said(kind, "type", self.line), f"{cut(kind)!r} is no type of CSL; cited as a document"
            )
        else:
            self.draft.type = kind
        for name, value in self.item.items():
            if name not in ("id", "type"):
                self.variable(name, value)
        return self.draft.record(raw) if len(self.faults) == before else None

    def fault(self, found: str, expected: str, remedy: str) -> None:
        self.faults.append(Fault(self.line, found, expected, remedy))

    def variable(self, name: str, value: Any) -> None:
        if name in _PEOPLE:
            self.people(name, value)
        elif name in _DATES:
            self.date(name, value)
        elif not isinstance(value, str | int) or isinstance(value, bool):
            if name in _TEXTS or name in _NOTES:
                self.fault(f"{name} {json.dumps(value)[:60]}", "a text or a number", "Correct the value.")
            else:
                self.draft.not_understood(Said(name, name, self.line), "no such variable is known here")
        elif name in _TEXTS:
            # Tags set a word in another type, as \emph does in LaTeX; the words stay.
            self.draft.put(name, Said(_TAGS.sub("", str(value)).strip(), name, self.line))
        elif name in _NOTES:
            self.draft.note(Said(str(value).strip(), name, self.line))
        else:
            self.draft.not_understood(Said(name, name, self.line), "no such variable is known here")

    def people(self, role: str, value: Any) -> None:
        listed = value if isinstance(value, list) else [value]
        names = []
        for given in listed:
            if not isinstance(given, dict) or not all(
                isinstance(part, str | bool) for part in given.values()
            ):
                self.fault(
                    f"{role} {json.dumps(given)[:60]}", 'names such as {"family": "…"}', "Correct the name."
                )
                return
            strange = given.keys() - _NAME_PARTS
            if strange:
                why = f"{cut(sorted(strange)[0])!r} is no part of a name in CSL"
                self.draft.not_understood(Said("", role, self.line), why)
            names.append(_name(given))
        is_cut = bool(names) and names[-1].literal == "others"
        people = tuple(name for name in (names[:-1] if is_cut else names) if name.whole)
        if people:
            said = Said("; ".join(name.whole for name in names), role, self.line)
            self.draft.people[role] = People(people, is_cut, said)

    def date(self, name: str, value: Any) -> None:
        printed = value if isinstance(value, str) else _printed(value)
        if printed is None:
            wanted = 'a date such as {"date-parts": [[1892, 5]]}'
            self.fault(f"{name} {json.dumps(value)[:60]}", wanted, "Correct the date.")
        elif printed:
            self.draft.dates[name] = Said(printed, name, self.line)
        else:
            self.draft.tell(Said("", name, self.line), Outcome.NOT_UNDERSTOOD, "it holds no date")


def _name(given: dict[str, Any]) -> Name:
    texts = {part: value.strip() for part, value in given.items() if isinstance(value, str)}
    if texts.get("literal") or not texts.get("family"):
        return Name(literal=texts.get("literal") or texts.get("given", ""))
    before = " ".join(
        texts[part] for part in ("dropping-particle", "non-dropping-particle") if texts.get(part)
    )
    return Name(texts["family"], texts.get("given", ""), before, texts.get("suffix", ""))


def _printed(value: Any) -> str | None:
    """A CSL date as one text: EDTF from its parts, else the words; None if it is no date."""
    if not isinstance(value, dict):
        return None
    for key in ("raw", "literal", "edtf"):
        if isinstance(value.get(key), str) and value[key].strip():
            return str(value[key]).strip()
    parts = value.get("date-parts")
    if parts is None:
        return ""
    if not isinstance(parts, list) or not 1 <= len(parts) <= 2:
        return None
    sides = [_side(side) for side in parts]
    if any(side is None for side in sides):
        return None
    about = "~" if value.get("circa") not in (None, False, 0, "", "false") else ""
    season = value.get("season")
    if len(sides) == 1 and str(season) in ("1", "2", "3", "4") and len(str(sides[0])) == 4:
        return f"{sides[0]}-2{season}{about}"
    return "/".join(f"{side}{about}" for side in sides)


def _side(parts: Any) -> str | None:
    if not isinstance(parts, list) or not 1 <= len(parts) <= 3:
        return None
    numbers = list(_whole(parts))
    if len(numbers) != len(parts) or not -9999 <= numbers[0] <= 9999:
        return None
    year, *rest = numbers
    if not all(1 <= number <= most for number, most in zip(rest, (12, 31), strict=False)):
        return None
    sign = "-" if year < 0 else ""
    return "-".join([f"{sign}{abs(year):04}", *(f"{number:02}" for number in rest)])


def _whole(parts: Iterable[Any]) -> Iterator[int]:
    for part in parts:
        if (isinstance(part, int) and not isinstance(part, bool)) or (
            isinstance(part, str) and re.fullmatch(r"-?\d{1,4}", part.strip())
        ):
            yield int(part)
