"""What a draft is written from: the daybook without what is confidential, and all that the library makes of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from kg.attribution.features import Features, load_features
from kg.attribution.inquiry import Inquiry
from kg.attribution.observations import Finding, Observation, observed, same_things
from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Asked, Chronology, Conflict
from kg.chronology.local import Limit
from kg.chronology.verdict import Side
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.essays.dates_in_house import DateInHouse, edtf_in_house
from kg.essays.draft_text import plain, with_article
from kg.essays.hedges import certainty_of, least_sure
from kg.essays.house import HouseStyle
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.standing import Step, best_step

PARTS = ("hasOriginalPart", "hasPart", "hasReplacedPart")
_MAKING = "making"


class NothingToDraft(KilnmarkError):
    """A draft was asked for of a thing that is no piece, or that must not be named."""


class Bench:
    """A working view made ready for drafts; what takes time is worked out once for all pieces."""

    def __init__(self, view: WorkingView, style: HouseStyle | None = None) -> None:
        self.whole = view
        self.style = style or HouseStyle()
        hidden = [claim.id for claim in view.claims.values() if view.is_confidential(claim)]
        #: The view without the confidential claims: nothing in a draft comes from anywhere else.
        self.view = view.without(hidden) if hidden else view
        self._observations: dict[str, tuple[Observation, ...]] = {}

    @cached_property
    def weighed(self) -> Weighed:
        """The sources weighed."""
        return Weighed(self.view)

    @cached_property
    def chronology(self) -> Chronology:
        """The chronology of what is not confidential."""
        return Chronology(self.view)

    @cached_property
    def inquiry(self) -> Inquiry:
        """What the recorded pieces teach about their makers."""
        return Inquiry.of(self.view, features=self.features)

    @cached_property
    def features(self) -> Features:
        """What can be seen on a piece."""
        return load_features()

    @cached_property
    def audit(self) -> Audit:
        """The audit of the whole daybook."""
        return Audit(self.chronology)

    @cached_property
    def datings(self) -> Mapping[str, TestedDating]:
        """Each dating with its verdict, by its claim."""
        return {dating.claim.id: dating for dating in self.audit.datings}

    @cached_property
    def strained(self) -> Mapping[str, TestedDating]:
        """The datings that only a usual or weak rule forbids, by their claims."""
        return {dating.claim.id: dating for dating in self.audit.strained_datings}

    @cached_property
    def conflicts_of(self) -> Mapping[str, tuple[Conflict, ...]]:
        """The conflicts that each claim is in."""
        found: dict[str, list[Conflict]] = {}
        for conflict in self.audit.conflicts:
            for claim in conflict.claims:
                found.setdefault(claim.id, []).append(conflict)
        return {claim: tuple(conflicts) for claim, conflicts in found.items()}

    @cached_property
    def _evidence(self) -> Asked:
        return self.chronology.ask(self.chronology.evidence)

    def limits(self, thing: str, supposed: Claim | None = None) -> tuple[Side, Side]:
        """The earliest day by which a thing's making can be over, and the latest by which it can begin.

        ``supposed`` is a claim that nobody made, taken as true for this question; without limits if it contradicts
        what is held.
        """
        asked = self._evidence
        if supposed is not None:
            asked = self.chronology.ask(self.chronology.evidence, supposing=[(supposed, None)])
            if asked.supposition.conflict is not None:
                return Side(None), Side(None)
        begin, end = (asked.added.point(thing, _MAKING, which) for which in ("begin", "end"))
        if begin is None or end is None:
            return Side(None), Side(None)
        return Side(*asked.bound(end, Limit.EARLIEST)), Side(*asked.bound(begin, Limit.LATEST))

    def observations(self, piece: str) -> tuple[Observation, ...]:
        """What was seen on a piece and its original parts."""
        found = self._observations.get(piece)
        if found is None:
            found = self._observations[piece] = observed(self.view, self.features, piece)
        return found

    def present(self, piece: str, feature: str) -> tuple[Observation, ...]:
        """The values of one feature that a piece shows."""
        return tuple(
            o for o in self.observations(piece) if o.feature == feature and o.finding is Finding.PRESENT
        )

    def said(self, thing: str, *properties: str) -> tuple[Claim, ...]:
        """The live claims about a thing, and about what is recorded as the same, that have one of the properties."""
        return tuple(
            claim
            for one in same_things(self.view, thing)
            for claim in self.view.by_subject.get(one, ())
            if claim.property in properties
        )

    def parts(self, piece: str) -> tuple[Claim, ...]:
        """The claims that give a piece its parts, in order of entry."""
        return self.said(piece, *PARTS)

    def step(self, claim: Claim) -> Step:
        """How well a claim stands: as well as the best of those who say the same."""
        return best_step(self.weighed, claim)

    def certainty(self, claims: Iterable[Claim]) -> str:
        """The most that may be said of what several claims say together."""
        return least_sure("held", *(certainty_of(self.step(claim)) for claim in claims))

    def is_kind(self, thing: str, kind: str) -> bool:
        """Whether a thing is of a class."""
        return self.view.vocabulary.is_a(self.view.kinds(thing), kind)

    def seen(self, value: str) -> str:
        """A feature, material or technique in running text, with its article where it takes one."""
        first, comma, rest = plain(self.view.label(value)).partition(", ")
        words = f"{first} ({rest})" if comma else first
        return words if self.is_kind(value, "Material") else with_article(words)

    def date(self, claim: Claim) -> DateInHouse:
        """The date of a claim in house style."""
        return edtf_in_house(claim.value)
