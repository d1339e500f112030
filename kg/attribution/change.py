"""How the ranking of who made a piece changes when some claims no longer count."""

from __future__ import annotations

from typing import Any

from kg.attribution.candidates import rank
from kg.attribution.questions import compared
from kg.attribution.shown import percent
from kg.attribution.telling import told_ranking
from kg.daybook.view import WorkingView


def told_ranking_change(view: WorkingView, fallen: frozenset[str], piece: str) -> dict[str, Any]:
    """How the ranking of who made a piece changes without some claims."""
    before, after = rank(view, piece), rank(view.without(fallen), piece)
    leads = [None if r.leader is None else view.label(r.leader.maker) for r in (before, after)]
    changes = told_ranking(after, changes=compared(before, after))["changes"]
    moved = changes["moved"]
    is_changed = leads[0] != leads[1] or any(chance(m, "before") != chance(m, "after") for m in moved)
    told = {"piece": piece, "label": view.label(piece), "confidential": view.things[piece].is_confidential}
    return {
        **told,
        "leads_before": leads[0],
        "leads_after": leads[1],
        "is_changed": is_changed,
        "moved": moved,
    }


def chance(moved: dict[str, Any], when: str) -> str:
    """The chance of a maker before or after, as it is shown."""
    probability = moved[f"probability_{when}"]
    if moved[f"excluded_{when}"]:
        return "excluded"
    return "not among them" if probability is None else percent(probability)
