"""A working view in which things that are recorded as the same are one, for what counts or lists by thing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from kg.daybook.record import Claim, Thing
from kg.daybook.view import WorkingView


@dataclass(frozen=True)
class AsOne:
    """A view with each group of records of one thing under the first of their ids; claims keep their own ids."""

    view: WorkingView
    first: Mapping[str, str]
    """For each thing that goes under another's id, that id."""

    def slug(self, slug: str) -> str:
        """The id under which a thing goes."""
        return self.first.get(slug, slug)


def as_one(view: WorkingView) -> AsOne:
    """The view with what is recorded as the same made one.

    The claims that join are left out of it, since they would say that a thing is itself. What each
    claim says as it was recorded, and of which record, stands in the view that was given.
    """
    identity = identity_property(view)
    joins = {claim.id for claim in view.live if claim.property == identity}
    groups = clusters((view.claims[name].subject, view.claims[name].value) for name in sorted(joins))
    first = {slug: group[0] for group in groups for slug in group[1:]}
    if not first:
        return AsOne(view, first)
    links = {name for name, prop in view.vocabulary.properties.items() if prop.is_link}
    claims = {
        name: _moved(c, first, is_link=c.property in links)
        for name, c in view.claims.items()
        if name not in joins
    }
    things: dict[str, Thing] = {}
    for slug, thing in view.things.items():
        under = first.get(slug, slug)
        things[under] = _both(things[under], thing) if under in things else replace(thing, slug=under)
    for group in groups:
        if group[0] in view.things:
            things[group[0]] = replace(things[group[0]], label=view.label(_best_known(view, group)))
    return AsOne(
        replace(view, claims=claims, things=things, revision=f"{view.revision}-as-one", _windows={}), first
    )


def _best_known(view: WorkingView, group: tuple[str, ...]) -> str:
    """The record of a thing of which most is said; its name stands for all. Of equals the first."""
    return max(group, key=lambda slug: len(view.by_subject.get(slug, ())))


def identity_property(view: WorkingView) -> str:
    """The property by which two records are said to be of one thing."""
    return next(p.name for p in view.vocabulary.properties.values() if p.is_identity)


def clusters(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, ...], ...]:
    """The groups that pairs join, in a fixed order whatever the order of the pairs."""
    group: dict[str, set[str]] = {}
    for one, other in pairs:
        joined = group.get(one, {one}) | group.get(other, {other})
        for slug in joined:
            group[slug] = joined
    return tuple(sorted({tuple(sorted(found)) for found in group.values()}))


def _moved(claim: Claim, first: Mapping[str, str], *, is_link: bool) -> Claim:
    """A claim about (and to) the things that theirs go under."""
    subject = first.get(claim.subject, claim.subject)
    value = first.get(claim.value, claim.value) if is_link else claim.value
    source = first.get(claim.citation.source, claim.citation.source)
    if (subject, value, source) == (claim.subject, claim.value, claim.citation.source):
        return claim
    return replace(claim, subject=subject, value=value, citation=replace(claim.citation, source=source))


def _both(one: Thing, other: Thing) -> Thing:
    """Two records of a thing as one: classes add up, and what is confidential in one is so in both."""
    return Thing(
        one.slug,
        tuple(sorted({*one.kinds, *other.kinds})),
        one.label,
        one.is_confidential or other.is_confidential,
        one.convention or other.convention,
    )
