"""The command read-date."""

import json
import subprocess
import sys

import pytest
import typer
from typer.testing import CliRunner

from kg.cli.read_date import read_date_command

RUNNER = CliRunner()
APP = typer.Typer()
APP.command()(read_date_command)


def test_one_phrase_is_answered_for_reading() -> None:
    result = RUNNER.invoke(APP, ["c. 1878"])
    assert result.exit_code == 0
    assert "1878~" in result.stdout
    assert "1873-01-01 to 1883-12-31" in result.stdout


def test_a_refused_phrase_exits_with_one_and_points() -> None:
    result = RUNNER.invoke(APP, ["1878 foo"])
    assert result.exit_code == 1
    assert "    1878 foo\n         ^" in result.output
    assert "Traceback" not in result.output


def test_lines_give_one_object_each() -> None:
    result = RUNNER.invoke(APP, ["-"], input="c. 1878\nfoo\nn.d.\n")
    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert [a["status"] for a in answers] == ["read", "refused", "no-date"]
    assert answers[0] == {
        "text": "c. 1878",
        "status": "read",
        "edtf": "1878~",
        "earliest": "1873-01-01",
        "latest": "1883-12-31",
        "core_earliest": "1878-01-01",
        "core_latest": "1878-12-31",
        "qualifier": "about",
        "stages": [],
        "making": {
            "edtf": "1878~",
            "earliest": "1873-01-01",
            "latest": "1883-12-31",
            "core_earliest": "1878-01-01",
            "core_latest": "1878-12-31",
        },
        "why": answers[0]["why"],
    }
    assert "'widens-with-age'" in answers[0]["why"]
    assert answers[1]["why"].startswith("At character 1: expected")


def test_stages_are_given_with_their_own_dates() -> None:
    result = RUNNER.invoke(APP, ["designed 1902, made c. 1910", "--json"])
    stages = json.loads(result.stdout)["stages"]
    assert [(s["stage"], s["kind"], s["earliest"], s["latest"]) for s in stages] == [
        ("designed", "design", "1902-01-01", "1902-12-31"),
        ("made", "making", "1905-01-01", "1915-12-31"),
    ]


def test_the_making_is_given_apart_from_the_main_dates() -> None:
    answer = json.loads(RUNNER.invoke(APP, ["designed 1860, made 1874", "--json"]).stdout)
    assert (answer["edtf"], answer["making"]["edtf"]) == ("1860/1874", "1874")
    assert json.loads(RUNNER.invoke(APP, ["designed before 1900", "--json"]).stdout)["making"] is None
    assert "not said" in RUNNER.invoke(APP, ["designed before 1900"]).output


def test_a_day_that_no_language_decides_is_shown_as_one_of_two() -> None:
    output = " ".join(RUNNER.invoke(APP, ["3/12/1877"]).output.split())
    assert "One of 1877-03-12 to 1877-03-12, or 1877-12-03" in output


def test_an_open_end_is_null() -> None:
    answer = json.loads(RUNNER.invoke(APP, ["after 1871", "--json"]).stdout)
    assert (answer["earliest"], answer["latest"]) == ("1872-01-01", None)


def test_years_before_the_first_are_signed() -> None:
    answer = json.loads(RUNNER.invoke(APP, ["530-330 BCE", "--json"]).stdout)
    assert (answer["earliest"], answer["latest"]) == ("-0529-01-01", "-0329-12-31")


def test_the_options_reach_the_reading() -> None:
    narrow = json.loads(RUNNER.invoke(APP, ["c. 1878", "--json", "--circa", "2"]).stdout)
    assert narrow["earliest"] == "1876-01-01"
    printed = json.loads(RUNNER.invoke(APP, ["c. 1878", "--json", "--convention", "as-printed"]).stdout)
    assert printed["earliest"] == "1878-01-01"
    french = json.loads(RUNNER.invoke(APP, ["3/4/1932", "--json", "--lang", "fr"]).stdout)
    assert french["edtf"] == "1932-04-03"


def test_an_unknown_convention_is_told_with_those_there_are() -> None:
    result = RUNNER.invoke(APP, ["c. 1878", "--convention", "as-you-like"])
    assert result.exit_code == 2
    assert "widens-with-age" in result.output


@pytest.mark.parametrize("heavy", ["numpy", "pandas", "streamlit", "rdflib", "pyoxigraph", "scipy"])
def test_reading_a_date_loads_nothing_heavy(heavy: str) -> None:
    program = f"import sys, kg.cli.read_date; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
