"""How names are found, weighed and matched: blocking 100,000 names, the gold set, and the FEBRL data sets.

Run: python -m tests.bench.reconcile [number of names]
"""

from __future__ import annotations

import csv
import random
import re
import sys
import time
from collections import Counter
from pathlib import Path

from kg.intake.reconcile.candidates import NameIndex
from kg.intake.reconcile.conventions import stated_weights
from kg.intake.reconcile.reading import read_name
from kg.intake.reconcile.scoring import Relation, compare_names, compare_read
from tests.intake.reconcile.febrl import CLASSIFIERS, Febrl

#: Syllables of invented surnames.
SYLLABLES = re.findall(
    r"\w+",
    "bro kel tan mir vos dau fren gil hart jul lem nor pech quin ros sal thu ulm wend zet ober ing eau ois hau "
    "ster mont pel gra ard",
)
FORENAMES = re.findall(
    r"\w+",
    "Anselme Bertha Charles Delphine Ernst Friedrich Gustav Hector Isidore Jane Karl Leopold Martha Nicolas Otto "
    "Pieter Rosalie Samuel Thomas William",
)
SHORT = {
    "Charles": "Chs.",
    "Friedrich": "Friedr.",
    "Gustav": "Gust.",
    "Samuel": "Sam'l",
    "Thomas": "Thos.",
    "William": "Wm.",
}
FORMS = ("", "", " & Cie", " GmbH", " & Co. Ltd.", " A.-G.")
#: Every so many names one is given a second time in another form.
EVERY = 10


def varied(forename: str, surname: str, form: str, dice: random.Random) -> str:
    """The same maker's name as another source might print it."""
    letters = list(surname)
    slip = dice.randrange(4)
    at = dice.randrange(1, len(letters) - 1)
    if slip == 0:
        del letters[at]
    elif slip == 1:
        letters[at] = dice.choice("aeinrst")
    elif slip == 2:
        letters[at], letters[at + 1] = letters[at + 1], letters[at]
    other = "".join(letters)
    short = dice.choice((forename, SHORT.get(forename, forename), f"{forename[0]}."))
    return dice.choice((f"{short} {other}{form}", f"{other}, {short}", f"{other.upper()}, {short}{form}"))


def invented(count: int, dice: random.Random) -> tuple[list[str], set[tuple[int, int]]]:
    """Names, and which pairs of them are one maker. Surnames are drawn as unevenly as those of a town."""
    surnames = sorted(
        {
            "".join(dice.choices(SYLLABLES, k=dice.choice((2, 3, 3, 4)))).capitalize()
            for _ in range(count // 3)
        }
    )
    ranks = [1 / (rank + 20) for rank in range(len(surnames))]
    dice.shuffle(surnames)
    names: list[str] = []
    same: set[tuple[int, int]] = set()
    while len(names) < count:
        surname, forename = dice.choices(surnames, ranks)[0], dice.choice(FORENAMES)
        form = dice.choice(FORMS)
        names.append(f"{forename} {surname}{form}")
        if len(names) % EVERY == 0:
            names.append(varied(forename, surname, form, dice))
            same.add((len(names) - 2, len(names) - 1))
    return names, same


def blocking(count: int) -> None:
    """Print how many pairs are compared of all, how many that are one are among them, and how long it takes."""
    names, same = invented(count, random.Random(1838))
    began = time.perf_counter()
    reads = [read_name(name) for name in names]
    read_at = time.perf_counter()
    index = NameIndex([[read] for read in reads])
    compared, found = 0, 0
    listed = 0
    weights = stated_weights()
    missed = set(same)
    for pair in index.pairs():
        compared += 1
        if compare_read(reads[pair[0]], reads[pair[1]], weights).relation is Relation.SAME:
            listed += 1
            if pair in same:
                found += 1
        missed.discard(pair)
    ended = time.perf_counter()
    every = len(names) * (len(names) - 1) // 2
    print(f"{len(names):,} names: {compared:,} pairs compared of {every:,} ({compared / every:.5%})")
    print(f"  read {read_at - began:.1f} s, found and weighed {ended - read_at:.1f} s")
    print(
        f"  of {len(same):,} pairs planted as one: {1 - len(missed) / len(same):.2%} compared, "
        f"{found / len(same):.2%} listed"
    )
    print(
        f"  {listed:,} listed in all; the rest share surname and forename or initial, which names alone cannot part"
    )


def exhaustive(count: int) -> None:
    """Print whether any pair that would be listed is lost by not comparing all pairs."""
    names, _ = invented(count, random.Random(1839))
    reads = [read_name(name) for name in names]
    weights = stated_weights()
    pairs = set(NameIndex([[read] for read in reads]).pairs())
    began = time.perf_counter()
    listed = {
        (a, b)
        for a in range(len(reads))
        for b in range(a + 1, len(reads))
        if compare_read(reads[a], reads[b], weights).relation is not Relation.OTHER
    }
    took = time.perf_counter() - began
    print(
        f"{count:,} names, all pairs ({took:.1f} s): {len(listed):,} listed or following, "
        f"{len(listed - pairs)} lost by the index"
    )


def gold() -> None:
    """Print what becomes of the pairs whose answer is written down."""
    told = {Relation.SAME: "same", Relation.FOLLOWS: "successor", Relation.FOLLOWED: "successor"}
    path = Path(__file__).parents[1] / "intake" / "reconcile" / "names.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for half in ("tuning", "held-out"):
        counts = Counter(
            (row["relation"], told.get(compare_names(row["one"], row["other"]).relation, "different"))
            for row in rows
            if row["half"] == half
        )
        print(f"gold set, {half} half: {sum(counts.values())} pairs")
        for relation in ("same", "successor", "different"):
            right = counts[relation, relation]
            said = sum(n for (_, answer), n in counts.items() if answer == relation)
            are = sum(n for (truth, _), n in counts.items() if truth == relation)
            print(f"  {relation}: precision {right}/{said}, recall {right}/{are}")


def febrl(number: int) -> None:
    """Print the F1 of our matcher and of the package's classifiers on the same held-out pairs."""
    began = time.perf_counter()
    data = Febrl(number)
    people = len(data.ids)
    print(
        f"FEBRL {number}: {people:,} records, {len(data.pairs):,} pairs compared "
        f"({len(data.pairs) / (people * (people - 1) / 2):.3%} of all), "
        f"{data.truth.sum() / data.links:.2%} of true pairs among them"
    )
    ours = data.ours()
    print(
        f"  ours, no labels: F1 {ours.f1:.5f} ({ours.wrong} wrong, {ours.missed} missed), "
        f"{time.perf_counter() - began:.1f} s"
    )
    for name, (make, is_taught) in CLASSIFIERS.items():
        score = data.theirs(make, is_taught=is_taught)
        how = "taught with labels" if is_taught else "no labels"
        print(f"  {name}, {how}: F1 {score.f1:.5f} ({score.wrong} wrong, {score.missed} missed)")


if __name__ == "__main__":
    gold()
    exhaustive(1_500)
    blocking(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
    for number in (1, 2, 3, 4):
        febrl(number)
