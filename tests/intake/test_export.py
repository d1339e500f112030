"""Exports read back to the same claims, hold nothing confidential, and calculate nothing."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import date, datetime, timedelta
from pathlib import Path

import pyoxigraph as ox
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Entry, Judgement, Thing
from kg.daybook.trig import read_entries
from kg.intake.export import COLUMNS, CannotExport, Export, export_daybook, new_file, safe_cell
from kg.intake.forms import Form
from tests.conftest import Scene

SAID = "Kilnmark daybook 'Test', as it stands. Nothing was left out as confidential."
OWNER = Thing("owner-vane", ("Owner",), "Mrs. Ottoline Vane", is_confidential=True)
RDF_FORMS = [Form.TRIG, Form.NQUADS, Form.JSONLD]


def exported(
    daybook: Daybook, form: Form, as_of: date | None = None, *, full: bool = False
) -> tuple[bytes, Export]:
    file = io.BytesIO()
    done = export_daybook(daybook, form, file, as_of=as_of, with_confidential=full)
    return file.getvalue(), done


def read_back(content: bytes, form: Form) -> list[Entry]:
    """The entries of an export, by way of TriG where it is another format."""
    formats = {Form.NQUADS: ox.RdfFormat.N_QUADS, Form.JSONLD: ox.RdfFormat.JSON_LD}
    if form in formats:
        quads = list(ox.parse(content, format=formats[form]))
        content = ox.serialize(quads, format=ox.RdfFormat.TRIG) or b""
    return sorted(read_entries(content), key=lambda entry: entry.name)


def plain_text(content: bytes, form: Form) -> str:
    """All that an export says; a workbook is packed."""
    if form is not Form.XLSX:
        return content.decode()
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return "\n".join(packed.read(name).decode() for name in packed.namelist())


def table(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


@pytest.fixture
def trade(scene: Scene) -> Scene:
    """A daybook with open and confidential matter."""
    scene.say("lady", "madeOn", "1878~")
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "heightMm", "320")
    doubted = scene.say("brumelow", "bornOn", "1839")
    judged = (Judgement(doubted.id, "doubted", 'the register says "1841"'),)
    scene.daybook.record(scene.daybook.compose(Note("B. Reader", judgements=judged, recorded=later(scene))))
    return scene


def later(scene: Scene) -> datetime:
    """The next minute of the scene's clock."""
    scene.clock += timedelta(minutes=1)
    return scene.clock


def keep_secret(scene: Scene) -> dict[str, Claim]:
    """Record an owner who must not be named, and what gives her away."""
    scene.add(things=[OWNER, Thing("house", ("Place",), "House of Mrs. Ottoline Vane")])
    claims = scene.add(
        drafts=[
            Draft("lady", "ownedBy", "owner-vane", Citation("book", "p. 3")),
            Draft("lady", "noted", "Seen at mrs. ottoline vane's in May", Citation("book", "p. 4")),
            Draft("lady", "condition", "good", Citation("book", "p. 5")),
            Draft("lady", "noted", "reserve 400", Citation("book", "p. 6"), is_confidential=True),
        ]
    )
    owned, told, open_claim, hidden = sorted(claims, key=lambda claim: claim.citation.locator)
    answer = Thing("answer", ("Answer",), "An answer")
    scene.add(things=[answer])
    scene.add(drafts=[Draft("answer", "supportedBy", owned.id, Citation("book", "p. 7"))])
    why = Judgement(open_claim.id, "doubted", "Mrs. Ottoline Vane says otherwise")
    scene.daybook.record(scene.daybook.compose(Note("B. Reader", judgements=(why,))))
    return {"owned": owned, "told": told, "open": open_claim, "hidden": hidden}


@pytest.mark.parametrize("form", RDF_FORMS)
def test_an_export_reads_back_to_the_same_entries(trade: Scene, form: Form) -> None:
    content, done = exported(trade.daybook, form)
    assert tuple(read_back(content, form)) == trade.daybook.entries()
    assert (done.entries, done.claims, bool(done.left_out)) == (6, 4, False)


@pytest.mark.parametrize("form", RDF_FORMS)
def test_hostile_text_reads_back_as_it_was(scene: Scene, form: Form) -> None:
    text = 'quote " back \\ tab \t line \r\n end \u2028 bell \x07 pair \U0001f38e {} <> # ='
    scene.say("lady", "noted", text)
    content, _ = exported(scene.daybook, form)
    assert [claim.value for entry in read_back(content, form) for claim in entry.claims] == [text]


@pytest.mark.parametrize("form", list(Form))
def test_nothing_confidential_is_in_an_export(trade: Scene, form: Form) -> None:
    claims = keep_secret(trade)
    content, done = exported(trade.daybook, form)
    text = plain_text(content, form).lower()
    for word in (
        "vane",
        "ottoline",
        "reserve 400",
        claims["owned"].id,
        claims["told"].id,
        claims["hidden"].id,
    ):
        assert word.lower() not in text
    assert claims["open"].id in text
    # The owner and her house; who owns it, what names her, what is marked, and the answer that rests on it; and the
    # reason that names her.
    assert str(done.left_out) == "2 things, 4 claims, 1 judgement"


