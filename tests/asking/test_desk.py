"""The desk: one daybook, today and past days, each worked out once a revision."""

from __future__ import annotations

from datetime import date

import pytest

from kg.asking import Asking, Desk
from kg.asking.day import NoPastDay, past_day
from kg.asking.desk import MOST_DAYS
from kg.asking.standpoint import MOST_KEPT
from kg.daybook.record import Thing
from tests.conftest import Scene

#: The day on which scenes begin.
BEGUN = date(2026, 1, 1)


def test_a_standpoint_is_kept_until_an_entry_is_added(scene: Scene) -> None:
    desk = Desk(scene.daybook.shelf.folder)
    first = desk.standpoint()
    assert desk.standpoint() is first
    assert first.chronology is desk.standpoint().chronology
    scene.say("brumelow", "diedOn", "1880")
    assert desk.standpoint() is not first
    assert len(desk.standpoint().view.live) == 1


def test_a_past_day_shows_only_what_was_entered_by_then(scene: Scene) -> None:
    desk = Desk(scene.daybook.shelf.folder)
    scene.clock = scene.clock.replace(day=5)
    scene.say("head", "soldOn", "1874")
    assert len(desk.standpoint(BEGUN).view.live) == 0
    assert len(desk.standpoint(date(2026, 1, 5)).view.live) == 1
    assert desk.ask(Asking("head", "1878"), BEGUN).fit.verdict.value == "nothing bounds it"
    assert desk.ask(Asking("head", "1878")).fit.verdict.value == "cannot fit"


def test_few_past_days_are_kept_and_today_always(scene: Scene) -> None:
    desk = Desk(scene.daybook.shelf.folder)
    today = desk.standpoint()
    first = desk.standpoint(BEGUN)
    for day in range(2, MOST_DAYS + 2):
        desk.standpoint(date(2026, 1, day))
    assert desk.standpoint() is today
    assert desk.standpoint(BEGUN) is not first


def test_what_is_kept_is_worked_out_once_and_bounded(scene: Scene) -> None:
    standpoint = Desk(scene.daybook.shelf.folder).standpoint()
    made: list[int] = []

    def make() -> int:
        made.append(1)
        return len(made)

    assert standpoint.kept("answer", make) == standpoint.kept("answer", make) == 1
    for number in range(MOST_KEPT):
        standpoint.kept(("other", number), lambda: None)
    assert standpoint.kept("answer", make) == 2


def test_what_is_recorded_at_the_desk_is_seen_at_the_next_look(scene: Scene) -> None:
    from kg.daybook.daybook import Note

    desk = Desk(scene.daybook.shelf.folder)
    assert "new" not in desk.standpoint().view.things
    with desk.daybook() as daybook:
        daybook.record(daybook.compose(Note("A. Tester", things=(Thing("new", ("Piece",), "New"),))))
    assert "new" in desk.standpoint().view.things


@pytest.mark.parametrize(
    ("text", "day"),
    [
        pytest.param("2026-06-15", date(2026, 6, 15), id="a past day"),
        pytest.param("", None, id="nothing"),
        pytest.param("2026-07-01", None, id="today itself"),
    ],
)
def test_a_text_names_a_past_day_or_today(text: str, day: date | None) -> None:
    assert past_day(text, date(2026, 7, 1)) == day


@pytest.mark.parametrize(
    ("text", "said"),
    [
        pytest.param("yesterday", "'yesterday' is no day. Give a day such as 2026-06-15.", id="no day"),
        pytest.param("2026-07-02", "2026-07-02 has not come yet. Give a past day.", id="a day to come"),
    ],
)
def test_what_is_no_past_day_is_refused(text: str, said: str) -> None:
    with pytest.raises(NoPastDay) as told:
        past_day(text, date(2026, 7, 1))
    assert str(told.value) == said
