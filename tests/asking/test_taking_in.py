"""Taking in from the desk: uploads, drafted mappings, tables, bibliographies and passages."""

from __future__ import annotations

import tomllib
from datetime import date
from io import BytesIO

import pytest

from kg.asking import Desk
from kg.asking.mapping_draft import (
    ID,
    LABEL,
    LOCATOR,
    QUOTATION,
    MappingDraft,
    NoDraft,
    guessed,
    toml_of,
    uses_for,
)
from kg.asking.passage import BadPassage, passage_note, read_passage
from kg.asking.recording import OnlyToday
from kg.asking.roles import Colleague, MayNot, NoName, Role
from kg.asking.taking_in import (
    MOST_BYTES,
    OWN,
    BadUpload,
    Upload,
    check_mapping,
    checked_upload,
    choices_in,
    mapping_text,
    record_bibliography_of,
    record_table,
    shipped_mappings,
    table_head,
    try_bibliography,
    try_table,
    wishes_of,
)
from kg.daybook.record import Thing
from kg.intake.bibliography import FaultyRecords
from kg.intake.faults import BadTable, FaultyRows
from tests.conftest import Scene

EDITOR = Colleague("A. Quill")
TABLE = Upload(
    "stock.csv", b"number,name,made,by\n1,Lady in grey,about 1878,Adela Brumelow\n2,Lady in blue,1880,\n"
)
DRAFT = MappingDraft(
    "stock", "Piece", "Stock book", "Dataset",
    (("number", ID), ("name", LABEL), ("made", "madeOn"), ("by", "madeBy")),
)  # fmt: skip


@pytest.fixture
def desk(scene: Scene) -> Desk:
    """A desk on a daybook with a small cast."""
    return Desk(scene.daybook.shelf.folder)


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("", b"a,b", "no name"),
        ("..", b"a,b", "no name"),
        ("a.csv", b"", "empty"),
        ("a.csv", b"%PDF-1.4", "a PDF"),
        ("a.bib", b"\x89PNG\r\n", "a picture"),
        ("a.csv", bytes(MOST_BYTES + 1), "at most 50,000,000"),
    ],
)
def test_an_upload_is_checked_again(name: str, raw: bytes, said: str) -> None:
    with pytest.raises(BadUpload, match=said):
        checked_upload(name, raw)


@pytest.mark.parametrize("name", ["../../etc/list.csv", "C:\\lists\\list.csv", "/list.csv", "list.csv\n"])
def test_an_upload_keeps_only_the_last_part_of_its_name(name: str) -> None:
    upload = checked_upload(name, b"a,b\n1,2\n")
    assert upload.name == "list.csv"
    with upload.as_file() as path:
        assert path.read_bytes() == b"a,b\n1,2\n"
    assert not path.exists()


def test_a_mapping_is_drafted_that_the_reader_of_mappings_takes(desk: Desk) -> None:
    text = toml_of(DRAFT, desk.standpoint().view.vocabulary)
    check_mapping(desk, text)
    tables = tomllib.loads(text)
    assert tables["source"] == {"id": "data-file-stock-book", "kind": "Dataset", "label": "Stock book"}
    assert [claim["says"] for claim in tables["claim"]] == ["madeOn", "madeBy"]


def test_headings_with_quotes_backslashes_and_breaks_make_a_mapping_too(desk: Desk) -> None:
    columns = ('a "quoted" \\ one', "zwei\nZeilen", "drei\x7f")
    draft = MappingDraft(
        "x", "Piece", 'A "book"', "Book",
        ((columns[0], ID), (columns[1], "condition"), (columns[2], QUOTATION)),
    )  # fmt: skip
    text = toml_of(draft, desk.standpoint().view.vocabulary)
    check_mapping(desk, text)
    claim = tomllib.loads(text)["claim"][0]
    assert (claim["column"], claim["quotation"]) == (columns[1], f"{{{columns[2]}}}")


@pytest.mark.parametrize(
    ("uses", "said"),
    [
        ((("made", "madeOn"),), "tells one row's thing"),
        ((("number", ID), ("name", LABEL)), "at least one column"),
    ],
)
def test_a_draft_that_says_too_little_says_what_is_missing(
    uses: tuple[tuple[str, str], ...], said: str, desk: Desk
) -> None:
    with pytest.raises(NoDraft, match=said):
        toml_of(MappingDraft("x", "Piece", "Book", "Book", uses), desk.standpoint().view.vocabulary)


def test_headings_are_guessed_by_the_names_of_the_vocabulary(desk: Desk) -> None:
    view = desk.standpoint().view
    found = guessed(
        view, "Piece", ["Number", "Title", "made_on", "Made by", "height in millimetres", "page", "colour"]
    )
    assert found == {
        "Number": ID, "Title": LABEL, "made_on": "madeOn", "Made by": "madeBy",
        "height in millimetres": "heightMm", "page": LOCATOR,
    }  # fmt: skip
    assert "bornOn" not in {use.slug for use in uses_for(view, "Piece")}


def test_a_table_is_tried_without_a_trace_and_recorded_as_one_entry(desk: Desk) -> None:
    mapping = toml_of(DRAFT, desk.standpoint().view.vocabulary)
    before = len(desk.standpoint().view.entries)
    tried = try_table(desk, TABLE, mapping, EDITOR)
    assert tried.counts[0] == "2 rows read"
    assert not tried.faults
    assert len(tried.lines) == 3
    assert len(desk.standpoint().view.entries) == before
    entry = record_table(desk, EDITOR, TABLE, mapping)
    assert entry is not None
    assert {claim.value for claim in entry.claims} == {"1878~", "1880", "brumelow"}
    assert record_table(desk, EDITOR, TABLE, mapping) is None
    assert try_table(desk, TABLE, mapping, EDITOR).is_empty


