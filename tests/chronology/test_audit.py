"""The audit tells what cannot stand, why, and what is least costly to doubt."""

from __future__ import annotations

from collections.abc import Callable

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.telling import told_audit
from kg.chronology.verdict import Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.daybook import Note
from kg.daybook.record import Judgement
from tests.conftest import Scene


def audit(scene: Scene) -> Audit:
    return Audit(Chronology(scene.daybook.view()))


def test_a_dating_before_its_deposit_cannot_fit_and_says_why(scene: Scene) -> None:
    scene.say("deposit", "filedOn", "1872", "register")
    scene.say("lady", "bearsRegistration", "deposit")
    dating = scene.say("lady", "madeOn", "1866")
    found = audit(scene)
    assert [d.claim for d in found.impossible] == [dating]
    (row,) = told_audit(found)["impossible"]
    assert row["because"] == (
        "1866 is earlier than 1 January 1872: Deposit 142 filed 1872 (Register of Deposits, p. 1); "
        "Lady with a blue snood bears the registration Deposit 142 (A Book of Heads, p. 1)"
    )


def test_a_convention_behind_a_dating_that_cannot_fit_is_named_with_how_to_do_without(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1841")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeOn", "1846")
    (row,) = told_audit(audit(scene))["impossible"]
    assert row["because"] == (
        "1846 is earlier than 1 January 1853: Adela Brumelow born 1841 (A Book of Heads, p. 1); "
        "Lady with a blue snood made by Adela Brumelow (A Book of Heads, p. 1) "
        "(apprentice's age, 12 years, taken for granted: --no-convention apprentice-age)"
    )


def test_a_conflict_is_irreducible_and_the_weakest_claim_is_to_be_doubted(scene: Scene) -> None:
    scene.say("deposit", "filedOn", "1872", "register")
    scene.say("lady", "bearsRegistration", "deposit", "register")
    dating = scene.say("lady", "madeOn", "1866", "book")
    scene.say("brumelow", "bornOn", "1839")
    found = audit(scene)
    (conflict,) = found.conflicts
    assert {claim.property for claim in conflict.claims} == {"filedOn", "bearsRegistration", "madeOn"}
    assert found.doubtful == (dating,)


def test_birth_after_death_is_a_conflict_of_two_claims(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1880")
    scene.say("brumelow", "diedOn", "1839")
    (conflict,) = audit(scene).conflicts
    assert len(conflict.claims) == 2


def test_ten_pieces_against_one_death_are_ten_conflicts(scene: Scene) -> None:
    from kg.daybook.record import Thing

    scene.add(things=[Thing(f"piece-{n}", ("Piece",), f"Piece {n}") for n in range(10)])
    death = scene.say("brumelow", "diedOn", "1850", "book")
    for n in range(10):
        scene.say(f"piece-{n}", "madeBy", "brumelow")
        scene.say(f"piece-{n}", "inscribedOn", "1875")
    found = audit(scene)
    assert len(found.conflicts) == 10
    assert found.doubtful == (death,)


def test_a_claim_set_aside_by_judgement_takes_no_part(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1880")
    death = scene.say("brumelow", "diedOn", "1839")
    judged = Judgement(death.id, "setAside", "another person of that name")
    scene.daybook.record(scene.daybook.compose(Note("A. Tester", judgements=(judged,))))
    assert audit(scene).conflicts == ()


def test_a_strain_is_told_and_is_no_conflict(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1870")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "inscribedOn", "1875")
    found = audit(scene)
    assert found.conflicts == ()
    (strain,) = found.strains
    assert (strain.strength, strain.rule) == ("usual", "a piece is made while its maker is at work")
    assert {claim.property for claim in strain.claims} == {"diedOn", "madeBy", "inscribedOn"}


def test_a_dating_outside_a_usual_rule_is_strained_with_the_reason(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1870")
    scene.say("lady", "madeBy", "brumelow")
    dating = scene.say("lady", "madeOn", "1875")
    found = audit(scene)
    assert found.impossible == ()
    assert [strained.claim for strained in found.strained_datings] == [dating]
    (row,) = told_audit(found)["strained_datings"]
    assert row["because"].startswith("1875 is later than 31 December 1870: Adela Brumelow died 1870")


def test_a_dating_against_a_life_that_contradicts_itself_cannot_fit_and_the_contested_claim_is_named(
    scene: Scene,
) -> None:
    scene.say("brumelow", "bornOn", "1880")
    scene.say("brumelow", "diedOn", "1839")
    scene.say("lady", "madeBy", "brumelow")
    for year in ("1835", "1860", "1890"):
        scene.say("lady", "madeOn", year)
    found = audit(scene)
    assert [dating.claim.value for dating in found.impossible] == ["1835", "1860", "1890"]
    contested = {dating.contested.property for dating in found.impossible if dating.contested}
    assert len(contested) == 1


def test_ties_in_the_repair_fall_the_same_way_whatever_the_order_of_entries(
    scenes: Callable[[str], Scene],
) -> None:
    one, two = scenes("one"), scenes("two")
    says = [("brumelow", "bornOn", "1880"), ("brumelow", "diedOn", "1839")]
    for claim in says:
        one.say(*claim)
    for claim in reversed(says):
        two.say(*claim)
    assert [c.property for c in audit(one).doubtful] == [c.property for c in audit(two).doubtful]


def test_an_empty_daybook_has_nothing_to_tell(scene: Scene) -> None:
    told = told_audit(audit(scene))
    assert told["claims"] == 0
    assert told["datings"] == {verdict.value: 0 for verdict in Verdict}
    assert told["impossible"] == told["conflicts"] == []


def test_a_claim_that_cannot_be_right_by_itself_stops_no_answer(scene: Scene) -> None:
    scene.say("brumelow", "childOf", "brumelow")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeOn", "1866")
    found = audit(scene)
    assert [c.property for conflict in found.conflicts for c in conflict.claims] == ["childOf"]
    answer = fit(found.chronology, Question("lady", read_phrase("1866", convention())))
    assert answer.verdict is Verdict.UNBOUNDED


def test_dozens_of_different_dates_for_one_death_are_answered_and_the_repair_is_called_unproven(
    scene: Scene,
) -> None:
    for year in range(1850, 1890):
        scene.say("brumelow", "diedOn", str(year))
    repaired = Chronology(scene.daybook.view()).evidence.repaired
    assert len(repaired.removed) == 39
    assert not repaired.is_least
