"""A mark is written down as seen, and every fault in the writing is pointed at."""

from dataclasses import replace

import pytest

from kg.marks.transcription import (
    Element,
    Gap,
    Glyph,
    LineBreak,
    Transcription,
    TranscriptionNotUnderstood,
    Vacant,
    parse_transcription,
)


def clear(text: str) -> tuple[Glyph, ...]:
    return tuple(Glyph(char) for char in text)


@pytest.mark.parametrize(
    ("text", "elements"),
    [
        pytest.param("1[..]2", (Glyph("1"), Glyph("", "lost"), Glyph("", "lost"), Glyph("2")), id="two lost"),
        pytest.param("[---]A", (Gap(1, None), Glyph("A")), id="lost, nobody knows how many"),
        pytest.param("[- - -]A", (Gap(1, None), Glyph("A")), id="the same, spaced"),
        pytest.param("[- 3-5 -]A", (Gap(3, 5), Glyph("A")), id="three to five lost"),
        pytest.param("[- 2+ -]A", (Gap(2, None), Glyph("A")), id="two or more lost"),
        pytest.param(
            "[- 2 -]A", (Glyph("", "lost"), Glyph("", "lost"), Glyph("A")), id="a count is so many dots"
        ),
        pytest.param("[ab]", (Glyph("a", "restored"), Glyph("b", "restored")), id="restored"),
        pytest.param("G(es)", (Glyph("G"), Glyph("e", "expanded"), Glyph("s", "expanded")), id="expanded"),
        pytest.param("[[ab]]", (Glyph("a", "erased"), Glyph("b", "erased")), id="erased"),
        pytest.param("[[.]]", (Glyph("", "erased"),), id="erased past reading"),
        pytest.param("3\u0323", (Glyph("3", "unclear"),), id="dot below"),
        pytest.param(
            "\u1e042", (Glyph("B", "unclear"), Glyph("2")), id="dot below, as one composed character"
        ),
        pytest.param("3?", (Glyph("3", "unclear"),), id="typable uncertainty"),
        pytest.param("E\u0301", (Glyph("É"),), id="an accent is part of its letter"),
        pytest.param("A / B", (Glyph("A"), LineBreak(), Glyph("B")), id="stroke between spaces"),
        pytest.param("A|B", (Glyph("A"), LineBreak(), Glyph("B")), id="upright stroke"),
        pytest.param("A\nB", (Glyph("A"), LineBreak(), Glyph("B")), id="new line"),
        pytest.param("139/4", clear("139/4"), id="stroke without spaces is a character"),
        pytest.param("A (vac.) B", (Glyph("A"), Glyph(" "), Vacant(), Glyph(" "), Glyph("B")), id="vacant"),
        pytest.param("(vac. 3)", (Vacant(3),), id="vacant of a known width"),
        pytest.param("(c) 1910", clear("© 1910"), id="the sign of copyright"),
        pytest.param(r"\[A\?\]", clear("[A?]"), id="escaped signs"),
        pytest.param(
            "[D.R.]G", (*(Glyph(c, "restored") for c in "D.R."), Glyph("G")), id="full stops restored"
        ),
        pytest.param("London: 1867", clear("London: 1867"), id="a colon in the mark is no head"),
    ],
)
def test_every_sign_of_the_conventions_is_read(text: str, elements: tuple[Element, ...]) -> None:
    mark = parse_transcription(text)
    assert mark.elements == elements
    assert str(mark) == text
    assert parse_transcription(str(replace(mark, written=""))) == mark


@pytest.mark.parametrize(
    ("text", "at", "wanted"),
    [
        pytest.param("17[3", 2, "']' to close this bracket", id="left open"),
        pytest.param(
            "17]3",
            2,
            r"an opening '[' before this ']' (or '\]' if it stands on the piece)",
            id="never opened",
        ),
        pytest.param("1[]", 2, "something between '[' and ']'", id="empty"),
        pytest.param("(bc)", 0, "letters before '('", id="nothing to expand"),
        pytest.param("a(b", 1, "')' to close this bracket", id="expansion left open"),
        pytest.param("[a[b]]", 2, "']' before this; brackets close", id="nested"),
        pytest.param("[a / b]", 3, "']' before this; brackets close", id="over a line's end"),
        pytest.param("1[7.]", 3, "'[.]' of its own", id="a dot by a digit may be either"),
        pytest.param("[a?b]", 2, "no sign of uncertainty on a character that is restored", id="two states"),
        pytest.param("?", 0, "a character for this '?'", id="nothing to doubt"),
        pytest.param("AB…", 2, "'[---]' for lost characters", id="dots of another kind"),
        pytest.param("<a>", 0, "the mark as seen", id="a correction"),
        pytest.param("[- 5-3 -]", 3, "a range that rises", id="falling range"),
        pytest.param("a\\", 1, "a character after the backslash", id="dangling escape"),
        pytest.param("incised, back of head:", 22, "the characters of the mark", id="head without a mark"),
        pytest.param(
            "incisd, back of head: A", 0, "a technique (embossed, engraved", id="misspelt technique"
        ),
        pytest.param(
            "incised, stamped: A", 9, "one technique, not 'incised' and 'stamped'", id="two techniques"
        ),
        pytest.param("", 0, "the characters of the mark", id="nothing"),
        pytest.param("A" * 2_001, 2_000, "at most 2000 characters", id="a pasted page"),
        pytest.param("A\u0007", 1, "a printable character", id="a control character"),
    ],
)
def test_every_fault_is_pointed_at(text: str, at: int, wanted: str) -> None:
    with pytest.raises(TranscriptionNotUnderstood) as caught:
        parse_transcription(text)
    assert caught.value.at == at
    assert wanted in caught.value.wanted


