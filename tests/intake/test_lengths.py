"""Heights in centimetres or inches become whole millimetres; what is no length is a fault with its place."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.intake.faults import FaultyRows
from kg.intake.lengths import UNITS, LengthNotUnderstood, millimetres
from tests.intake.conftest import Bench
from tests.intake.test_commands import taking

READ = [
    ("38,5", "cm", 385),
    ("38.5", "cm", 385),
    ("38.5 cm", "cm", 385),
    ("385", "mm", 385),
    ("12", "in", 305),
    ("12 in.", "in", 305),
    ('12"', "in", 305),
    ("12½ in.", "in", 318),
    ("12 1/2", "in", 318),
    ("12-1/2 ins", "in", 318),
    ("¾", "in", 19),
    ("12 in.", "cm", 305),
    ("38,5 cm", "in", 385),
    ("38.45", "cm", 385),
]
REFUSED = [
    "", "tall", "c. 38", "38 x 20", "-12", "0", "0.04 mm", "38.", "121/2", "12 3/2", "1/0", "12.5½", "12 ft", "1.250",
    "1,250", "38 cm 5", "١٢", "999999", "12 12 cm",
]  # fmt: skip


@pytest.mark.parametrize(("text", "unit", "expected"), READ)
def test_a_length_is_read_as_whole_millimetres(text: str, unit: str, expected: int) -> None:
    assert millimetres(text, unit) == expected


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_length_or_may_be_two_is_refused(text: str) -> None:
    with pytest.raises(LengthNotUnderstood):
        millimetres(text, "cm")


@given(st.integers(1, 99_999), st.integers(0, 99), st.sampled_from(".,"), st.sampled_from(sorted(UNITS)))
def test_the_millimetres_lie_within_half_of_one(whole: int, hundredths: int, point: str, unit: str) -> None:
    exact = (whole + Fraction(hundredths, 100)) * UNITS[unit]
    assert abs(millimetres(f"{whole}{point}{hundredths:02d}", unit) - exact) <= Fraction(1, 2)


def test_a_column_in_inches_is_recorded_in_millimetres_with_its_words(bench: Bench) -> None:
    bench.remap(('column = "height"', 'column = "height"\nunit = "in"'))
    bench.write("01,Lady,,,,12½ in.,", "02,Boy,,,,12 1/2,", "03,Girl,,,,,")
    bench.take_in()
    heights = [claim for claim in bench.daybook.view().live if claim.property == "heightMm"]
    assert sorted((claim.subject, claim.value, claim.citation.quotation) for claim in heights) == [
        ("piece-01", "318", "12½ in."),
        ("piece-02", "318", "12 1/2"),
    ]


def test_what_is_no_length_refuses_the_table_with_row_and_column(bench: Bench) -> None:
    bench.remap(('column = "height"', 'column = "height"\nunit = "cm"'))
    bench.write("01,Lady,,,,38,", "02,Boy,,,,tall,", "03,Girl,,,,1.250,")
    before = bench.files()
    with pytest.raises(FaultyRows) as caught:
        bench.take_in()
    assert str(caught.value) == (
        "Nothing was recorded: 2 faults in stock.csv.\n"
        "  - row 3, height: 'tall' found; expected a length in centimetres such as 38.5 or 38,5. "
        "Correct the cell, or map its text to a length.\n"
        "  - row 4, height: '1.250' found; expected a length in centimetres such as 38.5 or 38,5; three decimals may "
        "be thousands. Correct the cell, or map its text to a length."
    )
    assert bench.files() == before


def test_a_dry_run_marks_what_is_confidential(bench: Bench) -> None:
    bench.remap(('says = "condition"', 'says = "condition"\nconfidential = true'))
    _, out, _ = taking(bench, "--dry-run")
    assert "    Lady with a fan condition worn  (confidential)\n" in out
    assert out.count("(confidential)") == 2
