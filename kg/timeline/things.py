"""Things drawn along the years: what the evidence bounds of a life, a work, a making, and the claims that bind it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from kg.chronology.chronology import Chronology, Conflict, Step, window_at
from kg.chronology.local import Limit
from kg.chronology.telling import ORDER, day_text, told_claim, window_text
from kg.dates.window import Window
from kg.daybook.view import WorkingView
from kg.timeline.drawing import Chain, Reason, Row, Scale, Timeline, days_of, numbered_clashes, with_clashes

#: Things that one drawing holds.
MOST_THINGS = 200

#: The spans in which a thing's own time is looked for first: a maker's work before a life, a making before a sale.
OWN_TIME = ("making", "activity")

#: Spans that are drawn and do not stretch the axis: a book or a sale long after all that is looked at.
OUTLYING = frozenset({"publication", "happening", "availability"})

#: A stretch longer than this in which something lies says too little to set the axis by it.
_LONG_DAYS = 60 * 365

#: For each span of a thing that a chain leads over, the numbers of the claims that bind at its days.
Met = dict[tuple[str, str], dict[int, list[int]]]

#: Things named as those of whose time nothing is known.
MOST_UNKNOWN = 12


def maker_rows(maker: str, chronology: Chronology) -> Iterator[Row]:
    """The life and the activity of a maker, where something is known of them."""
    view = chronology.view
    for span, window in spans_known(maker, chronology):
        yield replace(_span_row(maker, span, window, view), label=_whose(view, maker, span), kind="maker")


def timeline_of_thing(slug: str, chronology: Chronology) -> Timeline | None:
    """A thing's own spans along the years, as all held evidence bounds them; None where nothing does."""
    rows = [_span_row(slug, span, window, chronology.view) for span, window in spans_known(slug, chronology)]
    if not rows:
        return None
    scale = Scale([day for row in rows for day in days_of(row)], ())
    return Timeline(tuple(map(scale.bar, rows)), tuple(scale.years()), ())


def timeline_with_reasons(
    slug: str, chronology: Chronology, conflicts: Iterable[Conflict] = ()
) -> Timeline | None:
    """A thing's own spans with the spans that they depend on, and the numbered claims that bind them.

    None where nothing bounds them.
    """
    view = chronology.view
    known = dict(spans_known(slug, chronology))
    if not known:
        return None
    chains, met = _chains(slug, known, chronology)
    at = {**{(slug, span): {} for span in known}, **met}
    rows = [_met_row(slug, key, at[key], chronology) for key in at]
    clashes, marked, more = numbered_clashes(view, conflicts, {thing for thing, _ in met})
    own = [day for row in rows if row.thing == slug for day in days_of(row)]
    bound = [day for row in rows for day, _ in row.days]
    scale = Scale([*own, *bound], (day for row in rows for day in days_of(row)))
    bars = tuple(map(scale.bar, with_clashes(rows, marked)))
    return Timeline(bars, tuple(scale.years()), (), tuple(chains), clashes, more)


def timeline_of_things(
    slugs: Iterable[str],
    chronology: Chronology,
    conflicts: Iterable[Conflict] = (),
    explained: str | None = None,
) -> Timeline | None:
    """Several things on one axis, each by its own time, the earliest first; None where nothing is known of any.

    The chain of claims that binds the time of the one ``explained`` is drawn with its numbers; what it leads over
    and is not among the things follows below them.
    """
    view = chronology.view
    given = list(dict.fromkeys(slugs))
    spans = {slug: _own_time(slug, chronology) for slug in given}
    known = {slug: found for slug, found in spans.items() if found}
    if not known:
        return None
    order = sorted(known, key=lambda slug: (*_begins(known[slug][0][1]), view.label(slug).casefold(), slug))
    drawn = order[:MOST_THINGS]
    rows = [
        replace(_span_row(slug, span, window, view), label=_whose(view, slug, span))
        for slug in drawn
        for span, window in known[slug]
    ]
    chains: list[Chain] = []
    if explained is not None and (bound := dict(spans_known(explained, chronology))):
        chains, met = _chains(explained, bound, chronology)
        rows = _with_chain(rows, met, chronology)
    clashes, marked, more = numbered_clashes(view, conflicts, drawn)
    telling = [row for row in rows if row.span not in OUTLYING and any(_core(row))] or rows
    scale = Scale(
        [day for row in telling for day in _core(row)], (d for row in telling for d in days_of(row))
    )
    beyond = [row for row in rows if scale.is_beyond(row)]
    rows = [row for row in rows if not scale.is_beyond(row)]
    timeless = (slug for slug in given if slug not in known and view.vocabulary.spans_of(view.kinds(slug)))
    unknown = tuple(sorted(map(view.label, timeless), key=str.casefold))
    return Timeline(
        tuple(map(scale.bar, with_clashes(rows, marked))),
        tuple(scale.years()),
        (),
        tuple(chains),
        clashes,
        more,
        left_out=len(order) - len(drawn),
        unknown=unknown[:MOST_UNKNOWN],
        beyond=tuple(f"{row.label.partition(': ')[0]} ({row.text})" for row in beyond[:MOST_UNKNOWN]),
        more_beyond=max(len(beyond) - MOST_UNKNOWN, 0),
        more_unknown=max(len(unknown) - MOST_UNKNOWN, 0),
    )


