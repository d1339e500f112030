"""The command take-in for bibliographies, as it is typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from kg.cli.common import BadOption
from kg.cli.take_in import take_in
from kg.intake.bibliography import FaultyRecords
from tests.intake.bibliography.conftest import Reading

app = typer.Typer()
app.command("take-in")(take_in)


def taking(reading: Reading, *more: str | Path) -> tuple[int, str, str]:
    """Exit code, standard output and standard error."""
    words = (reading.file, "--daybook", reading.daybook.shelf.folder, "--researcher", "A. Tester", *more)
    result = CliRunner().invoke(app, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def test_a_dry_run_shows_each_source_and_what_is_said_of_it(reading: Reading) -> None:
    before = reading.files()
    code, out, err = taking(reading, "--dry-run")
    assert (code, err) == (0, "")
    assert out.startswith(
        "shelf.bib: BibTeX, 3 records\nNothing was written. This would be recorded:\n  3 new sources\n"
        "    line 3: O. van Tarn and others, Köpfe aus Ton: Ein Verzeichnis (Coburg, c. 1892)\n"
    )
    assert "    line 3: book-tarn-1892-koepfe-aus-ton-ein published by Ottery Press\n" in out
    assert "  1 field not understood\n    line 11, tarn1892, owner: no such field is known here\n" in out
    assert reading.files() == before


def test_a_dry_run_of_a_faulty_file_says_that_it_would_be_refused(reading: Reading) -> None:
    reading.write("@book{k, title={Wax}}\n@book{b, title={Wax")
    code, out, err = taking(reading, "--dry-run")
    assert code == 1
    assert "this file would be refused" in out
    assert "With --leave-out this would be recorded:\n  1 new source\n" in out
    assert err.startswith("Fault, line 2: ")
    code, out, _ = taking(reading, "--dry-run", "--leave-out")
    assert (code, "would be refused" in out) == (0, False)


def test_taking_in_says_what_was_recorded_and_then_that_all_is_there(reading: Reading) -> None:
    code, out, _ = taking(reading)
    assert code == 0
    assert "Recorded as one entry, " in out
    code, out, _ = taking(reading)
    assert (code, "Nothing to record: the daybook holds all of it already." in out) == (0, True)
    assert "  3 records taken in from this file before\n" in out


def test_a_doubt_is_shown_with_the_words_that_settle_it(reading: Reading) -> None:
    reading.source("book-tarn", "Book", "x", title="Heads of the Valley", writtenBy="ottmar-tarn")
    reading.write("@book{t, author={Tarn, Ottmar}, title={Heads of the Valley}, year=1932}")
    _, out, _ = taking(reading, "--dry-run")
    assert (
        "  1 may be on record; kept apart unless you say so:\n    --same t=book-tarn  the same title" in out
    )
    _, out, _ = taking(reading, "--same", "t=book-tarn")
    assert "  1 on record already; only what is new of it is added\n" in out
    assert reading.values("book-tarn", "publishedOn") == ["1932"]


def test_json_tells_all_of_it(reading: Reading) -> None:
    told = json.loads(taking(reading, "--json", "--dry-run")[1])
    assert (told["bibliography"], told["format"], told["dry_run"], told["recorded"]) == (
        "shelf.bib", "BibTeX", True, None,
    )  # fmt: skip
    assert [record["record"] for record in told["records"]] == ["tarn1892", "plum", "coll"]
    assert told["claims"] == len(told["would_record"]) > 20
    assert told["fields"]["not understood"] == 1
    assert {field["outcome"] for field in told["field_by_field"]} == {
        "mapped",
        "kept as a note",
        "not understood",
    }


def test_a_faulty_record_refuses_the_file_and_can_be_left_out(reading: Reading) -> None:
    reading.write("@book{a, title={Heads}}\n@book{b, title={Wax")
    with pytest.raises(FaultyRecords, match=r"line 2: '@book\{b, title={Wax' found"):
        taking(reading)
    code, out, _ = taking(reading, "--json")
    assert (code, len(json.loads(out)["faults"]), json.loads(out)["recorded"]) == (1, 1, None)
    code, _, err = taking(reading, "--leave-out")
    assert (code, err.startswith("Fault, line 2: '@book{b, title={Wax' found")) == (0, True)
    assert reading.values("book-heads", "title") == ["Heads"]


def test_a_declared_encoding_and_a_flag_are_heeded(reading: Reading) -> None:
    reading.write("@book{a, title={Köpfe}}".encode("latin-1"), "shelf.txt")
    taking(reading, "--bibliography", "--encoding", "latin-1")
    assert reading.values("book-koepfe", "title") == ["Köpfe"]


def test_a_pair_that_is_none_is_refused(reading: Reading) -> None:
    with pytest.raises(BadOption, match=r"--same 'tarn1892' found; expected RECORD=SOURCE"):
        taking(reading, "--same", "tarn1892")


def test_nothing_that_steers_a_terminal_is_printed(reading: Reading) -> None:
    reading.write(
        '[{"id": "k\\u001b[31m", "type": "boo\\u001bk", "title": "A\\u001b[2J", "x\\u001b": 1}]', "a.json"
    )
    for more in ((), ("--dry-run",)):
        assert "\x1b" not in "".join(map(str, taking(reading, *more)[1:]))
