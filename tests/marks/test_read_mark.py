"""The command that reads a mark."""

import json

import pytest
import typer
from typer.testing import CliRunner

from kg.cli.read_mark import read_mark_command
from kg.marks.transcription import NothingTyped, TranscriptionNotUnderstood

app = typer.Typer(pretty_exceptions_enable=False)
app.command()(read_mark_command)


@pytest.fixture(autouse=True)
def _away_from_any_daybook(tmp_path, monkeypatch):  # type: ignore[no-untyped-def]  # pytest's own fixtures
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KILNMARK_DAYBOOK", raising=False)


def test_json_holds_readings_bounds_with_sources_window_and_matches() -> None:
    result = CliRunner().invoke(app, ["D.R.G.M. 17310 / Germany", "--json"])
    told = json.loads(result.stdout)
    assert result.exit_code == 0
    (number,) = [r for r in told["readings"] if r["series"] == "DRGM"]
    assert number["kind"] == "utility model number"
    assert number["number"] == "17310"
    assert number["registered"] == {"earliest": "1893-01-01", "latest": "1893-12-31"}
    loose, made = number["bounds"]
    assert (loose["earliest"], loose["latest"], loose["strength"]) == ("1891-01-01", None, "hard")
    assert (made["earliest"], made["latest"], made["strength"]) == ("1893-01-01", None, "usual")
    assert made["confidence"] == "published"
    assert made["is_from_memory"] is False
    assert "Dingler" in made["source"]
    assert told["window"]["earliest"] == "1893-01-01"
    assert told["window"]["latest"] == "1952-10-31"
    assert told["window"]["hard"] == {"earliest": "1891-10-01", "latest": None}
    assert told["matches"] == []
    assert told["note_on_matches"].startswith("No daybook is open")


def test_a_dash_reads_one_mark_a_line_and_a_fault_stops_none_of_the_others() -> None:
    result = CliRunner().invoke(app, ["-"], input="GmbH\n[bad\n139\n")
    lines = [json.loads(line) for line in result.stdout.splitlines()]
    assert [line["status"] for line in lines] == ["read", "refused", "read"]
    assert lines[1]["why"] == "At character 1: expected ']' to close this bracket."
    assert lines[1]["at"] == 0


def test_a_fault_is_refused_with_its_place() -> None:
    result = CliRunner().invoke(app, ["17]3", "--json"])
    assert result.exit_code == 1
    assert json.loads(result.stdout)["at"] == 2
    with pytest.raises(TranscriptionNotUnderstood):
        CliRunner().invoke(app, ["17]3"], catch_exceptions=False)


def test_the_page_names_the_confidence_and_the_source_beside_each_bound() -> None:
    result = CliRunner().invoke(app, ["incised, nape: D.R.G.M. 455610"])
    page = " ".join(result.stdout.split())
    assert result.exit_code == 0
    assert "[from memory, approximate]" in page
    assert "Made not before 1911 (usual), not after 31 October 1952 (usual)" in page
    assert "Beyond doubt, if the mark belongs to the piece: not before 1908" in page


def test_the_nearest_recorded_marks_are_named(tmp_path, marked_daybook) -> None:  # type: ignore[no-untyped-def]
    result = CliRunner().invoke(app, ["E. K. / D.R.G.M. 173[.]0", "--json", "--daybook", str(marked_daybook)])
    told = json.loads(result.stdout)
    assert told["matches"][0]["id"] == "mark-one"
    assert told["matches"][0]["decibans"] > 0


@pytest.fixture
def marked_daybook(tmp_path):  # type: ignore[no-untyped-def]  # a folder with two recorded marks
    from datetime import UTC, datetime

    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Citation, Draft, Thing

    folder = tmp_path / "book"
    daybook = Daybook.begin(folder)
    cited = Citation("book-one", "p. 5")
    things = (
        Thing("book-one", ("Book",), "A book"),
        Thing("mark-one", ("Mark",), "E.K. mark"),
        Thing("mark-two", ("Mark",), "Another mark"),
    )
    drafts = (
        Draft("mark-one", "transcribed", "E.K. / D.R.G.M. 17310", cited),
        Draft("mark-two", "transcribed", "PARIS / DÉPOSÉ", cited),
    )
    from kg.daybook.record import compose

    daybook.record(compose(datetime(2026, 3, 1, tzinfo=UTC), "H. S.", "", things=things, drafts=drafts))
    return folder


