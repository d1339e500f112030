"""What has changed between a past day and now: claims added, judgements passed, datings whose verdict is another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kg.chronology.audit import Audit
from kg.chronology.verdict import Verdict
from kg.daybook.record import Claim, Judgement


@dataclass(frozen=True, slots=True)
class NewVerdict:
    """A dating that was on record then and stands with another verdict now; None: it is no longer held."""

    claim: Claim
    then: Verdict
    now: Verdict | None


@dataclass(frozen=True)
class Since:
    """A past day's daybook beside the present one."""

    then: Audit
    now: Audit

    @cached_property
    def added(self) -> tuple[Claim, ...]:
        """The claims recorded since, in order of entry."""
        before = self.then.chronology.view.claims
        return tuple(c for name, c in self.now.chronology.view.claims.items() if name not in before)

    @cached_property
    def judged(self) -> tuple[Judgement, ...]:
        """The claims of that day that stand under another judgement now, with the judgement."""
        before, after = self.then.chronology.view, self.now.chronology.view
        return tuple(
            judgement
            for name, judgement in sorted(after.judgements.items())
            if name in before.claims and before.judgements.get(name) != judgement
        )

    @cached_property
    def verdicts(self) -> tuple[NewVerdict, ...]:
        """The datings of that day whose verdict is another now."""
        now = {dating.claim.id: dating.verdict for dating in self.now.datings}
        return tuple(
            NewVerdict(dating.claim, dating.verdict, now.get(dating.claim.id))
            for dating in self.then.datings
            if now.get(dating.claim.id) is not dating.verdict
        )
