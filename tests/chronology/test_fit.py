"""Does this date fit? Verdicts, the claims that decide them, and what-if."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import NoDateToTest, Question, SuppositionContradicted, fit
from kg.chronology.network import Conventions, UnknownConvention
from kg.chronology.telling import told_fit
from kg.chronology.verdict import Fit, Verdict
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.dates.window import iso
from kg.daybook.notes import supposed_draft
from kg.daybook.record import Thing
from tests.conftest import Scene


def ask(
    scene: Scene,
    phrase: str,
    subject: str = "lady",
    *,
    maker: str | None = None,
    without: Sequence[str] = (),
    suppose: Sequence[str] = (),
    off: Sequence[str] = (),
) -> Fit:
    view = scene.daybook.view()
    chronology = Chronology(view, Conventions.without(off, view.vocabulary))
    drafts = tuple(supposed_draft(text, view) for text in suppose)
    return fit(
        chronology, Question(subject, read_phrase(phrase, convention()), maker, frozenset(without), drafts)
    )


@pytest.fixture
def deposited(scene: Scene) -> Scene:
    """A lady by Adela Brumelow (1839–1880) with a deposit of March 1875, sold by a shop that closed in 1877."""
    scene.say("brumelow", "bornOn", "1839")
    scene.say("brumelow", "diedOn", "1880")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("deposit", "filedOn", "1875-03", "register")
    scene.say("lady", "bearsRegistration", "deposit")
    scene.say("shop", "ceased", "1877")
    scene.say("lady", "soldBy", "shop")
    return scene


@pytest.mark.parametrize(
    ("phrase", "verdict"),
    [
        pytest.param("1876", Verdict.FITS, id="between the deposit and the shop's end"),
        pytest.param("1875", Verdict.IN_PART, id="the deposit falls inside the year"),
        pytest.param("1874", Verdict.CANNOT, id="before the deposit"),
        pytest.param("February 1875", Verdict.CANNOT, id="the month before the deposit"),
        pytest.param("March 1875", Verdict.FITS, id="the month of the deposit itself"),
        pytest.param("1878", Verdict.CANNOT, id="after the shop closed"),
        pytest.param("about 1878", Verdict.IN_PART, id="circa reaches back"),
        pytest.param("before 1914", Verdict.FITS, id="before a year after the window"),
        pytest.param("before 1870", Verdict.CANNOT, id="before a year before the window"),
        pytest.param("before 1877", Verdict.FITS, id="before a year inside the window"),
        pytest.param("after 1880", Verdict.CANNOT, id="after the window"),
        pytest.param("about 1876", Verdict.FITS, id="a core that fits, whatever becomes of the width"),
        pytest.param("1870s", Verdict.IN_PART, id="a decade around the window"),
        pytest.param("19th century", Verdict.IN_PART, id="a century around the window"),
    ],
)
def test_a_date_gets_the_verdict_that_the_record_allows(
    deposited: Scene, phrase: str, verdict: Verdict
) -> None:
    assert ask(deposited, phrase).verdict is verdict


def test_nothing_bounds_a_piece_of_which_nothing_is_said(scene: Scene) -> None:
    answer = ask(scene, "1878")
    assert answer.verdict is Verdict.UNBOUNDED
    assert answer.not_before.day is None
    assert answer.not_after.day is None


def test_both_sides_name_their_day_and_the_claims_that_set_it(deposited: Scene) -> None:
    answer = ask(deposited, "1876")
    assert answer.not_before.day is not None
    assert answer.not_after.day is not None
    assert (iso(answer.not_before.day), iso(answer.not_after.day)) == ("1875-03-01", "1877-12-31")
    assert [claim.property for claim in answer.not_before.claims] == ["filedOn", "bearsRegistration"]
    assert [claim.property for claim in answer.not_after.claims] == ["ceased", "soldBy"]


def test_what_circa_alone_decides_is_told(deposited: Scene) -> None:
    answer = ask(deposited, "about 1878")
    assert answer.without_circa is Verdict.CANNOT
    assert answer.does_circa_decide
    assert not ask(deposited, "about 1860").does_circa_decide


def test_a_single_deciding_claim_is_named_with_the_verdict_without_it(deposited: Scene) -> None:
    answer = ask(deposited, "1874")
    assert {(d.claim.property, d.verdict) for d in answer.deciders} == {
        ("filedOn", Verdict.FITS),
        ("bearsRegistration", Verdict.FITS),
    }


def test_a_statement_that_several_claims_make_decides_as_one(deposited: Scene) -> None:
    copies = [deposited.say("deposit", "filedOn", "1875-03", source) for source in ("book", "plates")]
    answer = ask(deposited, "1874")
    decider = next(d for d in answer.deciders if d.claim.property == "filedOn")
    assert len({decider.claim, *decider.repeated_by}) == 3
    assert set(copies) <= {decider.claim, *decider.repeated_by}


def test_no_claim_decides_alone_when_two_reasons_say_the_same(deposited: Scene) -> None:
    deposited.say("lady", "inscribedOn", "1875-03")
    answer = ask(deposited, "1874")
    assert answer.verdict is Verdict.CANNOT
    assert answer.deciders == ()


def test_leaving_a_claim_out_changes_the_answer_and_the_record_not_at_all(deposited: Scene) -> None:
    bearing = next(c for c in deposited.daybook.view().live if c.property == "bearsRegistration")
    before = deposited.daybook.revision
    assert ask(deposited, "1874", without=[bearing.id]).verdict is Verdict.FITS
    assert deposited.daybook.revision == before


def test_supposing_a_claim_changes_the_answer(deposited: Scene) -> None:
    assert ask(deposited, "1877", suppose=["lady existedBy 1876"]).verdict is Verdict.CANNOT
    assert ask(deposited, "1877").verdict is Verdict.FITS


def test_supposing_the_impossible_names_what_it_contradicts(deposited: Scene) -> None:
    with pytest.raises(SuppositionContradicted) as caught:
        ask(deposited, "1876", suppose=["lady existedBy 1870"])
    assert {claim.property for claim in caught.value.claims} == {"filedOn", "bearsRegistration", "existedBy"}


def test_a_maker_is_asked_about_the_years_of_work(deposited: Scene) -> None:
    assert ask(deposited, "1849", "brumelow").verdict is Verdict.CANNOT
    assert ask(deposited, "1870", "brumelow").verdict is Verdict.FITS
    assert ask(deposited, "1880", "brumelow").verdict is Verdict.FITS
    assert ask(deposited, "1881", "brumelow").verdict is Verdict.CANNOT


@pytest.mark.parametrize(
    ("phrase", "verdict"),
    [("1877", Verdict.CANNOT), ("1880", Verdict.FITS), ("1885", Verdict.FITS), ("1886", Verdict.CANNOT)],
)
def test_a_stretch_that_lasts_holds_every_date_from_its_begin_to_its_end(
    scene: Scene, phrase: str, verdict: Verdict
) -> None:
    scene.add(things=[Thing("flora", ("Model",), "Flora")])
    scene.say("flora", "producedIn", "1878/1885")
    assert ask(scene, phrase, "flora").verdict is verdict


def test_a_supposed_maker_stands_in_place_of_the_recorded_one(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1850")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("tarn", "founded", "1880")
    assert ask(scene, "1885").verdict is Verdict.CANNOT
    assert ask(scene, "1885", maker="tarn").verdict is Verdict.FITS


def test_a_maker_can_be_supposed_for_a_piece(scene: Scene) -> None:
    scene.say("tarn", "founded", "1880")
    assert ask(scene, "1875").verdict is Verdict.UNBOUNDED
    assert ask(scene, "1875", maker="tarn").verdict is Verdict.CANNOT


def test_a_supposed_maker_is_excluded_whatever_the_date_with_the_claims_that_do_it(scene: Scene) -> None:
    scene.say("tarn", "ceased", "1862")
    material = scene.say("lady", "inscribedOn", "1880")
    answer = ask(scene, "1860", maker="tarn")
    assert answer.verdict is Verdict.CANNOT
    assert answer.clash is not None
    assert [claim.property for claim in answer.clash.claims if claim.entry] == ["ceased", "inscribedOn"]
    assert material in {decider.claim for decider in answer.deciders}
    headline = told_fit(answer, scene.daybook.view())["headline"]
    assert headline == "Tarn & Ottery cannot have made Lady with a blue snood, whatever the date."


def test_conventions_of_working_life_can_be_switched_off(deposited: Scene) -> None:
    assert ask(deposited, "1845", "brumelow").verdict is Verdict.CANNOT
    assert ask(deposited, "1845", "brumelow", off=["apprentice-age"]).verdict is Verdict.FITS


def test_years_of_a_convention_are_calendar_years(scene: Scene) -> None:
    """Ten years after 31 December 1898 is 31 December 1908, though three leap days could lie between."""
    scene.say("tarn", "ceased", "1898")
    scene.say("lady", "madeBy", "tarn")
    answer = ask(scene, "1908")
    assert answer.verdict is Verdict.FITS
    assert answer.not_after.day is not None
    assert iso(answer.not_after.day) == "1908-12-31"
    assert ask(scene, "1909").verdict is Verdict.CANNOT


def test_an_apprentice_is_twelve_on_the_twelfth_birthday(scene: Scene) -> None:
    scene.say("brumelow", "bornOn", "1850-05-03")
    answer = ask(scene, "1870", "brumelow")
    assert answer.not_before.day is not None
    assert iso(answer.not_before.day) == "1862-05-03"


def test_an_unknown_convention_is_refused_and_the_known_ones_listed(deposited: Scene) -> None:
    with pytest.raises(UnknownConvention, match="apprentice-age"):
        ask(deposited, "1845", off=["nonsense"])


def test_a_piece_by_successors_fits_and_is_strained(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1880")
    scene.say("lady", "madeBy", "brumelow")
    answer = ask(scene, "1885")
    assert answer.verdict is Verdict.FITS
    (strain,) = answer.strains
    assert (strain.strength, strain.is_too_early, iso(strain.day)) == ("usual", False, "1880-12-31")
    assert ask(scene, "1885", off=["working-life"]).verdict is Verdict.CANNOT


def test_a_life_known_to_the_year_stays_a_year_wide(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1880")
    scene.say("lady", "madeBy", "brumelow")
    assert ask(scene, "December 1880", off=["working-life"]).verdict is Verdict.FITS
    assert ask(scene, "January 1881", off=["working-life"]).verdict is Verdict.CANNOT


def test_a_weak_claim_strains_and_never_contradicts(scene: Scene) -> None:
    scene.say("lady", "existedBy", "1870", strength="weak")
    answer = ask(scene, "1880")
    assert answer.verdict is Verdict.UNBOUNDED
    assert [strain.strength for strain in answer.strains] == ["weak"]


def test_other_datings_are_tested_and_bind_nothing(deposited: Scene) -> None:
    deposited.say("lady", "madeOn", "1866", "plates")
    answer = ask(deposited, "1876")
    assert answer.verdict is Verdict.FITS
    assert [(d.claim.value, d.verdict) for d in answer.datings] == [("1866", Verdict.CANNOT)]


def test_each_alternative_of_a_phrase_is_tried_by_itself(deposited: Scene) -> None:
    answer = ask(deposited, "1867 or 1876")
    assert [alternative.verdict for alternative in answer.alternatives] == [Verdict.CANNOT, Verdict.FITS]


def test_each_alternative_of_a_binding_claim_is_tried_by_itself(scene: Scene) -> None:
    claim = scene.say("deposit", "filedOn", "[1867,1876]", "register")
    scene.say("lady", "bearsRegistration", "deposit")
    answer = ask(scene, "1870")
    assert answer.verdict is Verdict.FITS
    tried = [(iso(a.window.first or 0)[:4], a.verdict, a.claim) for a in answer.alternatives]
    assert tried == [("1867", Verdict.FITS, claim), ("1876", Verdict.CANNOT, claim)]


def test_two_records_of_one_maker_share_their_dates(scene: Scene) -> None:
    scene.say("brumelow", "diedOn", "1880")
    scene.say("tarn", "sameAs", "brumelow")
    scene.say("lady", "madeBy", "tarn")
    assert ask(scene, "1895").verdict is Verdict.CANNOT


def test_a_claim_set_aside_near_the_piece_is_told_with_its_conflict(deposited: Scene) -> None:
    opened = deposited.say("shop", "openedOn", "1879")
    answer = ask(deposited, "1876")
    assert answer.set_aside
    assert opened in answer.set_aside[0].conflict.claims


def test_a_verdict_that_rests_on_one_side_of_a_conflict_says_so(scene: Scene) -> None:
    scene.say("tarn", "founded", "1872", "book")
    scene.say("tarn", "founded", "1880", "plates")
    scene.say("lady", "madeBy", "tarn")
    answer = ask(scene, "1875")
    (contested,) = answer.contested
    assert {answer.verdict, contested.verdict} == {Verdict.CANNOT, Verdict.FITS}
    assert contested.is_equally_supported
    told = told_fit(answer, scene.daybook.view())
    assert told["contested"][0].startswith("Contested: ")


def test_what_remains_possible_of_alternatives_is_the_alternatives_that_remain(deposited: Scene) -> None:
    possible = ask(deposited, "1867 or 1876").possible
    assert possible is not None
    assert possible.first is not None
    assert iso(possible.first) == "1876-01-01"


def test_a_thing_without_a_time_cannot_be_asked_about(scene: Scene) -> None:
    scene.add(things=[Thing("bath", ("Place",), "Bath")])
    with pytest.raises(NoDateToTest, match="place"):
        ask(scene, "1878", "bath")


def test_a_piece_that_is_a_source_too_is_asked_about_its_making(deposited: Scene) -> None:
    deposited.add(things=[Thing("lady", ("ObjectExamined",), "Lady with a blue snood")])
    assert ask(deposited, "1874").verdict is Verdict.CANNOT


def test_a_verdict_refuses_to_be_a_bool() -> None:
    with pytest.raises(TypeError, match="four answers"):
        bool(Verdict.FITS)


@pytest.mark.parametrize(
    ("phrase", "sentence"),
    [
        ("1876", "1876 fits all else that is recorded."),
        ("about 1878", "Of 1873–1883 only 1 March 1875 to 31 December 1877 is possible."),
        (
            "1874",
            "1874 is impossible: it is earlier than 1 March 1875, the first day that the record allows.",
        ),
        (
            "1890",
            "1890 is impossible: it is later than 31 December 1877, the last day that the record allows.",
        ),
    ],
)
def test_the_headline_says_the_verdict_in_one_sentence(deposited: Scene, phrase: str, sentence: str) -> None:
    assert told_fit(ask(deposited, phrase), deposited.daybook.view())["headline"] == sentence


def test_every_step_of_a_told_chain_names_its_claim_source_and_locator(deposited: Scene) -> None:
    told = told_fit(ask(deposited, "1876"), deposited.daybook.view())
    first = told["not_before"]["because"][0]
    assert first["citation"] == "Register of Deposits, p. 1"
    assert first["sentence"] == "Deposit 142 filed 1875-03"
    assert first["bounds"] == "filing of Deposit 142"


@pytest.mark.parametrize(
    ("phrase", "verdict"),
    [
        pytest.param("designed 1860, made 1876", Verdict.FITS, id="the making counts, not the design"),
        pytest.param("patented 1860", Verdict.FITS, id="a patent bounds from below"),
        pytest.param("patented 1880", Verdict.CANNOT, id="a patent after the window"),
    ],
)
def test_of_several_acts_the_making_is_tested(deposited: Scene, phrase: str, verdict: Verdict) -> None:
    assert ask(deposited, phrase).verdict is verdict


def test_a_phrase_that_says_nothing_of_the_making_is_refused_in_words(deposited: Scene) -> None:
    with pytest.raises(NoDateToTest, match="does not say when it was made"):
        ask(deposited, "designed before 1900")
