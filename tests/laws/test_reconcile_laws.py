"""Laws of names: comparing is symmetric, folding settles, the index loses nothing, order does not matter."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.daybook.as_one import clusters
from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Draft, Thing
from kg.daybook.view import WorkingView
from kg.intake.reconcile.candidates import NameIndex
from kg.intake.reconcile.conventions import stated_weights
from kg.intake.reconcile.joining import Basis, merge_note, split_note
from kg.intake.reconcile.letters import distance, plain, without_umlaut
from kg.intake.reconcile.proposals import Reconciler
from kg.intake.reconcile.reading import read_name
from kg.intake.reconcile.scoring import Relation, compare_names, compare_read

SURNAMES = (
    "Castagnet",
    "Caftagnet",
    "Castaguet",
    "Thornbury",
    "Thombury",
    "Mönchmeier",
    "Moenchmeier",
    "Tarn",
    "Ottery",
)
FORENAMES = ("", "Anselme ", "A. ", "Bertha ", "Wm. ", "William ", "J.-B. ", "Friedr. ", "Karl ", "Carl ")
FORMS = ("", " & Cie", " GmbH", " & Sons", " Wwe.", " Nachf.", " Frères", " sen.", " jun.", " late Tarn")
surnames, forenames, forms = map(st.sampled_from, (SURNAMES, FORENAMES, FORMS))
names = st.one_of(
    st.builds("{}{}{}".format, forenames, surnames, forms),
    st.builds("{}, {}".format, surnames, st.sampled_from(FORENAMES[1:])),
    st.builds("{} & {}".format, surnames, surnames),
)
words = st.text("abemnorsu", max_size=7)
#: Few examples: each builds a daybook on disk.
FEW = settings(max_examples=15, deadline=None)


@given(names | st.text(max_size=30), names | st.text(max_size=30))
def test_two_names_compare_the_same_in_either_order(one: str, other: str) -> None:
    forward, back = compare_names(one, other), compare_names(other, one)
    assert forward.weight == back.weight
    assert forward.relation is back.relation.turned
    assert forward.follows == back.follows


@given(names, names)
def test_no_name_agrees_better_with_a_name_than_that_agrees_with_itself(one: str, other: str) -> None:
    itself = compare_names(one, one)
    assert itself.relation not in {Relation.FOLLOWS, Relation.FOLLOWED} or " late " in one
    surname = next(r.weight for r in compare_names(one, other).reasons if r.field == "surname")
    assert next(r.weight for r in itself.reasons if r.field == "surname") >= surname
    assert all(reason.weight >= 0 for reason in itself.reasons)


@given(st.text(max_size=40))
def test_folding_what_is_folded_changes_nothing(text: str) -> None:
    assert plain(plain(text)) == plain(text)
    assert read_name(plain(text)) == read_name(plain(plain(text)))


@given(words)
def test_taking_off_an_e_for_two_dots_never_adds_letters(word: str) -> None:
    assert len(without_umlaut(word)) <= len(word)


@given(words, words, words)
def test_the_distance_of_words_is_symmetric_and_nought_only_for_the_same(a: str, b: str, c: str) -> None:
    assert distance(a, b) == distance(b, a)
    assert (distance(a, b) == 0) == (a == b)
    assert distance(a + c, b + c) <= distance(a, b)


@given(st.lists(names, min_size=2, max_size=12))
def test_the_index_loses_no_pair_that_would_be_listed(given_names: list[str]) -> None:
    reads = [read_name(name) for name in given_names]
    weights = stated_weights()
    listed = {
        (a, b)
        for a in range(len(reads))
        for b in range(a + 1, len(reads))
        if compare_read(reads[a], reads[b], weights).relation is not Relation.OTHER
    }
    assert listed <= set(NameIndex([[read] for read in reads]).pairs())


def _view(makers: list[tuple[str, str]]) -> WorkingView:
    with tempfile.TemporaryDirectory() as folder:
        book = Daybook.begin(Path(folder) / "daybook", "Test")
        moment = datetime(2026, 1, 1, tzinfo=UTC)
        for number, (slug, name) in enumerate(makers):
            thing = Thing(slug, ("Firm", "Maker"), name)
            recorded = moment + timedelta(minutes=number)
            book.record(book.compose(Note("A. Tester", things=(thing,), recorded=recorded)))
        return book.view()


@FEW
@given(st.lists(names, min_size=2, max_size=6), st.randoms(use_true_random=False))
def test_the_order_of_records_does_not_change_the_clusters(given_names: list[str], dice: object) -> None:
    makers = [(f"maker-{number}", name) for number, name in enumerate(given_names)]
    shuffled = list(makers)
    dice.shuffle(shuffled)  # type: ignore[attr-defined]  # Hypothesis gives a random.Random
    groups = [
        clusters(
            (p.one, p.other)
            for p in Reconciler(_view(order)).found().proposals
            if p.relation is Relation.SAME
        )
        for order in (makers, shuffled)
    ]
    assert groups[0] == groups[1]


years = st.integers(1820, 1900)


@FEW
@given(years, years, years)
def test_joining_and_then_splitting_restores_the_verdict(begun: int, ended: int, made: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        book = Daybook.begin(Path(folder) / "daybook", "Test")
        things = (
            Thing("book", ("Book",), "A Book of Heads"),
            Thing("one", ("Firm", "Maker"), "Tarn & Co."),
            Thing("other", ("Firm", "Maker"), "Tarn and Company"),
            Thing("lady", ("Piece",), "Lady with a fan"),
        )
        said = (("one", "founded", str(begun)), ("other", "ceased", str(ended)), ("lady", "madeBy", "other"))
        drafts = tuple(Draft(*claim, Citation("book", "p. 1"), written=claim[2]) for claim in said)
        book.record(book.compose(Note("A. Tester", things=things, drafts=drafts)))
        question = Question("lady", read_phrase(str(made), convention()))

        def verdict() -> object:
            found = fit(Chronology(book.view()), question)
            return found.verdict, found.possible

        before = verdict()
        why = Basis("they look alike", "A. Tester")
        book.record(book.compose(merge_note(book.view(), "one", "other", why)))
        book.record(book.compose(split_note(book.view(), "one", "other", why)))
        assert verdict() == before
