"""What holds for every date: laws, tried on generated windows, EDTF texts and phrases."""

from __future__ import annotations

import string
from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from kg.dates.conventions import convention
from kg.dates.edtf import as_edtf, parse_edtf, year_text
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_date
from kg.dates.tokens import folded
from kg.dates.window import Span, Window, civil, day_of, month_length, relation, year_of

DAYS = st.integers(-2_000_000, 2_000_000)
YEARS = st.integers(-3000, 3000)


@st.composite
def windows(draw: st.DrawFn) -> Window:
    """Any window: four bounds in order, each possibly unknown, unknown sides possibly open."""
    a, b, c, d = sorted(draw(st.lists(DAYS, min_size=4, max_size=4)))
    if draw(st.booleans()):
        b, c = c, b
    begin_earliest, begin_latest, end_earliest, end_latest = (
        draw(st.one_of(st.just(day), st.none())) for day in (a, b, c, d)
    )
    return Window(
        begin_earliest,
        begin_latest,
        end_earliest,
        end_latest,
        begin_earliest is None and draw(st.booleans()),
        end_latest is None and draw(st.booleans()),
    )


@st.composite
def whole_years(draw: st.DrawFn) -> Window:
    """One date within whole years, either side possibly unknown."""
    first, last = sorted((draw(YEARS), draw(YEARS)))
    return Window.within(
        draw(st.sampled_from([None, day_of(first)])), draw(st.sampled_from([None, day_of(last, 12, 31)]))
    )


@st.composite
def edtf_dates(draw: st.DrawFn) -> tuple[str, int]:
    """A year, month or day in EDTF with a qualifier, and the number of its year."""
    year = draw(st.integers(-9999, 9999))
    month = draw(st.integers(1, 12))
    parts = [year_text(year), f"{month:02d}", f"{draw(st.integers(1, month_length(year, month))):02d}"]
    text = "-".join(parts[: draw(st.integers(1, 3))])
    return text + draw(st.sampled_from(["", "?", "~", "%"])), year


@st.composite
def edtf_texts(draw: st.DrawFn) -> str:
    """Any EDTF text: a date, digits left out, an interval with open or unknown ends, a set."""
    form = draw(st.sampled_from(["date", "unspecified", "interval", "half", "set", "long"]))
    if form == "date":
        return draw(edtf_dates())[0]
    if form == "unspecified":
        digits = draw(st.text("0123456789X", min_size=3, max_size=3))
        return "1" + digits + draw(st.sampled_from(["", "-XX", "-12", "-XX-XX", "-1X"]))
    if form == "long":
        return f"Y{draw(st.sampled_from(['', '-']))}{draw(st.integers(10_000, 10**9))}"
    a, b = sorted((draw(edtf_dates()), draw(edtf_dates())), key=lambda date: date[1])
    if form == "interval" and a[1] < b[1]:
        return f"{a[0]}/{b[0]}"
    if form == "set" and a[1] < b[1]:
        opening, closing = draw(st.sampled_from([("[", "]"), ("{", "}")]))
        return f"{opening}{a[0]}{draw(st.sampled_from([',', '..']))}{b[0]}{closing}"
    return draw(st.sampled_from(["{}/", "/{}", "{}/..", "../{}"])).format(a[0])


def _refusal(read: Callable[[str], object], text: str) -> DateNotUnderstood | None:
    """The refusal of a text, or None if it is read."""
    try:
        read(text)
    except DateNotUnderstood as refusal:
        return refusal
    return None


@given(windows())
def test_a_window_comes_back_from_its_text(window: Window) -> None:
    assert Window.parse(str(window)) == window


@given(DAYS)
def test_a_day_comes_back_from_its_calendar_date(day: int) -> None:
    assert day_of(*civil(day)) == day


@given(windows(), windows(), DAYS)
def test_a_day_is_in_the_overlap_exactly_when_it_is_in_both(a: Window, b: Window, day: int) -> None:
    shared = a.overlap(b)
    assert (shared is not None and day in shared) == (day in a and day in b)


@given(whole_years(), whole_years(), YEARS)
def test_a_year_is_in_the_overlap_exactly_when_it_is_in_both(a: Window, b: Window, year: int) -> None:
    shared = a.overlap(b)
    assert (shared is not None and shared.has_year(year)) == (a.has_year(year) and b.has_year(year))


@given(windows(), windows())
def test_an_overlap_does_not_depend_on_the_order(a: Window, b: Window) -> None:
    assert a.overlap(b) == b.overlap(a)


@given(windows(), windows())
def test_a_hull_contains_both(a: Window, b: Window) -> None:
    assert a.hull(b).contains(a)
    assert a.hull(b).contains(b)


@given(windows(), windows(), DAYS)
def test_what_contains_a_window_contains_its_days(a: Window, b: Window, day: int) -> None:
    if a.contains(b) and day in b:
        assert day in a


@given(windows(), st.integers(0, 200), st.integers(0, 200))
def test_widening_never_narrows(window: Window, begin: int, end: int) -> None:
    wide = window.widened(begin, end)
    assert wide.contains(window)
    for low in ("begin_earliest", "end_earliest"):
        assert (getattr(wide, low) is None) == (getattr(window, low) is None)
        assert getattr(wide, low) is None or getattr(wide, low) <= getattr(window, low)
    for high in ("begin_latest", "end_latest"):
        assert (getattr(wide, high) is None) == (getattr(window, high) is None)
        assert getattr(wide, high) is None or getattr(wide, high) >= getattr(window, high)


