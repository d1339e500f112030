"""What recording an entry would change in the store, and which nodes' findings can change with it."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import pyoxigraph as ox

from kg.daybook.graph import view_quads
from kg.daybook.record import Claim, Entry, Thing
from kg.daybook.view import LIVE, WorkingView
from kg.vocabulary import CLAIM, RDF, RDFS, THING, K

_SUBJECT, _PREDICATE, _OBJECT = (ox.NamedNode(RDF + part) for part in ("subject", "predicate", "object"))
_SOURCE = ox.NamedNode(K + "source")
_Value = TypeVar("_Value")
_NAMING = frozenset({_SUBJECT, _OBJECT, _SOURCE})
_DESCRIBING = frozenset({RDF + "type", RDFS + "label"})


@dataclass(frozen=True)
class Change:
    """The quads that an entry adds to the working view and takes from it, and the view afterwards."""

    after: WorkingView
    added: tuple[ox.Quad, ...]
    removed: tuple[ox.Quad, ...]
    named: frozenset[ox.NamedNode]
    """The things and claims that the entry names, even where no quad changes."""

    def make(self, store: ox.Store) -> None:
        """Put the change into the store."""
        for quad in self.removed:
            store.remove(quad)
        store.extend(self.added)

    def undo(self, store: ox.Store) -> None:
        """Bring the store back to where it was; harmless if the change was made in part, or not at all."""
        for quad in self.added:
            store.remove(quad)
        store.extend(self.removed)

    def touched(self, store: ox.Store) -> frozenset[ox.NamedNode]:
        """The nodes whose findings can differ, in the changed store.

        A finding about a thing rests on claims about it and about what they link it to; one about a claim rests on
        the classes of its source. So: every node in the change, whatever links to a changed thing, and the claims
        that speak of or cite a thing described anew.
        """
        found = set(self.named)
        changed: set[ox.NamedNode] = set()
        described: set[ox.NamedNode] = set()
        for quad in (*self.added, *self.removed):
            for term in (quad.subject, quad.object):
                if isinstance(term, ox.NamedNode) and term.value.startswith((THING, CLAIM)):
                    found.add(term)
            subject = quad.subject
            if isinstance(subject, ox.NamedNode) and subject.value.startswith(THING):
                changed.add(subject)
                if quad.predicate.value in _DESCRIBING:
                    described.add(subject)
        # Claims can be spoken of like things: whatever rests on a claim that comes or goes is touched with it.
        changed |= {node for node in found if node.value.startswith(CLAIM)}
        changed |= {
            q.object
            for node in found
            if node.value.startswith(CLAIM)
            for q in store.quads_for_pattern(node, _SUBJECT, None, None)
            if isinstance(q.object, ox.NamedNode)
        }
        for thing in changed:
            for quad in store.quads_for_pattern(None, _OBJECT, thing, None):
                found |= {q.object for q in store.quads_for_pattern(quad.subject, _SUBJECT, None, None)}  # type: ignore[misc]  # claims are about things
        for thing in described:
            for predicate in (_SUBJECT, _OBJECT, _SOURCE):
                found |= {q.subject for q in store.quads_for_pattern(None, predicate, thing, None)}  # type: ignore[misc]  # claims are IRIs
        return frozenset(found)


def change_of(view: WorkingView, store: ox.Store, entry: Entry) -> Change:
    """The change that recording an entry makes to a view and to the store that holds it."""
    after = _after(view, entry)
    things = [thing.slug for thing in entry.things]
    told = {claim.id for claim in entry.claims} | {
        j.claim for j in entry.judgements if j.claim in after.claims
    }
    told |= {claim for slug in things for claim in _dated_anew(view, after, store, slug)}
    before = set(view_quads(view, _things(view, things), _live(view, told)))
    later = set(view_quads(after, _things(after, things), _live(after, told)))
    removed = tuple(q for q in before - later if q in store and not _is_stated_otherwise(store, q, told))
    added = tuple(q for q in later - before if q not in store)
    named = {ox.NamedNode(THING + slug) for slug in things} | {ox.NamedNode(CLAIM + claim) for claim in told}
    named |= {
        q.object for q in before | later if q.predicate in _NAMING and isinstance(q.object, ox.NamedNode)
    }
    return Change(after, added, removed, frozenset(named))


def _after(view: WorkingView, entry: Entry) -> WorkingView:
    """The view with the entry recorded: only what the entry speaks of is worked out anew."""
    slugs = {thing.slug for thing in entry.things if thing.slug in view.things}
    judged = {judgement.claim for judgement in entry.judgements}
    kept = {view.judgements[claim].entry for claim in judged if claim in view.judgements}
    earlier = [view.entries[name] for name in kept if name in view.entries]
    if slugs:
        earlier += [
            other
            for other in view.entries.values()
            if other.name not in kept and any(thing.slug in slugs for thing in other.things)
        ]
    small = WorkingView.of(view.vocabulary, [*(e for e in earlier if e.name != entry.name), entry])
    return replace(
        view,
        things=_over(view.things, {thing.slug: small.things[thing.slug] for thing in entry.things}),
        claims=_over(view.claims, {claim.id: claim for claim in entry.claims}),
        entries=_over(view.entries, {entry.name: entry}),
        judgements=_over(view.judgements, {c: small.judgements[c] for c in judged if c in small.judgements}),
        ill_formed=_over(view.ill_formed, dict(small.ill_formed)),
        _windows=view._windows,
    )


def _over(below: Mapping[str, _Value], above: dict[str, _Value]) -> Mapping[str, _Value]:
    """One mapping laid over another, which is left as it is."""
    return ChainMap(above, below)  # type: ignore[arg-type]  # nothing is ever written into the lower one


def _things(view: WorkingView, slugs: Iterable[str]) -> list[Thing]:
    return [view.things[slug] for slug in slugs if slug in view.things]


def _live(view: WorkingView, claims: Iterable[str]) -> list[Claim]:
    return [view.claims[c] for c in claims if c in view.claims and view.standing(c) in LIVE]


def _dated_anew(view: WorkingView, after: WorkingView, store: ox.Store, slug: str) -> Iterable[str]:
    """The claims that cite a source whose convention for dates the entry changes."""
    old = view.things.get(slug)
    if old is None or old.convention == after.things[slug].convention:
        return
    for quad in store.quads_for_pattern(None, _SOURCE, ox.NamedNode(THING + slug), None):
        yield quad.subject.value[len(CLAIM) :]  # type: ignore[union-attr]  # claims are IRIs


def _is_stated_otherwise(store: ox.Store, quad: ox.Quad, told: set[str]) -> bool:
    """Whether a claim that stays states the same triple."""
    if quad.subject.value.startswith(CLAIM) or quad.predicate.value in _DESCRIBING:  # type: ignore[union-attr]  # an IRI
        return False
    for found in store.quads_for_pattern(None, _OBJECT, quad.object, None):
        claim = found.subject
        if claim.value[len(CLAIM) :] in told:  # type: ignore[union-attr]  # an IRI
            continue
        if (
            ox.Quad(claim, _SUBJECT, quad.subject) in store
            and ox.Quad(claim, _PREDICATE, quad.predicate) in store
        ):
            return True
    return False
