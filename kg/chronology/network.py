"""From claims to constraints: what the vocabulary's time rules say of each claim, in calendar steps (ticks.py).

Every live claim that speaks of time becomes difference constraints between the begins and ends of spans. Each
constraint remembers the claim that it rests on and the rule that made it. No property is named in here: rules,
spans and strengths are those of the vocabulary.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Mapping, MutableMapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from kg.chronology.constraints import Mask
from kg.chronology.mark_bounds import MarkBound, mark_bounds, material_bounds
from kg.chronology.ticks import STEPS_A_YEAR, step_of
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.vocabulary import Convention, End, Property, TimeRule, Vocabulary

BEGIN, END = 0, 1
_PLACE: Mapping[End, int] = {"begin": BEGIN, "end": END}


class UnknownConvention(KilnmarkError):
    """A convention was to be switched off that the vocabulary does not hold."""


@dataclass(frozen=True, slots=True)
class Conventions:
    """Which conventions of the vocabulary are switched off."""

    off: frozenset[str] = frozenset()

    @classmethod
    def without(cls, names: Iterable[str], vocabulary: Vocabulary) -> Conventions:
        """All conventions but those named, by name or by family.

        :raises UnknownConvention: if a name is neither.
        """
        off: set[str] = set()
        for name in names:
            hits = {c.name for c in vocabulary.conventions.values() if name in (c.name, c.family)}
            if not hits:
                known = sorted({n for c in vocabulary.conventions.values() for n in (c.name, c.family)})
                raise UnknownConvention(f"There is no convention {name!r}; choose from {', '.join(known)}.")
            off |= hits
        return cls(frozenset(off))

    def years(self, convention: Convention) -> int | None:
        """The years that a convention stands for; None if its rule is dropped."""
        return convention.years_when_off if convention.name in self.off else convention.years


@dataclass(frozen=True, slots=True)
class Why:
    """The rule behind a constraint."""

    label: str
    strength: str
    convention: str | None = None
    years: int = 0


@dataclass(frozen=True, slots=True)
class Point:
    """The begin or the end of a span of a thing."""

    thing: str
    span: str
    end: End


#: The rule behind "a span begins before it ends", which every span has.
_ORDER = Why("nothing ends before it begins", "hard")


@dataclass(frozen=True, slots=True)
class _Step:
    """One requirement of a rule, ready to be laid between points: how far (in calendar steps), which ends."""

    point: int
    other: int
    is_lower: bool
    far: int
    why: int


@dataclass(frozen=True, slots=True)
class _Compiled:
    """A time rule with its conventions applied."""

    first_span: str
    second_span: str | None
    is_inverse: bool
    rank: int
    steps: tuple[_Step, ...]


@dataclass
class Constraints:
    """Every constraint that a working view gives, with its claim and its rule."""

    view: WorkingView
    conventions: Conventions
    claim_ids: list[str] = field(default_factory=list)
    bases: MutableMapping[tuple[str, str], int] = field(default_factory=dict)
    """The point at which each span begins; the next is its end."""
    tail: list[int] = field(default_factory=list)
    head: list[int] = field(default_factory=list)
    weight: list[int] = field(default_factory=list)
    claim: list[int] = field(default_factory=list)
    why: list[int] = field(default_factory=list)
    whys: list[Why] = field(default_factory=list)
    is_opinion: list[bool] = field(default_factory=list)
    is_soft: list[bool] = field(default_factory=list)
    ruled: MutableMapping[str, bool] = field(default_factory=dict)
    """The things whose classes' rules are laid."""
    size: int = 1

    @cached_property
    def point_names(self) -> list[Point | None]:
        """What each point stands for; the origin, point 0, stands for nothing."""
        names: list[Point | None] = [None] * self.size
        for (thing, span), base in self.bases.items():
            names[base], names[base + 1] = Point(thing, span, "begin"), Point(thing, span, "end")
        return names

    @cached_property
    def claim_numbers(self) -> Mapping[str, int]:
        """The number of each claim."""
        return {claim: number for number, claim in enumerate(self.claim_ids)}

    def point(self, thing: str, span: str, end: End) -> int | None:
        """The point of that span, or None if no claim touches it."""
        base = self.bases.get((thing, span))
        return None if base is None else base + _PLACE[end]


def build_constraints(view: WorkingView, conventions: Conventions | None = None) -> Constraints:
    """The constraints of all live claims of a view.

    :raises kg.dates.errors.DateNotUnderstood: if a recorded date is no EDTF (entries are checked before recording).
    """
    builder = _Builder(view, conventions or Conventions())
    # By what they say, not by when they were recorded: where two repairs cost the same, the choice must not depend on
    # the order of entries.
    for claim in sorted(view.live, key=_saying):
        builder.add_claim(claim)
    return builder.made


def _saying(claim: Claim) -> tuple[str, str, str, str, str, str]:
    return (
        claim.subject,
        claim.property,
        claim.value,
        claim.citation.source,
        claim.citation.locator,
        claim.id,
    )


