"""What was seen: by feature and value, absent and unknown kept apart, with who looked and when."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.attribution.features import BadFeatures, load_features
from kg.attribution.observations import Finding, observed, unit_of
from kg.daybook.record import Judgement, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary
from tests.attribution.trade import BEGUN, MOHAIR, SHOULDER, SWIVEL, THREADED, Trade, says, trade

ASKED_FOR = ["head material", "mouth", "hair", "eyes", "neck", "body", "hands", "costume", "size", "label"]


def test_every_value_is_described_and_says_what_looking_takes() -> None:
    features = load_features()
    assert len(features.values) > 60
    for value in features.values.values():
        assert value.label, value.slug
        assert len(value.description.split()) >= 3, value.slug
        assert value.looking in features.lookings
    assert [look.name for look in sorted(features.lookings.values(), key=lambda f: f.order)] == [
        "look", "lamp", "lift", "undress", "laboratory"
    ]  # fmt: skip


@pytest.mark.parametrize("word", ASKED_FOR)
def test_each_kind_of_feature_that_was_promised_is_there(word: str) -> None:
    assert any(word.split()[-1] in (f.label + f.slug) for f in load_features().features.values())


def test_whatever_touches_the_piece_or_can_hurt_carries_a_caution() -> None:
    features = load_features()
    for feature in features.features.values():
        if features.lookings[feature.looking].order > 1:
            assert features.caution(feature), feature.slug
    for slug, danger in (
        ("material-celluloid", "flammable"),
        ("material-felt", "mercury"),
        ("feature-wig-mohair", "arsenic"),
    ):
        assert danger in features.values[slug].caution


def test_a_file_of_features_that_names_an_unknown_feature_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "extra.ttl"
    path.write_text(
        "@prefix k: <https://kilnmark.example/vocabulary#> . @prefix t: <https://kilnmark.example/thing/> .\n"
        "@prefix skos: <http://www.w3.org/2004/02/skos/core#> .\n"
        't:feature-x a skos:Concept ; skos:inScheme t:seen-nothing ; skos:prefLabel "an x"@en ; k:looking k:look .\n'
    )
    with pytest.raises(BadFeatures, match="'an x' names 'seen-nothing'"):
        load_features(path)
    path.write_text("no turtle")
    with pytest.raises(BadFeatures, match=r"extra\.ttl is no Turtle"):
        load_features(path)


def test_present_absent_and_not_examined_are_three_findings_with_who_and_when() -> None:
    book = trade()
    book.lady(SWIVEL)
    book.add(drafts=[says("lady", "lacks", THREADED), says("lady", "notExamined", "pate")])
    found = {o.feature: o for o in observed(book.view(), load_features(), "lady")}
    assert found["seen-neck"].finding is Finding.PRESENT
    assert found["seen-eyes"].finding is Finding.ABSENT
    assert found["seen-pate"].finding is Finding.NOT_EXAMINED
    assert "seen-hair" not in found
    who, when = found["seen-neck"].looked[0]
    assert (who, when.date()) == ("A. Tester", BEGUN.date())


def test_a_finding_is_no_yes_or_no() -> None:
    with pytest.raises(TypeError, match="three answers"):
        bool(Finding.PRESENT)


def test_a_piece_is_read_with_its_original_parts_and_not_with_replaced_ones() -> None:
    book = trade()
    book.add(
        things=[
            Thing("head", ("Head",), "head"),
            Thing("body", ("Body",), "body"),
            Thing("material-wood", ("Material",), "wood"),
            Thing("material-china", ("Material",), "china"),
        ],
        drafts=[
            says("lady", "hasOriginalPart", "head"),
            says("lady", "hasReplacedPart", "body"),
            says("head", "usesMaterial", "material-china"),
            says("body", "usesMaterial", "material-wood"),
        ],
    )
    assert unit_of(book.view(), "lady") == ("lady", "head")
    assert {o.value for o in observed(book.view(), load_features(), "lady")} == {"material-china"}


def test_one_material_is_read_by_the_part_that_it_was_seen_on() -> None:
    book = trade()
    book.add(
        things=[Thing("body", ("Body",), "body"), Thing("material-wood", ("Material",), "wood")],
        drafts=[says("lady", "hasOriginalPart", "body"), says("body", "usesMaterial", "material-wood")],
    )
    assert [o.feature for o in observed(book.view(), load_features(), "lady")] == ["seen-body"]


def test_a_doubted_observation_is_believed_by_half_unless_another_source_holds_it() -> None:
    book = Trade()
    first = book.lady(SWIVEL)
    doubt = compose(
        BEGUN.replace(year=2027), "A. Tester", judgements=(Judgement(first.claims[0].id, "doubted", "dim"),)
    )
    book.entries.append(doubt)
    assert [o.belief for o in observed(book.view(), load_features(), "lady")] == [0.5]
    book.add(drafts=[says("lady", "hasFeature", SWIVEL, "book")])
    assert [o.belief for o in observed(book.view(), load_features(), "lady")] == [1.0]


def test_a_dating_is_put_into_the_decade_of_its_middle_unless_it_is_wide() -> None:
    book = Trade()
    book.add(drafts=[says("lady", "madeOn", "1874"), says("lady", "madeOn", "1800/1890")])
    assert [o.value for o in observed(book.view(), load_features(), "lady")] == ["1870s"]


def test_values_that_a_daybook_lacks_can_be_recorded_from_the_vocabulary() -> None:
    features = load_features()
    empty = WorkingView.of(load_vocabulary(), [])
    assert len(features.missing_things(empty)) == len(features.values)
    assert {SHOULDER, SWIVEL, MOHAIR}.isdisjoint(t.slug for t in features.missing_things(trade().view()))
