"""The recorded pieces of a daybook as a table to learn from: who made each, and what was seen on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kg.attribution.features import DECADE, Features
from kg.attribution.likelihood import Codes, Records
from kg.attribution.observations import DOUBTED, Finding, Observation, observed, same_things, unit_of
from kg.dates.window import civil
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView

#: A maker whose pieces are attributed, not given, counts as one whose claims are doubted.
ATTRIBUTED = "attributedTo"
#: A period is a quarter of a century.
PERIOD_YEARS = 25
#: Ties by which a person's work goes under a firm's name.
FIRM_TIES = ("founderOf", "partnerIn", "employedBy")
#: Below so many recorded pieces, or makers with two or more of them, nothing is ranked.
LEAST_PIECES, LEAST_MAKERS = 30, 3


@dataclass(frozen=True)
class Recorded:
    """The recorded pieces with their makers, and the columns that are learned from."""

    view: WorkingView
    features: Features
    makers: tuple[str, ...]
    pieces: tuple[str, ...]
    """One a row; a row's number is the piece's place."""
    columns: tuple[str, ...]
    """The features, by id."""
    values: tuple[tuple[str, ...], ...]
    """The values of each column."""
    records: Records
    seen: tuple[tuple[Observation, ...], ...]
    """What was seen on each piece."""

    @cached_property
    def places(self) -> Mapping[tuple[str, str], int]:
        """The code of each value by column and id."""
        return {
            (column, value): code
            for column, values in zip(self.columns, self.values, strict=True)
            for code, value in enumerate(values)
        }

    @cached_property
    def declared(self) -> tuple[tuple[int, int], ...]:
        """Pairs of columns that the vocabulary counts once with one another."""
        at = {slug: n for n, slug in enumerate(self.columns)}
        pairs = [
            (at[slug], at[other])
            for slug in self.columns
            if slug in self.features.features
            for other in self.features.features[slug].counted_once_with
            if other in at
        ]
        return tuple(sorted({(min(pair), max(pair)) for pair in pairs}))

    @cached_property
    def rows_of(self) -> Mapping[str, tuple[int, ...]]:
        """The rows of each maker's pieces."""
        found: dict[str, list[int]] = defaultdict(list)
        for row, maker in enumerate(self.records.maker.tolist()):
            found[self.makers[maker]].append(row)
        return {maker: tuple(rows) for maker, rows in found.items()}

    def leaving_out(self, piece: str) -> Recorded:
        """The same pieces without one, however it is recorded; nothing is read again."""
        skip = set(same_things(self.view, piece))
        kept = [row for row, known in enumerate(self.pieces) if known not in skip]
        if len(kept) == len(self.pieces):
            return self
        records = self.records.rows(np.asarray(kept, dtype=np.int64))
        pieces, seen = tuple(self.pieces[r] for r in kept), tuple(self.seen[r] for r in kept)
        return replace(self, pieces=pieces, seen=seen, records=records)

    @property
    def too_few(self) -> str | None:
        """Why nothing is ranked from these pieces; None if they are enough."""
        rich = sum(1 for output in self.records.outputs if output >= 2)
        if len(set(self.pieces)) >= LEAST_PIECES and rich >= LEAST_MAKERS:
            return None
        return (
            f"Too few recorded pieces to rank: {len(set(self.pieces))} pieces, {rich} makers with two or more; "
            f"at least {LEAST_PIECES} pieces and {LEAST_MAKERS} such makers are needed. "
            "Record more pieces whose maker is known."
        )


def attribution_property(view: WorkingView) -> str:
    """The property that says who made a piece."""
    return next(p.name for p in view.vocabulary.properties.values() if p.is_attribution)


def recorded(view: WorkingView, features: Features) -> Recorded:
    """The recorded pieces of a daybook.

    A piece that is recorded twice counts once; a piece with several makers claimed is shared among them.
    """
    rows = [row for piece in _pieces(view) for row in _rows(view, piece)]
    seen = {piece: observed(view, features, piece) for piece in dict.fromkeys(piece for piece, *_ in rows)}
    makers = tuple(dict.fromkeys([*sorted({maker for _, maker, _ in rows}), *_without_pieces(view, rows)]))
    columns, values = _columns(features, seen.values())
    codes = np.full((len(rows), len(columns)), -1, dtype=np.int32)
    belief = np.ones(codes.shape)
    at = {slug: n for n, slug in enumerate(columns)}
    place = {
        (slug, v): code for slug, known in zip(columns, values, strict=True) for code, v in enumerate(known)
    }
    for row, (piece, _, _) in enumerate(rows):
        for slug, (value, believed) in _best_believed(seen[piece]).items():
            if slug in at:
                codes[row, at[slug]], belief[row, at[slug]] = place[slug, value], believed
    number = {maker: n for n, maker in enumerate(makers)}
    maker = np.array([number[m] for _, m, _ in rows], dtype=np.int32)
    weight = np.array([w for *_, w in rows], dtype=np.float64)
    records = Records(
        maker,
        codes,
        tuple(len(v) for v in values),
        len(makers),
        _periods(view, makers, rows, seen),
        weight,
        belief,
    )
    pieces = tuple(piece for piece, *_ in rows)
    return Recorded(view, features, makers, pieces, columns, values, records, tuple(seen[p] for p in pieces))