def test_the_caret_stands_under_the_fault_although_a_dot_below_takes_no_room() -> None:
    with pytest.raises(TranscriptionNotUnderstood) as caught:
        parse_transcription("A\u0323B]")
    assert str(caught.value).splitlines()[-1] == "      ^"


def test_a_head_names_technique_colour_place_and_orientation() -> None:
    mark = parse_transcription("stamped, violet, back of body, mirrored: ABC")
    assert (mark.technique, mark.colour, mark.place, mark.orientation) == (
        "stamped",
        "violet",
        "back of body",
        "mirrored",
    )
    assert mark.visible == "ABC"


def test_fields_given_apart_equal_the_head_as_typed() -> None:
    typed = parse_transcription("incised, sole, inverted: 8")
    assert Transcription("incised", None, "sole", "inverted", (Glyph("8"),)) == typed


def test_what_is_typed_is_printed_only_while_it_still_says_the_same() -> None:
    mark = parse_transcription("mirrored: A|B")
    assert str(replace(mark, orientation="as written")) == "A / B"


@pytest.mark.parametrize(
    "broken",
    [
        pytest.param(lambda: Glyph(""), id="clear, but no character"),
        pytest.param(lambda: Glyph("AB"), id="two characters"),
        pytest.param(lambda: Glyph("A", "lost"), id="lost, but legible"),
        pytest.param(lambda: Glyph("\u1e04"), id="a dot below in a clear character"),
        pytest.param(lambda: Gap(3, 3), id="a known length is no gap"),
        pytest.param(lambda: Transcription(technique="drawn"), id="unknown technique"),
        pytest.param(lambda: Transcription(elements=(Glyph("a", "expanded"),)), id="an expansion of nothing"),
    ],
)
def test_no_impossible_value_can_be_made(broken) -> None:  # type: ignore[no-untyped-def]  # any thunk
    with pytest.raises(ValueError, match=r"\w"):
        broken()


@pytest.mark.parametrize(
    ("text", "visible", "whole"),
    [
        ("Germ[any] / 1[..]9", "Germ… / 1…9", "Germany / 1…9"),
        ("G(esellschaft)", "G", "Gesellschaft"),
        ("[[AB]]C", "ABC", "ABC"),
    ],
)
def test_what_is_seen_and_what_the_reader_supplies_are_told_apart(
    text: str, visible: str, whole: str
) -> None:
    mark = parse_transcription(text)
    assert (mark.visible, mark.text) == (visible, whole)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("A [-- 3 -] B", 5),
        ("[- 3 --]", 6),
        ("[- 3]", 4),
        ("[3 -]", 1),
        ("[- x -]", 3),
        ("[- 1234 -]", 6),
        ("[---abc]", 1),
        ("[a--b]", 2),
        ("[[-- 3 -]]", 4),
    ],
)
def test_a_malformed_gap_is_refused_at_the_sign_that_fits_no_gap(text: str, at: int) -> None:
    with pytest.raises(TranscriptionNotUnderstood, match=r"'\[---\]' for a lost stretch") as caught:
        parse_transcription(text)
    assert caught.value.at == at


@pytest.mark.parametrize("text", ["[1872-318]", "[Sonne-] / berg", "[\\-3]", "[- 3 -]", "[-3-]", "[- 3+ -]"])
def test_a_dash_within_what_is_restored_is_no_gap(text: str) -> None:
    assert str(parse_transcription(text)) == text


@pytest.mark.parametrize(
    ("word", "facing"),
    [
        ("reversed", "mirrored"),
        ("mirror", "mirrored"),
        ("in reverse", "mirrored"),
        ("backwards", "mirrored"),
        ("upside down", "inverted"),
    ],
)
def test_a_mark_that_stands_turned_is_known_by_each_word_for_it(word: str, facing: str) -> None:
    mark = parse_transcription(f"stamped, {word}: ABC")
    assert mark == parse_transcription(f"stamped, {facing}: ABC")
    assert str(mark) == f"stamped, {word}: ABC"


@pytest.mark.parametrize("place", ["kid", "on the kid", "leather", "sole", "hem of the dress"])
def test_where_a_doll_is_marked_may_be_named_by_its_material_or_its_clothes(place: str) -> None:
    assert parse_transcription(f"stamped, {place}: ABC").place == place


def test_a_place_that_is_not_known_is_refused_naming_those_that_are() -> None:
    with pytest.raises(TranscriptionNotUnderstood) as caught:
        parse_transcription("stamped, gizzard: ABC")
    assert caught.value.at == 9
    known = caught.value.wanted
    assert known.startswith("a place (apron, arm, ")
    assert "kid, " in known
    assert known.endswith(
        r"wrist) or a colour (black, blue, brown, gold, green, grey, orange, pink, purple, red, silver, violet, "
        r"white, yellow) or an orientation (as written, inverted, mirrored); '\:' is a colon in the mark"
    )


def test_what_a_head_has_already_is_not_offered_again() -> None:
    with pytest.raises(TranscriptionNotUnderstood) as caught:
        parse_transcription("stamped, blue, mirrored, gizzard: ABC")
    assert "a colour" not in caught.value.wanted
    assert "an orientation" not in caught.value.wanted
