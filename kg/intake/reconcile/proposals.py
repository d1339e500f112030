"""Which things of a daybook are probably one, and why: names, places, years, classes, and what is on record already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from kg.attribution.observations import same_things
from kg.chronology.chronology import Chronology
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.intake.reconcile.candidates import NameIndex
from kg.intake.reconcile.conventions import stated_weights
from kg.intake.reconcile.reading import ReadName, read_name
from kg.intake.reconcile.records import (
    BESIDE,
    EXCLUDES,
    Beside,
    Record,
    classes_apart,
    known_different,
    record_of,
)
from kg.intake.reconcile.scoring import (
    LIKELY,
    Likeness,
    Reason,
    Relation,
    compare_read,
    total,
    weighed_levels,
)
from kg.intake.reconcile.titles import Titles
from kg.intake.reconcile.weights import Weights

#: The class whose things have names of people and firms.
ACTOR = "Actor"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Two things that may be one, or of which one follows the other, with all that speaks for it and against."""

    one: str
    other: str
    names: tuple[str, str]
    """The names by which they agree best."""
    relation: Relation
    weight: float
    """Decibans: above 0 speaks for one thing."""
    reasons: tuple[Reason, ...]
    follows: tuple[str, ...] = ()
    """The words by which one name says that its house follows the other."""

    @property
    def ties(self) -> tuple[Claim, ...]:
        """The claims that join the two in some other way than as one."""
        return tuple(claim for reason in self.reasons if reason.field == "tie" for claim in reason.claims)


@dataclass(frozen=True, slots=True)
class Found:
    """What a search for pairs found, and what it left out."""

    proposals: tuple[Proposal, ...]
    things: int
    compared: int
    """Pairs that were compared; all others have no name in common that is near."""
    already_one: int
    known_different: int
    """Pairs left out since they are on record as two."""
    known_to_follow: int
    """Pairs left out since a claim joins the one that follows to the other already."""
    too_common: int = 0
    """Things compared with no other, since very many have the words of their names."""


