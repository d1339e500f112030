"""Makers who cannot have made a piece, whatever else speaks for them: ruled out by the chronology, with the claims."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kg.attribution.mould_evidence import FROM, moulds_of
from kg.attribution.recorded import attribution_property, maker_claims
from kg.chronology.chronology import Asked, Chronology
from kg.chronology.fit import imagined_claim
from kg.chronology.local import Limit
from kg.chronology.verdict import Side
from kg.daybook.record import Citation, Claim, Draft

_MAKING = "making"


@dataclass(frozen=True, slots=True)
class Exclusion:
    """Why a maker is ruled out: claims that cannot all be true if the maker made the piece."""

    maker: str
    claims: tuple[Claim, ...]
    is_outlived: bool
    """Whether the piece is later than the maker, so that it may still be in the maker's manner."""


def sides(chronology: Chronology, piece: str) -> tuple[Side, Side]:
    """The two limits of the making by the evidence, without the claims that say who made it.

    A mould that is recorded as a maker's is left out as well: it is weighed by itself, and not again as a date.
    """
    moulds = [c.id for said in moulds_of(chronology.view, piece).values() for c in said if c.property == FROM]
    return _sides(_asked(chronology, piece, also_without=moulds), piece)


def exclusions(chronology: Chronology, piece: str, makers: Sequence[str]) -> dict[str, Exclusion]:
    """The makers that contradict what is held, each asked by itself."""
    prop = attribution_property(chronology.view)
    free = _asked(chronology, piece)
    low, _ = _sides(free, piece)
    found = {}
    for maker in makers:
        draft = Draft(piece, prop, maker, Citation("", "supposed for this question"))
        supposed = imagined_claim(draft, 0)
        asked = _asked(chronology, piece, supposed)
        conflict = asked.supposition.conflict
        if conflict is not None:
            claims = [asked.edge(edge)[3] for edge in conflict]
            binding = tuple(dict.fromkeys(c for c in claims if c is not None and c.entry))
            last = _last_day(free, maker)
            is_outlived = low.day is not None and last is not None and low.day > last
            found[maker] = Exclusion(maker, binding, is_outlived)
    return found


def _asked(
    chronology: Chronology, piece: str, supposed: Claim | None = None, also_without: Sequence[str] = ()
) -> Asked:
    own = [*(claim.id for claim in maker_claims(chronology.view, piece)), *also_without]
    return chronology.ask(
        chronology.evidence, without=own, supposing=[(supposed, None)] if supposed is not None else []
    )


def _sides(asked: Asked, piece: str) -> tuple[Side, Side]:
    begin, end = (asked.added.point(piece, _MAKING, which) for which in ("begin", "end"))
    if asked.supposition.conflict is not None or begin is None or end is None:
        return Side(None), Side(None)
    return Side(*asked.bound(end, Limit.EARLIEST)), Side(*asked.bound(begin, Limit.LATEST))


def _last_day(asked: Asked, maker: str) -> int | None:
    """The last day of a maker's work; None where nothing sets it."""
    end = asked.added.point(maker, "activity", "end")
    return None if end is None else asked.bound(end, Limit.LATEST)[0]
