"""The command that prints essays: what it writes, tells and refuses."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kg.essays.compose import draft
from kg.essays.plan import Bench

SNOOD = "piece-lady-with-blue-snood"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    demo_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run the command in an empty folder, on the demo."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KILNMARK_DAYBOOK", str(demo_folder))
    monkeypatch.setenv("COLUMNS", "110")

    def call(*arguments: str) -> tuple[int, str, str]:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", "essay", "publish", *arguments])
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return int(ended.value.code or 0), told.out, told.err

    return call


@pytest.fixture
def lady(demo_bench: Bench, tmp_path: Path) -> Path:
    """A draft in a file."""
    file = tmp_path / "lady.md"
    file.write_text(draft(demo_bench, SNOOD), encoding="utf-8")
    return file


def test_an_essay_is_printed_and_what_it_holds_is_told(run: Run, lady: Path) -> None:
    code, out, _ = run("lady.md")
    assert code == 0
    assert out.startswith("Printed to lady.docx: 1 essay, ")
    assert out.splitlines()[0].endswith("in the style chicago-notes.")
    assert lady.with_suffix(".docx").read_bytes().startswith(b"PK")


def test_the_form_follows_the_ending_of_the_file(run: Run, lady: Path) -> None:
    assert run("lady.md", "--out", "new.pdf")[0] == 0
    assert lady.with_name("new.pdf").read_bytes().startswith(b"%PDF-")


def test_json_tells_all_that_a_page_tells_in_short(run: Run, lady: Path) -> None:
    _, out, _ = run("lady.md", "--as", "markdown", "--out", "print.md", "--json")
    told: Any = json.loads(out)
    assert (told["file"], told["form"], told["essays"]) == ("print.md", "markdown", 1)
    assert told["notes"] == lady.with_name("print.md").read_text(encoding="utf-8").count("\n[^")
    assert told["sources"] > 5


def test_several_essays_are_a_catalogue_in_the_order_given(run: Run, lady: Path) -> None:
    shutil.copy(lady, lady.with_name("again.md"))
    assert run("lady.md", "again.md", "--as", "markdown", "--language", "en", "--title", "Two")[0] == 0
    told = lady.with_name("catalogue.md").read_text(encoding="utf-8")
    assert [line for line in told.splitlines() if line.startswith(("# ", "## 1", "## 2"))] == [
        "# Two",
        "## 1 Lady with the blue snood",
        "## 2 Lady with the blue snood",
    ]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param(["none.md"], "none.md is no file. Name one that is there", id="no file"),
        pytest.param(["essay-none"], "'essay-none' is no essay of this daybook.", id="no essay"),
        pytest.param(
            ["lady.md", "--as", "odt"], "--as 'odt' found; expected --as with one of docx", id="form"
        ),
        pytest.param(
            ["lady.md", "--style", "plain"], "No style is called 'plain'; expected one of", id="style"
        ),
        pytest.param(
            ["lady.md", "--language", "it"], "The language 'it' found; expected one of", id="language"
        ),
        pytest.param(["lady.md", "--out", "none/a.pdf"], "none is no folder; make it first.", id="folder"),
        pytest.param(
            ["lady.md", "--out", "lady.md"], "lady.md is there already; name a new file", id="there"
        ),
        pytest.param(["lady.md", "--out", "x.doc"], "--out 'x.doc' with no known ending found", id="ending"),
        pytest.param(["lady.md", "--pictures", "none"], "--pictures 'none' is no folder.", id="pictures"),
        pytest.param(["lady.md", "--house", "none"], "No house table is called 'none'", id="house"),
        pytest.param(["bad.md"], "bad.md: Line 3, column 1: '<b>' reads as HTML", id="HTML"),
        pytest.param(["old.md"], "old.md is no text in UTF-8", id="another encoding"),
        pytest.param(["owner.md"], "owner.md, line 3, column 4: this names what is confidential", id="owner"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_words_and_nothing_is_written(
    run: Run, lady: Path, demo_bench: Bench, arguments: list[str], message: str
) -> None:
    owner = next(thing for thing in demo_bench.whole.things.values() if thing.is_confidential)
    lady.with_name("bad.md").write_text("# T\n\n<b>x</b>\n", encoding="utf-8")
    lady.with_name("old.md").write_bytes("# Bébé".encode("latin-1"))
    lady.with_name("owner.md").write_text(f"# T\n\nOf {owner.label}.\n", encoding="utf-8")
    before = sorted(lady.parent.iterdir())
    code, out, err = run(*arguments)
    assert code == 1
    assert message in err
    assert out == ""
    assert sorted(lady.parent.iterdir()) == before


def test_an_interrupted_print_leaves_nothing_behind(
    run: Run, lady: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kg.essays import publish

    def stopped(*_: object) -> bytes:
        raise KeyboardInterrupt

    before = sorted(lady.parent.iterdir())
    monkeypatch.setattr(publish, "set_in", stopped)
    assert run("lady.md")[0] == 130
    assert sorted(lady.parent.iterdir()) == before


def test_the_styles_are_listed(run: Run) -> None:
    _, out, _ = run("--style", "list", "any")
    assert "mhra-notes           MHRA Style Guide, 4th edition: full notes and a bibliography" in out