def years_of_things(slugs: Iterable[str], chronology: Chronology) -> tuple[int, int] | None:
    """The first and last day of what is known for certain of some things' own times; None where nothing is."""
    days = [
        day
        for slug in slugs
        for span, window in _own_time(slug, chronology)
        if span not in OUTLYING
        for day in _core(_span_row(slug, span, window, chronology.view))
    ]
    return (min(days), max(days)) if days else None


def spans_known(slug: str, chronology: Chronology) -> Iterator[tuple[str, Window]]:
    """The spans of a thing that the evidence bounds, each with its window, the earliest first."""
    view, solved = chronology.view, chronology.evidence
    known = []
    for span in view.vocabulary.spans_of(view.kinds(slug)):
        base = solved.made.bases.get((slug, span))
        if base is not None and (window := window_at(solved.repaired.solution, base)) != Window():
            known.append((span, window))
    yield from sorted(known, key=lambda pair: (_begins(pair[1]), pair[0]))


def _own_time(slug: str, chronology: Chronology) -> tuple[tuple[str, Window], ...]:
    """The spans that stand for a thing beside others: its making or work, or else all that is known."""
    known = tuple(spans_known(slug, chronology))
    return tuple(pair for pair in known if pair[0] in OWN_TIME) or known


def _chains(slug: str, known: Iterable[str], chronology: Chronology) -> tuple[list[Chain], Met]:
    """The chains to the limits of a thing's own time, and where their numbered claims bind."""
    numbers: dict[str, int] = {}
    chains: list[Chain] = []
    met: Met = {}
    view = chronology.view
    for span in _bound_spans(known):
        for limit in Limit:
            day, steps = _bound(slug, span, limit, chronology)
            if day is not None:
                _number(steps, numbers, met)
                chains.append(Chain(_title(view, span, limit), day_text(day), _reasons(view, steps, numbers)))
    return chains, met


def _with_chain(rows: list[Row], met: Met, chronology: Chronology) -> list[Row]:
    """The rows with the numbers of a chain's claims, and a row for each span that it leads over and that has none."""
    places = {(row.thing, row.span): n for n, row in enumerate(rows)}
    for (thing, span), at in met.items():
        place = places.get((thing, span))
        if place is None:
            rows.append(_met_row("", (thing, span), at, chronology))
        else:
            rows[place] = replace(rows[place], days=_days(at))
    return rows


def _days(at: dict[int, list[int]]) -> tuple[tuple[int, str], ...]:
    """The days at which claims bind, each with their numbers."""
    return tuple((day, ", ".join(map(str, sorted(set(at[day]))))) for day in sorted(at))


def _bound_spans(known: Iterable[str]) -> list[str]:
    """The spans whose reasons are given: a thing's own time, or else all."""
    known = list(known)
    return [span for span in known if span in OWN_TIME] or known


def _begins(window: Window) -> tuple[float, float]:
    """What tells which of two spans begins first: a life before the work, a making before the sale."""
    early, late = window.begin_earliest, window.begin_latest
    return (-math.inf if early is None else early), (math.inf if late is None else late)


