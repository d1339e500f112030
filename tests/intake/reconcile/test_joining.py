"""Which things of a daybook are probably one, and the entries that join and part them."""

from __future__ import annotations

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.verdict import Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.as_one import clusters
from kg.daybook.daybook import Note
from kg.daybook.record import Thing
from kg.daybook.view import NotInDaybook
from kg.intake.reconcile.joining import (
    Basis,
    CannotJoin,
    conflicts_of,
    different_note,
    merge_note,
    split_note,
    view_with,
)
from kg.intake.reconcile.proposals import Found, Reconciler, reconcile_names
from kg.intake.reconcile.records import known_different
from kg.intake.reconcile.scoring import Relation
from tests.conftest import Scene

WHY = Basis("the directory prints the one for the other", "A. Tester")


@pytest.fixture
def trade(scene: Scene) -> Scene:
    """Makers of nearly the same name."""
    scene.add(
        things=[
            Thing("ottery", ("Firm", "Maker"), "Ottery & Cie"),
            Thing("otterey", ("Firm", "Maker"), "Otterey et Compagnie"),
            Thing("widow", ("Firm", "Maker"), "Veuve Ottery"),
            Thing("old", ("Person", "Maker"), "Adela Ottery"),
            Thing("adela", ("Person", "Maker"), "Ottery, A."),
            Thing("bath", ("Place",), "Bath"),
        ]
    )
    return scene


def found(scene: Scene) -> Found:
    return Reconciler(scene.daybook.view()).found()


def pairs(scene: Scene, relation: Relation) -> set[frozenset[str]]:
    return {frozenset((p.one, p.other)) for p in found(scene).proposals if p.relation is relation}


def record(scene: Scene, note: Note) -> None:
    scene.daybook.record(scene.daybook.compose(note))


def verdict(scene: Scene) -> Verdict:
    question = Question("lady", read_phrase("1895", convention()))
    return fit(Chronology(scene.daybook.view()), question).verdict


def test_makers_of_nearly_one_name_are_proposed_and_a_person_is_never_a_firm(trade: Scene) -> None:
    assert pairs(trade, Relation.SAME) == {frozenset({"old", "adela"})}
    trade.say("ottery", "workedAt", "bath")
    trade.say("otterey", "workedAt", "bath")
    assert pairs(trade, Relation.SAME) == {frozenset({"old", "adela"}), frozenset({"ottery", "otterey"})}


def test_the_claims_behind_a_place_in_common_are_named(trade: Scene) -> None:
    claims = {trade.say(slug, "workedAt", "bath") for slug in ("ottery", "otterey")}
    proposal = Reconciler(trade.daybook.view()).compare("ottery", "otterey")
    (reason,) = [reason for reason in proposal.reasons if reason.field == "place"]
    assert set(reason.claims) == claims


def test_a_widow_follows_and_is_left_out_once_that_is_on_record(trade: Scene) -> None:
    assert frozenset({"widow", "ottery"}) in pairs(trade, Relation.FOLLOWS) | pairs(trade, Relation.FOLLOWED)
    trade.say("widow", "succeeded", "ottery")
    assert frozenset({"widow", "ottery"}) not in {frozenset((p.one, p.other)) for p in found(trade).proposals}
    assert found(trade).known_to_follow == 1


def test_lives_that_cannot_overlap_exclude_with_the_claims_that_say_so(trade: Scene) -> None:
    died, born = trade.say("old", "diedOn", "1820"), trade.say("adela", "bornOn", "1839")
    proposal = Reconciler(trade.daybook.view()).compare("old", "adela")
    assert proposal.relation is Relation.EXCLUDED
    (reason,) = [reason for reason in proposal.reasons if reason.field == "time"]
    assert set(reason.claims) == {died, born}


