"""Who it may be: ranked, with reasons, exclusions and room for a maker not in the daybook."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kg.attribution.candidates import NotAPiece, Ranking, rank
from kg.attribution.inquiry import Inquiry, Settings
from kg.attribution.next_look import next_looks, unlearned
from kg.attribution.telling import told_ranking
from kg.attribution.words import attribution, degrees
from kg.daybook.record import Draft, Judgement, Thing, compose
from tests.attribution.trade import (
    BEGUN,
    LAMBSKIN,
    MOHAIR,
    PAINTED,
    SHOULDER,
    SLEEPING,
    SOCKET,
    SWIVEL,
    THREADED,
    Trade,
    says,
    trade,
)


def chance_of(ranking: Ranking, maker: str) -> float:
    return next(c.probability for c in ranking.candidates if c.maker == maker)


def test_the_maker_whose_habits_she_shows_leads_with_reasons_and_citations() -> None:
    book = trade()
    book.lady(SWIVEL, THREADED, LAMBSKIN)
    ranking = rank(book.view(), "lady")
    assert ranking.leader is not None
    assert ranking.leader.maker == "brumelow"
    reasons = ranking.reasons("brumelow")
    assert {r.evidence.name for r in reasons} >= {"seen-neck", "seen-eyes", "seen-hair"}
    assert all(r.evidence.claims for r in reasons)
    neck = next(r for r in reasons if r.evidence.name == "seen-neck")
    assert (neck.shown, neck.of, neck.trade_of) == (10, 12, 36)
    assert neck.examples
    assert all(e.claim.value == SWIVEL for e in neck.examples)
    assert (
        neck.decibans
        > 0
        > next(r for r in ranking.reasons("tarn") if r.evidence.name == "seen-neck").decibans
    )


def test_the_weight_of_a_candidate_is_the_sum_of_its_reasons() -> None:
    book = trade()
    book.lady(SWIVEL, PAINTED)
    ranking = rank(book.view(), "lady")
    for candidate in ranking.candidates:
        total = sum(r.decibans for r in ranking.reasons(candidate.maker))
        assert candidate.decibans == pytest.approx(total)


def test_probabilities_with_the_unrecorded_maker_add_up_to_one() -> None:
    book = trade()
    book.lady(SWIVEL)
    ranking = rank(book.view(), "lady")
    assert sum(c.probability for c in ranking.candidates) + ranking.unrecorded == pytest.approx(1)


def test_a_maker_not_in_the_daybook_gains_as_a_piece_fits_nobody_and_never_drops_to_nothing() -> None:
    book = trade()
    book.lady(SWIVEL, THREADED, LAMBSKIN)
    fitting = rank(book.view(), "lady").unrecorded
    other = trade()
    other.lady(SWIVEL, SLEEPING, LAMBSKIN)
    misfit = rank(other.view(), "lady").unrecorded
    assert misfit > 5 * fitting
    assert fitting >= 1 / 40


def test_what_is_doubted_counts_less_whether_on_her_or_on_the_recorded_pieces() -> None:
    book = trade()
    seen = book.lady(SWIVEL, THREADED)
    held = rank(book.view(), "lady").decibans
    book.entries.append(
        compose(
            BEGUN.replace(year=2027),
            "A. Tester",
            judgements=tuple(Judgement(c.id, "doubted", "dim light") for c in seen.claims),
        )
    )
    doubted = rank(book.view(), "lady")
    at = doubted.inquiry.recorded.makers.index("brumelow")
    assert 0 < doubted.decibans[at] < held[at]
    makers = [c for e in book.entries for c in e.claims if c.property == "madeBy" and c.value == "tarn"]
    book.entries.append(
        compose(
            BEGUN.replace(year=2028),
            "A. Tester",
            judgements=tuple(Judgement(c.id, "doubted", "a guess") for c in makers),
        )
    )
    outputs = dict(
        zip(*(lambda i: (i.makers, i.records.outputs))(Inquiry.of(book.view()).recorded), strict=True)
    )
    assert outputs == {"brumelow": 12, "ottery": 12, "tarn": 6}


def test_a_claim_set_aside_counts_nothing() -> None:
    book = trade()
    seen = book.lady(SWIVEL)
    book.entries.append(
        compose(
            BEGUN.replace(year=2027),
            "A. Tester",
            judgements=(Judgement(seen.claims[0].id, "setAside", "slip"),),
        )
    )
    assert rank(book.view(), "lady").evidence == ()


def test_looking_and_finding_nothing_speaks_and_not_looking_is_silent() -> None:
    book = trade()
    book.add(drafts=[says("lady", "lacks", SWIVEL), says("lady", "notExamined", "eyes")])
    ranking = rank(book.view(), "lady")
    assert [e.name for e in ranking.evidence] == ["seen-neck"]
    assert chance_of(ranking, "brumelow") < chance_of(ranking, "tarn")


def test_a_recorded_piece_is_not_learned_from_when_it_is_asked_about() -> None:
    ranking = rank(trade().view(), "piece-tarn-0")
    assert "piece-tarn-0" not in ranking.inquiry.recorded.pieces
    assert ranking.leader is not None
    assert ranking.leader.maker == "tarn"


def test_a_piece_recorded_twice_counts_once() -> None:
    book = trade()
    book.add(drafts=[says("piece-tarn-0", "sameAs", "piece-tarn-1")])
    assert Inquiry.of(book.view()).recorded.records.outputs.tolist() == [12, 12, 11]


def test_a_piece_with_two_makers_claimed_is_shared_between_them() -> None:
    book = trade()
    book.add(drafts=[says("piece-tarn-0", "madeBy", "ottery")])
    assert Inquiry.of(book.view()).recorded.records.outputs.tolist() == [12, 12.5, 11.5]


def test_too_few_recorded_pieces_are_not_ranked_and_the_program_says_so() -> None:
    book = Trade()
    book.maker("brumelow", (SWIVEL, THREADED), 5)
    book.lady(SWIVEL)
    ranking = rank(book.view(), "lady")
    assert ranking.too_few is not None
    assert ranking.too_few.startswith("Too few recorded pieces to rank: 5 pieces, 1 makers with two or more")
    told = told_ranking(ranking)
    assert told["candidates"] == []
    assert told["unrecorded_maker"] is None
    assert told["attribution"]["certainty"] == "unidentified"
    assert next_looks(ranking) == ()


def test_asking_about_a_book_is_refused() -> None:
    with pytest.raises(NotAPiece, match=r"A Book of Heads \(book\) is no piece or part"):
        rank(trade().view(), "book")


# ---------------------------------------------------------------- exclusions


def dated_trade() -> Trade:
    found = Trade()
    found.maker("brumelow", (SWIVEL, THREADED, LAMBSKIN), begin=1850, end=1860)
    found.maker("tarn", (SWIVEL, THREADED, MOHAIR), begin=1865, end=1895)
    found.maker("ottery", (SOCKET, SLEEPING, MOHAIR), begin=1900, end=1920)
    found.add(
        things=[Thing("material-eosin", ("Material",), "eosin")],
        drafts=[
            says("material-eosin", "availableFrom", "1874"),
            says("lady", "usesMaterial", "material-eosin"),
        ],
    )
    found.lady(SWIVEL, THREADED, LAMBSKIN)
    return found


def test_a_maker_ruled_out_by_date_is_struck_with_the_claims_that_do_it() -> None:
    ranking = rank(dated_trade().view(), "lady")
    out = ranking.excluded["brumelow"]
    assert out.is_outlived
    assert {(c.subject, c.property) for c in out.claims} == {
        ("brumelow", "activeIn"),
        ("material-eosin", "availableFrom"),
        ("lady", "usesMaterial"),
    }
    last = ranking.candidates[-1]
    assert (last.maker, last.probability) == ("brumelow", 0)
    assert last.if_not_excluded > 0.5
    assert "tarn" not in ranking.excluded


def test_ruling_a_maker_out_lowers_no_other() -> None:
    view = dated_trade().view()
    free, bound = rank(view, "lady", settings=Settings(has_exclusions=False)), rank(view, "lady")
    assert (bound.chances >= free.chances - 1e-12)[
        [c not in bound.excluded for c in bound.inquiry.recorded.makers] + [True]
    ].all()


def test_what_is_in_the_manner_of_a_maker_who_had_stopped_is_said_so() -> None:
    book = dated_trade()
    ranking = rank(book.view(), "lady")
    words = attribution(ranking)
    if ranking.leader is not None and ranking.leader.probability < 0.5:
        assert words.relation == "manner of"
    assert words.certainty != "held"


# ---------------------------------------------------------------- words


def test_the_house_table_runs_from_most_to_least_and_always_has_an_answer() -> None:
    table = degrees()
    assert table[-1].at_least == 0
    assert not table[-1].needs_calibration
    leaders = [d.at_least for d in table if d.case == "leader"]
    assert leaders == sorted(leaders, reverse=True)
    assert {d.certainty for d in table} == {"held", "probably", "possibly", "unidentified"}
    assert all(d.basis for d in table)


def test_likeness_alone_is_never_held_and_a_mark_read_whole_is() -> None:
    book = trade()
    book.lady(SWIVEL, THREADED, LAMBSKIN)
    assert attribution(rank(book.view(), "lady")).certainty in ("probably", "possibly")
    # A likeness may say no more than the marks on record vouch for: forty others stand beside it.
    others = [f"mark-{n}" for n in range(40)]
    book.add(
        things=[
            Thing("mark-b", ("Mark",), "mark"),
            Thing("mark-l", ("Mark",), "mark on her"),
            *(Thing(other, ("Mark",), other) for other in others),
        ],
        drafts=[
            *(says(other, "transcribed", f"No. {n} / KILN {n}") for n, other in enumerate(others)),
            says("mark-b", "transcribed", "A. BRUMELOW / BATH"),
            says("mark-b", "markOf", "brumelow"),
            says("mark-l", "transcribed", "A. BRUMELOW / BATH"),
            says("lady", "bears", "mark-l", "lady"),
        ],
    )
    ranking = rank(book.view(), "lady")
    reason = next(r for r in ranking.reasons("brumelow") if r.evidence.kind == "mark")
    assert reason.evidence.mark is not None
    assert reason.decibans == pytest.approx(10 * math.log10(42))
    words = attribution(ranking)
    is_calibrated = ranking.inquiry.calibration.is_calibrated
    assert words.certainty == ("held" if is_calibrated else "possibly")


def marked(bearer: str, *more: Draft) -> Ranking:
    """The lady with a swivel neck; ``bearer`` bears a mark that reads like one of Tarn's on record."""
    book = trade()
    book.lady(SWIVEL)
    parts = [Thing("head", ("Head",), "head"), Thing("body", ("Body",), "body")]
    marks = [Thing(slug, ("Mark",), slug) for slug in ("mark-t", "mark-l")]
    drafts = [says("lady", "hasOriginalPart", part, "lady") for part in ("head", "body")]
    drafts += [says(slug, "transcribed", "TARN / KESWICK") for slug in ("mark-t", "mark-l")]
    drafts += [says("mark-t", "markOf", "tarn"), says(bearer, "bears", "mark-l", "lady"), *more]
    book.add(things=[*parts, *marks], drafts=drafts)
    return rank(book.view(), "lady")


