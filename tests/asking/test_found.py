"""Finding things by any name, number or mark."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.asking import Desk, Standpoint
from kg.asking.found import MOST_SHOWN, Nearness, compared, find
from kg.daybook.record import Citation, Draft, Thing
from tests.conftest import Scene


@pytest.fixture
def standpoint(scene: Scene) -> Standpoint:
    """A daybook with a maker of an accented name, its variants, and a mark."""
    book = Citation("book", "p. 1")
    things = [
        Thing("vane", ("Firm",), "Éléonore Vané & Cie"),
        Thing("vane-stamp", ("Mark",), "Vané stamp"),
        Thing("los", ("Person",), "Zofia Łoś"),
    ]
    drafts = [
        Draft("vane", "named", "Veuve Vaney", book),
        Draft("vane", "noted", "A long remark. " * 20 + "wimple", book),
        Draft("deposit", "numbered", "142 bis", book),
        Draft("vane-stamp", "transcribed", "V. & F. / PARIS", book),
    ]
    scene.add(things=things, drafts=drafts)
    return Desk(scene.daybook.shelf.folder).standpoint()


@pytest.mark.parametrize(
    ("words", "slug"),
    [
        pytest.param("eleonore vane cie", "vane", id="without accents and punctuation"),
        pytest.param("VANEY", "vane", id="a variant as printed"),
        pytest.param("142 bis", "deposit", id="a number"),
        pytest.param("v & f paris", "vane-stamp", id="a mark"),
        pytest.param("zofia los", "los", id="a letter that no accent can be taken from"),
        pytest.param("deposit", "deposit", id="the short name"),
    ],
)
def test_a_thing_answers_to_each_of_its_names(words: str, slug: str, standpoint: Standpoint) -> None:
    assert find(standpoint, words).hits[0].slug == slug


def test_the_name_that_answers_is_told_where_it_is_not_the_usual_one(standpoint: Standpoint) -> None:
    (hit,) = find(standpoint, "vaney").hits
    assert (hit.label, hit.answering, hit.claim_count) == ("Éléonore Vané & Cie", "Veuve Vaney", 2)


def test_a_remark_is_no_name(standpoint: Standpoint) -> None:
    assert find(standpoint, "wimple").hits == ()


def test_whole_names_come_before_beginnings_and_those_before_words_and_parts(scene: Scene) -> None:
    names = ("Little Ottery", "Ottery", "Ottery & Daughter", "Potterybank")
    scene.add(things=[Thing(f"t{n}", ("Firm",), name) for n, name in enumerate(names)])
    found = find(Desk(scene.daybook.shelf.folder).standpoint(), "ottery")
    assert [(hit.label, hit.nearness) for hit in found.hits] == [
        ("Ottery", Nearness.WHOLE),
        ("Ottery & Daughter", Nearness.BEGINS),
        ("Tarn & Ottery", Nearness.WORDS),
        ("Little Ottery", Nearness.WORDS),
        ("Potterybank", Nearness.HOLDS),
    ]
    assert found.straight == "t1"


def test_where_several_are_named_alike_none_is_gone_to(scene: Scene) -> None:
    scene.add(things=[Thing("one", ("Firm",), "Brindle"), Thing("two", ("Person",), "Brindle")])
    found = find(Desk(scene.daybook.shelf.folder).standpoint(), "brindle")
    assert found.count == 2
    assert found.straight is None


def test_no_more_are_shown_than_can_be_read_and_all_are_counted(scene: Scene) -> None:
    scene.add(things=[Thing(f"lady-{n}", ("Piece",), f"China lady {n}") for n in range(MOST_SHOWN + 7)])
    found = find(Desk(scene.daybook.shelf.folder).standpoint(), "china lady")
    assert len(found.hits) == MOST_SHOWN
    assert found.count == MOST_SHOWN + 7


def test_a_name_spelled_alike_is_offered_and_not_gone_to(standpoint: Standpoint) -> None:
    found = find(standpoint, "Brumelov")
    assert [hit.label for hit in found.hits] == ["Adela Brumelow"]
    assert found.is_near_only
    assert found.straight is None


def test_a_claim_answers_to_its_id(standpoint: Standpoint) -> None:
    ident = next(iter(standpoint.view.claims))
    assert find(standpoint, f" {ident} ").claim == ident


@pytest.mark.parametrize("words", ["", "  ", "&&", "…"])
def test_words_without_a_letter_answer_nothing(words: str, standpoint: Standpoint) -> None:
    assert find(standpoint, words).count == 0


@given(st.text())
def test_what_is_compared_stays_the_same_when_compared_again(text: str) -> None:
    assert compared(compared(text)) == compared(text)
