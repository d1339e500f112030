"""The house's words for degrees of attribution beside those of two published standards.

- LIDO (Lightweight Information Describing Objects, ICOM CIDOC), schema documentation of the element
  ``attributionQualifierActor``: its example values.
- CDWA (Categories for the Description of Works of Art, J. Paul Getty Trust and College Art Association), 4. Creation,
  Creator Qualifier: "probably by" stands slightly above "attributed to", "possibly by" well below it, and "formerly
  attributed to" is what is no longer held.
"""

from __future__ import annotations

import pytest

from kg.essays.hedges import hedge, hedges, least_sure, table, tables

#: Example values of LIDO's attributionQualifierActor, as its documentation lists them.
LIDO = frozenset(
    (
        "attributed to", "studio of", "workshop of", "atelier of", "office of", "assistant of", "associate of",
        "pupil of", "follower of", "school of", "circle of", "style of", "after", "copyist of", "manner of",
    )
)  # fmt: skip
#: A works is no artist's studio: the trade's word, which CDWA lists and LIDO's examples do not (from memory).
OURS = frozenset({"by", "manufactory of", "none"})
#: CDWA's degrees, surest first; no qualifier at all is the surest.
CDWA = ("", "probably by", "attributed to", "possibly by")


def test_every_relation_is_a_published_term_or_named_as_ours() -> None:
    relations = {one.relation for one in hedges()}
    assert relations - OURS
    assert relations - OURS <= LIDO


@pytest.mark.parametrize("name", tables())
def test_certainties_stand_in_the_order_of_cdwa(name: str) -> None:
    """Probably is surer than possibly, and neither is as sure as a plain name, in every table of the house."""
    assert [one for one in ("held", "probably", "possibly") if least_sure(one, "possibly") != one] == [
        "held",
        "probably",
    ]
    assert least_sure("held", "probably") == "probably"
    assert {one.certainty for one in table(name)} >= {"held", "probably", "possibly", "formerly"}


def test_the_table_by_certainty_uses_the_words_of_cdwa_and_never_attributed_to() -> None:
    for certainty, words in (("probably", "probably by"), ("possibly", "possibly by")):
        assert hedge("certainty-first", certainty, "by").text("Tarn").startswith(words)
        assert words in CDWA
    assert not [one for one in table("certainty-first") if "attributed" in one.text("Tarn")]


def test_the_saleroom_says_attributed_to_where_cdwa_puts_it_below_probably() -> None:
    """Salerooms define the words as probably; the table says so in its glossary, so that nobody is misled."""
    saleroom = hedge("saleroom", "probably", "by")
    assert saleroom.text("Tarn").startswith("attributed to")
    assert CDWA.index("attributed to") > CDWA.index("probably by")
    assert "likely" in saleroom.meaning