@pytest.mark.parametrize(("bearer", "speaks"), [("lady", True), ("head", True), ("body", False)])
def test_a_mark_speaks_for_the_piece_from_itself_and_its_head_only(bearer: str, speaks: bool) -> None:
    assert any(each.kind == "mark" for each in marked(bearer).evidence) is speaks


def test_a_head_whose_own_maker_is_recorded_takes_its_mark_with_it() -> None:
    assert all(each.kind != "mark" for each in marked("head", says("head", "madeBy", "ottery")).evidence)


def test_a_mark_is_not_like_itself_and_a_source_that_names_its_owner_is_told_as_that() -> None:
    mark = next(e.mark for e in marked("lady", says("mark-l", "markOf", "ottery")).evidence if e.mark)
    assert mark.said_of == ("ottery",)
    assert "a source says" in mark.nearest["ottery"][2][0]
    assert mark.nearest["tarn"][0] == "mark-t"
    unsaid = next(e.mark for e in marked("lady").evidence if e.mark)
    assert unsaid.said_of == ()
    assert {found for found, *_ in unsaid.nearest.values()} == {"mark-t"}


def test_no_value_missing_from_few_pieces_speaks_more_surely_than_the_smoothing_allows() -> None:
    likelihood = Inquiry.of(trade().view()).likelihood
    leaned = likelihood._parents(likelihood._periods(0.0, 0.0), likelihood.trade)
    seen = likelihood._spread(likelihood.totals)
    assert (likelihood.counts == 0).any()
    assert (likelihood.chances >= leaned / (2 * seen + 1) - 1e-12).all()


