"""Does this date fit? The verdict, and the claims that decide it.

A tested date says that the making lies somewhere in it. The evidence (everything held but the datings, which are
what is tested) says that making had begun by one day and was not over before another. The verdict compares the two.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kg.chronology.chronology import Conflict, Step
from kg.dates.window import Window
from kg.daybook.record import Claim


class Verdict(Enum):
    """Whether a date fits all else that is recorded; silence is an answer too."""

    FITS = "fits"
    IN_PART = "fits in part"
    CANNOT = "cannot fit"
    UNBOUNDED = "nothing bounds it"

    def __bool__(self) -> bool:
        raise TypeError("A verdict has four answers; compare it with Verdict.FITS or another.")


#: From best to worst, for a law: more constraints never move a verdict towards the front.
_ORDER = {Verdict.UNBOUNDED: 0, Verdict.FITS: 0, Verdict.IN_PART: 1, Verdict.CANNOT: 2}


def severity(verdict: Verdict) -> int:
    """How far a verdict speaks against a date: 0 fits or unbounded, 1 in part, 2 cannot."""
    return _ORDER[verdict]


@dataclass(frozen=True, slots=True)
class Side:
    """One limit of the possible time, with the chain of reasons from the calendar to the making."""

    day: int | None
    steps: tuple[Step, ...] = ()

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims of the chain, each once, in its order."""
        return tuple(dict.fromkeys(step.claim for step in self.steps if step.claim is not None))


@dataclass(frozen=True, slots=True)
class Decider:
    """A statement that, if wrong, would change the verdict: one claim, or several that say the same."""

    claim: Claim
    verdict: Verdict
    """The verdict without it."""
    repeated_by: tuple[Claim, ...] = ()
    """Further claims that say the same, and would have to be wrong too."""


@dataclass(frozen=True, slots=True)
class Strain:
    """A usual or weak rule that the tested date breaks without being impossible."""

    is_too_early: bool
    strength: str
    day: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Alternative:
    """One of several dates that a phrase or a binding claim leaves open, with the verdict under it."""

    what: str
    window: Window
    verdict: Verdict
    claim: Claim | None = None
    """The recorded claim whose alternative it is; None for the tested phrase."""


@dataclass(frozen=True, slots=True)
class Dating:
    """Another dating on record of the same thing, tested like the phrase."""

    claim: Claim
    window: Window
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class SetAside:
    """A claim that the least doubtful repair set aside near the thing in question, with a conflict it is in."""

    claim: Claim
    conflict: Conflict
    verdict: Verdict | None
    """The verdict if this claim is right after all and its opponents are not; None if it cannot be right."""
    is_equally_supported: bool = False
    """Whether another claim of the conflict has no better support, so that the choice between them is arbitrary."""


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer to "does this date fit?"."""

    subject: str
    maker: str | None
    phrase: str
    why_read_so: str
    core: Window
    claimed: Window
    """The core widened by the circa convention."""
    alternative_dates: tuple[Window, ...]
    """The dates that the phrase leaves open, where it names several."""
    span: str
    """The span of the subject that the date is taken to speak of."""
    verdict: Verdict
    not_before: Side
    not_after: Side
    without_circa: Verdict | None
    """The verdict for the core alone, where circa widened it."""
    deciders: tuple[Decider, ...]
    alternatives: tuple[Alternative, ...]
    strains: tuple[Strain, ...]
    datings: tuple[Dating, ...]
    set_aside: tuple[SetAside, ...]
    clash: Conflict | None = None
    """The claims that exclude the supposed maker whatever the date; None if they do not, or none was supposed."""

    @property
    def possible(self) -> Window | None:
        """The days of the tested date that remain possible; None if there are none."""
        if self.verdict is Verdict.CANNOT:
            return None
        first, last = self.not_before.day, self.not_after.day
        if first is not None and last is not None and first > last:
            return self.claimed  # a long making, of which the date holds both ends
        evidence = Window.within(first, last)
        dates = self.alternative_dates or (self.claimed,)
        left = [shared for date in dates if (shared := date.overlap(evidence)) is not None]
        hull = left[0] if left else None
        for window in left[1:]:
            hull = hull.hull(window) if hull is not None else window
        return hull

    @property
    def claims(self) -> tuple[Claim, ...]:
        """Every recorded claim that the answer rests on or names, each once."""
        named = [*self.not_before.claims, *self.not_after.claims, *(d.claim for d in self.datings)]
        named += [claim for decider in self.deciders for claim in (decider.claim, *decider.repeated_by)]
        named += [claim for aside in self.set_aside for claim in aside.conflict.claims]
        named += [step.claim for strain in self.strains for step in strain.steps if step.claim is not None]
        named += self.clash.claims if self.clash is not None else ()
        return tuple(dict.fromkeys(claim for claim in named if claim.entry))

    @property
    def contested(self) -> tuple[SetAside, ...]:
        """The claims set aside that, were they right, would change the verdict."""
        return tuple(
            aside
            for aside in self.set_aside
            if aside.verdict is not None and aside.verdict is not self.verdict
        )

    @property
    def does_circa_decide(self) -> bool:
        """Whether the width of circa alone makes the difference."""
        return self.without_circa is not None and self.without_circa is not self.verdict


def judge(claimed: Window, not_before: int | None, not_after: int | None) -> Verdict:
    """The verdict for a date that lies somewhere in ``claimed``, under the evidence's two limits (days).

    ``not_before`` is the earliest day by which the making can be over, ``not_after`` the latest by which it can
    begin; None where nothing sets one. A date that is open on one side ("before 1914") says nothing of that side: it
    fits unless the evidence lies wholly beyond it.

    >>> judge(Window.within(10, 20), 15, None)
    <Verdict.IN_PART: 'fits in part'>
    """
    if not_before is None and not_after is None:
        return Verdict.UNBOUNDED
    first, last = claimed.first, claimed.last
    is_too_late = not_after is not None and first is not None and first > not_after
    is_too_early = not_before is not None and last is not None and last < not_before
    if is_too_late or is_too_early:
        return Verdict.CANNOT
    if first is None or last is None:
        return Verdict.FITS
    if not_before is not None and not_after is not None and not_before > not_after:
        return Verdict.FITS  # a long making: the date holds both its begin and its end
    holds_low = not_before is None or first >= not_before
    holds_high = not_after is None or last <= not_after
    return Verdict.FITS if holds_low and holds_high else Verdict.IN_PART


def judge_widened(core: Window, claimed: Window, not_before: int | None, not_after: int | None) -> Verdict:
    """The verdict for a date with a circa: where the core fits, the date fits, whatever becomes of the width."""
    by_core = judge(core, not_before, not_after)
    return by_core if by_core is Verdict.FITS else judge(claimed, not_before, not_after)