@given(windows(), windows())
def test_clipping_keeps_within_the_limit(window: Window, limit: Window) -> None:
    if window.overlap(limit) is not None:
        assert limit.contains(window.clipped(limit))


@given(*[st.tuples(st.integers(0, 50), st.integers(0, 50)).map(lambda p: Span(min(p), max(p)))] * 2)
def test_two_spans_share_a_day_exactly_when_their_relation_says_so(a: Span, b: Span) -> None:
    apart = relation(a, b).value in {"<", ">", "m", "mi"}
    assert apart == (a.last < b.first or b.last < a.first)


@given(edtf_texts())
def test_edtf_comes_back_as_it_was(text: str) -> None:
    try:
        date = parse_edtf(text)
    except DateNotUnderstood:
        assert "X" in text  # some digits left out fit no day, such as 1X00-1X; nothing else may be refused
        return
    assert str(date) == text
    assert parse_edtf(str(date)) == date


@given(edtf_texts())
def test_a_window_that_edtf_can_write_comes_back_from_it(text: str) -> None:
    try:
        window = parse_edtf(text).window
        written = as_edtf(window)
    except ValueError:
        return
    assert parse_edtf(written).window == window


@given(st.text(max_size=40))
def test_any_text_is_edtf_or_refused_at_a_place_in_it(text: str) -> None:
    refusal = _refusal(parse_edtf, text)
    assert refusal is None or 0 <= refusal.at <= len(text)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    refusal = _refusal(read_date, text)
    assert refusal is None or (
        0 <= refusal.at <= len(text) and str(refusal).startswith("Date not understood")
    )


_WORDS = str.split(
    "c. ca. um vers 1878 1880s 19th 19. XIXe century Jh. siècle early late mid fin Ende 2. Hälfte quart before "
    "after bis or oder ou and und et - / , ; ( ) ? ~ May 12 5 BCE v. Chr. designed made printed later Victorian "
    "between zwischen entre to à from since winter 1870 70 o. J. n.d. with mounts period dynasty Meiji "
    "3/12/1877 13/5/1880 patented sold design cast begun finished ± +/- 80er Jahre des turn Wende zum C19 E. M. "
    'Spätbiedermeier half probably ante signed " later'
)


@given(st.lists(st.sampled_from(_WORDS), max_size=10), st.sampled_from(["", " "]))
def test_any_order_of_the_words_of_dates_is_read_or_refused(words: list[str], joint: str) -> None:
    phrase = joint.join(words)
    refusal = _refusal(read_date, phrase)
    if refusal is not None:
        assert 0 <= refusal.at <= len(phrase)
        return
    reading = read_date(phrase)
    if reading.edtf is not None:
        assert parse_edtf(reading.edtf).window == reading.core
    if reading.making is not None:
        assert parse_edtf(reading.making.edtf).window == reading.making.core
        assert reading.making.window.contains(reading.making.core)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["designed", "patented", "made", "begun", "cast", "sold"]),
            st.integers(1700, 1950),
        ),
        min_size=1,
        max_size=4,
        unique_by=lambda stage: stage[0],
    )
)
def test_a_making_is_never_before_the_design_or_held_to_a_wrong_stage(stages: list[tuple[str, int]]) -> None:
    years = dict(stages)
    phrase = ", ".join(f"{word} {year}" for word, year in sorted(stages, key=lambda s: s[1]))
    if years.get("made", 9999) < years.get("designed", 0):
        assert _refusal(read_date, phrase) is not None
        return
    making = read_date(phrase).making
    assert making is not None
    if "made" in years and "begun" not in years:
        assert making.edtf == str(years["made"])
    elif set(years) <= {"designed", "patented"}:
        assert making.edtf == f"[{max(years.values())}..]"
    elif "cast" in years and not years.keys() & {"made", "begun"}:
        assert making.edtf == str(years["cast"])


@given(st.integers(1, 12), st.integers(1, 12), st.integers(1500, 2000))
def test_two_figures_that_could_both_be_months_leave_both_days(a: int, b: int, year: int) -> None:
    found = read_date(f"{a}/{b}/{year}")
    days = {day_of(year, a, b), day_of(year, b, a)}
    assert {window.first for window in found.alternatives or (found.core or Window(),)} == days


@given(st.integers(1000, 2100), st.sampled_from(["c. {}", "um {}", "vers {}", "ca. {}", "{} (circa)"]))
def test_circa_widens_by_the_convention_in_every_language(year: int, form: str) -> None:
    window = read_date(form.format(year)).window
    width = convention().circa_width(year).years
    assert window is not None
    assert window.first is not None
    assert window.last is not None
    assert (year_of(window.first), year_of(window.last)) == (year - width, year + width)


@given(st.integers(1000, 2090), st.integers(1, 99))
def test_a_short_second_year_lies_in_the_century_of_the_first(first: int, short: int) -> None:
    last = first // 100 * 100 + short
    phrase = f"{first}-{short:02d}"
    if last <= first:
        try:
            read_date(phrase)
        except DateNotUnderstood:
            return
        raise AssertionError(phrase)
    core = read_date(phrase).core
    assert core is not None
    assert core.last == day_of(last, 12, 31)


@given(st.text(st.characters(codec="utf-8"), max_size=50))
def test_folding_keeps_every_character_in_its_place(text: str) -> None:
    assert len(folded(text)) == len(text)
    assert folded(string.ascii_uppercase) == string.ascii_lowercase
