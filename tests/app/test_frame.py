"""The frame round every screen, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from app import frame
from kg.daybook.record import Thing
from tests.app.pages import gone_to, markup, opened, text
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]


@pytest.fixture
def desk(told: Scene, open_desk: Opened) -> AppTest:
    """The desk on a small daybook."""
    return open_desk(told.daybook.shelf.folder)


def test_the_listed_screens_come_in_the_order_of_a_days_work_and_only_those_that_are_there(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("loose_ends", "today", "thing", "fit_a_date", "_draft"):
        (tmp_path / f"{name}.py").touch()
    monkeypatch.setattr(frame, "SCREENS", tmp_path)
    assert [(screen.path, screen.is_listed) for screen in frame.screens()] == [
        ("today", True),
        ("fit-a-date", True),
        ("loose-ends", True),
        ("thing", False),
    ]


def test_every_screen_that_is_there_has_a_page() -> None:
    assert {"fit_a_date", "thing", "claim", "find"} <= frame.present()


def test_a_past_day_is_marked_and_only_what_was_entered_by_then_is_shown(told: Scene, desk: AppTest) -> None:
    told.clock = told.clock.replace(day=9)
    told.add(things=[Thing("late", ("Piece",), "Late comer")])
    page = opened(desk, "find", words="late comer", **{"as-of": "2026-01-08"})
    assert "As the daybook stood on 2026-01-08." in text(page)
    assert "Nothing answers to “late comer”" in text(page)
    assert "Late comer" in text(opened(desk, "find", words="late comer"))
    assert "As the daybook stood on" not in text(desk)


def test_links_keep_the_past_day(desk: AppTest) -> None:
    page = opened(desk, "thing", id="head", **{"as-of": "2026-01-08"})
    assert 'href="thing?id=brumelow&amp;as-of=2026-01-08"' in markup(page)
    assert 'href="?id=head">Back to today' in markup(page)


def test_the_day_chosen_stands_in_the_address_and_taking_it_out_leads_back_to_today(desk: AppTest) -> None:
    page = opened(desk, "thing", id="head")
    page.date_input(key="k-day").set_value(datetime(2026, 1, 8).date()).run()
    assert page.query_params["as-of"] == "2026-01-08"
    assert "As the daybook stood on 2026-01-08." in text(page)
    page.date_input(key="k-day").set_value(None).run()
    assert "as-of" not in page.query_params
    assert "As the daybook stood on" not in text(page)


@pytest.mark.parametrize(
    ("day", "said"),
    [
        pytest.param("yesterday", "'yesterday' is no day.", id="no day"),
        pytest.param(f"{(datetime.now(UTC) + timedelta(days=9)).date()}", "has not come yet.", id="to come"),
    ],
)
def test_an_address_with_a_foolish_day_shows_today_and_says_so(day: str, said: str, desk: AppTest) -> None:
    page = opened(desk, "thing", id="head", **{"as-of": day})
    assert "Today is shown" in text(page)
    assert said in text(page)
    assert "Head of the lady" in text(page)


@pytest.mark.parametrize(
    ("words", "to"),
    [
        pytest.param("ADELA brumelow", "thing?id=brumelow", id="one thing is meant"),
        pytest.param("lady", "thing?id=lady&words=lady", id="one is meant and others answer"),
        pytest.param("lad", "find?words=lad", id="several answer"),
        pytest.param("nobody at all", "find?words=nobody%20at%20all", id="none answers"),
    ],
)
def test_the_search_goes_to_the_thing_or_to_what_answers(words: str, to: str, desk: AppTest) -> None:
    page = opened(desk, "fit_a_date")
    page.text_input(key="k-words").input(words).run()
    assert gone_to(page) == to
    page.run()
    assert gone_to(page) is None
    assert page.text_input(key="k-words").value == ""


def test_the_search_goes_to_the_claim_of_an_id_and_keeps_the_past_day(told: Scene, desk: AppTest) -> None:
    ident = next(iter(told.daybook.view().claims))
    page = opened(desk, "fit_a_date", **{"as-of": "2026-01-08"})
    page.text_input(key="k-words").input(ident).run()
    assert gone_to(page) == f"claim?id={ident}&as-of=2026-01-08"


def test_a_question_is_kept_while_another_screen_is_looked_at(desk: AppTest) -> None:
    opened(desk, "fit_a_date", subject="head", phrase="about 1878")
    opened(desk, "thing", id="head")
    page = opened(desk, "fit_a_date")
    assert page.text_input(key="phrase").value == "about 1878"
    assert "claimed “about 1878”" in text(page)


def test_a_link_to_another_question_asks_that_one(desk: AppTest) -> None:
    opened(desk, "fit_a_date", subject="head", phrase="about 1878")
    page = opened(desk, "fit_a_date", subject="lady")
    assert page.selectbox(key="subject").value == "lady"
    assert "Nothing is asked yet" in text(page)
