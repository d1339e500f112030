"""Who a piece may be by: the makers ranked by weight of evidence, those ruled out, and the maker not in the daybook."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kg.attribution.calibration import shown
from kg.attribution.evidence import Evidence, feature_evidence, other_evidence
from kg.attribution.exclusions import Exclusion, exclusions, sides
from kg.attribution.held_out import doubted
from kg.attribution.inquiry import Inquiry, Settings
from kg.attribution.observations import Observation, observed
from kg.attribution.weight import DECIBANS_PER_NAT, Floats, normalised
from kg.chronology.chronology import Chronology
from kg.chronology.verdict import Side
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError

#: Recorded pieces that are named as examples of a reason.
EXAMPLES = 3


#: So many makers at least are asked whether the dates rule them out, and more until the rest hold less than this share.
ALWAYS_ASKED, NEGLIGIBLE = 500, 0.001


class NotAPiece(KilnmarkError):
    """A ranking was asked for of a thing that nobody makes."""


@dataclass(frozen=True, slots=True)
class Example:
    """A recorded piece of a maker that shows what was seen, with the claim that says so."""

    piece: str
    claim: Claim


@dataclass(frozen=True)
class Reason:
    """One thing that speaks for a maker, or against, with its weight and its citations."""

    evidence: Evidence
    decibans: float
    shown: float
    """The maker's recorded pieces that show it."""
    of: float
    """The maker's recorded pieces on which the feature was seen."""
    trade_shown: float
    trade_of: float
    examples: tuple[Example, ...]


@dataclass(frozen=True)
class Candidate:
    """A maker with its probability, its total weight of evidence, and what rules it out if anything does."""

    maker: str
    probability: float
    if_not_excluded: float
    """The probability that it would have if the dates did not rule anybody out."""
    decibans: float
    output: float
    exclusion: Exclusion | None


@dataclass(frozen=True)
class Ranking:
    """The answer to "whose is it?"."""

    piece: str
    inquiry: Inquiry
    observations: tuple[Observation, ...]
    evidence: tuple[Evidence, ...]
    excluded: Mapping[str, Exclusion]
    limits: tuple[Side, Side]
    chances: Floats
    """By maker, and last the maker not in the daybook: what is shown."""
    open_chances: Floats
    """The same before anybody is ruled out."""
    not_asked: int = 0
    """Makers whose dates were not asked about, since all of them together hold next to nothing."""

    @property
    def view(self) -> WorkingView:
        """The working view that it was made from."""
        return self.inquiry.recorded.view

    @property
    def too_few(self) -> str | None:
        """Why the daybook cannot rank; None if it can."""
        return self.inquiry.recorded.too_few

    @property
    def unrecorded(self) -> float:
        """The probability that the maker is not in the daybook."""
        return float(self.chances[-1])

    @cached_property
    def decibans(self) -> Floats:
        """By maker: the whole weight of evidence against the trade as a whole."""
        total = np.zeros(len(self.inquiry.recorded.makers))
        for each in self.evidence:
            total = total + each.logs
        return total * DECIBANS_PER_NAT

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """All makers, the likeliest first; those ruled out stand last, the likeliest of them first."""
        recorded = self.inquiry.recorded
        found = [
            Candidate(
                maker,
                float(self.chances[at]),
                float(self.open_chances[at]),
                float(self.decibans[at]),
                float(recorded.records.outputs[at]),
                self.excluded.get(maker),
            )
            for at, maker in enumerate(recorded.makers)
        ]
        return tuple(
            sorted(
                found,
                key=lambda c: (
                    c.exclusion is not None,
                    -c.probability,
                    -c.if_not_excluded,
                    -c.decibans,
                    c.maker,
                ),
            )
        )

    @cached_property
    def leader(self) -> Candidate | None:
        """The likeliest maker that is not ruled out; None where nothing is ranked or none is left."""
        first = self.candidates[0] if self.candidates and self.too_few is None else None
        return first if first is not None and first.exclusion is None else None

    def reasons(self, maker: str) -> tuple[Reason, ...]:
        """What speaks for a maker and against, the strongest first."""
        at = self.inquiry.recorded.makers.index(maker)
        found = [self._reason(each, at) for each in self.evidence]
        return tuple(sorted(found, key=lambda r: (-r.decibans, r.evidence.kind, r.evidence.name)))

    def _reason(self, evidence: Evidence, maker: int) -> Reason:
        recorded, likelihood = self.inquiry.recorded, self.inquiry.likelihood
        weight = float(evidence.logs[maker]) * DECIBANS_PER_NAT
        if evidence.column < 0:
            return Reason(evidence, weight, 0.0, 0.0, 0.0, 0.0, ())
        start = int(recorded.records.offsets[evidence.column])
        places = [start + value for value in evidence.values]
        return Reason(
            evidence,
            weight,
            float(likelihood.counts[maker, places].sum()),
            float(likelihood.totals[maker, evidence.column]),
            float(likelihood.trade_counts[places].sum()),
            float(likelihood.totals[:, evidence.column].sum()),
            self._examples(evidence, recorded.makers[maker]),
        )

    def _examples(self, evidence: Evidence, maker: str) -> tuple[Example, ...]:
        recorded = self.inquiry.recorded
        found = []
        for row in recorded.rows_of.get(maker, ()):
            if recorded.records.codes[row, evidence.column] in evidence.values:
                claim = next(
                    (o.claims[0] for o in recorded.seen[row] if o.feature == evidence.name and o.claims), None
                )
                if claim is not None:
                    found.append(Example(recorded.pieces[row], claim))
        return tuple(found[:EXAMPLES])


