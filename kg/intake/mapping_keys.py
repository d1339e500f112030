"""Which keys each block of a mapping may and must have."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any

from kg.intake.faults import BadMapping

KEYS = {
    "top": ("name", "researcher", "encoding", "delimiter", "sheet", "source", "dates", "thing", "claim"),
    "dates": ("language", "year-zero"),
    "source": ("id", "kind", "label", "convention", "locator"),
    "thing": ("name", "id", "kind", "label", "unique", "find-by-label", "confidential", "when", "unless"),
    "claim": (
        "about", "says", "column", "text", "thing", "from", "to", "form", "range", "unit", "map", "quotation",
        "strength", "confidential", "when", "unless",
    ),
}  # fmt: skip
NEEDED = {
    "top": ("name", "source", "thing", "claim"),
    "source": ("id", "label"),
    "thing": ("name", "id", "kind", "label"),
    "claim": ("about", "says"),
}


def block(place: str, given: object, known: tuple[str, ...]) -> dict[str, Any]:
    """A block of a mapping.

    :raises BadMapping: if it is none.
    """
    if not isinstance(given, dict):
        raise BadMapping(f"{place}: {given!r} found; expected a block with {', '.join(known)}.")
    return given


def astray(place: str, row: dict[str, Any], known: tuple[str, ...], needed: tuple[str, ...]) -> Iterator[str]:
    """A fault for each key of a block that is unknown, with a near one, and for each that is missing."""
    meant = set()
    for key in row:
        if key not in known:
            near = get_close_matches(key, known, n=1)
            meant.update(near)
            hint = f" Did you mean {near[0]!r}?" if near else f" Expected {', '.join(known)}."
            yield f"{place}: the key {key!r} is unknown.{hint}"
    for key in needed:
        if (key not in row or row[key] == "") and key not in meant:
            yield f"{place}: {key} is missing."


def text_of(place: str, row: dict[str, Any], key: str) -> str | None:
    """The text of a key, or None where it is not given.

    :raises BadMapping: if it is no text.
    """
    found = row.get(key)
    if found is not None and not isinstance(found, str):
        raise BadMapping(f"{place}: {key} = {found!r} found; expected a text in quotation marks.")
    return found
