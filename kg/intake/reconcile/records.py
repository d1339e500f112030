"""What the records of two things say of their being one, besides their names: class, ties, places, makers, years."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from kg.attribution.observations import same_things
from kg.chronology.chronology import Chronology
from kg.chronology.fit import imagined_claim
from kg.dates.window import Window
from kg.daybook.as_one import identity_property
from kg.daybook.record import Citation, Claim, Draft
from kg.daybook.view import WorkingView
from kg.intake.reconcile.scoring import Reason, weighed_levels
from kg.intake.reconcile.weights import Weights
from kg.sources_weighed.rests import on_evidence
from kg.vocabulary import Property

#: Properties: a name as printed; two things that are easily taken for one and are not.
NAMED, DIFFERENT = "named", "differentFrom"
PLACE = "Place"
#: Years that contradict each other by no more than the first are a slip; by more than the second, hardly one thing.
#: Common practice, no source.
A_SLIP, FAR = 1, 10
DAYS_A_YEAR = 365.25
#: The fields that are compared beside the names.
BESIDE = ("place", "maker", "time")
#: The weight of a reason that excludes, whatever else speaks for it.
EXCLUDES = float("-inf")


@dataclass(frozen=True, slots=True)
class Record:
    """A thing with the names that it goes by, and the claims that give them; the display name has none."""

    slug: str
    names: tuple[tuple[str, Claim | None], ...]


def record_of(view: WorkingView, slug: str) -> Record:
    """A thing with every name that it, or another record of it, goes by."""
    names: list[tuple[str, Claim | None]] = []
    for same in same_things(view, slug):
        names.append((view.label(same), None))
        names += [(c.value, c) for c in view.by_subject.get(same, ()) if c.property == NAMED]
    return Record(slug, tuple(names))


def classes_apart(view: WorkingView, one: str, other: str) -> str | None:
    """Why nothing can be of the classes of two things; None if it can."""
    vocabulary = view.vocabulary
    kinds = [
        {above for kind in view.kinds(slug) for above in vocabulary.ancestors.get(kind, ())}
        for slug in (one, other)
    ]
    labels = {name: kind.label for name, kind in vocabulary.kinds.items()}
    for a, b in ((kinds[0], kinds[1]), (kinds[1], kinds[0])):
        for kind in sorted(a):
            for apart in vocabulary.kinds[kind].disjoint_with:
                # A thing that was given both classes already is not told apart by them.
                if apart in b and apart not in a and kind not in b:
                    mine, theirs = (
                        (labels[kind], labels[apart]) if a is kinds[0] else (labels[apart], labels[kind])
                    )
                    return f"the first is a {mine}, the second a {theirs}"
    tops = [{kind for kind in side if vocabulary.kinds[kind].parent == "Thing"} for side in kinds]
    if all(tops) and not tops[0] & tops[1]:
        mine, theirs = (labels[min(side)] for side in tops)
        return f"the first is a {mine}, the second a {theirs}"
    return None


def known_different(view: WorkingView, one: str, other: str) -> tuple[Claim, ...]:
    """The claims that say that two things, or others that are the same as these, are two."""
    ones, others = set(same_things(view, one)), set(same_things(view, other))
    return tuple(
        claim
        for slug in sorted(ones)
        for claim in (*view.by_subject.get(slug, ()), *view.by_value.get(slug, ()))
        if claim.property == DIFFERENT and {claim.subject, claim.value} & others
    )


def merging_conflict(chronology: Chronology, one: str, other: str) -> tuple[Claim, ...]:
    """Claims that could not all be true if two things were one; none if nothing of the evidence contradicts it."""
    identity = identity_property(chronology.view)
    supposed = imagined_claim(Draft(one, identity, other, Citation("", "supposed for this question")), 0)
    asked = chronology.ask(chronology.evidence, supposing=[(supposed, None)])
    if asked.supposition.conflict is None:
        return ()
    claims = (asked.edge(edge)[3] for edge in asked.supposition.conflict)
    return tuple(dict.fromkeys(c for c in claims if c is not None and c.entry))


@dataclass(frozen=True, slots=True)
class Beside:
    """What is on record of two things besides their names."""

    chronology: Chronology
    weights: Weights

    @property
    def view(self) -> WorkingView:
        """The working view that is asked."""
        return self.chronology.view

    def reasons(self, one: str, other: str) -> Iterator[Reason]:
        """All that speaks for their being one, or against it."""
        yield from self.shared("place", one, other, lambda prop: prop.range == PLACE)
        yield from self.shared("maker", one, other, lambda prop: prop.is_attribution)
        yield from self.tied(one, other)
        yield from self.in_time(one, other)

    def tied(self, one: str, other: str) -> Iterator[Reason]:
        """A thing has no tie to itself: what a claim joins to another is another."""
        properties = self.view.vocabulary.properties
        for a, b in ((one, other), (other, one)):
            for claim in self.view.by_subject.get(a, ()):
                prop = properties[claim.property]
                if claim.value == b and prop.is_link and not prop.is_identity:
                    yield Reason("tie", f"on record: {self.view.sentence(claim)}", EXCLUDES, (claim,))

    def shared(
        self, field: str, one: str, other: str, wanted: Callable[[Property], bool]
    ) -> Iterator[Reason]:
        """Whether claims of some properties lead both things to one and the same third."""
        ends = [self._ends(slug, wanted) for slug in (one, other)]
        both = [name for name in sorted(ends[0]) if name in ends[1]]
        shared = [name for name in both if ends[0][name].keys() & ends[1][name].keys()]
        for names, level in ((shared, "shared"), (both, "different")):
            if names:
                (reason,) = weighed_levels([(field, level)], self.weights)
                claims = [c for name in names for side in ends for said in side[name].values() for c in said]
                yield Reason(reason.field, reason.says, reason.weight, tuple(dict.fromkeys(claims)))
                return

    def _ends(self, slug: str, wanted: Callable[[Property], bool]) -> Mapping[str, Mapping[str, list[Claim]]]:
        """The claims of the wanted properties, by property and value; values that are one count as one."""
        found: dict[str, dict[str, list[Claim]]] = defaultdict(lambda: defaultdict(list))
        for same in same_things(self.view, slug):
            for claim in self.view.by_subject.get(same, ()):
                if wanted(self.view.vocabulary.properties[claim.property]):
                    found[claim.property][min(same_things(self.view, claim.value))].append(claim)
        return found

    def in_time(self, one: str, other: str) -> Iterator[Reason]:
        """Whether the recorded years of two things can be those of one."""
        vocabulary = self.view.vocabulary
        spans = vocabulary.spans_of(self.view.kinds(one)) & vocabulary.spans_of(self.view.kinds(other))
        windows = {
            span: tuple(on_evidence(self.chronology, s, span) for s in (one, other)) for span in sorted(spans)
        }
        known = {span: pair for span, pair in windows.items() if all(map(_is_known, pair))}
        conflict = merging_conflict(self.chronology, one, other)
        for span, (a, b) in known.items():
            if _is_after(a.first, b.last) or _is_after(b.first, a.last):
                says = (
                    f"the {vocabulary.spans[span].label} of the one is over before that of the other begins"
                )
                yield Reason("time", says, EXCLUDES, conflict)
                return
        if conflict or known:
            years = max((_years_apart(*pair) for pair in known.values()), default=0.0)
            level = "agrees"
            if conflict:
                level = "far" if years > FAR else "slightly" if 0 < years <= A_SLIP else "contradicts"
            (reason,) = weighed_levels([("time", level)], self.weights)
            yield Reason(reason.field, reason.says, reason.weight, conflict)


def _is_known(window: Window) -> bool:
    return window.first is not None or window.last is not None


def _is_after(day: int | None, other: int | None) -> bool:
    return day is not None and other is not None and day > other


def _years_apart(one: Window, other: Window) -> float:
    """By how much the begins, or the ends, of two stretches miss each other."""
    gaps = [0.0]
    for end in ("begin", "end"):
        for a, b in ((one, other), (other, one)):
            low, high = getattr(a, f"{end}_earliest"), getattr(b, f"{end}_latest")
            if _is_after(low, high):
                gaps.append((low - high) / DAYS_A_YEAR)
    return max(gaps)
