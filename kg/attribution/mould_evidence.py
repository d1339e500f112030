"""What a piece's mould says where the mould is recorded as a maker's: for that maker, and never against anybody.

Of the recorded pieces from a mould with an owner on record, some share was made by that owner: (hits + 1) /
(pieces + 2). A mould taken at random belongs to one of n owners, so a piece from an owner's mould is share x n +
(1 - share) times as likely under that owner as in the trade. As with marks, n moulds on record vouch for odds of n + 1
to one at most. A mould can outlive its maker or be lent, so it speaks against nobody.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kg.attribution.mark_evidence import cap_of
from kg.attribution.observations import DOUBTED, unit_of
from kg.attribution.weight import DECIBANS_PER_NAT, Floats
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

FROM, OWNED = "fromMould", "mouldOf"


@dataclass(frozen=True)
class MouldEvidence:
    """A mould with an owner on record, weighed for each maker in natural units."""

    mould: str
    logs: Floats
    claims: tuple[Claim, ...]


def moulds_of(view: WorkingView, piece: str) -> dict[str, tuple[Claim, ...]]:
    """The moulds of a piece that are recorded as somebody's: by mould, the claims that say so."""
    found: dict[str, tuple[Claim, ...]] = {}
    for thing in unit_of(view, piece):
        for claim in view.by_subject.get(thing, ()):
            owned = [c for c in view.by_subject.get(claim.value, ()) if c.property == OWNED]
            if claim.property == FROM and owned:
                found[claim.value] = tuple(dict.fromkeys((*found.get(claim.value, ()), claim, *owned)))
    return found


def mould_evidence(
    view: WorkingView, piece: str, makers: Sequence[str], pieces_of: Mapping[str, Sequence[str]]
) -> tuple[MouldEvidence, ...]:
    """Each mould of a piece that is recorded as a maker's, weighed for each maker."""
    moulds = moulds_of(view, piece)
    if not moulds:
        return ()
    owned = [c for c in view.live if c.property == OWNED]
    owners = len({c.value for c in owned})
    most = cap_of(len({c.subject for c in owned})) / DECIBANS_PER_NAT
    share = _share(view, pieces_of)
    found = []
    for mould, claims in moulds.items():
        belief = 1.0 if all(view.standing(c.id) == "held" for c in claims) else DOUBTED
        weight = min(math.log(belief * (share * owners + 1 - share) + 1 - belief), most)
        named = {c.value for c in claims if c.property == OWNED}
        logs = np.array([max(weight, 0.0) if maker in named else 0.0 for maker in makers])
        found.append(MouldEvidence(mould, logs, claims))
    return tuple(found)


def _share(view: WorkingView, pieces_of: Mapping[str, Sequence[str]]) -> float:
    """How often a recorded piece from an owned mould is by the mould's owner, smoothed."""
    hits = pieces = 0
    for maker, made in pieces_of.items():
        for piece in made:
            for claims in moulds_of(view, piece).values():
                pieces += 1
                hits += any(c.property == OWNED and c.value == maker for c in claims)
    return (hits + 1) / (pieces + 2)
