"""Cautions are found by every usual name of what can hurt someone or is protected."""

import pytest

from kg.marks.rules import cautions_for


@pytest.mark.parametrize(
    ("text", "hazard"),
    [
        ("CELLULOÏD", "cellulose nitrate"),
        ("Zelluloid", "cellulose nitrate"),
        ("pyroxylin", "cellulose nitrate"),
        ("Paris green", "arsenic"),
        ("mould growth", "mould"),
        ("vermilion", "mercury"),
        ("white lead", "lead"),
        ("turtle shell", "protected tortoiseshell"),
    ],
)
def test_a_hazard_is_known_by_each_of_its_names_and_the_last_word_is_left_to_others(
    text: str, hazard: str
) -> None:
    (caution,) = cautions_for(text)
    assert caution.hazard == hazard
    assert str(caution).endswith(f"Ask {caution.defer_to}.")


def test_the_number_of_a_mould_is_no_mould() -> None:
    assert cautions_for("Mould 139") == ()
