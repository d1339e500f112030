"""Sources that a sentence lets speak, though its claims come from sources that follow them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.reported import names_of
from kg.essays.auditing.words import pattern

#: A source's name and the verb by which it speaks stand no further apart.
_APART = 25


def cited_as_seen(evidence: Evidence, passage: Passage) -> Iterator[Finding]:
    """A source named as speaking, of which the claims know only through another."""
    claims = evidence.open_claims(passage.claims)
    own = dict.fromkeys(claim.citation.source for claim in claims)
    if not own or any(_stands(evidence, passage.text, source) for source in own):
        return
    for claim in claims:
        for source in evidence.upstream(claim):
            if source in own:
                continue
            at = _speaks(evidence, passage.text, source, tuple(own))
            if at is None:
                continue
            name, through = evidence.whole.label(source), evidence.whole.label(claim.citation.source)
            yield Finding(
                Kind.SECOND_HAND,
                passage.place(at),
                passage.text,
                f"{name} speaks here, but {claim.id} has it from {through}, which follows it.",
                f"Name {through}, or look up {name} and record what it says.",
                (claim.id,),
            )
            return


def _stands(evidence: Evidence, text: str, source: str) -> bool:
    return any(name in text for name in names_of(evidence, source))


def _speaks(evidence: Evidence, text: str, source: str, own: tuple[str, ...]) -> int | None:
    """Where a source, by its name or by its class, is the one that speaks in a sentence."""
    for name in names_of(evidence, source):
        at = text.find(name)
        if at >= 0 and _verb_follows(text, at + len(name)):
            return at
    kinds = evidence.whole.vocabulary.kinds
    mine = {kind for one in own for kind in evidence.whole.kinds(one)}
    for kind in evidence.whole.kinds(source):
        if kind in mine or kind not in kinds:
            continue
        found = re.search(rf"\bthe {re.escape(kinds[kind].label)}\b", text, re.IGNORECASE)
        if found is not None and _verb_follows(text, found.end()):
            return found.start()
    return None


def _verb_follows(text: str, at: int) -> bool:
    found = pattern("says").search(text, at)
    return (
        found is not None
        and found.start() - at <= _APART
        and not re.search(r"[.;:]", text[at : found.start()])
    )
