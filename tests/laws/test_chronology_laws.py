"""Laws of the chronology that hold for every daybook."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.fit import Question, fit
from kg.chronology.verdict import Verdict, severity
from kg.dates.conventions import convention
from kg.dates.phrases import read_phrase
from kg.dates.window import Window
from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary

WHEN = datetime(2026, 1, 1, tzinfo=UTC)
THINGS = (
    Thing("book", ("Book",), "A Book of Heads"),
    Thing("brumelow", ("Person",), "Adela Brumelow"),
    Thing("tarn", ("Firm",), "Tarn & Ottery"),
    Thing("shop", ("Retailer",), "The Lantern Bazaar"),
    Thing("deposit", ("DesignDeposit",), "Deposit 142"),
    Thing("lady", ("Piece",), "Lady"),
    Thing("head", ("Head",), "Head"),
    Thing("sale", ("Sale",), "Sale"),
)

_DATED = [
    ("brumelow", "bornOn"),
    ("brumelow", "diedOn"),
    ("tarn", "founded"),
    ("tarn", "ceased"),
    ("shop", "openedOn"),
    ("shop", "ceased"),
    ("deposit", "filedOn"),
    ("lady", "madeOn"),
    ("lady", "existedBy"),
    ("head", "inscribedOn"),
    ("head", "madeOn"),
    ("sale", "heldOn"),
]
_LINKED = [
    ("lady", "madeBy", "brumelow"),
    ("lady", "madeBy", "tarn"),
    ("head", "madeBy", "tarn"),
    ("lady", "soldBy", "shop"),
    ("lady", "bearsRegistration", "deposit"),
    ("lady", "hasOriginalPart", "head"),
    ("lady", "offeredAt", "sale"),
    ("brumelow", "founderOf", "tarn"),
    ("deposit", "registeredBy", "brumelow"),
]

years = st.integers(1840, 1900)
dates = st.one_of(
    years.map(str),
    years.map(lambda y: f"{y}~"),
    st.tuples(years, st.integers(0, 20)).map(lambda p: f"[{p[0]}..{p[0] + p[1]}]"),
)
drafts = st.one_of(
    st.tuples(st.sampled_from(_DATED), dates).map(lambda p: Draft(*p[0], p[1], Citation("book", "p. 1"))),
    st.sampled_from(_LINKED).map(lambda triple: Draft(*triple, Citation("book", "p. 2"))),
)
notes = st.lists(drafts, min_size=1, max_size=12, unique_by=lambda d: (d.subject, d.property, d.value))


def entries(claims: Sequence[Draft]) -> list[Entry]:
    """One entry for the things, and one for each claim."""
    first = compose(WHEN, "A. Tester", things=THINGS)
    rest = [
        compose(WHEN + timedelta(minutes=n), "A. Tester", drafts=(d,)) for n, d in enumerate(claims, start=1)
    ]
    return [first, *rest]


def view(made: Sequence[Entry]) -> WorkingView:
    return WorkingView.of(load_vocabulary(), made)


def ask(made: Sequence[Entry], phrase: str) -> Verdict:
    return fit(Chronology(view(made)), Question("lady", read_phrase(phrase, convention()))).verdict


def is_consistent(made: Sequence[Entry]) -> bool:
    return not Chronology(view(made)).everything.repaired.removed


def _within(inner: Window, outer: Window) -> bool:
    lows = ("begin_earliest", "end_earliest")
    highs = ("begin_latest", "end_latest")

    def value(window: Window, name: str) -> float:
        day = getattr(window, name)
        return (float("-inf") if name in lows else float("inf")) if day is None else day

    return all(value(inner, n) >= value(outer, n) for n in lows) and all(
        value(inner, n) <= value(outer, n) for n in highs
    )


@settings(max_examples=60, deadline=None)
@given(notes, drafts)
def test_adding_a_claim_never_widens_a_window(claims: list[Draft], more: Draft) -> None:
    before, after = entries(claims), entries([*claims, more])
    if not is_consistent(after):
        return
    earlier, later = Chronology(view(before)), Chronology(view(after))
    for thing, span in earlier.made.bases:
        assert _within(later.window(thing, span), earlier.window(thing, span))


@settings(max_examples=60, deadline=None)
@given(
    notes, st.randoms(use_true_random=False), st.sampled_from(["about 1870", "1866", "1850s", "before 1900"])
)
def test_the_order_of_entries_never_matters(claims: list[Draft], chance: Random, phrase: str) -> None:
    made = entries(claims)
    mixed = list(made)
    chance.shuffle(mixed)
    assert view(mixed).claims == view(made).claims
    assert ask(mixed, phrase) is ask(made, phrase)
    assert Audit(Chronology(view(mixed))).conflicts == Audit(Chronology(view(made))).conflicts


@settings(max_examples=60, deadline=None)
@given(notes, st.integers(0, 12))
def test_merging_two_daybooks_equals_taking_the_union(claims: list[Draft], at: int) -> None:
    made = entries(claims)
    one, two = made[: at + 1], [made[0], *made[at + 1 :]]
    union = {entry.name: entry for entry in (*two, *one)}
    assert view(list(union.values())).claims == view(made).claims
    assert view(list(union.values())).things == view(made).things


@settings(max_examples=80, deadline=None)
@given(notes, drafts, st.sampled_from(["about 1870", "1866", "1850s", "before 1900", "1870"]))
def test_a_verdict_never_improves_when_a_constraint_is_added(
    claims: list[Draft], more: Draft, phrase: str
) -> None:
    before, after = entries(claims), entries([*claims, more])
    if Chronology(view(after)).evidence.repaired.removed:
        return
    assert severity(ask(after, phrase)) >= severity(ask(before, phrase))


@settings(max_examples=60, deadline=None)
@given(notes)
def test_each_conflict_is_irreducible_and_the_repair_leaves_the_rest_consistent(claims: list[Draft]) -> None:
    made = entries(claims)
    whole = view(made)
    audit = Audit(Chronology(whole))
    assert is_consistent_view(whole.without(claim.id for claim in audit.doubtful))
    for conflict in audit.conflicts:
        others = [c.id for c in whole.live if c not in conflict.claims]
        assert not is_consistent_view(whole.without(others))
        for claim in conflict.claims:
            assert is_consistent_view(whole.without([*others, claim.id]))


def is_consistent_view(some: WorkingView) -> bool:
    return not Chronology(some).everything.repaired.removed


@settings(max_examples=60, deadline=None)
@given(notes, st.sampled_from(["about 1870", "1866", "1850s", "1870"]))
def test_a_date_that_fits_can_be_added_without_a_conflict_and_one_that_cannot_brings_one(
    claims: list[Draft], phrase: str
) -> None:
    made = [e for e in entries(claims) if not any(c.property == "madeOn" for c in e.claims)]
    if not is_consistent(made):
        return
    reading = read_phrase(phrase, convention())
    verdict = fit(Chronology(view(made)), Question("lady", reading)).verdict
    dated = Draft("lady", "madeOn", reading.edtf or "", Citation("book", "p. 9"))
    after = [*made, compose(WHEN + timedelta(days=9), "A. Tester", drafts=(dated,))]
    assert is_consistent(after) is (verdict is not Verdict.CANNOT)


@settings(max_examples=80, deadline=None)
@given(
    notes, st.sampled_from(["about 1870", "1866", "1850s", "before 1900"]), st.randoms(use_true_random=False)
)
def test_leaving_a_claim_out_is_as_if_it_had_never_been_recorded(
    claims: list[Draft], phrase: str, chance: Random
) -> None:
    whole = view(entries(claims))
    left_out = chance.choice(sorted(whole.claims))
    reading = read_phrase(phrase, convention())
    asked = fit(Chronology(whole), Question("lady", reading, without=frozenset({left_out})))
    never = fit(Chronology(whole.without([left_out])), Question("lady", reading))
    assert (asked.verdict, asked.not_before.day, asked.not_after.day) == (
        never.verdict,
        never.not_before.day,
        never.not_after.day,
    )
