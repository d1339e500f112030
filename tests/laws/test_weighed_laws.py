"""Laws of weighing that hold for every shelf of sources.

More is not always less: a source that follows two others may have a claim from either, so a further link can open a
second route. What never rises is the number in the worst case (``fewest``), and the greatest number of routes where
the link is the first that is recorded of a source, or the source is first-hand.
"""

from __future__ import annotations

from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kg.daybook.record import Claim, Draft, Entry
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed, Witnesses
from kg.sources_weighed.impact import what_falls
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import entries, follows, says

SHELF = ("r0", "r1", "r2", "b0", "b1", "b2", "b3", "b4")
names = st.sampled_from(SHELF)
links = st.lists(st.tuples(names, names), max_size=10, unique=True)
sayers = st.lists(names, min_size=1, max_size=5, unique=True)


def made(saying: list[str], pairs: list[tuple[str, str]]) -> list[Entry]:
    return entries(SHELF, [*map(says, saying), *(follows(*pair) for pair in pairs)])


def weighed(made_of: list[Entry]) -> Weighed:
    return Weighed(WorkingView.of(load_vocabulary(), made_of))


def asked(of: Weighed) -> Claim:
    return next(claim for claim in of.view.live if claim.property == "founded")


def answer(saying: list[str], pairs: list[tuple[str, str]]) -> Witnesses:
    of = weighed(made(saying, pairs))
    return of.witnesses(asked(of))


def all_lead_to_a_head(saying: list[str], pairs: list[tuple[str, str]]) -> bool:
    derivation = weighed(made(saying, pairs)).derivation
    return all(derivation.heads[derivation.number[who]] for who in saying)


@settings(max_examples=150, deadline=None)
@given(sayers, links, st.tuples(names, names))
def test_adding_a_derivation_link_never_raises_the_fewest_that_could_account_for_all(
    saying: list[str], pairs: list[tuple[str, str]], more: tuple[str, str]
) -> None:
    # A circle that nothing is recorded to lead out of has no beginning to count; a link may give it its first.
    if all_lead_to_a_head(saying, pairs):
        assert answer(saying, [*pairs, more]).fewest <= answer(saying, pairs).fewest


@settings(max_examples=150, deadline=None)
@given(sayers, links, st.tuples(names, names))
def test_the_first_link_recorded_of_a_source_never_raises_the_number_of_possible_witnesses(
    saying: list[str], pairs: list[tuple[str, str]], more: tuple[str, str]
) -> None:
    is_first = more[0].startswith("r") or all(below != more[0] for below, _ in pairs)
    before, after = answer(saying, pairs), answer(saying, [*pairs, more])
    assert after.possible <= before.possible + (0 if is_first else 1)


@settings(max_examples=150, deadline=None)
@given(sayers, links)
def test_the_numbers_are_in_order_and_no_more_than_those_who_say_it(
    saying: list[str], pairs: list[tuple[str, str]]
) -> None:
    found = answer(saying, pairs)
    assert found.count <= found.possible <= len(found.stating)
    assert found.fewest <= found.possible
    assert (found.fewest == 0) == (found.possible == 0)
    assert len(found.overturning) == found.possible
    assert bool(found.bottleneck) == (0 < found.possible < len(found.stating))


@settings(max_examples=100, deadline=None)
@given(sayers, links, sayers, links)
def test_merging_two_daybooks_never_lowers_the_anchored_set(
    one_says: list[str], one: list[tuple[str, str]], two_says: list[str], two: list[tuple[str, str]]
) -> None:
    first, second = made(one_says, one), made(two_says, two)
    both = list({entry.name: entry for entry in (*first, *second)}.values())
    assert weighed(first).anchored | weighed(second).anchored <= weighed(both).anchored


@settings(max_examples=100, deadline=None)
@given(sayers, links, st.randoms(use_true_random=False))
def test_the_order_of_entries_never_changes_the_numbers(
    saying: list[str], pairs: list[tuple[str, str]], chance: Random
) -> None:
    whole = made(saying, pairs)
    mixed = list(whole)
    chance.shuffle(mixed)
    assert weighed(mixed).all_counts() == weighed(whole).all_counts()


@settings(max_examples=100, deadline=None)
@given(sayers, links)
def test_the_sources_said_to_overturn_a_claim_do_and_none_of_them_is_needless(
    saying: list[str], pairs: list[tuple[str, str]]
) -> None:
    of = weighed(made(saying, pairs))
    claim = asked(of)
    found = of.witnesses(claim)
    supported = {c.id for c, _ in found.statement.agreeing if of.support(c).possible}
    assert supported <= what_falls(of, sources=found.overturning, about=claim).fallen
    for source in found.overturning:
        rest = [other for other in found.overturning if other != source]
        assert not supported <= what_falls(of, sources=rest, about=claim).fallen


@settings(max_examples=100, deadline=None)
@given(sayers, links, names)
def test_what_falls_or_loses_its_anchor_had_one_before(
    saying: list[str], pairs: list[tuple[str, str]], gone: str
) -> None:
    of = weighed(made(saying, pairs))
    fall = what_falls(of, sources=[gone])
    assert all(claim.citation.source == gone for claim in fall.direct)
    assert all(of.support(claim).possible for claim in fall.following)
    assert all(of.support(claim).witnesses for claim in fall.unanchored)
    told = [claim.id for claim in (*fall.direct, *fall.following, *fall.unanchored)]
    assert len(told) == len(set(told))


def test_two_links_of_one_source_can_open_a_second_route_and_the_worst_case_stays() -> None:
    drafts: list[Draft] = [says("b1"), says("b2")]
    one = weighed(entries(SHELF, [*drafts, follows("b1", "r1"), follows("b2", "r1")]))
    two = weighed(entries(SHELF, [*drafts, follows("b1", "r1"), follows("b2", "r1"), follows("b2", "r2")]))
    before, after = one.witnesses(asked(one)), two.witnesses(asked(two))
    assert (before.count, before.fewest) == (1, 1)
    assert (after.count, after.fewest) == (2, 1)
