"""A ranking as plain tables, for the command line, the screens and JSON."""

from __future__ import annotations

from typing import Any

import numpy as np

from kg.attribution.candidates import Candidate, Ranking, Reason
from kg.attribution.held_out import LARGEST_ERROR
from kg.attribution.next_look import Look, next_looks, unlearned
from kg.attribution.observations import Observation
from kg.attribution.questions import Changes
from kg.attribution.words import attribution
from kg.chronology.telling import told_claim
from kg.daybook.view import WorkingView


def told_ranking(ranking: Ranking, *, top: int = 5, changes: Changes | None = None) -> dict[str, Any]:
    """The whole answer: candidates with reasons, exclusions, next looks, and how far it can be trusted.

    With ``top`` 0, all makers are among the candidates.
    """
    words = attribution(ranking)
    return {
        "piece": ranking.piece,
        "label": ranking.view.label(ranking.piece),
        "too_few": ranking.too_few,
        "attribution": {
            "maker": words.maker,
            "certainty": words.certainty,
            "relation": words.relation,
            "words": words.words,
            "basis": words.basis,
        },
        "observations": [_observation(ranking.view, o, ranking) for o in ranking.observations],
        "candidates": [_candidate(ranking, c) for c in (chosen(ranking, top) if top else ranking.candidates)],
        "unrecorded_maker": ranking.unrecorded if ranking.too_few is None else None,
        "dates_not_asked": ranking.not_asked,
        "next_looks": [_look(ranking, look) for look in next_looks(ranking)],
        "never_recorded": list(unlearned(ranking)),
        "calibration": _calibration(ranking),
        "changes": _changes(ranking.view, changes) if changes is not None else None,
    }


def chosen(ranking: Ranking, top: int) -> tuple[Candidate, ...]:
    """The candidates to show: the leading ones, then all that are ruled out, the most tempting first."""
    open_ = [c for c in ranking.candidates if c.exclusion is None]
    ruled_out = [c for c in ranking.candidates if c.exclusion is not None]
    return (*(open_[:top] if ranking.too_few is None else ()), *ruled_out)


def _candidate(ranking: Ranking, candidate: Candidate) -> dict[str, Any]:
    view = ranking.view
    out = candidate.exclusion
    is_ranked = ranking.too_few is None
    return {
        "maker": candidate.maker,
        "label": view.label(candidate.maker),
        "probability": candidate.probability if is_ranked else None,
        "if_not_excluded": candidate.if_not_excluded if is_ranked else None,
        "decibans": round(candidate.decibans, 2) if is_ranked else None,
        "decibans_calibrated": _calibrated(ranking, candidate) if is_ranked else None,
        "recorded_pieces": candidate.output,
        "reasons": [_reason(view, r) for r in ranking.reasons(candidate.maker)] if is_ranked else [],
        "excluded_by": [told_claim(view, claim) for claim in out.claims] if out is not None else [],
        "is_excluded": out is not None,
    }


def _calibrated(ranking: Ranking, candidate: Candidate) -> float | None:
    """The odds that are shown against the odds before anything was seen, in decibans; None for one ruled out."""
    if candidate.exclusion is not None or not 0 < candidate.probability < 1:
        return None
    at = ranking.inquiry.recorded.makers.index(candidate.maker)
    prior = float(np.exp(ranking.inquiry.log_prior[at]))
    return round(
        10 * float(np.log10(candidate.probability / (1 - candidate.probability) * (1 - prior) / prior)), 2
    )


def _reason(view: WorkingView, reason: Reason) -> dict[str, Any]:
    evidence = reason.evidence
    told: dict[str, Any] = {
        "kind": evidence.kind,
        "feature": evidence.label,
        "found": evidence.found,
        "decibans": round(reason.decibans, 2),
        "share": round(evidence.share, 3),
        "claims": [told_claim(view, claim) for claim in evidence.claims],
        "examples": [
            {"piece": e.piece, "label": view.label(e.piece), **told_claim(view, e.claim)}
            for e in reason.examples
        ],
    }
    if evidence.column >= 0:
        told |= {
            "shown": reason.shown, "of": reason.of, "trade_shown": reason.trade_shown, "trade_of": reason.trade_of
        }  # fmt: skip
    if evidence.mark is not None:
        told["cap"] = round(evidence.mark.cap, 2)
        told["said_to_be_of"] = list(evidence.mark.said_of)
        told["nearest_marks"] = [
            {
                "maker": maker,
                "mark": mark,
                "label": view.label(mark),
                "decibans": round(score, 1),
                "parts": list(parts),
            }
            for maker, (mark, score, parts) in sorted(
                evidence.mark.nearest.items(), key=lambda kv: -kv[1][1]
            )[:3]
        ]
    return told


