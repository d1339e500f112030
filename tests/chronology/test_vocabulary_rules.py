"""A property with a time rule is a block of Turtle: no program text knows it."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.verdict import Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.daybook import Daybook
from kg.vocabulary import UnknownTerm, VocabularyFault, load_vocabulary
from tests.conftest import Scene

WITH_ZIP = """
@prefix k: <https://kilnmark.example/vocabulary#> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix crm: <http://www.cidoc-crm.org/cidoc-crm/> .
k:restoredAfter a rdf:Property ; rdfs:label "restored after" ; rdfs:domain k:Artefact ; rdfs:range k:Date ;
    k:group "making" ; k:order 90 ; k:mapsTo crm:P31i_was_modified_by ;
    k:timeRule [ rdfs:label "what is restored has been made" ;
                 k:subjectSpan k:making ; k:relation k:endsNotAfter ; k:strength k:hard ] .
"""


def test_a_property_added_in_turtle_changes_a_verdict(scene: Scene) -> None:
    folder = scene.daybook.shelf.folder
    (folder / "vocabulary").mkdir()
    (folder / "vocabulary" / "restoring.ttl").write_text(WITH_ZIP, encoding="utf-8")
    scene.daybook = Daybook.open(folder)
    question = Question("lady", read_phrase("1890", convention()))
    assert fit(Chronology(scene.daybook.view()), question).verdict is Verdict.UNBOUNDED
    scene.say("lady", "restoredAfter", "1885")
    answer = fit(Chronology(scene.daybook.view()), question)
    assert answer.verdict is Verdict.CANNOT
    assert answer.not_after.steps[0].why.label == "what is restored has been made"


@pytest.mark.parametrize(
    ("turtle", "message"),
    [
        pytest.param("k:x a rdf:Property", "is no Turtle", id="no full stop"),
        pytest.param("k:x a rdf:Property .", "x has no label", id="no label"),
        pytest.param(
            'k:x a rdf:Property ; rdfs:label "x" ; rdfs:domain k:Piece ; rdfs:range k:Date ; '
            'k:timeRule [ rdfs:label "y" ; k:subjectSpan k:making ; k:relation k:nonsense ] .',
            "nonsense has no label",
            id="a relation that is not there",
        ),
    ],
)
def test_a_faulty_block_is_named_with_what_is_missing(tmp_path: Path, turtle: str, message: str) -> None:
    head = WITH_ZIP.split("k:restoredAfter")[0]
    path = tmp_path / "extension.ttl"
    path.write_text(head + turtle, encoding="utf-8")
    with pytest.raises(VocabularyFault, match=message):
        load_vocabulary(path)


def test_an_unknown_property_names_the_near_ones() -> None:
    with pytest.raises(UnknownTerm, match="Did you mean madeBy"):
        load_vocabulary().property("madeby")


def test_every_property_has_a_domain_range_label_and_mapping_that_exist() -> None:
    vocabulary = load_vocabulary()
    literals = {"Date", "string", "integer", "Claim"}
    for prop in vocabulary.properties.values():
        assert prop.domain in vocabulary.kinds, prop.name
        assert prop.range in vocabulary.kinds or prop.range in literals, prop.name
        assert prop.maps_to.startswith("http"), prop.name


def test_every_rule_speaks_of_spans_that_its_ends_have() -> None:
    vocabulary = load_vocabulary()
    for prop in vocabulary.properties.values():
        for rule in prop.rules:
            ends = (prop.range, prop.domain) if rule.is_inverse else (prop.domain, prop.range)
            for kind, span in zip(ends, (rule.subject_span, rule.object_span), strict=True):
                if span is not None:
                    below = vocabulary.descendants[kind]
                    assert any(span in vocabulary.spans_of([name]) for name in below), (prop.name, span)