@pytest.mark.parametrize(
    ("year", "says"),
    [
        pytest.param("1840", "by a year or less", id="a slip"),
        pytest.param("1844", "contradict each other", id="some years"),
        pytest.param("1869", "by more than ten years", id="a generation"),
    ],
)
def test_births_that_differ_weigh_the_more_against_it_the_further_apart_they_are(
    trade: Scene, year: str, says: str
) -> None:
    trade.say("old", "bornOn", "1839")
    trade.say("adela", "bornOn", year)
    proposal = Reconciler(trade.daybook.view()).compare("old", "adela")
    (reason,) = [reason for reason in proposal.reasons if reason.field == "time"]
    assert says in reason.says
    assert reason.weight < 0


def test_what_is_excluded_is_listed_only_where_the_names_are_alike(trade: Scene) -> None:
    trade.say("ottery", "ceased", "1820")
    trade.say("otterey", "founded", "1839")
    for slug in ("ottery", "otterey"):
        trade.say(slug, "workedAt", "bath")
    assert pairs(trade, Relation.EXCLUDED) == set()
    trade.say("otterey", "named", "Ottery et Cie")
    assert pairs(trade, Relation.EXCLUDED) == {frozenset({"ottery", "otterey"})}


def test_what_a_claim_joins_to_another_is_another(trade: Scene) -> None:
    trade.say("old", "childOf", "adela")
    assert Reconciler(trade.daybook.view()).compare("old", "adela").relation is Relation.EXCLUDED


def test_joined_makers_share_their_dates_and_parted_ones_no_longer_do(trade: Scene) -> None:
    trade.say("old", "diedOn", "1880")
    trade.say("lady", "madeBy", "adela")
    before = verdict(trade)
    record(trade, merge_note(trade.daybook.view(), "old", "adela", WHY))
    joined = verdict(trade)
    record(trade, split_note(trade.daybook.view(), "adela", "old", WHY))
    assert joined is not before
    assert verdict(trade) is before


def test_every_name_stays_as_printed_when_things_are_joined(trade: Scene) -> None:
    claim = trade.say("adela", "named", "Ottery, Adelaide")
    record(trade, merge_note(trade.daybook.view(), "old", "adela", WHY))
    view = trade.daybook.view()
    assert view.claims[claim.id] == claim
    assert {thing.label for thing in view.things.values()} >= {"Adela Ottery", "Ottery, A."}


def test_the_join_rests_on_the_researchers_own_judgement_or_on_a_source(trade: Scene) -> None:
    view = trade.daybook.view()
    own = trade.daybook.compose(merge_note(view, "old", "adela", WHY))
    assert view_with(view, own).cite(own.claims[0].citation) == f"Own judgement of A. Tester, {WHY.why}"
    printed = merge_note(view, "old", "adela", Basis("as printed", "A. Tester", "register", "no. 4"))
    assert printed.drafts[0].citation.source == "register"
    assert printed.things == ()


def test_a_pair_known_to_be_two_is_left_out_of_later_lists_and_counted(trade: Scene) -> None:
    record(trade, different_note(trade.daybook.view(), "old", "adela", WHY))
    assert pairs(trade, Relation.SAME) == set()
    assert found(trade).known_different == 1
    assert known_different(trade.daybook.view(), "adela", "old")


def test_a_change_of_mind_takes_back_in_one_entry_what_was_said_before(trade: Scene) -> None:
    record(trade, different_note(trade.daybook.view(), "old", "adela", WHY))
    record(trade, merge_note(trade.daybook.view(), "old", "adela", WHY))
    assert not known_different(trade.daybook.view(), "old", "adela")
    record(trade, different_note(trade.daybook.view(), "old", "adela", WHY))
    assert found(trade).already_one == 0


def test_what_another_researcher_said_is_set_aside_and_not_withdrawn(trade: Scene) -> None:
    record(trade, merge_note(trade.daybook.view(), "old", "adela", WHY))
    note = split_note(trade.daybook.view(), "old", "adela", Basis("no", "B. Reader"))
    assert [judgement.standing for judgement in note.judgements] == ["setAside"]
    own = split_note(trade.daybook.view(), "old", "adela", WHY)
    assert [judgement.standing for judgement in own.judgements] == ["withdrawn"]


