"""A merge brings whole entries only, tells what comes of it, and is a union of sets."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from kg.cli import app
from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Draft, Judgement, Thing, compose
from kg.daybook.shelf import NoDaybook, Shelf
from kg.intake.merge import BadMerge, by_shared_claim, merge, plan_merge
from tests.conftest import Scene

Scenes = Callable[[str], Scene]


@pytest.fixture
def pair(scenes: Scenes) -> tuple[Scene, Scene]:
    """Two daybooks with the same cast, the second with entries of a later year."""
    one, two = scenes("one"), scenes("two")
    two.clock = two.clock.replace(year=2027)
    return one, two


def folder(scene: Scene) -> Path:
    return scene.daybook.shelf.folder


def test_a_plan_writes_nothing(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    two.say("lady", "noted", "fine")
    before = one.daybook.shelf.names()
    plan = plan_merge(one.daybook, folder(two))
    assert (len(plan.files), plan.claims, plan.known) == (1, 1, 1)
    assert one.daybook.shelf.names() == before


def test_conflicts_that_come_in_are_told_and_those_that_stood_are_not(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    one.say("tarn", "founded", "1880")
    one.say("tarn", "ceased", "1870")
    born = one.say("brumelow", "bornOn", "1839")
    died = two.say("brumelow", "diedOn", "1820")
    plan = plan_merge(one.daybook, folder(two))
    assert [{claim.id for claim in found.claims} for found in plan.conflicts] == [{born.id, died.id}]
    assert plan.wholly_theirs == (False,)


def test_a_conflict_within_what_comes_in_is_told_as_theirs(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    two.say("brumelow", "bornOn", "1839")
    two.say("brumelow", "diedOn", "1820")
    assert plan_merge(one.daybook, folder(two)).wholly_theirs == (True,)


def test_a_dating_that_can_no_longer_stand_is_told(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    dated = one.say("lady", "madeOn", "1850")
    one.say("lady", "madeBy", "brumelow")
    two.say("brumelow", "bornOn", "1870")
    plan = plan_merge(one.daybook, folder(two))
    assert [dating.claim.id for dating in plan.impossible] == [dated.id]


def test_names_that_mean_two_things_are_told(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    two.add(
        things=[
            Thing("lady", ("Person",), "A lady of the house"),
            Thing("shop", ("Retailer",), "Lantern, the shop"),
        ]
    )
    two.add(things=[Thing("head", ("Part",), "Head of the Lady")])  # broader, and the same name
    plan = plan_merge(one.daybook, folder(two))
    assert [(m.here.slug, m.there.label, m.is_other_kind) for m in plan.meanings] == [
        ("lady", "A lady of the house", True),
        ("shop", "Lantern, the shop", False),
    ]


def test_claims_that_the_other_judges_otherwise_are_told(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    said = one.say("lady", "noted", "fine")
    two.daybook.merge(folder(one))
    judged = Note("B. Reader", judgements=(Judgement(said.id, "setAside", "misread"),), recorded=two.clock)
    two.daybook.record(two.daybook.compose(judged))
    plan = plan_merge(one.daybook, folder(two))
    assert [(r.claim.id, r.before, r.after) for r in plan.rejudged] == [(said.id, "held", "setAside")]


def test_what_the_vocabulary_here_does_not_know_is_told(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    two.add(drafts=[Draft("lady", "madeUp", "x", Citation("book", "p. 1"))])
    (told,) = plan_merge(one.daybook, folder(two)).not_understood
    assert "the property 'madeUp' is not in the vocabulary" in told


def spoil(scene: Scene, entry: str) -> str:
    (path,) = scene.daybook.shelf.entries.rglob(f"{entry}-*.trig")
    path.write_bytes(path.read_bytes()[:-40])
    return path.name


def test_damaged_entries_are_named_and_the_others_come_in(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    good, bad = two.say("lady", "noted", "fine"), two.say("lady", "noted", "poor")
    name = spoil(two, bad.entry)
    plan = plan_merge(one.daybook, folder(two))
    assert [damage.file.rpartition("/")[2] for damage in plan.refused] == [name]
    assert merge(one.daybook, plan) == 1
    assert set(one.daybook.view().claims) == {good.id}
    assert list(one.daybook.verify()) == []


def test_a_merge_that_is_broken_off_leaves_whole_entries_and_says_how_far(
    pair: tuple[Scene, Scene], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, two = pair
    for number in range(4):
        two.say("lady", "noted", f"note {number}")
    real = Shelf.write
    done: list[str] = []

    def stop(shelf: Shelf, entry: str, trig: bytes) -> str:
        if len(done) == 2:
            raise KeyboardInterrupt
        done.append(entry)
        return real(shelf, entry, trig)

    monkeypatch.setattr(Shelf, "write", stop)
    ran = CliRunner().invoke(app, ["merge", str(folder(two)), "-d", str(folder(one))])
    monkeypatch.undo()
    assert ran.exit_code == 130
    assert "Interrupted after 2 of 4 entries, each of which is whole. Merge again" in ran.output
    book = Daybook.open(folder(one))
    assert (len(book.view().claims), list(book.verify())) == (2, [])
    assert merge(book, plan_merge(book, folder(two))) == 2
    assert len(book.view().claims) == 4


def test_a_daybook_is_not_merged_into_itself(scene: Scene) -> None:
    with pytest.raises(BadMerge, match="is this daybook itself"):
        plan_merge(scene.daybook, folder(scene))


def test_a_folder_without_a_daybook_is_refused(scene: Scene, tmp_path: Path) -> None:
    with pytest.raises(NoDaybook):
        plan_merge(scene.daybook, tmp_path)


def test_the_command_tells_what_comes_in_and_what_is_damaged(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    one.say("brumelow", "bornOn", "1839")
    two.say("brumelow", "diedOn", "1820")
    spoil(two, two.say("lady", "noted", "poor").entry)
    asked = ["merge", str(folder(two)), "-d", str(folder(one))]
    dry = CliRunner().invoke(app, [*asked, "--dry-run"])
    assert dry.exit_code == 3
    assert "Nothing was written. Would take in 1 new entry with 1 claim; 3 entries in all." in dry.output
    assert "Left out, since they are damaged over there: 1" in dry.output
    assert "Claims of yours and theirs that cannot all be true: 1" in dry.output
    told = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    assert (told["new"], told["entries"], len(told["new_conflicts"]), len(told["refused"])) == (1, 3, 1, 1)
    again = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    assert (again["new"], again["known"], again["new_conflicts"]) == (0, 2, [])


def test_conflicts_are_grouped_by_the_claim_that_they_share(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    died = two.say("brumelow", "diedOn", "1820")
    born = [
        one.say("brumelow", "bornOn", str(year), source)
        for year, source in ((1839, "book"), (1839, "plates"))
    ]
    plan = plan_merge(one.daybook, folder(two))
    assert len(plan.conflicts) == 2
    ((shared, against),) = by_shared_claim(plan.conflicts)
    assert (shared.id, sorted(claim.id for (claim,) in against)) == (died.id, sorted(c.id for c in born))
    out = CliRunner().invoke(app, ["merge", str(folder(two)), "-d", str(folder(one)), "--dry-run"]).stdout
    assert out.count("Adela Brumelow died 1820") == 1
    assert "\n\nClaims of yours and theirs that cannot all be true: 2\n  ✕ Adela Brumelow died 1820" in out


def test_a_dating_of_theirs_that_does_not_fit_here_is_told(pair: tuple[Scene, Scene]) -> None:
    one, two = pair
    one.say("brumelow", "bornOn", "1870")
    two.say("lady", "madeBy", "brumelow")
    dated = two.say("lady", "madeOn", "1850")
    plan = plan_merge(one.daybook, folder(two))
    assert ([d.claim.id for d in plan.theirs_impossible], plan.impossible) == ([dated.id], ())
    out = CliRunner().invoke(app, ["merge", str(folder(two)), "-d", str(folder(one)), "--dry-run"]).stdout
    assert "Datings of theirs that do not fit: 1\n  Lady with a blue snood made 1850" in out


def test_a_name_that_would_change_is_told_with_the_one_that_stands_and_what_to_do(
    pair: tuple[Scene, Scene],
) -> None:
    one, two = pair
    two.add(things=[Thing("shop", ("Retailer",), "Lantern, the shop")])
    asked = ["merge", "--dry-run", str(folder(two)), "-d", str(folder(one))]
    out = " ".join(CliRunner().invoke(app, asked).stdout.split())
    assert "here The Lantern Bazaar (Retailer), there Lantern, the shop (Retailer). Theirs stands," in out
    assert "To keep yours, add a note with a [[thing]] whose id is shop" in out


# ---------------------------------------------------------------- laws

ENTRIES = tuple(
    compose(
        datetime(2026, 1, 1 + number, tzinfo=UTC),
        "A. Tester",
        things=(Thing("book", ("Book",), "A Book"), Thing("lady", ("Piece",), "Lady")),
        drafts=(Draft("lady", "noted", f"note {number}", Citation("book", f"p. {number}")),),
    )
    for number in range(5)
)
shares = st.frozensets(st.integers(0, len(ENTRIES) - 1), max_size=len(ENTRIES))


class Bookcase:
    """Daybooks that hold some of the entries each, in a folder of their own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.number = 0

    def book(self, share: frozenset[int]) -> Daybook:
        self.number += 1
        made = Daybook.begin(self.folder / str(self.number), "Law")
        for number in share:
            made.record(ENTRIES[number])
        return made


def into(book: Daybook, other: Daybook) -> Daybook:
    merge(book, plan_merge(book, other.shelf.folder))
    return book


def names(book: Daybook) -> list[str]:
    return book.shelf.names()


@settings(max_examples=12, deadline=None)
@given(shares, shares, shares)
def test_merging_is_a_union_in_any_order_and_any_grouping_and_once_is_enough(
    a: frozenset[int], b: frozenset[int], c: frozenset[int]
) -> None:
    with TemporaryDirectory() as place:
        case = Bookcase(Path(place))
        wanted = names(case.book(a | b | c))
        left = into(into(case.book(a), case.book(b)), case.book(c))
        right = into(case.book(a), into(case.book(b), case.book(c)))
        turned = into(into(case.book(c), case.book(b)), case.book(a))
        assert names(left) == names(right) == names(turned) == wanted
        copy = Path(place) / "copy"
        shutil.copytree(left.shelf.folder, copy)
        assert names(into(left, Daybook.open(copy))) == wanted
