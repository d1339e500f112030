"""The essay bench, worked out in the library."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.asking import Desk
from kg.asking.essays import (
    SavedMeanwhile,
    editions_told,
    essays_on_record,
    freeze_edition,
    opened_draft,
    opened_essay,
    pieces_to_draft,
    save_version,
    why_not_frozen,
)
from kg.asking.essays_findings import audited, since_print
from kg.asking.essays_papers import glossary_paper, print_paper, sheets_of, style_choices, text_paper
from kg.asking.essays_text import (
    NoPlaceForNote,
    Stretch,
    differences,
    palette,
    places_for_notes,
    preview,
    with_note,
)
from kg.asking.recording import OnlyToday, record_note
from kg.asking.roles import Colleague, MayNot, Role
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Claim, Draft, Judgement, Thing
from kg.essays.editions import CannotFreeze
from kg.essays.stored import essay_text, save_essay
from kg.essays.syntax import EssayNotUnderstood, read_essay
from tests.conftest import Scene

ESSAY, ADA = "essay-lady", Colleague("Ada Quill")


@pytest.fixture
def maker(scene: Scene) -> Claim:
    """The claim that says who made the lady, of whom there is an essay."""
    claim = scene.say("lady", "madeBy", "tarn")
    body = f"# The lady\n\nThe lady is by Tarn & Ottery.[^{claim.id}]\n"
    save_essay(
        scene.daybook, ESSAY, body, "A. Tester", about=["lady"], recorded=datetime(2026, 2, 1, tzinfo=UTC)
    )
    return claim


@pytest.fixture
def desk(scene: Scene, maker: Claim) -> Desk:
    """The desk on that daybook."""
    return Desk(scene.daybook.shelf.folder)


def withdraw(scene: Scene, claim: Claim) -> None:
    """Withdraw a claim."""
    note = Note("A. Tester", judgements=(Judgement(claim.id, "withdrawn", "misread"),))
    scene.daybook.record(scene.daybook.compose(note))


def test_an_essay_is_listed_with_its_piece_and_who_saved_it(desk: Desk) -> None:
    (one,) = essays_on_record(desk.standpoint())
    assert one.title == "The lady"
    assert [part.text for part in one.about] == ["Lady with a blue snood"]
    assert one.said == "1 version, the last by A. Tester on 2026-02-01"
    assert one.lost == ""


def test_a_confidential_piece_is_not_offered_for_a_draft(scene: Scene, desk: Desk) -> None:
    scene.add(things=[Thing("hidden", ("Piece",), "Lady in the vault", is_confidential=True)])
    assert [one.slug for one in pieces_to_draft(desk.standpoint())] == ["lady"]


def test_a_draft_names_the_essay_that_is_on_record(desk: Desk) -> None:
    opened = opened_draft(desk.standpoint(), "lady")
    assert opened.is_draft
    assert [one.slug for one in opened.on_record] == [ESSAY]
    assert "[^" in opened.text
    assert "nothing is saved yet" in opened.said


# ---------------------------------------------------------------- saving and freezing


def test_saving_over_a_version_that_was_not_seen_is_refused_and_changes_nothing(
    scene: Scene, desk: Desk
) -> None:
    opened = opened_essay(desk.standpoint(), ESSAY)
    save_essay(scene.daybook, ESSAY, "# The lady\n\nOther words.[^own]\n", "B. Other")
    with pytest.raises(SavedMeanwhile, match=r"Version 2 was saved meanwhile, by B\. Other"):
        save_version(desk, ADA, opened, "# The lady\n\nMine.[^own]\n", opened.number, None)
    assert "Other words." in essay_text(desk.standpoint().view, ESSAY)


def test_a_researcher_saves_the_next_version_of_an_essay_and_may_not_judge_besides(
    scene: Scene, desk: Desk, maker: Claim
) -> None:
    researcher = Colleague("Corwin Vane", Role.RESEARCHER)
    opened = opened_essay(desk.standpoint(), ESSAY)
    save_version(desk, researcher, opened, "# The lady\n\nNext words.[^own]\n", opened.number, None)
    assert "Next words." in essay_text(desk.standpoint().view, ESSAY)
    with pytest.raises(MayNot):
        record_note(desk, researcher, Note("", judgements=(Judgement(maker.id, "withdrawn", "misread"),)))


def test_nothing_is_saved_or_frozen_while_a_past_day_is_shown(desk: Desk) -> None:
    opened, day = opened_essay(desk.standpoint(), ESSAY), date(2026, 2, 2)
    with pytest.raises(OnlyToday):
        save_version(desk, ADA, opened, "# New\n\nWords.[^own]\n", 1, day)
    with pytest.raises(OnlyToday):
        freeze_edition(desk, ADA, ESSAY, day, "", day)


def test_only_an_editor_may_freeze(desk: Desk) -> None:
    researcher = Colleague("R. Searcher", Role.RESEARCHER)
    with pytest.raises(MayNot, match="may not publish"):
        freeze_edition(desk, researcher, ESSAY, date(2026, 2, 2), "", None)
    assert editions_told(desk.standpoint(), ESSAY) == ()


def test_an_essay_that_rests_on_a_fallen_claim_cannot_be_frozen_and_why_is_told_before(
    scene: Scene, desk: Desk, maker: Claim
) -> None:
    today = datetime.now(UTC).date()
    assert why_not_frozen(desk, ESSAY, today) == ()
    withdraw(scene, maker)
    (why,) = why_not_frozen(desk, ESSAY, today)
    assert f"rests on {maker.id}, which is withdrawn" in why
    with pytest.raises(CannotFreeze):
        freeze_edition(desk, ADA, ESSAY, today, "", None)


def test_a_frozen_edition_tells_what_it_has_lost(scene: Scene, desk: Desk, maker: Claim) -> None:
    freeze_edition(desk, ADA, ESSAY, date(2026, 2, 2), "Spring catalogue", None)
    (whole,) = editions_told(desk.standpoint(), ESSAY)
    assert whole.label == "Spring catalogue, edition of 2 February 2026"
    assert whole.lost == ()
    ((_, since),) = since_print(desk, desk.standpoint(), ESSAY)
    assert since.found == ()
    withdraw(scene, maker)
    (broken,) = editions_told(desk.standpoint(), ESSAY)
    assert [one.text for one in broken.lost] == ["The lady is by Tarn & Ottery."]
    assert [one.claim for one in broken.lost[0].rows] == [maker.id]
    ((_, since),) = since_print(desk, desk.standpoint(), ESSAY)
    assert maker.id in {row.claim for one in since.found for row in one.rows}


# ---------------------------------------------------------------- findings


def test_a_finding_shows_its_words_within_their_sentence(desk: Desk) -> None:
    text = "# The lady\n\nShe is old.[^own] The lady is by Adela Brumelow.\n"
    told = audited(desk.standpoint(), text, ["lady"], None)
    assert told.found, told.said
    for one in told.found:
        assert f"{one.before}{one.marked}{one.after}" == "The lady is by Adela Brumelow."
        assert one.place.startswith("Line 3, column ")


def test_a_text_without_a_fault_is_told_to_have_none(desk: Desk) -> None:
    told = audited(desk.standpoint(), "# The lady\n\nShe is a delight.[^own]\n", ["lady"], None)
    assert told.said.startswith("Nothing is found. Read it all the same")
    assert told.found == ()


# ---------------------------------------------------------------- as printed


def test_notes_of_one_claim_and_place_share_a_number(desk: Desk, maker: Claim) -> None:
    text = f"# A\n\nOne.[^{maker.id}] Two.[^{maker.id}, p. 9] Three.[^{maker.id}][^own]\n"
    shown = preview(desk.standpoint(), text)
    assert [shown.number(one) for one in shown.essay.references()] == [1, 2, 1, 3]
    assert [(one.row.claim if one.row else None, one.said) for one in shown.notes] == [
        (maker.id, ""),
        (maker.id, "Cited at p. 9."),
        (None, "The writer's own judgement."),
    ]


def test_a_note_that_names_no_claim_is_said_in_the_print(desk: Desk) -> None:
    (note,) = preview(desk.standpoint(), "# A\n\nOne.[^caaaaaaaaaa]\n").notes
    assert note.row is None
    assert note.said == "caaaaaaaaaa is no claim of this daybook. Correct the note."


# ---------------------------------------------------------------- claims and notes


def test_the_palette_holds_the_claims_of_the_piece_and_counts_their_notes(
    scene: Scene, desk: Desk, maker: Claim
) -> None:
    scene.say("lady", "hasPart", "head")
    part = scene.say("head", "heightMm", "90")
    elsewhere = scene.say("shop", "founded", "1850")
    text = f"# A\n\nOne.[^{maker.id}] Two.[^{maker.id}]\n"
    offered = {
        one.row.claim: one for group in palette(desk.standpoint(), ["lady"], text) for one in group.claims
    }
    assert offered[maker.id].count == 2
    assert offered[maker.id].note == f"[^{maker.id}]"
    assert offered[part.id].count == 0
    assert elsewhere.id not in offered


def test_what_is_confidential_is_not_in_the_palette(scene: Scene, desk: Desk) -> None:
    hidden = Draft("lady", "condition", "in the vault", Citation("book", "p. 3"), is_confidential=True)
    (claim,) = scene.add(drafts=[hidden])
    offered = {one.row.claim for group in palette(desk.standpoint(), ["lady"], "") for one in group.claims}
    assert claim.id not in offered
    assert offered


@pytest.mark.parametrize(
    ("text", "behind", "expected"),
    [
        pytest.param("One. Two.", "1:1", "One.[^own] Two.", id="the first of two"),
        pytest.param("One. Two.", None, "One. Two.[^own]", id="the last"),
        pytest.param("One.[^own] Two.\n", "1:1", "One.[^own][^own] Two.\n", id="behind a note that is there"),
        pytest.param(
            "One\nline. Two\nlines.\n\n## End\n", None, "One\nline. Two\nlines.[^own]\n\n## End\n", id="lines"
        ),
        pytest.param("*One.* *Two.*", "1:2", "*One.*[^own] *Two.*", id="emphasis"),
        pytest.param("- One.\n- Two.", "1:3", "- One.[^own]\n- Two.", id="a list"),
        pytest.param("> One.\n>\n> Two.", "1:3", "> One.[^own]\n>\n> Two.", id="a quotation"),
        pytest.param(
            "One.[^n]\n\n[^n]: A remark.\n", None, "One.[^n][^own]\n\n[^n]: A remark.\n", id="a remark below"
        ),
        pytest.param("One (“two”). “Three.”", "1:1", "One (“two”).[^own] “Three.”", id="quotation marks"),
        pytest.param("# Title\n", None, "# Title\n\n[^own]\n", id="no sentence yet"),
    ],
)
def test_a_note_stands_behind_the_sentence_and_nothing_else_changes(
    text: str, behind: str | None, expected: str
) -> None:
    assert with_note(text, "[^own]", behind) == expected


@given(
    st.lists(
        st.lists(
            st.sampled_from(["She is old.", "*He* left.", "No. 4 sold.[^own]", "“Fine.”"]),
            min_size=1,
            max_size=4,
        ),
        min_size=1,
        max_size=4,
    ),
    st.data(),
)
def test_a_note_put_in_is_one_note_more_and_the_words_stay(
    paragraphs: list[list[str]], data: st.DataObject
) -> None:
    text = "\n\n".join(" ".join(some) for some in paragraphs) + "\n"
    places = _places(text)
    made = with_note(text, "[^own]", data.draw(st.sampled_from(places)))
    assert made.replace("[^own]", "") == text.replace("[^own]", "")
    assert len(list(read_essay(made).references())) == len(list(read_essay(text).references())) + 1


def _places(text: str) -> list[str]:
    from kg.essays.sentences import essay_sentences

    return [str(one.place) for one in essay_sentences(read_essay(text))]


def test_a_sentence_that_is_gone_takes_no_note() -> None:
    with pytest.raises(NoPlaceForNote, match="is not in the text any more"):
        with_note("One.", "[^own]", "7:1")


def test_sentences_without_a_note_are_offered_first(desk: Desk) -> None:
    found = places_for_notes(desk.standpoint(), "One.[^own] Two.\n")
    assert [one.text for one in found] == ["Line 1: Two. (no note yet)", "Line 1: One."]


# ---------------------------------------------------------------- differences


def test_a_difference_is_told_by_words_with_its_line() -> None:
    before = "# A\n\nShe is old.\n\nLast.\n"
    after = "# A\n\nShe is very old.\n\nNew.\n\nLast.\n"
    changed, added = differences(before, after)
    assert (changed.line, changed.stretches) == (
        3,
        (Stretch("same", "She is"), Stretch("added", "very"), Stretch("same", "old.")),
    )
    assert (added.line, added.stretches) == (5, (Stretch("added", "New."),))


@given(st.text(alphabet="ab .\n", max_size=60), st.text(alphabet="ab .\n", max_size=60))
def test_texts_differ_exactly_when_a_difference_of_words_is_told(before: str, after: str) -> None:
    def paragraphs(text: str) -> list[list[str]]:
        found: list[list[str]] = [[]]
        for line in text.splitlines():
            found[-1].extend(line.split()) if line.strip() else found.append([])
        return [some for some in found if some]

    told = [s for one in differences(before, after) for s in one.stretches if s.kind != "same"]
    assert bool(told) == (paragraphs(before) != paragraphs(after))


def test_very_long_texts_are_compared_paragraph_by_paragraph() -> None:
    before = "x\n\n" * 20_000
    found = differences(f"a\n\n{before}b\n", f"c\n\n{before}x\n\n{before}d\n")
    assert found[0].stretches == (Stretch("removed", "a"), Stretch("added", "c"))
    assert found[-1].stretches == (Stretch("added", "d"),)


# ---------------------------------------------------------------- papers


def test_the_text_is_taken_away_as_it_is_written(desk: Desk) -> None:
    opened = opened_essay(desk.standpoint(), ESSAY)
    paper = text_paper(opened, "# Ä\n")
    assert (paper.name, paper.content) == ("essay-lady.md", "# Ä\n".encode())


def test_the_terms_of_a_text_are_explained(scene: Scene, desk: Desk) -> None:
    scene.add(things=[Thing("vane", ("Maker",), "Ottilie Vane")])
    opened = opened_essay(desk.standpoint(), ESSAY)
    paper = glossary_paper(desk.standpoint(), opened, "# A\n\nThe lady is by Ottilie Vane.[^own]\n", "en")
    assert paper is not None
    assert "*by …*: " in paper.content.decode()
    assert glossary_paper(desk.standpoint(), opened, "# A\n\nFine.[^own]\n", "en") is None


def test_the_print_cites_the_source_in_its_notes(desk: Desk) -> None:
    opened = opened_essay(desk.standpoint(), ESSAY)
    paper = print_paper(desk.standpoint(), opened, opened.text, "markdown", "chicago-notes", "en")
    assert "A Book of Heads" in paper.content.decode()
    again = print_paper(desk.standpoint(), opened, opened.text, "markdown", "chicago-notes", "en")
    assert again is paper, "what was made is kept"


def test_a_text_that_cannot_be_read_is_not_printed_and_the_place_is_told(desk: Desk) -> None:
    opened = opened_essay(desk.standpoint(), ESSAY)
    with pytest.raises(EssayNotUnderstood, match="Line 1, column 1"):
        print_paper(desk.standpoint(), opened, "<b>", "markdown", "chicago-notes", "en")


@pytest.mark.parametrize("language", ["en", "fr", "de"])
def test_the_house_style_of_a_language_comes_first(language: str) -> None:
    from kg.essays.styles import style_named

    assert style_choices(language)[0].slug == style_named(None, language).name


def test_there_is_an_evidence_sheet_of_a_piece_and_none_of_what_is_confidential(
    scene: Scene, desk: Desk
) -> None:
    assert [one.slug for one in sheets_of(desk.standpoint(), opened_essay(desk.standpoint(), ESSAY))] == [
        "lady"
    ]
    scene.add(things=[Thing("lady", ("Piece",), "Lady with a blue snood", is_confidential=True)])
    assert sheets_of(desk.standpoint(), opened_essay(desk.standpoint(), ESSAY)) == ()


def test_a_past_day_opens_the_version_of_that_day(scene: Scene, desk: Desk, tmp_path: Path) -> None:
    save_essay(scene.daybook, ESSAY, "# The lady\n\nLater words.[^own]\n", "B. Other")
    assert "Later words." in opened_essay(desk.standpoint(), ESSAY).text
    assert "Tarn & Ottery" in opened_essay(desk.standpoint(date(2026, 2, 2)), ESSAY).text
