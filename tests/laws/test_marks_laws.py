"""Laws that hold for every mark."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.marks.reading import bounds_of, read_mark
from kg.marks.registers import register
from kg.marks.transcription import (
    Element,
    Glyph,
    LineBreak,
    Transcription,
    TranscriptionNotUnderstood,
    parse_transcription,
)
from tests.marks.strategies import transcriptions


@given(transcriptions())
def test_a_mark_that_is_written_out_reads_back_as_the_same_mark(mark: Transcription) -> None:
    assert parse_transcription(str(mark)) == mark


@given(st.text(alphabet="AB12[]()./-|\\?: \nḅ\u0323vac,…", max_size=25))
def test_any_text_is_either_a_mark_that_prints_as_typed_or_an_error_that_points_into_it(text: str) -> None:
    try:
        mark = parse_transcription(text)
    except TranscriptionNotUnderstood:
        with pytest.raises(TranscriptionNotUnderstood) as caught:
            parse_transcription(text)
        assert 0 <= caught.value.at <= len(text)
        assert caught.value.wanted in str(caught.value)
    else:
        assert str(mark) == text
        assert parse_transcription(str(replace(mark, written=""))) == mark


#: Marks whose wear is invented below: each kind of evidence, alone and together, every firm invented.
MARKS = (
    "D.R.G.M. 455610 / Germany / R. & S. GmbH / 139",
    "D.R.P. Nr. 16204 / SONNEBERG",
    "Rd. No. 150412",
    "U.S. Pat. Des. D101090",
    "Pat. No. 1,147,592 / LTD",
    "PAT'D MAY 13, 1873 / A. HOLLINGDRAKE",
    "STARBIRD'S PATENT / 19 March 1867",
    "diamond, class IV, top T, right 7, bottom 6, left R",
    "diamond IV T 7 6 R",
    "BREVETÉ S.G.D.G. / PARIS",
    "© 1910 / Made in Western Germany / 1907 / 8",
    "British Pat. No. 1234/10 / CELLULOID / 3/6",
    "PAT. JUNE 12 '88 / MARQUE DE FABRIQUE",
    "NIPPON / K.k. priv. / C.E. / 12345",
    "mirrored: YNAMREG / HbmG .S & .R 931",
    "inverted: D.R.G.M. 69160 / 1906 / 16",
    "W. GERMANY / Patented in U.S.A. Dec 17th 1901 / 12 fr. 50",
    "MADE IN OCCUPIED JAPAN / Chicago 16, Ill. / N° 4",
    "Pat. No. 15,234 of 1899 / 7, Kronengasse 7, Wien",
    "MADE IN GERMANY / DEP / 1079",
    "Made in Bavaria / Reg. No. 230414",
    "GES. GESCH. 1894 / Importé d'Allemagne",
    "Fabriqué en Allemagne / Saxony 12",
)
_SEPARATORS = frozenset(" .,/'")


def is_wearable(mark: Transcription, at: int) -> bool:
    """Whether a character can wear: spaces cannot, nor, by the conventions of reading, what parts two digits."""
    here = mark.elements[at]
    if not isinstance(here, Glyph) or here.char == " ":
        return False
    beside = [mark.elements[i] for i in (at - 1, at + 1) if 0 <= i < len(mark.elements)]
    parts_digits = len(beside) == 2 and all(isinstance(e, Glyph) and e.char.isdigit() for e in beside)
    return not (here.char in _SEPARATORS and parts_digits)


@st.composite
def worn_twice(draw: st.DrawFn) -> tuple[Transcription, Transcription]:
    """A mark a little worn, and the same mark more worn."""
    mark = parse_transcription(draw(st.sampled_from(MARKS)))
    places = [at for at in range(len(mark.elements)) if is_wearable(mark, at)]
    steps = []
    for _ in range(2):
        chosen = draw(st.lists(st.sampled_from(places), max_size=3, unique=True))
        worn = dict.fromkeys(chosen, draw(st.sampled_from(["lost", "unclear"])))
        steps.append(worn)
    little = replace(
        mark, elements=tuple(wear(e, steps[0].get(at)) for at, e in enumerate(mark.elements)), written=""
    )
    more = tuple(wear(e, steps[1].get(at)) for at, e in enumerate(little.elements))
    return little, replace(little, elements=more)


def wear(element: Element, state: str | None) -> Element:
    """A character worn to a state; what is lost stays lost."""
    if not isinstance(element, Glyph) or state is None or element.state == "lost":
        return element
    return Glyph("", "lost") if state == "lost" else Glyph(element.char, "unclear")


def is_read_as_digit(legible: Transcription, worn: Transcription) -> bool:
    """Whether something other than a digit was lost beside a digit; there it is usually taken for a digit."""
    for at, (before, after) in enumerate(zip(legible.elements, worn.elements, strict=True)):
        beside = [*legible.elements[max(0, at - 1) : at], *legible.elements[at + 1 : at + 2]]
        touches_digit = any(isinstance(e, Glyph) and (e.char.isdigit() or e.state == "lost") for e in beside)
        is_other = isinstance(before, Glyph) and not before.char.isdigit()
        if before != after and after == Glyph("", "lost") and is_other and touches_digit:
            return True
    return False


# The first example reads the tables, which takes its time on a busy machine.
@settings(max_examples=300, deadline=None)
@given(worn_twice())
def test_a_more_legible_mark_never_has_a_wider_window(marks: tuple[Transcription, Transcription]) -> None:
    legible, worn = (read_mark(mark).window for mark in marks)
    assert worn.hard.contains(legible.hard), [str(mark) for mark in marks]
    if not legible.strains and not worn.strains and not is_read_as_digit(*marks):
        assert worn.window.contains(legible.window), [str(mark) for mark in marks]


@given(st.sampled_from(["US", "US-D", "GB-RD", "DRP", "DRGM"]), st.data())
def test_a_number_read_from_a_mark_is_dated_as_its_register_dates_it(
    series: str, data: st.DataObject
) -> None:
    known = register(series)
    number = data.draw(st.integers(1, known.rows[-1].first + 10))
    words = {
        "US": "U.S. Pat. No.",
        "US-D": "Des. Pat.",
        "GB-RD": "Rd. No.",
        "DRP": "D.R.P.",
        "DRGM": "D.R.G.M.",
    }
    (found,) = [r for r in bounds_of(f"{words[series]} {number}") if r.series == series]
    assert found.registered == known.look_up(number).window
    assert (found.lowest, found.highest) == (number, number)


@given(
    st.sampled_from(["US", "US-D", "GB-RD", "GB", "DRP", "DRGM", "FR"]),
    st.lists(st.integers(1, 5_000_000), min_size=4, max_size=4),
)
def test_a_narrower_range_of_numbers_never_has_a_wider_window(series: str, ends: list[int]) -> None:
    low, inner_low, inner_high, high = sorted(ends)
    known = register(series)
    inner, outer = known.look_up(inner_low, inner_high), known.look_up(low, high)
    if inner.rows and outer.rows:
        assert outer.window.contains(inner.window)


@settings(deadline=None)
@given(transcriptions())
def test_no_mark_is_too_strange_to_be_read(mark: Transcription) -> None:
    read = read_mark(mark)
    assert len(read.readings) == sum(len(token.readings) for token in read.tokens)
    for token in read.tokens:
        for reading in token.readings:
            assert 0 <= reading.start < reading.end <= len(mark.elements)


def test_a_mirrored_mark_finds_its_original_first() -> None:
    from kg.marks.matching import MarkIndex

    originals = [mark for mark in MARKS if "diamond" not in mark and ":" not in mark]
    index = MarkIndex.build([str(at) for at in range(len(originals))], originals)
    for at, original in enumerate(originals):
        turned = parse_transcription(f"mirrored: {original.replace(':', '')}")
        assert index.search(turned, 1)[0].id == str(at)


@pytest.mark.parametrize("text", [mark for mark in MARKS if ":" not in mark])
def test_a_mirrored_mark_is_read_as_its_original_whichever_way_it_was_typed(text: str) -> None:
    original = parse_transcription(text)
    lines: list[list[Element]] = [[]]
    for element in original.elements:
        if element == LineBreak():
            lines.append([])
        else:
            lines[-1].append(element)
    seen = [element for line in lines for element in (*reversed(line), LineBreak())][:-1]
    for elements in (original.elements, tuple(seen)):
        mirrored = Transcription(orientation="mirrored", elements=elements)
        assert read_mark(mirrored).window == read_mark(original).window
