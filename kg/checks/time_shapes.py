"""SHACL shapes of consistency, generated from the vocabulary's time rules.

Generated: one shape per time rule that relates two spans, and one per span for dates of it that exclude each other.
Each compares the days that the claims give directly: the subject's date, the link, the object's date. A property that
is added to the vocabulary in Turtle is thus checked without a line of Python. Hand-written, in shapes/shapes.ttl: the
wording of the message and the hint for the rules that matter most (``k:Wording``); other rules speak by their label.

A rule is broken only if it fails for every day that the dates allow: the earliest possible day of the one end lies
after the latest possible day of the other, the rule's convention (slack or delay, at its default) allowed for. Each
broken hard rule is therefore a negative cycle of the chronology's network.

A rule of strength *hard* is a violation only where every claim in it is hard too. Where the weakest of them is only
usual, or weak, a second and third shape report a warning or an information.

``k:needsPredicate`` and ``k:needsStrength`` beside a query say which claims must exist for it to find anything; the
compiled checks skip it where there are none. Other SHACL processors pass over these two.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from kg.checks.turtle import text
from kg.vocabulary import End, Property, Requirement, Sense, TimeRule, Vocabulary

#: Mean length of a year of the Gregorian calendar, whose 400 years hold 146,097 days.
DAYS_IN_400_YEARS = 146_097

_SEVERITY = {"hard": "sh:Violation", "usual": "sh:Warning", "weak": "sh:Info"}
#: The bound of a date that a requirement reads, taken as generously as the date allows.
_BOUND: Mapping[tuple[Sense, End], str] = {
    ("notBefore", "begin"): "beginFrom",
    ("notBefore", "end"): "endFrom",
    ("notAfter", "begin"): "beginTo",
    ("notAfter", "end"): "endTo",
}
_HINT = (
    "One of the claims named must be wrong, or one date must be wider. Compare their sources; then doubt or set aside "
    "the weaker claim, or record the better date."
)
_HINT_DATES = (
    "Two dates of one thing exclude each other. Compare the sources, and set aside or doubt the weaker claim."
)
_HINT_USUAL = (
    "Unusual, not impossible. Look again at the claims named; a note on the reason helps the next reader."
)


@dataclass(frozen=True, slots=True)
class Wording:
    """A hand-written message and hint for one time rule of a property or class."""

    owner: str
    rule: str
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Dating:
    """How the dates of one property bound one end of a span from one side."""

    property: str
    span: str
    end: End
    sense: Sense
    bound: str
    days: int
    rank: int
    is_opinion: bool


@dataclass(frozen=True, slots=True)
class _Clash:
    """A lower bound of one end that lies after the upper bound of another: what to look for, before strengths."""

    low_thing: str
    low: tuple[Dating, ...]
    high_thing: str
    high: tuple[Dating, ...]
    room: int
    """Days by which the lower bound may exceed the upper one."""
    lines: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()


def days_of(years: int, *, rounded_up: bool) -> int:
    """So many mean years in days; a permission is rounded up and a demand down.

    >>> days_of(10, rounded_up=True), days_of(12, rounded_up=False)
    (3653, 4382)
    """
    days = years * DAYS_IN_400_YEARS / 400
    return math.ceil(days) if rounded_up else math.floor(days)


def time_shapes(vocabulary: Vocabulary, wordings: Iterable[Wording] = ()) -> Iterator[str]:
    """Every time shape as a block of Turtle, in a fixed order."""
    made = _Maker(vocabulary, {(w.owner, w.rule): w for w in wordings})
    for name in sorted(vocabulary.spans):
        yield from made.span_shapes(name)
    for name, kind in sorted(vocabulary.kinds.items()):
        for rule in kind.rules:
            yield from made.rule_shapes(name, rule, target=f"sh:targetClass k:{name}", link=None)
    for name, prop in sorted(vocabulary.properties.items()):
        for rule in prop.rules:
            if rule.object_span is not None:
                yield from made.rule_shapes(name, rule, target=f"sh:targetSubjectsOf k:{name}", link=prop)


def datings_of(vocabulary: Vocabulary) -> tuple[Dating, ...]:
    """How each date property bounds the ends of spans, as its time rules say."""
    found = []
    for prop in vocabulary.properties.values():
        for rule in prop.rules:
            if rule.object_span is None and prop.is_date:
                found += [_dating(vocabulary, prop, rule, need) for need in rule.requirements]
    return tuple(found)


def _dating(vocabulary: Vocabulary, prop: Property, rule: TimeRule, need: Requirement) -> Dating:
    return Dating(
        prop.name, rule.subject_span, need.point, need.sense, _BOUND[need.sense, need.other],
        _room(rule, need) if need.sense == "notAfter" else -_room(rule, need),
        vocabulary.strengths[rule.strength], prop.is_opinion,
    )  # fmt: skip


def _room(rule: TimeRule, need: Requirement) -> int:
    """Days by which a requirement may be missed: slack for an upper one, less than nothing for a delay."""
    if need.sense == "notAfter":
        return days_of(rule.slack.years, rounded_up=True) if rule.slack else 0
    return -days_of(rule.delay.years, rounded_up=False) if rule.delay else 0


class _Maker:
    """Writes shapes over one vocabulary."""

    def __init__(self, vocabulary: Vocabulary, wordings: Mapping[tuple[str, str], Wording]) -> None:
        self.vocabulary = vocabulary
        self.wordings = wordings
        self.ranks = vocabulary.strengths
        self.datings: dict[tuple[str, Sense], list[Dating]] = defaultdict(list)
        for dating in datings_of(vocabulary):
            self.datings[dating.span, dating.sense].append(dating)

    def direct(self, span: str, end: End, sense: Sense) -> tuple[Dating, ...]:
        return tuple(d for d in self.datings[span, sense] if d.end == end)

    def reaching(self, span: str, end: End, sense: Sense) -> tuple[Dating, ...]:
        """Datings that bound an end directly, or through the span's other end, since nothing ends before it begins."""
        through = (sense == "notAfter") == (end == "begin")
        return tuple(d for d in self.datings[span, sense] if d.end == end or through)

    def span_shapes(self, span: str) -> Iterator[str]:
        owners = sorted(name for name, kind in self.vocabulary.kinds.items() if span in kind.spans)
        label = self.vocabulary.spans[span].label
        clashes: list[_Clash] = []
        opinions: list[_Clash] = []
        for low, high in (
            (self.direct(span, "begin", "notBefore"), self.reaching(span, "begin", "notAfter")),
            (self.direct(span, "end", "notBefore"), self.direct(span, "end", "notAfter")),
        ):
            for is_low_opinion, is_high_opinion in product((False, True), repeat=2):
                clash = _Clash(
                    "$this", tuple(d for d in low if d.is_opinion == is_low_opinion),
                    "$this", tuple(d for d in high if d.is_opinion == is_high_opinion), 0,
                )  # fmt: skip
                if clash.low and clash.high:
                    (opinions if is_low_opinion and is_high_opinion else clashes).append(clash)
        target = " ; ".join(f"sh:targetClass k:{name}" for name in owners)
        if not owners:
            return
        said = f"the dates of one {label} exclude each other: {{?low}}, yet {{?high}}"
        wording = self.wording(span, "dates exclude each other", _HINT_DATES, said)
        yield from self.shapes(f"{span}-dates-exclude-each-other", target, "hard", clashes, wording)
        said = f"datings of one {label} exclude each other: {{?low}}, yet {{?high}}"
        wording = self.wording(span, "datings differ", _HINT_USUAL, said)
        yield from self.shapes(f"{span}-datings-differ", target, "usual", opinions, wording)

    def wording(self, owner: str, rule: str, hint: str, message: str) -> Wording:
        return self.wordings.get((owner, rule)) or Wording(owner, rule, message, hint)

    def rule_shapes(self, owner: str, rule: TimeRule, *, target: str, link: Property | None) -> Iterator[str]:
        second_span = rule.object_span or rule.subject_span
        lines: tuple[str, ...] = ()
        first = second = "$this"
        if link is not None:
            first, second = ("?other", "$this") if rule.is_inverse else ("$this", "?other")
            lines = (f"?link rdf:predicate k:{link.name} ; rdf:subject $this ; rdf:object ?other .",)
        clashes = []
        for need in rule.requirements:
            clash = self.clash(rule, need, first, second, second_span)
            if clash is not None:
                clashes.append(_Clash(*clash, lines, (link.name,) if link else ()))
        hint = _HINT if rule.strength == "hard" else _HINT_USUAL
        said = f"{rule.label}: {'{?link}; ' if link else ''}{{?low}}, yet {{?high}}"
        wording = self.wording(owner, rule.label, hint, said)
        yield from self.shapes(f"{owner}-{_slug(rule.label)}", target, rule.strength, clashes, wording)

    def clash(
        self, rule: TimeRule, need: Requirement, first: str, second: str, second_span: str
    ) -> tuple[str, tuple[Dating, ...], str, tuple[Dating, ...], int] | None:
        """What breaks one requirement: where it is a lower bound, the first span would end too early."""
        own, other = (rule.subject_span, need.point), (second_span, need.other)
        low_end, high_end = (other, own) if need.sense == "notBefore" else (own, other)
        low_thing, high_thing = (second, first) if need.sense == "notBefore" else (first, second)
        low, high = self.reaching(*low_end, "notBefore"), self.reaching(*high_end, "notAfter")
        return (low_thing, low, high_thing, high, _room(rule, need)) if low and high else None

    def shapes(
        self, name: str, target: str, strength: str, clashes: Sequence[_Clash], wording: Wording
    ) -> Iterator[str]:
        """One shape for the rule's own strength, and one for each lower strength that a claim may have."""
        levels = [level for level, rank in self.ranks.items() if rank <= self.ranks[strength]]
        for level in sorted(levels, key=self.ranks.__getitem__, reverse=True):
            is_own = level == strength
            constraints = [
                f"    sh:sparql [ {needs} sh:message {text(wording.message)} ;\n"
                f"        sh:prefixes s: ; sh:select {text(query)} ]"
                for clash in clashes
                for needs, query in self.constraints(clash, level, is_own)
            ]
            if constraints:
                head = f"s:{name}{'' if is_own else f'-by-{level}-claims'} a sh:NodeShape ; {target} ;\n"
                told = f"    sh:severity {_SEVERITY[level]} ; k:hint {text(wording.hint)} ;\n"
                yield head + told + " ;\n".join(constraints) + " .\n"

    def constraints(self, clash: _Clash, level: str, is_own: bool) -> Iterator[tuple[str, str]]:
        rank = self.ranks[level]
        low = tuple(d for d in clash.low if d.rank >= rank)
        high = tuple(d for d in clash.high if d.rank >= rank)
        if not (low and high):
            return
        variables = ["?link", "?low", "?high"] if clash.lines else ["?low", "?high"]
        at_least = [s for s in sorted(self.ranks) if self.ranks[s] >= rank]
        lines = [*clash.lines, *_side("low", clash.low_thing, low), *_side("high", clash.high_thing, high)]
        if clash.lines:
            lines.insert(1, "?link k:strength ?linkStrength .")
        lines.append(f"FILTER(?from > ?to{_signed(clash.room)})")
        if len(at_least) < len(self.ranks):
            lines += [f"FILTER({v}Strength IN ({_names(at_least)}))" for v in variables]
        exact = [d.property for d in (*low, *high) if d.rank == rank]
        if not is_own:
            weakest = [f"{v}Strength = k:{level}" for v in variables]
            weakest += [f"?{side}Says IN ({_names(exact)})" for side in ("low", "high") if exact]
            lines.append(f"FILTER({' || '.join(weakest)})")
        needs = " ".join(f"k:needsPredicate k:{p} ;" for p in clash.needs)
        if not is_own:
            needs += f" k:needsStrength k:{level} ;" if not exact else ""
        yield needs.strip(), f"SELECT DISTINCT $this {' '.join(variables)} WHERE {{ " + " ".join(lines) + " }"


