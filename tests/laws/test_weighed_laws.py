"""Laws of weighing that hold for every shelf of sources.

"Adding a derivation link never raises the witness count" does not hold of every count, and is held here as far as it
is true:

- of the number in the worst case (``fewest``) it holds wherever the source that follows still leads to a beginning.
  It does not hold where the link closes a circle that nothing leads out of: a beginning of unknown origin that might
  have been behind all is then none, and the first-hand sources that followed it stand for themselves;
- of the most routes (``count``, ``possible``) it holds where the link is the first recorded of its source, or the
  source is first-hand. It does not hold of a further link: a source that follows two others may have a claim from
  either, so the link can open a second route. It opens one at most.

Each sentence that does not hold stands below with its counterexample.
"""

from __future__ import annotations

from datetime import timedelta
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Claim, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed, Witnesses
from kg.sources_weighed.impact import Impact, _Search, what_falls
from kg.sources_weighed.rests import is_wider, on_evidence
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import WHEN, entries, follows, says

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
    return all(who not in derivation.number or derivation.heads[derivation.number[who]] for who in saying)


@settings(max_examples=150, deadline=None)
@given(sayers, links, st.tuples(names, names))
def test_adding_a_derivation_link_never_raises_the_fewest_that_could_account_for_all(
    saying: list[str], pairs: list[tuple[str, str]], more: tuple[str, str]
) -> None:
    # A circle that nothing is recorded to lead out of has no beginning to count; a link may give it its first.
    if all_lead_to_a_head(saying, pairs) and all_lead_to_a_head([more[0]], [*pairs, more]):
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


def test_a_link_that_closes_a_circle_can_raise_even_the_worst_case() -> None:
    pairs = [("r0", "b0"), ("r1", "b0")]
    before, after = answer(["r0", "r1"], pairs), answer(["r0", "r1"], [*pairs, ("b0", "b0")])
    assert (before.fewest, after.fewest) == (1, 2)


# ---------------------------------------------------------------- what falls, asked of what rests on it alone

firms, ladies = ("f0", "f1"), ("l0", "l1")
years = st.integers(1860, 1880).map(str)
citations = st.sampled_from(SHELF).map(lambda source: Citation(source, "p. 1"))
dated = st.lists(
    st.one_of(
        st.builds(Draft, st.sampled_from(firms), st.sampled_from(["founded", "ceased"]), years, citations),
        st.builds(
            Draft, st.sampled_from(ladies), st.sampled_from(["madeOn", "inscribedOn"]), years, citations
        ),
        st.builds(Draft, st.sampled_from(ladies), st.just("madeBy"), st.sampled_from(firms), citations),
        st.builds(Draft, st.just("f0"), st.just("succeeded"), st.just("f1"), citations),
        st.builds(follows, names, names),
    ),
    min_size=3,
    max_size=14,
    unique=True,
)


def trade(drafts: list[Draft]) -> Weighed:
    things = [Thing(slug, ("Firm",), slug) for slug in firms] + [
        Thing(slug, ("Piece",), slug) for slug in ladies
    ]
    shelf = compose(WHEN - timedelta(days=1), "A. Tester", things=tuple(things))
    return weighed([shelf, *entries(SHELF, drafts)])


@settings(max_examples=150, deadline=None)
@given(dated, st.lists(names, min_size=1, max_size=3, unique=True))
def test_what_falls_is_what_the_whole_chronology_reckoned_anew_would_say(
    drafts: list[Draft], gone: list[str]
) -> None:
    fall = what_falls(trade(drafts), sources=gone)
    before = fall.impact.rests.audit
    after = {dating.claim.id: dating.verdict for dating in fall.audit_after.datings}
    changed = [
        (dating.claim.id, dating.verdict, after[dating.claim.id])
        for dating in before.datings
        if dating.claim.id in after and after[dating.claim.id] is not dating.verdict
    ]
    assert [(v.claim.id, v.before, v.after) for v in fall.verdicts] == changed
    again = Chronology(fall.weighed.view.without(fall.fallen))
    told = {(w.thing, w.span): w for w in fall.wider}
    for name in before.chronology.made.bases:
        old, new = on_evidence(before.chronology, *name), on_evidence(again, *name)
        if name in told:
            assert (told[name].before, told[name].after) == (old, new)
            assert is_wider(new, old)
        else:
            assert not is_wider(new, old)


@settings(max_examples=100, deadline=None)
@given(sayers, links)
def test_what_falls_with_one_claim_is_what_a_search_through_all_claims_finds(
    saying: list[str], pairs: list[tuple[str, str]]
) -> None:
    of = weighed(made(saying, pairs))
    impact = Impact(of)
    for claim in of.view.live:
        fall = impact.of(claims=[claim.id])
        every = _Search(of, frozenset(), frozenset([claim.id]), of.view.live).found()
        assert (fall.direct, fall.following, fall.unanchored) == every


@settings(max_examples=100, deadline=None)
@given(sayers, links, st.lists(names, min_size=1, max_size=2, unique=True))
def test_what_is_told_of_who_follows_whom_can_be_left_out_without_reading_all_again(
    saying: list[str], pairs: list[tuple[str, str]], gone: list[str]
) -> None:
    of = weighed(made(saying, pairs))
    out = frozenset(claim.id for claim in of.view.live if claim.citation.source in gone)
    less, again = of.without(out), Weighed(of.view.without(out))
    for claim in again.view.live:
        assert less.support(claim) == again.support(claim)
