"""Essays are kept by version; an edition is frozen with the day's evidence and tells which sentence fell."""

from __future__ import annotations

import re
import shutil
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Judgement
from kg.daybook.view import WorkingView
from kg.essays.audit import Kind, audit_edition
from kg.essays.compose import draft
from kg.essays.editions import (
    CannotFreeze,
    Edition,
    edition_note,
    editions,
    freeze,
    passages,
    stale,
)
from kg.essays.stored import (
    NoSuchEssay,
    NothingToSave,
    essay_slug,
    essay_text,
    essays,
    is_about,
    latest,
    save_essay,
    title_of,
    versions,
)
from kg.essays.syntax import EssayNotUnderstood
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.printed import Footing, Printed
from tests.conftest import Scene

LADY = "# Lady with a comb\n\nShe is by Tarn.[^{claim}]\n"
PARASOL = "essay-vauquelard-lady-with-parasol"
FOUNDED = "Some say that Vauquelard set up in business in 1871, and then she cannot be earlier."


@pytest.fixture
def demo(demo_folder: Path, tmp_path: Path) -> Daybook:
    """The demo in a folder of its own, to write in."""
    shutil.copytree(demo_folder, tmp_path / "copy")
    return Daybook.open(tmp_path / "copy")


def set_aside(book: Daybook, *claims: str, on: datetime | None = None) -> None:
    judged = tuple(Judgement(claim, "setAside", "it has fallen") for claim in claims)
    book.record(book.compose(Note("A. Tester", judgements=judged, recorded=on)))


def test_each_saving_is_a_further_version_and_the_last_one_stands(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "tarn")
    texts = [LADY.format(claim=claim.id), LADY.format(claim=claim.id) + "\nMore.[^own]\n"]
    for text in texts:
        save_essay(scene.daybook, "essay-lady", text, "A. Tester", about=["lady"])
    view = scene.daybook.view()
    assert [v.text for v in versions(view, "essay-lady")] == texts
    assert [v.number for v in versions(view, "essay-lady")] == [1, 2]
    assert essay_text(view, "essay-lady") == texts[1]
    assert [view.standing(v.claim.id) for v in versions(view, "essay-lady")] == ["withdrawn", "held"]
    assert (essays(view), is_about(view, "essay-lady")) == (("essay-lady",), ("lady",))


def test_the_version_of_a_past_day_is_the_one_that_stood_then(scene: Scene) -> None:
    first = datetime(2026, 3, 1, 12, tzinfo=UTC)
    save_essay(scene.daybook, "essay-lady", "# One\n\nA.[^own]\n", "A. Tester", recorded=first)
    second = datetime(2026, 4, 1, 12, tzinfo=UTC)
    save_essay(scene.daybook, "essay-lady", "# Two\n\nB.[^own]\n", "A. Tester", recorded=second)
    assert title_of(essay_text(scene.daybook.view(date(2026, 3, 15)), "essay-lady")) == "One"
    with pytest.raises(
        NoSuchEssay, match="'essay-lady' is no essay of this daybook as it stood on 2026-02-01"
    ):
        latest(scene.daybook.view(date(2026, 2, 1)), "essay-lady")


@pytest.mark.parametrize(
    ("slug", "text", "told"),
    [
        pytest.param("essay-lady", "  \n", "The text is empty", id="empty"),
        pytest.param("essay lady", "# A", "is no name for an essay", id="a blank in the name"),
        pytest.param("lady", "# A", "which is no essay", id="the name of a piece"),
    ],
)
def test_what_is_no_essay_is_refused_and_nothing_is_recorded(
    scene: Scene, slug: str, text: str, told: str
) -> None:
    before = len(scene.daybook.entries())
    with pytest.raises(NothingToSave, match=told):
        save_essay(scene.daybook, slug, text, "A. Tester")
    assert len(scene.daybook.entries()) == before


def test_a_text_that_cannot_be_read_is_refused_with_its_place(scene: Scene) -> None:
    with pytest.raises(EssayNotUnderstood, match="Line 3, column 5"):
        save_essay(scene.daybook, "essay-lady", "# A\n\nShe <b>is</b>.[^own]\n", "A. Tester")