def _side(name: str, thing: str, datings: Sequence[Dating]) -> Iterator[str]:
    """Graph patterns that bind the date claims about a thing, and the day each gives as ?from or ?to."""
    day = "?from" if name == "low" else "?to"
    groups: dict[tuple[str, int], list[str]] = defaultdict(list)
    for dating in datings:
        groups[dating.bound, dating.days].append(dating.property)
    yield f"?{name} rdf:subject {thing} ; rdf:predicate ?{name}Says ; k:strength ?{name}Strength ."
    if len(groups) == 1:
        (((bound, days), names),) = groups.items()
        if not days:
            yield f"?{name} k:{bound} {day} . FILTER(?{name}Says IN ({_names(names)}))"
            return
    branches = [
        f"{{ ?{name} rdf:predicate ?{name}Said ; k:{bound} ?{name}Day . FILTER(?{name}Said IN ({_names(names)})) "
        f"BIND(?{name}Day + {days} AS {day}) }}"
        if days
        else f"{{ ?{name} rdf:predicate ?{name}Said ; k:{bound} {day} . FILTER(?{name}Said IN ({_names(names)})) }}"
        for (bound, days), names in sorted(groups.items())
    ]
    yield " UNION ".join(branches)


def _signed(days: int) -> str:
    return f" {'+' if days > 0 else '-'} {abs(days)}" if days else ""


def _names(names: Iterable[str]) -> str:
    return ", ".join(f"k:{name}" for name in sorted(set(names)))


def _slug(label: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", label.lower()).strip("-")
