"""Invented names whose answer was written down before the comparison was: one maker, two, or one who follows."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from kg.intake.reconcile.scoring import Relation, compare_names

HALVES = ("tuning", "held-out")
ANSWERS = {Relation.SAME: "same", Relation.FOLLOWS: "successor", Relation.FOLLOWED: "successor"}
#: What must be reached on each half; the figures reached are printed by tests/bench/reconcile.py.
LEAST = 0.95


def rows() -> list[dict[str, str]]:
    with Path(__file__).with_name("names.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def answer(row: dict[str, str]) -> str:
    return ANSWERS.get(compare_names(row["one"], row["other"]).relation, "different")


def test_the_set_has_enough_pairs_of_each_sort_in_each_half() -> None:
    found = rows()
    assert len(found) >= 150
    for half in HALVES:
        for relation in ("same", "successor", "different"):
            assert sum(row["half"] == half and row["relation"] == relation for row in found) >= 15


@pytest.mark.parametrize("relation", ["same", "successor", "different"])
@pytest.mark.parametrize("half", HALVES)
def test_precision_and_recall_are_high_on_the_tuned_half_and_on_the_half_held_out(
    half: str, relation: str
) -> None:
    part = [(row["relation"], answer(row)) for row in rows() if row["half"] == half]
    right = sum(truth == said == relation for truth, said in part)
    assert right / sum(said == relation for _, said in part) >= LEAST
    assert right / sum(truth == relation for truth, _ in part) >= LEAST


def test_no_name_that_says_that_it_follows_is_taken_for_the_one_it_follows() -> None:
    wrong = [
        (row["one"], row["other"])
        for row in rows()
        if row["relation"] == "successor" and answer(row) == "same"
    ]
    assert wrong == []
