"""The head of a transcription: how a mark was made, its colour, where it sits and which way it faces.

The words are those of sources/rules/mark_heads.csv; some stand for another, as ``reversed`` does for ``mirrored``.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from functools import lru_cache

from kg.marks.transcription_faults import TranscriptionNotUnderstood
from kg.resources import resource

_HEAD = re.compile(r"[A-Z]?[a-zäöüßéèà ,'-]*(?=:)")


@lru_cache(maxsize=1)
def head_words() -> Mapping[str, str]:
    """The words that a head may hold, each with its role: technique, colour, place or orientation."""
    return {row["word"]: row["role"] for row in _head_rows()}


@lru_cache(maxsize=1)
def _head_meanings() -> Mapping[str, str]:
    """By word: the word of the same role that it stands for."""
    return {row["word"]: row["means"] for row in _head_rows() if row["means"]}


def _head_rows() -> list[dict[str, str]]:
    with resource("sources/rules/mark_heads.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def read_head(text: str) -> tuple[dict[str, str], int]:
    """What the head says, and where the mark itself begins; nothing and 0 if there is no head."""
    colon = _HEAD.match(text)
    if colon is None or not colon[0].strip():
        return {}, 0
    items = [(m.start(), m[0]) for m in re.finditer(r"[^ ,][^,]*[^ ,]|[^ ,]", colon[0])]
    roles = [_role(item.lower()) for _, item in items]
    if not any(roles) and ("," not in colon[0] or colon[0] != colon[0].lower()):
        return {}, 0
    found: dict[str, str] = {}
    for (at, item), role in zip(items, roles, strict=True):
        if role is None:
            raise TranscriptionNotUnderstood(text, at, _wanted_in_head(found))
        if role in found and role != "place":
            raise TranscriptionNotUnderstood(text, at, f"one {role}, not {found[role]!r} and {item!r}")
        word = _head_meanings().get(item.lower(), item.lower())
        found[role] = f"{found[role]}, {word}" if role in found else word
    if found.get("orientation") == "as written":
        del found["orientation"]
    return found, len(colon[0]) + 1


def _wanted_in_head(found: Mapping[str, str]) -> str:
    """What a head may still hold: its technique comes first, so without one that is what is looked for."""
    if "technique" not in found:
        wanted = f"a technique ({_known('technique')}), a colour, a place or an orientation"
    else:
        free = [role for role in ("colour", "orientation") if role not in found]
        named = [f"a{'n' * (role == 'orientation')} {role} ({_known(role)})" for role in free]
        wanted = " or ".join([f"a place ({_known('place')})", *named])
    return rf"{wanted}; '\:' is a colon in the mark"


def _known(role: str) -> str:
    return ", ".join(w for w, its in head_words().items() if its == role and w not in _head_meanings())


def _role(item: str) -> str | None:
    words = head_words()
    return words.get(item) or ("place" if any(words.get(w) == "place" for w in item.split()) else None)
