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
    """A single claim that, if wrong, would change the verdict."""

    claim: Claim
    verdict: Verdict
    """The verdict without it."""


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
    verdict: Verdict
    """The verdict if this claim is right after all, and those that contradict it are not."""


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
        first = max((d for d in (self.claimed.first, self.not_before.day) if d is not None), default=None)
        last = min((d for d in (self.claimed.last, self.not_after.day) if d is not None), default=None)
        if first is not None and last is not None and first > last:
            return self.claimed
        return Window.within(first, last)

    @property
    def does_circa_decide(self) -> bool:
        """Whether the width of circa alone makes the difference."""
        return self.without_circa is not None and self.without_circa is not self.verdict


def judge(claimed: Window, not_before: int | None, not_after: int | None) -> Verdict:
    """The verdict for a date that lies somewhere in ``claimed``, under the evidence's two limits (days).

    ``not_before`` is the earliest day by which the making can be over, ``not_after`` the latest by which it can
    begin; None where nothing sets one.

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
    if not_before is not None and not_after is not None and not_before > not_after:
        return Verdict.FITS  # a long making: the date holds both its begin and its end
    holds_low = not_before is None or (first is not None and first >= not_before)
    holds_high = not_after is None or (last is not None and last <= not_after)
    return Verdict.FITS if holds_low and holds_high else Verdict.IN_PART
