"""What is made for citation processors, against the CSL data schema.

Source: csl-data.json of the Citation Style Language project (citation-style-language/schema on GitHub, MIT licence,
commit 00412663cee29f630e8a112abf751fce6c9c1748), stated here as its names and shapes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator

from kg.daybook.csl import DATES, NAMES, TYPES, VARIABLES, csl_items
from kg.daybook.daybook import Daybook
from kg.daybook.demo import begin_demo
from kg.intake.bibliography import take_in_bibliography
from tests.intake.bibliography.conftest import SHELF

_TYPES = """
article article-journal article-magazine article-newspaper bill book broadcast chapter classic collection dataset
document entry entry-dictionary entry-encyclopedia figure graphic hearing interview legal_case legislation
manuscript map motion_picture musical_score pamphlet paper-conference patent performance periodical
personal_communication post post-weblog regulation report review review-book software song speech standard thesis
treaty webpage
"""
_NAMES = """
author chair collection-editor compiler composer container-author contributor curator director editor
editorial-director executive-producer interviewer illustrator organizer original-author performer producer recipient
reviewed-author translator
"""
_DATES = "accessed available-date container event-date issued original-date submitted"
_TEXTS = """
language journalAbbreviation shortTitle abstract annote archive archive_collection archive_location archive-place
authority call-number citation-label collection-title container-title container-title-short dimensions division DOI
event event-place genre ISAN ISBN ISCI ISMN ISRC ISSN ISWC jurisdiction keyword medium note original-publisher
original-publisher-place original-title part-title PMCID PMID publisher publisher-place references reviewed-title
scale section source status title title-short translated-title translated-title-short URL version year-suffix
"""
_TEXTS_OR_NUMBERS = """
chapter-number citation-number collection-number edition first-reference-note-number issue locator number
number-of-pages number-of-volumes page page-first part printing supplement volume
"""
_FLAG = {"type": ["string", "number", "boolean"]}
_NUMBER = {"type": ["string", "number"]}
_TEXT = {"type": "string"}
_NAME = {
    "type": "object",
    "properties": {
        **dict.fromkeys(
            ("family", "given", "dropping-particle", "non-dropping-particle", "suffix", "literal"), _TEXT
        ),
        **dict.fromkeys(("comma-suffix", "static-ordering", "parse-names"), _FLAG),
    },
    "additionalProperties": False,
}
_PEOPLE = {"type": "array", "items": _NAME}
_PARTS = {"type": "array", "minItems": 1, "maxItems": 3, "items": _NUMBER}
_DATE = {
    "type": "object",
    "properties": {
        "date-parts": {"type": "array", "minItems": 1, "maxItems": 2, "items": _PARTS},
        "season": _NUMBER,
        "circa": _FLAG,
        "literal": _TEXT,
        "raw": _TEXT,
        "edtf": _TEXT,
    },
    "additionalProperties": False,
}
SCHEMA: dict[str, Any] = {
    "$schema": "http://json-schema.org/draft-07/schema#",
    "type": "array",
    "items": {
        "type": "object",
        "properties": {
            "type": {"type": "string", "enum": _TYPES.split()},
            "id": _NUMBER,
            "categories": {"type": "array", "items": _TEXT},
            "custom": {"type": "object"},
            **dict.fromkeys(_NAMES.split(), _PEOPLE),
            **dict.fromkeys(_DATES.split(), _DATE),
            **dict.fromkeys(_TEXTS.split(), _TEXT),
            **dict.fromkeys(_TEXTS_OR_NUMBERS.split(), _NUMBER),
        },
        "required": ["type", "id"],
        "additionalProperties": False,
    },
}


def faults(items: object) -> list[str]:
    return [error.message for error in Draft7Validator(SCHEMA).iter_errors(items)]


def test_every_source_of_the_demo_makes_a_valid_item(tmp_path: Path) -> None:
    view = begin_demo(tmp_path / "demo").view()
    cited = [
        slug
        for slug, thing in view.things.items()
        if view.vocabulary.is_a(thing.kinds, "Source") and not thing.is_confidential
    ]
    items = csl_items(view, cited)
    assert len(items) == len(cited) > 100
    assert faults(items) == []


def test_every_record_of_a_bibliography_makes_a_valid_item(tmp_path: Path) -> None:
    daybook = Daybook.begin(tmp_path / "daybook", "Test")
    file = tmp_path / "shelf.bib"
    file.write_text(SHELF, encoding="utf-8")
    plan, _ = take_in_bibliography(daybook, file, researcher="A. Tester")
    items = csl_items(daybook.view(), [taken.source for taken in plan.taken])
    assert len(items) == 3
    assert faults(items) == []


def test_every_type_and_variable_that_is_used_is_of_the_standard() -> None:
    known = SCHEMA["items"]["properties"]
    # The specification (1.0.2, appendix III) knows the type "event" besides; the schema of that commit does not.
    assert {*TYPES} == {*_TYPES.split(), "event"}
    assert {*VARIABLES.values(), *NAMES.values(), *DATES.values()} <= known.keys()


@pytest.mark.parametrize(
    "item",
    [
        {"type": "book"},
        {"id": "k", "type": "tome"},
        {"id": "k", "type": "book", "colour": "red"},
        {"id": "k", "type": "book", "author": [{"surname": "Tarn"}]},
        {"id": "k", "type": "book", "issued": {"date-parts": [[]]}},
    ],
)
def test_the_schema_refuses_what_is_not_of_the_standard(item: object) -> None:
    assert faults([item])
