"""Text in parts, each of which may lead to a thing or to a claim."""

from __future__ import annotations

from dataclasses import dataclass

from kg.daybook.record import Claim
from kg.daybook.view import WorkingView


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of text; at most one of ``thing`` and ``claim`` says where it leads."""

    text: str
    thing: str | None = None
    claim: str | None = None


def named(view: WorkingView, slug: str) -> Part:
    """A thing by its name, leading to it where it is described."""
    return Part(view.label(slug), thing=slug if slug in view.things else None)


def valued(view: WorkingView, claim: Claim) -> Part:
    """The value of a claim: a thing or another claim leads there, all else to the claim itself."""
    prop = view.vocabulary.properties.get(claim.property)
    if prop is not None and prop.is_link:
        if claim.value in view.things:
            return named(view, claim.value)
        if claim.value in view.claims:
            return Part(view.sentence(view.claims[claim.value]), claim=claim.value)
    return Part(view.value_text(claim), claim=claim.id)


def sentence(view: WorkingView, claim: Claim) -> tuple[Part, ...]:
    """A claim as a short sentence whose names lead to the things."""
    prop = view.vocabulary.properties.get(claim.property)
    subject = (
        Part(view.sentence(view.claims[claim.subject]), claim=claim.subject)
        if claim.subject in view.claims
        else named(view, claim.subject)
    )
    return subject, Part(f" {prop.label if prop else claim.property} "), valued(view, claim)


def cited(view: WorkingView, claim: Claim) -> tuple[Part, ...]:
    """Where a claim is printed: the source, which leads to its page, and the locator."""
    return named(view, claim.citation.source), Part(f", {claim.citation.locator}")
