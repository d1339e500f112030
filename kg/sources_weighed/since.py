"""What has changed between a past day and now: claims added, judgements passed, other verdicts, other footings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kg.chronology.audit import Audit
from kg.chronology.verdict import Verdict
from kg.daybook.record import Claim, Judgement
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.printed import Footing, Printed, Sentence


@dataclass(frozen=True, slots=True)
class NewVerdict:
    """A dating that was on record then and stands with another verdict now; None: it is no longer held."""

    claim: Claim
    then: Verdict
    now: Verdict | None


@dataclass(frozen=True, slots=True)
class NewFooting:
    """A printed sentence that was on record then and stands otherwise now; None: it is no longer on record."""

    sentence: Sentence
    then: Footing
    now: Footing | None


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

    @cached_property
    def sentences(self) -> tuple[NewFooting, ...]:
        """The printed sentences of that day whose footing is another now."""
        then, now = (Printed(Weighed(audit.chronology.view)) for audit in (self.then, self.now))
        still = {sentence.thing: now.footing(sentence) for sentence in now.sentences}
        changed = (
            (sentence, then.footing(sentence), still.get(sentence.thing)) for sentence in then.sentences
        )
        return tuple(NewFooting(*one) for one in changed if one[1] is not one[2])
