"""The text of essays: what is read, where it stands, what is refused and how, and that it is written back."""

from __future__ import annotations

import builtins
import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.essays.compose import draft
from kg.essays.plan import Bench
from kg.essays.syntax import (
    LONGEST_ESSAY,
    Emphasis,
    Essay,
    EssayNotUnderstood,
    Figure,
    Heading,
    Inline,
    ItemList,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Quotation,
    Strong,
    Text,
    escaped,
    read_catalogue,
    read_essay,
    to_markdown,
)

WHOLE = """# Lady *with* a snood

She is by Tarn & Ottery.[^c3ovizmxomi][^cp5iwcedotf, p. 12, pl. 3] **Hardly** a [copy](https://example.org/a_b).[^own]

## Mark

![The head from *behind*.[^c3ovizmxomi]](photograph-head)

> A quotation.\\
> Its second line.

- one
- two
  - within[^n1]

7. seven
8. eight

[^n1]: See *also* C\\[---\\]T.
"""


def only(essay: Essay) -> tuple[Inline, ...]:
    """The inlines of the first paragraph of an essay."""
    return next(block for block in essay.blocks if isinstance(block, Paragraph)).inlines


def test_each_part_is_read_as_what_it_is() -> None:
    essay = read_essay(WHOLE)
    kinds = [type(block) for block in essay.blocks]
    assert kinds == [Heading, Paragraph, Heading, Figure, Quotation, ItemList, ItemList]
    assert essay.title == "Lady with a snood"
    assert [type(inline) for inline in only(essay)] == [
        Text, NoteReference, NoteReference, Text, Strong, Text, Link, Text, NoteReference,
    ]  # fmt: skip
    figure = essay.blocks[3]
    assert isinstance(figure, Figure)
    assert (figure.picture.name, figure.picture.caption) == ("photograph-head", "The head from behind.")
    numbered = essay.blocks[6]
    assert isinstance(numbered, ItemList)
    assert (numbered.is_numbered, numbered.first, len(numbered.items)) == (True, 7, 2)


def test_a_note_has_its_claim_its_locator_and_whether_it_is_the_writers_own() -> None:
    notes = list(read_essay(WHOLE).references())
    assert [(note.claim, note.locator, note.remark, note.is_own) for note in notes] == [
        ("c3ovizmxomi", None, None, False),
        ("cp5iwcedotf", "p. 12, pl. 3", None, False),
        (None, None, None, True),
        ("c3ovizmxomi", None, None, False),
        (None, None, "n1", False),
    ]


@pytest.mark.parametrize(
    ("words", "place"),
    [
        pytest.param("[^c3ovizmxomi][^cp", "3:25", id="a note"),
        pytest.param("[^cp5iwcedotf, p.", "3:39", id="the next note"),
        pytest.param("**Hardly", "3:68", id="bold"),
        pytest.param("[copy]", "3:81", id="a link"),
        pytest.param("![The head", "7:1", id="a picture"),
        pytest.param("A quotation", "9:3", id="in a quotation"),
        pytest.param("within", "14:5", id="in a list in a list"),
    ],
)
def test_a_node_knows_the_line_and_column_where_it_was_written(words: str, place: str) -> None:
    line = next(n for n, text in enumerate(WHOLE.split("\n"), 1) if words in text)
    column = WHOLE.split("\n")[line - 1].index(words) + 1
    assert f"{line}:{column}" == place
    assert place in {str(one) for one in _places(read_essay(WHOLE))}


def _places(node: object) -> list[object]:
    found = [node.place] if hasattr(node, "place") else []  # each node of the tree has one
    for name in getattr(type(node), "__slots__", ()):
        value = getattr(node, name)
        for one in value if isinstance(value, tuple) else (value,):
            if hasattr(type(one), "__slots__") and name not in ("place", "runs"):
                found += _places(one)
            elif isinstance(one, tuple):
                for inner in one:
                    found += _places(inner)
    return found


def test_a_character_behind_an_escape_knows_its_column() -> None:
    text = only(read_essay("a\\[b\\] c"))[0]
    assert isinstance(text, Text)
    assert text.text == "a[b] c"
    assert [str(text.place_of(at)) for at in (0, 1, 2, 4, 5)] == ["1:1", "1:2", "1:4", "1:7", "1:8"]


