"""What a piece is made of bounds its making by the rules on materials, where nobody has dated the material."""

from __future__ import annotations

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.mark_bounds import material_bounds
from kg.chronology.telling import cautions, told_fit
from kg.chronology.verdict import Fit, Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.dates.window import iso
from kg.daybook.record import Thing
from tests.conftest import Scene


def made_of(scene: Scene, name: str, kind: str = "Material") -> None:
    """The lady uses a material of this name, of which nothing else is recorded."""
    scene.add(things=[Thing("stuff", (kind,), name)])
    scene.say("lady", "usesMaterial" if kind == "Material" else "usesTechnique", "stuff")


def asked(scene: Scene, phrase: str) -> Fit:
    question = Question("lady", read_phrase(phrase, convention()))
    return fit(Chronology(scene.daybook.view()), question)


def test_a_material_with_a_published_first_sale_contradicts_an_earlier_date_and_is_named_with_its_row(
    scene: Scene,
) -> None:
    made_of(scene, "polyester")
    answer = asked(scene, "1900")
    assert answer.verdict is Verdict.CANNOT
    told = told_fit(answer, scene.daybook.view())["not_before"]
    assert told["day"] == "1953-01-01"
    rules = [step["rule"] for step in told["because"]]
    assert any("polyester: first commercial" in rule and "[published" in rule for rule in rules), rules


def test_a_usual_begin_of_a_material_strains_and_never_contradicts(scene: Scene) -> None:
    made_of(scene, "Celluloid")
    answer = asked(scene, "1850")
    assert answer.verdict is Verdict.UNBOUNDED
    assert [(strain.strength, iso(strain.day)) for strain in answer.strains] == [("usual", "1870-07-12")]


def test_a_technique_is_dated_by_its_name_too(scene: Scene) -> None:
    made_of(scene, "ball-jointed composition body", "Technique")
    assert [strain.strength for strain in asked(scene, "1850").strains] == ["weak"]


def test_what_the_researcher_recorded_of_the_material_stands_in_place_of_the_rule(scene: Scene) -> None:
    made_of(scene, "polyester")
    scene.say("stuff", "availableFrom", "1850")
    assert asked(scene, "1900").verdict is Verdict.FITS


def test_a_name_without_its_remark_may_mean_something_wider_and_is_never_hard() -> None:
    assert [bound.strength for bound in material_bounds("acrylic (fibre)")] == ["hard"]
    (bound,) = material_bounds("acrylic")
    assert (bound.strength, "only if it is acrylic (fibre)" in bound.label) == ("usual", True)


@pytest.mark.parametrize("name", ["", "kid leather", "poly", "not polyester"])
def test_a_name_that_no_rule_has_bounds_nothing(name: str) -> None:
    assert material_bounds(name) == ()


def test_a_dangerous_material_calls_for_its_usual_caution_unless_one_is_recorded(scene: Scene) -> None:
    made_of(scene, "celluloid")
    (told,) = cautions(scene.daybook.view(), "lady")
    assert told.startswith("celluloid: Flammable")
    assert told.endswith("Ask a conservator; local fire rules come first. (usual caution, by its name)")
    scene.say("stuff", "hazard", "Keep apart.")
    (told,) = cautions(scene.daybook.view(), "lady")
    assert told.startswith("celluloid: Keep apart. (")
