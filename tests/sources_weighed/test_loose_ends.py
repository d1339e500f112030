"""Every kind of loose end is found, says what would settle it, and stands by how much would change."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.loose_ends import SETTLES, Loose, LooseEnd, loose_ends
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import follows, says

THINGS = (
    Thing("tarn", ("Firm",), "Tarn & Ottery"),
    Thing("lady", ("Piece",), "Lady"),
    Thing("head", ("Head",), "Head"),
    Thing("who", ("Question",), "Who modelled her?"),
    Thing("line", ("Sentence",), "Lot 4"),
    Thing("she", ("Answer",), "She did"),
    Thing("he", ("Answer",), "He did"),
    *(Thing(slug, ("Book",), slug) for slug in ("b1", "b2", "b3")),
    *(Thing(slug, ("Register",), slug) for slug in ("r1", "r2")),
)
MADE = Draft("lady", "madeBy", "tarn", Citation("r1", "no. 3"))
DATED = Draft("lady", "madeOn", "1875", Citation("r1", "no. 3"), written="1875")


def ends(*drafts: Draft) -> tuple[LooseEnd, ...]:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    made = [compose(start, "A. Tester", things=THINGS)]
    made += [
        compose(start + timedelta(minutes=n), "A. Tester", drafts=(d,)) for n, d in enumerate(drafts, start=1)
    ]
    view = WorkingView.of(load_vocabulary(), made)
    return loose_ends(Weighed(view), Audit(Chronology(view)))


def printed(of: Draft) -> list[Draft]:
    """A sentence of a catalogue that rests on a claim that was recorded first of all."""
    start = datetime(2026, 1, 1, 0, 1, tzinfo=UTC)
    (claim,) = compose(start, "A. Tester", drafts=(of,)).claims
    page = Citation("b3", "lot 4")
    return [
        of,
        Draft("line", "sentenceOf", "b3", page),
        Draft("line", "sentenceText", "By Tarn & Ottery.", page),
        Draft("line", "restsOn", claim.id, page),
    ]


def answers(who: str) -> Draft:
    return Draft(who, "answers", "who", Citation("r1", "note"))


CASES = [
    pytest.param(Loose.CONFLICT, [MADE, says("r1"), Draft("lady", "inscribedOn", "1860", Citation("r1", "back"))],
                 {"lady", "tarn"}, id="made before the maker began"),
    pytest.param(Loose.CONTESTED, [says("r1"), says("r2", "1866")], {"tarn"}, id="register against register"),
    pytest.param(Loose.PRINTED, printed(says("b1")), {"line"}, id="a printed sentence after a book of unknown origin"),
    pytest.param(Loose.CIRCULAR, [follows("b1", "b2"), follows("b2", "b1")], {"b1", "b2"}, id="two follow each other"),
    pytest.param(Loose.NOT_INDEPENDENT,

                 [follows("b1", "b2"), Draft("b1", "independentOf", "b2", Citation("b3", "p. 1"))], 
                 {"b1", "b2"}, id="independent and following"),
    pytest.param(Loose.ONE_WITNESS, [says("b1"), says("b2"), follows("b2", "b1"), follows("b1", "r1")], {"tarn"},
                 id="two books after one register"),
    pytest.param(Loose.UNANCHORED, [says("b1")], {"tarn"}, id="a book of unknown origin"),
    pytest.param(Loose.NO_LOCATOR, [Draft("tarn", "founded", "1871", Citation("r1", " "))], {"tarn"}, id="no place"),
    pytest.param(Loose.NEVER_SEEN, [says("b1"), follows("b1", "b3")], {"b3"}, id="followed and never cited"),
    pytest.param(Loose.NO_DATE, [MADE], {"lady"}, id="no date"),
    pytest.param(Loose.NO_MAKER, [DATED], {"lady"}, id="no maker"),
    pytest.param(Loose.OPEN_END, [MADE, says("r1")], {"tarn"}, id="a begin and no end"),
    pytest.param(Loose.NO_ANSWER, [], {"who"}, id="no answer"),
    pytest.param(Loose.SEVERAL_ANSWERS, [answers("she"), answers("he")], {"who", "she", "he"}, id="two answers"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "drafts", "things"), CASES)
def test_a_loose_end_is_found_where_it_is(kind: Loose, drafts: list[Draft], things: set[str]) -> None:
    found = [end for end in ends(*drafts) if end.kind is kind]
    assert things <= {thing for end in found for thing in end.things}
    assert all(end.settled_by == SETTLES[kind] for end in found)


def test_every_kind_has_a_case_and_a_way_to_settle_it() -> None:
    assert {case.values[0] for case in CASES} == set(Loose) == set(SETTLES)


@pytest.mark.parametrize(
    ("kind", "drafts"),
    [
        pytest.param(Loose.CONTESTED, [says("r1"), says("b1", "1866")], id="a book against a register"),
        pytest.param(Loose.ONE_WITNESS, [says("r1"), says("b1"), follows("b1", "r1")], id="the register was read"),
        pytest.param(Loose.UNANCHORED, [says("b1"), follows("b1", "r1")], id="a register behind the book"),
        pytest.param(Loose.PRINTED, printed(says("r1")), id="a printed sentence after a register"),
        pytest.param(Loose.NEVER_SEEN, [says("b1"), says("b3"), follows("b1", "b3")], id="it was read"),
        pytest.param(Loose.NO_MAKER, [
            Draft("lady", "hasPart", "head", Citation("r1", "no. 1")),
            Draft("head", "madeBy", "tarn", Citation("r1", "no. 1")),
        ], id="its head has a maker"),
        pytest.param(Loose.OPEN_END, [MADE, says("r1"), says("r1", "1890", "ceased")], id="both years are there"),
        pytest.param(Loose.SEVERAL_ANSWERS, [answers("she")], id="one answer"),
        pytest.param(Loose.NOT_INDEPENDENT, [Draft("b1", "independentOf", "b2", Citation("b3", "p. 1"))], id="no link"),
    ],
)  # fmt: skip
def test_what_is_settled_is_no_loose_end(kind: Loose, drafts: list[Draft]) -> None:
    assert [end for end in ends(*drafts) if end.kind is kind] == []


def test_those_that_bear_on_more_verdicts_come_first() -> None:
    found = ends(
        MADE,
        says("b1"),
        Draft("lady", "madeOn", "1875", Citation("b2", "p. 1")),
        says("b3", "1884", "ceased"),
    )
    verdicts = [end.verdicts + end.sentences for end in found]
    assert verdicts == sorted(verdicts, reverse=True)
    first = found[0]
    assert first.verdicts == 1
    assert "lady" in first.things or any(claim.property in ("founded", "ceased") for claim in first.claims)
    assert found[-1].verdicts == 0


def test_what_the_same_sources_say_is_one_loose_end_and_no_end_stands_twice() -> None:
    found = ends(
        says("b1"),
        says("b1", "1884", "ceased"),
        Draft("lady", "condition", "rubbed", Citation("b1", "p. 4")),
        says("b2", "1890", "ceased"),
    )
    alone = [end for end in found if end.kind is Loose.UNANCHORED]
    assert sorted(len(end.claims) for end in alone) == [1, 3]
    keys = [(end.kind, end.things, end.claims) for end in found]
    assert len(keys) == len(set(keys))


def test_two_sides_of_one_dispute_are_one_loose_end() -> None:
    (dispute,) = [end for end in ends(says("r1"), says("r2", "1866")) if end.kind is Loose.CONTESTED]
    assert {claim.value for claim in dispute.claims} == {"1871", "1866"}


def test_copies_of_a_claim_make_one_conflict_with_it() -> None:
    carved = Draft("lady", "inscribedOn", "1860", Citation("r2", "back"))
    (conflict,) = [e for e in ends(MADE, says("r1"), says("b1"), carved) if e.kind is Loose.CONFLICT]
    assert {claim.citation.source for claim in conflict.claims if claim.property == "founded"} == {"r1", "b1"}


def test_a_loose_end_counts_the_printed_sentences_that_rest_on_it() -> None:
    (end,) = [end for end in ends(*printed(says("b1"))) if end.kind is Loose.UNANCHORED]
    assert (end.verdicts, end.sentences) == (0, 1)