def test_an_essay_is_written_back_as_it_was() -> None:
    assert to_markdown(read_essay(WHOLE)) == WHOLE


def test_every_draft_of_the_house_is_written_back_as_it_was(demo_bench: Bench) -> None:
    pieces = [thing.slug for thing in demo_bench.view.things.values() if "Piece" in thing.kinds]
    assert pieces
    for piece in pieces[::3]:
        text = draft(demo_bench, piece)
        assert to_markdown(read_essay(text)) == text


@given(
    st.lists(st.text(st.sampled_from("ab .*_[]()<>\\!#-+1&;|`~=^:\"'é"), min_size=1, max_size=40), min_size=1)
)
def test_words_of_any_kind_are_written_so_that_they_are_read_as_the_same_words(rows: list[str]) -> None:
    texts = [" ".join(row.split()) for row in rows]
    essay = Essay("", tuple(Paragraph((Text(text),)) for text in texts if text))
    if essay.blocks:
        assert read_essay(to_markdown(essay)).blocks == essay.blocks


@given(st.text(st.sampled_from("ab *_[^]()!\\\n>-1.#"), max_size=80))
def test_what_can_be_read_is_read_again_as_the_same_tree(text: str) -> None:
    try:
        essay = read_essay(text)
    except EssayNotUnderstood:
        return
    again = read_essay(to_markdown(essay))
    assert to_markdown(again) == to_markdown(essay)


REFUSED = (
    pytest.param("a <b>x</b>", "1:3", "reads as HTML", id="HTML"),
    pytest.param("a <!-- x", "1:3", "reads as HTML", id="a comment of HTML"),
    pytest.param("x\n\n[x](javascript:alert(1))", "3:1", "a link to 'javascript:alert(1)'", id="a script"),
    pytest.param("[x](file:///etc/passwd)", "1:1", "a link to", id="a link to a file"),
    pytest.param("[x](data:text/html,y)", "1:1", "a link to", id="a link to data"),
    pytest.param("[x](//example.org)", "1:1", "a link to", id="a link without a scheme"),
    pytest.param("![x](file:///etc/passwd)", "1:1", "a picture", id="a picture from a file"),
    pytest.param("![x](../up.png)", "1:1", "a picture", id="a picture from another folder"),
    pytest.param("![x](https://example.org/a.png)", "1:1", "a picture", id="a picture from the web"),
    pytest.param("words ![x](photograph-a)", "1:7", "within words", id="a picture within words"),
    pytest.param("a\u202eb", "1:2", "U+202E", id="a turned direction"),
    pytest.param("a\x1b[31m", "1:2", "U+001B", id="a control character"),
    pytest.param("a\n---", "2:1", "a line across the page", id="a ruled line"),
    pytest.param("```\nx\n```", "1:1", "a block of code", id="code"),
    pytest.param("| a | b |", "1:1", "a table", id="a table"),
    pytest.param("a[^", "1:2", "a note that is empty", id="a note that does not end"),
    pytest.param("a[^c3ov iz]", "1:2", "neither a claim's id", id="a note of two words"),
    pytest.param("a[^own, p. 3]", "1:2", "no claim's id with a place", id="a place in one's own judgement"),
    pytest.param("a[^n1]", "1:2", "no paragraph", id="a remark without text"),
    pytest.param("a\n\n[^n1]: b", "3:1", "nothing calls", id="a remark that is not called"),
    pytest.param("a[^n1]\n\n[^n1]: b\n\n[^n1]: c", "5:1", "given twice", id="a remark given twice"),
    pytest.param("a[^n1]\n\n[^n1]: b[^n1]", "3:1", "calls a remark", id="a remark that calls itself"),
    pytest.param(">" * 50 + " a", "1:13", "deep", id="deep quotations"),
    pytest.param("*a _b " * 20 + "c" + " d_ e*" * 20, "1:13", "deep", id="deep emphasis"),
)


@pytest.mark.parametrize(("text", "place", "what"), REFUSED)
def test_what_is_not_printed_is_refused_with_its_place(text: str, place: str, what: str) -> None:
    with pytest.raises(EssayNotUnderstood, match="Line") as caught:
        read_essay(text)
    assert what in str(caught.value)
    found = f"{caught.value.line}:{caught.value.column}"
    assert found == place or "deep" in what


