"""Entries are written once, read back whole, and shared by any number of readers."""

from __future__ import annotations

import json
import multiprocessing
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from types import ModuleType

import pytest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.graph import rdflib_graph, view_store
from kg.daybook.record import BadRecord, Citation, Draft, Judgement, Thing, compose
from kg.daybook.shelf import DaybookExists, NoDaybook
from kg.daybook.trig import DamagedEntry, content_hash, read_entries, to_trig
from tests.conftest import Scene

WHEN = datetime(2026, 3, 2, 9, tzinfo=UTC)
DRAFT = Draft("lady", "madeOn", "1878~", Citation("book", 'p. 12 "note"', "line one\nline two"), "about 1878")


def test_an_entry_reads_back_as_it_was_written(scene: Scene) -> None:
    things = (Thing("x1", ("Book",), "Köpfe & Leiber", True, "widens-with-age"),)
    judgements = (Judgement("cabc", "doubted", "the register says otherwise"),)
    entry = compose(WHEN, "A. Tester", "Ein Vermerk", things=things, drafts=(DRAFT,), judgements=judgements)
    assert read_entries(to_trig(entry, scene.daybook.vocabulary)) == [entry]


def test_the_same_entry_has_the_same_name_and_bytes_every_time(scene: Scene) -> None:
    one, two = (compose(WHEN, "A. Tester", drafts=(DRAFT,)) for _ in range(2))
    assert one == two
    assert to_trig(one, scene.daybook.vocabulary) == to_trig(two, scene.daybook.vocabulary)


def test_the_content_hash_ignores_the_order_of_lines_and_prefixes() -> None:
    one = b'@prefix e: <http://e/> . e:g { e:a e:b "1" . e:a e:c "2" . }'
    two = b'<http://e/g> { <http://e/a> <http://e/c> "2" ; <http://e/b> "1" }'
    assert content_hash(one) == content_hash(two)


def test_an_empty_entry_is_refused() -> None:
    with pytest.raises(BadRecord, match="holds no thing, claim or judgement"):
        compose(WHEN, "A. Tester")


def test_a_second_reader_sees_what_the_first_adds(scene: Scene) -> None:
    other = Daybook.open(scene.daybook.shelf.folder)
    before = other.revision
    claim = scene.say("lady", "madeOn", "1878")
    assert claim.id in other.view().claims
    assert other.revision != before


def test_a_damaged_entry_never_takes_the_rest_down_and_is_named(scene: Scene) -> None:
    kept, lost = scene.say("lady", "madeOn", "1878"), scene.say("lady", "madeBy", "brumelow")
    path = _file_of(scene, lost.entry)
    path.write_bytes(path.read_bytes()[:-40])
    view = Daybook.open(scene.daybook.shelf.folder).view()
    assert kept.id in view.claims
    assert lost.id not in view.claims
    (damage,) = scene.daybook.verify()
    assert path.name in damage.file
    assert damage.what.startswith("damaged")


def test_verify_names_a_changed_and_a_foreign_file_and_nothing_else(scene: Scene) -> None:
    claim = scene.say("lady", "madeOn", "1878")
    assert list(scene.daybook.verify()) == []
    path = _file_of(scene, claim.entry)
    path.write_bytes(path.read_bytes().replace(b'"1878"', b'"1868"'))
    (path.parent / "notes.txt").write_text("a shopping list", encoding="utf-8")
    found = {Path(damage.file).name: damage.what.split(":")[0] for damage in scene.daybook.verify()}
    assert found == {path.name: "changed", "notes.txt": "foreign"}


def test_verify_names_an_entry_under_another_entrys_name(scene: Scene) -> None:
    one, two = scene.say("lady", "madeOn", "1878"), scene.say("lady", "madeOn", "1868")
    first, second = _file_of(scene, one.entry), _file_of(scene, two.entry)
    first.write_bytes(second.read_bytes())
    assert [Path(d.file).name for d in scene.daybook.verify()] == [first.name]


def test_writing_never_replaces_what_is_there(scene: Scene) -> None:
    claim = scene.say("lady", "madeOn", "1878")
    path = _file_of(scene, claim.entry)
    stamp = path.stat().st_mtime_ns
    entry = next(e for e in scene.daybook.entries() if e.name == claim.entry)
    scene.daybook.record(entry)
    assert path.stat().st_mtime_ns == stamp
    assert len(list(path.parent.iterdir())) == len(scene.daybook.entries())


def test_as_of_a_past_day_later_entries_and_judgements_are_not_known(scene: Scene) -> None:
    daybook = scene.daybook
    early = daybook.record(
        daybook.compose(Note("A", drafts=(DRAFT,), recorded=datetime(2026, 2, 1, tzinfo=UTC)))
    )
    judged = Judgement(early.claims[0].id, "setAside", "the plate shows another doll")
    daybook.record(
        daybook.compose(Note("A", judgements=(judged,), recorded=datetime(2026, 3, 1, tzinfo=UTC)))
    )
    assert daybook.view(date(2026, 1, 31)).live == ()
    assert [c.id for c in daybook.view(date(2026, 2, 28)).live] == [early.claims[0].id]
    assert daybook.view().live == ()
    assert daybook.view().standing(early.claims[0].id) == "setAside"


