"""What to look at next: the features not yet examined, ranked by how much looking is expected to tell.

The expected information gain of a look is the mutual information of the maker and the value that would be seen, under
the present probabilities: how many bits of doubt about the maker it removes on average (D. V. Lindley, "On a measure
of the information provided by an experiment", Annals of Mathematical Statistics 27, 1956).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from kg.attribution.candidates import Ranking
from kg.attribution.features import DECADE, Looking
from kg.attribution.observations import Finding
from kg.attribution.weight import Floats


@dataclass(frozen=True)
class Outcome:
    """One thing that a look may find: how likely it is, and which maker would then lead."""

    value: str
    label: str
    chance: float
    leader: str
    probability: float


@dataclass(frozen=True)
class Look:
    """A look not yet taken, with what it is expected to tell, what it takes and what to mind."""

    feature: str
    label: str
    description: str
    bits: float
    looking: Looking
    caution: str
    was_tried: bool
    """Whether somebody has noted that it could not be examined."""
    outcomes: tuple[Outcome, ...]


def information_gain(chances: Floats, likelihoods: Floats) -> float:
    """The mutual information, in bits, of hypotheses with these chances and values with these likelihoods.

    >>> round(information_gain(np.array([0.5, 0.5]), np.array([[1.0, 0.0], [0.0, 1.0]])), 6)
    1.0
    """
    overall = chances @ likelihoods
    with np.errstate(divide="ignore", invalid="ignore"):
        each = np.where(likelihoods > 0, likelihoods * np.log2(likelihoods / overall), 0.0)
    return max(0.0, float(chances @ each.sum(axis=1)))


def next_looks(ranking: Ranking, count: int = 5) -> tuple[Look, ...]:
    """The looks that are expected to tell most; empty where nothing is ranked or nothing is left to look at."""
    if ranking.too_few is not None:
        return ()
    recorded = ranking.inquiry.recorded
    seen = {o.feature for o in ranking.observations if o.finding is Finding.PRESENT}
    open_columns = [
        at
        for at, slug in enumerate(recorded.columns)
        if slug not in seen and slug in recorded.features.features
    ]
    looks = [look for at in open_columns if (look := _look(ranking, at)) is not None]
    return tuple(sorted(looks, key=lambda look: (-look.bits, look.looking.order, look.feature))[:count])


def unlearned(ranking: Ranking) -> tuple[str, ...]:
    """Features that were neither looked at on the piece nor recorded on any other: no gain can be told."""
    recorded = ranking.inquiry.recorded
    known = {*recorded.columns, *(o.feature for o in ranking.observations), DECADE}
    return tuple(
        f.label for slug, f in recorded.features.features.items() if slug not in known and not f.measured_by
    )


def _look(ranking: Ranking, column: int) -> Look | None:
    recorded = ranking.inquiry.recorded
    feature = recorded.features.features[recorded.columns[column]]
    likelihoods = _after(ranking, column)
    bits = information_gain(ranking.chances, likelihoods)
    if bits <= 0:
        return None
    tried = any(o.feature == feature.slug and o.finding is Finding.NOT_EXAMINED for o in ranking.observations)
    return Look(
        feature.slug,
        feature.label,
        feature.description,
        bits,
        recorded.features.lookings[feature.looking],
        recorded.features.caution(feature),
        tried,
        tuple(_outcomes(ranking, column, likelihoods)),
    )


def _after(ranking: Ranking, column: int) -> Floats:
    """Makers, and last the one not in the daybook, by values: the chances of what a look would find.

    A feature that repeats what was already seen counts for its share only; values found missing are not expected.
    """
    inquiry = ranking.inquiry
    offsets = inquiry.recorded.records.offsets
    here = slice(int(offsets[column]), int(offsets[column + 1]))
    table = np.vstack([inquiry.likelihood.chances[:, here], inquiry.likelihood.trade[None, here]])
    columns = {e.column for e in ranking.evidence if e.column >= 0} | {column}
    share = float(inquiry.shares(columns)[column])
    tempered = inquiry.likelihood.trade[here] * (table / inquiry.likelihood.trade[here]) ** share
    slug = inquiry.recorded.columns[column]
    absent = [o.value for o in ranking.observations if o.feature == slug and o.finding is Finding.ABSENT]
    tempered[
        :,
        [
            inquiry.recorded.places[slug, value]
            for value in absent
            if (slug, value) in inquiry.recorded.places
        ],
    ] = 0
    found: Floats = tempered / tempered.sum(axis=1, keepdims=True)
    return found


def _outcomes(ranking: Ranking, column: int, likelihoods: Floats) -> Iterable[Outcome]:
    """The likeliest things that may be found, with who would lead after each."""
    recorded = ranking.inquiry.recorded
    names = (*recorded.makers, "")
    overall = ranking.chances @ likelihoods
    for code in np.argsort(-overall, kind="stable")[:3].tolist():
        after = ranking.chances * likelihoods[:, code] / overall[code]
        best = int(after.argmax())
        slug = recorded.values[column][code]
        known = recorded.features.values.get(slug)
        label = known.label if known else ranking.view.label(slug)
        yield Outcome(slug, label, float(overall[code]), names[best], float(after[best]))
