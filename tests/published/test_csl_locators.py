"""The labels of places in a source against the Citation Style Language's own.

The terms: CSL specification 1.0.1, section "Locators" (https://docs.citationstyles.org/en/v1.0.1/specification.html).
That a processor recognises a label only in the language of the document, and how it is printed there, is checked with
pandoc and the styles that ship.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.essays.locators import Label, labels, read_place
from tests.published.citing import name, printed

#: The locators of the specification.
TERMS = frozenset(
    ("book", "chapter", "column", "figure", "folio", "issue", "line", "note", "opus", "page", "paragraph", "part",
     "section", "sub verbo", "verse", "volume")
)  # fmt: skip
BOOK = {
    "type": "book",
    "title": "A Book of Heads",
    "author": [name("Adela", "Brumelow")],
    "issued": {"date-parts": [[1958]]},
}


def test_every_label_that_is_called_a_term_is_one_of_the_specification() -> None:
    assert {label.name for label in labels() if label.is_term} <= TERMS


def test_plate_and_lot_are_no_terms_and_are_not_called_so() -> None:
    assert {label.name for label in labels() if not label.is_term} >= {"plate", "lot"}
    assert not {"plate", "lot"} & TERMS


@pytest.mark.parametrize("label", labels(), ids=lambda label: label.name)
@pytest.mark.parametrize(
    ("style", "language"), [("mhra-notes", "en-GB"), ("infoclio-fr", "fr-FR"), ("infoclio-de", "de-DE")]
)
def test_each_label_is_printed_once_and_in_the_language_of_the_print(
    tmp_path: Path, style: str, language: str, label: Label
) -> None:
    year = "(1958)" if style == "mhra-notes" else "1958"
    for written in (label.written[0], label.written[-1]):
        notes, _ = printed(tmp_path, style, language, [(BOOK, f"{written} 3")])
        assert notes[0].endswith(f"{year}, {label.text(language[:2])} 3.")


@pytest.mark.parametrize(
    ("place", "told"),
    [
        pytest.param("p. 12", "p. 12", id="page"),
        pytest.param("pp. 12-14", "pp. 12–14", id="pages"),
        pytest.param("vol. 2, p. 33", "vol. 2, p. 33", id="compound"),
        pytest.param("p. 5, fig. 3", "p. 5, fig. 3", id="page and figure"),
        pytest.param("lot 14, p. 3", "lot 14, p. 3", id="lot and page"),
        pytest.param("pl. 12", "pl. 12", id="plate"),
        pytest.param("no. 12/3", "no. 12/3", id="number"),
        pytest.param("folio 212 verso", "fol. 212 verso", id="leaf"),
        pytest.param("12 September 1890", "12 September 1890", id="a day is no page"),
        pytest.param("under the wig", "under the wig", id="words"),
        pytest.param("class IV, parcel 6", "class IV, parcel 6", id="archive"),
    ],
)
def test_places_are_printed_as_they_are_read(tmp_path: Path, place: str, told: str) -> None:
    notes, _ = printed(tmp_path, "mhra-notes", "en-GB", [(BOOK, place)])
    assert notes == [f"Adela Brumelow, A Book of Heads (1958), {told}."]


def test_a_place_with_braces_of_its_own_steers_no_processor(tmp_path: Path) -> None:
    notes, _ = printed(tmp_path, "mhra-notes", "en-GB", [(BOOK, "pl. 3} {p. 4"), (BOOK, "{x")])
    assert notes[0].endswith("pl. 3) (p. 4.")
    assert read_place("pl. 3")[0].label is not None