def _observation(view: WorkingView, o: Observation, ranking: Ranking) -> dict[str, Any]:
    features = ranking.inquiry.recorded.features
    feature, value = features.features.get(o.feature), features.values.get(o.value)
    return {
        "feature": feature.label if feature else "decade",
        "value": value.label if value else view.label(o.value),
        "finding": o.finding.value,
        "belief": o.belief,
        "looked": [{"by": who, "on": when.date().isoformat()} for who, when in o.looked],
        "claims": [claim.id for claim in o.claims],
    }


def _look(ranking: Ranking, look: Look) -> dict[str, Any]:
    return {
        "feature": look.label,
        "look_for": look.description,
        "bits": round(look.bits, 4),
        "cost": look.looking.label,
        "caution": look.caution,
        "was_tried": look.was_tried,
        "outcomes": [
            {
                "value": o.label,
                "chance": round(o.chance, 3),
                "leader": ranking.view.label(o.leader) if o.leader else "a maker not in the daybook",
                "probability": round(o.probability, 3),
            }
            for o in look.outcomes
        ],
    }


def _calibration(ranking: Ranking) -> dict[str, Any] | None:
    if ranking.too_few is not None:
        return None
    found = ranking.inquiry.calibration
    return {
        "pieces": found.pieces,
        "top_1": round(found.top_1, 4),
        "top_3": round(found.top_3, 4),
        "log_loss": round(found.log_loss, 4),
        "brier": round(found.brier, 4),
        "expected_calibration_error": round(found.error, 4),
        "before_the_remedy": round(found.error_as_computed, 4),
        "by_chance_alone": round(found.error_by_chance, 4),
        "remedy": found.remedy.name,
        "is_calibrated": found.is_calibrated,
        "says": calibration_sentence(ranking),
        "reliability": [
            {
                "from": b.lower,
                "to": b.upper,
                "pieces": b.count,
                "said": round(b.said, 3),
                "true": round(b.came_true, 3),
            }
            for b in found.diagram
        ],
    }


def calibration_sentence(ranking: Ranking) -> str:
    """How far the probabilities can be taken at their word, and for what they were measured."""
    found = ranking.inquiry.calibration
    verdict = (
        "The ranking is calibrated"
        if found.is_calibrated
        else "The ranking is not calibrated: take its order, not its numbers"
    )
    return (
        f"{verdict} (held-out calibration error {found.error:.3f} on {found.pieces} recorded pieces; "
        f"{LARGEST_ERROR:g} is allowed; chance alone gives about {found.error_by_chance:.3f} on so many). "
        "Measured on features and date; marks and heights are weighed by their own rules, each capped at ten times the "
        "logarithm of the number on record and one. "
        f"{found.doubt:.1%} of what features and date say is left to the prior, and "
        f"1 in {found.pieces + 2} always stays with a maker not in the daybook."
    )


def _changes(view: WorkingView, changes: Changes) -> dict[str, Any]:
    return {
        "question": changes.question,
        "kept": changes.kept,
        "moved": [
            {
                "maker": m.maker,
                "label": view.label(m.maker),
                "probability_before": m.before.probability if m.before else None,
                "probability_after": m.after.probability if m.after else None,
                "decibans_before": round(m.before.decibans, 2) if m.before else None,
                "decibans_after": round(m.after.decibans, 2) if m.after else None,
                "excluded_before": m.before is not None and m.before.exclusion is not None,
                "excluded_after": m.after is not None and m.after.exclusion is not None,
                "because": [
                    {"feature": label, "decibans_before": round(old, 2), "decibans_after": round(new, 2)}
                    for label, old, new in m.because
                ],
            }
            for m in changes.moved
        ],
        "unrecorded_before": changes.unrecorded[0],
        "unrecorded_after": changes.unrecorded[1],
        "added": [told_claim(view, claim) for claim in changes.added],
        "dropped": [told_claim(view, claim) for claim in changes.dropped],
    }
