"""A transcribed mark bounds the making of the piece that bears it, by registers and rules with their sources."""

from __future__ import annotations

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.mark_bounds import mark_bounds, ways_to_read
from kg.chronology.telling import told_fit
from kg.chronology.verdict import Fit, Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.dates.window import iso
from kg.daybook.record import Thing
from tests.conftest import Scene


def marked(scene: Scene, text: str, phrase: str, without: frozenset[str] = frozenset()) -> Fit:
    """The verdict on a lady that bears a mark with this text."""
    if "mark" not in scene.daybook.view().things:
        scene.add(things=[Thing("mark", ("Mark",), "Mark on the plate")])
        scene.say("lady", "bears", "mark")
        scene.say("mark", "transcribed", text)
    question = Question("lady", read_phrase(phrase, convention()), without=without)
    return fit(Chronology(scene.daybook.view()), question)


def test_a_registered_number_bounds_the_making_from_below_and_is_named_with_its_register(
    scene: Scene,
) -> None:
    answer = marked(scene, "Rd. No. 123456", "1880")
    assert answer.verdict is Verdict.CANNOT
    told = told_fit(answer, scene.daybook.view())["not_before"]
    assert told["day"] == "1889-01-01"
    first = told["because"][0]
    assert first["sentence"] == "Mark on the plate transcribed Rd. No. 123456"
    assert "British registered designs, row 1889" in first["rule"]
    assert "[published" in first["rule"]


def test_a_legal_wording_bounds_by_itself(scene: Scene) -> None:
    assert marked(scene, "Made in Occupied Japan", "1930").verdict is Verdict.CANNOT


def test_a_usual_bound_of_a_mark_strains_and_never_contradicts(scene: Scene) -> None:
    answer = marked(scene, "Germany", "1885")
    assert answer.verdict is Verdict.UNBOUNDED
    assert [(strain.strength, iso(strain.day)) for strain in answer.strains] == [("usual", "1891-03-01")]


def test_doubting_the_transcription_takes_its_bounds_away(scene: Scene) -> None:
    answer = marked(scene, "Rd. No. 123456", "1880")
    transcribed = next(c for c in answer.not_before.claims if c.property == "transcribed")
    assert marked(scene, "", "1880", frozenset({transcribed.id})).verdict is Verdict.UNBOUNDED


def test_an_ambiguous_number_gets_a_verdict_for_each_reading(scene: Scene) -> None:
    answer = marked(scene, "PAT. NO. 1,234,567", "1900")
    tried = [a for a in answer.alternatives if a.claim is not None and a.claim.property == "transcribed"]
    assert len(tried) >= 2
    assert {Verdict.CANNOT, Verdict.UNBOUNDED} <= {a.verdict for a in tried}


@pytest.mark.parametrize("text", ["", "139", "a [broken", "[---]", "T & O"])
def test_a_mark_that_says_nothing_of_time_bounds_nothing_hard(text: str) -> None:
    assert [bound for bound in mark_bounds(text) if bound.strength == "hard"] == []


def test_an_ambiguous_stretch_bounds_no_more_than_each_of_its_readings() -> None:
    text = "PAT. NO. 1,234,567"
    general = max((b.day for b in mark_bounds(text) if b.is_lower and b.strength == "hard"), default=-(10**9))
    for ways in ways_to_read(text):
        for way in ways:
            hard = [b.day for b in way.bounds if b.is_lower and b.strength == "hard"]
            assert general <= max(hard, default=-(10**9))
