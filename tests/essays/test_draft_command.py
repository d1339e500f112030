"""The commands on essays: what they print, what they refuse, and that they leave nothing half done."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

SNOOD = "piece-lady-with-blue-snood"


@dataclass(frozen=True)
class Ran:
    """What a command printed and how it ended."""

    code: int
    out: str
    err: str

    @property
    def told(self) -> Any:
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(
    demo_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run an essay command on a copy of the demo, in this process."""
    shutil.copytree(demo_folder, tmp_path / "daybook")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KILNMARK_DAYBOOK", str(tmp_path / "daybook"))
    monkeypatch.setenv("KILNMARK_RESEARCHER", "A. Tester")

    def call(*words: str | Path) -> Ran:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", "essay", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        code = ended.value.code
        return Ran(code if isinstance(code, int) else 0, printed.out, printed.err)

    return call


def test_a_draft_is_printed_as_markdown_with_its_notes(run: Run) -> None:
    ran = run("draft", SNOOD)
    assert ran.code == 0
    assert ran.out.startswith(
        "# Lady with the blue snood\n\n## The piece\n\nThe lady stands 16¼ in. (41.5 cm)"
    )
    assert "[^chhtfsxmerg]" in ran.out


def test_a_piece_may_be_named_by_its_name(run: Run) -> None:
    assert run("draft", "Lady with the blue snood").out == run("draft", SNOOD).out


def test_a_draft_as_json_holds_the_claims_and_what_is_worked_out_of_each_sentence(run: Run) -> None:
    (told,) = run("draft", SNOOD, "--json").told
    first = told["sections"][0]["paragraphs"][0][0]
    assert first["computed"] == ["16¼ in. (41.5 cm)"]
    assert "c3ovizmxomi" in first["claims"]
    assert told["markdown"].startswith("# Lady with the blue snood")


def test_a_whole_sale_is_written_to_one_file(run: Run, tmp_path: Path) -> None:
    ran = run("draft", "--sale", "sale-summer-2026", "--out", "sale.md")
    assert ran.code == 0
    assert ran.out.startswith("3 drafts, ")
    text = (tmp_path / "sale.md").read_text(encoding="utf-8")
    assert text.count("\n## The piece\n") == 3
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_a_file_that_is_there_is_never_replaced(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.md").write_text("mine", encoding="utf-8")
    ran = run("draft", SNOOD, "--out", "mine.md")
    assert (ran.code, (tmp_path / "mine.md").read_text(encoding="utf-8")) == (1, "mine")
    assert "is there already; name a new file. Nothing was written." in ran.err


def test_the_day_and_the_house_change_the_words(run: Run) -> None:
    then = run("draft", SNOOD, "--as-of", "2026-06-15").out
    assert "The lady is probably by Haubensack & Teichgräber." in then
    house = run("draft", SNOOD, "--as-of", "2026-06-15", "--house", "saleroom").out
    assert "The lady is attributed to Haubensack & Teichgräber." in house


@pytest.mark.parametrize(
    ("words", "told"),
    [
        pytest.param(["draft"], "Name pieces, or a sale with --sale; one of the two.", id="nothing named"),
        pytest.param(["draft", SNOOD, "--sale", "x"], "one of the two", id="both named"),
        pytest.param(
            ["draft", SNOOD, "--json", "--out", "x.md"], "Leave one of the two out", id="two outputs"
        ),
        pytest.param(["draft", "maker-vauquelard"], "is no piece. Name a piece", id="a maker"),
        pytest.param(["draft", SNOOD, "--house", "ours"], "expected one of certainty-first", id="a house"),
        pytest.param(["draft", SNOOD, "--language", "de"], "Drafts are written in English", id="a language"),
        pytest.param(
            ["show", "essay-x"], "is no essay of this daybook. There are: essay-lady-with", id="show"
        ),
        pytest.param(["show", "essay-unidentified-lady", "--version", "9"], "has 1 version", id="a version"),
        pytest.param(["freeze", "essay-unidentified-lady", "--day", "May"], "--day 'May' found", id="a day"),
    ],
)
def test_what_cannot_be_done_is_refused_with_what_to_do(run: Run, words: list[str], told: str) -> None:
    ran = run(*words)
    assert ran.code == 1
    assert told in ran.err


def test_an_essay_is_saved_shown_listed_and_frozen(run: Run, tmp_path: Path) -> None:
    assert run("draft", SNOOD, "--out", "lady.md").code == 0
    saved = run("save", "lady.md", "--about", SNOOD)
    assert saved.out.startswith("Saved essay-lady-with-blue-snood, version 2 (entry ")
    assert run("show", "essay-lady-with-blue-snood").out == (tmp_path / "lady.md").read_text(encoding="utf-8")
    first = run("show", "essay-lady-with-blue-snood", "--version", "1").out
    assert first.startswith("# Lady with the blue snood")
    assert first != run("show", "essay-lady-with-blue-snood").out


def test_the_list_tells_how_the_sentences_of_an_edition_stand(run: Run) -> None:
    ran = run("list")
    assert "essay-vauquelard-lady-with-parasol  Vauquelard lady with parasol" in ran.out
    assert (
        "    edition-vauquelard-lady-with-parasol-2026-10-22: all of its 12 sentences keep their footing"
        in ran.out
    )
    assert ran.out.endswith("3 essays.\n")
    told = run("list", "--json").told
    assert [row["essay"] for row in told if row["editions"]] == ["essay-vauquelard-lady-with-parasol"]


def test_freezing_tells_how_many_sentences_it_kept(run: Run) -> None:
    ran = run("freeze", "essay-unidentified-lady", "--day", "2026-10-22")
    assert ran.code == 0
    assert ran.out.startswith("Frozen: edition-unidentified-lady-2026-10-22, ")
    again = run("freeze", "essay-unidentified-lady", "--day", "2026-10-22")
    assert (again.code, "There is an edition of that day already" in again.err) == (1, True)


def test_a_file_that_is_no_text_is_refused(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.md").write_bytes(b"# A\n\n\xff\xfe")
    ran = run("save", "bad.md", "--about", SNOOD)
    assert ran.code == 1
    assert "is no text in UTF-8" in ran.err