def test_a_piece_that_may_be_anybodys_is_unidentified() -> None:
    words = attribution(rank(trade().view(), "lady"))
    assert (words.maker, words.certainty, words.words) == (None, "unidentified", "maker unidentified")


# ---------------------------------------------------------------- next looks


def test_the_look_that_tells_most_comes_first_with_its_cost_and_caution() -> None:
    book = trade()
    book.lady(MOHAIR)
    looks = next_looks(rank(book.view(), "lady"))
    assert [look.feature for look in looks][:2] == ["seen-eyes", "seen-neck"]
    assert looks[0].bits > looks[1].bits > 0
    assert looks[0].looking.label == "look"
    assert {o.value for o in looks[0].outcomes} >= {PAINTED, SLEEPING}
    assert sum(o.chance for o in looks[0].outcomes) <= 1


def test_a_feature_already_seen_is_not_asked_for_again_and_one_not_examined_is_marked() -> None:
    book = trade()
    book.lady(MOHAIR)
    book.add(drafts=[says("lady", "notExamined", "eyes")])
    looks = {look.feature: look for look in next_looks(rank(book.view(), "lady"))}
    assert "seen-hair" not in looks
    assert looks["seen-eyes"].was_tried
    assert not looks["seen-neck"].was_tried


def test_what_no_piece_shows_is_named_as_unlearned() -> None:
    assert {"hands", "pate"} <= set(unlearned(rank(trade().view(), "lady")))


