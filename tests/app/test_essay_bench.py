"""The screen *Essay bench*, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from kg.essays.editions import editions, freeze
from kg.essays.stored import essay_text, save_essay, versions
from tests.app.pages import gone_to, markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]

ESSAY, FIELD = "essay-lady", "essay_bench-text-essay-lady-text"


@pytest.fixture
def saved(scene: Scene, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Scene:
    """A lady by a maker, with an essay of one version; whoever is at the desk is Ada Quill."""
    signer = tmp_path / "signer"
    signer.write_text("Ada Quill", encoding="utf-8")
    monkeypatch.setenv("KILNMARK_SIGNER_FILE", str(signer))
    claim = scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "heightMm", "415")
    body = f"# The lady\n\nThe lady is by Adela Brumelow.[^{claim.id}]\n"
    save_essay(scene.daybook, ESSAY, body, "A. Tester", about=["lady"])
    return scene


def bench(scene: Scene, open_desk: Opened, panel: str | None = None, **parts: str) -> AppTest:
    """The essay on the bench, with a panel beside it."""
    page = opened(open_desk(scene.daybook.shelf.folder), "essay_bench", **(parts or {"id": ESSAY}))
    if panel is not None:
        page.segmented_control(key="essay_bench-panel").set_value(panel).run()
        assert not page.exception
    return page


def written(page: AppTest, words: str, field: str = FIELD) -> AppTest:
    """The page after the text was replaced."""
    page.text_area(key=field).set_value(words).run()
    assert not page.exception
    return page


def pressed(page: AppTest, key: str) -> AppTest:
    """The page after a button was pressed."""
    page.button(key=key).click().run()
    assert not page.exception
    return page


def maker_claim(scene: Scene) -> str:
    """The id of the claim that says who made the lady."""
    return next(c.id for c in scene.daybook.view().live if c.property == "madeBy")


def test_what_can_be_worked_on_is_listed(saved: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(saved.daybook.shelf.folder), "essay_bench")
    assert "The lady on Lady with a blue snood" in text(page)
    assert "1 version, the last by A. Tester on" in text(page)
    assert f'href="essay-bench?id={ESSAY}"' in markup(page)
    page.selectbox(key="essay_bench-piece").select("lady").run()
    assert gone_to(page) == "essay-bench?piece=lady"


def test_an_empty_daybook_says_how_to_begin(tmp_path: Path, open_desk: Opened) -> None:
    Daybook.begin(tmp_path / "new")
    page = opened(open_desk(tmp_path / "new"), "essay_bench")
    assert "There is nothing to write about yet" in text(page)
    assert "kilnmark add --example" in text(page)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        pytest.param(
            {"id": "essay-nobody"}, "'essay-nobody' is no essay of this daybook", id="no such essay"
        ),
        pytest.param({"piece": "nobody"}, "'nobody' is not in the daybook", id="no such piece"),
        pytest.param({"piece": "brumelow"}, "is no piece. Name a piece", id="a person"),
    ],
)
def test_what_cannot_be_opened_is_said(
    parts: dict[str, str], said: str, saved: Scene, open_desk: Opened
) -> None:
    page = bench(saved, open_desk, **parts)
    assert "This cannot be shown" in text(page)
    assert said in text(page)
    assert not page.text_area


def test_the_audit_stands_beside_the_text_and_follows_it(saved: Scene, open_desk: Opened) -> None:
    page = bench(saved, open_desk)
    before = text(page)
    written(page, essay_text(saved.daybook.view(), ESSAY) + "\nShe was sold in Paris in 1866.\n")
    assert "Not saved yet." in text(page)
    assert "Line 5, column" in text(page)
    assert "a fact without a claim" in text(page)
    assert "She was sold in Paris in 1866." in text(page)
    pressed(page, "essay_bench-back")
    assert text(page) == before


def test_a_note_that_names_no_claim_is_a_finding_with_its_place(saved: Scene, open_desk: Opened) -> None:
    page = written(bench(saved, open_desk), "# The lady\n\nThe lady is by Adela Brumelow.[^caaaaaaaaaa]\n")
    assert "a note that names no standing claim" in text(page)
    assert "caaaaaaaaaa is no claim of this daybook" in text(page)


def test_the_text_as_printed_leads_to_its_claims(saved: Scene, open_desk: Opened) -> None:
    page = bench(saved, open_desk, "As printed")
    claim = maker_claim(saved)
    assert f'<sup><a class="k-go" href="claim?id={claim}">1</a></sup>' in markup(page)
    assert "Lady with a blue snood made by Adela Brumelow . A Book of Heads , p. 1" in text(page)


@pytest.mark.parametrize("panel", ["Findings", "As printed"])
@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param("# A\n\n" + "[" * 20_000, "Line 3, column 1", id="20,000 brackets"),
        pytest.param("# A\n\nSo <script>canary()</script>", "Line 3, column 4", id="HTML"),
        pytest.param("# A\n\nSee [x](javascript:canary())", "Line 3, column 5", id="a link that runs"),
        pytest.param("# A\n\nShe \u202eis", "Line 3, column 5: the character U+202E", id="turned direction"),
        pytest.param("# A\n\n![x](file:///etc/passwd)", "Line 3, column 1", id="a file as picture"),
    ],
)
def test_a_text_that_cannot_be_read_is_told_with_its_place_beside_the_field(
    words: str, said: str, panel: str, saved: Scene, open_desk: Opened
) -> None:
    page = written(bench(saved, open_desk, panel), words)
    assert said in text(page)
    assert page.text_area(key=FIELD).value == words
    drawn = markup(page)
    for trap in ("<script", "](", "\u202e", 'href="javascript'):
        assert trap not in drawn


def test_an_unreadable_text_can_still_be_compared_cited_for_and_taken_away(
    saved: Scene, open_desk: Opened
) -> None:
    page = written(bench(saved, open_desk), "# A\n\nSo <script>canary()</script>")
    for panel in ("Claims", "Versions", "Editions", "Papers"):
        page.segmented_control(key="essay_bench-panel").set_value(panel).run()
        assert not page.exception
        assert "<script" not in markup(page)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_text_and_name_stay_text(name: str, saved: Scene, open_desk: Opened) -> None:
    saved.add(
        things=[Thing("evil", ("Piece",), name), Thing("tome", ("Book",), f"Tome {name}")],
        drafts=[Draft("evil", "condition", f"worn {name}", Citation("tome", f"p. 1 {name}", f"so {name}"))],
    )
    page = bench(saved, open_desk, piece="evil")
    for panel in ("Findings", "As printed", "Claims", "Versions", "Editions", "Papers"):
        page.segmented_control(key="essay_bench-panel").set_value(panel).run()
        assert not page.exception
        drawn = markup(page)
        for trap in ("<img", "<script", "](", ":material", "$x$", "**"):
            assert trap not in drawn
    labels = [*(button.label for button in page.button), *(header.value for header in page.header)]
    assert not any("canary" in label or "bold" in label for label in labels)


def test_a_draft_outlasts_a_visit_to_another_screen(saved: Scene, open_desk: Opened) -> None:
    page = written(bench(saved, open_desk), "# The lady\n\nAnother beginning.[^own]\n")
    opened(page, "find", words="lady")
    opened(page, "essay_bench")
    assert "Not saved yet, kept while this window stays open" in [header.value for header in page.header]
    opened(page, "essay_bench", id=ESSAY)
    assert page.text_area(key=FIELD).value == "# The lady\n\nAnother beginning.[^own]\n"


def test_a_note_is_put_behind_the_sentence_that_is_chosen(saved: Scene, open_desk: Opened) -> None:
    page = written(
        bench(saved, open_desk, "Claims"), "# The lady\n\nShe is by Brumelow. She is tall.[^own]\n"
    )
    claim = maker_claim(saved)
    assert f"[^{claim}] not cited yet" in text(page)
    page.selectbox(key="essay_bench-note").select(f"[^{claim}]").run()
    page.selectbox(key="essay_bench-behind").select("3:1").run()
    pressed(page, "essay_bench-put")
    assert (
        page.text_area(key=FIELD).value == f"# The lady\n\nShe is by Brumelow.[^{claim}] She is tall.[^own]\n"
    )
    assert f"[^{claim}] cited" in text(page)


def test_nothing_confidential_is_offered_to_cite(saved: Scene, open_desk: Opened) -> None:
    said = Draft("lady", "condition", "kept in the vault", Citation("book", "p. 9"), is_confidential=True)
    saved.add(drafts=[said])
    page = bench(saved, open_desk, "Claims")
    assert "vault" not in text(page)
    assert "Adela Brumelow" in text(page)


def test_a_version_is_saved_with_who_says_so_and_the_one_before_stays(
    saved: Scene, open_desk: Opened
) -> None:
    page = bench(saved, open_desk)
    changed = essay_text(saved.daybook.view(), ESSAY).replace("The lady is", "She is")
    pressed(written(page, changed), "essay_bench-save")
    assert "Version 2 is saved, as entry" in text(page)
    assert "Saved; nothing has been changed since." in text(page)
    told = versions(Daybook.open(saved.daybook.shelf.folder).view(), ESSAY)
    assert [(one.researcher, one.text == changed) for one in told] == [
        ("A. Tester", False),
        ("Ada Quill", True),
    ]
    page.segmented_control(key="essay_bench-panel").set_value("Versions").run()
    page.selectbox(key="essay_bench-from").select("1").run()
    assert "<del>The lady</del> <ins>She</ins> is by Adela" in markup(page)


def test_a_text_that_cannot_be_read_is_not_saved(saved: Scene, open_desk: Opened) -> None:
    page = pressed(written(bench(saved, open_desk), "# A\n\nSo <b>bold</b>"), "essay_bench-save")
    assert "Nothing was saved" in text(page)
    assert len(versions(Daybook.open(saved.daybook.shelf.folder).view(), ESSAY)) == 1


def test_a_version_that_was_saved_meanwhile_is_not_written_over_unseen(
    saved: Scene, open_desk: Opened
) -> None:
    page = written(bench(saved, open_desk), "# The lady\n\nMy own words.[^own]\n")
    save_essay(saved.daybook, ESSAY, "# The lady\n\nWords of another.[^own]\n", "B. Other")
    pressed(page, "essay_bench-save")
    assert "Nothing was saved" in text(page)
    assert "Version 2 was saved meanwhile, by B. Other" in text(page)
    pressed(page, "essay_bench-seen")
    pressed(page, "essay_bench-save")
    assert "Version 3 is saved" in text(page)
    assert essay_text(Daybook.open(saved.daybook.shelf.folder).view(), ESSAY).endswith(
        "My own words.[^own]\n"
    )


def test_a_text_without_changes_follows_what_another_saved(saved: Scene, open_desk: Opened) -> None:
    page = bench(saved, open_desk)
    save_essay(saved.daybook, ESSAY, "# The lady\n\nWords of another.[^own]\n", "B. Other")
    page.run()
    assert page.text_area(key=FIELD).value == "# The lady\n\nWords of another.[^own]\n"
    assert "Not saved yet" not in text(page)


def test_a_piece_is_drafted_and_saved_as_its_essay(scene: Scene, saved: Scene, open_desk: Opened) -> None:
    saved.add(things=[Thing("other", ("Piece",), "Lady with a comb")])
    saved.say("other", "madeBy", "tarn")
    page = bench(saved, open_desk, piece="other")
    assert "a new draft on Lady with a comb" in text(page)
    pressed(page, "essay_bench-save")
    assert gone_to(page) == "essay-bench?id=essay-other"
    assert "Tarn" in essay_text(Daybook.open(saved.daybook.shelf.folder).view(), "essay-other")


def test_an_edition_is_frozen_and_told_with_its_footing(saved: Scene, open_desk: Opened) -> None:
    page = bench(saved, open_desk, "Editions")
    assert "None has gone to print yet." in text(page)
    pressed(page, "essay_bench-freeze")
    assert "is frozen, as entry" in text(page)
    assert "All of its 1 sentence with claims keep their footing." in text(page)
    assert len(editions(Daybook.open(saved.daybook.shelf.folder).view(), ESSAY)) == 1


def test_what_keeps_an_edition_from_print_is_told_and_nothing_can_be_frozen(
    saved: Scene, open_desk: Opened
) -> None:
    withdrawn = Note("A. Tester", judgements=(Judgement(maker_claim(saved), "withdrawn", "misread"),))
    saved.daybook.record(saved.daybook.compose(withdrawn))
    page = bench(saved, open_desk, "Editions")
    assert "It cannot go to print yet." in text(page)
    assert "which is withdrawn. Rewrite it, or tell it as former." in text(page)
    assert page.button(key="essay_bench-freeze").disabled


def test_an_edition_that_lost_its_footing_names_the_sentence_and_the_claim(
    saved: Scene, open_desk: Opened
) -> None:
    freeze(saved.daybook, ESSAY, "A. Tester")
    claim = maker_claim(saved)
    withdrawn = Note("A. Tester", judgements=(Judgement(claim, "withdrawn", "misread"),))
    saved.daybook.record(saved.daybook.compose(withdrawn))
    page = bench(saved, open_desk, "Editions")
    assert "1 of its 1 sentence has lost footing." in text(page)
    assert "“The lady is by Adela Brumelow.”" in text(page)
    assert f'href="claim?id={claim}"' in markup(page)
    opened(page, "essay_bench")
    assert "1 printed sentence has lost footing" in text(page)


def test_a_past_day_is_read_and_not_written(saved: Scene, open_desk: Opened) -> None:
    scene, when = saved, datetime(2026, 3, 1, 9, tzinfo=UTC)
    scene.add(things=[Thing("other", ("Piece",), "Lady with a comb")])
    save_essay(
        scene.daybook, "essay-other", "# Comb\n\nEarly.[^own]\n", "A. Tester", about=["other"], recorded=when
    )
    save_essay(scene.daybook, "essay-other", "# Comb\n\nLater.[^own]\n", "A. Tester", about=["other"])
    page = bench(scene, open_desk, id="essay-other", **{"as-of": "2026-03-02"})
    assert "Early." in text(page)
    assert "cannot be changed" in text(page)
    for panel in ("As printed", "Claims", "Versions", "Editions", "Papers"):
        page.segmented_control(key="essay_bench-panel").set_value(panel).run()
        assert not page.exception
        assert not page.text_area
        keys = {button.key for button in page.button}
        assert not keys & {"essay_bench-save", "essay_bench-freeze", "essay_bench-put", "essay_bench-older"}


def test_a_reader_may_neither_save_nor_freeze(
    saved: Scene, open_desk: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kg.asking.roles import Colleague, Role

    page = bench(saved, open_desk)
    monkeypatch.setattr("app.sign_in.at_the_desk", lambda: Colleague("R. Eader", Role.READER))
    page.segmented_control(key="essay_bench-panel").set_value("Editions").run()
    assert not page.exception
    keys = {button.key for button in page.button}
    assert not keys & {"essay_bench-save", "essay_bench-freeze"}


def test_the_print_is_made_when_it_is_asked_for(saved: Scene, open_desk: Opened) -> None:
    page = bench(saved, open_desk, "Papers")
    page.radio(key="essay_bench-print-form").set_value("markdown").run()
    assert f"Keep {ESSAY}-print.md" not in [one.proto.label for one in page.get("download_button")]
    pressed(page, "essay_bench-make-print")
    assert f"Keep {ESSAY}-print.md" in [one.proto.label for one in page.get("download_button")]


def test_where_what_prints_is_absent_markdown_is_still_offered(
    saved: Scene, open_desk: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kg.essays import pandoc

    def absent() -> str:
        raise pandoc.PrintingNotInstalled("pandoc")

    page = bench(saved, open_desk, "Papers")
    monkeypatch.setattr(pandoc, "pandoc_program", absent)
    page.radio(key="essay_bench-print-form").set_value("docx").run()
    pressed(page, "essay_bench-make-print")
    assert "This cannot be printed" in text(page)
    assert "kilnmark[papers]" in text(page)
    page.radio(key="essay_bench-print-form").set_value("markdown").run()
    pressed(page, "essay_bench-make-print")
    assert "This cannot be printed" not in text(page)


def test_a_text_with_something_confidential_is_not_printed_and_the_place_is_told(
    saved: Scene, open_desk: Opened
) -> None:
    saved.add(things=[Thing("owner", ("Person",), "Ottilie Vance", is_confidential=True)])
    page = written(bench(saved, open_desk, "Papers"), "# The lady\n\nShe is with Ottilie Vance.[^own]\n")
    page.radio(key="essay_bench-print-form").set_value("markdown").run()
    pressed(page, "essay_bench-make-print")
    assert "This cannot be printed" in text(page)
    assert "Line 3, column 13" in text(page)