@pytest.mark.parametrize("form", list(Form))
def test_an_export_with_confidential_matter_holds_all_of_it(trade: Scene, form: Form) -> None:
    claims = keep_secret(trade)
    content, done = exported(trade.daybook, form, full=True)
    assert all(claim.id in plain_text(content, form) for claim in claims.values())
    assert not done.left_out
    if form in RDF_FORMS:
        assert tuple(read_back(content, form)) == trade.daybook.entries()


@pytest.mark.parametrize("form", list(Form))
def test_every_form_says_inside_what_was_left_out(trade: Scene, form: Form) -> None:
    assert "Nothing was left out as confidential." in plain_text(exported(trade.daybook, form)[0], form)
    keep_secret(trade)
    told = "Left out as confidential: 2 things, 4 claims, 1 judgement."
    assert told in plain_text(exported(trade.daybook, form)[0], form)
    assert "CONFIDENTIAL: this export holds" in plain_text(exported(trade.daybook, form, full=True)[0], form)


@pytest.mark.parametrize("form", [Form.TRIG, Form.NQUADS])
def test_an_export_says_inside_what_was_left_out(trade: Scene, form: Form) -> None:
    assert exported(trade.daybook, form)[0].decode().splitlines()[:2] == [
        "# Kilnmark daybook 'Test', as it stands.",
        "# Nothing was left out as confidential.",
    ]
    keep_secret(trade)
    said = exported(trade.daybook, form, date(2026, 1, 1))[0].decode().splitlines()[:2]
    assert said == [
        "# Kilnmark daybook 'Test', as of 2026-01-01.",
        "# Left out as confidential: 2 things, 4 claims.",
    ]
    assert exported(trade.daybook, form, full=True)[0].decode().splitlines()[1].startswith("# CONFIDENTIAL:")


def test_what_was_marked_confidential_later_is_left_out_of_an_earlier_day(trade: Scene) -> None:
    marked = Thing("lady", ("Piece",), "Lady with a blue snood", is_confidential=True)
    trade.daybook.record(trade.daybook.compose(Note("B. Reader", things=(marked,))))
    content, done = exported(trade.daybook, Form.TRIG, date(2026, 1, 1))
    assert b"snood" not in content
    assert done.left_out.claims == 3


def test_the_remark_of_an_entry_with_confidential_matter_is_left_out(scene: Scene) -> None:
    draft = Draft("lady", "condition", "good", Citation("book", "p. 1"))
    note = Note("A. Tester", "Visit to the owner at Bath", things=(OWNER,), drafts=(draft,))
    scene.daybook.record(scene.daybook.compose(note))
    content, done = exported(scene.daybook, Form.TRIG)
    assert b"Visit" not in content
    assert str(done.left_out) == "1 thing, 1 remark"


def test_an_export_as_of_a_day_holds_nothing_later(scene: Scene) -> None:
    early = scene.say("lady", "madeOn", "1878~")
    note = Note("A. Tester", judgements=(Judgement(early.id, "withdrawn", "misread"),))
    scene.daybook.record(scene.daybook.compose(note))
    (now,) = table(exported(scene.daybook, Form.CSV)[0])
    (then,) = table(exported(scene.daybook, Form.CSV, date(2026, 1, 1))[0])
    assert (then["standing"], now["standing"]) == ("held", "withdrawn")


def test_the_csv_has_one_line_a_claim(trade: Scene) -> None:
    content, done = exported(trade.daybook, Form.CSV)
    rows = table(content)
    assert tuple(rows[0]) == (*COLUMNS, SAID)
    assert len(rows) == done.claims == 4
    made = next(row for row in rows if row["property"] == "madeBy")
    claim = next(c for c in trade.daybook.view().live if c.property == "madeBy")
    assert made == {
        "id": claim.id, "subject": "lady", "subject label": "Lady with a blue snood", "property": "madeBy",
        "value": "brumelow", "written": "brumelow", "source": "book", "source label": "A Book of Heads",
        "locator": "p. 1", "quotation": "", "standing": "held", "entry": claim.entry,
        "recorded": "2026-01-01T09:03:00Z", "researcher": "A. Tester", SAID: "",
    }  # fmt: skip
    assert next(row for row in rows if row["property"] == "bornOn")["standing"] == "doubted"


CELLS = [
    ("=1+1", "'=1+1"),
    ("+cmd|x", "'+cmd|x"),
    ("-2+3", "'-2+3"),
    ("@sum(a1)", "'@sum(a1)"),
    ("\tx", "'\tx"),
    ("\rx", "'\rx"),
    ("-34", "-34"),
    ("+5", "+5"),
    ("-3.5e2", "-3.5e2"),
    ("-.5", "-.5"),
    ("-", "'-"),
    ("-34 ", "'-34 "),
    ("-0303~", "'-0303~"),
    ("1+1", "1+1"),
    ("", ""),
]


