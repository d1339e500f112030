"""The answer along the years: each bar where its days are, and fading where they are not known."""

from __future__ import annotations

import pytest

from kg.asking import Asking, Desk
from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Draft, Thing
from kg.timeline import MOST_THINGS, Bar, Timeline, timeline_of_things, timeline_with_reasons
from kg.timeline.drawing import MOST_CLASHES
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


def chronology(scene: Scene) -> Chronology:
    return Chronology(scene.daybook.view())


def named(timeline: Timeline | None) -> dict[str, Bar]:
    assert timeline is not None
    return {found.label: found for found in timeline.bars}


def test_a_thing_stands_above_what_its_time_depends_on_with_the_numbered_claims(told: Scene) -> None:
    timeline = timeline_with_reasons("head", chronology(told))
    bars = named(timeline)
    assert next(iter(bars)) == "Making"
    assert {"Adela Brumelow: life", "Adela Brumelow: activity", "Deposit 142: registration"} <= bars.keys()
    assert timeline is not None
    assert [(chain.title, chain.day) for chain in timeline.chains] == [
        ("Making not before", "1 March 1875"),
        ("Making not after", "31 May 1890"),
    ]
    numbers = [reason.number for chain in timeline.chains for reason in chain.reasons if reason.number]
    assert sorted(set(numbers)) == list(range(1, len(set(numbers)) + 1))
    drawn_numbers = {n for found in timeline.bars for mark in found.numbers for n in mark.text.split(", ")}
    assert drawn_numbers == {str(number) for number in numbers}


def test_a_numbered_claim_stands_at_the_day_that_it_binds(told: Scene) -> None:
    bars = named(timeline_with_reasons("head", chronology(told)))
    deposit = bars["Deposit 142: registration"]
    assert [mark.at for mark in deposit.numbers] == [pytest.approx(deposit.first)]


def test_nothing_is_drawn_of_a_thing_of_which_nothing_is_known(scene: Scene) -> None:
    assert timeline_with_reasons("head", chronology(scene)) is None
    assert timeline_of_things(["head", "tarn"], chronology(scene)) is None


def test_the_things_in_conflict_bear_its_number(told: Scene) -> None:
    told.say("deposit", "filedOn", "1895", "book")
    solved = chronology(told)
    timeline = timeline_with_reasons("head", solved, Audit(solved).conflicts)
    assert timeline is not None
    assert timeline.clashes
    deposit = named(timeline)["Deposit 142: registration"]
    assert deposit.clashes == tuple(clash.number for clash in timeline.clashes)
    for clash in timeline.clashes:
        assert len(clash.told) >= 2


def test_conflicts_that_are_too_many_are_counted(told: Scene) -> None:
    for number in range(9):
        told.say("deposit", "filedOn", f"{1895 + number}", "book")
    solved = chronology(told)
    conflicts = Audit(solved).conflicts
    timeline = timeline_of_things(["deposit"], solved, conflicts)
    assert timeline is not None
    assert len(timeline.clashes) == MOST_CLASHES
    assert len(timeline.clashes) + timeline.more_clashes == len(conflicts)


def test_several_things_stand_in_the_order_in_which_they_begin(told: Scene) -> None:
    told.say("tarn", "founded", "1860")
    told.say("shop", "openedOn", "1885")
    told.add(things=[Thing("why", ("Question",), "Which has no time")])
    timeline = timeline_of_things(["shop", "head", "tarn", "lady", "why"], chronology(told))
    bars = named(timeline)
    assert list(bars) == [
        "Tarn & Ottery: activity",
        "Head of the lady: making",
        "The Lantern Bazaar: activity",
    ]
    assert timeline is not None
    assert timeline.unknown == ("Lady with a blue snood",)
    places = [found.first for found in timeline.bars]
    assert places == sorted(places)


def test_a_book_long_after_the_things_is_told_and_does_not_stretch_the_axis(told: Scene) -> None:
    told.say("plates", "publishedOn", "1998")
    timeline = timeline_of_things(["head", "plates"], chronology(told))
    assert timeline is not None
    assert timeline.beyond == ("Plates of Heads (1998)",)
    assert max(int(mark.text) for mark in timeline.years) < 1930
    alone = timeline_of_things(["plates"], chronology(told))
    assert alone is not None
    assert alone.beyond == ()


def test_more_things_than_can_be_drawn_are_counted(scene: Scene) -> None:
    makers = [Thing(f"maker-{n:03}", ("Firm",), f"Firm {n:03}") for n in range(MOST_THINGS + 7)]
    cited = Citation("book", "p. 1")
    drafts = [Draft(maker.slug, "founded", str(1800 + n % 90), cited) for n, maker in enumerate(makers)]
    scene.add(things=makers, drafts=drafts)
    timeline = timeline_of_things([maker.slug for maker in makers], chronology(scene))
    assert timeline is not None
    assert len(timeline.bars) == MOST_THINGS
    assert timeline.left_out == 7


def test_a_chain_leads_over_things_that_were_not_chosen(told: Scene) -> None:
    bars = named(timeline_of_things(["head"], chronology(told), explained="head"))
    assert "Deposit 142: registration" in bars
    assert bars["Head of the lady: making"].numbers


def test_short_spans_are_moments_and_lasting_ones_stretches(told: Scene) -> None:
    bars = named(timeline_with_reasons("head", chronology(told)))
    assert bars["Making"].kind == "moment"
    assert bars["Adela Brumelow: life"].kind == "stretch"
