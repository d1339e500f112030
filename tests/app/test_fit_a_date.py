"""The screen *Fit a date*, driven without a browser."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from kg.daybook.record import Citation, Draft, Judgement, Thing
from tests.app.pages import markup, text
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]

#: Names that would run, fetch or mangle if one place let them through as markup.
HOSTILE = (
    '<img src=x onerror="canary()">',
    "</script><script>canary()</script>",
    "![i](https://canary.example/i.png)",
    ":material/home: $x$ **bold** [a](javascript:canary())",
)


@pytest.fixture
def open_desk(open_desk: Opened) -> Opened:
    """The desk at this screen, whichever it opens with."""

    def opened(folder: Path) -> AppTest:
        page = open_desk(folder)
        page._page_hash = calc_hash("fit-a-date")  # what a page of st.navigation is known by
        return page

    return opened


def asked(
    page: AppTest, subject: str, phrase: str, *, maker: str | None = None, circa: int | None = None
) -> AppTest:
    """The page after a question was typed and sent."""
    page.run()
    if maker is not None:
        page.selectbox(key="maker").select(maker)
    if circa is not None:
        page.number_input(key="circa").set_value(circa)
    page.selectbox(key="subject").select(subject)
    page.text_input(key="phrase").input(phrase)
    page.button[0].click().run()
    assert not page.exception
    return page


def test_a_date_is_tested_and_the_claims_that_bind_are_cited(told: Scene, open_desk: Opened) -> None:
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "about 1872"))
    assert "Fits in part" in said
    assert "Of 1867–1877 only 1 March 1875 to 31 December 1877 is possible." in said
    assert "Circa alone decides: 1872 by itself cannot fit; widened to 1867–1877 it fits in part." in said
    assert "Not before 1 March 1875, because" in said
    assert "Register of Deposits, p. 1" in said
    assert "Not after 31 May 1890, because" in said
    assert "'about' allows 5 years" in said
    for claim in told.daybook.view().claims.values():
        assert claim.id in said


def test_an_impossible_date_says_which_day_it_oversteps(told: Scene, open_desk: Opened) -> None:
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "1895"))
    assert "Cannot fit" in said
    assert "1895 is impossible: it is later than 31 May 1890" in said
    assert "If this claim is wrong:" in said


def test_setting_a_claim_aside_answers_anew_and_taking_it_back_restores_the_answer(
    told: Scene, open_desk: Opened
) -> None:
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 1873")
    first = text(page)
    assert "Fits in part" in first
    deposit = next(c.id for c in told.daybook.view().claims.values() if c.property == "filedOn")
    page.toggle(key=f"aside-{deposit}").set_value(True).run()
    without = text(page)
    assert "Not before 1 March 1875" not in without
    assert "With nothing set aside it ◐ fits in part" in without
    assert "Set aside for this question" in [header.value for header in page.header]
    page.toggle(key=f"aside-{deposit}").set_value(False).run()
    assert text(page) == first


def test_another_subject_begins_with_nothing_set_aside(told: Scene, open_desk: Opened) -> None:
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 1873")
    page.toggle[0].set_value(True).run()
    assert "Set aside for this question" in [header.value for header in page.header]
    asked(page, "lady", "about 1873")
    assert "Set aside for this question" not in [header.value for header in page.header]


def test_another_dating_on_record_is_tested_too(told: Scene, open_desk: Opened) -> None:
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 1878")
    assert "Other datings on record, tested the same way" in [header.value for header in page.header]
    assert "1861–1871 : ✕ cannot fit" in text(page)


def test_the_width_of_circa_is_the_readers_to_state(told: Scene, open_desk: Opened) -> None:
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "about 1874", circa=1))
    assert "Of 1873–1875 only 1 March 1875 to 31 December 1875 is possible." in said


def test_a_maker_is_supposed_for_the_question_alone(scene: Scene, open_desk: Opened) -> None:
    scene.say("tarn", "founded", "1890")
    page = asked(open_desk(scene.daybook.shelf.folder), "head", "1878", maker="tarn")
    said = text(page)
    assert "supposed to be by Tarn & Ottery" in said
    assert "1878 is impossible: it is earlier than 1 January 1890" in said
    assert not any(toggle.label == "Set claim 2 aside" for toggle in page.toggle), (
        "what is supposed is no claim"
    )
    assert len(scene.daybook.view().claims) == 1


def test_a_maker_who_cannot_be_is_excluded_with_the_claims_that_exclude(
    scene: Scene, open_desk: Opened
) -> None:
    scene.say("brumelow", "diedOn", "1850")
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("head", "bearsRegistration", "deposit")
    page = asked(open_desk(scene.daybook.shelf.folder), "head", "1878", maker="brumelow")
    assert "Adela Brumelow cannot have made Head of the lady, whatever the date." in text(page)
    assert "Why this maker is excluded" in [header.value for header in page.header]
    died = next(c.id for c in scene.daybook.view().claims.values() if c.property == "diedOn")
    page.toggle(key=f"aside-{died}").set_value(True).run()
    assert "Why this maker is excluded" not in [header.value for header in page.header]
    assert "With nothing set aside it ✕ cannot fit" in text(page)


def test_a_maker_is_asked_about_the_years_of_work(told: Scene, open_desk: Opened) -> None:
    said = text(asked(open_desk(told.daybook.shelf.folder), "brumelow", "1895"))
    assert "Cannot fit" in said
    assert "Not after 31 May 1880, because" in said


def test_a_phrase_that_cannot_be_read_is_pointed_at(told: Scene, open_desk: Opened) -> None:
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 18xx8")
    assert "No answer" in text(page)
    assert "Date not understood&#58; expected" in markup(page)
    pointed = next(line for line in markup(page).splitlines() if "&#94;" in line)
    assert pointed.index("&#94;") > 0
    assert not page.header


def test_a_phrase_that_says_no_date_gets_no_verdict(told: Scene, open_desk: Opened) -> None:
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "n.d."))
    assert "says that there is no date. Type a date, such as" in said


def test_the_address_of_the_page_asks_the_question_again(told: Scene, open_desk: Opened) -> None:
    page = open_desk(told.daybook.shelf.folder)
    page.query_params["subject"] = "head"
    page.query_params["phrase"] = "about 1874"
    page.query_params["circa"] = "1"
    page.run()
    assert not page.exception
    assert "Of 1873–1875 only 1 March 1875 to 31 December 1875 is possible." in text(page)
    assert page.text_input(key="phrase").value == "about 1874"


@pytest.mark.parametrize("circa", ["²", "-4", "many", "1e9"])
def test_an_address_with_a_foolish_width_is_answered_by_the_convention(
    circa: str, told: Scene, open_desk: Opened
) -> None:
    page = open_desk(told.daybook.shelf.folder)
    page.query_params["subject"] = "head"
    page.query_params["phrase"] = "about 1878"
    page.query_params["circa"] = circa
    page.run()
    assert not page.exception
    assert "'about' allows 5 years" in text(page)


def test_an_address_that_names_nothing_on_record_asks_nothing(told: Scene, open_desk: Opened) -> None:
    page = open_desk(told.daybook.shelf.folder)
    page.query_params["subject"] = "nobody"
    page.query_params["phrase"] = "about 1878"
    page.run()
    assert not page.exception
    assert "Nothing is asked yet" in text(page)


def test_an_empty_daybook_says_how_to_begin(tmp_path: Path, open_desk: Opened) -> None:
    from kg.daybook.daybook import Daybook

    Daybook.begin(tmp_path / "new")
    page = open_desk(tmp_path / "new").run()
    assert not page.exception
    assert "kilnmark add --example" in text(page)
    assert not page.button


def test_without_a_daybook_the_screen_says_what_to_do(tmp_path: Path, open_desk: Opened) -> None:
    page = open_desk(tmp_path / "nowhere").run()
    assert not page.exception
    assert "There is no daybook" in text(page)
    assert "kilnmark demo" in text(page)


def test_a_damaged_entry_is_named_and_the_rest_is_answered(told: Scene, open_desk: Opened) -> None:
    name = told.daybook.shelf.names()[-1]
    told.daybook.shelf.path(name).write_bytes(b"not TriG")
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "about 1878"))
    assert name in said
    assert "kilnmark verify" in said
    assert "Fits" in said


def test_a_confidential_claim_is_shown_with_the_word(told: Scene, open_desk: Opened) -> None:
    sold = Draft(
        "head", "soldOn", "1880-06-01", Citation("book", "p. 9"), "1 June 1880", is_confidential=True
    )
    told.add(drafts=[sold])
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 1878")
    said = text(page)
    assert "Head of the lady first sold 1 June 1880 confidential" in said


def test_a_doubted_claim_is_shown_as_doubted(told: Scene, open_desk: Opened) -> None:
    from kg.daybook.daybook import Note

    deposit = next(c.id for c in told.daybook.view().claims.values() if c.property == "filedOn")
    doubt = Note("A. Tester", judgements=(Judgement(deposit, "doubted", "the register is a copy"),))
    told.daybook.record(told.daybook.compose(doubt))
    said = text(asked(open_desk(told.daybook.shelf.folder), "head", "about 1878"))
    assert "Deposit 142 filed 1875-03-01 doubted" in said


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_stays_text(name: str, scene: Scene, open_desk: Opened) -> None:
    things = [
        Thing("evil", ("Head",), name),
        Thing("smith", ("Person",), f"Smith {name}"),
        Thing("tome", ("Book",), f"Tome {name}"),
    ]
    said_by = Citation("tome", f"p. 1 {name}", f"quoted {name}")
    drafts = [
        Draft("smith", "diedOn", "1880", said_by, f"1880 {name}"),
        Draft("evil", "madeBy", "smith", said_by),
    ]
    scene.add(things=things, drafts=drafts)
    page = asked(open_desk(scene.daybook.shelf.folder), "evil", "1895")
    drawn = markup(page)
    assert "canary" in drawn
    for trap in ("<img", "<script", "](", ":material", "$x$", "**"):
        assert trap not in drawn
    # Labels of switches and headings are Markdown, so that no name may stand in one.
    labels = [*(toggle.label for toggle in page.toggle), *(header.value for header in page.header)]
    assert not any("canary" in label or "bold" in label for label in labels)
    handed = [json.loads(one.proto.json or "null") for one in page.get("bidi_component")]
    (drawn_things,) = [data["nodes"] for data in handed if data and "nodes" in data]
    assert any("canary" in thing["label"] for thing in drawn_things)
    assert all("title" not in thing for thing in drawn_things), "the script would read a title as markup"


def test_entries_added_elsewhere_are_seen_at_the_next_question(told: Scene, open_desk: Opened) -> None:
    page = asked(open_desk(told.daybook.shelf.folder), "head", "about 1878")
    told.say("head", "soldOn", "1874", "register")
    asked(page, "head", "about 1878")
    assert "Set aside by the daybook, because they clash" in [header.value for header in page.header]