def test_every_fault_of_a_table_is_told_with_row_and_column(desk: Desk) -> None:
    mapping = toml_of(DRAFT, desk.standpoint().view.vocabulary)
    faulty = Upload("stock.csv", b"number,name,made,by\n1,A,in days of yore,\n1,B,1880,\n")
    tried = try_table(desk, faulty, mapping, EDITOR)
    assert tried.is_refused
    assert [(f.place, f.column, f.is_left_out) for f in tried.faults] == [
        ("row 3", "number", False), ("row 2", "made", True),
    ]  # fmt: skip
    with pytest.raises(FaultyRows):
        record_table(desk, EDITOR, faulty, mapping)


def test_a_table_is_recorded_only_today_signed_and_by_who_may(desk: Desk) -> None:
    mapping = toml_of(DRAFT, desk.standpoint().view.vocabulary)
    with pytest.raises(OnlyToday):
        record_table(desk, EDITOR, TABLE, mapping, date(2026, 1, 1))
    with pytest.raises(MayNot):
        record_table(desk, Colleague("A. Quill", Role.READER), TABLE, mapping)
    with pytest.raises(NoName):
        record_table(desk, Colleague(""), TABLE, mapping)
    assert record_table(desk, Colleague("A. Quill", Role.RESEARCHER), TABLE, mapping) is not None
    changed = Upload("stock.csv", TABLE.raw.replace(b"1880", b"1881"))
    with pytest.raises(MayNot, match="may not judge"):
        record_table(desk, Colleague("A. Quill", Role.RESEARCHER), changed, mapping)
    assert record_table(desk, EDITOR, changed, mapping) is not None


def test_a_workbook_is_a_table_too(desk: Desk) -> None:
    from openpyxl import Workbook

    book, raw = Workbook(), BytesIO()
    assert book.active is not None
    book.active.append(["number", "made"])
    book.active.append([7, "1878"])
    book.save(raw)
    head = table_head(checked_upload("stock.csv", raw.getvalue()))
    assert head.headings == ("number", "made")
    assert dict(head.samples[0]) == {"number": "7", "made": "1878"}
    with pytest.raises(BadTable):
        table_head(Upload("stock.csv", b"PK\x03\x04 not a workbook"))


def test_the_mappings_that_ship_can_be_used(desk: Desk) -> None:
    assert len(shipped_mappings()) >= 10
    for choice in shipped_mappings():
        check_mapping(desk, mapping_text(choice.slug))
    with pytest.raises(BadUpload, match="no mapping that ships"):
        mapping_text("../../pyproject.toml")


def test_a_record_that_may_be_on_record_is_decided(scene: Scene, desk: Desk) -> None:
    first = Upload("one.bib", b"@book{a, title={Heads of the Valley}, author={Tarn, Corwin}, year={1932}}")
    assert record_bibliography_of(desk, EDITOR, first, wishes_of(())) is not None
    alike = Upload("two.bib", b"@book{b, title={Heads of the Valley}, year={1932}}")
    (doubt,) = try_bibliography(desk, alike, wishes_of(()), EDITOR).doubts
    assert doubt.record == "b"
    same = choices_in(doubt)[-1].slug
    assert choices_in(doubt)[0].slug == OWN
    joined = try_bibliography(desk, alike, wishes_of([("b", same)]), EDITOR)
    apart = try_bibliography(desk, alike, wishes_of([("b", OWN)]), EDITOR)
    assert not joined.doubts
    assert not apart.doubts
    assert len(joined.lines) != len(apart.lines) or joined.counts != apart.counts


def test_a_bibliography_with_faults_waits_until_they_are_left_out(desk: Desk) -> None:
    faulty = Upload("one.bib", b"@book{a, title={Heads}, year={1932}}\n@book{b, title={Tails, year={1933}\n")
    tried = try_bibliography(desk, faulty, wishes_of(()), EDITOR)
    assert tried.faults
    assert tried.faults[0].place.startswith("line ")
    with pytest.raises(FaultyRecords):
        record_bibliography_of(desk, EDITOR, faulty, wishes_of(()))
    assert record_bibliography_of(desk, EDITOR, faulty, wishes_of(()), leave_out=True) is not None


def test_what_a_passage_says_is_accepted_by_number(scene: Scene, desk: Desk) -> None:
    text = "Adela Brumelow was born in 1839. She died in 1881."
    found = read_passage(desk.standpoint(), text, "book")
    assert ["".join(part.text for part in one.said) for one in found.proposals][:1] == [
        "Adela Brumelow born 1839"
    ]
    note = passage_note(desk.standpoint(), text, {0}, "book", "p. 3", "A. Quill")
    assert [(d.property, d.citation.quotation) for d in note.drafts] == [
        ("bornOn", "Adela Brumelow was born in 1839.")
    ]
    scene.add(things=[Thing("x", ("Person",), "X")], drafts=note.drafts)
    assert read_passage(desk.standpoint(), text, "book").proposals[0].is_on_record


@pytest.mark.parametrize(
    ("numbers", "source", "locator", "said"),
    [
        (set(), "book", "p. 1", "No proposal is ticked"),
        ({0}, "", "p. 1", "No source is chosen"),
        ({0}, "book", " ", "No place in the source"),
        ({0}, "tarn", "p. 1", "no source"),
    ],
)
def test_a_passage_is_not_recorded_before_all_is_given(
    numbers: set[int], source: str, locator: str, said: str, desk: Desk
) -> None:
    with pytest.raises(BadPassage, match=said):
        passage_note(
            desk.standpoint(), "Adela Brumelow was born in 1839.", numbers, source, locator, "A. Quill"
        )
