"""What cannot be understood here stays on record, takes no part, and is named."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from kg.checks.check import check_all
from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.dates.conventions import DEFAULT
from kg.daybook.daybook import Daybook
from kg.daybook.note_reader import BadNote
from kg.daybook.notes import read_note
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.vocabulary import VocabularyFault, load_vocabulary
from tests.conftest import Scene
from tests.daybook.test_hostile_entries import NAME, claim_text, entry_text, fresh, plant

EDTF = "^^<http://id.loc.gov/datatypes/edtf/EDTF>"


@pytest.mark.parametrize(
    "said",
    [
        f'madeOn ; rdf:object "18x8"{EDTF}', f'madeOn ; rdf:object "1890/1870"{EDTF}',
        f'madeOn ; rdf:object "Y-17000000000000000000"{EDTF}', 'glazedBy ; rdf:object t:tarn',
        'heightMm ; rdf:object " 5"^^xsd:integer', 'noted ; k:strength k:firm ; rdf:object "x"',
    ],
)  # fmt: skip
def test_a_claim_that_cannot_be_understood_takes_no_part_and_stops_nothing(scene: Scene, said: str) -> None:
    true = scene.say("lady", "madeOn", "1878")
    plant(scene, entry_text(scene, claim_text("cx", said)))
    book = fresh(scene)
    view = book.view()
    assert "cx" in view.claims
    assert view.live == (view.claims[true.id],)
    assert Audit(Chronology(view)).impossible == ()
    check_all(view)
    file = io.BytesIO()
    export_daybook(book, Form.TRIG, file)
    assert b"c:cx" in file.getvalue()
    assert any("ill-formed: claim cx takes no part" in damage.what for damage in book.verify())


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ('t:x a k:Kiln ; rdfs:label "K" .', "the class 'Kiln'"),
        ('t:x a k:Book ; rdfs:label "K" ; k:datesBy "moon" .', "the unknown convention 'moon'"),
        ('j:x.1 a k:Judgement ; k:judges c:cabc ; k:finds k:burnt ; k:because "no" .', "it finds 'burnt'"),
    ],
)
def test_verify_names_a_word_that_is_not_in_the_vocabulary(scene: Scene, body: str, told: str) -> None:
    plant(scene, entry_text(scene, body))
    found = [damage.what for damage in fresh(scene).verify()]
    assert any(told in what for what in found)


def test_an_unknown_standing_leaves_a_claim_as_it_stood(scene: Scene) -> None:
    true = scene.say("lady", "madeOn", "1878")
    judged = f'j:{NAME}.1 a k:Judgement ; k:judges c:{true.id} ; k:finds k:burnt ; k:because "no" .'
    plant(scene, entry_text(scene, judged))
    assert [claim.id for claim in fresh(scene).view().live] == [true.id]


def test_dates_of_a_source_with_an_unknown_convention_are_read_by_the_default(scene: Scene) -> None:
    plant(scene, entry_text(scene, 't:book a k:Book ; rdfs:label "B" ; k:datesBy "moon" .'))
    claim = scene.say("lady", "madeOn", "1878~")
    view = fresh(scene).view()
    assert view.date_convention(view.claims[claim.id]).name == DEFAULT


TOML = 'researcher = "R"\n[[thing]]\nid = "vane"\nkind = "Owner"\nlabel = "V"\nconfidential = '


@pytest.mark.parametrize("mark", ['"true"', '"yes"', "1", '"false"'])
def test_a_mark_in_a_typed_note_is_true_or_false_and_nothing_else(scene: Scene, mark: str) -> None:
    with pytest.raises(BadNote, match="expected true or false"):
        read_note(TOML + mark, scene.daybook.view())
    assert read_note(TOML + "true", scene.daybook.view()).things[0].is_confidential


@pytest.mark.parametrize(
    ("mark", "hidden"), [("true", True), ('"true"', True), ('"1"^^<http://www.w3.org/2001/XMLSchema#boolean>', True),
                         ("false", False), ('"yes"', None), ("true, false", None)]
)  # fmt: skip
def test_a_mark_in_a_turtle_note_fails_closed(scene: Scene, mark: str, hidden: bool | None) -> None:
    text = f't:vane a k:Owner ; rdfs:label "V" ; k:confidential {mark} .'
    if hidden is None:
        with pytest.raises(BadNote):
            read_note(text, scene.daybook.view(), researcher="R", form="turtle")
        return
    note = read_note(text, scene.daybook.view(), researcher="R", form="turtle")
    assert note.things[0].is_confidential is hidden


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('t:lady rdfs:label "a", "b" ; a k:Piece .', "2 labels"),
        ("t:lady k:madeBy [] .", "a blank node"),
        ("t:lady k:madeBy <<( t:a t:b t:c )>> .", "a triple as a term"),
        ("t:lady k:madeBy " + "<<( t:a t:b " * 200_000, "a triple as a term"),
    ],
)
def test_what_a_turtle_note_cannot_hold_is_told(scene: Scene, text: str, told: str) -> None:
    with pytest.raises(BadNote, match=told):
        read_note(text, scene.daybook.view(), researcher="R", form="turtle")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("recorded = 2999-01-01T00:00:00Z", "the clock?"),
        ("recorded = 0900-01-01T00:00:00Z", "outside the years"),
        ("remark = " + "[" * 5000 + "]" * 5000, "nested too deeply"),
    ],
)
def test_a_note_with_an_impossible_head_is_refused_in_words(scene: Scene, line: str, told: str) -> None:
    with pytest.raises(BadNote, match=told):
        read_note(f"{line}\n{TOML}true", scene.daybook.view())


HEAD = (
    "@prefix k: <https://kilnmark.example/vocabulary#> . @prefix o: <https://other.example/> .\n"
    "@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .\n"
    "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
)
BLOCK = ' a rdf:Property ; rdfs:label "x" ; rdfs:domain k:Piece ; rdfs:range k:Person .'


@pytest.mark.parametrize(
    ("name", "told"),
    [("o:madeBy", "Only names in the"), ("k:madeBy", "which another file defines"), ("[]", "Only names in the"),
     ("<https://kilnmark.example/vocabulary#a/madeBy>", "Only names in the")],
)  # fmt: skip
def test_an_extension_never_redefines_what_ships(tmp_path: Path, name: str, told: str) -> None:
    path = tmp_path / "more.ttl"
    path.write_text(HEAD + name + BLOCK, encoding="utf-8")
    with pytest.raises(VocabularyFault, match=told):
        load_vocabulary(path)
    path.write_text(HEAD + "k:glazedBy" + BLOCK, encoding="utf-8")
    load_vocabulary.cache_clear()
    assert "glazedBy" in load_vocabulary(path).properties


def test_a_daybook_opens_beside_the_entries_of_an_extension(scene: Scene) -> None:
    plant(scene, entry_text(scene, claim_text("cx", "glazedBy ; rdf:object t:tarn")))
    assert isinstance(fresh(scene), Daybook)
    folder = scene.daybook.shelf.folder / "vocabulary"
    folder.mkdir()
    (folder / "more.ttl").write_text(HEAD + "k:glazedBy" + BLOCK, encoding="utf-8")
    assert [claim.id for claim in fresh(scene).view().live] == ["cx"]


@pytest.mark.parametrize("order", ['"first"', "-1", "1.5", '"' + "9" * 5000 + '"'])
def test_an_order_that_is_no_whole_number_is_told(tmp_path: Path, order: str) -> None:
    path = tmp_path / "more.ttl"
    path.write_text(f"{HEAD}k:glazedBy k:order {order} ;{BLOCK}", encoding="utf-8")
    with pytest.raises(VocabularyFault, match="expected a whole number"):
        load_vocabulary(path)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        pytest.param('id = "x"\nkind = "Book"\nlabel = {a = 1}', "label is a dict", id="a table for a text"),
        pytest.param('id = "x"\nkind = "Book"\nlabel = ["a"]', "label is a list", id="a list for a text"),
        pytest.param('id = "x"\nkind = []\nlabel = "A"', "'kind' is missing", id="no kind"),
        pytest.param(
            'id = "x"\nkind = "Book"\nlabel = "A\\u001b[2J"',
            "U+001B at character 2",
            id="a code that steers a terminal",
        ),
        pytest.param(
            'id = "x"\nkind = "Book"\nlabel = "A\\u202eB"', "U+202E at character 2", id="a turn of direction"
        ),
        pytest.param(
            f'id = "{"x" * 201}"\nkind = "Book"\nlabel = "A"', "201 characters", id="a name too long"
        ),
        pytest.param(
            'id = "x"\nkind = "Book"\nlabel = "A"\n[[thing]]\nid = "x"\nkind = "Book"\nlabel = "B"',
            "'x' is described 2 times",
            id="described twice",
        ),
    ],
)
def test_what_is_no_plain_text_in_a_note_is_named(scene: Scene, lines: str, expected: str) -> None:
    with pytest.raises(BadNote) as caught:
        read_note(f"[[thing]]\n{lines}\n", scene.daybook.view(), researcher="A. Tester")
    assert expected in str(caught.value)


@pytest.mark.parametrize(
    ("turtle", "expected"),
    [
        pytest.param(
            '<http://a.example/lady> k:noted "x" {| k:source t:book ; k:locator "p. 1" |} .',
            "no name of a daybook",
            id="thing",
        ),
        pytest.param(
            't:lady <http://a.example/noted> "x" {| k:source t:book ; k:locator "p. 1" |} .',
            "no name of a daybook",
            id="word",
        ),
        pytest.param('[] k:noted "x" .', "a thing without a name", id="nameless thing"),
    ],
)
def test_a_turtle_note_speaks_of_nothing_but_the_daybook(scene: Scene, turtle: str, expected: str) -> None:
    with pytest.raises(BadNote) as caught:
        read_note(turtle, scene.daybook.view(), researcher="A. Tester", form="turtle")
    assert expected in str(caught.value)