def test_the_message_shows_the_line_and_points_at_the_column() -> None:
    with pytest.raises(EssayNotUnderstood) as caught:
        read_essay("# T\n\nShe is <b>old</b>.")
    assert str(caught.value) == (
        "Line 3, column 8: '<b>' reads as HTML, of which essays hold none. Write \\< for the sign alone, and "
        "[words](address) for a link.\n"
        "    She is <b>old</b>.\n"
        "           ^"
    )


HOSTILE = (
    pytest.param("[" * 20_000, id="20,000 brackets"),
    pytest.param("![a" * 7_000, id="7,000 pictures that do not end"),
    pytest.param("[a](" * 20_000, id="20,000 links that do not end"),
    pytest.param("[^own" * 20_000, id="20,000 notes that do not end"),
    pytest.param("*a " * 20_000, id="20,000 stars"),
    pytest.param("_a*" * 20_000, id="crossing emphasis"),
    pytest.param(">" * 20_000, id="20,000 quotations"),
    pytest.param("- " * 5_000, id="5,000 lists in lists"),
    pytest.param("<a" * 20_000, id="20,000 tags that do not end"),
    pytest.param("\\" * 20_001, id="20,001 backslashes"),
    pytest.param("a\n    b\n" * 20_000, id="a paragraph of 40,000 lines"),
)


@pytest.mark.timeout(120)
@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_read_or_refused_and_never_hangs(text: str) -> None:
    # Some tenths of a second each; what grows with the square of its length would take minutes and be stopped.
    said = ""
    try:
        assert isinstance(read_essay(text), Essay)
    except EssayNotUnderstood as error:
        said = str(error)
    assert len(said) < 1_000


def test_nothing_is_read_from_disk_and_nothing_fetched(monkeypatch: pytest.MonkeyPatch) -> None:
    read_essay("a")  # what the parser loads of itself is loaded

    def forbidden(*_: object, **__: object) -> None:
        raise AssertionError("an essay opened something")

    monkeypatch.setattr(builtins, "open", forbidden)
    monkeypatch.setattr(socket, "socket", forbidden)
    read_essay(WHOLE)
    with pytest.raises(EssayNotUnderstood):
        read_essay("![x](file:///etc/passwd)")


def test_a_text_beyond_the_limit_is_refused() -> None:
    with pytest.raises(EssayNotUnderstood, match="at most 2,000,000"):
        read_essay("a" * (LONGEST_ESSAY + 1))


def test_a_file_of_several_essays_is_divided_at_the_titles_and_keeps_its_lines() -> None:
    one, two = read_catalogue("# One\n\nA.[^n1]\n\n[^n1]: Mine.\n# Two\n\nB.[^n1]\n\n[^n1]: Yours.\n")
    assert (one.title, two.title) == ("One", "Two")
    assert [str(note.place) for note in two.references()] == ["8:3"]
    with pytest.raises(EssayNotUnderstood, match=r"Line 5, column 1: '<b>'"):
        read_catalogue("# One\n\nA.\n\n<b>\n")


def test_lines_that_end_in_other_ways_are_lines_and_a_mark_at_the_beginning_is_no_word() -> None:
    assert read_essay("\ufeff# T\r\n\r\nA.\rB.") == read_essay("# T\n\nA.\nB.")


def test_a_break_at_the_end_of_a_line_is_kept() -> None:
    assert only(read_essay("a\\\nb")) == (Text("a"), LineBreak(), Text("b"))


def test_words_with_markup_in_them_are_escaped() -> None:
    assert escaped("C[*]T & Co. <1> &amp;") == "C\\[\\*\\]T & Co. \\<1\\> &amp;amp;"
    assert only(read_essay(escaped("C[*]T & Co. <1> &amp;"))) == (Text("C[*]T & Co. <1> &amp;"),)


def test_emphasis_holds_notes() -> None:
    inner = only(read_essay("*a[^own]*"))[0]
    assert isinstance(inner, Emphasis)
    assert isinstance(inner.inlines[1], NoteReference)
