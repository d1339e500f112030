"""What the commands on RDF and exports print, refuse and leave behind."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kg.cli import app, main
from kg.cli.common import BadOption
from kg.daybook.daybook import Daybook
from kg.daybook.record import Citation, Draft, Thing
from kg.daybook.shelf import Shelf
from tests.conftest import Scene

HEAD = "@prefix k: <https://kilnmark.example/vocabulary#> . @prefix t: <https://kilnmark.example/thing/> .\n"


def run(*words: str | Path) -> tuple[int, str, str]:
    found = CliRunner().invoke(app, [str(word) for word in words], catch_exceptions=False)
    return found.exit_code, found.stdout, found.stderr


def folder(scene: Scene) -> Path:
    return scene.daybook.shelf.folder


def test_a_dry_run_tells_the_claims_and_writes_nothing(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "a.ttl").write_text(HEAD + "t:lady k:madeBy t:brumelow ; <http://other.example/x> 1 .")
    before = scene.daybook.shelf.names()
    code, out, err = run("take-in", tmp_path / "a.ttl", "--dry-run", "-d", folder(scene))
    assert code == 0
    assert "Would record 1 entry: 1 thing, 1 claim, 0 judgements." in out
    assert (
        "Lady with a blue snood made by Adela Brumelow — a.ttl, statement t:lady k:madeBy t:brumelow" in out
    )
    assert (
        "Not understood and left out: 1 statement, by what they say:\n       1  <http://other.example/x>"
        in err
    )
    assert scene.daybook.shelf.names() == before


def test_a_file_is_recorded_once_and_told_as_json(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "a.ttl").write_text(HEAD + "t:lady k:madeBy t:brumelow .")
    asked = ("take-in", tmp_path / "a.ttl", "--json", "-d", folder(scene))
    told = json.loads(run(*asked)[1])
    assert (told["recorded"], len(told["entries"]), told["entries"][0]["claims"][0]["about"]) == (
        True,
        1,
        "lady",
    )
    again = json.loads(run(*asked)[1])
    assert (again["recorded"], again["entries"], again["claims_already_recorded"]) == (False, [], 1)


def test_what_a_file_contradicts_is_told(scene: Scene, tmp_path: Path) -> None:
    scene.say("brumelow", "bornOn", "1839")
    (tmp_path / "a.ttl").write_text(HEAD + 't:brumelow k:diedOn "1820" .')
    code, out, _ = run("take-in", tmp_path / "a.ttl", "-d", folder(scene))
    assert code == 0
    recorded, _, told = out.partition("\n\n")
    assert "Recorded 1 entry" in recorded
    assert told.startswith("Claims that cannot all be true: 1\n  ✕ Adela Brumelow born 1839")


def test_a_dating_that_a_file_makes_impossible_is_told_as_a_table_tells_it(
    scene: Scene, tmp_path: Path
) -> None:
    scene.say("lady", "madeOn", "1846")
    scene.say("lady", "madeBy", "brumelow")
    (tmp_path / "a.ttl").write_text(HEAD + 't:brumelow k:bornOn "1841" .')
    asked = ("take-in", tmp_path / "a.ttl", "-d", folder(scene))
    assert (
        "Datings that would not fit: 1\n  ✕ Lady with a blue snood made 1846" in run(*asked, "--dry-run")[1]
    )
    (dating,) = json.loads(run(*asked, "--dry-run", "--json")[1])["effects"]["cannot_fit"]
    assert "apprentice's age, 12 years, taken for granted" in dating["because"]


def test_nothing_that_a_file_holds_steers_the_terminal(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "a.ttl").write_text(HEAD + 't:lady k:noted "x" . t:lady <http://x/a> "\\u001B[31m" .')
    (tmp_path / "b.ttl").write_text(HEAD + 't:lady k:noted "\\u001B[31m" .')
    code, out, err = run("take-in", tmp_path / "a.ttl", "-d", folder(scene))
    assert (code, "\x1b" in out + err) == (0, False)


def test_a_faulty_file_is_refused_with_every_fault(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "b.ttl").write_text(
        HEAD + 't:lady k:madeUp "\\u001B[31m" ; k:madeOn "\\u001B[31m", "abot 1878" .'
    )
    monkeypatch.setattr(
        "sys.argv", ["kilnmark", "take-in", str(tmp_path / "b.ttl"), "-d", str(folder(scene))]
    )
    with pytest.raises(SystemExit) as ended:
        main()
    told = capsys.readouterr().err
    assert ended.value.code == 1
    assert told.startswith("Nothing was recorded: 2 faults in b.ttl.")
    assert "\x1b" not in told


def test_entries_keep_the_hand_of_another_daybook(scene: Scene, tmp_path: Path) -> None:
    scene.say("lady", "madeBy", "brumelow")
    run("export", "--out", tmp_path / "a.trig", "-d", folder(scene))
    Daybook.begin(tmp_path / "other", "Other")
    code, out, _ = run("take-in", tmp_path / "a.trig", "--researcher", "B. Taker", "-d", tmp_path / "other")
    assert code == 0
    assert "They keep the hand and day of another daybook: A. Tester." in out
    assert Daybook.open(tmp_path / "other").entries() == scene.daybook.entries()


def test_breaking_off_tells_how_far_it_came(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(3):
        scene.say("lady", "noted", f"note {number}")
    run("export", "--out", tmp_path / "a.trig", "-d", folder(scene))
    Daybook.begin(tmp_path / "other", "Other")
    real = Shelf.write
    done: list[str] = []

    def stop(shelf: Shelf, entry: str, trig: bytes) -> str:
        if len(done) == 2:
            raise KeyboardInterrupt
        done.append(entry)
        return real(shelf, entry, trig)

    monkeypatch.setattr(Shelf, "write", stop)
    code, _, err = run("take-in", tmp_path / "a.trig", "-d", tmp_path / "other")
    monkeypatch.undo()
    assert code == 130
    assert "Interrupted after 2 of 4 entries, each of which is whole. Take the file in again" in err
    book = Daybook.open(tmp_path / "other")
    assert (len(book.entries()), list(book.verify())) == (2, [])


@pytest.mark.parametrize("form", ["trig", "nquads", "jsonld", "turtle", "crm", "crm-nt", "csv", "xlsx"])
def test_an_export_tells_on_the_side_what_it_left_out(scene: Scene, tmp_path: Path, form: str) -> None:
    scene.add(things=[Thing("owner", ("Owner",), "Mrs. Vane", is_confidential=True)])
    scene.add(drafts=[Draft("lady", "ownedBy", "owner", Citation("book", "p. 1"))])
    out = tmp_path / f"out.{form}"
    code, _, err = run("export", "--as", form, "--out", out, "-d", folder(scene))
    assert (code, "Left out as confidential: 1 thing, 1 claim." in err) == (0, True)
    code, _, err = run("export", "--as", form, "--out", out, "--confidential", "-d", folder(scene))
    assert (code, "holds confidential matter. Do not pass it on" in err) == (0, True)


@pytest.mark.parametrize("form", ["trig", "nquads", "jsonld", "turtle", "crm", "crm-nt", "csv", "xlsx"])
def test_an_earlier_export_is_replaced_and_that_is_told(scene: Scene, tmp_path: Path, form: str) -> None:
    out = tmp_path / f"out.{form}"
    asked = ("export", "--as", form, "--out", out, "-d", folder(scene))
    first = run(*asked)
    assert (first[0], "replaced" in first[2]) == (0, False)
    code, _, err = run(*asked)
    assert (code, f"The earlier export {out} is replaced." in err) == (0, True)


def test_a_file_that_is_no_export_is_never_written_over(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("Notes on the Kilnmark daybook of last year")
    with pytest.raises(
        BadOption, match=r"notes\.txt is there already and is no export of a daybook\. Give --out"
    ):
        run("export", "--out", tmp_path / "notes.txt", "-d", folder(scene))
    assert (tmp_path / "notes.txt").read_text() == "Notes on the Kilnmark daybook of last year"


def test_a_format_that_is_not_known_is_refused_with_those_that_are(scene: Scene) -> None:
    with pytest.raises(
        BadOption, match="--as 'foo' found; expected one of trig, nquads, jsonld, turtle, crm, crm-nt"
    ):
        run("export", "--as", "foo", "-d", folder(scene))


@pytest.mark.parametrize("form", ["csv", "turtle"])
def test_an_export_shown_at_a_terminal_steers_nothing_and_one_in_a_file_is_whole(
    scene: Scene, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes], form: str
) -> None:
    scene.say("lady", "noted", "\x1b[31m red \u202e turned")
    monkeypatch.setattr("sys.argv", ["kilnmark", "export", "--as", form, "-d", str(folder(scene))])
    printed = []
    for is_terminal in (True, False):
        monkeypatch.setattr(sys.stdout, "isatty", lambda answer=is_terminal: answer)
        with pytest.raises(SystemExit):
            main()
        sys.stdout.flush()
        printed.append(capfdbinary.readouterr().out.decode())
    shown, whole = printed
    assert "\u202e" in whole
    assert not {"\x1b", "\u202e"} & set(shown)
    assert " red \ufffd turned" in shown


@pytest.mark.parametrize(("words", "name"), [(("take-in", "--passage"), "a.txt"), (("add",), "a.toml")])
def test_a_byte_that_is_no_utf8_is_told_with_its_line(
    scene: Scene, tmp_path: Path, words: tuple[str, ...], name: str
) -> None:
    (tmp_path / name).write_bytes("# one\n# M\u00fcller\n".encode("latin-1"))
    with pytest.raises(
        BadOption, match=r"line 2 holds a byte that is no UTF-8 \(0xfc\)\. Save it as UTF-8\."
    ):
        run(*words, tmp_path / name, "-d", folder(scene))


def test_what_an_export_says_again_in_cidoc_crm_is_counted_so_and_what_was_added_is_not(
    scene: Scene, tmp_path: Path
) -> None:
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeOn", "1878")
    run("export", "--as", "crm", "--out", tmp_path / "a.ttl", "-d", folder(scene))
    Daybook.begin(tmp_path / "other", "Other")
    asked = ("take-in", tmp_path / "a.ttl", "--dry-run", "--json", "-d", tmp_path / "other")
    told = json.loads(run(*asked)[1])
    assert told["not_understood"] == {}
    assert told["said_again_in_cidoc_crm"] > 20
    with (tmp_path / "a.ttl").open("a", encoding="utf-8") as file:
        file.write(
            "<https://kilnmark.example/thing/lady> <http://www.cidoc-crm.org/cidoc-crm/P3_has_note> 'mine' .\n"
        )
    again = json.loads(run(*asked)[1])
    assert again["not_understood"] == {"crm:P3_has_note": 1}
    assert again["said_again_in_cidoc_crm"] == told["said_again_in_cidoc_crm"]
    assert (
        f"  {told['said_again_in_cidoc_crm']} statements say the same again in CIDOC CRM\n"
        in run("take-in", tmp_path / "a.ttl", "--dry-run", "-d", tmp_path / "other")[1]
    )