class _Builder:
    """Lays constraints one claim at a time."""

    def __init__(self, view: WorkingView, conventions: Conventions, made: Constraints | None = None) -> None:
        self.view = view
        self.made = made or Constraints(view, conventions)
        self.conventions = conventions
        self.by_property: dict[str, tuple[Property, tuple[_Compiled, ...]]] = {}
        self.by_kinds: dict[tuple[str, ...], tuple[tuple[_Compiled, ...], tuple[str, ...]]] = {}
        self.why_numbers: dict[Why, int] = {}
        self.order = self.reason(_ORDER)
        #: What a date claim is taken to say, in place of its value.
        self.given: Window | None = None
        #: What a transcription is taken to bound, in place of its own reading.
        self.given_reading: tuple[MarkBound, ...] | None = None

    def reason(self, why: Why) -> int:
        number = self.why_numbers.get(why)
        if number is None:
            number = self.why_numbers[why] = len(self.made.whys)
            self.made.whys.append(why)
        return number

    def compiled(self, rule: TimeRule) -> _Compiled | None:
        """The rule with its conventions applied; None if switching one off drops it."""
        years = {used: self.conventions.years(used) for used in (rule.slack, rule.delay) if used is not None}
        if None in years.values():
            return None
        steps = []
        for need in rule.requirements:
            is_lower = need.sense == "notBefore"
            used = rule.delay if is_lower else rule.slack
            far = (years[used] or 0) if used else 0
            why = Why(rule.label, rule.strength, used.name if used and far else None, far)
            places = _PLACE[need.point], _PLACE[need.other]
            steps.append(_Step(*places, is_lower, far * STEPS_A_YEAR, self.reason(why)))
        rank = self.view.vocabulary.strengths[rule.strength]
        return _Compiled(rule.subject_span, rule.object_span, rule.is_inverse, rank, tuple(steps))

    def rules_of(self, name: str) -> tuple[Property, tuple[_Compiled, ...]] | None:
        found = self.by_property.get(name)
        if found is None:
            prop = self.view.vocabulary.properties.get(name)
            if prop is None:
                return None
            found = prop, tuple(rule for rule in map(self.compiled, prop.rules) if rule)
            self.by_property[name] = found
        return found

    def base(self, thing: str, span: str) -> int:
        """The begin of a span, laying its own order (and the rules of its thing's classes) when it is new."""
        base = self.made.bases.get((thing, span))
        if base is None:
            base = self._new_span(thing, span)
            if thing not in self.made.ruled:
                self.made.ruled[thing] = True
                self._lay_class_rules(thing)
        return base

    def _new_span(self, thing: str, span: str) -> int:
        base = self.made.bases[thing, span] = self.made.size
        self.made.size += 2
        self.edge(base + END, base, 0, -1, self.order, is_opinion=False, is_soft=False)
        return base

    def _lay_class_rules(self, thing: str) -> None:
        kinds = self.view.kinds(thing)
        found = self.by_kinds.get(kinds)
        if found is None:
            rules = tuple(rule for rule in map(self.compiled, self.view.vocabulary.rules_of(kinds)) if rule)
            found = self.by_kinds[kinds] = rules, tuple(sorted(self.view.vocabulary.spans_of(kinds)))
        rules, spans = found
        for span in spans:
            if (thing, span) not in self.made.bases:
                self._new_span(thing, span)
        hard = self.view.vocabulary.strengths["hard"]
        for rule in rules:
            first, second = (
                self.base(thing, rule.first_span),
                self.base(thing, rule.second_span or rule.first_span),
            )
            self.between(rule, first, second, -1, is_opinion=False, is_soft=rule.rank < hard)

    def add_claim(self, claim: Claim) -> None:
        found = self.rules_of(claim.property)
        if found is None:
            return
        prop, rules = found
        if not rules and not prop.is_identity and prop.reads_mark is None:
            return
        number = len(self.made.claim_ids)
        self.made.claim_ids.append(claim.id)
        strengths = self.view.vocabulary.strengths
        rank = strengths.get(claim.strength, strengths["hard"])
        for rule in rules:
            is_soft = min(rank, rule.rank) < strengths["hard"]
            if rule.second_span is None:
                self.from_date(rule, claim, number, prop, is_soft)
            else:
                first, second = (
                    (claim.value, claim.subject) if rule.is_inverse else (claim.subject, claim.value)
                )
                bases = self.base(first, rule.first_span), self.base(second, rule.second_span)
                self.between(rule, *bases, number, is_opinion=prop.is_opinion, is_soft=is_soft)
        if prop.is_identity:
            self.same(claim, number)
        if prop.reads_mark is not None:
            self.read_mark(claim, number, prop.reads_mark)
        if prop.dated_by_name is not None:
            self.date_by_name(claim, number, prop.dated_by_name)

    def from_date(self, rule: _Compiled, claim: Claim, number: int, prop: Property, is_soft: bool) -> None:
        """The span stands in the rule's relation to the date that the claim gives."""
        window = self.given or self.view.window(claim)
        base = self.base(claim.subject, rule.first_span)
        for step in rule.steps:
            day = _bound(window, step)
            if day is not None:
                self.bound(base + step.point, step, day, number, prop.is_opinion, is_soft)

    def bound(self, point: int, step: _Step, day: int, number: int, is_opinion: bool, is_soft: bool) -> None:
        if step.is_lower:
            self.edge(
                point, 0, -(step_of(day) + step.far), number, step.why, is_opinion=is_opinion, is_soft=is_soft
            )
        else:
            self.edge(
                0, point, step_of(day) + step.far, number, step.why, is_opinion=is_opinion, is_soft=is_soft
            )

    def between(
        self, rule: _Compiled, first: int, second: int, number: int, *, is_opinion: bool, is_soft: bool
    ) -> None:
        for step in rule.steps:
            point, other = first + step.point, second + step.other
            if step.is_lower:
                self.edge(point, other, -step.far, number, step.why, is_opinion=is_opinion, is_soft=is_soft)
            else:
                self.edge(other, point, step.far, number, step.why, is_opinion=is_opinion, is_soft=is_soft)

    def read_mark(self, claim: Claim, number: int, span: str) -> None:
        """A mark is put on a piece within what registers and rules say of its wording."""
        bounds = mark_bounds(claim.value) if self.given_reading is None else self.given_reading
        self.lay(bounds, self.base(claim.subject, span), number)

    def date_by_name(self, claim: Claim, number: int, span: str) -> None:
        """What a piece is made of was to be had within what the rules say of its name, unless claims date it."""
        said = (self.rules_of(own.property) for own in self.view.by_subject.get(claim.value, ()))
        if not any(rule.first_span == span for found in said if found for rule in found[1]):
            bounds = material_bounds(self.view.label(claim.value))
            self.lay(bounds, self.base(claim.value, span), number)

    def lay(self, bounds: Iterable[MarkBound], base: int, number: int) -> None:
        """The begin and the end of a span lie within these bounds."""
        for bound in bounds:
            why, is_soft = self.reason(Why(bound.label, bound.strength)), bound.strength != "hard"
            if bound.is_lower:
                self.edge(
                    base + BEGIN, 0, -step_of(bound.day), number, why, is_opinion=False, is_soft=is_soft
                )
            else:
                self.edge(0, base + END, step_of(bound.day), number, why, is_opinion=False, is_soft=is_soft)

    def same(self, claim: Claim, number: int) -> None:
        """Two records of one thing: each span of the one is that span of the other."""
        vocabulary = self.view.vocabulary
        both = [vocabulary.spans_of(self.view.kinds(slug)) for slug in (claim.subject, claim.value)]
        why = self.reason(Why("two records of one thing share their dates", "hard"))
        for span in sorted(both[0] | both[1]):
            one, two = self.base(claim.subject, span), self.base(claim.value, span)
            for place in (BEGIN, END):
                self.edge(one + place, two + place, 0, number, why, is_opinion=False, is_soft=False)
                self.edge(two + place, one + place, 0, number, why, is_opinion=False, is_soft=False)

    def edge(
        self, tail: int, head: int, weight: int, claim: int, why: int, *, is_opinion: bool, is_soft: bool
    ) -> None:
        made = self.made
        made.tail.append(tail)
        made.head.append(head)
        made.weight.append(weight)
        made.claim.append(claim)
        made.why.append(why)
        made.is_opinion.append(is_opinion)
        made.is_soft.append(is_soft)


