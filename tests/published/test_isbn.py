"""ISBN, ISSN and DOI against examples that their standards and registries print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.intake.bibliography.identifiers import doi, is_issn, isbn13


@pytest.mark.parametrize(
    ("ten", "thirteen"),
    [
        # The example that the article "International Standard Book Number" of Wikipedia works out, both lengths.
        pytest.param("0-306-40615-2", "978-0-306-40615-7", id="worked out in both lengths"),
        # Its example of a check digit X (values from memory of the same article).
        pytest.param("0-8044-2957-X", "978-0-8044-2957-3", id="X for ten"),
        # The bar code shown at the head of that article; its ten digits end the same way.
        pytest.param("3-16-148410-X", "978-3-16-148410-0", id="bar code"),
    ],
)
def test_ten_and_thirteen_digits_are_one_number(ten: str, thirteen: str) -> None:
    assert isbn13(ten) == isbn13(thirteen) == thirteen.replace("-", "")


def test_the_check_digit_of_the_users_manual_is_reckoned() -> None:
    # ISBN Users' Manual (International ISBN Agency), from memory: the example 978-0-11-000222-? whose check digit is 4.
    right = [digit for digit in "0123456789" if isbn13(f"978-0-11-000222-{digit}")]
    assert right == ["4"]


@given(st.integers(0, 10**9 - 1))
def test_exactly_one_check_digit_is_right_for_ten_and_for_thirteen(number: int) -> None:
    ten = [mark for mark in "0123456789X" if isbn13(f"{number:09}{mark}")]
    thirteen = [mark for mark in "0123456789" if isbn13(f"978{number:09}{mark}")]
    assert len(ten) == len(thirteen) == 1
    assert isbn13(f"{number:09}{ten[0]}") == f"978{number:09}{thirteen[0]}"


@given(st.integers(0, 10**9 - 1), st.integers(0, 9), st.integers(1, 9))
def test_one_wrong_digit_is_always_found(number: int, place: int, by: int) -> None:
    # ISO 2108: the weights of both lengths find every error in a single digit.
    thirteen = next(text for mark in "0123456789" if isbn13(text := f"978{number:09}{mark}"))
    at = place + 3
    assert isbn13(f"{thirteen[:at]}{(int(thirteen[at]) + by) % 10}{thirteen[at + 1 :]}") is None


@pytest.mark.parametrize(
    "text", ["0-306-40615-3", "978-0-306-40615-8", "977-0-306-40615-7", "30640615-2", "X306406152", ""]
)
def test_what_is_no_isbn_is_none(text: str) -> None:
    assert isbn13(text) is None


@pytest.mark.parametrize(
    ("text", "is_right"),
    [
        # The example that the article "ISSN" of Wikipedia works out.
        ("0378-5955", True),
        ("0378-5954", False),
        # A check digit X, from memory of the same article.
        ("2434-561X", True),
    ],
)
def test_an_issn_is_checked(text: str, is_right: bool) -> None:
    assert is_issn(text) is is_right


@pytest.mark.parametrize(
    "text",
    # The DOI Handbook's own DOI, 10.1000/182, in the forms that the handbook shows.
    ["10.1000/182", "doi:10.1000/182", "https://doi.org/10.1000/182", "http://dx.doi.org/10.1000/182"],
)
def test_a_doi_is_one_in_each_of_its_forms(text: str) -> None:
    assert doi(text) == "10.1000/182"
