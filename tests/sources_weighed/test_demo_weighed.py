"""In the demo: one witness through one bottleneck, a circular pair, what falls, and what was known on print day."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.verdict import Verdict
from kg.cli import app
from kg.daybook.daybook import Daybook
from kg.daybook.demo import MAIN_PIECE, begin_demo
from kg.daybook.record import Claim
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import what_falls
from kg.sources_weighed.loose_ends import Loose, loose_ends
from kg.sources_weighed.printed import Footing, Printed
from kg.sources_weighed.since import Since
from kg.sources_weighed.standing import Step, step_of

PRINT_DAY = date(2026, 6, 15)
BOTTLENECK = "article-resseguier-1932"
PAIR = {"book-bellegarrigue-1968", "book-dunkerley-1968"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Daybook:
    return begin_demo(tmp_path_factory.mktemp("demo") / "daybook")


@pytest.fixture(scope="module")
def weighed(book: Daybook) -> Weighed:
    return Weighed(book.view())


@pytest.fixture(scope="module")
def founding(weighed: Weighed) -> Claim:
    return said_in(weighed, "book-dunkerley-1968")


def said_in(weighed: Weighed, source: str) -> Claim:
    """The claim of a source that gives the year in which the maker set up in business."""
    return next(
        claim for claim in weighed.view.by_subject["maker-vauquelard"]
        if claim.property == "founded" and claim.citation.source == source
    )  # fmt: skip


def test_the_founding_year_that_six_repeat_is_one_witness_through_one_bottleneck(
    weighed: Weighed, founding: Claim
) -> None:
    answer = weighed.witnesses(founding)
    assert (len(answer.stating), answer.count, answer.possible, answer.fewest) == (6, 1, 1, 1)
    assert answer.bottleneck == answer.overturning == (BOTTLENECK,)
    assert answer.routes == (("testimony-vauquelard-niece", BOTTLENECK),)
    assert step_of(weighed, founding) is Step.CONTESTED


def test_the_two_books_that_cite_each_other_are_found(weighed: Weighed, founding: Claim) -> None:
    derivation = weighed.derivation
    assert [{derivation.sources[n] for n in circle} for circle in derivation.circular] == [PAIR]
    assert [set(circle) for circle in weighed.witnesses(founding).circles] == [PAIR]


def test_setting_the_bottleneck_aside_changes_the_verdict_on_the_lady_with_parasol_alone(
    weighed: Weighed, founding: Claim
) -> None:
    fall = what_falls(weighed, sources=[BOTTLENECK], about=founding)
    assert (len(fall.direct), len(fall.following)) == (1, 5)
    told = [(v.claim.subject, v.before, v.after) for v in fall.verdicts]
    assert told == [("piece-vauquelard-lady-with-parasol", Verdict.CANNOT, Verdict.FITS)]


def test_as_of_print_day_the_main_piece_fitted_and_today_it_fits_in_part(book: Daybook) -> None:
    since = Since(*(Audit(Chronology(book.view(as_of=day))) for day in (PRINT_DAY, None)))
    changed = [v for v in since.verdicts if v.claim.citation.source == "catalogue-summer-2026"]
    assert [(v.claim.subject, v.then, v.now) for v in changed] == [
        (MAIN_PIECE, Verdict.FITS, Verdict.IN_PART)
    ]
    assert {v.claim.subject for v in since.verdicts} == {MAIN_PIECE}
    standings = {judgement.standing for judgement in since.judged}
    assert standings == {"doubted", "setAside", "withdrawn"}
    assert all(since.now.chronology.view.entries[c.entry].recorded.date() > PRINT_DAY for c in since.added)


def test_the_loose_ends_hold_the_circle_the_contested_year_and_the_open_question(weighed: Weighed) -> None:
    found = loose_ends(weighed, Audit(Chronology(weighed.view)))
    about = {kind: {thing for end in found if end.kind is kind for thing in end.things} for kind in Loose}
    assert about[Loose.CIRCULAR] == PAIR
    assert "maker-vauquelard" in about[Loose.CONTESTED]
    assert "question-who-modelled-aurore" in about[Loose.SEVERAL_ANSWERS]
    assert about[Loose.NEVER_SEEN] == {"testimony-vauquelard-niece"}
    verdicts = [end.verdicts + end.sentences for end in found]
    assert verdicts == sorted(verdicts, reverse=True)


def footings(weighed: Weighed) -> dict[str, Footing]:
    printed = Printed(weighed)
    return {s.thing.removeprefix("sentence-summer-2026-"): printed.footing(s) for s in printed.sentences}


def test_the_sentence_on_the_main_piece_stood_on_print_day_and_has_lost_its_footing_today(
    book: Daybook, weighed: Weighed
) -> None:
    then, now = footings(Weighed(book.view(as_of=PRINT_DAY))), footings(weighed)
    assert (then["lot-14"], now["lot-14"]) == (Footing.STANDS, Footing.LOST)
    assert [now[name] for name in ("lot-23", "lot-32")] == [Footing.STANDS, Footing.STANDS]
    since = Since(*(Audit(Chronology(book.view(as_of=day))) for day in (PRINT_DAY, None)))
    assert [(s.sentence.thing, s.then, s.now) for s in since.sentences] == [
        ("sentence-summer-2026-lot-14", Footing.STANDS, Footing.LOST)
    ]
    assert footings(Weighed(book.view(as_of=date(2026, 6, 14)))) == {}


#: The print edition of the essay on the lady with the parasol, frozen before the bottleneck fell.
EDITION = "sentence-vauquelard-lady-with-parasol-2026-10-22-"


def test_setting_the_bottleneck_aside_takes_the_footing_of_what_was_printed_on_its_year(
    weighed: Weighed, founding: Claim
) -> None:
    for about in (founding, None):
        fall = what_falls(weighed, sources=[BOTTLENECK], about=about)
        assert [sentence.thing for sentence in fall.sentences] == [
            "sentence-summer-2026-introduction",
            f"{EDITION}6",
        ]


def test_no_loose_end_of_the_demo_stands_twice(weighed: Weighed) -> None:
    found = loose_ends(weighed, Audit(Chronology(weighed.view)))
    assert len({(end.kind, end.things, end.claims) for end in found}) == len(found)
    assert len(found) < 150
    printed = {thing for end in found if end.kind is Loose.PRINTED for thing in end.things}
    on_what_is_contested = {f"{EDITION}{number}" for number in (6, 7, 9, 12)}
    assert printed == {
        "sentence-summer-2026-lot-14",
        "sentence-summer-2026-introduction",
        *on_what_is_contested,
    }


# ---------------------------------------------------------------- the commands


def run(book: Daybook, *words: str) -> str:
    result = CliRunner().invoke(app, [*words, "-d", str(book.shelf.folder)])
    assert result.exit_code == 0, result.output
    return result.output


def told(book: Daybook, *words: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(run(book, *words, "--json"))
    return answer


def test_weigh_tells_the_witnesses_of_a_claim_in_words(book: Daybook, founding: Claim) -> None:
    page = " ".join(run(book, "weigh", founding.id).split())
    assert "6 sources say it; 1 independent witness; all of it passes through É. Rességuier" in page
    assert "Standing: contested" in page
    assert "cannot fit → fits" in page
    assert "Circular citation • J.-M. Bellegarrigue" in page
    assert (
        "lose their footing • Our summer catalogue, printed 15 June 2026, introduction, p. 4: “In the Marais"
        in page
    )


def test_weigh_tells_the_same_in_json(book: Daybook, founding: Claim) -> None:
    answer = told(book, "weigh", founding.id)
    assert (answer["stating"], answer["witnesses"], answer["possible"]) == (6, 1, 1)
    assert [source["source"] for source in answer["bottleneck"]] == [BOTTLENECK]
    narrow = answer["fall_of_bottleneck"]
    assert [(v["before"], v["after"]) for v in narrow["verdicts"]] == [("cannot fit", "fits")]
    assert answer["today"] is None


def test_what_falls_with_a_claim_is_told_apart_from_what_falls_with_its_bottleneck(
    book: Daybook, weighed: Weighed
) -> None:
    asked = said_in(weighed, "book-pettigrove-1947")
    answer = told(book, "weigh", asked.id)
    fall, narrow = answer["fall"], answer["fall_of_bottleneck"]
    assert asked.id not in {
        row["claim"] for row in (*fall["direct"], *fall["following"], *fall["unanchored"])
    }
    assert (len(fall["following"]), fall["verdicts"], fall["sentences"]) == (4, [], [])
    assert [row["source"] for row in narrow["set_aside"]] == [BOTTLENECK]
    assert len(narrow["following"]) == 5
    assert narrow["is_same"] is False
    page = " ".join(run(book, "weigh", asked.id).split())
    alone, _, with_bottleneck = page.partition("If its bottleneck falls as witness to it: É. Rességuier")
    assert "If this claim alone is set aside: 4 other claims fall with it" in alone
    assert "Verdicts that change" not in alone
    assert "1 claim, and 5 that had it by no other line" in with_bottleneck
    assert "Verdicts that change" in with_bottleneck


@pytest.mark.parametrize(
    ("source", "others", "words"),
    [
        pytest.param(
            BOTTLENECK, 5, "If its bottleneck falls as witness to it: É. Rességuier", id="bottleneck"
        ),
        pytest.param(
            "register-paris-reconstitue",
            0,
            "If all that carry it fall as witness to it: Register of Paris",
            id="alone",
        ),
    ],
)
def test_what_falls_with_a_claim_and_with_its_one_carrier_alike_is_told_once(
    book: Daybook, weighed: Weighed, source: str, others: int, words: str
) -> None:
    asked = said_in(weighed, source)
    answer = told(book, "weigh", asked.id)
    assert len(answer["fall"]["following"]) == others
    assert asked.id not in {row["claim"] for row in (*answer["fall"]["direct"], *answer["fall"]["following"])}
    assert answer["fall_of_bottleneck"]["is_same"] is True
    page = " ".join(run(book, "weigh", asked.id).split())
    assert words in page
    assert page.count("; the same falls") == 1


def test_weigh_of_a_source_tells_whom_it_follows_and_who_falls_with_it(book: Daybook) -> None:
    answer = told(book, "weigh", BOTTLENECK)
    assert [row["source"] for row in answer["follows"]] == ["testimony-vauquelard-niece"]
    assert [row["source"] for row in answer["followed_by"]] == ["book-pettigrove-1947"]
    assert {row["source"] for row in answer["fall"]["following"]} >= PAIR
    assert [row["source"] for row in answer["independent"]] == ["article-coutancon-1990"]
    assert "Where a whole source follows another" in " ".join(run(book, "weigh", BOTTLENECK).split())


def test_weigh_as_of_an_earlier_day_gives_the_numbers_of_that_day_beside_todays(
    book: Daybook, founding: Claim
) -> None:
    answer = told(book, "weigh", founding.id, "--as-of", "2026-05-10")
    assert answer["stating"] == 6
    assert answer["today"]["step"] == "contested"
    assert answer["today"]["added"] == []
    source = told(book, "weigh", "book-dunkerley-1968", "--as-of", "2026-05-10")
    assert source["all_that_follow"] + 1 == source["today"]["all_that_follow"]


def test_weigh_refuses_what_is_neither_a_claim_nor_a_source(book: Daybook) -> None:
    for name, words in (
        ("maker-vauquelard", "is no source"),
        ("nobody-at-all", "neither a source nor a claim"),
    ):
        result = CliRunner().invoke(app, ["weigh", name, "-d", str(book.shelf.folder)])
        assert result.exit_code == 1
        assert words in str(result.exception)


def test_loose_ends_as_of_print_day_tells_what_changed_since(book: Daybook) -> None:
    answer = told(book, "loose-ends", "--as-of", "2026-06-15", "--kind", "circular")
    assert [set(end["things"]) for end in answer["loose_ends"]] == [PAIR]
    assert {(v["then"], v["now"]) for v in answer["since"]["verdicts"]} == {("fits", "fits in part")}
    page = run(book, "loose-ends", "--as-of", "2026-06-15", "--kind", "circular")
    assert "fits → fits in part" in " ".join(page.split())
    assert "1 loose ends" not in page


def test_loose_ends_prints_twenty_with_the_counts_of_each_kind_before_them(book: Daybook) -> None:
    page = run(book, "loose-ends")
    answer = told(book, "loose-ends")
    assert sum(answer["counts"].values()) == len(answer["loose_ends"])
    assert page.count("Bears on ") == 20
    for name, number in answer["counts"].items():
        assert f"{number}  {name}: " in page
    assert run(book, "loose-ends", "--all").count("Bears on ") == len(answer["loose_ends"])
    one = told(book, "loose-ends", "--kind", "printed", "--as-of", "2026-06-15")
    assert [end["things"] for end in one["loose_ends"]] == [["sentence-summer-2026-introduction"]]
    assert [(s["then"], s["now"].split(":")[0]) for s in one["since"]["sentences"]] == [
        ("stands", "has lost its footing")
    ]


def test_weigh_tells_how_a_ranking_changes_if_the_source_falls(book: Daybook) -> None:
    piece = "piece-unidentified-lady"
    answer = told(book, "weigh", piece, "--ranking", piece)
    (ranking,) = answer["fall"]["rankings"]
    assert ranking["piece"] == piece
    assert ranking["moved"]
    assert ranking["is_changed"] is True
    page = " ".join(run(book, "weigh", piece, "--ranking", piece).split())
    assert f"Who made it: {ranking['label']}" in page
    (same,) = told(book, "weigh", "letter-tribolet-1912", "--ranking", piece)["fall"]["rankings"]
    assert same["leads_before"] == same["leads_after"]
    assert told(book, "weigh", BOTTLENECK, "--questions")["fall"]["rankings"] == []


@pytest.mark.parametrize(
    "source", ["letter-tribolet-1912", "book-dunkerley-1968", "register-paris-reconstitue"]
)
def test_weigh_says_so_when_nothing_changes_in_the_ranking(book: Daybook, source: str) -> None:
    piece = "piece-unidentified-lady"
    (ranking,) = told(book, "weigh", source, "--ranking", piece)["fall"]["rankings"]
    assert ranking["is_changed"] is False
    page = " ".join(run(book, "weigh", source, "--ranking", piece).split())
    assert "Nothing changes in the ranking as it is shown. First: Courtépée." in page
    assert "Courtépée →" not in page


def test_weigh_tells_of_every_ranking_that_is_kept_as_a_question(tmp_path: Path) -> None:
    own = begin_demo(tmp_path / "daybook")
    run(own, "who", "piece-unidentified-lady", "--keep", "--researcher", "A. Tester")
    rankings = told(own, "weigh", BOTTLENECK, "--questions")["fall"]["rankings"]
    assert [ranking["piece"] for ranking in rankings] == ["piece-unidentified-lady"]


def test_weigh_as_of_print_day_tells_which_sentence_has_lost_its_footing_since(
    book: Daybook, weighed: Weighed
) -> None:
    (claim,) = [
        claim for claim in weighed.view.claims.values()
        if (claim.subject, claim.property, claim.citation.source) == (MAIN_PIECE, "madeBy", "book-dunkerley-1968")
    ]  # fmt: skip
    answer = told(book, "weigh", claim.id, "--as-of", "2026-06-15")
    assert [row["footing"] for row in answer["in_print"]] == ["stands"]
    (changed,) = answer["today"]["in_print"]
    assert (changed["then"], changed["now"].split(":")[0]) == ("stands", "has lost its footing")
    page = " ".join(run(book, "weigh", claim.id, "--as-of", "2026-06-15").split())
    assert "in print, Summer catalogue, lot 14: stands → has lost its footing" in page


@pytest.mark.parametrize("day", [None, "2026-06-15"])
@pytest.mark.parametrize("words", [["weigh", BOTTLENECK], ["weigh", "CLAIM"], ["loose-ends"]], ids=" ".join)
def test_the_json_says_as_of_which_day_it_answers(
    book: Daybook, founding: Claim, words: list[str], day: str | None
) -> None:
    words = [founding.id if word == "CLAIM" else word for word in words]
    assert told(book, *words, *(["--as-of", day] if day else []))["as_of"] == day


def test_loose_ends_refuses_an_unknown_kind(book: Daybook) -> None:
    result = CliRunner().invoke(app, ["loose-ends", "--kind", "knots", "-d", str(book.shelf.folder)])
    assert result.exit_code == 1
    assert "'knots' found; expected one of conflict" in str(result.exception)


def test_no_answer_of_a_weighing_hides_that_a_claim_is_confidential(book: Daybook, weighed: Weighed) -> None:
    private = next(claim for claim in weighed.view.live if claim.is_confidential)
    answer = told(book, "weigh", private.id)
    assert answer["confidential"] is True
    assert "(confidential)" in " ".join(run(book, "weigh", private.id).split())


def test_opening_the_demo_from_its_files_weighs_the_same(book: Daybook, founding: Claim) -> None:
    again = Weighed(Daybook.open(Path(book.shelf.folder)).view())
    assert again.witnesses(founding).routes == Weighed(book.view()).witnesses(founding).routes
