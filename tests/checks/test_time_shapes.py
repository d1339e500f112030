"""Dates that cannot all be right are found, told in words, and graded by the strength of rule and claims."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from kg.checks.check import check_all
from kg.checks.findings import Finding, Severity
from kg.checks.shapes import generated_turtle
from kg.checks.time_shapes import datings_of, time_shapes
from kg.daybook.record import Citation, Draft, Thing
from kg.vocabulary import Kind, Property, Vocabulary, load_vocabulary
from tests.checks.daybooks import view_saying
from tests.conftest import Scene

WARNING, VIOLATION, INFO = Severity.WARNING, Severity.VIOLATION, Severity.INFO


def says(subject: str, says: str, value: str, strength: str = "hard") -> Draft:
    return Draft(subject, says, value, Citation("book", "p. 1"), value, strength)


def graded(*said: Draft, described: tuple[Thing, ...] = ()) -> set[tuple[str, Severity]]:
    """The shape and severity of every finding."""
    found = check_all(view_saying(*said, described=described)).findings
    return {(finding.shape, finding.severity) for finding in found}


TWO = (Thing("second", ("Firm",), "Ottery & Daughter"),)
CLASHES = [
    pytest.param(
        [("brumelow", "bornOn", "1890"), ("brumelow", "diedOn", "1880")],
        "life-dates-exclude-each-other", id="death before birth",
    ),
    pytest.param(
        [("tarn", "founded", "1890"), ("tarn", "ceased", "1880")],
        "activity-dates-exclude-each-other", id="ceased before founded",
    ),
    pytest.param(
        [("brumelow", "diedOn", "1880"), ("brumelow", "knownActive", "1881")],
        "Person-nobody-works-after-death", id="at work after death",
    ),
    pytest.param(
        [("brumelow", "bornOn", "1870"), ("brumelow", "founded", "1880")],
        "Person-nobody-works-before-an-apprentice-s-age", id="at work at ten",
    ),
    pytest.param(
        [("lady", "madeBy", "tarn"), ("lady", "madeOn", "1860"), ("tarn", "founded", "1870")],
        "madeBy-nothing-is-made-before-its-maker-begins", id="made before the maker began",
    ),
    pytest.param(
        [("lady", "bearsRegistration", "deposit"), ("lady", "madeOn", "1866"), ("deposit", "filedOn", "1872")],
        "bearsRegistration-no-registration-stands-on-a-piece-before-it-is-filed", id="older than its registration",
    ),
    pytest.param(
        [("lady", "illustratedIn", "plates"), ("lady", "madeOn", "1880"), ("plates", "publishedOn", "1870")],
        "illustratedIn-what-is-illustrated-has-been-made", id="printed before it was made",
    ),
    pytest.param(
        [("lady", "soldBy", "shop"), ("lady", "soldOn", "1868"), ("shop", "openedOn", "1871")],
        "soldBy-a-retailer-sells-while-it-trades", id="sold before the shop opened",
    ),
    pytest.param(
        [("lady", "soldOn", "1868"), ("lady", "madeOn", "1871")],
        "Artefact-nothing-is-sold-before-it-is-made", id="sold before it was made",
    ),
    pytest.param(
        [("sale", "consignedBy", "brumelow"), ("sale", "heldOn", "1911"), ("brumelow", "diedOn", "1908")],
        "consignedBy-only-the-living-consign", id="consigned by the dead",
    ),
    pytest.param(
        [("lady", "exhibitedAt", "sale"), ("sale", "heldOn", "1867"), ("lady", "madeOn", "1878")],
        "exhibitedAt-what-is-exhibited-has-been-made", id="exhibited before it was made",
    ),
    pytest.param(
        [("lady", "hasOriginalPart", "head"), ("lady", "inscribedOn", "1867"), ("head", "madeOn", "1878")],
        "hasOriginalPart-an-original-part-is-made-before-the-piece-is-finished", id="a later head, by an inverse rule",
    ),
    pytest.param(
        [("tarn", "succeeded", "second"), ("tarn", "founded", "1870"), ("second", "ceased", "1880")],
        "succeeded-a-successor-begins-where-the-other-ends", id="the successor began first",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("said", "shape"), CLASHES)
def test_dates_that_cannot_all_be_right_are_a_violation(said: list[tuple[str, str, str]], shape: str) -> None:
    assert (shape, VIOLATION) in graded(*(says(*claim) for claim in said), described=TWO)


@pytest.mark.parametrize(("said", "shape"), CLASHES)
@pytest.mark.parametrize(("strength", "severity"), [("usual", WARNING), ("weak", INFO)])
def test_a_clash_is_graded_by_its_weakest_claim(
    said: list[tuple[str, str, str]], shape: str, strength: str, severity: Severity
) -> None:
    first, *others = said
    found = graded(says(*first, strength), *(says(*claim) for claim in others), described=TWO)
    assert (f"{shape}-by-{strength}-claims", severity) in found
    assert not any(grade is VIOLATION for _, grade in found)


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        pytest.param("1880", set(), id="in the maker's last year"),
        pytest.param("1881", {WARNING}, id="the year after: successors may have used the moulds"),
        pytest.param("1891-01-01", {WARNING}, id="the last day that ten years of successor use allow"),
        pytest.param("1891-01-02", {WARNING, VIOLATION}, id="one day longer"),
        pytest.param("1880/1895", set(), id="begun in time by the earliest reading"),
        pytest.param("1890~", {WARNING}, id="circa reaches back to within ten years"),
    ],
)
def test_made_after_the_maker_stopped_is_unusual_and_beyond_successor_use_impossible(
    made: str, expected: set[Severity]
) -> None:
    said = [says("lady", "madeBy", "tarn"), says("tarn", "ceased", "1880"), says("lady", "inscribedOn", made)]
    found = {grade for shape, grade in graded(*said) if shape.startswith("madeBy")}
    assert found == expected


def test_the_years_of_successor_use_come_from_the_vocabulary() -> None:
    vocabulary = load_vocabulary()
    longer = _with_years(vocabulary, "successor-use", 20)
    said = [says("lady", "madeBy", "tarn"), says("tarn", "ceased", "1880"), says("lady", "madeOn", "1895")]
    grades = [
        {f.severity for f in check_all(view_saying(*said, vocabulary=each)).findings}
        for each in (vocabulary, longer)
    ]
    assert grades == [{WARNING, VIOLATION}, {WARNING}]


def _with_years(vocabulary: Vocabulary, name: str, years: int) -> Vocabulary:
    prop = vocabulary.properties["madeBy"]
    rules = tuple(
        replace(rule, slack=replace(rule.slack, years=years))
        if rule.slack and rule.slack.name == name
        else rule
        for rule in prop.rules
    )
    return replace(vocabulary, properties={**vocabulary.properties, "madeBy": replace(prop, rules=rules)})


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        pytest.param(("1870", "1870"), False, id="the same year"),
        pytest.param(("1870~", "1865"), False, id="circa reaches so far"),
        pytest.param(("1870/..", "1860"), True, id="not before 1870"),
        pytest.param(("../1870", "1860"), False, id="any time up to 1870"),
        pytest.param(("[1860,1870]", "1860"), False, id="one of two years"),
    ],
)
def test_dates_are_compared_as_generously_as_they_allow(given: tuple[str, str], expected: bool) -> None:
    founded, ceased = given
    found = graded(says("tarn", "founded", founded), says("tarn", "ceased", ceased))
    assert (("activity-dates-exclude-each-other", VIOLATION) in found) is expected


@pytest.mark.parametrize(
    ("ceased", "expected"),
    [
        pytest.param("1877", False, id="within the circa of the end"),
        pytest.param("1873", True, id="before the earliest end"),
        pytest.param("1887", True, id="after the latest end"),
    ],
)
def test_an_end_that_is_about_a_year_bounds_by_its_own_circa(ceased: str, expected: bool) -> None:
    found = graded(says("tarn", "activeIn", "1860/1880~"), says("tarn", "ceased", ceased))
    assert (("activity-dates-exclude-each-other", VIOLATION) in found) is expected


def test_two_datings_that_differ_are_a_warning_and_two_records_that_differ_a_violation() -> None:
    datings = graded(says("lady", "madeOn", "1866"), says("lady", "madeOn", "1878"))
    assert datings == {("making-datings-differ", WARNING)}
    records = graded(says("deposit", "filedOn", "1866"), says("deposit", "filedOn", "1878"))
    assert records == {("registering-dates-exclude-each-other", VIOLATION)}


def test_a_finding_names_the_claims_and_reads_as_a_sentence(scene: Scene) -> None:
    link = scene.say("lady", "bearsRegistration", "deposit", source="register")
    made = scene.say("lady", "madeOn", "1866")
    filed = scene.say("deposit", "filedOn", "1872", source="register")
    assert check_all(scene.daybook.view()).findings == (
        Finding(
            "bearsRegistration-no-registration-stands-on-a-piece-before-it-is-filed",
            VIOLATION,
            "lady",
            "Older than the registration it bears: Lady with a blue snood bears the registration Deposit 142 "
            "(Register of Deposits, p. 1); Lady with a blue snood made 1866 (A Book of Heads, p. 1), yet Deposit 142 "
            "filed 1872 (Register of Deposits, p. 1)",
            "A deposit bounds the making by itself. Read the number again, and check the class of deposit and the "
            "office.",
            (link.id, made.id, filed.id),
        ),
    )


def test_a_rule_without_wording_of_its_own_speaks_by_its_label() -> None:
    said = [says("lady", "dressedBy", "tarn"), says("lady", "madeOn", "1880"), says("tarn", "ceased", "1870")]
    (finding,) = check_all(view_saying(*said)).findings
    assert finding.message == (
        "A piece is begun before its dresser stops: Lady with a blue snood dressed by Tarn & Ottery (A Book of Heads, "
        "p. 1); Lady with a blue snood made 1880 (A Book of Heads, p. 1), yet Tarn & Ottery ceased business 1870 "
        "(A Book of Heads, p. 1)"
    )


EXTENSION = """
@prefix k: <https://kilnmark.example/vocabulary#> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
k:glazedBy a rdf:Property ; rdfs:label "glazed by" ; rdfs:domain k:Artefact ; rdfs:range k:Actor ;
    k:timeRule [ rdfs:label "no glaze before the glazer" ; k:subjectSpan k:making ;
                 k:relation k:endsNotBeforeTheBeginOf ; k:objectSpan k:activity ; k:strength k:hard ] .