def test_a_refused_line_is_told_by_the_exit_code_too() -> None:
    assert CliRunner().invoke(app, ["-"], input="GmbH\n139\n").exit_code == 0
    assert CliRunner().invoke(app, ["-"], input="GmbH\n[bad\n").exit_code == 1


@pytest.mark.parametrize("typed", ["", "   "])
def test_an_empty_mark_is_said_to_be_empty(typed: str) -> None:
    with pytest.raises(NothingTyped, match=r"^Nothing was typed: expected the characters of the mark"):
        CliRunner().invoke(app, [typed], catch_exceptions=False)
    told = json.loads(CliRunner().invoke(app, [typed, "--json"]).stdout)
    assert told["why"].startswith("Nothing was typed: ")


def test_json_says_as_of_which_day_it_answers(marked_daybook) -> None:  # type: ignore[no-untyped-def]
    arguments = ["E.K.", "--json", "--daybook", str(marked_daybook)]
    assert json.loads(CliRunner().invoke(app, arguments).stdout)["as_of"] is None
    past = json.loads(CliRunner().invoke(app, [*arguments, "--as-of", "2026-02-01"]).stdout)
    assert (past["as_of"], past["matches"]) == ("2026-02-01", [])


def test_a_mark_that_is_likelier_another_is_named_only_if_asked_for(marked_daybook) -> None:  # type: ignore[no-untyped-def]
    arguments = ["E.K.", "--json", "--daybook", str(marked_daybook)]
    faint = json.loads(CliRunner().invoke(app, [*arguments, "--faint"]).stdout)
    told = json.loads(CliRunner().invoke(app, arguments).stdout)
    assert [m for m in faint["matches"] if m["decibans"] < 0] != []
    assert told["matches"] == []
    assert told["note_on_matches"] == (
        "No mark on record is likelier the same than another; --faint names those that come nearest."
    )


def test_a_source_that_several_bounds_share_is_printed_once_behind_them() -> None:
    page = CliRunner().invoke(app, ["D.R.G.M. 17310"]).stdout
    assert page.count("Dingler's Polytechnisches Journal 300") == 1


def test_of_bounds_of_one_strength_the_page_shows_the_tightest_and_json_all() -> None:
    (german,) = [
        r
        for r in json.loads(CliRunner().invoke(app, ["17310", "--json"]).stdout)["readings"]
        if r["series"] == "DRGM"
    ]
    assert [(b["earliest"], b["strength"]) for b in german["bounds"]] == [
        ("1891-01-01", "weak"),
        ("1893-01-01", "weak"),
    ]
    page = " ".join(CliRunner().invoke(app, ["17310"]).stdout.split())
    assert page.count("German utility models, row 1893") == 1
    assert "not before 1893 (weak" in page


def test_the_page_shows_the_parts_of_a_score_beneath_it(marked_daybook) -> None:  # type: ignore[no-untyped-def]
    result = CliRunner().invoke(app, ["E. K. / D.R.G.M. 173[.]0", "--daybook", str(marked_daybook)])
    page = " ".join(result.stdout.split())
    assert "E.K. mark [mark-one]: +" in page
    assert "agrees (+" in page
    assert "'[.]' against '1' is lost on one of the two (+0 decibans)" in page


def test_a_mark_of_common_wording_alone_is_told_why_it_finds_nothing(marked_daybook) -> None:  # type: ignore[no-untyped-def]
    arguments = ["Déposé", "--json", "--daybook", str(marked_daybook)]
    told = json.loads(CliRunner().invoke(app, arguments).stdout)
    why = (
        "All that can be read is wording that the law or the customs asked for; it stands on the marks of every "
        "maker and tells none from another"
    )
    assert (told["matches"], told["note_on_matches"]) == (
        [],
        f"{why}; --faint names those that come nearest.",
    )
    faint = json.loads(CliRunner().invoke(app, [*arguments, "--faint"]).stdout)
    assert faint["note_on_matches"] == f"{why}."


def test_the_page_writes_days_in_words_and_json_in_figures() -> None:
    page = CliRunner().invoke(app, ["GERMANY"]).stdout
    assert "Made not before 1 March 1891 (usual)" in page
    assert "1891-03-01" not in page
    told = json.loads(CliRunner().invoke(app, ["GERMANY", "--json"]).stdout)
    assert told["window"]["earliest"] == "1891-03-01"