_Row = tuple[str, str, float]


def _pieces(view: WorkingView) -> list[str]:
    """Whole pieces, and parts that belong to none; of several records of one piece, the first."""
    vocabulary = view.vocabulary
    owned = {
        claim.value
        for claim in view.live
        if claim.property in vocabulary.properties and vocabulary.properties[claim.property].group == "parts"
    }
    found = []
    for slug, thing in view.things.items():
        is_whole = vocabulary.is_a(thing.kinds, "Piece")
        is_loose = vocabulary.is_a(thing.kinds, "Part") and slug not in owned
        if (is_whole or is_loose) and slug == min(same_things(view, slug)):
            found.append(slug)
    return found


def maker_claims(view: WorkingView, piece: str) -> tuple[Claim, ...]:
    """The claims that say who made a piece or one of its original parts."""
    wanted = (attribution_property(view), ATTRIBUTED)
    return tuple(
        c for one in unit_of(view, piece) for c in view.by_subject.get(one, ()) if c.property in wanted
    )


def _rows(view: WorkingView, piece: str) -> list[_Row]:
    """The piece with its maker; with several makers claimed, once for each with its share of belief."""
    whole = set(same_things(view, piece))
    said = maker_claims(view, piece)
    claims = [c for c in said if c.subject in whole]
    heads = [c for c in said if view.vocabulary.is_a(view.kinds(c.subject), "Head")]
    belief: dict[str, float] = {}
    for claim in claims or heads:
        is_sure = view.standing(claim.id) == "held" and claim.property != ATTRIBUTED
        maker = min(same_things(view, claim.value))
        belief[maker] = max(belief.get(maker, 0.0), 1.0 if is_sure else DOUBTED)
    total = max(1.0, sum(belief.values()))
    return [(piece, maker, weight / total) for maker, weight in sorted(belief.items())]


def _without_pieces(view: WorkingView, rows: Sequence[_Row]) -> list[str]:
    """Makers on record of whom no piece is; a person who worked under a firm's name goes under the firm."""
    known = {maker for _, maker, _ in rows}
    found = []
    for slug, thing in sorted(view.things.items()):
        if (
            slug in known
            or slug != min(same_things(view, slug))
            or not view.vocabulary.is_a(thing.kinds, "Maker")
        ):
            continue
        if not any(c.property in FIRM_TIES for c in view.by_subject.get(slug, ())):
            found.append(slug)
    return found


def _columns(
    features: Features, seen: Iterable[Sequence[Observation]]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The features that any piece shows, and the values of each: the vocabulary's, then the daybook's own."""
    shown: dict[str, set[str]] = defaultdict(set)
    for observations in seen:
        for o in observations:
            if o.finding is Finding.PRESENT:
                shown[o.feature].add(o.value)
    measured = {slug for slug, feature in features.features.items() if feature.measured_by}
    ordered = [slug for slug in features.features if slug in shown.keys() - measured]
    columns = (*ordered, *([DECADE] if DECADE in shown else []))
    listed = {slug: [value.slug for value in features.values_by_feature.get(slug, ())] for slug in columns}
    return columns, tuple(tuple(dict.fromkeys([*listed[slug], *sorted(shown[slug])])) for slug in columns)


def _best_believed(seen: Sequence[Observation]) -> dict[str, tuple[str, float]]:
    """By feature: the value that is best believed, among equals the one that most claims give; and how far it is."""
    best: dict[str, tuple[float, int, str]] = {}
    for o in seen:
        if o.finding is Finding.PRESENT:
            best[o.feature] = max(best.get(o.feature, (0.0, 0, "")), (o.belief, len(o.claims), o.value))
    return {feature: (value, belief) for feature, (belief, _, value) in best.items()}


def _periods(
    view: WorkingView, makers: Sequence[str], rows: Sequence[_Row], seen: Mapping[str, Sequence[Observation]]
) -> Codes:
    """The quarter of a century of each maker's recorded pieces, or of its recorded years; -1 where neither is known."""
    years: dict[str, list[int]] = defaultdict(list)
    for piece, maker, _ in rows:
        years[maker] += [int(o.value[:-1]) for o in seen[piece] if o.feature == DECADE]
    found = np.full(len(makers), -1, dtype=np.int32)
    for at, maker in enumerate(makers):
        known = sorted(years.get(maker) or _years(view, maker))
        if known:
            found[at] = known[len(known) // 2] // PERIOD_YEARS
    first = int(found[found >= 0].min(initial=10_000))
    return np.where(found >= 0, found - first, -1).astype(np.int32)


def _years(view: WorkingView, maker: str) -> Iterable[int]:
    for claim in view.by_subject.get(maker, ()):
        prop = view.vocabulary.properties.get(claim.property)
        if prop is not None and prop.is_date and prop.group == "activity":
            window = view.window(claim)
            yield from (civil(day)[0] for day in (window.first, window.last) if day is not None)
