"""What somebody else puts on the shelf never changes, hides or stops what is recorded there."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from kg.daybook import demo
from kg.daybook.daybook import CannotMerge, Daybook, Note
from kg.daybook.demo import begin_demo
from kg.daybook.record import BadRecord, Claim, Entry, Judgement, Thing, compose
from kg.daybook.shelf import LARGEST_ENTRY
from kg.daybook.trig import DamagedEntry, content_hash, read_entries, to_trig
from tests.conftest import Scene

NAME = "20261001T000000000001Z-aaaaaaaaaa"
WHEN = datetime(2026, 3, 2, 9, tzinfo=UTC)


def head(scene: Scene) -> str:
    """The prefixes of an entry file."""
    trig = to_trig(scene.daybook.entries()[0], scene.daybook.vocabulary).decode()
    return trig[: trig.index("e:2")]


def plant(scene: Scene, trig: str, name: str = NAME) -> Path:
    """Put a file on the shelf whose hash is right, whatever it says."""
    path = scene.daybook.shelf.path(f"{name}-{content_hash(trig.encode())}.trig")
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(trig.encode())
    return path


def entry_text(scene: Scene, body: str, recorded: str = "2026-10-01T00:00:00.000001Z") -> str:
    """An entry file that says anything."""
    own = f'e:{NAME} a k:Entry ; k:recorded "{recorded}"^^xsd:dateTime ; k:recordedBy "X" .'
    return f"{head(scene)}e:{NAME} {{ {own} {body} }}\n"


def claim_text(claim: str, says: str) -> str:
    return (
        f"c:{claim} a k:Claim ; rdf:subject t:lady ; rdf:predicate k:{says} ; "
        'k:source t:book ; k:locator "p. 1" .'
    )


def fresh(scene: Scene) -> Daybook:
    return Daybook.open(scene.daybook.shelf.folder)


@pytest.mark.parametrize("year", ["2020", "2026"])
def test_a_claim_is_never_replaced_by_another_entry_that_uses_its_id(scene: Scene, year: str) -> None:
    true = scene.say("lady", "madeOn", "1878")
    name = NAME.replace("2026", year)
    text = entry_text(scene, claim_text(true.id, 'noted ; rdf:object "1950"')).replace("2026", year)
    forged = plant(scene, text, name)
    book = fresh(scene)
    assert book.view().claims[true.id].value == "1878"
    assert list(book.damaged) == [forged.name]
    assert [Path(damage.file).name for damage in book.verify()] == [forged.name]
    forged.unlink()
    assert book.view().claims[true.id].value == "1878"
    assert not book.damaged


def test_a_changed_name_is_named_even_where_the_hash_was_made_again(scene: Scene) -> None:
    entry = compose(WHEN, "A. Tester", "a remark", things=(Thing("x", ("Book",), "X"),))
    changed = replace(entry, note="another remark")
    scene.daybook.shelf.write(entry.name, to_trig(changed, scene.daybook.vocabulary))
    (damage,) = scene.daybook.verify()
    assert damage.what.startswith("changed: its name and claim ids do not follow")


def _spoil(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b'"1878"', b'"1868"'))


def _empty(path: Path) -> None:
    path.write_bytes(b"")


@pytest.mark.parametrize("harm", [_spoil, _empty])
def test_a_merge_takes_nothing_from_a_daybook_with_a_damaged_file(
    scenes: Callable[[str], Scene], harm: Callable[[Path], None]
) -> None:
    one, two = scenes("one"), scenes("two")
    two.clock = two.clock.replace(year=2027)
    two.say("lady", "madeBy", "brumelow")
    bad = two.say("lady", "madeOn", "1878")
    (path,) = two.daybook.shelf.entries.rglob(f"{bad.entry}-*.trig")
    harm(path)
    before = one.daybook.entries()
    with pytest.raises(CannotMerge, match=path.name):
        one.daybook.merge(two.daybook.shelf.folder)
    assert one.daybook.entries() == before


def test_no_file_adds_a_claim_to_the_entry_of_another(scene: Scene) -> None:
    true = scene.say("lady", "madeOn", "1878")
    own = 'e:{0} {{ e:{0} a k:Entry ; k:recorded "2026-10-01T00:00:00Z"^^xsd:dateTime ; k:recordedBy "X" }}'
    more = f"e:{true.entry} {{ {claim_text('cplanted', 'noted ; rdf:object 1')} }}"
    path = plant(scene, f"{head(scene)}{own.format(NAME)} {more}\n")
    book = fresh(scene)
    assert set(book.view().claims) == {true.id}
    assert list(book.damaged) == [path.name]


def test_an_unfinished_file_never_swallows_the_next(scene: Scene) -> None:
    true = scene.say("lady", "madeOn", "1878")
    name = "20250101T000000000001Z-aaaaaaaaaa"
    path = scene.daybook.shelf.path(f"{name}-{'0' * 64}.trig")
    path.parent.mkdir()
    path.write_text(f'{head(scene)}e:{name} {{ e:{name} k:note """', encoding="utf-8")
    book = fresh(scene)
    assert set(book.view().claims) == {true.id}
    assert list(book.damaged) == [path.name]