@pytest.mark.parametrize(
    ("one", "other", "message"),
    [
        pytest.param("old", "old", "one and the same entry", id="the same thing"),
        pytest.param("old", "Adela Ottery", "one and the same entry", id="the same thing by its name"),
        pytest.param("old", "ottery", "the first is a person, the second a firm", id="a person and a firm"),
        pytest.param("old", "bath", "the first is a maker, firm or person, the second a place", id="a place"),
    ],
)
def test_nonsense_is_refused_with_the_reason(trade: Scene, one: str, other: str, message: str) -> None:
    with pytest.raises(CannotJoin, match=message):
        merge_note(trade.daybook.view(), one, other, WHY)


def test_an_unknown_thing_is_refused_with_the_nearest(trade: Scene) -> None:
    with pytest.raises(NotInDaybook, match="Near it: ottery"):
        merge_note(trade.daybook.view(), "oterry", "old", WHY)


def test_what_is_joined_by_way_of_a_third_is_split_there(trade: Scene) -> None:
    trade.add(things=[Thing("third", ("Person", "Maker"), "Adele Ottery")])
    for pair in (("old", "third"), ("third", "adela")):
        record(trade, merge_note(trade.daybook.view(), *pair, WHY))
    view = trade.daybook.view()
    with pytest.raises(CannotJoin, match="one by way of others"):
        split_note(view, "old", "adela", WHY)
    with pytest.raises(CannotJoin, match="one by way of others"):
        different_note(view, "old", "adela", WHY)
    with pytest.raises(CannotJoin, match="one on record already"):
        merge_note(view, "adela", "old", WHY)


def test_nothing_to_split_and_no_reason_are_refused(trade: Scene) -> None:
    view = trade.daybook.view()
    with pytest.raises(CannotJoin, match="nothing to split"):
        split_note(view, "old", "adela", WHY)
    with pytest.raises(CannotJoin, match="No reason is given"):
        merge_note(view, "old", "adela", Basis("  ", "A. Tester"))


def test_the_conflicts_of_a_join_are_told_before_it_is_recorded(trade: Scene) -> None:
    born, other = trade.say("old", "bornOn", "1839"), trade.say("adela", "bornOn", "1851")
    view = trade.daybook.view()
    entry = trade.daybook.compose(merge_note(view, "old", "adela", WHY))
    (conflict,) = conflicts_of(view_with(view, entry), entry)
    assert {born, other} < set(conflict.claims)
    assert trade.daybook.view().revision == view.revision


def test_a_name_of_a_table_is_told_what_it_probably_stands_for(trade: Scene) -> None:
    told = reconcile_names(["Mlle Adela Ottery", "Nobody at all", "", "Vve Ottery"], trade.daybook.view())
    assert [n.best.other if n.best else None for n in told] == ["old", None, None, "widow"]


def test_a_name_that_two_things_fit_as_well_has_no_best(trade: Scene) -> None:
    trade.add(things=[Thing("twin", ("Person", "Maker"), "Adela Ottery")])
    (told,) = reconcile_names(["Adela Ottery"], trade.daybook.view())
    assert {p.other for p in told.proposals if p.relation is Relation.SAME} >= {"old", "twin"}
    assert told.best is None


def test_other_things_are_found_by_their_titles(trade: Scene) -> None:
    trade.add(things=[Thing("again", ("Book",), "Book of Heads, A")])
    (proposal,) = Reconciler(trade.daybook.view(), "source").found().proposals
    assert {proposal.one, proposal.other} == {"book", "again"}


def test_clusters_are_what_pairs_join() -> None:
    assert clusters([("a", "b"), ("c", "d"), ("b", "e")]) == (("a", "b", "e"), ("c", "d"))
