"""The screen *Add a finding*, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.record import Thing
from tests.app.pages import markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


def signed(page: AppTest, name: str = "A. Quill") -> AppTest:
    """The page after a name was given that signs."""
    if any(field.key == "sign-name" for field in page.text_input):
        page.text_input(key="sign-name").set_value(name).run()
    return page


def filled(page: AppTest, says: str, value: str, *, is_thing: bool = False) -> AppTest:
    """The form filled in and put on the note."""
    page.selectbox(key="add-says").set_value(says).run()
    if is_thing:
        page.selectbox(key="add-value").set_value(value).run()
    else:
        page.text_input(key="add-value-text").set_value(value).run()
    page.selectbox(key="add-source").set_value("book").run()
    page.text_input(key="add-locator").set_value("p. 7").run()
    page.button(key="add-put").click().run()
    assert not page.exception
    return page


def test_a_finding_is_checked_shown_with_its_effect_and_recorded_signed(
    told: Scene, open_desk: Opened
) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "madeOn", "about 1899")
    assert "Head of the lady made about 1899" in text(page)
    assert "Datings, tested by the rest" in text(page)
    assert "Head of the lady made about 1899: ✕ cannot fit" in text(page)
    assert len(told.daybook.entries()) == 6
    signed(page).button(key="add-record").click().run()
    assert not page.exception
    entry = told.daybook.entries()[-1]
    assert entry.researcher == "A. Quill"
    assert [(c.subject, c.property, c.value, c.written) for c in entry.claims] == [
        ("head", "madeOn", "1899~", "about 1899")
    ]
    assert f'href="claim?id={entry.claims[0].id}"' in markup(page)
    assert "Recorded by A. Quill" in text(page)


def test_what_narrows_is_told_before_and_after(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "existedBy", "1879-03-01")
    said = text(page)
    assert "What is known of dates" in said
    assert "making 1 March 1875 to 31 May 1890 → 1 March 1875 to 1 March 1879" in said


def test_several_findings_make_one_entry_and_can_be_taken_off(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "condition", "chipped")
    filled(page, "sizeNumber", "4")
    filled(page, "soldBy", "shop", is_thing=True)
    page.button(key="add-off-1").click().run()
    signed(page).button(key="add-record").click().run()
    assert sorted(claim.value for claim in told.daybook.entries()[-1].claims) == ["chipped", "shop"]


def test_a_new_thing_is_described_with_the_finding(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    page.selectbox(key="add-says").set_value("madeBy").run()
    page.toggle(key="add-value-new").set_value(True).run()
    page.selectbox(key="add-value-kind").set_value("Firm").run()
    page.text_input(key="add-value-name").set_value("Quill & Sons").run()
    page.selectbox(key="add-source").set_value("book").run()
    page.text_input(key="add-locator").set_value("p. 9").run()
    page.button(key="add-put").click().run()
    signed(page).button(key="add-record").click().run()
    entry = told.daybook.entries()[-1]
    assert entry.things == (Thing("firm-quill-sons", ("Firm",), "Quill & Sons"),)
    assert entry.claims[0].value == "firm-quill-sons"


def test_what_is_wrong_stands_beside_its_field_and_nothing_is_put_on_the_note(
    told: Scene, open_desk: Opened
) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    page.button(key="add-put").click().run()
    said = text(page)
    assert "Choose what the source says of it." in said
    assert "Choose the source that says so, or name a new one." in said
    assert "Give the place in the source" in said
    filled(page, "madeOn", "in the days of yore")
    assert "expected" in text(page).lower()
    assert "The note" not in [header.value for header in page.header]


def test_a_draft_outlasts_a_visit_to_another_screen(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "condition", "chipped")
    page.text_area(key="add-quotation").set_value("half said").run()
    opened(page, "thing", id="head")
    opened(page, "add")
    assert "Head of the lady condition chipped" in text(page)
    assert page.text_area(key="add-quotation").value == "half said"
    assert page.text_input(key="add-locator").value == "p. 7"


def test_what_a_colleague_recorded_meanwhile_is_no_obstacle(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "condition", "chipped")
    signed(page)
    told.say("brumelow", "bornOn", "1839")
    page.button(key="add-record").click().run()
    assert "Recorded by A. Quill" in text(page)
    assert {claim.property for claim in told.daybook.view().live} >= {"bornOn", "condition"}


def test_what_was_just_recorded_can_be_undone(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "condition", "chipped")
    signed(page).button(key="add-record").click().run()
    claim = told.daybook.entries()[-1].claims[0].id
    page.button(key="add-undo").click().run()
    assert not page.exception
    assert told.daybook.view().standing(claim) == "withdrawn"
    assert "withdrawn" in text(page)


def test_what_is_on_record_already_is_said_and_not_recorded_twice(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head")
    filled(page, "condition", "chipped")
    signed(page).button(key="add-record").click().run()
    before = len(told.daybook.entries())
    filled(page, "condition", "chipped")
    assert "Nothing new" in text(page)
    assert page.button(key="add-record").disabled
    assert len(told.daybook.entries()) == before


def test_nothing_is_added_to_the_past(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="head", **{"as-of": "2026-01-01"})
    assert "nothing can be added to the past" in text(page)
    assert not any(button.key == "add-put" for button in page.button)


def test_an_empty_daybook_takes_its_first_finding(tmp_path: Path, open_desk: Opened) -> None:
    from kg.daybook.daybook import Daybook

    daybook = Daybook.begin(tmp_path / "new", "New")
    page = opened(open_desk(tmp_path / "new"), "add")
    for name, kind, label in (("about", "Person", "Ada Quill"), ("source", "Book", "Quill, Heads (1931)")):
        page.toggle(key=f"add-{name}-new").set_value(True).run()
        page.selectbox(key=f"add-{name}-kind").set_value(kind).run()
        page.text_input(key=f"add-{name}-name").set_value(label).run()
    page.selectbox(key="add-says").set_value("bornOn").run()
    page.text_input(key="add-value-text").set_value("1841").run()
    assert "Read as 1841, which allows 1841" in text(page)
    page.text_input(key="add-locator").set_value("p. 1").run()
    page.button(key="add-put").click().run()
    signed(page).button(key="add-record").click().run()
    assert [daybook.view().sentence(claim) for claim in daybook.view().live] == ["Ada Quill born 1841"]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text_while_adding(name: str, told: Scene, open_desk: Opened) -> None:
    told.add(things=[Thing("evil", ("Head",), name)])
    page = opened(open_desk(told.daybook.shelf.folder), "add", about="evil")
    filled(page, "condition", f"chipped {name}")
    drawn = markup(page)
    assert "canary" in drawn
    for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
        assert trap not in drawn
