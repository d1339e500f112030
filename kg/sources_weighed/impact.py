"""What falls if a source or a claim falls: it is set aside in thought, and nothing is written.

A claim *falls* if it stands in what is set aside, or if every line behind its own source ran through it. A claim *loses
its anchor* if its source still stands, but no line leads to first-hand evidence any more. The chronology is then solved
again without the fallen claims. Essays are not looked at here: whoever knows which sentence cites which claim compares
with ``Fall.fallen``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Chronology
from kg.chronology.verdict import Verdict
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed


@dataclass(frozen=True, slots=True)
class WiderWindow:
    """A span of time that is known less closely without the fallen claims."""

    thing: str
    span: str
    before: Window
    after: Window


@dataclass(frozen=True, slots=True)
class ChangedVerdict:
    """A dating whose verdict is another without the fallen claims."""

    claim: Claim
    before: Verdict
    after: Verdict


@dataclass(frozen=True)
class Fall:
    """What falls when some sources and claims are set aside in thought."""

    weighed: Weighed
    direct: tuple[Claim, ...]
    """The claims set aside: those named, and all that cite a source set aside."""
    following: tuple[Claim, ...]
    """The claims that had no other line behind them."""
    unanchored: tuple[Claim, ...]
    """The claims that stand, but lead to no first-hand evidence any more."""
    audit: Audit
    """The chronology as it stands."""

    @property
    def fallen(self) -> frozenset[str]:
        """The ids of all claims that fall."""
        return frozenset(claim.id for claim in (*self.direct, *self.following))

    @cached_property
    def audit_after(self) -> Audit:
        """The chronology solved again without the fallen claims."""
        before = self.audit.chronology
        return Audit(Chronology(self.weighed.view.without(self.fallen), before.conventions))

    @cached_property
    def wider(self) -> tuple[WiderWindow, ...]:
        """The spans known less closely than before, by thing and span."""
        before, after = self.audit.chronology, self.audit_after.chronology
        found = []
        for thing, span in sorted(before.made.bases):
            old, new = before.window(thing, span), after.window(thing, span)
            if old != new and _is_wider(new, old):
                found.append(WiderWindow(thing, span, old, new))
        return tuple(found)

    @cached_property
    def verdicts(self) -> tuple[ChangedVerdict, ...]:
        """The datings that stand with another verdict; a dating that falls itself has none."""
        after = {dating.claim.id: dating.verdict for dating in self.audit_after.datings}
        return tuple(
            ChangedVerdict(dating.claim, dating.verdict, after[dating.claim.id])
            for dating in self.audit.datings
            if dating.claim.id in after and after[dating.claim.id] is not dating.verdict
        )

    @property
    def fallen_datings(self) -> tuple[TestedDating, ...]:
        """The datings that fall themselves."""
        return tuple(dating for dating in self.audit.datings if dating.claim.id in self.fallen)


def _is_wider(new: Window, old: Window) -> bool:
    """Whether some bound is further out than before."""
    lows = ("begin_earliest", "end_earliest")
    highs = ("begin_latest", "end_latest")
    return any(
        getattr(old, name) is not None
        and (getattr(new, name) is None or getattr(new, name) < getattr(old, name))
        for name in lows
    ) or any(
        getattr(old, name) is not None
        and (getattr(new, name) is None or getattr(new, name) > getattr(old, name))
        for name in highs
    )


def what_falls(
    weighed: Weighed,
    *,
    sources: Iterable[str] = (),
    claims: Iterable[str] = (),
    about: Claim | None = None,
    audit: Audit | None = None,
) -> Fall:
    """What falls if some sources and some claims are set aside.

    A source falls with every claim that cites it, whatever it is about. A claim that is set aside alone takes with it
    those that say the same in sources that had it by no other way. With ``about``, only what says the same as that
    claim is looked at: the sources are set aside as witnesses to it, and for nothing else.
    """
    among = None if about is None else frozenset(c.id for c, _ in weighed.statements.agreeing(about))
    search = _Search(weighed, frozenset(sources), frozenset(claims), among)
    audit = audit or Audit(Chronology(weighed.view))
    return Fall(weighed, *search.found(), audit)


class _Search:
    """Finds what falls with some sources and claims."""

    def __init__(
        self, weighed: Weighed, sources: frozenset[str], claims: frozenset[str], among: frozenset[str] | None
    ) -> None:
        self.weighed = weighed
        self.among = among
        self.view = weighed.view
        self.sources = sources
        self.claims = claims
        number = weighed.derivation.number
        self.gone = frozenset(number[source] for source in sources if source in number)

    def found(self) -> tuple[tuple[Claim, ...], tuple[Claim, ...], tuple[Claim, ...]]:
        """The claims that stand in what is set aside, those that fall with them, and those that lose their anchor."""
        direct = [
            c
            for c in self.view.live
            if c.id in self.claims or (c.citation.source in self.sources and self._is_meant(c))
        ]
        named = {claim.id for claim in direct}
        without = Weighed(self.view.without(named))
        following, unanchored = [], []
        for claim in self._reached(named):
            before = self.weighed.support(claim)
            fallen = self.gone | self._silent(claim)
            after = self.weighed.support(claim, fallen)
            if before.possible and not after.possible:
                following.append(claim)
            elif before.witnesses and not (
                after.witnesses and without.support(claim, self._known(without, fallen)).witnesses
            ):
                unanchored.append(claim)
        return tuple(direct), tuple(following), tuple(unanchored)

    def _is_meant(self, claim: Claim) -> bool:
        return self.among is None or claim.id in self.among

    def _known(self, without: Weighed, fallen: frozenset[int]) -> frozenset[int]:
        """The same sources by the numbers that they have without the claims set aside."""
        names = self.weighed.derivation.sources
        number = without.derivation.number
        return frozenset(number[names[n]] for n in fallen if names[n] in number)

    def _reached(self, named: set[str]) -> Iterable[Claim]:
        """The live claims that could be touched: those whose sources lead up to what is set aside."""
        derivation = self.weighed.derivation
        touched = set(self.gone) | {
            derivation.number[claim.citation.source] for claim in self.view.live if claim.id in self.claims
        }
        for (source, _), links in derivation.links.items():
            if any(link.id in named for link in links):
                touched.add(source)
        below = derivation.below(touched)
        own = {claim for claim, above in derivation.of_claim.items() if not below.isdisjoint(above)}
        for claim in self.view.live:
            is_below = derivation.number[claim.citation.source] in below or claim.id in own
            if is_below and claim.id not in named and self._is_meant(claim):
                yield claim

    def _silent(self, claim: Claim) -> frozenset[int]:
        """The sources that no longer say what a claim says, because the claim they said it by is set aside."""
        if not self.claims:
            return frozenset()
        agreeing = self.weighed.statements.agreeing(claim)
        number = self.weighed.derivation.number
        said = {number[c.citation.source] for c, _ in agreeing if c.id in self.claims}
        still = {number[c.citation.source] for c, _ in agreeing if c.id not in self.claims}
        return frozenset(said - still)