def test_merging_two_daybooks_is_the_union_of_their_entries(scenes) -> None:  # type: ignore[no-untyped-def]
    one, two = scenes("one"), scenes("two")
    one.say("lady", "madeOn", "1878")
    two.clock = one.clock
    two.say("lady", "madeBy", "brumelow")
    union = {e.name for e in (*one.daybook.entries(), *two.daybook.entries())}
    assert one.daybook.merge(two.daybook.shelf.folder) == 1
    assert {e.name for e in one.daybook.entries()} == union
    assert one.daybook.merge(two.daybook.shelf.folder) == 0


def test_a_folder_without_a_daybook_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(NoDaybook, match="kilnmark begin"):
        Daybook.open(tmp_path)


def test_a_daybook_is_never_begun_over_something(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("keep me", encoding="utf-8")
    with pytest.raises(DaybookExists, match="is not empty"):
        Daybook.begin(tmp_path)


def _add_many(folder: Path, who: str, count: int) -> None:
    daybook = Daybook.open(folder)
    for number in range(count):
        draft = Draft("lady", "noted", f"{who} {number}", Citation("book", f"p. {number}"))
        daybook.record(daybook.compose(Note(who, drafts=(draft,))))


def test_several_processes_add_at_once_and_nothing_is_lost(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A screen tested before in this process stands as its main module; a new process would run that screen first.
    monkeypatch.setitem(sys.modules, "__main__", ModuleType("__main__"))
    folder = scene.daybook.shelf.folder
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=_add_many, args=(folder, who, 20)) for who in ("A", "B", "C")]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert [worker.exitcode for worker in workers] == [0, 0, 0]
    said = {claim.value for claim in scene.daybook.view().live}
    assert said == {f"{who} {number}" for who in "ABC" for number in range(20)}
    assert list(scene.daybook.verify()) == []


def test_the_store_and_the_rdflib_view_hold_the_same_triples(scene: Scene) -> None:
    scene.say("lady", "madeOn", "1878~")
    scene.say("lady", "madeBy", "brumelow")
    view = scene.daybook.view()
    store, graph = view_store(view), rdflib_graph(view)
    ours = {(q.subject.value, q.predicate.value, q.object.value) for q in store}
    theirs = {(str(s), str(p), str(o)) for s, p, o in graph}
    assert ours == theirs
    assert len(ours) > 20


def test_a_claim_id_may_be_shortened_and_a_thing_named_by_its_label(scene: Scene) -> None:
    claim = scene.say("lady", "madeOn", "1878")
    view = scene.daybook.view()
    assert view.claim(claim.id[:6]) is view.claims[claim.id]
    assert view.thing("lady with a BLUE snood").slug == "lady"


def test_the_default_settings_file_is_plain_toml(scene: Scene) -> None:
    text = (scene.daybook.shelf.folder / "daybook.toml").read_text(encoding="utf-8")
    assert json.loads(text.splitlines()[0].split("=")[1]) == "Test"


def _file_of(scene: Scene, entry: str) -> Path:
    (path,) = scene.daybook.shelf.entries.rglob(f"{entry}-*.trig")
    return path


@pytest.mark.parametrize(
    ("trig", "message"),
    [
        pytest.param('<http://a/b> <http://a/c> "1" .', "outside a graph", id="outside any graph"),
        pytest.param(
            '<http://a/g> { <http://a/b> <http://a/c> "1" }', "a graph that is no entry", id="foreign graph"
        ),
        pytest.param(
            "<https://kilnmark.example/entry/x> { <http://a/b> <http://a/c> <<( <http://a/b> <http://a/c> 1 )>> }",
            "a triple as a term",
            id="a triple as a value",
        ),
        pytest.param("no turtle at all", "no TriG", id="not TriG"),
        pytest.param(
            '<https://kilnmark.example/entry/x> { _:b <http://a/c> "1" }', "a blank node", id="a blank node"
        ),
        pytest.param(
            '<https://kilnmark.example/entry/x> { <https://kilnmark.example/thing/y> <http://a/c> "1" }',
            "lacks x",
            id="an entry that says nothing of itself",
        ),
    ],
)
def test_what_is_no_entry_is_refused_in_words(trig: str, message: str) -> None:
    with pytest.raises(DamagedEntry, match=message):
        read_entries(trig.encode())


def test_a_text_that_looks_like_a_thing_stays_the_text_that_it_is(scene: Scene) -> None:
    claim = scene.say("lady", "noted", "https://kilnmark.example/thing/lady")
    other = Daybook.open(scene.daybook.shelf.folder)
    assert other.view().claims[claim.id].value == "https://kilnmark.example/thing/lady"