@pytest.mark.parametrize(
    "when", [datetime(999, 12, 31, tzinfo=UTC), datetime.fromisoformat("9999-12-31T23:59:59-05:00"),
             datetime.fromisoformat("0001-01-01T00:00:00+05:00")]
)  # fmt: skip
def test_a_time_that_no_name_can_hold_is_refused(when: datetime) -> None:
    with pytest.raises(BadRecord, match="outside the years 1000 to 9999"):
        compose(when, "A. Tester", things=(Thing("x", ("Book",), "X"),))


@pytest.mark.parametrize("when", ["yesterday", "2026-10-01T00:00:00", "0001-01-01T00:00:00Z"])
def test_an_entry_whose_time_is_no_time_stops_nothing(scene: Scene, when: str) -> None:
    true = scene.say("lady", "madeOn", "1878")
    path = plant(scene, entry_text(scene, claim_text("cx", 'noted ; rdf:object "x"'), when))
    book = fresh(scene)
    assert set(book.view().claims) == {true.id}
    assert list(book.damaged) == [path.name]


def test_judgements_of_one_entry_come_in_the_order_of_their_numbers(scene: Scene) -> None:
    claim = scene.say("lady", "madeOn", "1878")
    said = tuple(Judgement(claim.id, "doubted", f"reason {n}") for n in range(1, 12))
    entry = compose(WHEN, "A. Tester", judgements=(*said, Judgement(claim.id, "held", "settled")))
    assert read_entries(to_trig(entry, scene.daybook.vocabulary)) == [entry]


def test_a_demo_that_fails_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> object:
        yield next(notes)
        raise OSError("no space left")

    notes = demo.demo_notes()
    with monkeypatch.context() as patch:
        patch.setattr(demo, "demo_notes", broken)
        with pytest.raises(OSError, match="no space"):
            begin_demo(tmp_path / "demo")
    assert list(tmp_path.iterdir()) == []


