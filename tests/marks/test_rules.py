"""Rules carry both ends, each with its strength; materials carry their cautions."""

import pytest

from kg.dates.window import day_of
from kg.marks.bounds import STRENGTHS
from kg.marks.rules import (
    MaterialUnknown,
    cautions,
    cautions_for,
    legal_rule,
    legal_rules,
    material,
    materials,
)


def test_wording_bounds_both_ends_where_its_row_does() -> None:
    first, last = legal_rule("D.R.G.M.").bounds
    assert (first.earliest, first.latest, first.strength) == (day_of(1891, 10, 1), None, "hard")
    assert (last.earliest, last.latest, last.strength) == (None, day_of(1952, 10, 31), "usual")


def test_an_end_is_never_hard_because_dies_and_stock_outlive_a_law() -> None:
    ends = [b for rule in legal_rules() for b in rule.bounds if b.latest is not None]
    ends += [b for known in materials().values() for b in known.bounds if b.latest is not None]
    assert len(ends) > 20
    assert {b.strength for b in ends} <= {"usual", "weak"}


def test_every_rule_names_its_strength_and_its_source() -> None:
    assert len(legal_rules()) == 83
    assert len(materials()) == 93
    bounds = [b for rule in legal_rules() for b in rule.bounds]
    bounds += [b for known in materials().values() for b in known.bounds]
    for made in bounds:
        assert made.strength in STRENGTHS
        assert made.source
        assert made.confidence


def test_a_material_known_only_from_memory_is_weak() -> None:
    remembered = [
        b for known in materials().values() for b in known.bounds if b.confidence.startswith("from memory")
    ]
    assert remembered
    assert {b.strength for b in remembered} == {"weak"}


def test_a_material_without_a_first_date_bounds_nothing() -> None:
    assert material("lead white in paint and flesh tints").bounds == ()


@pytest.mark.parametrize(
    ("text", "hazards"),
    [
        ("celluloid", ["cellulose nitrate"]),
        ("dress of emerald green tarlatan", ["arsenic"]),
        ("lead white", ["lead"]),
        ("vermilion lips", ["mercury"]),
        ("mildew on the body", ["mould"]),
        ("IVORY", ["protected ivory"]),
        ("tortoiseshell comb", ["protected tortoiseshell"]),
        ("mould 139", []),
        ("china", []),
    ],
)
def test_what_can_hurt_or_is_protected_calls_for_its_caution(text: str, hazards: list[str]) -> None:
    assert [caution.hazard for caution in cautions_for(text)] == hazards


def test_every_caution_defers_to_somebody_with_authority() -> None:
    for caution in cautions().values():
        assert any(word in caution.defer_to for word in ("conservator", "authority", "specialist"))
        assert str(caution).endswith(f"Ask {caution.defer_to}.")


def test_an_unknown_material_names_what_is_near() -> None:
    with pytest.raises(
        MaterialUnknown, match=r"no material or technique 'celuloid' in the table; near it: .*celluloid"
    ):
        material("celuloid")
