"""The audit of an essay: what it says without a claim, beyond its claims, or against discretion.

Every sentence is read for its facts (years, names, numbers, measures, quoted words, acts, materials) and held against
the claims in its notes, as they stand in the working view. An audit is the same each time; it changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from kg.daybook.view import WorkingView
from kg.essays.auditing.claimless import RECORD_FIRST, joined, not_held, without_a_claim
from kg.essays.auditing.discreet import told_beside, told_in_notes, told_in_words
from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.facts import Fact, facts_of
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.hygiene import in_latin, unclean
from kg.essays.auditing.passages import Passage, passages
from kg.essays.auditing.second_hand import cited_as_seen
from kg.essays.auditing.standing import shaken, unknown_claims
from kg.essays.auditing.sureness import too_sure
from kg.essays.editions import Edition
from kg.essays.syntax import Essay, EssayNotUnderstood, Place, read_essay
from kg.sources_weighed.dependence import Weighed

__all__ = ["Evidence", "Finding", "Kind", "audit", "audit_edition", "audit_text", "unread"]

#: Characters of a sentence; a longer one nobody reads, and its audit would take too long.
LONGEST_SENTENCE = 4_000

Asked = Evidence | Weighed | WorkingView


def audit(
    asked: Asked, essay: Essay, *, about: Iterable[str] = (), day: date | None = None
) -> tuple[Finding, ...]:
    """The faults of an essay, in the order of the text.

    ``about`` are the things that it is about; without them the one whose name is its title. ``day`` is the day of the
    essay: judgements that are younger are told as such. For many essays make one `Evidence` and give that.
    """
    evidence = evidence_of(asked)
    own = frozenset(about) or _by_title(evidence, essay.title)
    known = {evidence.whole.label(slug) for slug in own} | {essay.title}
    found = [*told_beside(evidence, essay, sorted(own))]
    if not essay.blocks:
        found.append(Finding(Kind.HYGIENE, Place(1, 1), "", "There is no text, so this is no essay.", _EMPTY))
    for passage in passages(essay):
        found += _discreetly([*_of_passage(evidence, passage, own, known, day)])
    return tuple(sorted(dict.fromkeys(found), key=_order))


_EMPTY = "Write it, or name the file that holds it."


def _discreetly(found: list[Finding]) -> list[Finding]:
    """The faults of a sentence; where it tells what is confidential, nobody is asked to record that."""
    if not any(one.kind is Kind.CONFIDENTIAL for one in found):
        return found
    return [replace(one, remedy=one.remedy.replace(RECORD_FIRST, "")) for one in found]


def evidence_of(asked: Asked) -> Evidence:
    """The evidence that is meant: itself, or made from a view or from weighed sources."""
    if isinstance(asked, Evidence):
        return asked
    return Evidence(asked.view if isinstance(asked, Weighed) else asked)


def _order(finding: Finding) -> tuple[int, int, int]:
    return finding.place.line, finding.place.column, list(Kind).index(finding.kind)


def _by_title(evidence: Evidence, title: str) -> frozenset[str]:
    if not title:
        return frozenset()
    found = [slug for slug, thing in evidence.whole.things.items() if thing.label == title]
    return frozenset(found if len(found) == 1 else ())


def _of_passage(
    evidence: Evidence, passage: Passage, own: frozenset[str], known: set[str], day: date | None
) -> Iterator[Finding]:
    yield from unclean(passage)
    yield from told_in_notes(evidence, passage)
    yield from told_in_words(evidence, passage)
    yield from unknown_claims(evidence, passage)
    if not passage.is_sentence:
        return
    if len(passage.text) > LONGEST_SENTENCE:
        yield _too_long(passage)
        return
    facts = _facts(evidence, passage, known)
    yield from without_a_claim(evidence, passage, facts, own)
    yield from joined(not_held(evidence, passage, facts, own), passage)
    surer = [*too_sure(evidence, passage, facts)]
    yield from surer
    yield from shaken(evidence, passage, [name for one in surer for name in one.claims], day)
    yield from cited_as_seen(evidence, passage)


def _too_long(passage: Passage) -> Finding:
    return Finding(
        Kind.HYGIENE,
        passage.place(),
        f"{passage.text[:60]}…",
        f"This sentence has {len(passage.text):,} characters; sentences of up to {LONGEST_SENTENCE:,} are audited.",
        "Divide it.",
    )


def _facts(evidence: Evidence, passage: Passage, known: set[str]) -> tuple[Fact, ...]:
    """The facts of a sentence; names in its claims stand for themselves, so that their figures are not read."""
    labels = evidence.held(evidence.open_claims(passage.claims)).labels if passage.claims else ()
    text = in_latin(passage.text) if not passage.text.isascii() else passage.text
    return facts_of(text, evidence.name_words, {*labels, *known}, evidence.seen)


def audit_text(
    asked: Asked, markdown: str, *, about: Iterable[str] = (), day: date | None = None
) -> tuple[Finding, ...]:
    """The faults of a text; one that cannot be read as an essay has the one fault that says why."""
    try:
        essay = read_essay(markdown)
    except EssayNotUnderstood as error:
        return (unread(markdown, error),)
    return audit(asked, essay, about=about, day=day)


def unread(markdown: str, error: EssayNotUnderstood) -> Finding:
    """The one fault of a text that cannot be read as an essay."""
    lines = markdown.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    words = lines[error.line - 1][:60] if error.line <= len(lines) else ""
    place = Place(error.line, error.column)
    return Finding(Kind.HYGIENE, place, words, f"Not an essay: {error.what}", "Mend this first.")


def audit_edition(now: Asked, then: Asked, edition: Edition) -> tuple[Finding, ...]:
    """What a print edition says that today's evidence no longer carries, though that of its day did.

    ``then`` is the daybook as of the day of print. A fault that the text had then already is no news, and not told.
    """
    before = {_same(finding) for finding in audit_text(then, edition.text)}
    return tuple(
        replace(
            finding,
            kind=Kind.STALE,
            message=f"Printed {edition.day}; since then {finding.kind.value}. {finding.message}",
            remedy="Correct it in the next edition.",
        )
        for finding in audit_text(now, edition.text)
        if _same(finding) not in before
    )


def _same(finding: Finding) -> tuple[Kind, Place, str, tuple[str, ...]]:
    return finding.kind, finding.place, finding.words, finding.claims
