"""Who may do what: held by what a note says, whatever screen asks."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kg.asking import Desk
from kg.asking.recording import NothingNew, OnlyToday, Refused, record_note, recorded, try_note, undo_entry
from kg.asking.roles import (
    Act,
    BadColleagues,
    Colleague,
    Colleagues,
    MayNot,
    NoName,
    Role,
    acts_of,
    keep_name,
    kept_name,
    signing,
)
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from tests.conftest import Scene

FINDING = Draft("head", "condition", "worn", Citation("book", "p. 2"))
JOINING = Draft("tarn", "sameAs", "shop", Citation("book", "p. 2"))


@pytest.fixture
def desk(scene: Scene) -> Desk:
    """A desk on a daybook with one claim."""
    scene.say("head", "madeBy", "brumelow")
    return Desk(scene.daybook.shelf.folder)


def note(desk: Desk, what: str) -> Note:
    """A note of one kind."""
    claim = next(iter(desk.standpoint().view.claims))
    notes = {
        "finding": Note("x", drafts=(FINDING,)),
        "joining": Note("x", drafts=(JOINING,)),
        "judgement": Note("x", judgements=(Judgement(claim, "doubted", "why not"),)),
    }
    return notes[what]


@pytest.mark.parametrize(
    ("role", "what", "may"),
    [
        (Role.READER, "finding", False),
        (Role.RESEARCHER, "finding", True),
        (Role.RESEARCHER, "joining", False),
        (Role.RESEARCHER, "judgement", False),
        (Role.EDITOR, "finding", True),
        (Role.EDITOR, "joining", True),
        (Role.EDITOR, "judgement", True),
    ],
)
def test_a_note_is_recorded_exactly_when_the_role_allows_what_it_says(
    role: Role, what: str, may: bool, desk: Desk
) -> None:
    before = len(desk.standpoint().view.entries)
    if may:
        entry = record_note(desk, Colleague("A. Quill", role), note(desk, what))
        assert entry.researcher == "A. Quill"
    else:
        with pytest.raises(MayNot, match=f"is a {role.word} here and may not"):
            record_note(desk, Colleague("A. Quill", role), note(desk, what))
    assert len(desk.standpoint().view.entries) == before + may


def test_a_further_act_needs_its_role_too(desk: Desk) -> None:
    with pytest.raises(MayNot, match="may not undo"):
        record_note(desk, Colleague("A. Quill", Role.RESEARCHER), note(desk, "finding"), acts=(Act.UNDO,))


def test_an_entry_is_undone_by_an_editor_only(desk: Desk) -> None:
    entry = record_note(desk, Colleague("A. Quill", Role.RESEARCHER), note(desk, "finding"))
    with pytest.raises(MayNot, match="may not undo"):
        undo_entry(desk, Colleague("A. Quill", Role.RESEARCHER), entry.name, "typed twice")
    assert desk.standpoint().view.standing(entry.claims[0].id) == "held"
    undo_entry(desk, Colleague("B. Larch"), entry.name, "typed twice")
    assert desk.standpoint().view.standing(entry.claims[0].id) == "withdrawn"


def test_nothing_is_recorded_in_the_past_unsigned_twice_or_ill_formed(desk: Desk) -> None:
    editor = Colleague("A. Quill")
    before = len(desk.standpoint().view.entries)
    with pytest.raises(OnlyToday, match="Go back to today"):
        record_note(desk, editor, note(desk, "finding"), date(2026, 1, 1))
    with pytest.raises(NoName):
        record_note(desk, Colleague(" "), note(desk, "finding"))
    bad = Note("x", drafts=(Draft("head", "madeBy", "nobody", Citation("book", "p. 1")),))
    with pytest.raises(Refused, match="mend this first"):
        record_note(desk, editor, bad)
    assert len(desk.standpoint().view.entries) == before
    record_note(desk, editor, note(desk, "finding"))
    with pytest.raises(NothingNew, match="on record already"):
        record_note(desk, editor, note(desk, "finding"))


def test_a_trial_writes_nothing_and_leaves_out_what_is_known(desk: Desk) -> None:
    first = record_note(desk, Colleague("A. Quill"), note(desk, "finding"))
    tried = try_note(desk, Note("x", drafts=(FINDING, JOINING)))
    assert tried.known == (first.claims[0].id,)
    assert [draft.property for draft in tried.note.drafts] == ["sameAs"]
    assert len(desk.standpoint().view.entries) == 3
    assert recorded(desk.standpoint(), first.name).headline.startswith("Recorded by A. Quill")


def test_what_a_note_does_is_told_from_what_it_holds(desk: Desk) -> None:
    vocabulary = desk.standpoint().view.vocabulary
    assert acts_of(Note("x", things=(Thing("a", ("Person",), "A"),)), vocabulary) == (Act.ADD,)
    assert acts_of(note(desk, "joining"), vocabulary) == (Act.ADD, Act.JOIN)
    assert acts_of(note(desk, "judgement"), vocabulary) == (Act.JUDGE,)


def test_colleagues_are_read_from_a_small_file(tmp_path: Path) -> None:
    file = tmp_path / "colleagues.toml"
    assert Colleagues.read(file).signed_in("a@example.org").role is Role.READER
    file.write_text('[colleagues]\n"A@example.org" = "editor"\n"b@example.org" = "researcher"\n')
    known = Colleagues.read(file)
    assert known.signed_in("a@EXAMPLE.org", "Ada") == Colleague("Ada", Role.EDITOR)
    assert known.signed_in("b@example.org") == Colleague("b@example.org", Role.RESEARCHER)
    assert known.signed_in("c@example.org").role is Role.READER


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[colleagues]\n"a@example.org" = "owner"', "'owner'; expected reader, researcher, editor"),
        ("colleagues = 3", "one table"),
        ("[colleagues]\n[roles]", "one table"),
        ("[colleagues", "cannot be read as TOML"),
    ],
)
def test_a_file_of_colleagues_that_cannot_be_used_says_what_is_expected(
    text: str, said: str, tmp_path: Path
) -> None:
    (tmp_path / "colleagues.toml").write_text(text)
    with pytest.raises(BadColleagues, match=said):
        Colleagues.read(tmp_path / "colleagues.toml")


def test_a_name_signs_on_one_line_and_is_kept(tmp_path: Path) -> None:
    assert signing("Ada\n\x1b Quill ") == "Ada Quill"
    with pytest.raises(NoName, match="Nobody signs"):
        signing("\x07 ")
    with pytest.raises(NoName, match="at most 200"):
        signing("a" * 201)
    file = tmp_path / "new" / "signer.txt"
    assert kept_name(file) == ""
    keep_name(file, "Ada Quill")
    assert kept_name(file) == "Ada Quill"
    assert kept_name(None) == ""
