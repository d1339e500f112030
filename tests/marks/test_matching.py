"""Recorded marks ranked against a worn one."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.daybook.record import Citation, Draft, Thing
from kg.marks import matching_shelf
from kg.marks.confusion import Facing, confusion_model
from kg.marks.matching import MarkIndex, Match, NothingToMatch, nearest
from kg.marks.matching_grams import GramIndex, runs_of
from kg.marks.matching_symbols import FIRST, shown, symbols_of, symbols_of_text, symbols_of_texts
from kg.marks.transcription import parse_transcription
from tests.conftest import Scene

RECORDED = {
    "tarn": "D.R.G.M. 171104 Tarn & Ottery G.m.b.H. Germany",
    "number": "incised, back of head: 138/0 S 5 Germany",
    "letters": "B.D.I. 7 Halle",
    "six": "No. 96 Eschenau",
    "mirrored": "stamped, sole, mirrored: LAMPE",
    "worn": "[---]elow & Sons Bath",
    "script": "Jda 12",
    "ticket": "printed, ticket: The Lantern Bazaar, 14 Quay Street",
}


@pytest.fixture(scope="module")
def index() -> MarkIndex:
    return MarkIndex.build(list(RECORDED), [parse_transcription(text) for text in RECORDED.values()])


def best(index: MarkIndex, seen: str) -> Match:
    return index.search(parse_transcription(seen), 1)[0]


@pytest.mark.parametrize(
    ("seen", "found"),
    [
        pytest.param("D.R.G.M. 17[.]104 / T?arn & Ott[---]", "tarn", id="half of it gone"),
        pytest.param("DRGM 171104 TARN & OTTERY GMBH GERMANY", "tarn", id="other points and capitals"),
        pytest.param("188/O 5 S Gernany", "number", id="3 for 8, O for 0, S and 5 exchanged"),
        pytest.param("8.O.1. I Ha11e", "letters", id="8 for B, O for D, 1 for I, I for 7, 1 for l"),
        pytest.param("No. 99 Eschenau", "six", id="9 for 6"),
        pytest.param("inverted: 96 Eschenau", "six", id="typed as it reads, set upside down"),
        pytest.param(
            "inverted: uaneHcsE 96 .oN", "six", id="typed as it stands, upside down: the 96 reads as itself"
        ),
        pytest.param("mirrored: EPMAL", "mirrored", id="both mirrored, typed from the other end"),
        pytest.param("LAMPE", "mirrored", id="a mirrored record, typed as it reads"),
        pytest.param("EQMAJ", "mirrored", id="a mirrored record and an upright copy of what it looks like"),
        pytest.param("Brumelow & Sons Bath", "worn", id="a record that has lost its begin"),
        pytest.param("Ida 12", "script", id="script I and J"),
        pytest.param("[- 3-12 -] Bazaar 14", "ticket", id="a gap of some length"),
    ],
)
def test_a_worn_mark_finds_its_own_record(index: MarkIndex, seen: str, found: str) -> None:
    assert best(index, seen).id == found


def test_a_search_finds_what_an_exhaustive_scan_finds(index: MarkIndex) -> None:
    mark = parse_transcription("D.R.G.M. 1[..]104 / [---]any")
    assert index.search(mark) == index.exhaustive(mark)


def test_the_parts_say_what_agrees_what_may_be_misread_and_what_is_lost(index: MarkIndex) -> None:
    parts = best(index, "D.R.G.M. 1?71I[.]4 Tarn & O[---]").parts
    assert [(part.kind, part.seen, part.recorded) for part in parts] == [
        ("common", "D.R.G.M.", "D R G M "),
        ("uncertain", "1", "1"),
        ("same", "71", "71"),
        ("confused", "I", "1"),
        ("lost", "[.]", "0"),
        ("same", "4 Tarn & O", "4 TARN & O"),
        ("lost", "[---]", "TTERY G M B H GERMANY"),
    ]


def test_a_score_is_told_in_decibans_and_never_as_a_share_of_a_hundred(index: MarkIndex) -> None:
    match = best(index, "No. 9? Eschenau 4")
    assert match.decibans == pytest.approx(match.score_bits * 3.0103, abs=0.01)
    assert match.told[-1] == "'4' is seen but not recorded (-3 decibans)"
    assert not any("%" in sentence for sentence in match.told)


def test_a_counted_gap_stands_for_no_more_than_its_characters(index: MarkIndex) -> None:
    right = best(index, "D.R.G.M. [......] Tarn & Ottery[---]").score_bits
    assert best(index, "D.R.G.M.[- 4-8 -] Tarn & Ottery[---]").score_bits == pytest.approx(right, abs=2.5)
    assert best(index, "D.R.G.M. [..] Tarn & Ottery[---]").score_bits < right - 5


def test_what_an_editor_restored_is_no_evidence(index: MarkIndex) -> None:
    assert best(index, "No. 96 Esch[enau]").score_bits == best(index, "No. 96 Esch[....]").score_bits


def test_an_expanded_abbreviation_is_compared_as_it_stands_on_the_piece(index: MarkIndex) -> None:
    assert best(index, "N(umer)o. 96 Eschenau").score_bits == best(index, "No. 96 Eschenau").score_bits


def test_an_uncertain_character_that_agrees_weighs_less_and_one_that_does_not_costs_less(
    index: MarkIndex,
) -> None:
    assert best(index, "No. 96? Eschenau").score_bits < best(index, "No. 96 Eschenau").score_bits
    assert best(index, "No. 9X? Eschenau").score_bits > best(index, "No. 9X Eschenau").score_bits


def test_a_mark_of_which_nothing_can_be_read_is_refused(index: MarkIndex) -> None:
    with pytest.raises(NothingToMatch) as refusal:
        index.search(parse_transcription("incised: [---][..]"))
    assert str(refusal.value) == (
        "Nothing of 'incised: [---][..]' can be read, so it resembles every mark alike. "
        "Type at least one character that is seen, even an uncertain one such as 'A?'."
    )


def test_no_mark_is_offered_that_is_no_likelier_than_an_unrelated_one(index: MarkIndex) -> None:
    assert index.search("Q9W") == []
    assert all(match.score_bits < 0 for match in index.search("Q9W", least_bits=-100))


def test_equal_marks_come_in_the_order_of_recording() -> None:
    index = MarkIndex.build(["b", "a", "c"], ["Wexel 7", "wexel 7", "Wexel.7"])
    assert [match.id for match in index.search("Wexel 7")] == ["b", "a", "c"]


def test_ids_and_marks_must_be_as_many() -> None:
    with pytest.raises(ValueError, match="2 ids for 1 marks; give one for each"):
        MarkIndex.build(["a", "b"], ["139"])


def test_an_index_of_nothing_finds_nothing() -> None:
    assert MarkIndex.build([], []).search("139") == []


def invented(random: Random, count: int) -> list[str]:
    """Marks of forty invented makers, with numbers."""
    names = [
        "".join(random.choice("aeioubdfglmnrst") for _ in range(random.randint(4, 9))) for _ in range(40)
    ]
    lands = ("Germany", "France", "")
    return [
        f"{random.choice(names)} {random.randint(1, 9999)} {random.choice(lands)} {random.randint(1, 16)}/0"
        for _ in range(count)
    ]


def test_a_search_that_aligns_few_marks_still_finds_nearly_all_of_the_scans_ten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    random = Random(3)
    marks = invented(random, 6000)
    index = MarkIndex.build([str(at) for at in range(len(marks))], marks)
    for name, few in (("BY_RUNS", 1800), ("CANDIDATES", 350), ("CANDIDATES_OPEN", 900)):
        monkeypatch.setattr(matching_shelf, name, few)
    found = due = 0
    for text in random.sample(marks, 12):
        typed = text.replace("/", r"\/")
        for worn in (f"{text[:3]}[.]{typed[4:-4]}[---]", f"{text[:2]}[.]{typed[3:]}", f"[---]{typed[5:]}"):
            mark = parse_transcription(worn)
            scan = index.exhaustive(mark)
            found += sum(match.score_bits >= scan[-1].score_bits for match in index.search(mark))
            due += len(scan)
    assert due > 280
    assert found >= 0.97 * due


@given(st.lists(st.text(alphabet="GERMANY013/. …üßé\n", max_size=12), max_size=6))
def test_many_texts_are_read_as_each_alone(texts: list[str]) -> None:
    assert symbols_of_texts(texts) == ([symbols_of_text(text) for text in texts] if texts else [b""])


def test_plain_text_and_a_transcription_of_it_are_one() -> None:
    text = "D.R.G.M. 171104 Größe 3"
    assert symbols_of(text) == symbols_of(parse_transcription(text))
    assert shown(symbols_of(text)) == "D R G M 171104 GROSSE 3"


@given(
    st.lists(st.text(alphabet="GE013…. ", max_size=7), min_size=1, max_size=40),
    st.text(alphabet="GE013. ", max_size=6),
)
def test_the_overlap_is_the_weight_of_the_runs_that_both_marks_hold(texts: list[str], seen: str) -> None:
    model = confusion_model()
    marks = symbols_of_texts(texts)
    starts = np.concatenate([[0], np.cumsum([len(mark) for mark in marks])]).astype(np.int64)
    index = GramIndex.of(np.frombuffer(b"".join(marks), dtype=np.uint8), starts, model)
    runs = runs_of(list(symbols_of_text(seen)), model)
    ours = {(run.shape, run.code) for run in runs}
    shared: Sequence[int] = [len(ours & {(r.shape, r.code) for r in runs_of(list(m), model)}) for m in marks]
    assert index.overlap(runs, [1.0] * len(runs)).tolist() == [8 * n for n in shared]


def test_every_confusion_has_a_basis_and_a_chance() -> None:
    rows = confusion_model().rows
    assert len(rows) > 100
    assert all(row.basis and row.because and 0 < row.chance < 1 for row in rows)
    assert {row.kind for row in rows} == {"worn", "script", "mirrored", "inverted", "chance"}


@pytest.mark.parametrize("facing", ["as written", "mirrored", "inverted"])
@pytest.mark.parametrize("is_uncertain", [False, True])
def test_a_character_is_read_as_something_with_certainty(facing: Facing, is_uncertain: bool) -> None:
    chances = confusion_model().seen_as(facing, is_uncertain=is_uncertain)
    assert chances[FIRST:].sum(axis=1) == pytest.approx(1)
    assert (chances[FIRST:, FIRST:] > 0).all()


def test_the_nearest_marks_of_a_daybook_are_those_that_its_live_claims_transcribe(scene: Scene) -> None:
    scene.add(
        things=[Thing("mark-1", ("Mark",), "Mark of the lady"), Thing("mark-2", ("Mark",), "Mark of the boy")]
    )
    cite = Citation("book", "p. 9")
    scene.add(drafts=[Draft("mark-1", "transcribed", "incised: Wexel [---]4 [unclosed", cite)])
    scene.add(drafts=[Draft("mark-2", "transcribed", "incised: Brumelow 17[.]", cite)])
    found = nearest(parse_transcription("Brume[---] 171"), scene.daybook.view(), 5)
    assert [match.id for match in found] == ["mark-2"]
    assert nearest(parse_transcription("[---]Wexel[---]"), scene.daybook.view())[0].id == "mark-1"


def test_words_that_describe_a_diamond_or_a_technique_are_no_evidence_that_marks_are_alike() -> None:
    described = "diamond, class IV, top X, right 7, bottom 3, left K"
    assert shown(symbols_of(parse_transcription(described))) == "IV X 7 3 K"
    assert shown(symbols_of(parse_transcription("diamond IV X 7 3 K"))) == "IV X 7 3 K"
    assert shown(symbols_of(parse_transcription("stamped GERMANY"))) == "GERMANY"
    assert shown(symbols_of(parse_transcription("Stamped Velvet"))) == "STAMPED VELVET"
    other = parse_transcription("diamond, class II, top 4, right B, bottom W, left 9")
    assert MarkIndex.build(["other"], [other]).search(parse_transcription(described), 1) == []
