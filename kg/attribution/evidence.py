"""Each thing that speaks for or against a maker, weighed: what was seen, the date, the mark, the height."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from kg.attribution.features import DECADE
from kg.attribution.inquiry import Inquiry
from kg.attribution.mark_evidence import MarkEvidence, cap_of, mark_evidence
from kg.attribution.mould_evidence import OWNED, mould_evidence
from kg.attribution.observations import Finding, Observation, present
from kg.attribution.sizes import measured
from kg.attribution.weight import DECIBANS_PER_NAT, Floats
from kg.chronology.verdict import Side
from kg.dates.window import day_of
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView


@dataclass(frozen=True)
class Evidence:
    """One thing weighed: for each maker, how much likelier it is than in the trade as a whole (natural log)."""

    kind: str
    """``feature``, ``date``, ``mark``, ``mould`` or ``height``."""
    name: str
    """The id of the feature; the kind itself for the others."""
    label: str
    found: str
    """What was found, in words."""
    logs: Floats
    claims: tuple[Claim, ...]
    values: tuple[int, ...] = ()
    """The codes that agree with it, for telling how many pieces show it."""
    column: int = -1
    share: float = 1.0
    mark: MarkEvidence | None = field(default=None, compare=False)


def feature_evidence(
    inquiry: Inquiry, observations: Sequence[Observation], sides: tuple[Side, Side]
) -> tuple[Evidence, ...]:
    """What was seen, and the date by the chronology, each weighed by what the recorded pieces show."""
    recorded = inquiry.recorded
    at = {slug: n for n, slug in enumerate(recorded.columns)}
    by_feature = dict(present(_without_owned_moulds(recorded.view, observations)))
    dated = _date_chances(recorded.values[at[DECADE]], sides) if DECADE in at else None
    if dated is not None:
        by_feature.pop(DECADE, None)
    columns = [at[slug] for slug in by_feature if slug in at] + ([at[DECADE]] if dated is not None else [])
    shares = inquiry.shares(columns)
    found = [
        _seen(inquiry, at[slug], said, float(shares[at[slug]]))
        for slug, said in by_feature.items()
        if slug in at
    ]
    if dated is not None:
        found.append(_dated(inquiry, at[DECADE], dated, sides, float(shares[at[DECADE]])))
    return tuple(sorted(found, key=lambda e: (e.column, e.name)))


def _without_owned_moulds(view: WorkingView, observations: Sequence[Observation]) -> list[Observation]:
    """What was seen but for moulds with an owner on record, which are weighed by their owner and not counted twice."""
    return [o for o in observations if not any(c.property == OWNED for c in view.by_subject.get(o.value, ()))]


def _seen(inquiry: Inquiry, column: int, said: Sequence[Observation], share: float) -> Evidence:
    recorded = inquiry.recorded
    slug, width = recorded.columns[column], len(recorded.values[column])
    shown = [o for o in said if o.finding is Finding.PRESENT]
    feature = recorded.features.features.get(slug)
    # Where one value was seen, the others are missing of necessity: to count that too would count it twice.
    is_settled = bool(shown) and not (feature and feature.is_several)
    missing = [o for o in said if o.finding is Finding.ABSENT and not is_settled]
    makers, trade = _likelihoods(inquiry, column)
    logs = np.zeros(len(recorded.makers))
    values: tuple[int, ...] = ()
    if shown:
        places = [recorded.places.get((slug, o.value), -1) for o in shown]
        belief = np.array([o.belief for o in shown])
        mix = np.zeros(width)
        np.add.at(mix, [p for p in places if p >= 0], belief[[p >= 0 for p in places]] / belief.sum())
        if mix.any():
            logs = logs + _believed(makers @ mix, float(trade @ mix), float(belief.max()))
        values = tuple(p for p in places if p >= 0)
    for o in missing:
        place = recorded.places.get((slug, o.value), -1)
        if place >= 0:
            logs = logs + _believed(1 - makers[:, place], 1 - float(trade[place]), o.belief)
            values = tuple(code for code in values or range(width) if code != place)
    label = feature.label if feature else "decade"
    words = [_value_text(recorded.view, inquiry, o) for o in (*shown, *missing)]
    claims = tuple(claim for o in said for claim in o.claims)
    return Evidence("feature", slug, label, "; ".join(words), share * logs, claims, values, column, share)


def _value_text(view: WorkingView, inquiry: Inquiry, o: Observation) -> str:
    known = inquiry.recorded.features.values.get(o.value)
    text = view.label(o.value) if o.value in view.things else known.label if known else o.value
    doubted = "" if o.belief == 1 else " (doubted)"
    return f"{'lacks ' if o.finding is Finding.ABSENT else ''}{text}{doubted}"


def _likelihoods(inquiry: Inquiry, column: int) -> tuple[Floats, Floats]:
    offsets = inquiry.recorded.records.offsets
    here = slice(int(offsets[column]), int(offsets[column + 1]))
    return inquiry.likelihood.chances[:, here], inquiry.likelihood.trade[here]


def _believed(makers: Floats, trade: float, belief: float) -> Floats:
    """The log ratio of what is claimed, so far as it is believed; what is not believed says nothing."""
    logs: Floats = np.log(belief * makers / trade + (1 - belief))
    return logs


def _date_chances(decades: Sequence[str], sides: tuple[Side, Side]) -> Floats | None:
    """Which decades the chronology allows; None where it bounds neither side, or allows none on record."""
    low, high = sides[0].day, sides[1].day
    if low is None and high is None:
        return None
    starts = [int(decade[:-1]) for decade in decades]
    allowed = [
        (low is None or day_of(start + 9, 12, 31) >= low) and (high is None or day_of(start, 1, 1) <= high)
        for start in starts
    ]
    return np.array(allowed, dtype=np.float64) if any(allowed) else None


def _dated(inquiry: Inquiry, column: int, dated: Floats, sides: tuple[Side, Side], share: float) -> Evidence:
    from kg.chronology.telling import day_text

    makers, trade = _likelihoods(inquiry, column)
    logs = share * np.log((makers @ dated) / float(trade @ dated))
    low, high = sides
    words = [f"not before {day_text(low.day)}"] if low.day is not None else []
    words += [f"not after {day_text(high.day)}"] if high.day is not None else []
    claims = tuple(dict.fromkeys((*low.claims, *high.claims)))
    values = tuple(int(n) for n in np.flatnonzero(dated))
    return Evidence("date", DECADE, "date", ", ".join(words), logs, claims, values, column, share)


def other_evidence(inquiry: Inquiry, piece: str) -> Iterator[Evidence]:
    """Mark and height: weighed by their own rules, beside what the features teach."""
    makers = inquiry.recorded.makers
    view = inquiry.recorded.view
    for mark in mark_evidence(view, piece, makers, inquiry.pieces_of):
        said = ", ".join(view.label(maker) for maker in mark.said_of)
        found = f"{mark.text}; a source says it is the mark of {said}" if said else mark.text
        yield Evidence("mark", "mark", "mark", found, mark.logs, mark.claims, mark=mark)
    for mould in mould_evidence(view, piece, makers, inquiry.pieces_of):
        yield Evidence("mould", "mould", "mould", view.label(mould.mould), mould.logs, mould.claims)
    seen = measured(view, piece)
    if seen is not None:
        logs = np.array([inquiry.sizes.log_ratio(maker, seen) for maker in makers])
        # So many heights on record vouch for no greater odds, as for marks.
        most = cap_of(inquiry.sizes.height_count) / DECIBANS_PER_NAT
        logs = np.clip(logs, -most, most)
        if logs.any():
            size = f", size {seen.size:g}" if seen.size is not None else ""
            words = f"{seen.height_mm:g} mm without shoes and wig{size}"
            yield Evidence("height", "height", "height", words, logs, seen.claims)
