"""How far a ranking can be trusted: the figures of the pieces left out in turn, and the reliability diagram."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kg.attribution.shown import percent


@dataclass(frozen=True, slots=True)
class Dot:
    """A point of the reliability diagram: what was said on average, how often it came true, of how many pieces."""

    said: float
    true: float
    said_text: str
    true_text: str
    pieces: str
    share: float


@dataclass(frozen=True, slots=True)
class Trust:
    """How far the ranking can be trusted: measured on recorded pieces, each left out in turn."""

    says: str
    figures: tuple[tuple[str, str], ...]
    dots: tuple[Dot, ...]
    is_calibrated: bool


def trust_of(told: Mapping[str, Any]) -> Trust:
    """The figures and the diagram of a calibration as it is told."""
    figures = (
        ("Pieces left out in turn", f"{told['pieces']}"),
        ("Own maker came first", percent(told["top_1"])),
        ("Own maker among the first three", percent(told["top_3"])),
        ("Calibration error", f"{told['expected_calibration_error']:.3f}"),
        ("By chance alone, on so many", f"{told['by_chance_alone']:.3f}"),
        ("Log loss; Brier score", f"{told['log_loss']:.3f}; {told['brier']:.3f}"),
        ("Remedy", told["remedy"]),
    )
    most = max((bar["pieces"] for bar in told["reliability"]), default=1)
    dots = tuple(
        Dot(
            bar["said"],
            bar["true"],
            f"{bar['said']:.0%}".replace("%", " %"),
            f"{bar['true']:.0%}".replace("%", " %"),
            f"{bar['pieces']}",
            bar["pieces"] / most,
        )
        for bar in told["reliability"]
    )
    return Trust(told["says"], figures, dots, told["is_calibrated"])
