"""The demo's lady without a name: what the command says of her, and that it can be traced."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kg.attribution.candidates import Ranking, rank
from kg.attribution.held_out import LARGEST_ERROR
from kg.attribution.telling import told_ranking
from kg.daybook.daybook import Daybook
from kg.daybook.demo import begin_demo

LADY, INTENDED, DECOY = "piece-unidentified-lady", "maker-courtepee", "maker-castagnet"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Daybook:
    return begin_demo(tmp_path_factory.mktemp("who") / "daybook")


@pytest.fixture(scope="module")
def ranking(book: Daybook) -> Ranking:
    return rank(book.view(), LADY)


def test_the_intended_maker_is_among_the_first_three(ranking: Ranking) -> None:
    assert INTENDED in [c.maker for c in ranking.candidates[:3]]


def test_the_decoy_is_excluded_for_a_reason_of_date(ranking: Ranking) -> None:
    out = ranking.excluded[DECOY]
    assert out.is_outlived
    assert {(c.subject, c.property) for c in out.claims} == {
        (DECOY, "ceased"),
        ("material-eosin", "availableFrom"),
        (LADY, "usesMaterial"),
    }
    assert next(c.probability for c in ranking.candidates if c.maker == DECOY) == 0


def test_without_her_strongest_claim_the_intended_maker_is_visibly_lower(
    book: Daybook, ranking: Ranking
) -> None:
    strongest = ranking.reasons(INTENDED)[0]
    full = next(c for c in ranking.candidates if c.maker == INTENDED)
    for claim in strongest.evidence.claims:
        lower = rank(book.view().without([claim.id]), LADY)
        found = next(c for c in lower.candidates if c.maker == INTENDED)
        assert found.probability < full.probability - 0.01
        assert found.decibans < full.decibans - 10


def test_without_the_ribbon_the_decoy_is_no_longer_excluded(book: Daybook, ranking: Ranking) -> None:
    ribbon = next(c for c in ranking.excluded[DECOY].claims if c.property == "usesMaterial")
    assert DECOY not in rank(book.view().without([ribbon.id]), LADY).excluded


def test_every_ranking_carries_its_held_out_figures_and_says_whether_it_is_calibrated(
    ranking: Ranking,
) -> None:
    figures = told_ranking(ranking)["calibration"]
    assert figures["pieces"] >= 140
    assert 0 < figures["top_1"] <= figures["top_3"] <= 1
    is_small = figures["expected_calibration_error"] <= LARGEST_ERROR
    assert figures["is_calibrated"] is is_small
    assert ("is not calibrated" in figures["says"]) is not is_small
    assert sum(bar["pieces"] for bar in figures["reliability"]) == figures["pieces"]


def test_the_intended_makers_are_found_again_for_most_recorded_pieces(ranking: Ranking) -> None:
    figures = ranking.inquiry.calibration
    assert figures.top_1 > 0.5
    assert figures.top_3 > 0.8


def test_every_reason_cites_a_claim_of_the_daybook(book: Daybook, ranking: Ranking) -> None:
    claims = book.view().claims
    for candidate in told_ranking(ranking)["candidates"]:
        for reason in candidate["reasons"]:
            assert reason["claims"]
            assert all(claim["claim"] in claims and claim["citation"] for claim in reason["claims"])


def test_what_nobody_examined_is_offered_as_a_look_with_its_caution(ranking: Ranking) -> None:
    looks = {look["feature"]: look for look in told_ranking(ranking)["next_looks"]}
    assert looks["pate"]["was_tried"]
    assert looks["pate"]["cost"] == "lift the wig"
    assert "ask who may" in looks["pate"]["caution"].lower()
    assert "hands" in looks


STAMPED = "piece-bisque-girl-in-smocked-linen"


def test_a_body_makers_stamp_does_not_give_him_the_piece(book: Daybook) -> None:
    ranking = rank(book.view(), STAMPED)
    assert ranking.candidates[0].maker != "maker-eberskoehler"
    assert all("E.K." not in each.found for each in ranking.evidence)
    body = rank(book.view(), "part-bisque-girl-in-smocked-linen-body")
    assert any(each.kind == "mark" and "E.K." in each.found for each in body.evidence)


def test_no_mark_or_height_of_the_demo_says_more_than_its_cap(book: Daybook, ranking: Ranking) -> None:
    for each in (*ranking.evidence, *rank(book.view(), STAMPED).evidence):
        if each.mark is not None:
            assert 0 < each.mark.cap < 20
            assert abs(each.logs).max() * 10 / math.log(10) <= each.mark.cap + 1e-9


# ---------------------------------------------------------------- the command

Run = Callable[..., str]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.setenv("KILNMARK_RESEARCHER", "A. Tester")

    def call(*words: str | Path) -> str:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit):
            main()
        printed = capsys.readouterr()
        return printed.out + printed.err

    return call


def asked(run: Run, book: Daybook, *words: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(run("who", LADY, "-d", book.shelf.folder, "--json", *words))
    return told


def test_the_answer_as_json_holds_what_was_promised(run: Run, book: Daybook) -> None:
    told = asked(run, book)
    assert {"candidates", "unrecorded_maker", "next_looks", "calibration", "attribution"} <= told.keys()
    for candidate in told["candidates"]:
        assert {"maker", "probability", "decibans", "reasons", "excluded_by"} <= candidate.keys()
    assert told["candidates"][0]["maker"] == INTENDED
    decoy = next(c for c in told["candidates"] if c["maker"] == DECOY)
    assert len(decoy["excluded_by"]) == 3
    assert 0 < told["unrecorded_maker"] < 1
    assert told["as_of"] is None
    ranked = [c["maker"] for c in told["candidates"]]
    assert sorted(ranked) == sorted(rank(book.view(), LADY).inquiry.recorded.makers)
    assert len(asked(run, book, "--top", "1")["candidates"]) == len(ranked)
    assert asked(run, book, "--as-of", "2999-01-01")["as_of"] == "2999-01-01"


def test_of_equal_output_the_likelier_maker_has_the_more_calibrated_decibans(ranking: Ranking) -> None:
    told = [c for c in told_ranking(ranking, top=0)["candidates"] if c["decibans_calibrated"] is not None]
    for one in told:
        for other in told:
            if (
                one["recorded_pieces"] == other["recorded_pieces"]
                and one["probability"] > other["probability"]
            ):
                assert one["decibans_calibrated"] >= other["decibans_calibrated"]


def test_leaving_a_claim_out_tells_what_it_changes(run: Run, book: Daybook, ranking: Ranking) -> None:
    claim = ranking.reasons(INTENDED)[0].evidence.claims[-1].id
    told = asked(run, book, "--without", claim)
    assert told["without"] == [claim]
    moved = next(m for m in told["changes"]["moved"] if m["maker"] == INTENDED)
    assert moved["decibans_after"] < moved["decibans_before"] - 10
    assert [c["claim"] for c in told["changes"]["dropped"]] == [claim]


def test_the_page_shows_table_reasons_exclusions_looks_and_trust(run: Run, book: Daybook) -> None:
    page = " ".join(run("who", LADY, "-d", book.shelf.folder).split())
    for part in (
        "certainty:",
        "a maker not in the daybook",
        "For and against Courtépée",
        "Excluded: Castagnet",
        "What to look at next",
        "Caution:",
        "How far to trust this",
        "held-out calibration error",
        "always stays with a maker not in the daybook",
        "Calibrated: the odds shown",
    ):
        assert part in page


def test_a_kept_ranking_is_a_question_and_nothing_has_changed_after(run: Run, tmp_path: Path) -> None:
    own = begin_demo(tmp_path / "own")
    assert "Kept as" in run("who", LADY, "-d", own.shelf.folder, "--keep")
    told = asked(run, own)
    assert told["changes"]["question"] == f"question-who-made-{LADY}"
    assert told["changes"]["moved"] == []
    view = own.view()
    answers = {c.value for c in view.live if c.property == "answerIs"}
    assert INTENDED in answers
    question = f"question-who-made-{LADY}"
    assert f"answer-{LADY}-none-of-these" in {c.subject for c in view.by_value[question]}
    assert f"Kept as {told['changes']['kept']}" in run("who", LADY, "-d", own.shelf.folder, "--keep")
    assert own.view().entries.keys() == view.entries.keys()
    assert own.view().claims.keys() == view.claims.keys()
    assert all(c.value in view.claims for c in view.live if c.property in ("supportedBy", "disputedBy"))


def test_keeping_a_supposition_is_refused(run: Run, book: Daybook, ranking: Ranking) -> None:
    claim = ranking.reasons(INTENDED)[0].evidence.claims[0].id
    assert "--keep keeps what stands now" in run(
        "who", LADY, "-d", book.shelf.folder, "--keep", "--without", claim
    )


def test_what_is_no_piece_and_what_is_not_there_are_refused_with_what_to_do(run: Run, book: Daybook) -> None:
    assert "is no piece or part" in run("who", "maker-courtepee", "-d", book.shelf.folder)
    assert "is not in the daybook" in run("who", "piece-nobody", "-d", book.shelf.folder)
