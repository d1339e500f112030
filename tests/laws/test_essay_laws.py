"""Laws of drafts that hold for every daybook, however odd what stands in it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kg.dates.window import Window, day_of
from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.essays.compose import compose as composed
from kg.essays.dates_in_house import edtf_in_house, window_in_house
from kg.essays.draft_text import plain
from kg.essays.editions import passages
from kg.essays.plan import Bench
from kg.vocabulary import load_vocabulary
from tests.essays.held import unheld

WHEN = datetime(2026, 1, 1, 9, tzinfo=UTC)
SECRET = "Zebedee Hushabye"
#: Names as a source may give them: markup, brackets, figures and signs that mean something elsewhere.
labels = st.sampled_from(
    ["Tarn & Ottery", "A. B. *Tarn*", "Tarn, successor of Ottery", "[^own] Tarn", "1. Tarn", "<b>Tarn</b>",
     "# Tarn", "Tarn\\", "T_a_r_n", "&amp; Tarn", "Tarn | Ottery", "`Tarn`"]
)  # fmt: skip
dates = st.sampled_from(
    ["1866", "1872-05-17", "1878~", "187X", "1874-22", "[1867,1876]", "[..1883]", "1871/1886"]
)
texts = st.sampled_from(
    ["C[---]T[---] / PARIS", "a chip; a rub", "4", "seen in 1931.", "[^c3ov] *x*", "\u202eturned\u0007"]
)

MAKERS, SOURCES = ("m0", "m1"), ("b0", "b1", "lady")
claims = st.one_of(
    st.tuples(st.just("lady"), st.just("madeBy"), st.sampled_from(MAKERS)),
    st.tuples(st.just("lady"), st.just("soldBy"), st.sampled_from(MAKERS)),
    st.tuples(st.just("lady"), st.just("madeOn"), dates),
    st.tuples(st.just("lady"), st.just("heightMm"), st.sampled_from(["415", "1", "90000"])),
    st.tuples(st.just("lady"), st.just("condition"), texts),
    st.tuples(st.just("lady"), st.just("usesMaterial"), st.just("material-celluloid")),
    st.tuples(st.just("lady"), st.just("hasFeature"), st.sampled_from(["feature-shoulder-head", "odd"])),
    st.tuples(st.just("lady"), st.just("hasOriginalPart"), st.just("head")),
    st.tuples(st.just("lady"), st.just("ownedBy"), st.sampled_from(["m0", "secret"])),
    st.tuples(st.just("lady"), st.just("illustratedIn"), st.sampled_from(["b0", "b1"])),
    st.tuples(st.just("lady"), st.just("bears"), st.just("mark")),
    st.tuples(st.just("mark"), st.just("transcribed"), texts),
    st.tuples(st.just("head"), st.just("madeBy"), st.sampled_from(MAKERS)),
    st.tuples(st.just("other"), st.just("madeBy"), st.sampled_from(MAKERS)),
    st.tuples(st.sampled_from(MAKERS), st.sampled_from(["founded", "ceased", "openedOn"]), dates),
    st.tuples(st.just("m1"), st.just("succeeded"), st.just("m0")),
    st.tuples(st.sampled_from(["b0", "b1"]), st.just("publishedOn"), dates),
    st.tuples(st.just("material-celluloid"), st.just("availableFrom"), dates),
)
sayings = st.lists(st.tuples(claims, st.sampled_from(SOURCES), st.booleans()), min_size=1, max_size=14)


#: What is said: subject, property and value, the source, and whether it is confidential.
Said = list[tuple[tuple[str, str, str], str, bool]]


def made(said: Said, names: list[str]) -> WorkingView:
    """A daybook of one piece: what is said, by which source, and whether it is confidential."""
    things = (
        Thing("lady", ("Piece", "ObjectExamined"), "Lady with a comb"),
        Thing("other", ("Piece",), f"Other {names[0]}"),
        Thing("head", ("Head",), "Head of the lady"),
        Thing("mark", ("Mark",), f"Mark {names[1]}"),
        Thing("m0", ("Firm", "Retailer"), names[0]),
        Thing("m1", ("Firm", "Retailer"), names[1]),
        Thing("b0", ("Book",), "A Book"),
        Thing("b1", ("Article",), "An Article"),
        Thing("odd", ("Feature",), names[2]),
        Thing("feature-shoulder-head", ("Feature",), "shoulder head"),
        Thing("material-celluloid", ("Material",), "celluloid"),
        Thing("secret", ("Owner", "Person"), SECRET, is_confidential=True),
    )
    entries = [compose(WHEN, "A. Tester", things=things)]
    for number, ((subject, says, value), source, is_hidden) in enumerate(said, start=1):
        draft = Draft(
            subject, says, value, Citation(source, "p. 1"), written=value, is_confidential=is_hidden
        )
        entries.append(compose(WHEN + timedelta(minutes=number), "A. Tester", drafts=(draft,)))
    return WorkingView.of(load_vocabulary(), entries)


names = st.lists(labels, min_size=3, max_size=3)
SLOW = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


@SLOW
@given(sayings, names)
def test_each_sentence_of_a_draft_has_a_note_and_holds_no_figure_or_name_of_its_own(
    said: Said, called: list[str]
) -> None:
    view = made(said, called)
    bench = Bench(view)
    for sentence in composed(bench, "lady").sentences:
        assert re.search(r"(\[\^(own|c[a-z2-7]{10})\])+$", sentence.markdown)
        assert unheld(bench, sentence) == []


@SLOW
@given(sayings, names)
def test_nothing_confidential_reaches_a_draft(said: Said, called: list[str]) -> None:
    view = made(said, called)
    draft = composed(Bench(view), "lady")
    assert SECRET not in draft.markdown
    assert not [c for s in draft.sentences for c in s.claims if view.is_confidential(c)]


@SLOW
@given(sayings, names)
def test_the_notes_of_a_draft_read_back_are_the_claims_that_it_was_written_from(
    said: Said, called: list[str]
) -> None:
    view = made(said, called)
    draft = composed(Bench(view), "lady")
    read = [name for passage in passages(draft.markdown) for name in passage.claims]
    written = [c.id for s in draft.sentences for c in s.claims]
    assert set(read) == set(written)
    assert all(name in view.claims for name in read)


@SLOW
@given(sayings, names)
def test_a_draft_is_the_same_in_whatever_order_the_entries_are_read(said: Said, called: list[str]) -> None:
    view = made(said, called)
    entries = [*view.entries.values()]
    again = WorkingView.of(view.vocabulary, reversed(entries))
    assert composed(Bench(again), "lady").markdown == composed(Bench(view), "lady").markdown


@given(st.text(max_size=60))
def test_text_from_the_record_is_one_line_without_a_note_of_its_own(text: str) -> None:
    told = plain(text)
    assert "\n" not in told
    assert not re.search(r"(?<!\\)(\\\\)*\[\^", told)


@given(st.integers(0, 700_000), st.integers(0, 50_000))
def test_a_window_in_words_holds_the_years_of_its_ends(first: int, width: int) -> None:
    window = Window.within(day_of(1) + first, day_of(1) + first + width)
    words = window_in_house(window).phrase
    assert re.search(r"\d", words)
    assert words == window_in_house(Window.within(window.first, window.last)).phrase


@given(dates)
def test_a_date_in_house_style_keeps_its_years(edtf: str) -> None:
    found = {int(year) for year in re.findall(r"\d{4}", edtf_in_house(edtf).words)}
    given_years = {int(year) for year in re.findall(r"\d{4}", edtf.replace("X", "0"))}
    assert found <= {year + step for year in given_years for step in (0, 1)}
