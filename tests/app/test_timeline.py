"""The answer along the years: each bar where its days are, and fading where they are not known."""

from __future__ import annotations

import pytest

from kg.asking import Asking, Desk
from kg.timeline import Bar, Timeline
from tests.conftest import Scene


def drawn(scene: Scene, phrase: str, subject: str = "head") -> Timeline:
    return Desk(scene.daybook.shelf.folder).ask(Asking(subject, phrase)).timeline


def bar(timeline: Timeline, kind: str) -> Bar:
    return next(found for found in timeline.bars if found.kind == kind)


def test_the_core_lies_within_the_width_of_circa(told: Scene) -> None:
    claimed = bar(drawn(told, "about 1878"), "claimed")
    assert claimed.sure_first is not None
    assert claimed.sure_last is not None
    assert 0 < claimed.first < claimed.sure_first < claimed.sure_last < claimed.last < 1
    assert claimed.text == "1878, widened to 1873–1883"


def test_the_binding_days_mark_the_ends_of_what_is_allowed(told: Scene) -> None:
    timeline = drawn(told, "about 1878")
    allowed = bar(timeline, "allowed")
    assert [mark.text for mark in timeline.binding] == ["not before 1 March 1875", "not after 31 May 1890"]
    assert timeline.binding[0].at == pytest.approx(allowed.first)
    assert timeline.binding[1].at == pytest.approx(allowed.last, abs=1e-3)


def test_what_remains_possible_is_where_claimed_and_allowed_meet(told: Scene) -> None:
    timeline = drawn(told, "about 1873")
    claimed, allowed, possible = (bar(timeline, kind) for kind in ("claimed", "allowed", "possible"))
    assert (possible.first, possible.last) == (allowed.first, claimed.last)


def test_nothing_remains_possible_of_an_impossible_date(told: Scene) -> None:
    assert "possible" not in {found.kind for found in drawn(told, "1895").bars}


def test_a_side_that_nothing_limits_is_open_to_the_edge(scene: Scene) -> None:
    scene.say("head", "soldOn", "1890", "register")
    allowed = bar(drawn(scene, "before 1880"), "allowed")
    assert allowed.is_open_left
    assert allowed.first == 0
    assert not allowed.is_open_right


def test_the_life_of_the_maker_fades_at_the_end_that_is_not_known(told: Scene) -> None:
    life = next(found for found in drawn(told, "about 1878").bars if found.label == "Adela Brumelow: life")
    assert not life.is_open_right
    assert "end: May 1880" in life.text


def test_a_birth_known_only_by_the_longest_life_runs_over_the_edge(told: Scene) -> None:
    timeline = drawn(told, "about 1878")
    life = next(found for found in timeline.bars if found.label == "Adela Brumelow: life")
    assert life.first == 0
    assert life.is_open_left
    claimed = bar(timeline, "claimed")
    assert claimed.last - claimed.first > 0.1


def test_a_limit_far_away_is_drawn_when_it_makes_the_date_impossible(told: Scene) -> None:
    timeline = drawn(told, "1990")
    assert "not after 31 May 1890" in [mark.text for mark in timeline.binding]
    assert 0 < timeline.binding[-1].at < bar(timeline, "claimed").first


def test_a_thing_of_which_nothing_is_known_has_only_the_date_as_claimed(scene: Scene) -> None:
    timeline = drawn(scene, "1878")
    assert [found.kind for found in timeline.bars] == ["claimed"]
    assert timeline.binding == ()


@pytest.mark.parametrize("phrase", ["12 May 1878", "19th century", "before 1914", "after 1700", "44 BC"])
def test_every_place_lies_on_the_drawing_and_its_years_in_order(phrase: str, told: Scene) -> None:
    timeline = drawn(told, phrase)
    places = [
        place
        for found in timeline.bars
        for place in (found.first, found.sure_first, found.sure_last, found.last)
    ]
    assert all(place is None or 0 <= place <= 1 for place in places)
    years = [mark.at for mark in timeline.years]
    assert years == sorted(years)
    assert 2 <= len(years) <= 9
