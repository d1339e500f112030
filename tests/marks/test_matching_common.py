"""Wording that a great many marks bear tells no two of them apart."""

from __future__ import annotations

import pytest

from kg.marks.matching import MarkIndex
from kg.marks.matching_common import common_places, is_common_alone, least_shares
from kg.marks.registers import read_table
from kg.marks.rules import FOLDER
from kg.marks.transcription import parse_transcription

RECORDED = {
    "wexel": "Wexel / Germany",
    "pomfret": "Pomfret 88",
    "halle": "H. B. 7 / Déposé",
    "tarn": "D.R.G.M. 171104 / Tarn & Ottery",
    "export": "Obersteg / Made in Germany",
    "short": "W / Germany",
}
#: Ten decibans and what spaces around the wording may add.
MOST_DECIBANS = 12.0


@pytest.fixture(scope="module")
def index() -> MarkIndex:
    return MarkIndex.build(list(RECORDED), [parse_transcription(text) for text in RECORDED.values()])


def decibans(index: MarkIndex, seen: str, name: str) -> float:
    found = index.search(parse_transcription(seen), len(RECORDED), least_bits=-200)
    return next(match.decibans for match in found if match.id == name)


def common(text: str) -> str:
    mark = parse_transcription(text)
    return "".join(getattr(mark.elements[at], "char", "|") for at in sorted(common_places(mark)))


@pytest.mark.parametrize(
    ("seen", "recorded"),
    [
        pytest.param("GERMANY", "Germany", id="a country"),
        pytest.param("Déposé", "Déposé", id="a legal wording"),
        pytest.param(
            "D.R.G.M. / D.R.P. / Déposé / Germany", "D R G M D R P Depose Germany", id="many at once"
        ),
        pytest.param("Made in Germany", "Made in Germany", id="several words"),
        pytest.param("mirrored: YNAMREG", "Germany", id="a country, mirrored and typed as it looks"),
        pytest.param("Germ[---]", "Germany", id="half of a country"),
    ],
)
def test_common_wording_alone_weighs_no_more_than_ten_decibans_or_so_however_long_it_is(
    seen: str, recorded: str
) -> None:
    others = ["Wexel 7", "Pomfret", "Tarn 12", "Ottery 8"]
    index = MarkIndex.build(["it", *others], [recorded, *others])
    assert 0 < decibans_of_first(index, seen) <= MOST_DECIBANS


def decibans_of_first(index: MarkIndex, seen: str) -> float:
    (first, *_) = index.search(parse_transcription(seen), 1, least_bits=-200)
    assert first.id == "it"
    return first.decibans


def test_wording_that_stands_on_more_of_the_recorded_marks_weighs_less() -> None:
    names = ["Wexel", "Pomfret", "Tarn", "Ottery", "Halle", "Lampe", "Quince", "Ister"]

    def weight(bearing: int) -> float:
        marks = [f"{name} Germany" if at < bearing else name for at, name in enumerate(names)]
        match = MarkIndex.build(names, marks).search("Wexel Germany", 1)[0]
        return next(part.decibans for part in match.parts if part.kind == "common")

    assert weight(2) == pytest.approx(6.0, abs=0.1)  # ten times the logarithm of 8 in 2
    assert weight(4) == pytest.approx(3.0, abs=0.1)
    assert weight(8) == pytest.approx(0.0, abs=0.1)


def test_names_initials_and_numbers_weigh_as_before_beside_common_wording(index: MarkIndex) -> None:
    with_it, without = decibans(index, "Wexel / Germany", "wexel"), decibans(index, "Wexel", "wexel")
    assert with_it > 25
    # The record's own word is not seen the second time, which tells against it.
    assert without < with_it
    own = decibans(index, "D.R.G.M. 171104 / Tarn & Ottery", "tarn")
    assert own > decibans(index, "D.R.G.M. 177104 / Tarn & Ottery", "tarn") + 10


def test_a_mark_that_shares_only_common_wording_is_not_offered(index: MarkIndex) -> None:
    found, why = index.offered(parse_transcription("Déposé / C 4"))
    assert (found, why) == ([], "No mark on record is likelier the same than another")


def test_a_mark_of_nothing_but_common_wording_is_offered_no_match_unless_faint_ones_are_wanted(
    index: MarkIndex,
) -> None:
    mark = parse_transcription("GERMANY")
    found, why = index.offered(mark)
    assert found == []
    assert why == (
        "All that can be read is wording that the law or the customs asked for; "
        "it stands on the marks of every maker and tells none from another"
    )
    faint, why_faint = index.offered(mark, with_faint=True)
    assert {match.id for match in faint} == {"short"}
    assert why_faint == why


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("GERMANY 139", "GERMANY"),
        ("Made in Germany / Wexel", "Made in Germany"),
        ("D.R.G.M. 17310", "D.R.G.M. "),
        ("Pat. No. 1,147,592 / PATENT", "Pat. No. PATENT"),
        ("PAT'D MAY 13, 1873", "PAT'D "),
        ("Rd. No. 150412", "Rd. No. "),
        ("W.Z.", ""),
        ("Wexel / Patience", ""),
        ("LONDON", ""),
    ],
)
def test_only_the_words_of_common_wording_are_common_and_never_a_number_a_date_or_two_initials(
    text: str, found: str
) -> None:
    assert common(text) == found


@pytest.mark.parametrize(
    "text", ["GERMANY", "Made in Germany / Déposé", "[---]many", "mirrored: YNAMREG", "DEP"]
)
def test_a_mark_of_wording_only_is_known_as_such(text: str) -> None:
    assert is_common_alone(parse_transcription(text))


@pytest.mark.parametrize("text", ["GERMANY 1", "K / GERMANY", "Wexel", "[---]", "DEP 4", "GERMANY / a\u0301"])
def test_a_mark_with_anything_else_that_can_be_read_is_not_wording_only(text: str) -> None:
    assert not is_common_alone(parse_transcription(text))


def test_plain_text_is_weighed_as_a_transcription_of_it() -> None:
    marks = ["Wexel Germany", "Pomfret", "Ottery"]
    index = MarkIndex.build(marks, marks)
    typed = index.search(parse_transcription("Wexel Germany"), 1)[0].score_bits
    assert index.search("Wexel Germany", 1)[0].score_bits == typed
    assert is_common_alone("Germany…")


def test_every_least_share_is_a_share_with_its_basis() -> None:
    assert all(0 < share <= 1 for share in least_shares().values())
    assert all(
        "common practice, no source" in row["basis"] for row in read_table(f"{FOLDER}/common_wording.csv")
    )
