"""The screens that judge a claim, join two things and hold answers, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.record import Citation, Draft, Thing
from tests.app.pages import markup, opened, text
from tests.app.test_add import signed
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


def test_a_claim_is_judged_after_its_effect_was_seen(told: Scene, open_desk: Opened) -> None:
    died = next(c.id for c in told.daybook.view().live if c.property == "diedOn")
    page = opened(open_desk(told.daybook.shelf.folder), "judge", id=died)
    page.selectbox(key="judge-standing").set_value("setAside").run()
    assert "No reason is given" in text(page)
    page.text_area(key="judge-why").set_value("a namesake").run()
    assert "making 1 March 1875 to 31 May 1890 → from 1 March 1875" in text(page)
    signed(page).button(key="judge-record").click().run()
    assert not page.exception
    assert told.daybook.view().standing(died) == "setAside"
    assert "set aside by A. Quill" in text(page)


def test_judging_without_a_claim_says_where_to_come_from(told: Scene, open_desk: Opened) -> None:
    assert "No claim is named" in text(opened(open_desk(told.daybook.shelf.folder), "judge"))


def test_nothing_is_judged_in_the_past(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "judge", id="x", **{"as-of": "2026-01-01"})
    assert "nothing can be added to the past" in text(page)


def test_two_things_are_joined_and_the_claim_says_why(told: Scene, open_desk: Opened) -> None:
    told.add(things=[Thing("brummelow", ("Person",), "Adela Brummelow")])
    page = opened(open_desk(told.daybook.shelf.folder), "join", id="brumelow")
    page.button(key="join-look").click().run()
    page.button(key="join-with-brummelow").click().run()
    assert "nothing on record says whether they are one" in text(page)
    page.text_area(key="join-why").set_value("one address").run()
    signed(page).button(key="join-record").click().run()
    assert not page.exception
    (claim,) = (c for c in told.daybook.view().live if c.property == "sameAs")
    assert {claim.subject, claim.value} == {"brumelow", "brummelow"}
    assert claim.citation.source == "judgement-of-a-quill"
    assert "on record as one" in text(page)


def test_a_question_is_asked_answered_and_argued(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "question", about="head")
    page.text_input(key="question-words").set_value("Who made it?").run()
    signed(page).button(key="question-record").click().run()
    assert not page.exception
    opened(page, "question", id="question-who-made-it")
    page.selectbox(key="question-thing").set_value("tarn").run()
    page.text_input(key="question-why").set_value("the comb marks").run()
    page.button(key="question-record").click().run()
    assert not page.exception
    page.radio(key="question-way").set_value("claim").run()
    answer = next(slug for slug, t in told.daybook.view().things.items() if "Answer" in t.kinds)
    made = next(c.id for c in told.daybook.view().live if c.property == "madeBy")
    page.selectbox(key="question-answer").set_value(answer).run()
    page.radio(key="question-side").set_value("disputedBy").run()
    page.text_input(key="question-claim").set_value(made).run()
    page.text_input(key="question-why").set_value("it names another").run()
    page.button(key="question-record").click().run()
    assert not page.exception
    said = text(page)
    assert "Against it Head of the lady made by Adela Brumelow" in said
    assert "For it nothing yet" in said


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text_while_judging(name: str, told: Scene, open_desk: Opened) -> None:
    evil = [
        Thing("evil", ("Person",), name),
        Thing("devil", ("Person",), name + "s"),
        Thing("q", ("Question",), name),
    ]
    drafts = [
        Draft("evil", "diedOn", "1880", Citation("book", f"p. 1 {name}"), f"1880 {name}"),
        Draft("q", "askedOf", "evil", Citation("book", "p. 1")),
    ]
    claims = told.add(things=evil, drafts=drafts)
    desk = open_desk(told.daybook.shelf.folder)
    died = next(c.id for c in claims if c.property == "diedOn")
    for screen, parts in (
        ("judge", {"id": died}),
        ("join", {"id": "evil", "other": "devil"}),
        ("question", {"id": "q"}),
        ("question", {"about": "evil"}),
    ):
        drawn = markup(opened(desk, screen, **parts))
        assert "canary" in drawn
        for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
            assert trap not in drawn, (screen, parts)
