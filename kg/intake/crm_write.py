"""Claims, entries and judgements as quads: the working view in its own words, or in those of CIDOC CRM.

A claim is a proposition set (CRMinf I4) that stands whole, in its own words, whatever its standing. The judgement on it
is a belief (I2): that it is held, doubted, set aside or withdrawn. The entry is the adoption of that belief (I7), and a
PROV activity. What live claims say is stated besides, by the paths of ``crm.py``. Where claims differ, the one event
of a thing carries all that they say, and the proposition sets keep them apart.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator
from typing import get_args

import pyoxigraph as ox

from kg.dates.window import iso
from kg.daybook.graph import claim_quads, value_term
from kg.daybook.record import Claim, Entry, Judgement, Thing
from kg.daybook.view import WorkingView
from kg.intake.crm import Path, classes_of, is_nearest_only, path_of
from kg.intake.crm_names import CRM, CRMINF, PROV, expanded
from kg.vocabulary import (
    CLAIM,
    ENTRY,
    JUDGEMENT,
    RDF,
    RDFS,
    THING,
    XSD,
    End,
    K,
    Property,
    Requirement,
    Sense,
)  # fmt: skip

EVENT = "https://kilnmark.example/event/"
TIME = "https://kilnmark.example/time/"
VALUE = "https://kilnmark.example/value/"
BELIEF = "https://kilnmark.example/belief/"
RESEARCHER = "https://kilnmark.example/researcher/"

Quads = Iterator[ox.Quad]
Term = ox.NamedNode | ox.Literal


def _node(iri: str) -> ox.NamedNode:
    return ox.NamedNode(iri)


def _quad(subject: ox.NamedNode, predicate: str, value: Term | str) -> ox.Quad:
    return ox.Quad(subject, _node(predicate), ox.Literal(value) if isinstance(value, str) else value)


def _typed(subject: ox.NamedNode, *classes: str) -> Quads:
    for name in classes:
        yield _quad(subject, RDF + "type", _node(expanded(name)))


def described(things: Iterable[Thing]) -> Quads:
    """Things with their own classes, names and marks."""
    for thing in things:
        node = _node(THING + thing.slug)
        for kind in thing.kinds:
            yield _quad(node, RDF + "type", _node(K + kind))
        yield _quad(node, RDFS + "label", thing.label)
        if thing.is_confidential:
            yield _quad(node, K + "confidential", _TRUE)
        if thing.convention:
            yield _quad(node, K + "datesBy", thing.convention)


def view_quads(entries: Iterable[Entry], things: Iterable[Thing], view: WorkingView) -> Quads:
    """The working view in its own words: what live claims state, with claims, entries and judgements behind it."""
    yield from described(things)
    for entry in entries:
        live = [claim for claim in entry.claims if _is_live(claim, view)]
        for claim in live:
            yield from claim_quads(view, claim)
            yield from _rest_of_claim(claim)
        judged = [(n, j) for n, j in enumerate(entry.judgements, 1) if _judges_live(j, view)]
        for number, judgement in judged:
            yield from _judgement(entry, number, judgement)
        if live or judged:
            yield from _entry(entry)


def _is_live(claim: Claim, view: WorkingView) -> bool:
    return claim.id not in view.ill_formed and view.standing(claim.id) in ("held", "doubted")


def _judges_live(judgement: Judgement, view: WorkingView) -> bool:
    claim = view.claims.get(judgement.claim)
    return claim is not None and _is_live(claim, view)


def _rest_of_claim(claim: Claim) -> Quads:
    """What a claim holds beyond what the working view needs of it."""
    node = _node(CLAIM + claim.id)
    if claim.citation.quotation:
        yield _quad(node, K + "quotation", claim.citation.quotation)
    if claim.is_confidential:
        yield _quad(node, K + "confidential", _TRUE)
    yield _quad(node, PROV + "wasGeneratedBy", _node(ENTRY + claim.entry))


def _entry(entry: Entry) -> Quads:
    node = _node(ENTRY + entry.name)
    stamp = entry.recorded.isoformat().replace("+00:00", "Z")
    yield _quad(node, RDF + "type", _node(K + "Entry"))
    yield _quad(node, K + "recorded", ox.Literal(stamp, datatype=_node(XSD + "dateTime")))
    yield _quad(node, K + "recordedBy", entry.researcher)
    if entry.note:
        yield _quad(node, K + "note", entry.note)


def _judgement(entry: Entry, number: int, judgement: Judgement) -> Quads:
    node = _node(f"{JUDGEMENT}{entry.name}.{number}")
    yield _quad(node, RDF + "type", _node(K + "Judgement"))
    yield _quad(node, K + "judges", _node(CLAIM + judgement.claim))
    yield _quad(node, K + "finds", _node(K + judgement.standing))
    yield _quad(node, K + "because", judgement.why)


#: What a time rule asks for where the date is the span: each end neither before nor after the date's own.
_BOTH_ENDS = frozenset(Requirement(end, sense, end) for end in get_args(End) for sense in get_args(Sense))
_TRUE = ox.Literal("true", datatype=ox.NamedNode(XSD + "boolean"))


class CrmWriter:
    """Writes a daybook in the words of CIDOC CRM, CRMinf and PROV-O."""

    def __init__(self, view: WorkingView) -> None:
        self.view = view
        self.vocabulary = view.vocabulary
        self.lost = 0
        """Claims that cannot be understood here and are left out."""
        self.nearest: set[str] = set()
        """Properties of claims that were said by their nearest word alone."""
        self._people: set[str] = set()

    def quads(self, entries: Iterable[Entry], things: Iterable[Thing]) -> Quads:
        """The whole mapping."""
        for thing in things:
            yield from described([thing])
            yield from self.thing(thing)
        for entry in entries:
            for claim in entry.claims:
                if claim.id in self.view.ill_formed:
                    self.lost += 1
                    continue
                yield from self.claim(claim)
            for number, judgement in enumerate(entry.judgements, 1):
                yield from _judgement(entry, number, judgement)
                yield from self.belief(
                    _node(f"{JUDGEMENT}{entry.name}.{number}"), judgement.claim, judgement.standing
                )
                yield from self.adoption(entry, _node(f"{JUDGEMENT}{entry.name}.{number}"))
            if entry.claims or entry.judgements:
                yield from _entry(entry)
                yield from self.act(entry)

    def thing(self, thing: Thing) -> Quads:
        """The classes of a thing elsewhere; its own classes stand as types (E55)."""
        node = _node(THING + thing.slug)
        for kind in thing.kinds:
            if kind in self.vocabulary.kinds:
                yield from _typed(node, *classes_of(self.vocabulary.kinds[kind], self.vocabulary))
                yield _quad(node, CRM + "P2_has_type", _node(K + kind))

    def claim(self, claim: Claim) -> Quads:
        """A claim as a proposition set, the belief in it, and, if it is live, what it states."""
        prop = self.vocabulary.properties[claim.property]
        node = _node(CLAIM + claim.id)
        # The statement itself comes with the claim in the daybook's own words; here it is left out.
        yield from (q for q in claim_quads(self.view, claim) if q.subject == node)
        yield from _rest_of_claim(claim)
        yield from _typed(node, "crminf:I4_Proposition_Set")
        subject = _node((CLAIM if prop.domain == "Claim" else THING) + claim.subject)
        yield _quad(node, CRM + "P129_is_about", subject)
        source = _node(THING + claim.citation.source)
        is_object = self.vocabulary.is_a(self.view.kinds(claim.citation.source), "ObjectExamined")
        yield _quad(node, CRM + ("P128i_is_carried_by" if is_object else "P148i_is_component_of"), source)
        yield _quad(node, PROV + "hadPrimarySource", source)
        if _is_live(claim, self.view):
            yield from self.path(claim, prop, subject)
        belief = _node(BELIEF + claim.id)
        yield from self.belief(belief, claim.id, "held")
        yield _quad(_node(ENTRY + claim.entry), CRMINF + "J6_adopted", belief)
        yield _quad(_node(ENTRY + claim.entry), CRMINF + "J7_is_based_on_evidence_from", source)

    def belief(self, node: ox.NamedNode, claim: str, standing: str) -> Quads:
        """A belief: which claim, and what is thought of it."""
        yield from _typed(node, "crminf:I2_Belief")
        yield _quad(node, CRMINF + "J4_that", _node(CLAIM + claim))
        yield _quad(node, CRMINF + "J5_holds_to_be", self.vocabulary.standings.get(standing, standing))

    def adoption(self, entry: Entry, belief: ox.NamedNode) -> Quads:
        """That an entry adopts a belief."""
        yield _quad(_node(ENTRY + entry.name), CRMINF + "J6_adopted", belief)

    def act(self, entry: Entry) -> Quads:
        """An entry as the adoption of beliefs by its researcher, and as a PROV activity."""
        node = _node(ENTRY + entry.name)
        who = _node(RESEARCHER + hashlib.sha256(entry.researcher.encode()).hexdigest()[:12])
        yield from _typed(node, "crminf:I7_Belief_Adoption", "prov:Activity")
        yield _quad(node, CRM + "P14_carried_out_by", who)
        yield _quad(node, PROV + "wasAssociatedWith", who)
        moment = ox.Literal(
            entry.recorded.isoformat().replace("+00:00", "Z"), datatype=_node(XSD + "dateTime")
        )
        yield _quad(node, PROV + "endedAtTime", moment)
        span = _node(TIME + entry.name)
        yield _quad(node, CRM + "P4_has_time-span", span)
        yield from _typed(span, "crm:E52_Time-Span")
        yield _quad(span, CRM + "P82a_begin_of_the_begin", moment)
        yield _quad(span, CRM + "P82b_end_of_the_end", moment)
        if who.value not in self._people:
            self._people.add(who.value)
            yield from _typed(who, "crm:E39_Actor", "prov:Agent")
            yield _quad(who, RDFS + "label", entry.researcher)

    def path(self, claim: Claim, prop: Property, subject: ox.NamedNode) -> Quads:
        """What a live claim states, by the path of its property."""
        path = path_of(prop)
        if path.is_kept:
            yield _quad(subject, K + prop.name, value_term(claim, prop))
            return
        if is_nearest_only(path):
            self.nearest.add(prop.name)
        start = subject
        if path.link:
            start = _node(
                f"{EVENT}{claim.subject}/{path.node}{'' if path.is_one else '/' + _key(claim.value)}"
            )
            yield _quad(subject, expanded(path.link), start)
            yield from _typed(start, path.event)
        yield from _VALUES[path.value](self, claim, prop, path, start)

    def link(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value itself: a thing, a claim, a text or a number."""
        yield _quad(start, expanded(path.step), value_term(claim, prop))

    def note(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value as a note that says what it is about."""
        yield _quad(start, expanded(path.step), f"{prop.label}: {claim.value}")

    def time(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value as a time-span: the most that it allows (P82a, P82b), and what it surely lasts (P81a, P81b)."""
        node = _node(TIME + claim.id)
        yield _quad(start, expanded(path.step), node)
        yield from _typed(node, "crm:E52_Time-Span")
        yield _quad(node, RDFS + "label", claim.written or claim.value)
        window = self.view.window(claim)
        bounds = [
            ("P82a_begin_of_the_begin", window.begin_earliest, False),
            ("P82b_end_of_the_end", window.end_latest, True),
        ]
        inner, outer = window.begin_latest, window.end_earliest
        # Only where the date is the span itself does it last throughout; a making "in 1870/1880" is some time within.
        is_span = any(set(rule.requirements) >= _BOTH_ENDS for rule in prop.rules)
        if is_span and inner is not None and outer is not None and inner <= outer:
            bounds += [("P81a_end_of_the_begin", inner, True), ("P81b_begin_of_the_end", outer, False)]
        for name, day, is_end in bounds:
            if day is not None:
                text = f"{iso(day)}T{'23:59:59' if is_end else '00:00:00'}"
                yield _quad(node, CRM + name, ox.Literal(text, datatype=_node(XSD + "dateTime")))

    def name(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value as a name or identifier of its own."""
        node = _node(VALUE + claim.id)
        yield _quad(start, expanded(path.step), node)
        yield from _typed(node, "crm:E42_Identifier" if path.value == "identifier" else "crm:E41_Appellation")
        yield _quad(node, CRM + "P190_has_symbolic_content", claim.value)

    def dimension(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value as a dimension in millimetres."""
        node = _node(VALUE + claim.id)
        unit = _node(VALUE + "millimetre")
        yield _quad(start, expanded(path.step), node)
        yield from _typed(node, "crm:E54_Dimension")
        yield _quad(node, CRM + "P2_has_type", _node(K + prop.name))
        yield _quad(node, CRM + "P90_has_value", value_term(claim, prop))
        yield _quad(node, CRM + "P91_has_unit", unit)
        yield from _typed(unit, "crm:E58_Measurement_Unit")
        yield _quad(unit, RDFS + "label", "millimetre")

    def condition(self, claim: Claim, prop: Property, path: Path, start: ox.NamedNode) -> Quads:
        """The value as a state of the thing."""
        node = _node(VALUE + claim.id)
        yield _quad(start, expanded(path.step), node)
        yield from _typed(node, "crm:E3_Condition_State")
        yield _quad(node, CRM + "P3_has_note", claim.value)


_VALUES: dict[str, Callable[[CrmWriter, Claim, Property, Path, ox.NamedNode], Quads]] = {
    "thing": CrmWriter.link,
    "claim": CrmWriter.link,
    "text": CrmWriter.link,
    "nearest": CrmWriter.link,
    "note": CrmWriter.note,
    "time": CrmWriter.time,
    "name": CrmWriter.name,
    "identifier": CrmWriter.name,
    "dimension": CrmWriter.dimension,
    "condition": CrmWriter.condition,
}


def _key(value: str) -> str:
    """The value of a claim as the end of an IRI."""
    return hashlib.sha256(value.encode()).hexdigest()[:12]
