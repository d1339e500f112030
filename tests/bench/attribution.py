"""Attribution measured: its speed at 2,000 makers and 100,000 pieces, and its ranks beside known classifiers.

Run as ``python -m tests.bench.attribution``. scikit-learn and palmerpenguins are needed here, never in the product.
"""

from __future__ import annotations

import random
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np

from kg.attribution.calibration import brier, calibration_error, log_loss, shown
from kg.attribution.candidates import rank
from kg.attribution.dependence import likeness, shares
from kg.attribution.features import load_features
from kg.attribution.held_out import calibrate, leave_one_out
from kg.attribution.inquiry import Inquiry, Settings
from kg.attribution.likelihood import Likelihood, Records
from kg.attribution.next_look import information_gain
from kg.attribution.weight import normalised
from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary

FEATURES, MAKERS, PIECES = 40, 2_000, 100_000
FOLDS = 5


def invented(pieces: int, makers: int, seed: int = 1878) -> Records:
    """Recorded pieces of an invented trade: firm habits, three in ten features unseen, five periods."""
    chance = np.random.default_rng(seed)
    sizes = tuple(int(n) for n in chance.integers(3, 16, FEATURES))
    output = chance.zipf(1.6, makers).clip(max=200).astype(float)
    maker = chance.choice(makers, pieces, p=output / output.sum()).astype(np.int32)
    columns = []
    for size in sizes:
        habits = chance.dirichlet(np.full(size, 0.7), makers)[maker].cumsum(axis=1)
        columns.append(np.minimum((habits < chance.random((pieces, 1))).sum(axis=1), size - 1))
    codes = np.stack(columns, axis=1).astype(np.int32)
    codes[chance.random(codes.shape) < 0.3] = -1
    period = chance.integers(0, 5, makers).astype(np.int32)
    return Records(maker, codes, sizes, makers, period, np.ones(pieces))


def timed(work: Callable[[], Any], times: int = 1) -> tuple[float, Any]:
    """The least time of some runs, in seconds, and the last result."""
    best, found = float("inf"), None
    for _ in range(times):
        begun = perf_counter()
        found = work()
        best = min(best, perf_counter() - begun)
    return best, found


def learn(records: Records) -> tuple[Likelihood, np.ndarray]:
    learned = Likelihood.learned(records)
    _ = learned.chances
    return learned, likeness(records)


def one_ranking(learned: Likelihood, alike: np.ndarray, row: int) -> tuple[np.ndarray, float]:
    """A whole ranking of one piece with all its features, and the gain of a look at each feature not seen."""
    records = learned.records
    codes = records.codes[row]
    seen = np.flatnonzero(codes >= 0)
    counted = shares(alike[np.ix_(seen, seen)])
    columns = records.offsets[seen] + codes[seen]
    logs = np.log(learned.chances[:, columns] / learned.trade[columns]) @ counted
    chances = normalised(np.log(np.append(records.outputs + 1e-9, 1.0)) + np.append(logs, 0.0))
    gain = 0.0
    for column in np.flatnonzero(codes < 0):
        here = slice(int(records.offsets[column]), int(records.offsets[column + 1]))
        gain += information_gain(chances, np.vstack([learned.chances[:, here], learned.trade[None, here]]))
    return chances, gain


