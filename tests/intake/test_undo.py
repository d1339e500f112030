"""Undoing an entry: what is withdrawn, what is given back, and taking in again afterwards."""

from __future__ import annotations

import json

import pytest

from kg.daybook.daybook import Note
from kg.daybook.record import Entry, Judgement
from kg.intake.undo import CannotUndo, Undoing, plan_undo
from tests.intake.conftest import ROWS, Bench


def undo(bench: Bench, entry: Entry, why: str = "the wrong list") -> tuple[Undoing, Entry]:
    undoing = plan_undo(bench.daybook.view(), entry.name, "B. Reader", why)
    return undoing, bench.daybook.record(bench.daybook.compose(undoing.note))


def taken(bench: Bench) -> Entry:
    entry = bench.take_in()[1]
    assert entry is not None
    return entry


def test_every_claim_of_an_undone_entry_is_withdrawn_with_the_reason_and_stays_on_record(
    bench: Bench,
) -> None:
    first = taken(bench)
    undoing, _ = undo(bench, first)
    view = bench.daybook.view()
    assert (undoing.withdrawn, undoing.restored) == (11, 0)
    assert view.live == ()
    assert {view.judgements[claim.id].why for claim in first.claims} == {"the wrong list"}
    assert len(view.claims) == 11
    assert list(bench.daybook.verify()) == []


def test_things_that_only_that_entry_names_are_told(bench: Bench) -> None:
    first = taken(bench)
    bench.write(*ROWS, "04,Infant,Ottmar Tarn,1851,1890,,")
    second = taken(bench)
    undoing, _ = undo(bench, second)
    assert [thing.label for thing in undoing.named_only_here] == ["Infant"]
    assert (
        len(plan_undo(bench.daybook.view(), first.name, "B. Reader", "the wrong list").named_only_here) == 6
    )


def test_undoing_the_undoing_restores_every_claim(bench: Bench) -> None:
    first = taken(bench)
    before = bench.daybook.view().live
    _, second = undo(bench, first)
    undoing, third = undo(bench, second, "it was the right list")
    assert (undoing.withdrawn, undoing.restored) == (0, 11)
    assert bench.daybook.view().live == before
    again, _ = undo(bench, third, "the wrong one after all")
    assert again.withdrawn == 11
    assert bench.daybook.view().live == ()


def test_a_doubt_is_restored_as_a_doubt(bench: Bench) -> None:
    first = taken(bench)
    claim = first.claims[0].id
    bench.daybook.record(
        bench.daybook.compose(Note("B. Reader", judgements=(Judgement(claim, "doubted", "smudged"),)))
    )
    _, second = undo(bench, first)
    undo(bench, second)
    assert bench.daybook.view().standing(claim) == "doubted"


def test_undoing_an_edit_gives_back_what_it_superseded(bench: Bench) -> None:
    taken(bench)
    bench.write(ROWS[0], ROWS[1].replace("1885", "1887"), ROWS[2])
    edit = taken(bench)
    assert bench.values("piece-02", "madeOn") == ["1887"]
    undoing, _ = undo(bench, edit)
    assert (undoing.withdrawn, undoing.restored) == (1, 1)
    assert bench.values("piece-02", "madeOn") == ["1885"]


def test_a_judgement_passed_since_is_left_as_it_stands(bench: Bench) -> None:
    taken(bench)
    (old,) = bench.live("piece-02", "madeOn")
    bench.write(ROWS[0], ROWS[1].replace("1885", "1887"), ROWS[2])
    edit = taken(bench)
    later = Note("C. Keeper", judgements=(Judgement(old.id, "setAside", "see the letter"),))
    bench.daybook.record(bench.daybook.compose(later))
    undoing, _ = undo(bench, edit)
    assert undoing.judged_since == 1
    assert bench.daybook.view().standing(old.id) == "setAside"


@pytest.mark.parametrize("edited", [False, True], ids=["the same file", "an edited file"])
def test_a_table_is_taken_in_again_after_an_undo(bench: Bench, edited: bool) -> None:
    first = taken(bench)
    undo(bench, first)
    if edited:
        bench.write(ROWS[0], ROWS[1].replace("1885", "1887"), ROWS[2])
    plan, entry = bench.take_in()
    assert entry is not None
    assert len(plan.drafts) == (1 if edited else 0)
    assert len(plan.judgements) == (10 if edited else 11)
    assert bench.values("piece-02", "madeOn") == ["1887" if edited else "1885"]
    assert bench.plan().is_empty


def test_an_entry_undone_twice_says_that_nothing_is_left(bench: Bench) -> None:
    first = taken(bench)
    undo(bench, first)
    with pytest.raises(CannotUndo, match=f"Nothing to undo: all that entry {first.name} says is withdrawn"):
        undo(bench, first)


def test_an_entry_is_called_by_its_first_letters_if_they_are_enough(bench: Bench) -> None:
    first = taken(bench)
    assert (
        plan_undo(bench.daybook.view(), first.name[:20], "B. Reader", "the wrong list").entry.name
        == first.name
    )
    with pytest.raises(
        CannotUndo, match=r"There is no entry '19990101' in the daybook\. The last ones are:\n  "
    ):
        plan_undo(bench.daybook.view(), "19990101", "B. Reader", "a trial")


def test_an_entry_is_called_by_the_name_of_its_file_too(bench: Bench) -> None:
    first = taken(bench)
    (file,) = bench.daybook.shelf.folder.glob(f"entries/*/{first.name}-*.trig")
    for name in (file.name, str(file)):
        assert plan_undo(bench.daybook.view(), name, "B. Reader", "the wrong list").entry.name == first.name


def test_an_entry_that_only_names_things_cannot_be_undone(bench: Bench) -> None:
    first = taken(bench)
    naming = bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=first.things[:1])))
    with pytest.raises(CannotUndo, match="only names things"):
        undo(bench, naming)


def test_the_command_tells_what_it_withdrew_and_how_to_restore_it(bench: Bench) -> None:
    from typer.testing import CliRunner

    from kg.cli import app

    first = taken(bench)
    words = ["undo", first.name, "--why", "the wrong list", "--researcher", "B. Reader", "--daybook"]
    words.append(str(bench.daybook.shelf.folder))
    before = bench.files()
    dry = CliRunner().invoke(app, [*words, "--dry-run"])
    assert dry.stdout.startswith(
        "Nothing was written. This would be undone: Table stocklist: stock.csv, 3 rows"
    )
    assert bench.files() == before
    told = json.loads(CliRunner().invoke(app, [*words, "--dry-run", "--json"]).stdout)
    assert (told["undone"], told["recorded"], len(told["judgements"])) == (first.name, None, 11)
    done = CliRunner().invoke(app, words)
    assert "  11 claims withdrawn\n" in done.stdout
    assert "Named only there, and left as names without claims: " in " ".join(done.stdout.split())
    last = bench.daybook.entries()[-1].name
    assert done.stdout.endswith(f"To restore it: kilnmark undo {last} --why …\n")


@pytest.mark.parametrize("why", ["", "   ", "\t\n"])
def test_an_undo_without_a_reason_is_refused_and_writes_nothing(bench: Bench, why: str) -> None:
    first = taken(bench)
    before = bench.files()
    with pytest.raises(CannotUndo, match="No reason is given"):
        plan_undo(bench.daybook.view(), first.name, "B. Reader", why)
    assert bench.files() == before
