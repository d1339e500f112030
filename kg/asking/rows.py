"""A claim as one row of a screen: what it says in parts, its standing, where it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from kg.asking.parts import Part, cited, sentence, valued
from kg.chronology.telling import window_text
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: The standing that needs no word beside the claim.
HELD = "held"

#: The class of a source that is the thing itself, looked at.
OBJECT_EXAMINED = "ObjectExamined"


@dataclass(frozen=True, slots=True)
class Row:
    """A claim as a screen shows it."""

    claim: str
    property: str
    """The property as one reads it."""
    sentence: tuple[Part, ...]
    value: Part
    read_as: str | None
    """How the words of a date were read, where that says more than the words."""
    cited: tuple[Part, ...]
    quotation: str | None
    standing: str | None
    """The standing as one reads it; None where the claim is simply held."""
    why: str | None
    """Why it was judged so."""
    strength: str | None
    """How strongly it speaks, where that is not "hard"."""
    is_confidential: bool
    fault: str | None
    """Why it takes no part in any computation, where it does not."""


def row(view: WorkingView, claim: Claim, page_of: str | None = None) -> Row:
    """A claim as a row; on the page of a thing that is its own source, it is not named again."""
    prop = view.vocabulary.properties.get(claim.property)
    standing, judged = view.standing(claim.id), view.judgements.get(claim.id)
    return Row(
        claim.id,
        prop.label if prop else claim.property,
        sentence(view, claim),
        valued(view, claim),
        read_as(view, claim),
        _cited_on_page(view, claim) if claim.citation.source == page_of else cited(view, claim),
        claim.citation.quotation,
        None if standing == HELD else view.vocabulary.standings.get(standing, standing),
        judged.why if judged and standing != HELD else None,
        None if claim.strength == "hard" else claim.strength,
        view.is_confidential(claim),
        view.ill_formed.get(claim.id),
    )


def _cited_on_page(view: WorkingView, claim: Claim) -> tuple[Part, ...]:
    is_seen = view.vocabulary.is_a(view.kinds(claim.citation.source), OBJECT_EXAMINED)
    return (Part(f"{'seen on it, ' if is_seen else ''}{claim.citation.locator}"),)


def read_as(view: WorkingView, claim: Claim) -> str | None:
    """How a date was read; None for what is no date, and where the words say it already."""
    prop = view.vocabulary.properties.get(claim.property)
    if prop is None or not prop.is_date or claim.id in view.ill_formed:
        return None
    text = window_text(view.window(claim))
    return None if text == view.value_text(claim) else text
