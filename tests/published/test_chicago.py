"""Samples of the Chicago Manual of Style's Citation Quick Guide, notes and bibliography, 18th edition (2024).

https://www.chicagomanualofstyle.org/tools_citationguide/citation-guide-1.html; the samples are quoted from memory of
that page, and so are the facts of the works. Markup is left out: only words and signs are compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.published.citing import name, printed

YU = {
    "type": "book",
    "title": "Interior Chinatown",
    "author": [name("Charles", "Yu")],
    "publisher": "Pantheon Books",
    "issued": {"date-parts": [[2020]]},
}
GRAZER = {
    "type": "book",
    "title": "A Curious Mind: The Secret to a Bigger Life",
    "title-short": "Curious Mind",
    "author": [name("Brian", "Grazer"), name("Charles", "Fishman")],
    "publisher": "Simon & Schuster",
    "issued": {"date-parts": [[2015]]},
}
DOYLE = {
    "type": "chapter",
    "title": "The Queen Mary Psalter",
    "author": [name("Kathleen", "Doyle")],
    "container-title": "The Book by Design: The Remarkable Story of the World’s Greatest Invention",
    "editor": [name("P. J. M.", "Marks"), name("Stephen", "Parkin")],
    "publisher": "University of Chicago Press",
    "issued": {"date-parts": [[2023]]},
}
LIU = {
    "type": "book",
    "title": "The Wedding Party",
    "author": [{"family": "Liu", "given": "Xinwu", "static-ordering": True}],
    "translator": [name("Jeremy", "Tiang")],
    "publisher": "Amazon Crossing",
    "issued": {"date-parts": [[2021]]},
}
KWON = {
    "type": "article-journal",
    "title": "Inclusion Work: Children of Immigrants Claiming Membership in Everyday Life",
    "author": [name("Hyeyoung", "Kwon")],
    "container-title": "American Journal of Sociology",
    "volume": "127",
    "issue": "6",
    "page": "1818-1859",
    "DOI": "10.1086/720277",
    "issued": {"date-parts": [[2022]]},
}
NOTES = (
    pytest.param(YU, "p. 45", "Charles Yu, Interior Chinatown (Pantheon Books, 2020), 45.", id="book"),
    pytest.param(
        GRAZER,
        "p. 12",
        "Brian Grazer and Charles Fishman, A Curious Mind: The Secret to a Bigger Life (Simon & Schuster, 2015), 12.",
        id="book by two",
    ),
    pytest.param(
        DOYLE,
        "p. 64",
        "Kathleen Doyle, “The Queen Mary Psalter,” in The Book by Design: The Remarkable Story of the World’s Greatest "
        "Invention, ed. P. J. M. Marks and Stephen Parkin (University of Chicago Press, 2023), 64.",
        id="chapter",
    ),
    pytest.param(
        KWON,
        "pp. 1842-1843",
        "Hyeyoung Kwon, “Inclusion Work: Children of Immigrants Claiming Membership in Everyday Life,” American "
        "Journal of Sociology 127, no. 6 (2022): 1842–43, https://doi.org/10.1086/720277.",
        id="article",
    ),
)
ENTRIES = (
    pytest.param(YU, "Yu, Charles. Interior Chinatown. Pantheon Books, 2020.", id="book"),
    pytest.param(
        GRAZER,
        "Grazer, Brian, and Charles Fishman. A Curious Mind: The Secret to a Bigger Life. Simon & Schuster, 2015.",
        id="book by two",
    ),
    pytest.param(
        DOYLE,
        "Doyle, Kathleen. “The Queen Mary Psalter.” In The Book by Design: The Remarkable Story of the World’s "
        "Greatest Invention, edited by P. J. M. Marks and Stephen Parkin. University of Chicago Press, 2023.",
        id="chapter",
    ),
    pytest.param(
        KWON,
        "Kwon, Hyeyoung. “Inclusion Work: Children of Immigrants Claiming Membership in Everyday Life.” American "
        "Journal of Sociology 127, no. 6 (2022): 1818–59. https://doi.org/10.1086/720277.",
        id="article",
    ),
)


@pytest.mark.parametrize(("item", "place", "note"), NOTES)
def test_a_note_is_printed_as_the_guide_prints_it(
    tmp_path: Path, item: Mapping[str, Any], place: str, note: str
) -> None:
    assert printed(tmp_path, "chicago-notes", "en-US", [(item, place)])[0] == [note]


@pytest.mark.parametrize(("item", "entry"), ENTRIES)
def test_an_entry_is_printed_as_the_guide_prints_it(
    tmp_path: Path, item: Mapping[str, Any], entry: str
) -> None:
    assert printed(tmp_path, "chicago-notes", "en-US", [(item, "")])[1] == [entry]


def test_a_translated_book_names_its_translator_and_only_a_name_of_fixed_order_is_turned(
    tmp_path: Path,
) -> None:
    """The guide has "Liu Xinwu"; the processor puts every given name first, which is the one difference."""
    guide = "Liu Xinwu, The Wedding Party, trans. Jeremy Tiang (Amazon Crossing, 2021), 279."
    notes, _ = printed(tmp_path, "chicago-notes", "en-US", [(LIU, "p. 279")])
    assert notes == [guide.replace("Liu Xinwu", "Xinwu Liu")]


def test_later_notes_are_short_as_the_guide_shortens_them(tmp_path: Path) -> None:
    cited = [(YU, "p. 48"), (GRAZER, "p. 37")]
    notes, _ = printed(tmp_path, "chicago-short-notes", "en-US", cited)
    assert notes == ["Yu, Interior Chinatown, 48.", "Grazer and Fishman, Curious Mind, 37."]