k:licensedOn a rdf:Property ; rdfs:label "licensed" ; rdfs:domain k:Actor ; rdfs:range k:Date ;
    k:timeRule [ rdfs:label "licence as recorded" ; k:subjectSpan k:activity ;
                 k:relation k:beginsIn ; k:strength k:hard ] .
"""


def test_a_property_added_in_turtle_is_checked_without_a_line_of_python(tmp_path: Path) -> None:
    (tmp_path / "more.ttl").write_text(EXTENSION, encoding="utf-8")
    vocabulary = load_vocabulary(tmp_path / "more.ttl")
    said = [
        says("lady", "glazedBy", "tarn"),
        says("tarn", "licensedOn", "1880"),
        says("lady", "madeOn", "1870"),
    ]
    found = check_all(view_saying(*said, vocabulary=vocabulary)).findings
    assert [(f.shape, f.severity) for f in found] == [("glazedBy-no-glaze-before-the-glazer", VIOLATION)]
    wrong = [says("plates", "licensedOn", "1880"), says("lady", "glazedBy", "book")]
    found = check_all(view_saying(*wrong, vocabulary=vocabulary)).findings
    assert {f.shape for f in found} == {"licensedOn-kinds", "glazedBy-kinds"}


def test_every_rule_between_spans_that_dates_can_reach_has_a_shape() -> None:
    vocabulary = load_vocabulary()
    made = {block.split()[0].removeprefix("s:") for block in time_shapes(vocabulary)}
    dated = {dating.span for dating in datings_of(vocabulary)}
    owners: list[Property | Kind] = [*vocabulary.properties.values(), *vocabulary.kinds.values()]
    rules = [
        (owner.name, rule)
        for owner in owners
        for rule in owner.rules
        if rule.object_span is not None and {rule.subject_span, rule.object_span} <= dated
    ]
    assert len(rules) > 40
    missing = [
        (name, rule.label) for name, rule in rules if not any(shape.startswith(f"{name}-") for shape in made)
    ]
    assert missing == []


def test_shapes_come_out_the_same_every_time() -> None:
    assert generated_turtle(load_vocabulary()) == generated_turtle(load_vocabulary())
