"""Where each thing and claim comes up in the whole record, whatever the standing of what speaks of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Mentions:
    """The claims about, leading to and citing each thing or claim, and the entries that name or judge it."""

    about: Mapping[str, tuple[Claim, ...]]
    leading: Mapping[str, tuple[Claim, ...]]
    citing: Mapping[str, tuple[Claim, ...]]
    described: Mapping[str, tuple[str, ...]]
    """The entries that give a thing its name or class, in order of time."""
    judged: Mapping[str, tuple[str, ...]]
    """The entries that judge a claim, in order of time."""

    @classmethod
    def of(cls, view: WorkingView) -> Mentions:
        """The mentions in one day's record."""
        properties = view.vocabulary.properties
        links = {name for name, prop in properties.items() if prop.is_link}
        about, leading, citing = _lists(), _lists(), _lists()
        for claim in view.claims.values():
            about[claim.subject].append(claim)
            citing[claim.citation.source].append(claim)
            if claim.property in links:
                leading[claim.value].append(claim)
        described: dict[str, list[str]] = defaultdict(list)
        judged: dict[str, list[str]] = defaultdict(list)
        for entry in view.entries.values():
            for thing in entry.things:
                described[thing.slug].append(entry.name)
            for judgement in entry.judgements:
                judged[judgement.claim].append(entry.name)
        return cls(_once(about), _once(leading), _once(citing), _once(described), _once(judged))


def _lists() -> dict[str, list[Claim]]:
    return defaultdict(list)


def _once(found: Mapping[str, list[T]]) -> dict[str, tuple[T, ...]]:
    return {name: tuple(dict.fromkeys(values)) for name, values in found.items()}
