"""Invented marks for the laws: every state that a character can have, in any order that the conventions allow."""

from hypothesis import strategies as st

from kg.marks.transcription import Element, Gap, Glyph, LineBreak, Transcription, Vacant

CHARS = "ABGHMR1234567890./-&? []()|\\:;éßÜ…{}<>ac"


def glyphs() -> st.SearchStrategy[Glyph]:
    plain = st.sampled_from(CHARS)
    filled = st.builds(Glyph, plain, st.sampled_from(["clear", "restored", "erased", "expanded"]))
    unclear = st.builds(Glyph, plain.filter(lambda c: c != " "), st.just("unclear"))
    return st.one_of(filled, unclear, st.sampled_from([Glyph("", "lost"), Glyph("", "erased")]))


def gaps() -> st.SearchStrategy[Gap]:
    known = st.tuples(st.integers(0, 20), st.integers(1, 20)).map(lambda pair: (pair[0], sum(pair)))
    ranged = st.builds(lambda pair, erased: Gap(pair[0], pair[1], erased), known, st.booleans())
    return st.one_of(ranged, st.builds(Gap, st.integers(0, 20), st.none(), st.booleans()))


def elements() -> st.SearchStrategy[list[Element]]:
    vacant = st.builds(Vacant, st.one_of(st.none(), st.integers(0, 99)))
    return st.lists(
        st.one_of(glyphs(), glyphs(), gaps(), vacant, st.just(LineBreak())), min_size=1, max_size=12
    )


def has_something_to_expand(parts: list[Element]) -> bool:
    """Whether each expansion stands behind a letter, as the conventions ask."""
    before = [LineBreak(), *parts]
    return not any(
        isinstance(one, Glyph) and one.state == "expanded" and previous in (LineBreak(), Glyph(" "))
        for previous, one in zip(before, parts, strict=False)
    )


def transcriptions() -> st.SearchStrategy[Transcription]:
    """Marks with and without a head."""
    return st.builds(
        Transcription,
        st.sampled_from([None, "incised", "stamped", "labelled"]),
        st.sampled_from([None, "blue"]),
        st.sampled_from([None, "back of head", "sole", "shoulder plate, inside"]),
        st.sampled_from(["as written", "mirrored", "inverted"]),
        elements().filter(has_something_to_expand).map(tuple),
    )
