"""A claim about a claim is written, read, noted, checked and queried like any other."""

from __future__ import annotations

from pathlib import Path

import pyoxigraph as ox
import pytest
from typer.testing import CliRunner

from kg.cli import app
from kg.daybook.graph import view_store
from kg.daybook.note_reader import BadNote
from kg.daybook.notes import read_note, supposed_draft
from kg.daybook.record import Citation, Draft, compose
from kg.daybook.trig import read_entries, to_trig
from kg.daybook.view import NotInDaybook
from kg.sources_weighed.telling import told_sentence
from kg.vocabulary import CLAIM, THING, K, load_vocabulary
from tests.conftest import Scene
from tests.sources_weighed.scenes import WHEN

NOTE = """
researcher = "A. Tester"
[[claim]]
about = "{about}"
says = "claimFollows"
value = "{value}"
source = "book"
locator = "p. 1, note 2"
"""


def test_a_claim_about_a_claim_reads_back_as_it_was_written() -> None:
    for prop, value in (("claimFollows", "c2"), ("claimTakenFrom", "register"), ("claimContradicts", "c2")):
        entry = compose(WHEN, "A. Tester", drafts=(Draft("c1", prop, value, Citation("book", "p. 1")),))
        trig = to_trig(entry, load_vocabulary())
        assert f"rdf:subject c:{entry.claims[0].subject}" in trig.decode()
        assert read_entries(trig) == [entry]


def test_a_note_that_links_two_claims_is_recorded(scene: Scene, tmp_path: Path) -> None:
    one = scene.say("tarn", "founded", "1871")
    other = scene.say("tarn", "founded", "1871", source="plates")
    note = tmp_path / "note.toml"
    note.write_text(NOTE.format(about=one.id, value=other.id), encoding="utf-8")
    result = CliRunner().invoke(app, ["add", str(note), "-d", str(scene.daybook.shelf.folder)])
    assert result.exit_code == 0, result.output
    view = scene.daybook.view()
    (link,) = view.by_subject[one.id]
    assert (link.property, link.value) == ("claimFollows", other.id)
    assert told_sentence(view, link) == (
        "“Tarn & Ottery set up in business 1871” (A Book of Heads) follows the claim "
        "“Tarn & Ottery set up in business 1871” (Plates of Heads)"
    )


def test_a_note_in_turtle_links_two_claims_too(scene: Scene) -> None:
    one, other = (scene.say("tarn", "founded", "1871", source) for source in ("book", "plates"))
    text = f'c:{one.id} k:claimFollows c:{other.id} {{| k:source t:book ; k:locator "p. 1" |}} .'
    note = read_note(text, scene.daybook.view(), researcher="A. Tester", form="turtle")
    assert [(d.subject, d.property, d.value) for d in note.drafts] == [(one.id, "claimFollows", other.id)]


def test_a_note_about_a_claim_that_is_not_there_is_refused(scene: Scene) -> None:
    one = scene.say("tarn", "founded", "1871")
    with pytest.raises(BadNote, match="about 'tarn' is no claim of the daybook"):
        read_note(NOTE.format(about="tarn", value=one.id), scene.daybook.view())
    with pytest.raises(BadNote, match="value 'cnowhere' is no claim of the daybook"):
        read_note(NOTE.format(about=one.id, value="cnowhere"), scene.daybook.view())


def test_a_claim_about_a_claim_can_be_supposed_for_a_question(scene: Scene) -> None:
    one, other = (scene.say("tarn", "founded", "1871", source) for source in ("book", "plates"))
    draft = supposed_draft(f"{one.id} claimTakenFrom register", scene.daybook.view())
    assert (draft.subject, draft.property, draft.value) == (one.id, "claimTakenFrom", "register")
    linked = supposed_draft(f"{one.id} claimFollows {other.id}", scene.daybook.view())
    assert linked.value == other.id
    with pytest.raises(NotInDaybook):
        supposed_draft(f"{one.id} claimFollows {other.id}x", scene.daybook.view())


def test_the_graph_names_a_claim_that_is_spoken_of_as_a_claim(scene: Scene) -> None:
    one = scene.say("tarn", "founded", "1871")
    scene.add(drafts=[Draft(one.id, "claimTakenFrom", "register", Citation("book", "p. 1"))])
    store = view_store(scene.daybook.view())
    quad = ox.Quad(
        ox.NamedNode(CLAIM + one.id), ox.NamedNode(K + "claimTakenFrom"), ox.NamedNode(THING + "register")
    )
    assert quad in store