def rank(
    view: WorkingView,
    piece: str,
    *,
    chronology: Chronology | None = None,
    inquiry: Inquiry | None = None,
    settings: Settings | None = None,
) -> Ranking:
    """The makers of a daybook ranked for a piece, which is itself not learned from.

    Give ``chronology`` and ``inquiry`` of the same view where several pieces are asked about; they are made otherwise.

    :raises NotAPiece: if the thing is no piece or part.
    """
    if not view.vocabulary.is_a(view.kinds(piece), "Artefact"):
        kinds = ", ".join(view.vocabulary.kinds[k].label for k in view.kinds(piece)) or "of no known class"
        raise NotAPiece(
            f"{view.label(piece)} ({kinds}) is no piece or part. Ask about a thing that somebody made."
        )
    inquiry = (inquiry or Inquiry.of(view, settings)).leaving_out(piece)
    known = chronology or Chronology(view)
    limits = sides(known, piece)
    observations = observed(view, inquiry.recorded.features, piece)
    makers = inquiry.recorded.makers
    if inquiry.recorded.too_few is not None:
        blank = np.zeros(len(makers) + 1)
        ruled_out = exclusions(known, piece, makers) if inquiry.settings.has_exclusions else {}
        return Ranking(piece, inquiry, observations, (), ruled_out, limits, blank, blank)
    evidence = (*feature_evidence(inquiry, observations, limits), *other_evidence(inquiry, piece))
    chances, free = weigh(inquiry, evidence, {})
    ruled_out, not_asked = {}, 0
    if inquiry.settings.has_exclusions:
        asked = [makers[at] for at in worth_asking(free[:-1])]
        ruled_out = exclusions(known, piece, asked)
        not_asked = len(makers) - len(asked)
        chances, free = weigh(inquiry, evidence, ruled_out)
    return Ranking(piece, inquiry, observations, evidence, ruled_out, limits, chances, free, not_asked)


def worth_asking(chances: Floats) -> list[int]:
    """The makers whose dates are asked about: the likeliest, until all others together hold less than a thousandth.

    >>> worth_asking(np.array([0.2, 0.8]))
    [1, 0]
    """
    order = np.argsort(-chances, kind="stable")
    needed = int(np.searchsorted(np.cumsum(chances[order]), (1 - NEGLIGIBLE) * chances.sum())) + 1
    return [int(at) for at in order[: max(needed, ALWAYS_ASKED)]]


def weigh(
    inquiry: Inquiry, evidence: tuple[Evidence, ...], excluded: Mapping[str, Exclusion]
) -> tuple[Floats, Floats]:
    """The probabilities with and without the exclusions.

    What the features and the date say is calibrated on the held-out pieces, and left in part to the prior.
    Mark and height are weighed by rules of
    their own and come on top; then those ruled out are struck and the rest made to add up to one. Last, the maker not
    in the daybook is given one part in n + 2 of everything, for n held-out pieces (Laplace's rule of succession): so
    many pieces vouch for no greater certainty, however strong the evidence.
    """
    scores, rest = inquiry.log_prior.copy(), np.zeros(len(inquiry.log_prior))
    for each in evidence:
        (rest if each.column < 0 else scores)[:-1] += each.logs
    chances = normalised(scores)
    if inquiry.settings.is_calibrated:
        calibration = inquiry.calibration
        chances = shown(calibration.remedy, chances)
        chances = doubted(chances, normalised(inquiry.log_prior.copy()), calibration.doubt)
    with np.errstate(divide="ignore"):
        logs = np.log(chances) + rest
    is_out = np.array([maker in excluded for maker in inquiry.recorded.makers] + [False])
    kept = 1 / (inquiry.calibration.pieces + 2) if inquiry.settings.is_calibrated else 0.0
    return _with_doubt(normalised(np.where(is_out, -np.inf, logs)), kept), _with_doubt(normalised(logs), kept)


def _with_doubt(chances: Floats, kept: float) -> Floats:
    doubted = chances * (1 - kept)
    doubted[-1] += kept
    return doubted
