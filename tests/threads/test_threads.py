"""Threads join two things by claims, the most trustworthy first, within what is allowed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kg.cli import app
from kg.dates.window import Window, day_of
from kg.daybook.daybook import Daybook
from kg.daybook.demo import begin_demo
from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.standing import Step
from kg.threads.threads import Allowed, Thread, Threads
from kg.vocabulary import load_vocabulary
from tests.conftest import Scene
from tests.sources_weighed.scenes import WHEN

THINGS = (
    Thing("shop", ("Retailer",), "Shop"),
    Thing("tarn", ("Firm",), "Tarn"),
    Thing("otter", ("Firm",), "Otter"),
    Thing("lady", ("Piece",), "Lady"),
    Thing("gent", ("Piece",), "Gentleman"),
    Thing("mould", ("Mould",), "Mould 100"),
    Thing("neck", ("Feature",), "Swivel neck"),
    Thing("r1", ("Register",), "Register"),
    Thing("r2", ("Register",), "Other register"),
    Thing("b1", ("Book",), "Book"),
)


def claim(subject: str, says: str, value: str, source: str = "r1") -> Draft:
    return Draft(subject, says, value, Citation(source, "p. 1"))


DRAFTS = (
    claim("lady", "soldBy", "shop"),
    claim("lady", "fromMould", "mould", "b1"),
    claim("gent", "soldBy", "shop"),
    claim("gent", "madeBy", "tarn"),
    claim("mould", "mouldOf", "tarn"),
    claim("lady", "hasFeature", "neck"),
    claim("gent", "hasFeature", "neck"),
)


def threads(*drafts: Draft) -> Threads:
    entry = compose(WHEN, "A. Tester", things=THINGS, drafts=drafts)
    return Threads(Weighed(WorkingView.of(load_vocabulary(), [entry])))


def ways(found: tuple[Thread, ...]) -> list[tuple[int, list[str]]]:
    return [(t.cost, [t.links[0].before, *(link.after for link in t.links)]) for t in found]


SHORT = (2 + 5, ["shop", "lady", "mould"])  # one register (2) and one book of unknown origin (5)
LONG = (2 + 2 + 2, ["shop", "gent", "tarn", "mould"])
BY_LIKENESS = (2 + 2 + 2 + 2 + 2, ["shop", "lady", "neck", "gent", "tarn", "mould"])


def test_a_longer_thread_of_better_claims_comes_before_a_shorter_one_of_unknown_origin() -> None:
    assert ways(threads(*DRAFTS).between("shop", "mould", 3)) == [LONG, SHORT, BY_LIKENESS]


@pytest.mark.parametrize(
    ("allowed", "expected"),
    [
        pytest.param(Allowed(not_kinds=frozenset({"Feature"})), [LONG, SHORT], id="not by likeness"),
        pytest.param(Allowed(kinds=frozenset({"Piece"})), [SHORT], id="only through pieces"),
        pytest.param(Allowed(not_kinds=frozenset({"Piece"})), [], id="through no piece"),
        pytest.param(Allowed(least=Step.FIRST_HAND), [LONG, BY_LIKENESS], id="first-hand or better"),
        pytest.param(Allowed(least=Step.SEVERAL), [], id="several witnesses"),
    ],
)
def test_a_thread_keeps_to_what_is_allowed(allowed: Allowed, expected: list[tuple[int, list[str]]]) -> None:
    assert ways(threads(*DRAFTS).between("shop", "mould", 3, allowed)) == expected


@pytest.mark.parametrize(
    ("first", "last", "is_through"),
    [
        pytest.param(1871, 1879, True, id="while the firm worked"),
        pytest.param(1880, 1899, True, id="touching its last year"),
        pytest.param(1881, 1899, False, id="after it"),
        pytest.param(1800, 1870, False, id="before it"),
    ],
)
def test_a_thing_whose_time_lies_outside_is_not_passed(first: int, last: int, is_through: bool) -> None:
    dated = (*DRAFTS, claim("tarn", "founded", "1871"), claim("tarn", "ceased", "1880"))
    allowed = Allowed(
        not_kinds=frozenset({"Feature", "Piece"}), during=Window.within(day_of(first), day_of(last, 12, 31))
    )
    chain = (*dated, claim("shop", "supplied", "tarn"))
    found = threads(*chain).between("shop", "mould", 3, allowed)
    assert [way for _, way in ways(found)] == ([["shop", "tarn", "mould"]] if is_through else [])


PIECES = Allowed(kinds=frozenset({"Piece"}))


@pytest.mark.parametrize(
    ("first", "last", "is_through"),
    [
        pytest.param(1871, 1879, True, id="while her maker worked"),
        pytest.param(1890, 1899, True, id="to the last year of a successor's use"),
        pytest.param(1891, 1899, False, id="after it, though she may have been sold then"),
        pytest.param(1850, 1870, False, id="before it, as a dating says"),
    ],
)
def test_a_piece_is_passed_in_the_years_in_which_she_can_have_been_made_whatever_she_is_dated(
    first: int, last: int, is_through: bool
) -> None:
    made = threads(
        claim("lady", "soldBy", "shop"), claim("lady", "fromMould", "mould"), claim("lady", "madeBy", "tarn"),
        claim("tarn", "founded", "1871"), claim("tarn", "ceased", "1880"), claim("lady", "madeOn", "1864"),
    )  # fmt: skip
    allowed = replace(PIECES, during=Window.within(day_of(first), day_of(last, 12, 31)))
    found = made.between("shop", "mould", 3, allowed)
    assert [way for _, way in ways(found)] == ([["shop", "lady", "mould"]] if is_through else [])


def test_a_dating_alone_keeps_no_piece_out_of_a_thread() -> None:
    made = threads(
        claim("lady", "soldBy", "shop"), claim("lady", "fromMould", "mould"), claim("lady", "madeOn", "1864")
    )
    allowed = replace(PIECES, during=Window.within(day_of(1890), day_of(1899, 12, 31)))
    assert len(made.between("shop", "mould", 3, allowed)) == 1


def test_the_best_claim_joins_two_things_and_the_others_are_told_beside_it() -> None:
    found = threads(claim("lady", "madeBy", "tarn", "b1"), claim("lady", "madeBy", "tarn", "r1"),
                    claim("lady", "madeBy", "tarn", "r2"), claim("lady", "dressedBy", "tarn", "b1"))  # fmt: skip
    (link,) = found.between("lady", "tarn", 5)[0].links
    assert link.step is Step.SEVERAL
    assert link.claim.property == "madeBy"
    assert len(link.others) == 3


def test_nothing_joins_what_no_claim_joins_and_a_thing_has_no_thread_to_itself() -> None:
    made = threads(claim("lady", "madeBy", "tarn"))
    assert made.between("lady", "shop") == ()
    assert made.between("lady", "lady") == ()


# ---------------------------------------------------------------- the command


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Daybook:
    return begin_demo(tmp_path_factory.mktemp("demo") / "daybook")


def run(book: Daybook, *words: str) -> str:
    result = CliRunner().invoke(app, ["thread", *words, "-d", str(book.shelf.folder)])
    assert result.exit_code == 0, result.output
    return result.output


def test_the_command_follows_the_lady_from_her_retailer_to_her_maker(book: Daybook) -> None:
    answer = json.loads(run(book, "retailer-noizeux", "maker-teichgraeber-und-sohn", "--json"))
    steps = answer["threads"][0]["steps"]
    assert [step["to"] for step in steps] == ["piece-lady-with-blue-snood", "maker-teichgraeber-und-sohn"]
    assert all(step["citation"] and step["step"] for step in steps)
    page = " ".join(run(book, "retailer-noizeux", "maker-teichgraeber-und-sohn").split())
    assert "Thread 1: 2 links, 2 steps of standing below the best" in page


def test_the_command_passes_only_through_what_may_be_of_the_years_asked_for(book: Daybook) -> None:
    ends = ["retailer-noizeux", "maker-teichgraeber-und-sohn", "--json"]
    lady = "piece-lady-with-blue-snood"
    found = {
        years: {
            step["to"]
            for t in json.loads(run(book, *ends, "--during", years))["threads"]
            for step in t["steps"]
        }
        for years in ("1870s", "1880s", "1950s")
    }
    assert {years for years, things in found.items() if lady in things} == {"1880s"}


def test_a_thread_from_a_thing_to_itself_is_refused_in_words(book: Daybook) -> None:
    label = book.view().label("retailer-noizeux")
    for other in ("retailer-noizeux", label):
        result = CliRunner().invoke(app, ["thread", "retailer-noizeux", other, "-d", str(book.shelf.folder)])
        assert result.exit_code == 1
        assert f"are the same thing, {label}; a thread joins two things" in str(result.exception)


@pytest.mark.parametrize("words", [[], ["--as-of", "2026-06-15"]], ids=["now", "a past day"])
def test_the_json_says_as_of_which_day_it_answers(book: Daybook, words: list[str]) -> None:
    answer = json.loads(run(book, "retailer-noizeux", "maker-teichgraeber-und-sohn", "--json", *words))
    assert answer["as_of"] == (words[1] if words else None)


def test_as_of_an_earlier_day_the_thread_of_that_day_stands_beside_todays(book: Daybook) -> None:
    answer = json.loads(
        run(
            book,
            "piece-lady-with-blue-snood",
            "maker-teichgraeber-und-sohn",
            "--as-of",
            "2026-06-15",
            "--json",
        )
    )
    assert answer["threads"] != answer["today"]
    assert len(answer["today"][0]["steps"]) == 1
    assert len(answer["threads"][0]["steps"]) > 1
    page = run(book, "piece-lady-with-blue-snood", "maker-teichgraeber-und-sohn", "--as-of", "2026-06-15")
    assert "Since 2026-06-15: today" in page


@pytest.mark.parametrize(
    ("words", "message"),
    [
        pytest.param(["--least", "good"], "'good' found; expected one of several", id="no standing"),
        pytest.param(["--during", "n.d."], "says that there is no date", id="no date"),
        pytest.param(["--through", "Dragon"], "is no class", id="no class"),
    ],
)
def test_the_command_refuses_what_it_does_not_know(book: Daybook, words: list[str], message: str) -> None:
    ends = ["retailer-noizeux", "maker-teichgraeber-und-sohn"]
    result = CliRunner().invoke(app, ["thread", *ends, *words, "-d", str(book.shelf.folder)])
    assert result.exit_code == 1
    assert message in str(result.exception)


def test_the_command_says_so_when_nothing_joins_them(scene: Scene, tmp_path: Path) -> None:
    page = run(scene.daybook, "lady", "shop")
    assert "Nothing on record joins them" in page
