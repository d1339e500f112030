"""Claims and judgements that are not recorded yet, or stand beside such, as they are read."""

from __future__ import annotations

from dataclasses import dataclass

from kg.asking.parts import Part, cited, sentence
from kg.asking.rows import read_as
from kg.daybook.record import Claim, Entry
from kg.daybook.view import WorkingView
from kg.intake.reconcile.joining import view_with


@dataclass(frozen=True, slots=True)
class Line:
    """A claim or judgement as it is read; its parts lead only to what is on record."""

    said: tuple[Part, ...]
    cited: tuple[Part, ...]
    quotation: str | None = None
    read_as: str | None = None
    claim: str | None = None
    """The id of the claim, where it is on record."""


def line_of(before: WorkingView, after: WorkingView, claim: Claim) -> Line:
    """A claim of the daybook as it would be, beside the daybook as it is."""
    return Line(
        _unled(before, sentence(after, claim)),
        _unled(before, cited(after, claim)),
        claim.citation.quotation,
        read_as(after, claim),
        claim.id if claim.id in before.claims else None,
    )


def lines_of(view: WorkingView, entry: Entry) -> list[Line]:
    """The claims and judgements of an entry that is not recorded yet."""
    after = view_with(view, entry)
    lines = [line_of(view, after, claim) for claim in entry.claims]
    for judgement in entry.judgements:
        if (judged := view.claims.get(judgement.claim)) is not None:
            word = view.vocabulary.standings[judgement.standing]
            said = (Part(f"{word}: "), *sentence(view, judged))
            lines.append(Line(said, cited(view, judged), judgement.why, None, judged.id))
    return lines


def _unled(view: WorkingView, given: tuple[Part, ...]) -> tuple[Part, ...]:
    """Text that leads only to what is on record already."""
    return tuple(
        Part(
            one.text,
            one.thing if one.thing in view.things else None,
            one.claim if one.claim in view.claims else None,
        )
        for one in given
    )
