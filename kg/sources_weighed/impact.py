"""What falls if a source or a claim falls: it is set aside in thought, and nothing is written.

A claim *falls* if it stands in what is set aside, or if every line behind its own source ran through it. A claim *loses
its anchor* if its source still stands, but no line leads to first-hand evidence any more. Only the datings and windows
whose chains of reasons hold a fallen claim are reckoned again. A printed sentence loses its footing with the first of
its claims that nobody says any more, or nobody with an anchored line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Chronology
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.printed import Printed, Sentence
from kg.sources_weighed.rests import ChangedVerdict, Rests, WiderWindow


class Impact:
    """A working view ready to be asked what falls; what is indexed once serves every question."""

    def __init__(self, weighed: Weighed, audit: Audit | None = None) -> None:
        self.weighed = weighed
        self.rests = Rests(audit or Audit(Chronology(weighed.view)))
        self.printed = Printed(weighed)

    def prepare(self) -> None:
        """Work out now what the first question would have to wait for."""
        self.rests.prepare()
        self.weighed.all_counts()
        self.of(claims=[claim.id for claim in self.weighed.view.live[:1]])
        self.printed.by_statement  # noqa: B018  # worked out for its own sake

    def of(
        self, *, sources: Iterable[str] = (), claims: Iterable[str] = (), about: Claim | None = None
    ) -> Fall:
        """What falls if some sources and some claims are set aside.

        A source falls with every claim that cites it, whatever it is about. A claim that is set aside alone takes with
        it those that say the same in sources that had it by no other way. With ``about``, only what says the same as
        that claim is looked at: the sources are set aside as witnesses to it, and for nothing else.
        """
        among = None if about is None else [c for c, _ in self.weighed.statements.agreeing(about)]
        search = _Search(self.weighed, frozenset(sources), frozenset(claims), among)
        return Fall(self, *search.found())

    def of_bottleneck(self, claim: Claim) -> Fall | None:
        """What falls if the fewest sources that carry a claim are set aside as witnesses to it; None if there are none.

        All its routes pass through them. Where they are fewer than those that say it, they are its bottleneck.
        """
        narrow = self.weighed.witnesses(claim).overturning
        return self.of(sources=narrow, about=claim) if narrow else None


@dataclass(frozen=True)
class Fall:
    """What falls when some sources and claims are set aside in thought."""

    impact: Impact
    direct: tuple[Claim, ...]
    """The claims set aside: those named, and all that cite a source set aside."""
    following: tuple[Claim, ...]
    """The claims that had no other line behind them."""
    unanchored: tuple[Claim, ...]
    """The claims that stand, but lead to no first-hand evidence any more."""

    @property
    def weighed(self) -> Weighed:
        """The sources as they stand."""
        return self.impact.weighed

    @cached_property
    def fallen(self) -> frozenset[str]:
        """The ids of all claims that fall."""
        return frozenset(claim.id for claim in (*self.direct, *self.following))

    @cached_property
    def audit_after(self) -> Audit:
        """The whole chronology reckoned again without the fallen claims; slow in a large daybook."""
        return Audit(self.impact.rests.again(self.fallen))

    @cached_property
    def wider(self) -> tuple[WiderWindow, ...]:
        """The spans known less closely than before, by thing and span."""
        return self.impact.rests.wider(self.fallen)

    @cached_property
    def verdicts(self) -> tuple[ChangedVerdict, ...]:
        """The datings that stand with another verdict; a dating that falls itself has none."""
        return self.impact.rests.verdicts(self.fallen)

    @property
    def fallen_datings(self) -> tuple[TestedDating, ...]:
        """The datings that fall themselves."""
        return self.impact.rests.datings_of(self.fallen)

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        """The printed sentences that lose their footing."""
        gone = self.fallen.union(claim.id for claim in self.unanchored)
        return self.impact.printed.losing(gone, self.fallen)


def what_falls(
    weighed: Weighed,
    *,
    sources: Iterable[str] = (),
    claims: Iterable[str] = (),
    about: Claim | None = None,
    audit: Audit | None = None,
) -> Fall:
    """What falls if some sources and some claims are set aside, asked once; see ``Impact.of``."""
    return Impact(weighed, audit).of(sources=sources, claims=claims, about=about)


class _Search:
    """Finds what falls with some sources and claims."""

    def __init__(
        self,
        weighed: Weighed,
        sources: frozenset[str],
        claims: frozenset[str],
        among: Sequence[Claim] | None,
    ) -> None:
        self.weighed = weighed
        self.view = weighed.view
        self.sources = sources
        self.claims = claims
        self.among = among if among is not None else self._saying_the_same()
        number = weighed.derivation.number
        self.gone = frozenset(number[source] for source in sources if source in number)

    def found(self) -> tuple[tuple[Claim, ...], tuple[Claim, ...], tuple[Claim, ...]]:
        """The claims that stand in what is set aside, those that fall with them, and those that lose their anchor."""
        direct = self._direct()
        named = frozenset(claim.id for claim in direct)
        without = self.weighed.without(named)
        following, unanchored = [], []
        for claim in self._reached(named):
            before = self.weighed.support(claim)
            fallen = self.gone | self._silent(claim)
            after = self.weighed.support(claim, fallen)
            if before.possible and not after.possible:
                following.append(claim)
            elif before.witnesses and not (after.witnesses and without.support(claim, fallen).witnesses):
                unanchored.append(claim)
        return tuple(direct), tuple(following), tuple(unanchored)

    def _saying_the_same(self) -> Sequence[Claim] | None:
        """All that claims set aside alone can touch: what says the same. None if one tells who follows whom."""
        if self.sources or self._tells_of_links():
            return None
        live = [self.view.claims[name] for name in self.claims if name in self.weighed.order]
        return list(dict.fromkeys(c for claim in live for c, _ in self.weighed.statements.agreeing(claim)))

    def _tells_of_links(self) -> bool:
        derivation = self.weighed.derivation
        return any(name in derivation.told_by or name in derivation.named for name in self.claims)

    def _direct(self) -> list[Claim]:
        """The claims that are named or cite a source that is, in order of entry."""
        if self.among is not None:
            known = self.among
        else:
            known = [claim for source in self.sources for claim in self.weighed.by_source.get(source, ())]
        order = self.weighed.order
        found = [c for c in known if c.id in self.claims or c.citation.source in self.sources]
        found += [self.view.claims[name] for name in self.claims if name in order]
        return sorted(dict.fromkeys(found), key=lambda claim: order[claim.id])

    def _reached(self, named: frozenset[str]) -> list[Claim]:
        """The live claims that could be touched, in order of entry: their sources lead up to what is set aside."""
        derivation, order = self.weighed.derivation, self.weighed.order
        touched = set(self.gone)
        touched |= {
            derivation.number[self.view.claims[name].citation.source] for name in self.claims if name in order
        }
        for name in named:
            touched.update(derivation.told_by.get(name, ()))
        below = derivation.below(touched)
        if self.among is not None:
            known: Iterable[Claim] = self.among
        else:
            names = derivation.sources
            known = [claim for n in below for claim in self.weighed.by_source.get(names[n], ())]
        found = [claim for claim in known if derivation.number[claim.citation.source] in below]
        for name, above in derivation.of_claim.items():
            if name in order and not below.isdisjoint(above) and self._is_meant(name):
                found.append(self.view.claims[name])
        wanted = dict.fromkeys(claim for claim in found if claim.id not in named)
        return sorted(wanted, key=lambda claim: order[claim.id])

    def _is_meant(self, name: str) -> bool:
        return self.among is None or any(claim.id == name for claim in self.among)

    def _silent(self, claim: Claim) -> frozenset[int]:
        """The sources that no longer say what a claim says, because the claim they said it by is set aside."""
        if not self.claims:
            return frozenset()
        agreeing = self.weighed.statements.agreeing(claim)
        number = self.weighed.derivation.number
        said = {number[c.citation.source] for c, _ in agreeing if c.id in self.claims}
        still = {number[c.citation.source] for c, _ in agreeing if c.id not in self.claims}
        return frozenset(said - still)
