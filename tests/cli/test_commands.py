"""The command line as the specialist meets it: what it prints, what it refuses, and its exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from kg.daybook.record import Thing
from tests.conftest import Scene


@dataclass(frozen=True)
class Ran:
    """What a command printed and how it ended."""

    code: int
    out: str
    err: str

    @property
    def told(self) -> object:
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in an empty folder, in this process, through the same door as the installed command."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KILNMARK_DAYBOOK", raising=False)
    monkeypatch.setenv("KILNMARK_RESEARCHER", "A. Tester")

    def call(*words: str | Path) -> Ran:
        from kg.cli import main

        monkeypatch.setattr(sys, "argv", ["kilnmark", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        code = ended.value.code
        return Ran(code if isinstance(code, int) else 0, printed.out, printed.err)

    return call


@pytest.fixture
def book(scene: Scene) -> Path:
    """A daybook on disk with a lady, her deposit and a dating before it."""
    scene.say("deposit", "filedOn", "1872", "register")
    scene.say("lady", "bearsRegistration", "deposit")
    scene.say("lady", "madeOn", "1866~")
    return scene.daybook.shelf.folder


def test_fit_without_a_daybook_explains_what_to_do(run: Run) -> None:
    ran = run("fit", "lady", "1878")
    assert ran.code == 1
    assert "kilnmark demo" in ran.err
    assert "kilnmark begin" in ran.err


def test_fit_prints_the_verdict_its_reasons_and_their_citations(run: Run, book: Path) -> None:
    ran = run("fit", "lady", "1866", "-d", book)
    assert ran.code == 0
    page = " ".join(ran.out.split())
    assert "✕ CANNOT FIT 1866 is impossible: it is earlier than 1 January 1872" in page
    assert "Deposit 142 filed 1872 — Register of Deposits, p. 1" in page
    assert "One statement decides" in page


def test_fit_as_json_holds_the_whole_answer(run: Run, book: Path) -> None:
    told = run("fit", "lady", "about 1868", "-d", book, "--json").told
    assert isinstance(told, dict)
    assert told["verdict"] == "fits in part"
    assert told["without_circa"] == "cannot fit"
    assert told["possible"] == {"earliest": "1872-01-01", "latest": "1873-12-31", "text": "1872–1873"}


def test_circa_and_conventions_are_options(run: Run, book: Path) -> None:
    told = run("fit", "lady", "about 1868", "-d", book, "--circa", "2", "--json").told
    assert isinstance(told, dict)
    assert told["verdict"] == "cannot fit"
    ran = run("fit", "lady", "about 1868", "-d", book, "--no-convention", "nonsense")
    assert (ran.code, "apprentice-age" in ran.err) == (1, True)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        pytest.param(("fit", "laddy", "1878"), "Near it: lady", id="a name misspelt"),
        pytest.param(("fit", "lady", "19o5"), "    19o5\n", id="a date that cannot be read, with its place"),
        pytest.param(
            ("fit", "lady", "1878", "--without", "czzzz"), "No claim has the id 'czzzz'", id="no such claim"
        ),
        pytest.param(
            ("fit", "lady", "1878", "--suppose", "lady"),
            "expected a thing, a property and a value",
            id="suppose",
        ),
        pytest.param(("fit", "lady", "1878", "--as-of", "June"), "expected a day such as", id="no day"),
    ],
)
def test_what_cannot_be_used_is_refused_with_what_to_do(
    run: Run, book: Path, words: tuple[str, ...], expected: str
) -> None:
    ran = run(*words, "-d", book)
    assert ran.code == 1
    assert expected in ran.err
    assert "Traceback" not in ran.err


def test_a_note_is_recorded_and_changes_the_answer(run: Run, tmp_path: Path) -> None:
    run("begin", "mine", "--title", "Mine")
    (tmp_path / "note.toml").write_text(
        """
        [[thing]]
        id = "lady"
        kind = "piece"
        label = "A lady"
        [[thing]]
        id = "letter"
        kind = "letter"
        label = "Letter of 1880"
        [[claim]]
        about = "lady"
        says = "existedBy"
        value = "May 1880"
        source = "letter"
        locator = "sheet 2"
        """,
        encoding="utf-8",
    )
    dry = run("add", "note.toml", "-d", "mine", "--dry-run")
    assert "Would record 2 things, 1 claim," in dry.out
    assert "Recorded 2 things, 1 claim," in run("add", "note.toml", "-d", "mine").out
    told = run("fit", "lady", "1890", "-d", "mine", "--json").told
    assert isinstance(told, dict)
    assert told["verdict"] == "cannot fit"
    assert "1 entries are whole" in run("verify", "-d", "mine").out


def test_a_turtle_note_is_recorded_too(run: Run, tmp_path: Path, book: Path) -> None:
    (tmp_path / "note.ttl").write_text(
        't:lady k:existedBy "1880" {| k:source t:book ; k:locator "p. 9" ; k:quotation "on the shelf" |} .',
        encoding="utf-8",
    )
    assert "1 claim," in run("add", "note.ttl", "-d", book).out


FAULTY = {
    "no source": ('says = "madeOn"\nvalue = "1878"\nlocator = "p. 1"', "no source is cited"),
    "no locator": ('says = "madeOn"\nvalue = "1878"\nsource = "book"', "no locator"),
    "unknown property": ('says = "madeOf"\nvalue = "x"\nsource = "book"\nlocator = "p. 1"', "Did you mean"),
    "ill-formed date": ('says = "madeOn"\nvalue = "18x8"\nsource = "book"\nlocator = "p. 1"', "18x8\n"),
    "unknown source": ('says = "madeOn"\nvalue = "1878"\nsource = "bock"\nlocator = "p. 1"', "Near it: book"),
    "a source that is none": (
        'says = "madeOn"\nvalue = "1878"\nsource = "shop"\nlocator = "p. 1"',
        "a claim cites a source",
    ),
    "unknown key": (
        'says = "madeOn"\nvalue = "1878"\nsource = "book"\nlocator = "p. 1"\npage = 3',
        "'page' is unknown",
    ),
}


@pytest.mark.parametrize("fault", FAULTY, ids=str)
def test_a_faulty_note_is_refused_whole_with_its_place(
    run: Run, tmp_path: Path, book: Path, fault: str
) -> None:
    body, expected = FAULTY[fault]
    good = (
        '[[claim]]\nabout = "lady"\nsays = "existedBy"\nvalue = "1880"\nsource = "book"\nlocator = "p. 2"\n'
    )
    (tmp_path / "note.toml").write_text(f'{good}[[claim]]\nabout = "lady"\n{body}\n', encoding="utf-8")
    before = run("list", "--claims", "lady", "-d", book).out
    ran = run("add", "note.toml", "-d", book)
    assert ran.code == 1
    assert "Nothing was recorded: 1 fault" in ran.err
    assert "claim 2: " in ran.err
    assert expected in ran.err
    assert run("list", "--claims", "lady", "-d", book).out == before


def test_a_claim_of_the_wrong_kind_is_refused_with_what_the_property_asks_for(
    run: Run, tmp_path: Path, book: Path
) -> None:
    (tmp_path / "note.toml").write_text(
        '[[claim]]\nabout = "lady"\nsays = "madeBy"\nvalue = "deposit"\nsource = "book"\nlocator = "p. 2"\n',
        encoding="utf-8",
    )
    ran = run("add", "note.toml", "-d", book)
    assert ran.code == 1
    assert "value 'deposit' is a design deposit; 'made by' names a maker, firm or person" in ran.err


def test_every_fault_of_a_claim_is_named_at_once(run: Run, tmp_path: Path, book: Path) -> None:
    note = '[[claim]]\nabout = "laddy"\nsays = "madeBy"\nvalue = "nobody"\nsource = "bock"\n'
    (tmp_path / "note.toml").write_text(note, encoding="utf-8")
    ran = run("add", "note.toml", "-d", book)
    assert "4 faults" in ran.err
    for word in ("no locator", "about 'laddy'", "value 'nobody'", "source 'bock'"):
        assert word in ran.err


def test_a_note_added_twice_adds_nothing_the_second_time(run: Run, tmp_path: Path, book: Path) -> None:
    note = (
        '[[claim]]\nabout = "lady"\nsays = "existedBy"\nvalue = "1880"\nsource = "book"\nlocator = "p. 2"\n'
    )
    (tmp_path / "note.toml").write_text(note, encoding="utf-8")
    assert "Recorded" in run("add", "note.toml", "-d", book).out
    before = run("list", "--claims", "lady", "-d", book).out
    again = run("add", "note.toml", "-d", book)
    assert (again.code, "Nothing new" in again.out) == (0, True)
    assert run("list", "--claims", "lady", "-d", book).out == before


def test_a_thing_given_another_name_is_told(run: Run, tmp_path: Path, book: Path) -> None:
    (tmp_path / "note.toml").write_text(
        '[[thing]]\nid = "tarn"\nkind = "Person"\nlabel = "Someone"\n', encoding="utf-8"
    )
    out = run("add", "note.toml", "-d", book, "--dry-run").out
    assert "tarn was called Tarn & Ottery and would be called Someone" in out
    assert "firm, and person too" in out


def test_a_claim_that_contradicts_others_is_recorded_and_the_contradiction_told(
    run: Run, tmp_path: Path, book: Path
) -> None:
    (tmp_path / "note.toml").write_text(
        '[[claim]]\nabout = "lady"\nsays = "existedBy"\nvalue = "1860"\nsource = "book"\nlocator = "p. 2"\n',
        encoding="utf-8",
    )
    ran = run("add", "note.toml", "-d", book)
    assert ran.code == 0
    assert "Recorded" in ran.out
    told = run("audit", "-d", book, "--json").told
    assert isinstance(told, dict)
    assert any("existed by 1860" in claim["sentence"] for conflict in told["conflicts"] for claim in conflict)


def test_findings_stand_below_what_was_recorded_in_the_words_of_a_reader(
    run: Run, tmp_path: Path, book: Path
) -> None:
    claim = '[[claim]]\nabout = "brumelow"\nsays = "{}"\nvalue = "{}"\nsource = "book"\nlocator = "p. 2"\n'
    note = claim.format("bornOn", "1870") + claim.format("diedOn", "1860")
    (tmp_path / "note.toml").write_text(note, encoding="utf-8")
    recorded, _, found = run("add", "note.toml", "-d", book).out.partition("\n\n")
    assert recorded.startswith("Recorded 0 things, 2 claims, 0 judgements.\n")
    assert found.startswith("  Fault: Adela Brumelow: ")
    assert not any(word in found.lower() for word in ("violation", "warning"))


def test_audit_tells_the_impossible_dating_and_the_shapes(run: Run, book: Path) -> None:
    ran = run("audit", "-d", book)
    assert ran.code == 0
    page = " ".join(ran.out.split())
    assert "Datings that cannot fit: 1" in page
    assert "is earlier than 1 January 1872" in page
    assert "Shapes: Found" in page


def test_verify_names_a_changed_file_and_ends_with_its_own_code(run: Run, book: Path) -> None:
    path = sorted(book.rglob("*.trig"))[-1]
    path.write_bytes(path.read_bytes().replace(b"1866", b"1876"))
    ran = run("verify", "-d", book)
    assert ran.code == 3
    assert path.name in ran.out


def test_a_damaged_entry_is_told_and_the_rest_is_answered(run: Run, book: Path) -> None:
    path = sorted(book.rglob("*.trig"))[-1]
    path.write_bytes(path.read_bytes()[:300])
    ran = run("fit", "lady", "1866", "-d", book)
    assert ran.code == 0
    assert "Left out" in ran.err
    assert "CANNOT FIT" in ran.out


def test_the_demo_prints_a_fit_with_reasons_and_says_how_to_open_the_desk(run: Run) -> None:
    ran = run("demo")
    assert ran.code == 0
    assert "Not before" in ran.out
    assert "Not after" in ran.out
    assert "kilnmark desk -d kilnmark-demo" in ran.out
    assert "Opened" in run("demo").out


def test_a_fault_of_the_program_is_told_in_words(
    run: Run, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("a wheel came off")

    monkeypatch.setattr("kg.chronology.fit.fit", broken)
    ran = run("fit", "lady", "1878", "-d", book)
    assert ran.code == 1
    assert "A fault of the program" in ran.err
    report = Path(ran.err.split(" is in ")[1].strip().rstrip("."))
    assert "a wheel came off" in report.read_text(encoding="utf-8")
    report.unlink()


def test_the_library_never_loads_the_front_end() -> None:
    code = "import kg.cli, sys; print(sorted(m for m in ('streamlit', 'app', 'pandas', 'rdflib') if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_what_would_steer_a_terminal_is_never_printed(run: Run, scene: Scene) -> None:
    scene.add(things=[Thing("forged", ("Piece",), "A lady\x1b[2J\u202eydal")])
    noted = scene.say("forged", "noted", "a note")
    folder = scene.daybook.shelf.folder
    for words in (
        ("list", "--kind", "Piece"),
        ("fit", "forged", "1878"),
        ("weigh", noted.id),
        ("who", "forged"),
    ):
        out = run(*words, "-d", folder).out
        assert "\x1b" not in out
        assert "\u202e" not in out
        assert "A lady\ufffd[2J" in out
