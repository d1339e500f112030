"""The command as the specialist meets it: lists, notes on two things, refusals."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Thing
from tests.conftest import Scene


@dataclass(frozen=True)
class Ran:
    """What the command printed and how it ended."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def run(scene: Scene, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command on a daybook with makers of nearly one name."""
    scene.add(
        things=[
            Thing("old", ("Person", "Maker"), "Adela Ottery"),
            Thing("adela", ("Person", "Maker"), "Ottery, A."),
            Thing("firm", ("Firm", "Maker"), "Ottery"),
            Thing("widow", ("Firm", "Maker"), "Veuve Ottery\x1b"),
        ]
    )
    monkeypatch.setenv("KILNMARK_DAYBOOK", str(scene.daybook.shelf.folder))
    monkeypatch.setenv("KILNMARK_RESEARCHER", "A. Tester")

    def call(*words: str) -> Ran:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", "same-as", *words])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        return Ran(ended.value.code if isinstance(ended.value.code, int) else 0, printed.out, printed.err)

    return call


def entries(scene: Scene) -> int:
    return len(Daybook.open(scene.daybook.shelf.folder).entries())


def test_the_list_gives_reasons_and_the_line_that_records_it(run: Run) -> None:
    out = run().out
    assert out.splitlines()[:6] == [
        "Probably one (1)",
        "  Ottery, A. (adela)  and  Adela Ottery (old)",
        "     +25.7  the names of the house are the same",
        "      +7.0  the initials agree",
        "     +32.7  decibans in all",
        '    Record it: kilnmark same-as adela old --why "…"',
    ]
    assert "The first is called widow: it follows the second." in out
    assert "note that widow succeeded firm, with the source" in out


def test_a_house_that_a_table_calls_a_firm_and_no_maker_is_compared_too(run: Run, scene: Scene) -> None:
    scene.add(things=[Thing("from-a-list", ("Firm",), "Vve Ottery")])
    assert "Vve Ottery (from-a-list)  and  Veuve Ottery" in run().out
    assert "from-a-list" not in run("--kind", "Maker").out


def test_no_name_steers_the_terminal(run: Run) -> None:
    assert "\x1b" not in run().out


def test_without_a_reason_and_in_a_dry_run_nothing_is_written(run: Run, scene: Scene) -> None:
    before = entries(scene)
    assert "Nothing was written. Add --why" in run("old", "adela").out
    assert "dry run" in run("old", "adela", "--why", "same hand", "--dry-run").out
    assert entries(scene) == before


def test_joining_splitting_and_telling_apart_are_entries(run: Run, scene: Scene) -> None:
    before = entries(scene)
    assert "Recorded: Adela Ottery is the same as Ottery, A." in run("old", "adela", "--why", "same hand").out
    assert "Left out: 1 pair on record as one." in run().out
    assert "Recorded as withdrawn" in run("--split", "old", "adela", "--why", "two hands").out
    assert "is another than" in run("--not", "old", "adela", "--why", "two hands").out
    assert "Left out: 1 pair on record as two." in run().out
    assert entries(scene) == before + 3


def test_what_a_join_would_contradict_is_told_first(run: Run, scene: Scene) -> None:
    scene.say("old", "bornOn", "1839")
    scene.say("adela", "bornOn", "1851")
    out = run("old", "adela", "--why", "same hand", "--dry-run").out
    assert "If they are one, these cannot all be true:" in out
    assert "Adela Ottery born 1839 — A Book of Heads, p. 1" in out


def test_json_tells_the_same_and_holds_no_infinity(run: Run, scene: Scene) -> None:
    scene.say("old", "diedOn", "1820")
    scene.say("adela", "bornOn", "1851")
    told = json.loads(run("--json").out, parse_constant=pytest.fail)
    (pair,) = [p for p in told["pairs"] if p["relation"] == "excluded"]
    assert [r["decibans"] for r in pair["reasons"] if r["excludes"]] == [None]
    assert json.loads(run("old", "adela", "--json").out)["recorded"] is None


@pytest.mark.parametrize(
    ("words", "message"),
    [
        pytest.param(("old", "firm", "--why", "x"), "the first is a person, the second a firm", id="classes"),
        pytest.param(("old", "old", "--why", "x"), "one and the same entry", id="the same"),
        pytest.param(("old", "adelaa", "--why", "x"), "Near it: adela", id="unknown"),
        pytest.param(("old", "--why", "x"), "Name both", id="one thing only"),
        pytest.param(("old", "adela", "--why", " "), "No reason is given", id="an empty reason"),
        pytest.param(("old", "adela", "--split", "--not"), "exclude each other", id="split and not"),
        pytest.param(("old", "adela", "--source", "book"), "go together", id="a source without a place"),
        pytest.param(("--kind", "makre"), "'makre' is no class", id="an unknown class"),
        pytest.param(
            ("old", "adela", "--as-of", "2026-01-01"), "speaks of the past", id="a join in the past"
        ),
    ],
)
def test_nonsense_is_refused_in_words_and_nothing_is_written(
    run: Run, scene: Scene, words: tuple[str, ...], message: str
) -> None:
    before = entries(scene)
    ran = run(*words)
    assert ran.code == 1
    assert message in ran.err
    assert entries(scene) == before


def test_an_interrupted_join_leaves_nothing_behind(
    run: Run, scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = sorted(path.name for path in Path(scene.daybook.shelf.folder).rglob("*"))

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("kg.daybook.shelf.Shelf.write", interrupted)
    assert run("old", "adela", "--why", "same hand").code == 130
    assert sorted(path.name for path in Path(scene.daybook.shelf.folder).rglob("*")) == before