def test_a_demo_can_be_begun_in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    notes = list(demo.demo_notes())[:1]
    monkeypatch.setattr(demo, "demo_notes", lambda: iter(notes))
    (tmp_path / "demo").mkdir()
    assert len(begin_demo(tmp_path / "demo").entries()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["demo"]


def test_a_deeply_nested_triple_term_is_refused_before_it_is_parsed() -> None:
    deep = b"<a:s> <a:p> " + b"<<( <a:s> <a:p> " * 200_000
    with pytest.raises(DamagedEntry, match="a triple as a term"):
        read_entries(deep)
    with pytest.raises(DamagedEntry, match="a triple as a term"):
        content_hash(deep)


def test_angle_brackets_in_a_text_are_text(scene: Scene) -> None:
    claim = scene.say("lady", "noted", 'she says "<<( see # this )>>" \\ <<')
    assert fresh(scene).view().claims[claim.id].value == claim.value


@pytest.mark.parametrize(
    ("written", "hidden"),
    [
        ("true", True),
        ('"1"^^xsd:boolean', True),
        ('"yes"', True),
        ("false", False),
        ('"0"^^xsd:boolean', False),
    ],
)
def test_a_mark_of_confidentiality_that_cannot_be_read_counts(
    scene: Scene, written: str, hidden: bool
) -> None:
    plant(scene, entry_text(scene, f't:vane a k:Owner ; rdfs:label "V" ; k:confidential {written} .'))
    assert fresh(scene).view().things["vane"].is_confidential is hidden


@pytest.mark.parametrize(
    "iri", ["t:a\\,b", "<https://kilnmark.example/thing/a/b>", "<https://other.example/x>"]
)
def test_a_name_that_could_not_be_written_back_is_refused_on_reading(scene: Scene, iri: str) -> None:
    with pytest.raises(DamagedEntry):
        read_entries(entry_text(scene, f'{iri} a k:Book ; rdfs:label "B" .').encode())


def test_a_claim_of_a_vocabulary_that_is_not_here_is_written_back_as_it_was(scene: Scene) -> None:
    body = claim_text("cx", "glazedBy ; rdf:object t:tarn") + claim_text(
        "cy", 'weighs ; rdf:object "5"^^xsd:integer'
    )
    (entry,) = read_entries(entry_text(scene, body).encode())
    again = to_trig(entry, scene.daybook.vocabulary)
    assert b"rdf:object t:tarn" in again
    assert read_entries(again) == [entry]


def test_a_pipe_a_link_and_a_huge_file_are_never_opened(scene: Scene, tmp_path: Path) -> None:
    true = scene.say("lady", "madeOn", "1878")
    year = scene.daybook.shelf.path(true.entry).parent
    names = [f"{NAME[:-1]}{letter}-{'0' * 64}.trig" for letter in "bcd"]
    os.mkfifo(year / names[0])
    (year / names[1]).symlink_to(tmp_path / "nowhere")
    with (year / names[2]).open("wb") as file:
        file.truncate(LARGEST_ENTRY + 1)
    book = fresh(scene)
    assert set(book.view().claims) == {true.id}
    assert {Path(damage.file).name for damage in book.verify()} == set(names)


def test_a_blank_node_is_refused_before_it_is_named() -> None:
    with pytest.raises(DamagedEntry, match="a blank node"):
        content_hash(b'<a:g> { <a:s> <a:p> _:b . _:b <a:p> "_:text" }')
    assert content_hash(b'<a:g> { <a:s> <a:p> " _:text" }')


def test_verify_passes_over_a_file_that_is_being_written_and_names_one_left_over(scene: Scene) -> None:
    true = scene.say("lady", "madeOn", "1878")
    path = next(scene.daybook.shelf.entries.rglob(f"{true.entry}-*.trig"))
    temporary = path.with_name(f".{path.name}.123.456")
    temporary.write_bytes(b"half")
    assert list(scene.daybook.verify()) == []
    os.utime(temporary, (1_000_000, 1_000_000))
    (damage,) = scene.daybook.verify()
    assert damage.what == "left over by an interrupted writing; delete it"


def test_what_a_daybook_records_vouches_for_itself(scene: Scene) -> None:
    things = (Thing("y", ("Source", "Book"), "Y"), Thing("x", ("Book",), "X"))
    scene.daybook.record(scene.daybook.compose(Note("A. Tester", "two", things=things, recorded=WHEN)))
    assert list(scene.daybook.verify()) == []
    assert isinstance(scene.say("lady", "noted", "x"), Claim)
    assert all(isinstance(entry, Entry) for entry in scene.daybook.entries())
