"""What an entry would change, told before it is recorded: what is found wrong, contradicted, dated otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kg.asking.lines import Line, line_of
from kg.asking.parts import Part, named
from kg.asking.standpoint import Standpoint
from kg.checks.check import EntryChecker
from kg.checks.findings import Finding
from kg.chronology.audit import Audit, TestedDating
from kg.chronology.chronology import Chronology, Conflict, window_at
from kg.chronology.telling import dating_reason, window_text
from kg.chronology.verdict import Verdict
from kg.dates.window import Window
from kg.daybook.record import Entry
from kg.daybook.view import WorkingView
from kg.intake.effects import Progress, effects_of

#: Lines of one kind that are told; the rest are counted.
MOST_TOLD = 12

#: Sets of claims in conflict that are told; one wrong joining of two makers brings dozens.
MOST_CONFLICTS = 5


@dataclass(frozen=True, slots=True)
class Found:
    """Something that the checks find because of the entry."""

    severity: str
    focus: Part
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Dated:
    """A dating whose verdict would be another."""

    line: Line
    before: Verdict | None
    """None where the dating is new."""
    after: Verdict
    why: str


@dataclass(frozen=True, slots=True)
class Moved:
    """What is known of the date of a thing, before and after."""

    thing: Part
    span: str
    before: str
    after: str
    how: str
    """``narrower``, ``wider`` or ``moved``."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What recording an entry would bring, as a screen tells it."""

    findings: tuple[Found, ...]
    is_refused: bool
    """Whether a claim or thing is ill-formed by itself, so that the entry cannot be recorded."""
    conflicts: tuple[tuple[Line, ...], ...]
    """Claims that could not all be true, the fewest together first."""
    more_conflicts: int
    """How many further such sets there would be."""
    settled: tuple[tuple[Line, ...], ...]
    """Claims that now cannot all be true, and then would be in no conflict any more."""
    datings: tuple[Dated, ...]
    windows: tuple[Moved, ...]
    more_windows: int
    """How many further windows would move."""
    untold: tuple[str, ...]

    @property
    def is_quiet(self) -> bool:
        """Whether nothing on record would be seen otherwise."""
        return not (self.findings or self.conflicts or self.settled or self.datings or self.windows)


def effect_of(standpoint: Standpoint, entry: Entry, progress: Progress | None = None) -> Effect:
    """What recording the entry would bring; nothing is recorded."""
    with standpoint.lock:
        view = standpoint.view
        checker = standpoint.kept("entry checker", lambda: EntryChecker(view))
        effects = effects_of(view, entry, progress, checker=checker, before=standpoint.audit)
        findings = tuple(_found(view, effects.after, finding) for finding in effects.findings)
        is_whole = not effects.untold and effects.audit is not None
        audit = effects.audit or Audit(Chronology(effects.after))
        windows = tuple(_moved(standpoint.chronology, audit.chronology)) if is_whole else ()
        datings = (
            tuple(_dated(view, standpoint.audit, audit))
            if is_whole
            else tuple(_impossible(view, effects.after, effects.impossible))
        )
        settled = _settled(view, standpoint.audit, audit) if is_whole and entry.judgements else ()
        shortest = sorted(effects.conflicts, key=lambda conflict: len(conflict.claims))
        return Effect(
            findings,
            bool(effects.refusing),
            tuple(_lines(view, effects.after, conflict) for conflict in shortest[:MOST_CONFLICTS]),
            max(len(shortest) - MOST_CONFLICTS, 0),
            settled[:MOST_TOLD],
            datings[:MOST_TOLD],
            windows[:MOST_TOLD],
            max(len(windows) - MOST_TOLD, 0),
            effects.untold,
        )