def test_saving_the_very_text_that_stands_is_refused(scene: Scene) -> None:
    save_essay(scene.daybook, "essay-lady", "# A\n\nB.[^own]\n", "A. Tester")
    with pytest.raises(NothingToSave, match="Version 1 of essay-lady has this very text"):
        save_essay(scene.daybook, "essay-lady", "# A\n\nB.[^own]\n", "A. Tester")


@pytest.mark.parametrize(
    ("markdown", "found"),
    [
        pytest.param("A.[^c3ov] B.[^c5iw]", [("A.", ("c3ov",)), ("B.", ("c5iw",))], id="two sentences"),
        pytest.param("A,[^c3ov] and B.[^c5iw][^own]", [("A, and B.", ("c3ov", "c5iw"))], id="a note within"),
        pytest.param("A[^c3ov]. B.[^own]", [("A.", ("c3ov",)), ("B.", ())], id="the note before the stop"),
        pytest.param("A.[^c3ov, p. 12]", [("A.", ("c3ov",))], id="a locator of its own"),
        pytest.param("It reads “A.”[^c3ov]", [("It reads “A.”", ("c3ov",))], id="a quotation at the end"),
        pytest.param("*A* \\[B\\].[^c3ov]", [("A [B].", ("c3ov",))], id="markup is taken off"),
        pytest.param(
            "# A.[^c3ov]\n\nB.[^c5iw]", [("B.", ("c5iw",))], id="headings are not printed sentences"
        ),
        pytest.param("A, with no stop[^c3ov]", [("A, with no stop", ("c3ov",))], id="no stop at all"),
        pytest.param("Nothing is cited.", [], id="no note"),
    ],
)
def test_a_sentence_goes_to_its_stop_and_the_notes_at_it(
    markdown: str, found: list[tuple[str, tuple[str, ...]]]
) -> None:
    assert [(p.text, p.claims) for p in passages(markdown)] == found


def test_a_frozen_edition_holds_its_sentences_and_what_each_rests_on(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "tarn")
    text = LADY.format(claim=claim.id)
    save_essay(scene.daybook, "essay-lady", text, "A. Tester", recorded=scene.clock)
    freeze(scene.daybook, "essay-lady", "A. Tester", day=date(2026, 1, 1))
    (edition,) = editions(scene.daybook.view(), "essay-lady")
    assert edition.slug == "edition-lady-2026-01-01"
    assert edition.label == "Lady with a comb, edition of 1 January 2026"
    assert (edition.day, edition.text) == ("2026-01-01", text)
    assert [(s.text, [c.id for c in s.claims]) for s in edition.sentences] == [
        ("She is by Tarn.", [claim.id])
    ]


def test_an_edition_keeps_its_text_when_the_essay_goes_on(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "tarn")
    save_essay(scene.daybook, "essay-lady", LADY.format(claim=claim.id), "A. Tester", recorded=scene.clock)
    freeze(scene.daybook, "essay-lady", "A. Tester", day=date(2026, 1, 1))
    save_essay(scene.daybook, "essay-lady", "# New\n\nB.[^own]\n", "A. Tester")
    assert editions(scene.daybook.view())[0].text == LADY.format(claim=claim.id)


def test_a_day_is_frozen_once(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "tarn")
    save_essay(scene.daybook, "essay-lady", LADY.format(claim=claim.id), "A. Tester", recorded=scene.clock)
    freeze(scene.daybook, "essay-lady", "A. Tester", day=date(2026, 1, 1))
    with pytest.raises(CannotFreeze, match="There is an edition of that day already"):
        freeze(scene.daybook, "essay-lady", "A. Tester", day=date(2026, 1, 1))


def frozen_text(demo: Daybook, text: str) -> None:
    save_essay(demo, "essay-x", text, "A. Tester")
    freeze(demo, "essay-x", "A. Tester")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param("# A\n\nShe is.[^cnosuchabcd]\n", "cites cnosuchabcd, which is no claim", id="unknown"),
        pytest.param(
            "# A\n\nShe is here.[^cwuz343bz6j]\n", "which is confidential. Leave it out", id="hidden"
        ),
        pytest.param(
            "# A\n\nShe is by them.[^cm7zzxxf4j5]\n",
            "which is set aside. Rewrite it, or tell it as",
            id="fallen",
        ),
        pytest.param(
            "# A\n\nPhilippa Winterflood has her.[^own]\n",
            "names owner-private-1, which is confidential. Write “private collection”",
            id="a name",
        ),
    ],
)
def test_what_must_not_go_to_print_is_refused_with_its_reason(demo: Daybook, text: str, told: str) -> None:
    with pytest.raises(CannotFreeze, match=told):
        frozen_text(demo, text)
    assert not editions(demo.view(), "essay-x")