def test_the_expected_doubt_after_the_looks_outcomes_is_the_doubt_now_less_the_gain() -> None:
    from kg.attribution.next_look import _after

    book = trade()
    book.lady(MOHAIR)
    ranking = rank(book.view(), "lady")
    column = ranking.inquiry.recorded.columns.index("seen-eyes")
    likelihoods, chances = _after(ranking, column), ranking.chances

    def doubt(p: np.ndarray) -> float:
        return float(-(p[p > 0] * np.log2(p[p > 0])).sum())

    overall = chances @ likelihoods
    after = sum(overall[v] * doubt(chances * likelihoods[:, v] / overall[v]) for v in range(len(overall)))
    look = next(each for each in next_looks(ranking) if each.feature == "seen-eyes")
    assert look.bits == pytest.approx(doubt(chances) - after)


def test_the_story_that_shoulder_heads_tell_is_of_another_maker() -> None:
    book = trade()
    book.lady(SHOULDER)
    leader = rank(book.view(), "lady").leader
    assert leader is not None
    assert leader.maker == "tarn"


def test_all_likely_makers_are_asked_about_their_dates_and_no_more_than_a_thousandth_is_left() -> None:
    from kg.attribution.candidates import ALWAYS_ASKED, worth_asking

    sharp = np.concatenate([[0.9999], np.full(1_999, 0.0001 / 1_999)])
    assert len(worth_asking(sharp)) == ALWAYS_ASKED
    flat = np.full(2_000, 1 / 2_000)
    assert 1_998 <= len(worth_asking(flat)) <= 2_000
    few = np.array([0.1, 0.6, 0.3])
    assert worth_asking(few) == [1, 2, 0]