def _found(view: WorkingView, after: WorkingView, finding: Finding) -> Found:
    focus = finding.focus
    if focus in after.claims:
        part = Part(after.sentence(after.claims[focus]), claim=focus if focus in view.claims else None)
    else:
        part = Part(after.label(focus), thing=focus if focus in view.things else None)
    return Found(finding.severity.word, part, finding.message, finding.hint)


def _lines(view: WorkingView, after: WorkingView, conflict: Conflict) -> tuple[Line, ...]:
    return tuple(line_of(view, after, claim) for claim in conflict.claims)


def _impossible(view: WorkingView, after: WorkingView, datings: tuple[TestedDating, ...]) -> Iterator[Dated]:
    for dating in datings:
        yield Dated(line_of(view, after, dating.claim), None, dating.verdict, dating_reason(after, dating))


def _dated(view: WorkingView, before: Audit, after: Audit) -> Iterator[Dated]:
    """The datings with another verdict than before, those that would not fit first."""
    old = {dating.claim.id: dating.verdict for dating in before.datings}
    later = after.chronology.view
    changed = [
        Dated(line_of(view, later, one.claim), old.get(one.claim.id), one.verdict, _why(later, one))
        for one in after.datings
        if old.get(one.claim.id) is not one.verdict
        and not _is_news_of_itself(old.get(one.claim.id), one.verdict)
    ]
    yield from sorted(changed, key=lambda one: (one.after is not Verdict.CANNOT, one.before is None))


def _is_news_of_itself(before: Verdict | None, after: Verdict) -> bool:
    """Whether a new dating merely stands beside the rest."""
    return before is None and after in (Verdict.FITS, Verdict.UNBOUNDED)


def _why(view: WorkingView, dating: TestedDating) -> str:
    return dating_reason(view, dating) if dating.verdict is Verdict.CANNOT else ""


def _settled(view: WorkingView, before: Audit, after: Audit) -> tuple[tuple[Line, ...], ...]:
    kept = {frozenset(claim.id for claim in conflict.claims) for conflict in after.conflicts}
    return tuple(
        _lines(view, view, conflict)
        for conflict in before.conflicts
        if frozenset(claim.id for claim in conflict.claims) not in kept
    )


def _moved(before: Chronology, after: Chronology) -> Iterator[Moved]:
    """The windows that the evidence gives otherwise than before."""
    view, vocabulary = after.view, after.view.vocabulary
    old, new = before.evidence, after.evidence
    for (slug, span), base in new.made.bases.items():
        later = window_at(new.repaired.solution, base)
        known = old.made.bases.get((slug, span))
        earlier = Window() if known is None else window_at(old.repaired.solution, known)
        if earlier != later:
            yield Moved(
                named(view, slug) if slug in before.view.things else Part(view.label(slug)),
                vocabulary.spans[span].label,
                _span_text(earlier),
                _span_text(later),
                _how(earlier, later),
            )


def _span_text(window: Window) -> str:
    """The window of a span as one reads it: between its earliest begin and its latest end."""
    if window == Window():
        return "not known"
    begin = Window.within(window.begin_earliest, window.begin_latest)
    end = Window.within(window.end_earliest, window.end_latest)
    if begin == end:
        return window_text(begin)
    texts = [
        f"{word} {window_text(one)}"
        for word, one in (("begins", begin), ("ends", end))
        if one.first is not None or one.last is not None
    ]
    return ", ".join(texts) or "not known"


def _how(earlier: Window, later: Window) -> str:
    if _is_within(later, earlier):
        return "narrower"
    return "wider" if _is_within(earlier, later) else "moved"


def _is_within(window: Window, other: Window) -> bool:
    """Whether every bound of a window is at least as tight as the other's."""
    lower = ((window.begin_earliest, other.begin_earliest), (window.end_earliest, other.end_earliest))
    upper = ((window.begin_latest, other.begin_latest), (window.end_latest, other.end_latest))
    return all(b is None or (a is not None and a >= b) for a, b in lower) and all(
        b is None or (a is not None and a <= b) for a, b in upper
    )