def _core(row: Row) -> Iterator[int]:
    """The days of a row that must be seen: those that are certain, or else those it is bounded by.

    None of a row that is only known to lie within a long stretch, as a birth by the longest life on record.
    """
    sure = [day for day in row.sure or () if day is not None]
    outer = [day for day in (row.outer.first, row.outer.last) if day is not None]
    is_vague = len(outer) > 1 and outer[1] - outer[0] > _LONG_DAYS
    yield from sure or (() if is_vague else outer)


def _span_row(slug: str, span: str, window: Window, view: WorkingView) -> Row:
    b, c = window.begin_latest, window.end_earliest
    thing, found = view.things.get(slug), view.vocabulary.spans[span]
    begin = window_text(Window.within(window.begin_earliest, window.begin_latest))
    end = window_text(Window.within(window.end_earliest, window.end_latest))
    return Row(
        "stretch" if found.is_lasting else "moment",
        found.label.capitalize(),
        begin if begin == end else f"begin: {begin}; end: {end}",
        window,
        (b, c) if b is not None and c is not None and b <= c else None,
        thing is not None and thing.is_confidential,
        slug,
        span,
        begin,
        end,
    )


def _whose(view: WorkingView, slug: str, span: str) -> str:
    return f"{view.label(slug)}: {view.vocabulary.spans[span].label}"


def _met_row(slug: str, key: tuple[str, str], at: dict[int, list[int]], chronology: Chronology) -> Row:
    """A row of the thing itself or of what its time depends on, with the claims that bind at their days."""
    thing, span = key
    view, solved = chronology.view, chronology.evidence
    window = window_at(solved.repaired.solution, solved.made.bases[key])
    row = _span_row(thing, span, window, view)
    return replace(row, label=row.label if thing == slug else _whose(view, thing, span), days=_days(at))


def _bound(slug: str, span: str, limit: Limit, chronology: Chronology) -> tuple[int | None, tuple[Step, ...]]:
    """One limit of a span, with the chain that leads to it.

    Of a short span, such as a making, the limits are those of any moment of it; of a lasting one, its outer ends.
    """
    is_lasting = chronology.view.vocabulary.spans[span].is_lasting
    is_end = (limit is Limit.LATEST) == is_lasting
    base = chronology.evidence.made.bases[slug, span]
    return chronology.ask(chronology.evidence).bound(base + is_end, limit)


def _number(steps: Iterable[Step], numbers: dict[str, int], met: Met) -> None:
    """Number the claims of a chain, and note at which day of which span each binds."""
    for step in steps:
        if step.claim is not None:
            numbers.setdefault(step.claim.id, len(numbers) + 1)
        if step.point is None:
            continue
        row = met.setdefault((step.point.thing, step.point.span), {})
        if step.claim is not None and step.day is not None:
            row.setdefault(step.day, []).append(numbers[step.claim.id])


def _title(view: WorkingView, span: str, limit: Limit) -> str:
    found = view.vocabulary.spans[span]
    outer = found.begin_word if limit is Limit.EARLIEST else found.end_word
    named = outer if found.is_lasting else found.label
    return f"{named.capitalize()} {'not before' if limit is Limit.EARLIEST else 'not after'}"


def _reasons(view: WorkingView, steps: Iterable[Step], numbers: dict[str, int]) -> tuple[Reason, ...]:
    told = (step for step in steps if step.claim is not None or step.why.label != ORDER)
    return tuple(_reason(view, step, numbers) for step in told)


def _reason(view: WorkingView, step: Step, numbers: dict[str, int]) -> Reason:
    claim, why = step.claim, step.why
    follows = None
    if step.point is not None and step.day is not None:
        span = view.vocabulary.spans[step.point.span]
        word = span.begin_word if step.point.end == "begin" else span.end_word
        follows = f"{word} of {view.label(step.point.thing)}: {day_text(step.day)}"
    return Reason(
        numbers[claim.id] if claim else None,
        told_claim(view, claim) if claim else {},
        why.label,
        why.strength,
        f"{why.convention} ({why.years} years)" if why.convention else None,
        follows,
    )
