"""What the audit finds in a text on the essay bench: each fault with its place, its sentence and the remedy."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from kg.asking.desk import Desk
from kg.asking.essays import editions_of
from kg.asking.essays_text import mark_of, read_text
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.essays.audit import Evidence, Finding, audit, audit_edition
from kg.essays.auditing.passages import Passage, passages
from kg.essays.editions import Edition
from kg.essays.syntax import Essay, EssayNotUnderstood

#: Words of a finding that stand in its heading; the sentence has them all.
_SHOWN = 60


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
        found = audit(_evidence(standpoint), essay, about=things, day=day)
        return Audited(_counted(found), _found_in(standpoint, essay, found))

    return standpoint.kept(("essay audit", mark_of(text), things, day), made)


def since_print(desk: Desk, standpoint: Standpoint, slug: str) -> tuple[tuple[str, Audited], ...]:
    """What each print edition of an essay says that the evidence no longer carries, the last edition first."""
    printed = reversed([one for one in editions_of(standpoint) if one.essay == slug])
    return tuple((one.slug, _since(desk, standpoint, one)) for one in printed)


def _since(desk: Desk, standpoint: Standpoint, edition: Edition) -> Audited:
    """What has become untrue of one edition since its day, worked out once."""

    def made() -> Audited:
        then = desk.standpoint(_day(edition.day))
        found = audit_edition(_evidence(standpoint), _evidence(then), edition)
        said = _counted(found) if found else "Nothing that it says has become untrue since it was printed."
        try:
            essay = read_text(standpoint, edition.text)
        except EssayNotUnderstood:
            return Audited(said, ())
        return Audited(said, _found_in(standpoint, essay, found))

    return standpoint.kept(("essay since", edition.slug), made)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None  # an edition without a day is held against today alone


def _evidence(standpoint: Standpoint) -> Evidence:
    return standpoint.kept("essay evidence", lambda: Evidence(standpoint.view))


def _found_in(standpoint: Standpoint, essay: Essay, findings: Iterable[Finding]) -> tuple[Found, ...]:
    every = sorted(passages(essay), key=_begin)
    begins = [_begin(one) for one in every]
    found = []
    for one in findings:
        number = bisect_right(begins, (one.place.line, one.place.column)) - 1
        found.append(_found(standpoint, one, every[number].text if number >= 0 else ""))
    return tuple(found)


def _counted(findings: Collection[Finding]) -> str:
    """How many findings there are of each kind, in words."""
    if not findings:
        return "Nothing is found. Read it all the same: the audit sees names, figures and wording, not sense."
    counts = Counter(one.kind.value for one in findings)
    kinds = "; ".join(f"{kind} ({count})" for kind, count in counts.most_common())
    return f"{len(findings)} finding{'' if len(findings) == 1 else 's'}: {kinds}."


def _begin(passage: Passage) -> tuple[int, int]:
    place = passage.place()
    return place.line, place.column


def _found(standpoint: Standpoint, finding: Finding, sentence: str) -> Found:
    before, marked, after = sentence.partition(finding.words) if finding.words else (sentence, "", "")
    claims = standpoint.view.claims
    return Found(
        f"Line {finding.place.line}, column {finding.place.column}",
        finding.kind.value,
        finding.words if len(finding.words) <= _SHOWN else f"{finding.words[:_SHOWN].rstrip()}…",
        finding.message,
        finding.remedy,
        before,
        marked,
        after,
        tuple(row(standpoint.view, claims[name]) for name in finding.claims if name in claims),
    )