def test_what_was_given_up_may_be_told_as_former_and_is_no_footing(demo: Daybook) -> None:
    frozen_text(demo, "# A\n\nShe was formerly given to Tarn.[^cm7zzxxf4j5][^chhtfsxmerg]\n")
    (edition,) = editions(demo.view(), "essay-x")
    assert [c.id for c in edition.sentences[0].claims] == ["chhtfsxmerg"]


def test_every_draft_of_the_demo_can_be_frozen_as_it_is(demo: Daybook) -> None:
    for piece in ("piece-lady-with-blue-snood", "piece-governess-in-grey", "piece-unidentified-lady"):
        save_essay(demo, f"{essay_slug(piece)}-2", draft(demo.view(), piece), "A. Tester", about=[piece])
        freeze(demo, f"{essay_slug(piece)}-2", "A. Tester")
        assert len(editions(demo.view(), f"{essay_slug(piece)}-2")[0].sentences) >= 12


# ---------------------------------------------------------------- the demo's own edition


def only_edition(view: WorkingView) -> Edition:
    (edition,) = editions(view, PARASOL)
    return edition


def test_the_demos_edition_is_what_freezing_its_essay_on_that_day_gives(demo: Daybook) -> None:
    edition = only_edition(demo.view())
    day = date.fromisoformat(edition.day)
    assert edition.text == essay_text(demo.view(day), PARASOL)
    again = {(p.text, frozenset(p.claims)) for p in passages(edition.text) if p.claims}
    assert {(s.text, frozenset(c.id for c in s.claims)) for s in edition.sentences} == again
    with pytest.raises(CannotFreeze, match="There is an edition of that day already"):
        edition_note(demo, PARASOL, "A. Tester", day=day)


def test_every_sentence_of_the_demos_essays_is_cited_by_claims_that_are_there(demo: Daybook) -> None:
    view = demo.view()
    assert len(essays(view)) == 3
    for slug in essays(view):
        text = essay_text(view, slug)
        found = list(passages(text))
        assert len(found) >= 12
        assert all(claim in view.claims for passage in found for claim in passage.claims)
        bare = re.sub(r"\b(in|T|S|&)\. ", r"\1 ", text)
        assert not re.search(r"[a-z0-9)”][.?!] ", bare), "a sentence ends without a note"
        for line in text.splitlines():
            assert not line or line.startswith("#") or line.endswith("]")


def test_an_edition_frozen_before_the_bottleneck_fell_tells_the_right_sentence_as_stale(
    demo: Daybook,
) -> None:
    view = demo.view()
    assert stale(Weighed(view), only_edition(view)) == ()
    claims = [
        c.id for c in view.live if (c.subject, c.property, c.value) == ("maker-vauquelard", "founded", "1871")
    ]
    assert len(claims) == 6
    set_aside(demo, *claims)
    weighed = Weighed(demo.view())
    edition = only_edition(demo.view())
    assert [s.text for s in stale(weighed, edition)] == [FOUNDED]
    printed = Printed(weighed)
    assert [s.text for s in edition.sentences if printed.footing(s) is Footing.LOST] == [FOUNDED]


def test_setting_aside_the_one_witness_that_six_follow_tells_the_sentence_as_stale(demo: Daybook) -> None:
    then = demo.view(date(2026, 10, 22))
    set_aside(demo, "c23uehmyxge", on=datetime(2026, 10, 30, tzinfo=UTC))
    now = demo.view()
    assert [s.text for s in stale(Weighed(now), only_edition(now))] == [FOUNDED]
    (found,) = audit_edition(now, then, only_edition(now))
    assert (found.kind, found.words) == (Kind.STALE, FOUNDED)


def test_while_the_witness_still_says_it_the_sentence_keeps_its_footing(demo: Daybook) -> None:
    set_aside(demo, "cqmycnrhm7j", "cutqjgqw3fm")
    assert stale(Weighed(demo.view()), only_edition(demo.view())) == ()
