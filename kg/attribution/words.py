"""From a ranking to words: certainty and relation, two fields, by the house's own stated table.

The table is sources/vocabularies/degrees.csv: its rows are tried from the top, and the first that the ranking reaches
gives the words. No row may be reached by a ranking that says too little.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kg.attribution.candidates import Candidate, Ranking
from kg.resources import resource

#: Ties that put makers into one circle.
CIRCLE = ("succeeded", "founderOf", "partnerIn", "employedBy", "apprenticeOf", "childOf", "marriedTo")


@dataclass(frozen=True, slots=True)
class Degree:
    """One row of the house's table."""

    case: str
    at_least: float
    needs_calibration: bool
    needs_mark: bool
    certainty: str
    relation: str
    words: str
    basis: str


@dataclass(frozen=True, slots=True)
class Attribution:
    """What may be printed of a piece's maker."""

    maker: str | None
    certainty: str
    relation: str
    words: str
    basis: str


@lru_cache(maxsize=1)
def degrees() -> tuple[Degree, ...]:
    """The house's table, in its order."""
    with resource("sources/vocabularies/degrees.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Degree(
                row["case"],
                float(row["at_least"]),
                row["needs_calibration"] == "yes",
                row["needs_mark"] == "yes",
                row["certainty"],
                row["relation"],
                row["words"],
                row["basis"],
            )
            for row in csv.DictReader(file)
        )


def attribution(ranking: Ranking) -> Attribution:
    """The words that a ranking carries, and no stronger ones."""
    cases = dict(_cases(ranking))
    is_calibrated = ranking.too_few is None and ranking.inquiry.calibration.is_calibrated
    for degree in degrees():
        candidate, reached = cases.get(degree.case, (None, -1.0))
        if reached < degree.at_least or (degree.needs_calibration and not is_calibrated):
            continue
        if degree.needs_mark and not (candidate and _bears_whole_mark(ranking, candidate.maker)):
            continue
        maker = candidate.maker if candidate is not None else None
        words = degree.words.format(maker=ranking.view.label(maker) if maker else "")
        return Attribution(maker, degree.certainty, degree.relation, words, degree.basis)
    raise LookupError("the house's table of degrees has no row that always holds")


def _cases(ranking: Ranking) -> Iterator[tuple[str, tuple[Candidate | None, float]]]:
    """What each kind of row is held against."""
    yield "none", (None, 0.0)
    leader = ranking.leader
    if leader is None:
        return
    yield "leader", (leader, leader.probability)
    tied = circle(ranking, leader.maker)
    members = [c for c in ranking.candidates if c.maker in tied and c.exclusion is None]
    if len(members) > 1:
        yield "circle", (leader, sum(c.probability for c in members))
    outlived = [c for c in ranking.candidates if c.exclusion is not None and c.exclusion.is_outlived]
    if outlived:
        best = max(outlived, key=lambda c: c.if_not_excluded)
        yield "outlived", (best, best.if_not_excluded)


def _bears_whole_mark(ranking: Ranking, maker: str) -> bool:
    """Whether the piece bears a mark of the maker of which no character is lost, restored or uncertain."""
    return any(
        each.mark is not None
        and maker in each.mark.nearest
        and each.mark.is_whole
        and each.mark.nearest[maker][1] > 0
        for each in ranking.evidence
    )


def circle(ranking: Ranking, maker: str) -> frozenset[str]:
    """A maker with those tied to it by succession, partnership, family or training, at one remove."""
    view = ranking.view
    near = {maker}
    # A firm's people tie it to their next firm, so persons are passed through.
    for _ in range(2):
        for slug in tuple(near):
            near |= {c.value for c in view.by_subject.get(slug, ()) if c.property in CIRCLE}
            near |= {c.subject for c in view.by_value.get(slug, ()) if c.property in CIRCLE}
    return frozenset(near)