class Reconciler:
    """The things of one class in a view, ready to be compared with one another and with names from elsewhere."""

    def __init__(
        self,
        view: WorkingView,
        kind: str = "Maker",
        weights: Weights | None = None,
        chronology: Chronology | None = None,
    ) -> None:
        self.view = view
        self.kind = view.vocabulary.kind(kind).name
        self.weights = weights or stated_weights()
        self._chronology = chronology
        vocabulary = view.vocabulary
        slugs = sorted(slug for slug, t in view.things.items() if vocabulary.is_a(t.kinds, self.kind))
        self.records = tuple(record_of(view, slug) for slug in slugs)
        self.is_of_people = ACTOR in vocabulary.ancestors[self.kind]

    @cached_property
    def chronology(self) -> Chronology:
        """The chronology of the view, by which years are compared."""
        return self._chronology or Chronology(self.view)

    @cached_property
    def _most_beside(self) -> float:
        """The most that places, makers and years can say for two things being one."""
        best = dict.fromkeys(BESIDE, 0.0)
        for agreement in self.weights.agreements:
            if agreement.field in best:
                best[agreement.field] = max(best[agreement.field], agreement.weight)
        return sum(best.values())

    @cached_property
    def _reads(self) -> list[tuple[ReadName, ...]]:
        return [tuple(read_name(name) for name, _ in record.names) for record in self.records]

    @cached_property
    def _index(self) -> NameIndex:
        return NameIndex(self._reads)

    @cached_property
    def _titles(self) -> Titles:
        return Titles([[name for name, _ in record.names] for record in self.records])

    def found(self, least: float = LIKELY) -> Found:
        """Every pair that reaches a weight, and every successor; the heaviest first."""
        proposals: list[Proposal] = []
        compared = already = different = followed = 0
        for a, b in self._index.pairs() if self.is_of_people else self._titles.pairs():
            one, other = self.records[a], self.records[b]
            compared += 1
            if other.slug in same_things(self.view, one.slug):
                already += 1
            elif known_different(self.view, one.slug, other.slug):
                different += 1
            elif (proposal := self._listed(one, other, least)) is None:
                continue
            elif proposal.follows and proposal.ties:
                followed += 1
            else:
                proposals.append(proposal)
        common = 0 if self.is_of_people else self._titles.too_common
        ordered = sorted(proposals, key=lambda p: (_ORDER.index(p.relation), -p.weight, p.one, p.other))
        return Found(tuple(ordered), len(self.records), compared, already, different, followed, common)

    def _listed(self, one: Record, other: Record, least: float) -> Proposal | None:
        likeness, names = self._by_name(one, other)
        if likeness.weight + self._most_beside < least and not likeness.follows:
            return None  # whatever years and places say, it cannot be enough
        if classes_apart(self.view, one.slug, other.slug):
            return None
        proposal = self._judged(one, other, likeness, names)
        if proposal.relation is Relation.EXCLUDED:
            return proposal if likeness.weight >= least else None  # alike by name, or not worth a word
        return proposal if proposal.weight >= least or proposal.relation is not Relation.OTHER else None

    def compare(self, one: str, other: str) -> Proposal:
        """Two things compared, whatever comes of it."""
        a, b = record_of(self.view, one), record_of(self.view, other)
        return self._judged(a, b, *self._by_name(a, b))

    def like(self, name: str, least: float = LIKELY) -> tuple[Proposal, ...]:
        """The things that a name from elsewhere may stand for, the likeliest first; their years are not compared."""
        read = read_name(name)
        found = []
        for number in sorted(self._index.near([read]) if self.is_of_people else self._titles.near(name)):
            record = self.records[number]
            likeness, names = self._by_name(Record(name, ((name, None),)), record)
            if likeness.weight >= least or likeness.follows:
                found.append(
                    Proposal(
                        name,
                        record.slug,
                        names,
                        likeness.relation,
                        likeness.weight,
                        likeness.reasons,
                        likeness.follows,
                    )
                )
        return tuple(sorted(found, key=lambda p: (_ORDER.index(p.relation), -p.weight, p.other)))

    def _by_name(self, one: Record, other: Record) -> tuple[Likeness, tuple[str, str]]:
        """The likeness of the two names that agree best; a successor's name counts only if no name is the same."""
        ways = [
            (self._likeness(a, b), (a, b))
            for a in dict.fromkeys(name for name, _ in one.names)
            for b in dict.fromkeys(name for name, _ in other.names)
        ]
        return max(ways, key=lambda way: (way[0].relation is Relation.SAME, way[0].weight, sorted(way[1])))

    def _likeness(self, one: str, other: str) -> Likeness:
        if self.is_of_people:
            return compare_read(read_name(one), read_name(other), self.weights)
        reasons = weighed_levels(self._titles.levels(one, other), self.weights)
        return Likeness(
            Relation.SAME if total(reasons) >= LIKELY else Relation.OTHER, total(reasons), reasons
        )

    def _judged(self, one: Record, other: Record, likeness: Likeness, names: tuple[str, str]) -> Proposal:
        """The likeness of two names with what the records say besides."""
        beside = Beside(self.chronology, self.weights)
        follows = likeness.relation in {Relation.FOLLOWS, Relation.FOLLOWED}
        # That the one came after the other is no reason against a succession.
        more = tuple(beside.tied(one.slug, other.slug) if follows else beside.reasons(one.slug, other.slug))
        is_excluded = any(reason.weight == EXCLUDES for reason in more)
        reasons = (*likeness.reasons, *more)
        weight = total([reason for reason in reasons if reason.weight != EXCLUDES])
        relation = likeness.relation
        if not follows:
            told = Relation.SAME if weight >= LIKELY else Relation.OTHER
            relation = Relation.EXCLUDED if is_excluded else told
        return Proposal(one.slug, other.slug, names, relation, weight, reasons, likeness.follows)


_ORDER = (Relation.SAME, Relation.OTHER, Relation.FOLLOWS, Relation.FOLLOWED, Relation.EXCLUDED)


@dataclass(frozen=True, slots=True)
class NameProposals:
    """A name from a table with the things that it may stand for."""

    name: str
    proposals: tuple[Proposal, ...]

    @property
    def best(self) -> Proposal | None:
        """The one thing that the name probably stands for; None if there is none, or two are as likely."""
        same = [p for p in self.proposals if p.relation is Relation.SAME]
        return same[0] if same and (len(same) == 1 or same[0].weight > same[1].weight) else None


def reconcile_names(
    names: Sequence[str], view: WorkingView, kind: str = "Maker"
) -> tuple[NameProposals, ...]:
    """For each name of a table, the things of a class that it may stand for, with reasons; nothing is recorded."""
    reconciler = Reconciler(view, kind)
    known: dict[str, tuple[Proposal, ...]] = {}
    for name in names:
        if name not in known:
            known[name] = reconciler.like(name) if name.strip() else ()
    return tuple(NameProposals(name, known[name]) for name in names)
