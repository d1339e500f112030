"""The form for a finding: what it offers, what it refuses and where, and what comes of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kg.asking import Desk
from kg.asking.adding import (
    Filled,
    NewThing,
    NoteDraft,
    choices_for,
    kinds_of,
    kinds_under,
    namesakes,
    note_of,
    properties_for,
    put_on,
    reading_of,
    strengths,
)
from kg.daybook.record import Thing
from tests.conftest import Scene

DATED = Filled("head", "madeOn", "about 1878", "book", "p. 4")


def test_only_what_the_vocabulary_says_of_a_class_is_offered_in_its_groups(scene: Scene) -> None:
    view = scene.daybook.view()
    offered = {one.name: one for one in properties_for(view, ("Head",))}
    assert {"madeOn", "madeBy", "bears", "named", "soldBy"} <= offered.keys()
    assert not {"bornOn", "hasPart", "sameAs", "differentFrom", "answers", "restsOn"} & offered.keys()
    groups = [one.text.split(":")[0] for one in properties_for(view, ("Head",))]
    assert groups == sorted(groups, key=list(dict.fromkeys(groups)).index)
    assert offered["madeBy"].form == "thing"
    assert offered["madeBy"].range == "Actor"
    assert offered["madeOn"].form == "date"
    assert offered["heightMm"].form == "number"


def test_a_new_thing_can_be_of_the_wanted_class_and_those_below_it(scene: Scene) -> None:
    assert {one.slug for one in kinds_under(scene.daybook.view(), "Registration")} == {
        "Registration", "Patent", "DesignDeposit", "UtilityModel", "TradeMark",
    }  # fmt: skip
    assert "Claim" not in {one.slug for one in kinds_under(scene.daybook.view())}


def test_strengths_are_offered_strongest_first(scene: Scene) -> None:
    assert [one.slug for one in strengths(scene.daybook.view())] == ["hard", "usual", "weak"]


@pytest.mark.parametrize(
    ("filled", "field", "said"),
    [
        pytest.param(replace(DATED, about=None), "about", "Choose what the finding is about", id="no thing"),
        pytest.param(replace(DATED, value=" "), "value", "Fill in what it says", id="no value"),
        pytest.param(replace(DATED, source=None), "source", "Choose the source", id="no source"),
        pytest.param(replace(DATED, locator=""), "locator", "Give the place", id="no place"),
        pytest.param(replace(DATED, value="yore"), "value", "expected a year", id="no date"),
        pytest.param(replace(DATED, source="tarn"), "source", "is a firm", id="no source but a firm"),
        pytest.param(replace(DATED, says="bornOn"), "about", "is said of a person", id="not of a head"),
        pytest.param(replace(DATED, says="heightMm"), "value", "whole number", id="no number"),
        pytest.param(replace(DATED, says="madeBy", value="book"), "value", "is a book", id="no maker"),
        pytest.param(replace(DATED, quotation="a\x07b"), "quotation", "control character", id="steering"),
        pytest.param(replace(DATED, about=NewThing("Head", " ")), "about", "a name", id="new without a name"),
        pytest.param(
            replace(DATED, about=NewThing("", "Ada")), "about", "kind of thing", id="new without a kind"
        ),
        pytest.param(
            replace(DATED, about=NewThing("Head", "a\u202eb")), "about", "control", id="a name that turns"
        ),
    ],
)
def test_what_is_wrong_is_told_in_its_field(filled: Filled, field: str, said: str, scene: Scene) -> None:
    checked = put_on(scene.daybook.view(), NoteDraft(), filled)
    assert checked.note is None
    assert said in checked.faults[field]


def test_a_finding_becomes_the_claim_that_a_typed_note_would_make(scene: Scene) -> None:
    view = scene.daybook.view()
    filled = replace(DATED, quotation="made about 1878", strength="weak", is_confidential=True)
    checked = put_on(view, NoteDraft(), filled)
    assert checked.note is not None
    (draft,) = note_of(view, checked.note, "A. Quill").drafts
    assert (draft.subject, draft.property, draft.value, draft.written) == (
        "head",
        "madeOn",
        "1878~",
        "about 1878",
    )
    assert (draft.citation.source, draft.citation.locator) == ("book", "p. 4")
    assert draft.citation.quotation == "made about 1878"
    assert draft.strength == "weak"
    assert draft.is_confidential


def test_a_new_thing_serves_the_findings_after_it_and_goes_with_the_last(scene: Scene) -> None:
    view = scene.daybook.view()
    first = put_on(
        view, NoteDraft(), Filled(NewThing("Person", "Ada  Quill"), "bornOn", "1841", "book", "p. 1")
    ).note
    assert first is not None
    assert first.things == (Thing("person-ada-quill", ("Person",), "Ada Quill"),)
    assert kinds_of(view, first, "person-ada-quill") == ("Person",)
    second = put_on(view, first, Filled("head", "madeBy", "person-ada-quill", "book", "p. 2")).note
    assert second is not None
    assert len(second.rows) == 2
    assert second.without(1).things == second.things
    assert second.without(1).without(0) == NoteDraft()
    assert (
        "new on this note"
        in choices_for(Desk(scene.daybook.shelf.folder).standpoint(), second, "Actor")[0].text
    )


def test_the_same_finding_is_not_put_on_twice(scene: Scene) -> None:
    once = put_on(scene.daybook.view(), NoteDraft(), DATED).note
    assert once is not None
    assert "already" in put_on(scene.daybook.view(), once, DATED).faults["value"]


def test_a_name_on_record_is_told_before_a_namesake_is_made(scene: Scene) -> None:
    view = scene.daybook.view()
    assert [one.slug for one in namesakes(view, NewThing("Person", " adela BRUMELOW "))] == ["brumelow"]
    made = put_on(
        view, NoteDraft(), Filled(NewThing("Head", "Head"), "condition", "worn", "book", "p. 1")
    ).note
    assert made is not None
    assert made.things[0].slug == "head-head"


def test_the_reading_of_a_date_is_told_by_its_sources_convention(scene: Scene) -> None:
    scene.add(things=[Thing("strict", ("Catalogue",), "Strict", convention="five-years")])
    view = scene.daybook.view()
    assert reading_of(view, "1878", "book").startswith("Read as 1878, which allows 1878.")
    assert "1730–1750" in reading_of(view, "about 1740", "book")
    assert "1735–1745" in reading_of(view, "about 1740", "strict")
    assert "no date" in reading_of(view, "undated", "book")
    assert "expected a year" in reading_of(view, "in days of yore", "book")
