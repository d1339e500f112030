"""What the audit finds in a text on the essay bench: each fault with its place, its sentence and the remedy."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kg.asking.essays_text import mark_of, read_text
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.essays.audit import Evidence, Finding, audit
from kg.essays.auditing.passages import Passage, passages
from kg.essays.syntax import Essay


@dataclass(frozen=True, slots=True)
class Found:
    """A finding as the bench shows it."""

    place: str
    kind: str
    words: str
    message: str
    remedy: str
    before: str
    """The sentence up to the words; all of it where the words do not stand in it as they are."""
    marked: str
    """The words in the sentence; empty where they do not stand in it."""
    after: str
    rows: tuple[Row, ...]
    """The claims concerned that there are."""


@dataclass(frozen=True, slots=True)
class Audited:
    """All that is found in a text, in its order, and the count in words."""

    said: str
    found: tuple[Found, ...]


def audited(standpoint: Standpoint, text: str, about: Iterable[str], day: date | None) -> Audited:
    """What the audit finds in a text about some things, worked out once; ``day`` is the day of the text, if it has one.

    :raises kg.essays.syntax.EssayNotUnderstood: naming the place of what cannot stand in an essay.
    """
    things = tuple(sorted(about))

    def made() -> Audited:
        essay = read_text(standpoint, text)
        evidence = standpoint.kept("essay evidence", lambda: Evidence(standpoint.view))
        return _told(standpoint, essay, audit(evidence, essay, about=things, day=day))

    return standpoint.kept(("essay audit", mark_of(text), things, day), made)


def _told(standpoint: Standpoint, essay: Essay, findings: tuple[Finding, ...]) -> Audited:
    every = sorted(passages(essay), key=_begin)
    begins = [_begin(one) for one in every]
    found = []
    for one in findings:
        number = bisect_right(begins, (one.place.line, one.place.column)) - 1
        found.append(_found(standpoint, one, every[number].text if number >= 0 else ""))
    counts = Counter(one.kind.value for one in findings)
    if not counts:
        return Audited("Nothing is found: every fact rests on claims that hold it.", ())
    kinds = "; ".join(f"{kind} ({count})" for kind, count in counts.most_common())
    return Audited(f"{len(found)} finding{'' if len(found) == 1 else 's'}: {kinds}.", tuple(found))


def _begin(passage: Passage) -> tuple[int, int]:
    place = passage.place()
    return place.line, place.column


def _found(standpoint: Standpoint, finding: Finding, sentence: str) -> Found:
    before, marked, after = sentence.partition(finding.words) if finding.words else (sentence, "", "")
    claims = standpoint.view.claims
    return Found(
        f"Line {finding.place.line}, column {finding.place.column}",
        finding.kind.value,
        finding.words,
        finding.message,
        finding.remedy,
        before,
        marked,
        after,
        tuple(row(standpoint.view, claims[name]) for name in finding.claims if name in claims),
    )