@pytest.mark.parametrize(("cell", "safe"), CELLS)
def test_no_cell_begins_as_a_formula_unless_it_is_a_number(cell: str, safe: str) -> None:
    assert safe_cell(cell) == safe


def plain_cell(cell: str) -> str:
    """What a cell of an export says, without the sign that keeps a spreadsheet from calculating it."""
    return cell[1:] if cell[:1] == "'" and cell.lstrip("'")[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


@given(st.text(alphabet="'=+-@\t\r1.eA", max_size=6))
def test_a_cell_that_was_kept_from_calculating_can_be_read_back(cell: str) -> None:
    assert plain_cell(safe_cell(cell)) == cell


def test_the_csv_reads_back_to_the_same_claims(trade: Scene) -> None:
    for text in ("=1+1", "'=1+1", "-34", "'-34", 'a "b", c\nd', "''"):
        trade.say("lady", "noted", text)
    rows = [{k: plain_cell(v) for k, v in row.items()} for row in table(exported(trade.daybook, Form.CSV)[0])]
    assert sorted(
        (r["id"], r["subject"], r["property"], r["value"], r["source"], r["locator"], r["entry"])
        for r in rows
    ) == sorted(
        (c.id, c.subject, c.property, c.value, c.citation.source, c.citation.locator, c.entry)
        for c in trade.daybook.view().live
    )


def test_a_formula_taken_down_as_text_goes_out_as_text(scene: Scene) -> None:
    scene.say("lady", "noted", "=HYPERLINK(1)")
    (row,) = table(exported(scene.daybook, Form.CSV)[0])
    assert (row["value"], row["written"]) == ("'=HYPERLINK(1)", "'=HYPERLINK(1)")


def test_an_empty_daybook_exports_an_empty_document(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook", "Empty")
    assert read_back(exported(book, Form.TRIG)[0], Form.TRIG) == []
    assert json.loads(exported(book, Form.JSONLD)[0])["@graph"] == []
    assert table(exported(book, Form.CSV)[0]) == []


def interrupted(out: Path, daybook: Daybook) -> None:
    """Begin an export and break it off."""
    with new_file(out, daybook) as file:
        file.write(b"half")
        raise KeyboardInterrupt


def test_an_output_file_appears_only_when_it_is_whole(scene: Scene, tmp_path: Path) -> None:
    out = tmp_path / "out.trig"
    out.write_bytes(b"before")
    with pytest.raises(KeyboardInterrupt):
        interrupted(out, scene.daybook)
    assert out.read_bytes() == b"before"
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []
    with new_file(out, scene.daybook) as file:
        file.write(b"whole")
    assert out.read_bytes() == b"whole"


@pytest.mark.parametrize("place", ["daybook/entries/2026/x.trig", "daybook/x.trig"])
def test_an_export_never_goes_into_the_daybook(scene: Scene, tmp_path: Path, place: str) -> None:
    told = "lies in the daybook's own folder"
    with pytest.raises(CannotExport, match=told), new_file(tmp_path / place, scene.daybook):
        pass


def test_an_export_into_no_folder_is_refused(scene: Scene, tmp_path: Path) -> None:
    with (
        pytest.raises(CannotExport, match="cannot be written as a file"),
        new_file(tmp_path / "no/x", scene.daybook),
    ):
        pass


def marked(scene: Scene) -> None:
    """An owner who must not be named, and a confidential claim with its quotation."""
    scene.add(things=[Thing("owner-vane", ("Owner",), "Mme. Éléonore  Vane", is_confidential=True)])
    cited = Citation("book", "p. 9", "sold privately to a lady of the valley")
    scene.add(drafts=[Draft("lady", "noted", "price 400", cited, is_confidential=True)])


@pytest.mark.parametrize(
    "said",
    [
        "seen at mme. eleonore vane's", "MME.\u00a0E\u0301LE\u0301ONORE\tVANE", "see owner-vane",
        "It was SOLD  privately to a lady, they say",
    ],
)  # fmt: skip
def test_a_text_that_names_or_quotes_confidential_matter_is_left_out(scene: Scene, said: str) -> None:
    marked(scene)
    told, kept = scene.say("lady", "noted", said), scene.say("lady", "noted", "Eleonore Vanessa, sold")
    content, _ = exported(scene.daybook, Form.TRIG)
    assert told.id.encode() not in content
    assert kept.id.encode() in content


def test_a_claim_about_a_confidential_claim_is_left_out(scene: Scene) -> None:
    draft = Draft("lady", "condition", "good", Citation("book", "p. 5"), is_confidential=True)
    (hidden,) = scene.add(drafts=[draft])
    says = next(
        n for n, p in scene.daybook.vocabulary.properties.items() if p.domain == "Claim" and p.is_link
    )
    (about,) = scene.add(drafts=[Draft(hidden.id, says, "lady", Citation("book", "p. 6"))])
    content, _ = exported(scene.daybook, Form.NQUADS)
    assert hidden.id.encode() not in content
    assert about.id.encode() not in content