def _bound(window: Window, step: _Step) -> int | None:
    """The day that a date allows for a requirement, taken as generously as the date does."""
    if step.other == BEGIN:
        return window.begin_earliest if step.is_lower else window.begin_latest
    return window.end_earliest if step.is_lower else window.end_latest


#: A claim that is supposed; a window or a mark's bounds beside it stand for what its value says.
Supposed = tuple[Claim, Window | tuple[MarkBound, ...] | None]


def suppose(made: Constraints, claims: Iterable[Supposed]) -> Constraints:
    """The further constraints that some claims would bring, over the points there are and new ones.

    Edges, claims and whys are numbered anew from 0.
    """
    added = Constraints(
        made.view,
        made.conventions,
        bases=ChainMap({}, made.bases),
        ruled=ChainMap({}, made.ruled),
        size=made.size,
    )
    builder = _Builder(made.view, made.conventions, added)
    for claim, said in claims:
        builder.given = said if isinstance(said, Window) else None
        builder.given_reading = said if isinstance(said, tuple) else None
        builder.add_claim(claim)
    return added


def masks(made: Constraints) -> tuple[Mask, Mask]:
    """Which constraints are hard, and which come from opinions (datings that are tested)."""
    return ~np.asarray(made.is_soft, dtype=np.bool_), np.asarray(made.is_opinion, dtype=np.bool_)
