"""The commands take-in and export as they are typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from kg.cli.export import export
from kg.cli.take_in import take_in
from kg.daybook.trig import read_entries
from kg.intake.faults import BadMapping, FaultyRows
from tests.intake.conftest import ROWS, Bench

app = typer.Typer()
app.command("take-in")(take_in)
app.command("export")(export)


def run(*words: str | Path) -> tuple[int, str, str]:
    """Exit code, standard output and standard error."""
    result = CliRunner().invoke(app, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def taking(bench: Bench, *more: str) -> tuple[int, str, str]:
    return run("take-in", bench.table, "--map", bench.mapping, "--daybook", bench.daybook.shelf.folder, *more)


def test_a_dry_run_shows_what_would_be_recorded(bench: Bench) -> None:
    before = bench.files()
    code, out, err = taking(bench, "--dry-run")
    assert (code, err) == (0, "")
    assert out.startswith(
        "Nothing was written. This would be recorded:\n  3 rows read by the mapping stocklist\n"
    )
    assert (
        "  row 2\n    Lady with a fan made by Adèle Brumelow\n    Lady with a fan made c. 1878  [1878~]\n"
        in out
    )
    assert out.endswith("It contradicts nothing on record.\n")
    assert bench.files() == before


def test_taking_in_says_what_was_recorded_and_then_that_all_is_there(bench: Bench) -> None:
    bench.write(ROWS[0].replace("c. 1878", "a while ago"), *ROWS[1:])
    code, out, err = taking(bench)
    assert code == 0
    assert out.startswith("Recorded as one entry, ")
    assert "  1 date left out, since not understood\n" in out
    assert err.startswith("row 2, dated: 'a while ago' found; expected ")
    assert taking(bench)[1].startswith("Nothing to record: the daybook holds all of it already.")


def test_json_tells_counts_faults_and_judgements(bench: Bench) -> None:
    taking(bench)
    bench.write(ROWS[0].replace("c. 1878", "1879"), ROWS[1].replace("1885", "soon"), ROWS[2])
    told = json.loads(taking(bench, "--json")[1])
    assert (told["rows"], told["claims"], told["already_recorded"], told["withdrawn"]) == (3, 1, 9, 2)
    assert [(fault["row"], fault["column"], fault["left_out"]) for fault in told["faults"]] == [
        (3, "dated", True)
    ]
    assert told["recorded"] == bench.daybook.entries()[-1].name


def test_a_faulty_row_refuses_the_table(bench: Bench) -> None:
    bench.write(ROWS[0], ROWS[0])
    with pytest.raises(FaultyRows, match="row 3, id: 'piece-01' found"):
        taking(bench)
    code, out, _ = taking(bench, "--json")
    assert (code, json.loads(out)["recorded"]) == (1, None)
    assert bench.daybook.entries() == ()


def test_a_mapping_that_ships_is_named_without_its_path(bench: Bench, tmp_path: Path) -> None:
    table = tmp_path / "museum.csv"
    table.write_text(
        "object_id,title,maker,maker_born,maker_died,role,date_text,museum_earliest,museum_latest,medium,department\n"
        "0a1,Lady,Adela Brumelow,1839,1901,,c. 1878,1873,1883,bisque,Toys\n",
        encoding="utf-8",
    )
    where = ("--daybook", bench.daybook.shelf.folder, "--researcher", "A. Tester")
    assert run("take-in", table, "--map", "museum-objects-roles", *where)[0] == 0
    assert bench.values("object-0a1", "madeOn") == ["[1873..1883]"]


def test_a_mapping_that_does_not_ship_is_refused_with_those_that_do(bench: Bench) -> None:
    told = "'museum' is neither a mapping file nor one that ships; these ship: museum-objects-roles, museum"
    with pytest.raises(BadMapping, match=told):
        run("take-in", bench.table, "--map", "museum", "--daybook", bench.daybook.shelf.folder)


def test_an_export_goes_to_a_file_and_says_what_was_left_out(bench: Bench, tmp_path: Path) -> None:
    bench.take_in()
    out = tmp_path / "all.trig"
    code, stdout, err = run("export", "--as", "trig", "--out", out, "--daybook", bench.daybook.shelf.folder)
    assert (code, stdout) == (0, "")
    assert err == "Exported 11 claims of 1 entry.\nLeft out as confidential: nothing.\n"
    assert tuple(read_entries(out.read_bytes())) == bench.daybook.entries()


def test_an_export_goes_to_standard_output(bench: Bench) -> None:
    bench.take_in()
    code, out, _ = run("export", "--as", "csv", "--daybook", bench.daybook.shelf.folder)
    assert code == 0
    assert len(out.strip().splitlines()) == 12
