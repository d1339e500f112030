"""Notes and entries as pandoc prints them by one of the styles that ship, for comparison with published samples."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from kg.essays.locators import for_processor
from kg.essays.pandoc import run_pandoc
from kg.essays.pandoc_tree import strings
from kg.essays.styles import style_named

Printed = tuple[list[str], list[str]]


def printed(
    folder: Path, style: str, language: str, cited: Sequence[tuple[Mapping[str, Any], str]]
) -> Printed:
    """The notes in which each item is cited with a place, in their order, and the list of sources.

    Without markup; blanks that do not break are told as blanks.
    """
    items = [{**item, "id": f"s{number}"} for number, (item, _) in enumerate(cited)]
    blocks: list[dict[str, Any]] = [
        {"t": "Para", "c": [*strings("Words."), _cite(item["id"], place, language[:2])]}
        for item, (_, place) in zip(items, cited, strict=True)
    ]
    blocks.append({"t": "Div", "c": [["refs", [], []], []]})
    tree = {
        "pandoc-api-version": [1, 23, 1],
        "meta": {"lang": {"t": "MetaString", "c": language}},
        "blocks": blocks,
    }
    plain = run_pandoc(tree, items, style_named(style, language[:2]), folder, "plain", "--wrap=none").decode()
    plain = re.sub("[\xa0\u202f]", " ", plain)
    lines = [line for line in plain.split("\n") if line.strip()]
    notes = [re.sub(r"^\[\d+\] ", "", line) for line in lines if re.match(r"\[\d+\] ", line)]
    entries = [line for line in lines if not line.startswith(("[", "Words."))]
    return notes, entries


def _cite(item: str, place: str, language: str) -> dict[str, Any]:
    told = for_processor([place] if place else [], language)
    citation = {
        "citationId": item,
        "citationPrefix": [],
        "citationSuffix": strings(f", {told}") if told else [],
        "citationMode": {"t": "NormalCitation"},
        "citationNoteNum": 0,
        "citationHash": 0,
    }
    return {"t": "Cite", "c": [[citation], []]}


def name(given: str, family: str) -> dict[str, str]:
    """A person's name as an item has it."""
    return {"given": given, "family": family}
