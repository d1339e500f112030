"""Entries as the Modern Humanities Research Association demonstrates its own style, 4th edition (2024).

Each sample is from the demonstration pages of https://www.mhra.org.uk/publications/, whose names stand beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.published.citing import name, printed


def review(
    author: dict[str, str], title: str, volume: str, issue: str, year: int, page: str, doi: str
) -> Any:
    """An article of the Modern Language Review."""
    return {
        "type": "article-journal",
        "author": [author],
        "title": title,
        "container-title": "Modern Language Review",
        "volume": volume,
        "issue": issue,
        "issued": {"date-parts": [[year]]},
        "page": page,
        "DOI": doi,
    }


BOLTON = review(
    name("W. F.", "Bolton"), "ByrhtnoÐ in the Wilderness", "64", "3", 1969, "481-490", "10.2307/3722040"
)
LASS = review(name("R. H.", "Lass"), "Accent on the Sixties", "61", "3", 1966, "455-466", "10.2307/3721490")
MILLGATE = review(
    name("Michael", "Millgate"),
    "Scott Fitzgerald as Social Novelist: Statement and Technique in “The Great Gatsby”",
    "57",
    "3",
    1962,
    "335-339",
    "10.2307/3721823",
)
ADLAM = {
    "type": "book",
    "editor": [name("Carol", "Adlam"), name("David", "Shepherd")],
    "title": "The Annotated Bakhtin Bibliography",
    "collection-title": "MHRA Bibliographies",
    "collection-number": "1",
    "publisher": "MHRA",
    "issued": {"date-parts": [[2000]]},
}
RICHARDSON = {
    "type": "book",
    "editor": [name("Brian", "Richardson")],
    "title": "MHRA Style Guide: Third Edition (2013)",
    "publisher": "MHRA",
    "issued": {"date-parts": [[2013]]},
}
SIMPSON = {
    "type": "book",
    "author": [name("James", "Simpson")],
    "title": "Matthew Arnold and Goethe",
    "collection-title": "MHRA Texts and Dissertations",
    "collection-number": "11",
    "publisher": "MHRA",
    "issued": {"date-parts": [[1979]]},
}
ENTRIES = (
    pytest.param(
        ADLAM,
        "Adlam, Carol, and David Shepherd (eds), The Annotated Bakhtin Bibliography, MHRA Bibliographies, 1 "
        "(MHRA, 2000)",
        id="Annotated-Bakhtin-Bibliography",
    ),
    pytest.param(
        RICHARDSON,
        "Richardson, Brian (ed.), MHRA Style Guide: Third Edition (2013) (MHRA, 2013)",
        id="MHRA-Style-Guide",
    ),
    pytest.param(
        SIMPSON,
        "Simpson, James, Matthew Arnold and Goethe, MHRA Texts and Dissertations, 11 (MHRA, 1979)",
        id="Matthew-Arnold-Goethe",
    ),
)
ARTICLES = (
    pytest.param(
        BOLTON,
        "Bolton, W. F., ‘ByrhtnoÐ in the Wilderness’, in Modern Language Review, 64.3 (1969), pp. 481–90, "
        "doi:10.2307/3722040",
        id="Modern-Language-Review-64-3",
    ),
    pytest.param(
        LASS,
        "Lass, R. H., ‘Accent on the Sixties’, in Modern Language Review, 61.3 (1966), pp. 455–66, "
        "doi:10.2307/3721490",
        id="Modern-Language-Review-61-3",
    ),
    pytest.param(
        MILLGATE,
        "Millgate, Michael, ‘Scott Fitzgerald as Social Novelist: Statement and Technique in “The Great Gatsby”’, in "
        "Modern Language Review, 57.3 (1962), pp. 335–39, doi:10.2307/3721823",
        id="Modern-Language-Review-57-3",
    ),
)


@pytest.mark.parametrize(("item", "entry"), ENTRIES)
def test_an_entry_is_printed_as_the_association_prints_it(
    tmp_path: Path, item: Mapping[str, Any], entry: str
) -> None:
    assert printed(tmp_path, "mhra-notes", "en-GB", [(item, "")])[1] == [entry]


@pytest.mark.parametrize(("item", "entry"), ARTICLES)
def test_an_article_is_printed_as_the_association_prints_it_but_for_one_word(
    tmp_path: Path, item: Mapping[str, Any], entry: str
) -> None:
    """The demonstrations put "in" before the title of a journal; the style's authors leave it out, and nothing else."""
    (ours,) = printed(tmp_path, "mhra-notes", "en-GB", [(item, "")])[1]
    assert ours == entry.replace("’, in Modern Language Review", "’, Modern Language Review")
    assert ours != entry
