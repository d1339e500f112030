"""New things of a take-in that may be on record under another name: told, never joined by themselves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.intake.reconcile.proposals import Proposal, reconcile_names

#: Classes of things whose names are compared.
COMPARED = ("Actor", "Place")
#: More names than this are not compared; the search for all pairs (`same-as`) finds them later.
MOST_NAMES = 5_000


@dataclass(frozen=True, slots=True)
class Alike:
    """A new thing, and the one on record that it probably is, with what speaks for it."""

    thing: Thing
    proposal: Proposal


def alike(view: WorkingView, things: Iterable[Thing]) -> tuple[Alike, ...]:
    """The new things whose names are probably those of things on record, in order of the names."""
    new = sorted((thing for thing in things if thing.slug not in view.things), key=lambda thing: thing.label)
    found: list[Alike] = []
    for kind in COMPARED:
        named = [thing for thing in new if view.vocabulary.is_a(thing.kinds, kind)][:MOST_NAMES]
        if not named:
            continue
        for thing, proposals in zip(
            named, reconcile_names([thing.label for thing in named], view, kind), strict=True
        ):
            if proposals.best is not None:
                found.append(Alike(thing, proposals.best))
    return tuple(found)