def speed(pieces: int, makers: int, *, with_judge: bool) -> None:
    from sklearn.naive_bayes import CategoricalNB

    records = invented(pieces, makers)
    learning, (learned, alike) = timed(lambda: learn(records), 3)
    rankings = [
        timed(lambda row=row: one_ranking(learned, alike, row))[0]
        for row in range(0, pieces, max(1, pieces // 50))
    ]
    counted = shares(alike)
    leaving, held = timed(lambda: leave_one_out(learned, counted))
    calibrating, _ = timed(lambda: calibrate(held))
    print(
        f"{pieces:>8,} pieces {makers:>6,} makers  learn {learning:6.3f} s  "
        f"one ranking with its looks {np.median(rankings) * 1000:6.2f} ms (slowest {max(rankings) * 1000:.1f})  "
        f"leave all out {leaving:6.2f} s  calibrate {calibrating:5.2f} s  top-1 {held.is_hit.mean():.3f}"
    )
    if with_judge:
        # The judge knows no missing values: they are given to it as one more value.
        filled = np.where(records.codes < 0, np.array(records.sizes), records.codes)
        judge = CategoricalNB(min_categories=[n + 1 for n in records.sizes])
        fitting, _ = timed(lambda: judge.fit(filled, records.maker), 3)
        some = filled[:: max(1, pieces // 2_000)]
        predicting, _ = timed(lambda: judge.predict_proba(some))
        all_of_them = predicting * pieces / len(some)
        print(
            f"         ratio to CategoricalNB here: learning {learning / fitting:.3f} of its fit ({fitting:.2f} s)"
        )
        print(
            f"         leaving all out {leaving / all_of_them:.2f} of its predicting all "
            f"({all_of_them:.1f} s, from {len(some):,} rows)"
        )


# ---------------------------------------------------------------- beside known classifiers

Table = tuple[np.ndarray, np.ndarray, tuple[int, ...]]


def cut(values: np.ndarray, shares_: int = 6) -> np.ndarray:
    edges = np.unique(np.quantile(values, np.arange(1, shares_) / shares_))
    found: np.ndarray = np.searchsorted(edges, values)
    return found


def penguins() -> Table:
    from palmerpenguins import load_penguins

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        table = load_penguins().dropna()
    columns = [
        cut(table[n].to_numpy(float))
        for n in ("bill_length_mm", "bill_depth_mm", "flipper_length_mm", "body_mass_g")
    ]
    columns += [np.unique(table[n].to_numpy(str), return_inverse=True)[1] for n in ("island", "sex")]
    return as_table(columns, np.unique(table["species"].to_numpy(str), return_inverse=True)[1])


def wine() -> Table:
    from sklearn.datasets import load_wine

    found = load_wine()
    return as_table([cut(column) for column in found.data.T], found.target)


def digits() -> Table:
    from sklearn.datasets import load_digits

    found = load_digits()
    return as_table([np.digitize(column, [1, 6, 11]) for column in found.data.T], found.target)


def as_table(columns: list[np.ndarray], truth: np.ndarray) -> Table:
    codes = np.stack(columns, axis=1).astype(np.int32)
    return codes, truth.astype(np.int32), tuple(int(n) for n in codes.max(axis=0) + 1)


def full_model(codes: np.ndarray, truth: np.ndarray, sizes: tuple[int, ...], asked: np.ndarray) -> np.ndarray:
    """The product's model: hierarchy, repeats counted once, calibration; the maker not in the daybook left out."""
    records = Records.plain(truth, codes, sizes, int(truth.max()) + 1)
    learned = Likelihood.learned(records)
    counted = shares(likeness(records))
    remedy = calibrate(leave_one_out(learned, counted, has_unrecorded=False)).remedy
    columns = records.offsets[:-1] + asked
    scores = np.log(learned.chances)[:, columns] @ counted + np.log(records.outputs)[:, None]
    return shown(remedy, normalised(scores.T))


def judges(sizes: tuple[int, ...]) -> dict[str, Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]]:
    from sklearn.ensemble import RandomForestClassifier
    from sklearn.linear_model import LogisticRegression
    from sklearn.naive_bayes import CategoricalNB
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import OneHotEncoder

    known = [list(range(n)) for n in sizes]

    def of(model: Any) -> Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]:
        return lambda codes, truth, asked: model.fit(codes, truth).predict_proba(asked)

    return {
        "full model": lambda codes, truth, asked: full_model(codes, truth, sizes, asked),
        "CategoricalNB": of(CategoricalNB(min_categories=list(sizes))),
        "logistic regression": of(
            make_pipeline(OneHotEncoder(categories=known), LogisticRegression(max_iter=2_000))
        ),
        "random forest": of(
            make_pipeline(
                OneHotEncoder(categories=known), RandomForestClassifier(300, random_state=0, n_jobs=1)
            )
        ),
    }


def beside(name: str, table: Table) -> None:
    codes, truth, sizes = table
    fold = np.random.default_rng(0).permutation(len(truth)) % FOLDS
    print(
        f"\n{name}: {len(truth)} rows, {len(sizes)} features, {truth.max() + 1} answers, {FOLDS} folds, same for all"
    )
    print(f"  {'':22}{'top-1':>8}{'log loss':>10}{'Brier':>8}{'calibration error':>19}")
    for judge, work in judges(sizes).items():
        chances = np.empty((len(truth), int(truth.max()) + 1))
        for each in range(FOLDS):
            inside = fold == each
            chances[inside] = work(codes[~inside], truth[~inside], codes[inside])
        hits = chances.argmax(axis=1) == truth
        print(
            f"  {judge:22}{hits.mean():8.4f}{log_loss(chances, truth.astype(np.int64)):10.4f}"
            f"{brier(chances, truth.astype(np.int64)):8.4f}{calibration_error(chances.max(axis=1), hits):19.4f}"
        )


def entries(pieces: int, makers: int) -> Iterator[Entry]:
    """A daybook of an invented trade: makers with years, and pieces with eight things seen on each."""
    chance = random.Random(1878)
    features = load_features()
    shown = [slug for slug in features.features if len(features.values_by_feature.get(slug, ())) > 1][:8]
    choices = [[v.slug for v in features.values_by_feature[slug] if len(v.features) == 1] for slug in shown]
    start = datetime(2026, 1, 1, tzinfo=UTC)

    def claims(subject: str, *said: tuple[str, str]) -> tuple[Draft, ...]:
        return tuple(
            Draft(subject, prop, value, Citation("book", "p. 1"), written=value) for prop, value in said
        )

    known = sorted({value for some in choices for value in some})
    things = (
        Thing("book", ("Book",), "A book"),
        *(Thing(v, ("Feature", "Material", "Technique"), v) for v in known),
    )
    yield compose(start, "A. Tester", things=things)
    habits = {}
    for number in range(makers):
        slug, begin = f"maker-{number}", chance.randrange(1840, 1900)
        habits[slug] = (begin, [chance.choice(some) for some in choices])
        drafts = claims(slug, ("activeIn", f"{begin}/{begin + 30}"))
        yield compose(
            start + timedelta(seconds=number + 1),
            "A. Tester",
            things=(Thing(slug, ("Firm", "Maker"), slug),),
            drafts=drafts,
        )
    for number in range(pieces + 1):
        slug, maker = f"piece-{number}", f"maker-{chance.randrange(makers)}"
        begin, habit = habits[maker]
        said = [
            ("hasFeature", v if chance.random() < 0.8 else chance.choice(some))
            for v, some in zip(habit, choices, strict=True)
        ]
        if number < pieces:
            said += [("madeBy", maker), ("madeOn", str(begin + chance.randrange(31)))]
        else:
            said += [("existedBy", str(begin + 30))]
        clock = start + timedelta(seconds=makers + number + 1)
        yield compose(clock, "A. Tester", things=(Thing(slug, ("Piece",), slug),), drafts=claims(slug, *said))


def whole(pieces: int, makers: int) -> None:
    """The way from a daybook's claims to a ranking, with the exclusions of every maker by the chronology."""
    view = WorkingView.of(load_vocabulary(), entries(pieces, makers), revision="invented")
    _ = view.by_subject, view.by_value
    reading, inquiry = timed(lambda: Inquiry.of(view))
    learning, _ = timed(lambda: (inquiry.likelihood.chances, inquiry.likeness))
    calibrating, _ = timed(lambda: inquiry.calibration)
    chronology = Chronology(view)
    solving, _ = timed(lambda: chronology.evidence.local)
    asked = f"piece-{pieces}"
    ranking, found = timed(lambda: rank(view, asked, chronology=chronology, inquiry=inquiry), 3)
    free = replace(inquiry, settings=Settings(has_exclusions=False))
    _ = free.likelihood.chances, free.likeness, free.calibration
    weighing, _ = timed(lambda: rank(view, asked, chronology=chronology, inquiry=free), 3)
    print(
        f"{pieces:>8,} pieces {makers:>6,} makers in a daybook  read {reading:6.2f} s  learn {learning:5.2f} s  "
        f"calibrate {calibrating:5.2f} s  chronology {solving:5.2f} s  one ranking {weighing * 1000:6.1f} ms, "
        f"with {len(found.excluded)} of {makers:,} makers ruled out {ranking * 1000:7.1f} ms"
    )


def demo() -> None:
    """The demo's held-out figures, and the time of the whole command's work on it."""
    from kg.attribution.telling import told_ranking
    from kg.daybook.demo import begin_demo

    with tempfile.TemporaryDirectory() as folder:
        view = begin_demo(Path(folder) / "daybook").view()
        seconds, ranking = timed(lambda: rank(view, "piece-unidentified-lady"))
        telling, told = timed(lambda: told_ranking(ranking))
    print(f"\nThe demo: ranked in {seconds:.2f} s with its chronology, told in {telling:.2f} s")
    print(
        "  "
        + "  ".join(
            f"{k} {v}" for k, v in told["calibration"].items() if not isinstance(v, list) and k != "says"
        )
    )


def main() -> None:
    print("Speed (aims: learn 2 s, one ranking 50 ms, leave all out 10 s at the last line)")
    for pieces, makers in ((1_000, 20), (10_000, 200), (PIECES, MAKERS)):
        speed(pieces, makers, with_judge=pieces == PIECES)
    print("\nThe whole way, from claims")
    for pieces, makers in ((1_000, 20), (10_000, 200), (PIECES, MAKERS)):
        whole(pieces, makers)
    beside("Penguins of Palmer Station (palmerpenguins)", penguins())
    beside("Wine of three growers (scikit-learn's load_wine)", wine())
    beside("Handwritten digits (scikit-learn's load_digits)", digits())
    demo()


if __name__ == "__main__":
    sys.exit(main())
