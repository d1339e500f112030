"""The standing of a claim: one of a few named steps, with every reason listed, and no score.

The first step that applies, read from the bottom of the list, is the claim's standing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed


class Step(Enum):
    """How well a claim stands, best first."""

    SEVERAL = "several independent witnesses"
    FIRST_HAND = "one witness, read first-hand"
    SECOND_HAND = "one witness, through sources that follow it"
    CONTESTED = "contested"
    NOT_KNOWN = "unanchored: nothing is recorded of what its sources follow"
    CIRCULAR = "circular: its sources only follow each other"
    DOUBTED = "doubted"
    SET_ASIDE = "set aside"
    WITHDRAWN = "withdrawn"

    def __bool__(self) -> bool:
        raise TypeError("A standing has nine answers; compare it with Step.SEVERAL or another.")


STEPS: tuple[Step, ...] = tuple(Step)
_PLACE = {step: place for place, step in enumerate(STEPS)}
_JUDGED = {"doubted": Step.DOUBTED, "setAside": Step.SET_ASIDE, "withdrawn": Step.WITHDRAWN}


def steps_below_the_best(step: Step) -> int:
    """How many steps a standing lies below several independent witnesses."""
    return _PLACE[step]


@dataclass(frozen=True, slots=True)
class Standing:
    """A claim's step, and the reasons for it in sentences."""

    claim: Claim
    step: Step
    reasons: tuple[str, ...]


def step_of(weighed: Weighed, claim: Claim) -> Step:
    """The step on which a claim stands."""
    judged = _JUDGED.get(weighed.view.standing(claim.id))
    if judged is not None:
        return judged
    counts = weighed.counts(claim)
    if counts.possible == 0:
        return Step.CIRCULAR
    if counts.witnesses == 0:
        return Step.NOT_KNOWN
    if any(_contests(weighed, other, counts.witnesses) for other in weighed.statements.contrary(claim)):
        return Step.CONTESTED
    if counts.witnesses > 1:
        return Step.SEVERAL
    agreeing = (other for other, _ in weighed.statements.agreeing(claim))
    return Step.FIRST_HAND if any(map(weighed.is_said_first_hand, agreeing)) else Step.SECOND_HAND


def best_step(weighed: Weighed, claim: Claim) -> Step:
    """The step of the best who says what a claim says.

    Who had it only from a source in which it is set aside says it no more: it falls with that source, as in `weigh`.
    """
    saying = weighed.statements.saying(claim)
    silenced = weighed.statements.silenced(claim)
    if silenced and saying:
        number = weighed.derivation.number
        fallen = frozenset(number[source] for source in silenced if source in number)
        saying = tuple(other for other in saying if not _falls(weighed, other, fallen))
        if not saying:
            return Step.SET_ASIDE
    steps = [step_of(weighed, other) for other in saying]
    return min(steps, key=steps_below_the_best, default=step_of(weighed, claim))


def _falls(weighed: Weighed, claim: Claim, fallen: frozenset[int]) -> bool:
    """Whether every line behind a claim ran through fallen sources."""
    return bool(weighed.support(claim).possible) and not weighed.support(claim, fallen).possible


def _contests(weighed: Weighed, other: Claim, witnesses: int) -> bool:
    """Whether a contrary claim is held, and has no fewer witnesses."""
    return weighed.view.standing(other.id) == "held" and weighed.counts(other).witnesses >= witnesses


def standing_of(weighed: Weighed, claim: Claim) -> Standing:
    """The step on which a claim stands, with its reasons."""
    return Standing(claim, step_of(weighed, claim), tuple(_reasons(weighed, claim)))


def _reasons(weighed: Weighed, claim: Claim) -> list[str]:
    view, counts = weighed.view, weighed.counts(claim)
    told = []
    judged = view.judgements.get(claim.id)
    if judged is not None:
        told.append(f"Judged {view.vocabulary.standings[judged.standing]}: {judged.why}")
    told.append(
        f"{_number(counts.stating, 'source says', 'sources say')} it; "
        f"{_number(counts.witnesses, 'independent witness', 'independent witnesses')} reached first-hand."
    )
    if counts.possible > counts.witnesses:
        more = counts.possible - counts.witnesses
        told.append(
            f"{_number(more, 'further line ends', 'further lines end')} in a source of which nothing is recorded: "
            "not known, and not counted."
        )
    told.append(_nearest(weighed, claim))
    for other, _ in weighed.statements.agreeing(claim):
        if other is not claim and view.standing(other.id) == "doubted":
            told.append(f"Doubted among those who say it: {view.cite(other.citation)}.")
    for other in weighed.statements.contrary(claim):
        against = weighed.counts(other).witnesses
        doubted = ", doubted" if view.standing(other.id) == "doubted" else ""
        told.append(
            f"Against it: {view.sentence(other)} ({view.cite(other.citation)}), "
            f"{_number(against, 'witness', 'witnesses')}{doubted}."
        )
    return told


def _nearest(weighed: Weighed, claim: Claim) -> str:
    """Which of those who say it stands nearest to the thing itself."""
    view = weighed.view
    sources = dict.fromkeys(other.citation.source for other, _ in weighed.statements.agreeing(claim))
    sources = sources or {claim.citation.source: None}
    best = max(sources, key=lambda source: view.vocabulary.directness(view.kinds(source)))
    kinds = ", ".join(
        view.vocabulary.kinds[kind].label for kind in view.kinds(best) if kind in view.vocabulary.kinds
    )
    return f"Nearest to the thing itself: {view.label(best)} ({kinds or 'of no known class'})."


def _number(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
