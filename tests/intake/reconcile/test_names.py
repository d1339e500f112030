"""Names taken apart and compared: what agrees, by how much, and what is a successor."""

from __future__ import annotations

import pytest

from kg.intake.reconcile.conventions import name_words, stated_weights
from kg.intake.reconcile.letters import distance, plain
from kg.intake.reconcile.likeness import surname_level
from kg.intake.reconcile.reading import read_name
from kg.intake.reconcile.scoring import Relation, compare_names
from kg.intake.reconcile.titles import Titles
from kg.intake.reconcile.weights import Agreement, BadWeights


@pytest.mark.parametrize(
    ("name", "surnames", "forenames"),
    [
        pytest.param("Castagnet, Anselme", ["castagnet"], ["anselme"], id="surname first"),
        pytest.param("Castagnet (Anselme) & Cie", ["castagnet"], ["anselme"], id="forename in brackets"),
        pytest.param("J.-B. Tancrelle", ["tancrelle"], ["j", "b"], id="initials run together"),
        pytest.param("Lötzebrink, Otto v.", ["lotzebrink"], ["otto"], id="particle behind"),
        pytest.param("Krummhuber A.-G.", ["krummhuber"], [], id="a legal form with stops is no initial"),
        pytest.param("V. Hasenbein", ["hasenbein"], ["v"], id="an initial that could be a particle"),
        pytest.param("Messrs. Tarn and Ottery", ["ottery", "tarn"], [], id="two partners"),
        pytest.param("Malaquin, dressmaker", ["malaquin"], [], id="a trade behind the comma"),
        pytest.param("Co", ["co"], [], id="nothing but a legal form"),
    ],
)
def test_the_parts_of_a_name_are_found_wherever_they_stand(
    name: str, surnames: list[str], forenames: list[str]
) -> None:
    read = read_name(name)
    assert sorted(read.surnames) == surnames
    assert [f.letters for p in read.partners for f in p.forenames] == forenames


def test_every_word_with_a_role_states_its_language_and_its_basis() -> None:
    assert len(name_words()) > 200
    assert [w.text for w in name_words().values() if not w.language or not w.basis] == []


def test_every_weight_states_its_basis_and_the_better_levels_of_a_field_weigh_more() -> None:
    weights = stated_weights()
    assert [a for a in weights.agreements if not a.basis] == []
    order = [weights.of("surname", level).weight for level in ("same", "near", "partners", "different")]
    assert order == sorted(order, reverse=True)
    assert weights.of("forename", "different").weight < 0


@pytest.mark.parametrize(
    ("one", "other", "level"),
    [
        pytest.param("Thornbury", "Thombury", "slip", id="rn read as m"),
        pytest.param("Castagnet", "Caftagnet", "slip", id="long s read as f"),
        pytest.param("Castagnet", "Castaguet", "near", id="one letter"),
        pytest.param("Mönchmeier", "Moenchmeier", "same", id="two dots written as e"),
        pytest.param("Tarn", "Tarr", "different", id="short names differ by one letter"),
    ],
)
def test_surnames_agree_as_far_as_print_confuses_them(one: str, other: str, level: str) -> None:
    assert surname_level(plain(one), plain(other)) == level


def test_the_words_by_which_a_name_follows_are_told_and_no_sameness_is_claimed() -> None:
    found = compare_names("Veuve Castagnet", "Castagnet")
    assert found.relation is Relation.FOLLOWS
    assert found.follows == ("widow",)
    assert compare_names("Castagnet", "Veuve Castagnet").relation is Relation.FOLLOWED


def test_the_reasons_add_up_to_the_weight() -> None:
    found = compare_names("Wm. Tarn & Co.", "Tarn, William")
    assert [reason.field for reason in found.reasons] == ["surname", "forename", "legal"]
    assert found.weight == sum(reason.weight for reason in found.reasons)


def test_a_successor_of_another_person_of_the_name_is_no_successor() -> None:
    assert compare_names("Wm. Tarn & Sons", "Hester Tarn").relation is Relation.OTHER


def test_a_relation_is_no_yes_or_no() -> None:
    with pytest.raises(TypeError, match="five answers"):
        bool(compare_names("Tarn", "Tarn").relation)


def test_a_share_of_nought_is_refused() -> None:
    with pytest.raises(BadWeights, match="expected shares above 0 and at most 1"):
        Agreement("surname", "same", 0.5, 0.0, "", "")


def test_titles_of_which_each_has_a_word_of_its_own_are_not_near() -> None:
    others = [
        [f"A wooden lady with a {what}"] for what in ("fan", "comb", "muff", "parasol", "snood", "lamp")
    ]
    titles = Titles(
        [["Wax child in lilac silk"], ["Wax child in figured silk"], ["A wax child in lilac silk"], *others]
    )
    assert dict(titles.levels("Wax child in lilac silk", "A wax child in lilac silk"))["title"] == "near"
    assert dict(titles.levels("Wax child in lilac silk", "Wax child in figured silk"))["title"] == "part"


def test_two_editions_differ_by_their_year() -> None:
    titles = Titles([["Heads of the Valley (1932)"], ["Heads of the Valley (1941)"]])
    assert dict(titles.levels("Heads of the Valley (1932)", "Heads of the Valley (1941)")) == {
        "title": "same",
        "number": "different",
    }


def test_a_swap_of_neighbours_is_one_change() -> None:
    assert distance("pouzadoux", "puozadoux") == 1


@pytest.mark.timeout(5)
@pytest.mark.parametrize(
    "name",
    [
        pytest.param("a" + " " * 100_000 + "(", id="blanks"),
        pytest.param("a" * 100_000, id="one word"),
        pytest.param("a & " * 20_000, id="partners"),
        pytest.param("," * 100_000, id="commas"),
    ],
)
def test_a_text_that_is_no_name_takes_no_time(name: str) -> None:
    assert compare_names(name, name + "b").weight == compare_names(name + "b", name).weight
