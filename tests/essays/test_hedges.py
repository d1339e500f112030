"""The house's words for degrees of attribution: every table is whole, and no step is told as surer than it is."""

from __future__ import annotations

import pytest

from kg.essays.hedges import (
    CERTAINTIES,
    LANGUAGES,
    HedgeUnknown,
    certainty_of,
    glossary,
    hedge,
    least_sure,
    table,
    tables,
)
from kg.sources_weighed.standing import STEPS, Step

RELATIONS = ("by", "workshop of", "manufactory of", "circle of", "follower of", "manner of", "after")


@pytest.mark.parametrize("name", tables())
def test_a_table_has_words_for_every_certainty_and_relation_in_three_languages(name: str) -> None:
    for certainty in ("held", "probably", "possibly", "formerly"):
        for relation in RELATIONS:
            row = hedge(name, certainty, relation)
            words = [row.text("Tarn & Ottery", language) for language in LANGUAGES]
            assert all("Tarn & Ottery" in text for text in words)
            assert len(set(words)) == 3
    assert hedge(name, "unidentified", "none").text("")
    assert len(table(name)) == 29


@pytest.mark.parametrize("name", tables())
def test_no_two_degrees_of_a_table_share_their_words(name: str) -> None:
    for language in LANGUAGES:
        words = [row.text("…", language) for row in table(name)]
        assert len(set(words)) == len(words)


@pytest.mark.parametrize("name", tables())
def test_every_degree_has_a_meaning_for_the_glossary_and_a_basis(name: str) -> None:
    assert len({row.meaning for row in table(name)}) == len(table(name))
    assert all(row.basis for row in table(name))
    assert len(list(glossary(name))) == len(table(name))


def test_two_houses_tell_one_degree_in_different_words() -> None:
    assert hedge("certainty-first", "probably", "by").text("Tarn") == "probably by Tarn"
    assert hedge("saleroom", "probably", "by").text("Tarn") == "attributed to Tarn"


def test_every_standing_has_a_certainty_and_a_worse_one_is_never_held() -> None:
    assert {certainty_of(step) for step in STEPS} <= set(CERTAINTIES)
    assert [step for step in STEPS if certainty_of(step) == "held"] == [Step.SEVERAL, Step.FIRST_HAND]
    places = [CERTAINTIES.index(certainty_of(step)) for step in STEPS]
    assert places == sorted(places)
    assert certainty_of(Step.CONTESTED) == certainty_of(Step.DOUBTED) == "possibly"
    assert certainty_of(Step.SET_ASIDE) == certainty_of(Step.WITHDRAWN) == "formerly"


def test_the_least_sure_decides() -> None:
    assert least_sure("held", "possibly", "probably") == "possibly"


def test_what_no_table_holds_is_refused_with_what_there_is() -> None:
    with pytest.raises(HedgeUnknown, match=r"called 'ours'; expected one of certainty-first, saleroom"):
        table("ours")
    with pytest.raises(HedgeUnknown, match="no row for 'held' and 'near'"):
        hedge("saleroom", "held", "near")
    with pytest.raises(HedgeUnknown, match="'nl' has no hedges; expected one of en, fr, de"):
        hedge("saleroom", "held", "by").text("Tarn", "nl")
