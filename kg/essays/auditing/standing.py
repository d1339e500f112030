"""Notes that name no standing claim, and sentences that rest on what is doubted, set aside or contradicted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from kg.daybook.record import Claim
from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.reported import certainty_told
from kg.essays.auditing.sayings import is_supposed, is_surer
from kg.sources_weighed.standing import Step

#: Letters in which the id of a claim may differ from one that was mistyped.
MOST_SLIPS = 2


def unknown_claims(evidence: Evidence, passage: Passage) -> Iterator[Finding]:
    """Notes to claims that are not on record, were withdrawn, or cannot be understood."""
    view = evidence.whole
    told: set[str] = set()
    for note in passage.notes:
        name = note.claim
        if name is None or name in told:
            continue
        told.add(name)
        if name not in view.claims:
            when = f" as it stood on {view.as_of}" if view.as_of else ""
            message = f"{name} is no claim of this daybook{when}.{nearest(evidence, name)}"
            remedy = "Correct the id."
        elif view.standing(name) == "withdrawn":
            why = view.judgements[name].why
            message, remedy = f"{name} was withdrawn: {why}", "Cite another claim, or rewrite the sentence."
        elif name in view.ill_formed:
            message = f"{name} takes no part in this daybook: {view.ill_formed[name]}."
            remedy = "Cite another claim."
        else:
            continue
        yield Finding(Kind.UNKNOWN_CLAIM, note.place, f"[^{name}]", message, remedy, (name,))


def nearest(evidence: Evidence, name: str) -> str:
    """A sentence with the claim whose id is the nearest to one that is unknown, if one is near."""
    claims = evidence.whole.claims
    beginning = [key for key in claims if len(name) >= 4 and key.startswith(name)]
    slips = beginning or [
        key
        for key in claims
        if len(key) == len(name) and sum(a != b for a, b in zip(key, name, strict=True)) <= MOST_SLIPS
    ]
    if not slips:
        return ""
    found = claims[slips[0]]
    if evidence.is_confidential(found):
        return ""
    return f" The nearest is {found.id}: {evidence.whole.sentence(found)}."


def shaken(evidence: Evidence, passage: Passage, but: Iterable[str], day: date | None) -> Iterator[Finding]:
    """Claims of a sentence that do not stand as the sentence tells them; ``but`` are told of already."""
    told = frozenset(but)
    said = certainty_told(evidence, passage)
    for claim in evidence.open_claims(passage.claims):
        if claim.id in told or evidence.whole.standing(claim.id) == "withdrawn":
            continue
        if claim.property == "madeBy" and is_supposed(passage.text, evidence.whole.label(claim.value)):
            continue
        found = next(_troubles(evidence, passage, claim), None)
        if found is None:
            continue
        allowed, why, remedy = found
        if not is_surer(said, allowed):
            continue
        note = next((note for note in passage.notes if note.claim == claim.id), None)
        place = note.place if note is not None and passage.text else passage.place()
        since = _since(evidence, claim, day)
        yield Finding(Kind.SHAKEN, place, passage.text, f"{claim.id} {why}{since}", remedy, (claim.id,))


def _since(evidence: Evidence, claim: Claim, day: date | None) -> str:
    """That a judgement is younger than the essay."""
    judged = evidence.whole.judgements.get(claim.id)
    entry = evidence.whole.entries.get(judged.entry) if judged is not None else None
    if day is None or entry is None or entry.recorded.date() <= day:
        return ""
    return f" (judged on {entry.recorded.date()}; the essay is of {day})"


def _troubles(evidence: Evidence, passage: Passage, claim: Claim) -> Iterator[tuple[str, str, str]]:
    """What is the matter with a claim, worst first: the surest wording that it allows, why, and what to do."""
    step = evidence.step(claim)
    view = evidence.whole
    if step in (Step.SET_ASIDE, Step.WITHDRAWN):
        why = (
            f"is set aside: {view.judgements[claim.id].why}"
            if claim.id in view.judgements
            else "is set aside"
        )
        yield "formerly", why, "Tell it as former, or rewrite the sentence."
    if step is Step.DOUBTED:
        why = f"is doubted: {view.judgements[claim.id].why}" if claim.id in view.judgements else "is doubted"
        yield "possibly", why, "Say that it is doubted, or rest the sentence on another claim."
    if evidence.cannot_fit(claim):
        yield (
            "possibly",
            f"cannot stand: {view.sentence(claim)}, and the rest of the record excludes it",
            f"Tell it as what one source says, and why it cannot stand (`kilnmark fit {claim.subject}`).",
        )
    if claim.property in _ATTRIBUTIONS:
        return  # how surely a maker may be named is told of by its own rule
    against = _against(evidence, claim, step)
    cited = set(passage.claims)
    if against and not cited.intersection(other.id for other in against):
        other = against[0]
        yield (
            "possibly",
            f"is contradicted: {view.sentence(other)} ({view.cite(other.citation)})",
            "Tell both, or say that it is contested.",
        )


_ATTRIBUTIONS = ("madeBy", "attributedTo")


def _against(evidence: Evidence, claim: Claim, step: Step) -> list[Claim]:
    """The claims that a claim cannot be true together with, unless they stand less well."""
    found: list[Claim] = []
    if step is Step.CONTESTED:
        found += evidence.bench.weighed.statements.contrary(claim)
    for conflict in evidence.bench.conflicts_of.get(claim.id, ()):
        if claim in evidence.bench.audit.doubtful:
            found += [other for other in conflict.claims if other.id != claim.id]
    found += _of_contrary_sources(evidence, claim)
    return [other for other in found if not (evidence.is_confidential(other) or evidence.cannot_fit(other))]


def _of_contrary_sources(evidence: Evidence, claim: Claim) -> Iterator[Claim]:
    """What a source that is said to contradict the claim's source has on the same point."""
    view = evidence.view
    source = claim.citation.source
    others = {c.value for c in view.by_subject.get(source, ()) if c.property == "sourceContradicts"}
    others |= {c.subject for c in view.by_value.get(source, ()) if c.property == "sourceContradicts"}
    if not others:
        return
    for other in view.by_subject.get(claim.subject, ()):
        same_point = other.property == claim.property and other.value != claim.value
        if same_point and other.citation.source in others:
            yield other
