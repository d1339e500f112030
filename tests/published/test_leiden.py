"""The signs of the Leiden conventions, as published tables of sigla explain them.

Sources: "Leiden Conventions", en.wikipedia.org; "Epigraphic sigla", saxa-loquuntur.nl; IGCyr2, epigraphic
conventions after the EpiDoc guidelines, igcyr2.unibo.it; Inscriptions of Israel/Palestine, conventional
transcription symbols, inscriptionsisraelpalestine.org. Each example is the table's own sign with its meaning.
"""

import pytest

from kg.marks.transcription import (
    Element,
    Gap,
    Glyph,
    TranscriptionNotUnderstood,
    Vacant,
    parse_transcription,
)

LOST = Glyph("", "lost")


@pytest.mark.parametrize(
    ("sign", "means"),
    [
        pytest.param("ạḅ", (Glyph("a", "unclear"), Glyph("b", "unclear")), id="Wikipedia: letters unclear"),
        pytest.param("[...]", (LOST, LOST, LOST), id="Wikipedia: letters missing, one dot per letter"),
        pytest.param("[— — —]", (Gap(1, None),), id="saxa-loquuntur: gap, extent unknown"),
        pytest.param("[- - -]", (Gap(1, None),), id="IGCyr2: lost, quantity unknown"),
        pytest.param("[-3-]", (LOST, LOST, LOST), id="Israel/Palestine: three lost, by number"),
        pytest.param("[-5-7-]", (Gap(5, 7),), id="Israel/Palestine: five to seven lost"),
        pytest.param("[abc]", tuple(Glyph(c, "restored") for c in "abc"), id="Wikipedia: missing, restored"),
        pytest.param(
            "a(bc)",
            (Glyph("a"), Glyph("b", "expanded"), Glyph("c", "expanded")),
            id="saxa-loquuntur: abbreviation",
        ),
        pytest.param(
            "[[abc]]", tuple(Glyph(c, "erased") for c in "abc"), id="saxa-loquuntur: deleted (rasura)"
        ),
        pytest.param("(vac. 3)", (Vacant(3),), id="IGCyr2: vacat of three characters"),
        pytest.param("(vac.)", (Vacant(),), id="saxa-loquuntur: vacat"),
    ],
)
def test_a_published_sign_has_its_published_meaning(sign: str, means: tuple[Element, ...]) -> None:
    assert parse_transcription(sign).elements == means


@pytest.mark.parametrize("correction", ["<ab>", "{ab}"])
def test_an_editor_s_correction_is_refused_because_a_mark_is_written_as_seen(correction: str) -> None:
    with pytest.raises(TranscriptionNotUnderstood) as caught:
        parse_transcription(correction)
    assert caught.value.at == 0
