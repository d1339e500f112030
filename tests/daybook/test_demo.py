"""The invented trade of the demo is whole, coherent, the same every time, and keeps what is confidential."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kg.chronology.chronology import Chronology
from kg.chronology.fit import imagined_claim
from kg.chronology.local import Limit
from kg.chronology.network import Conventions
from kg.chronology.verdict import Verdict, judge
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.daybook import Daybook
from kg.daybook.demo import MAIN_PHRASE, MAIN_PIECE, DemoNote, begin_demo, demo_notes, read_demo_note
from kg.daybook.note_reader import BadNote
from kg.daybook.record import Citation, Draft
from kg.daybook.view import WorkingView

PRINT_DAY = date(2026, 6, 15)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Daybook:
    return begin_demo(tmp_path_factory.mktemp("demo") / "daybook")


@pytest.fixture(scope="module")
def view(book: Daybook) -> WorkingView:
    return book.view()


@pytest.fixture(scope="module")
def chronology(view: WorkingView) -> Chronology:
    return Chronology(view)


def things_of(view: WorkingView, kind: str) -> set[str]:
    return {slug for slug, thing in view.things.items() if view.vocabulary.is_a(thing.kinds, kind)}


def verdict(
    chronology: Chronology, piece: str, phrase: str, *, without: tuple[str, ...] = (), core: bool = False
) -> Verdict:
    """The verdict on a phrase by the evidence's two limits, read as a catalogue's dates are."""
    reading = read_phrase(phrase, convention())
    claimed = reading.core if core else reading.window
    assert claimed is not None
    asked = chronology.ask(chronology.evidence, without=without)
    begin, end = (chronology.made.point(piece, "making", which) for which in ("begin", "end"))
    if begin is None or end is None:
        return judge(claimed, None, None)
    return judge(claimed, asked.bound(end, Limit.EARLIEST)[0], asked.bound(begin, Limit.LATEST)[0])


@pytest.mark.parametrize(
    ("kind", "least"),
    [
        ("Maker", 40),
        ("Registration", 12),
        ("Mould", 30),
        ("Retailer", 15),
        ("Piece", 120),
        ("Head", 60),
        ("Model", 10),
        ("Mark", 25),
        ("Event", 10),
        ("Owner", 10),
    ],
)
def test_the_trade_is_as_large_as_was_promised(view: WorkingView, kind: str, least: int) -> None:
    assert len(things_of(view, kind)) >= least


def test_the_materials_the_shelf_and_the_claims_are_as_many_as_was_promised(view: WorkingView) -> None:
    assert len(things_of(view, "Material") | things_of(view, "Technique")) >= 25
    assert len(things_of(view, "Source") - things_of(view, "Piece")) >= 60
    assert len(view.claims) >= 1_500


KINDS_OF_SOURCE = [
    "Book",
    "Article",
    "PeriodicalIssue",
    "Catalogue",
    "TradeCatalogue",
    "Advertisement",
    "Directory",
    "PatentText",
    "Register",
    "Letter",
    "Photograph",
    "Testimony",
    "ObjectExamined",
    "PublishedTable",
]


@pytest.mark.parametrize("kind", KINDS_OF_SOURCE)
def test_every_kind_of_source_is_on_the_shelf(view: WorkingView, kind: str) -> None:
    assert things_of(view, kind)


def test_loading_twice_gives_the_same_entries_and_claims(book: Daybook, tmp_path: Path) -> None:
    again = begin_demo(tmp_path / "again")
    assert [entry.name for entry in again.entries()] == [entry.name for entry in book.entries()]
    assert again.view().claims.keys() == book.view().claims.keys()


def test_the_notes_are_recorded_in_the_order_of_their_files_over_months(book: Daybook) -> None:
    recorded = [entry.recorded for entry in book.entries()]
    told = [note.tables["recorded"] for note in demo_notes()]
    assert recorded == told == sorted(told)
    assert (recorded[0].date(), recorded[-1].date()) == (date(2026, 1, 8), date(2026, 10, 22))
    assert len({entry.researcher for entry in book.entries()}) == 3


def test_every_claim_joins_the_kinds_of_things_that_its_property_asks_for(view: WorkingView) -> None:
    vocabulary = view.vocabulary
    wrong = []
    for claim in view.claims.values():
        prop = vocabulary.property(claim.property)
        if not vocabulary.is_a(view.kinds(claim.subject), prop.domain):
            wrong.append(view.sentence(claim))
        is_thing = prop.is_link and prop.range != "Claim"
        if is_thing and not vocabulary.is_a(view.kinds(claim.value), prop.range):
            wrong.append(view.sentence(claim))
    assert wrong == []


def test_every_source_cited_is_described_as_a_source(view: WorkingView) -> None:
    cited = {claim.citation.source for claim in view.claims.values()}
    assert cited <= things_of(view, "Source")
    assert all(claim.citation.locator for claim in view.claims.values())


def test_nothing_confidential_is_named_where_it_could_be_printed(view: WorkingView, book: Daybook) -> None:
    private = {thing.label for thing in view.things.values() if thing.is_confidential}
    assert len(private) >= 6
    open_words = [thing.label for thing in view.things.values() if not thing.is_confidential]
    open_words += [entry.note for entry in book.entries()]
    for claim in view.claims.values():
        if not view.is_confidential(claim):
            texts = (claim.value, claim.citation.locator, claim.citation.quotation or "")
            open_words += texts
    names = {name for label in private for name in (label, label.split()[-1]) if name != "2026"}
    assert [word for word in open_words for name in names if name in word] == []


def test_a_claim_on_a_confidential_owner_is_confidential_too(view: WorkingView) -> None:
    private = things_of(view, "Owner") & {t.slug for t in view.things.values() if t.is_confidential}
    told = [c for c in view.claims.values() if c.value in private or c.subject in private]
    assert len(told) >= 6
    assert all(claim.is_confidential for claim in told)


# ---------------------------------------------------------------- what is planted


def test_the_main_piece_fits_only_by_the_width_of_circa(chronology: Chronology) -> None:
    assert verdict(chronology, MAIN_PIECE, MAIN_PHRASE) is Verdict.IN_PART
    assert verdict(chronology, MAIN_PIECE, MAIN_PHRASE, core=True) is Verdict.CANNOT


def test_on_print_day_the_main_piece_fitted(book: Daybook) -> None:
    assert verdict(Chronology(book.view(as_of=PRINT_DAY)), MAIN_PIECE, MAIN_PHRASE) is Verdict.FITS


@pytest.mark.parametrize(
    ("piece", "phrase", "whole", "core"),
    [
        ("piece-aurore-in-plaid", "about 1866", Verdict.CANNOT, Verdict.CANNOT),
        ("piece-boy-with-drum", "c. 1870", Verdict.IN_PART, Verdict.CANNOT),
        ("piece-bride-of-1887", "1887", Verdict.FITS, Verdict.FITS),
        ("piece-wooden-lady-from-the-attic", "about 1840", Verdict.UNBOUNDED, Verdict.UNBOUNDED),
        ("piece-baroness-in-mourning", "1867", Verdict.CANNOT, Verdict.CANNOT),
        ("piece-baroness-in-mourning", "1876", Verdict.FITS, Verdict.FITS),
        ("piece-lady-of-the-lyon-exhibition", "1875–77", Verdict.FITS, Verdict.FITS),
    ],
)
def test_a_planted_dating_has_the_verdict_that_the_story_tells(
    chronology: Chronology, piece: str, phrase: str, whole: Verdict, core: Verdict
) -> None:
    assert verdict(chronology, piece, phrase) is whole
    assert verdict(chronology, piece, phrase, core=True) is core


def test_the_conflicts_are_those_that_are_planted(chronology: Chronology) -> None:
    found = {
        frozenset(claim.subject for claim in chronology.conflict(numbers).claims)
        for numbers in chronology.evidence.repaired.conflicts
    }
    assert found == {
        frozenset({"reg-coburg-1877-41", "piece-governess-in-grey", "part-governess-in-grey-head"}),
        frozenset({"sale-quinquaud-1911", "owner-quinquaud"}),
        frozenset({"piece-skater-in-brown-velvet", "retailer-jourdanet"}),
    }


def test_the_datings_that_cannot_fit_are_those_that_are_planted(
    view: WorkingView, chronology: Chronology
) -> None:
    impossible = {
        claim.subject
        for claim, _ in view.dates()
        if claim.property == "madeOn"
        and verdict(chronology, claim.subject, claim.written or claim.value) is Verdict.CANNOT
    }
    assert impossible == {"piece-aurore-in-plaid", "piece-vauquelard-lady-with-parasol"}


def test_the_founding_year_has_one_root_and_setting_it_aside_changes_a_verdict(
    view: WorkingView, chronology: Chronology
) -> None:
    founding = [claim for claim in view.by_subject["maker-vauquelard"] if claim.property == "founded"]
    copied = {claim.citation.source: claim.id for claim in founding if claim.value == "1871"}
    assert len(copied) == 6
    leans_on = {
        (claim.subject, claim.value)
        for claim in view.live
        if view.vocabulary.property(claim.property).is_derivation
    }
    reached, edge = {"article-resseguier-1932"}, {"article-resseguier-1932"}
    while edge:
        edge = {source for source, other in leans_on if other in edge} - reached
        reached |= edge
    assert copied.keys() <= reached
    assert {
        ("book-bellegarrigue-1968", "book-dunkerley-1968"),
        ("book-dunkerley-1968", "book-bellegarrigue-1968"),
    } <= leans_on
    piece = "piece-vauquelard-lady-with-parasol"
    one = (copied["article-resseguier-1932"],)
    assert verdict(chronology, piece, "about 1864", without=one) is Verdict.CANNOT
    assert verdict(chronology, piece, "about 1864", without=tuple(copied.values())) is Verdict.FITS


def test_the_decoy_is_excluded_by_a_date_and_the_intended_maker_is_not(
    view: WorkingView, chronology: Chronology
) -> None:
    def of(maker: str) -> Verdict:
        draft = Draft("piece-unidentified-lady", "madeBy", maker, Citation("", "supposed"))
        asked = chronology.ask(chronology.evidence, supposing=[(imagined_claim(draft, 0), None)])
        return Verdict.CANNOT if asked.supposition.conflict is not None else Verdict.FITS

    assert of("maker-castagnet") is Verdict.CANNOT
    assert of("maker-courtepee") is Verdict.FITS
    features = {c.value for c in view.by_subject["piece-unidentified-lady"] if c.property == "hasFeature"}
    assert len(features) == 5


def test_the_open_question_has_two_answers_with_claims_for_and_against(view: WorkingView) -> None:
    answers = {
        claim.subject
        for claim in view.by_value["question-who-modelled-aurore"]
        if claim.property == "answers"
    }
    assert answers == {"answer-aurore-honorine", "answer-aurore-clemence"}
    for answer in answers:
        said = [claim for claim in view.by_subject[answer] if claim.property in ("supportedBy", "disputedBy")]
        assert {claim.property for claim in said} == {"supportedBy", "disputedBy"}
        assert all(claim.value in view.claims for claim in said)


def test_the_bride_rests_on_the_convention_of_successor_use(view: WorkingView) -> None:
    strict = Chronology(view, Conventions.without(["successor-use"], view.vocabulary))
    assert verdict(strict, "piece-bride-of-1887", "1887") is Verdict.CANNOT


def test_a_demo_note_that_names_no_single_claim_is_refused(book: Daybook) -> None:
    row = {
        "about": "answer-aurore-honorine",
        "says": "supportedBy",
        "value": {"about": "model-aurore", "says": "modelDesignedBy"},
        "source": "working-notes",
        "locator": "p. 1",
    }
    note = DemoNote("99-test", {"researcher": "A. Tester", "claim": [row]})
    with pytest.raises(BadNote, match="2 claims answer to"):
        read_demo_note(note, book.view())
