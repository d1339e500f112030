"""Taking in a table: what is recorded, once and again, and what leaves no trace."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from kg.daybook.daybook import Note
from kg.daybook.record import Judgement, Thing
from kg.intake import take_in
from kg.intake.faults import BadTable, FaultyRows
from kg.intake.take_in import take_in_table
from tests.intake.conftest import ROWS, Bench


def test_a_table_becomes_one_entry_with_the_row_as_the_place(bench: Bench) -> None:
    plan, entry = bench.take_in()
    assert entry is not None
    assert [e.name for e in bench.daybook.entries()] == [entry.name]
    assert (plan.rows, len(plan.drafts), plan.undated, plan.faults) == (3, 11, 1, ())
    view = bench.daybook.view()
    (dated,) = bench.live("piece-01", "madeOn")
    assert (dated.value, dated.written, view.cite(dated.citation)) == (
        "1878~",
        "c. 1878",
        "An invented stock list, row 2",
    )
    assert view.things["stocklist"] == Thing(
        "stocklist", ("Dataset",), "An invented stock list", convention="five-years"
    )
    assert view.label("maker-adele-brumelow-1839") == "Adèle Brumelow"
    assert bench.values("piece-01", "madeBy") == ["maker-adele-brumelow-1839"]
    assert bench.values("piece-01", "condition") == ["worn"]
    assert bench.values("piece-02", "heightMm") == ["280"]


def test_what_rows_repeat_of_a_maker_is_recorded_once(bench: Bench) -> None:
    bench.take_in()
    (born,) = bench.live("maker-adele-brumelow-1839", "bornOn")
    assert (born.value, born.citation.locator) == ("1839", "row 2")


def test_the_same_file_again_adds_nothing(bench: Bench) -> None:
    bench.take_in()
    before = bench.files()
    plan, entry = bench.take_in()
    assert entry is None
    assert (plan.is_empty, plan.kept, plan.gone) == (True, 11, 0)
    assert bench.files() == before


def test_rows_that_move_add_nothing(bench: Bench) -> None:
    bench.take_in()
    bench.write(*reversed(ROWS))
    assert bench.plan().is_empty


def test_an_edited_row_adds_its_change_and_withdraws_what_it_supersedes(bench: Bench) -> None:
    bench.take_in()
    (old,) = bench.live("piece-02", "madeOn")
    bench.write(ROWS[0], ROWS[1].replace("1885", "1887"), ROWS[2])
    plan, entry = bench.take_in()
    assert entry is not None
    assert [(d.subject, d.property, d.value) for d in plan.drafts] == [("piece-02", "madeOn", "1887")]
    assert plan.things == ()
    assert bench.values("piece-02", "madeOn") == ["1887"]
    view = bench.daybook.view()
    assert view.standing(old.id) == "withdrawn"
    assert view.judgements[old.id].why == "row 3 of stock.csv now says 1887"


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        pytest.param("", "row 3 of stock.csv no longer says so", id="emptied"),
        pytest.param("18x5", "row 3 of stock.csv now says '18x5', which was not taken in", id="unreadable"),
        pytest.param(
            "undated", "row 3 of stock.csv now says 'undated', which was not taken in", id="no date"
        ),
    ],
)
def test_a_cell_that_no_longer_says_so_withdraws_its_claim(bench: Bench, cell: str, why: str) -> None:
    bench.take_in()
    (old,) = bench.live("piece-02", "madeOn")
    bench.write(ROWS[0], ROWS[1].replace("1885", cell), ROWS[2])
    bench.take_in()
    assert bench.daybook.view().judgements[old.id] == Judgement(
        old.id, "withdrawn", why, bench.daybook.entries()[-1].name
    )
    assert bench.take_in()[1] is None


def test_a_change_taken_back_holds_the_first_claim_again(bench: Bench) -> None:
    bench.take_in()
    (first,) = bench.live("piece-02", "madeOn")
    bench.write(ROWS[0], ROWS[1].replace("1885", "1887"), ROWS[2])
    bench.take_in()
    bench.write(*ROWS)
    plan, _ = bench.take_in()
    assert plan.drafts == ()
    assert [claim.id for claim in bench.live("piece-02", "madeOn")] == [first.id]
    assert bench.daybook.view().judgements[first.id].why == "row 3 of stock.csv says so again"
    assert bench.plan().is_empty


def test_what_a_researcher_withdrew_is_not_brought_back(bench: Bench) -> None:
    bench.take_in()
    (claim,) = bench.live("piece-02", "madeOn")
    note = Note("B. Reader", judgements=(Judgement(claim.id, "withdrawn", "misread"),))
    bench.daybook.record(bench.daybook.compose(note))
    plan, entry = bench.take_in()
    assert entry is None
    assert bench.live("piece-02", "madeOn") == []
    assert plan.kept == 11


def test_rows_gone_from_the_file_are_counted_and_left(bench: Bench) -> None:
    bench.take_in()
    bench.write(ROWS[0])
    plan, entry = bench.take_in()
    assert entry is None
    # Of 11 claims the row left says 5: four of its piece and its maker's birth.
    assert (plan.kept, plan.gone) == (5, 6)
    assert bench.values("piece-02", "madeOn") == ["1885"]


def test_another_mapping_of_the_same_table_withdraws_nothing_and_repeats_nothing(bench: Bench) -> None:
    bench.take_in()
    bench.remap(('name = "stocklist"', 'name = "stocklist-years"'), ('form = "phrase"', 'form = "edtf"'))
    bench.write(ROWS[1].replace("1885", "1886"))
    plan, _ = bench.take_in()
    assert [(d.property, d.value) for d in plan.drafts] == [("madeOn", "1886")]
    assert plan.judgements == ()
    assert bench.values("piece-02", "madeOn") == ["1885", "1886"]


def test_a_name_that_a_researcher_gave_since_stands(bench: Bench) -> None:
    bench.take_in()
    better = Thing("piece-01", ("Piece",), "Lady with a painted fan")
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=(better,))))
    assert bench.plan().is_empty
    bench.write(ROWS[0].replace("Lady with a fan", "Lady with an ivory fan"), *ROWS[1:])
    bench.take_in()
    assert bench.daybook.view().label("piece-01") == "Lady with an ivory fan"


def test_a_thing_that_the_daybook_has_is_found_and_keeps_its_name(bench: Bench) -> None:
    known = Thing("maker-adele-brumelow-1839", ("Person",), "Brumelow, Adèle")
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=(known,))))
    plan, _ = bench.take_in()
    assert "maker-adele-brumelow-1839" not in {thing.slug for thing in plan.things}
    assert bench.daybook.view().label("maker-adele-brumelow-1839") == "Brumelow, Adèle"


def test_find_by_label_links_to_the_thing_of_that_name(bench: Bench) -> None:
    bench.remap(('kind = "Person"\n', 'kind = "Person"\nfind-by-label = true\n'))
    known = (Thing("brumelow", ("Person",), "adèle brumelow"), Thing("a-book", ("Book",), "Ottmar Tarn"))
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=known)))
    bench.take_in()
    assert bench.values("piece-01", "madeBy") == ["brumelow"]
    assert bench.values("piece-03", "madeBy") == ["maker-ottmar-tarn-1851"]
    assert bench.plan().is_empty


def test_two_things_of_one_name_refuse_the_table(bench: Bench) -> None:
    bench.remap(('kind = "Person"\n', 'kind = "Person"\nfind-by-label = true\n'))
    known = tuple(Thing(slug, ("Person",), "Ottmar Tarn") for slug in ("tarn-1", "tarn-2"))
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=known)))
    with pytest.raises(FaultyRows, match="row 4, maker: 'Ottmar Tarn' found; expected one thing"):
        bench.take_in()


def test_a_dry_run_writes_nothing(bench: Bench) -> None:
    before = bench.files()
    assert len(bench.plan().drafts) == 11
    assert bench.files() == before


@pytest.mark.parametrize("stage", ["rows read", "comparing with the daybook", "recording"])
def test_an_interruption_leaves_nothing_half_recorded(bench: Bench, stage: str) -> None:
    before = bench.files()
    met = []

    def interrupt(what: str, done: int, of: int) -> None:
        met.append(what)
        if what == stage:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        take_in_table(bench.daybook, bench.table, bench.mapping, progress=interrupt)
    assert met[-1] == stage
    assert bench.files() == before


def test_an_unreadable_date_is_left_out_counted_and_told(bench: Bench) -> None:
    bench.write(ROWS[0].replace("c. 1878", "about the war"), ROWS[1])
    plan, entry = bench.take_in()
    assert entry is not None
    assert plan.left_out == 1
    (fault,) = plan.faults
    assert (fault.row, fault.column, fault.found, fault.is_left_out) == (2, "dated", "about the war", True)
    assert str(fault).startswith("row 2, dated: 'about the war' found; expected ")
    assert str(fault).endswith("Left out: correct the cell, or add the claim by hand.")
    assert bench.values("piece-01", "madeOn") == []
    assert bench.values("piece-01", "condition") == ["worn"]


def test_every_other_fault_refuses_the_table_and_all_are_told(bench: Bench) -> None:
    bench.write(ROWS[0].replace("320", "tall"), ROWS[0], ",No id,,,,,")
    before = bench.files()
    with pytest.raises(FaultyRows) as caught:
        bench.take_in()
    assert bench.files() == before
    assert str(caught.value) == (
        "Nothing was recorded: 3 faults in stock.csv.\n"
        "  - row 2, height: 'tall' found; expected a whole number for height in millimetres. "
        'Correct the cell, or name its unit in the mapping: unit = "cm".\n'
        "  - row 3, id: 'piece-01' found; expected an id that no other row has. "
        "Row 2 has it already. Give one of the rows an id of its own, or remove it.\n"
        "  - row 4, id: '' found; expected a text for the id of piece. "
        "Fill the cell, or write {id?} in the mapping where it may be empty."
    )


def test_a_name_that_stands_for_something_else_refuses_the_table(bench: Bench) -> None:
    other = Thing("piece-01", ("Book",), "A Book of Heads")
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=(other,))))
    with pytest.raises(
        FaultyRows, match="row 2, id: 'piece-01' found; expected a Piece; the daybook has it as Book"
    ):
        bench.take_in()


def test_without_a_researcher_nothing_is_taken_in(bench: Bench) -> None:
    bench.remap(('researcher = "A. Tester"\n', ""))
    with pytest.raises(BadTable, match="No researcher is named"):
        bench.take_in()
    _, entry = take_in_table(bench.daybook, bench.table, bench.mapping, researcher="C. Guest")
    assert entry is not None
    assert entry.researcher == "C. Guest"


def test_formulas_and_line_breaks_are_recorded_as_the_text_they_are(bench: Bench) -> None:
    rows = (
        '04,"=HYPERLINK(""x"")",,,,,"first line\r\nsecond line"',
        "05,@sum,,,,,=1+1",
        "06,-x,,,,,'quoted'",
    )
    bench.write(*rows, end="\r\n")
    bench.take_in()
    view = bench.daybook.view()
    assert view.label("piece-04") == '=HYPERLINK("x")'
    assert view.label("piece-05") == "@sum"
    assert bench.values("piece-04", "condition") == ["first line\r\nsecond line"]
    assert bench.values("piece-05", "condition") == ["=1+1"]
    assert bench.plan().is_empty


def test_later_daybooks_take_in_by_the_clock_given(bench: Bench) -> None:
    bench.daybook.clock = lambda: datetime(2031, 5, 4, tzinfo=UTC)
    _, entry = bench.take_in()
    assert entry is not None
    assert entry.recorded - datetime(2031, 5, 4, tzinfo=UTC) == timedelta(0)
    assert replace(entry, claims=()).note.startswith("Table stocklist: stock.csv, 3 rows, SHA-256 ")


def test_an_interruption_while_the_entry_is_written_leaves_no_file(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(_handle: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("kg.daybook.shelf.os.fsync", interrupt)
        with pytest.raises(KeyboardInterrupt):
            bench.take_in()
    assert [path for path in bench.daybook.shelf.entries.rglob("*") if path.is_file()] == []
    assert bench.take_in()[1] is not None


def test_a_table_whose_entry_could_not_be_opened_again_is_refused(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, entry = bench.take_in()
    assert entry is not None
    (file,) = bench.daybook.shelf.folder.rglob("*.trig")
    size = file.stat().st_size
    bench.write(*(row.replace("0", "1", 1) for row in ROWS))
    monkeypatch.setattr(take_in, "LARGEST_ENTRY", size)
    before = bench.files()
    with pytest.raises(BadTable, match="would make an entry of about 0 MB; at most 0 MB are kept in one"):
        bench.take_in()
    assert bench.files() == before
