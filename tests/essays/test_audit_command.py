"""The command that audits essays: what it prints, what it refuses, and its exit codes."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

BAD = """# Lady with the blue snood

She was made by Courtépée in 1874. She is unique.[^own]
"""
PAGE = """\
bad.md (Lady with the blue snood): 2 faults
  3:9  a fact without a claim
      “She was made by Courtépée in 1874.”
      “made”, “Courtépée”, “1874”: no claim carries that.
      Put [^claim] behind the sentence, record the claim first, or leave the fact out.
  3:43  surer than the claims
      “unique” is said without a comparison.
      Cite the other pieces that it is measured against (“three others are recorded”), or leave it out.

1 text audited, 0 without fault. 1 × a fact without a claim; 1 × surer than the claims.
"""
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    demo_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run an essay command on a copy of the demo: exit code, output, errors."""
    shutil.copytree(demo_folder, tmp_path / "daybook")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KILNMARK_DAYBOOK", str(tmp_path / "daybook"))
    # The page is pinned at its usual width, whatever the window of whoever runs the tests.
    monkeypatch.setenv("COLUMNS", "110")

    def call(*words: str) -> tuple[int, str, str]:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", "essay", *words])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        return (ended.value.code if isinstance(ended.value.code, int) else 0), printed.out, printed.err

    return call


def test_faults_are_printed_with_place_words_and_remedy_and_end_with_three(run: Run) -> None:
    Path("bad.md").write_text(BAD, encoding="utf-8")
    code, out, _ = run("audit", "bad.md")
    assert code == 3
    assert [line.rstrip() for line in out.splitlines()] == PAGE.splitlines()


def test_a_draft_has_no_fault_and_ends_with_zero(run: Run) -> None:
    assert run("draft", "piece-lady-with-blue-snood", "--out", "lady.md")[0] == 0
    assert run("audit", "lady.md")[:2] == (0, "1 text audited; no fault found.\n")


def test_the_essays_and_the_edition_of_the_demo_have_no_fault(run: Run) -> None:
    assert run("audit")[:2] == (0, "4 texts audited; no fault found.\n")


def test_a_file_of_several_essays_is_audited_by_its_lines(run: Run) -> None:
    Path("sale.md").write_text(f"# First\n\nA face.\n\n{BAD}", encoding="utf-8")
    code, out, _ = run("audit", "sale.md", "--json")
    told = json.loads(out)
    assert (code, told["faults"]) == (3, 2)
    assert [essay["title"] for essay in told["essays"]] == ["First", "Lady with the blue snood"]
    first = told["essays"][1]["findings"][0]
    assert (first["kind"], first["line"], first["column"]) == ("no-claim", 7, 9)


def test_without_a_name_all_essays_and_editions_are_audited(run: Run) -> None:
    told = json.loads(run("audit", "--json")[1])
    assert {essay["essay"].partition("-")[0] for essay in told["essays"]} == {"essay", "edition"}


def test_a_text_that_is_no_essay_is_told_with_its_place(run: Run) -> None:
    Path("table.md").write_text("# Lady\n\n| a | b |\n", encoding="utf-8")
    code, out, _ = run("audit", "table.md")
    assert code == 3
    assert "3:1  the text itself" in out
    assert "Not an essay: a table." in out


def test_an_unknown_essay_is_refused_with_those_there_are(run: Run) -> None:
    code, _, err = run("audit", "nosuch")
    assert code == 1
    assert "'nosuch' is no essay of this daybook. There are: essay-lady-with-blue-snood" in err


def test_as_of_a_day_before_the_claims_every_note_is_unknown(run: Run) -> None:
    run("draft", "piece-lady-with-blue-snood", "--out", "lady.md")
    told = json.loads(run("audit", "lady.md", "--as-of", "1999-01-01", "--json")[1])
    assert "unknown-claim" in {finding["kind"] for finding in told["essays"][0]["findings"]}
