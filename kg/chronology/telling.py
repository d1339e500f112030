"""Verdicts and audits in words and as plain tables, for the command line, the desk and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from kg.chronology.audit import Audit, StrainedRule, TestedDating
from kg.chronology.chronology import Conflict, Step
from kg.chronology.verdict import Alternative, Fit, Side, Strain, Verdict
from kg.dates.window import Window, civil, iso, month_length
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.marks.rules import cautions_for

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def day_text(day: int | None) -> str:
    """A day as one writes it.

    >>> from kg.dates.window import day_of
    >>> day_text(day_of(1875, 3, 1)), day_text(day_of(-43, 3, 15))
    ('1 March 1875', '15 March 44 BCE')
    """
    if day is None:
        return "not known"
    year, month, of_month = civil(day)
    return f"{of_month} {MONTHS[month - 1]} {year_text(year)}"


def year_text(year: int) -> str:
    """An astronomical year as one writes it: 0 is 1 BCE."""
    return str(year) if year > 0 else f"{1 - year} BCE"


def window_text(window: Window) -> str:
    """The days that a date allows, as short as they can be written.

    >>> from kg.dates.window import day_of
    >>> window_text(Window.within(day_of(1873), day_of(1883, 12, 31)))
    '1873–1883'
    """
    first, last = window.first, window.last
    if first is None and last is None:
        return "any time"
    if first is None:
        return f"up to {_edge(last, is_first=False)}"
    if last is None:
        return f"from {_edge(first, is_first=True)}"
    if first == last:
        return day_text(first)
    (y1, m1, d1), (y2, m2, d2) = civil(first), civil(last)
    if (m1, d1, m2, d2) == (1, 1, 12, 31):
        return year_text(y1) if y1 == y2 else f"{year_text(y1)}–{year_text(y2)}"
    if d1 == 1 and d2 == month_length(y2, m2) and (y1, m1) == (y2, m2):
        return f"{MONTHS[m1 - 1]} {year_text(y1)}"
    return f"{day_text(first)} to {day_text(last)}"


def _edge(day: int | None, *, is_first: bool) -> str:
    year, month, of_month = civil(day) if day is not None else (0, 0, 0)
    return year_text(year) if (month, of_month) == ((1, 1) if is_first else (12, 31)) else day_text(day)


def headline(fit: Fit, view: WorkingView) -> str:
    """The verdict in one sentence."""
    claimed = window_text(fit.claimed)
    if fit.clash is not None and fit.maker is not None:
        return f"{view.label(fit.maker)} cannot have made {view.label(fit.subject)}, whatever the date."
    if fit.verdict is Verdict.UNBOUNDED:
        return f"Nothing on record bounds {view.label(fit.subject)}: {claimed} is neither confirmed nor excluded."
    if fit.verdict is Verdict.FITS:
        if fit.without_circa is Verdict.FITS:
            return f"{window_text(fit.core)} fits all else that is recorded."
        return f"{claimed} fits all else that is recorded."
    if fit.verdict is Verdict.IN_PART:
        return f"Of {claimed} only {window_text(fit.possible or fit.claimed)} is possible."
    last, first = fit.not_after.day, fit.not_before.day
    if last is not None and fit.claimed.first is not None and fit.claimed.first > last:
        return f"{claimed} is impossible: it is later than {day_text(last)}, the last day that the record allows."
    return f"{claimed} is impossible: it is earlier than {day_text(first)}, the first day that the record allows."


def circa_sentence(fit: Fit) -> str | None:
    """What the width of circa decides; None where it was not in play or changes nothing."""
    if fit.without_circa is None:
        return None
    core, wide = window_text(fit.core), window_text(fit.claimed)
    if not fit.does_circa_decide:
        return f"The width of circa changes nothing: {core} alone gives the same verdict as {wide}."
    by_itself = f"{core} by itself {_says(fit.without_circa)}"
    return f"Circa alone decides: {by_itself}; widened to {wide} it {_says(fit.verdict)}."


def contested_sentences(fit: Fit, view: WorkingView) -> list[str]:
    """Where the verdict rests on one side of a conflict: what it would be on the other."""
    return [
        f"Contested: if {view.sentence(aside.claim)} ({view.cite(aside.claim.citation)}) is right after all, "
        f"the verdict is {_says(aside.verdict) if aside.verdict is not None else 'unknown'}"
        + ("; the other side has no better support." if aside.is_equally_supported else ".")
        for aside in fit.contested
    ]


def _says(verdict: Verdict) -> str:
    return "is bounded by nothing" if verdict is Verdict.UNBOUNDED else verdict.value


def told_steps(view: WorkingView, steps: Sequence[Step]) -> list[dict[str, Any]]:
    """A chain of reasons, from the calendar to the thing: each claim with its citation, and the rules that speak."""
    return [_step(view, step) for step in steps if step.claim is not None or step.why.label != ORDER]


#: The rule that every span has; it is left out of what is told, since it goes without saying.
ORDER = "nothing ends before it begins"


def _step(view: WorkingView, step: Step) -> dict[str, Any]:
    point = step.point
    told: dict[str, Any] = {
        "rule": step.why.label,
        "strength": step.why.strength,
        "convention": f"{step.why.convention} ({step.why.years} years)" if step.why.convention else None,
        "day": iso(step.day) if step.day is not None else None,
        "bounds": f"{_point_word(view, point.span, point.end)} of {view.label(point.thing)}"
        if point
        else None,
    }
    return {**(told_claim(view, step.claim) if step.claim else {"claim": None}), **told}


def _point_word(view: WorkingView, span: str, end: str) -> str:
    found = view.vocabulary.spans[span]
    return found.begin_word if end == "begin" else found.end_word


def told_claim(view: WorkingView, claim: Claim) -> dict[str, Any]:
    """A claim with its sentence, citation and standing."""
    is_supposed = claim.entry == ""
    return {
        "claim": claim.id,
        "sentence": view.sentence(claim),
        "source": None if is_supposed else claim.citation.source,
        "citation": claim.citation.locator if is_supposed else view.cite(claim.citation),
        "quotation": claim.citation.quotation,
        "standing": "supposed" if is_supposed else view.vocabulary.standings[view.standing(claim.id)],
        "confidential": view.is_confidential(claim),
    }


def told_window(window: Window | None) -> dict[str, Any] | None:
    """A window as ISO days and as words."""
    if window is None:
        return None
    return {
        "earliest": iso(window.first) if window.first is not None else None,
        "latest": iso(window.last) if window.last is not None else None,
        "text": window_text(window),
    }


def told_fit(fit: Fit, view: WorkingView) -> dict[str, Any]:
    """The whole answer as plain tables, for JSON and for screens."""
    return {
        "subject": fit.subject,
        "label": view.label(fit.subject),
        "maker": fit.maker,
        "phrase": fit.phrase,
        "read_as": fit.why_read_so,
        "claimed": told_window(fit.claimed),
        "core": told_window(fit.core),
        "verdict": fit.verdict.value,
        "headline": headline(fit, view),
        "excluded_by": _conflict(view, fit.clash) if fit.clash is not None else [],
        "excluded_by_conventions": list(fit.clash.conventions) if fit.clash is not None else [],
        "possible": told_window(fit.possible),
        "circa": circa_sentence(fit),
        "contested": contested_sentences(fit, view),
        "without_circa": fit.without_circa.value if fit.without_circa is not None else None,
        "not_before": _side(view, fit.not_before),
        "not_after": _side(view, fit.not_after),
        "deciding": [
            {
                **told_claim(view, d.claim),
                "verdict_without": d.verdict.value,
                "repeated_by": [told_claim(view, claim) for claim in d.repeated_by],
            }
            for d in fit.deciders
        ],
        "alternatives": [_alternative(view, alternative) for alternative in fit.alternatives],
        "strains": [_strain(view, strain) for strain in fit.strains],
        "cautions": cautions(view, fit.subject),
        "datings": [
            {**told_claim(view, d.claim), **(told_window(d.window) or {}), "verdict": d.verdict.value}
            for d in fit.datings
        ],
        "set_aside": [
            {
                **told_claim(view, s.claim),
                "conflict": _conflict(view, s.conflict),
                "verdict_with": s.verdict.value if s.verdict is not None else None,
            }
            for s in fit.set_aside
        ],
    }


#: What is said behind every caution.
DEFER = "Ask a conservator or the competent authority; the rules of the place come first."


def cautions(view: WorkingView, subject: str) -> list[str]:
    """The cautions recorded of what a thing and its parts are made of, each with its citation.

    A material that nobody has recorded a caution of gets the usual ones that its name calls for.
    """
    things = [subject]
    for claim in view.by_subject.get(subject, ()):
        if view.vocabulary.is_a(view.kinds(claim.value), "Artefact"):
            things.append(claim.value)
    linked = {claim.value for thing in things for claim in view.by_subject.get(thing, ())}
    found = [
        f"{view.label(claim.subject)}: {claim.value} ({view.cite(claim.citation)}). {DEFER}"
        for slug in sorted(linked | set(things))
        for claim in view.by_subject.get(slug, ())
        if view.vocabulary.properties[claim.property].is_caution
    ]
    return list(dict.fromkeys([*found, *_usual_cautions(view, things)]))


def _usual_cautions(view: WorkingView, things: list[str]) -> Iterator[str]:
    """What the names of materials call for, where no caution of them is recorded."""
    properties = view.vocabulary.properties
    for claim in (claim for thing in things for claim in view.by_subject.get(thing, ())):
        own = view.by_subject.get(claim.value, ())
        if properties[claim.property].dated_by_name and not any(
            properties[c.property].is_caution for c in own
        ):
            label = view.label(claim.value)
            yield from (f"{label}: {caution} (usual caution, by its name)" for caution in cautions_for(label))


def _side(view: WorkingView, side: Side) -> dict[str, Any]:
    return {
        "day": iso(side.day) if side.day is not None else None,
        "text": day_text(side.day) if side.day is not None else None,
        "because": told_steps(view, side.steps),
    }


def _alternative(view: WorkingView, alternative: Alternative) -> dict[str, Any]:
    told: dict[str, Any] = {"claim": None, "sentence": None}
    if alternative.claim:
        told = told_claim(view, alternative.claim)
    told["what"] = alternative.what
    return {**told, **(told_window(alternative.window) or {}), "verdict": alternative.verdict.value}


def _strain(view: WorkingView, strain: Strain) -> dict[str, Any]:
    side = "not before" if strain.is_too_early else "not after"
    return {
        "strength": strain.strength,
        "side": side,
        "day": iso(strain.day),
        "sentence": f"Usually {side} {day_text(strain.day)} ({strain.strength})",
        "because": told_steps(view, strain.steps),
    }


def _conflict(view: WorkingView, conflict: Conflict) -> list[dict[str, Any]]:
    return [told_claim(view, claim) for claim in conflict.claims]


def told_dating(view: WorkingView, dating: TestedDating) -> dict[str, Any]:
    """A tested dating with its reasons."""
    return {
        "subject": dating.claim.subject,
        "label": view.label(dating.claim.subject),
        **told_claim(view, dating.claim),
        **(told_window(dating.window) or {}),
        "verdict": dating.verdict.value,
        "because": dating_reason(view, dating),
        "contested": told_claim(view, dating.contested) if dating.contested else None,
        "not_before": _side(view, dating.not_before),
        "not_after": _side(view, dating.not_after),
    }


def dating_reason(view: WorkingView, dating: TestedDating) -> str:
    """Why a dating cannot fit, in one sentence, with the conventions that play a part and how to do without them."""
    first, last = dating.window.first, dating.window.last
    low, high = dating.not_before, dating.not_after
    if high.day is not None and first is not None and first > high.day:
        return f"{window_text(dating.window)} is later than {day_text(high.day)}: {_because(view, high)}"
    if low.day is not None and last is not None and last < low.day:
        return f"{window_text(dating.window)} is earlier than {day_text(low.day)}: {_because(view, low)}"
    return f"{window_text(dating.window)} {dating.verdict.value}"


def _because(view: WorkingView, side: Side) -> str:
    claims = "; ".join(f"{view.sentence(claim)} ({view.cite(claim.citation)})" for claim in side.claims)
    granted = _granted(view, side)
    return f"{claims} ({granted})" if granted else claims


def _granted(view: WorkingView, side: Side) -> str:
    """The conventions along a chain of reasons, each once; empty where it rests on claims alone."""
    used = dict.fromkeys((step.why.convention, step.why.years) for step in side.steps if step.why.convention)
    return "; ".join(
        f"{view.vocabulary.conventions[name].label}, {years} years, taken for granted: --no-convention {name}"
        for name, years in used
        if name is not None
    )


def _told_strain(view: WorkingView, strain: StrainedRule) -> dict[str, Any]:
    return {
        "strength": strain.strength,
        "rule": strain.rule,
        "claims": [told_claim(view, claim) for claim in strain.claims],
    }


def told_audit(audit: Audit) -> dict[str, Any]:
    """The whole audit as plain tables, for JSON and for screens."""
    view = audit.chronology.view
    return {
        "claims": len(view.live),
        "datings": {verdict.value: audit.count(verdict) for verdict in Verdict},
        "impossible": [told_dating(view, dating) for dating in audit.impossible],
        "conflicts": [_conflict(view, conflict) for conflict in audit.conflicts],
        "conflict_conventions": [list(conflict.conventions) for conflict in audit.conflicts],
        "more_conflicts_than_listed": audit.is_search_capped,
        "least_doubtful_repair": [told_claim(view, claim) for claim in audit.doubtful],
        "strains": [_told_strain(view, strain) for strain in audit.strains],
        "strained_datings": [
            {**told_dating(view, dating), "verdict": "strained"} for dating in audit.strained_datings
        ],
        "conventions_off": sorted(audit.chronology.conventions.off),
    }
