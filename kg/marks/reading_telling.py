"""A reading as plain values, for JSON and for the screens."""

from __future__ import annotations

from typing import Any

from kg.dates.window import Window, iso
from kg.marks.bounds import DatedBound
from kg.marks.reading import MarkReading
from kg.marks.tokens import Reading
from kg.marks.transcription import NothingTyped, Transcription, TranscriptionNotUnderstood


def told_mark(read: MarkReading, matches: list[dict[str, Any]], note_on_matches: str = "") -> dict[str, Any]:
    """All that was read of a mark, as plain values; days are ISO 8601 or None."""
    whole = read.window
    return {
        "text": str(read.mark),
        "status": "read",
        **_told_head(read.mark),
        "tokens": _told_tokens(read),
        "readings": [told_reading(reading) for reading in read.readings],
        "window": {
            **_told_window(whole.window),
            "earliest_strength": whole.earliest_strength,
            "latest_strength": whole.latest_strength,
            "hard": _told_window(whole.hard),
        },
        "reasons": list(read.reasons),
        "strains": list(whole.strains),
        "questions": list(read.questions),
        "cautions": [str(caution) for caution in read.cautions],
        "matches": matches,
        "note_on_matches": note_on_matches,
    }


def told_refusal(text: str, error: TranscriptionNotUnderstood) -> dict[str, Any]:
    """A text that breaks the conventions, with the place (counted from 0) and what was expected there."""
    return {
        "text": text,
        "status": "refused",
        "at": error.at,
        "expected": error.wanted,
        "why": f"{error}" if isinstance(error, NothingTyped) else _where(error),
        "tokens": [],
        "readings": [],
        "window": None,
        "matches": [],
    }


def _where(error: TranscriptionNotUnderstood) -> str:
    return f"At character {error.at + 1}: expected {error.wanted}."


def told_reading(reading: Reading) -> dict[str, Any]:
    """One reading as plain values."""
    return {
        "kind": reading.kind,
        "text": reading.text,
        "number": reading.number,
        "series": reading.series,
        "lowest": reading.lowest,
        "highest": reading.highest,
        "registered": _told_window(reading.registered) if reading.registered else None,
        "bounds": [told_bound(bound) for bound in reading.bounds],
        "sentence": reading.sentence,
        "limits": list(reading.limits),
        "alternatives": list(reading.alternatives),
        "question": reading.question,
        "cautions": [str(caution) for caution in reading.cautions],
    }


def told_bound(bound: DatedBound) -> dict[str, Any]:
    """One bound as plain values."""
    return {
        "earliest": _day(bound.earliest),
        "latest": _day(bound.latest),
        "strength": bound.strength,
        "confidence": bound.confidence,
        "is_from_memory": bound.is_from_memory,
        "source": bound.source,
        "row": bound.row,
        "meaning": bound.meaning,
        "sentence": bound.sentence,
    }


def _told_head(mark: Transcription) -> dict[str, Any]:
    return {
        "technique": mark.technique,
        "colour": mark.colour,
        "place": mark.place,
        "orientation": mark.orientation,
        "visible": mark.visible,
    }


def _told_tokens(read: MarkReading) -> list[dict[str, Any]]:
    told, at = [], 0
    for token in read.tokens:
        count = len(token.readings)
        told.append(
            {
                "text": token.readings[0].text,
                "start": token.start,
                "end": token.end,
                "readings": list(range(at, at + count)),
            }
        )
        at += count
    return told


def _told_window(window: Window) -> dict[str, str | None]:
    return {"earliest": _day(window.first), "latest": _day(window.last)}


def _day(day: int | None) -> str | None:
    return None if day is None else iso(day)
