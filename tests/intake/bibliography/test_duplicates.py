"""Whether two records are one work."""

from __future__ import annotations

from typing import Any

import pytest

from kg.intake.bibliography.duplicates import Finder, alike, card

TARN: dict[str, Any] = {
    "type": "book",
    "title": "Heads of the Valley: A List",
    "author": [{"family": "Tarn", "given": "Ottmar"}],
}


def like(new: dict[str, Any], date: str = "1932", old: dict[str, Any] = TARN, old_date: str = "1932") -> str:
    found = alike(card("", {**TARN, **new}, date), card("old", {**TARN, **old}, old_date))
    return "no" if found is None else f"{'sure' if found.is_sure else 'doubtful'}: {found}"


SAME = "the same title, the same author"


@pytest.mark.parametrize(
    ("new", "date", "told"),
    [
        pytest.param({}, "1932", f"sure: {SAME}, the same year 1932", id="all the same"),
        pytest.param(
            {"title": "Heads of the valley"},
            "1932",
            "sure: the same title but for the subtitle, the same author, the same year 1932",
            id="no subtitle",
        ),
        pytest.param(
            {"title": "HEADS OF THE VALLÉY. A list"},
            "1932",
            f"sure: {SAME}, the same year 1932",
            id="accents and case",
        ),
        pytest.param(
            {"author": [{"family": "Tarn", "given": "O."}]},
            "1932",
            f"sure: {SAME}, the same year 1932",
            id="initial",
        ),
        pytest.param(
            {"author": [{"family": "Tarn", "given": "Karl"}]}, "1932", "no", id="another given name"
        ),
        pytest.param(
            {"title": "Heads of the Vally: A List"},
            "1932",
            "doubtful: almost the same title, the same author, the same year 1932; "
            "but one has a slip, or they are two",
            id="a slip",
        ),
        pytest.param({"title": "Heads of the Valley: A List 2"}, "1932", "no", id="a part of a series"),
        pytest.param({}, "1947", "no", id="another edition"),
        pytest.param({}, "", f"doubtful: {SAME}; but only one of them names a year", id="no year"),
        pytest.param(
            {"author": []},
            "1932",
            "doubtful: the same title, the same year 1932; but only one of them names an author",
            id="no author",
        ),
        pytest.param({"type": "chapter"}, "1932", "no", id="a part is not the whole"),
        pytest.param({"title": "Wax"}, "1932", "no", id="another title"),
    ],
)
def test_title_author_and_year_tell(new: dict[str, Any], date: str, told: str) -> None:
    assert like(new, date) == told


def test_the_same_number_tells_whatever_else_differs_a_little() -> None:
    assert like(
        {"DOI": "10.5555/A", "title": "Heads of a Valley, a list"},
        "1933",
        {"DOI": "https://doi.org/10.5555/a"},
    ) == ("sure: the same DOI 10.5555/a")
    ten, thirteen = {"ISBN": "0-306-40615-2"}, {"ISBN": "978-0-306-40615-7"}
    assert like(ten, "", thirteen) == "sure: the same ISBN 9780306406157"


def test_a_number_of_another_title_or_volume_is_doubted() -> None:
    number = {"ISBN": "0-306-40615-2"}
    assert like({**number, "title": "Wax"}, "1932", number) == (
        "doubtful: the same ISBN 9780306406157; but the titles differ"
    )
    assert like({**number, "volume": "2"}, "1932", {**number, "volume": "1"}).endswith(
        "; but the volume differs"
    )


def test_a_chapter_shares_the_isbn_of_its_book_and_is_not_the_book() -> None:
    number = {"ISBN": "0-306-40615-2"}
    assert like({**number, "type": "chapter", "title": "Wax"}, "1932", number) == "no"


def test_a_wrong_isbn_joins_nothing() -> None:
    number = {"ISBN": "0-306-40615-3"}
    assert like({**number, "title": "Wax"}, "1932", number) == "no"


def test_numbers_that_differ_leave_a_doubt() -> None:
    assert like({"edition": "2"}, "1932", {"edition": "3"}).endswith("; but the edition differs")
    assert like({"ISBN": "0-306-40615-2"}, "1932", {"ISBN": "978-1-86197-271-2"}).endswith(
        "; but the ISBN differs"
    )


def test_two_issues_of_a_periodical_are_two() -> None:
    issue = {"type": "periodical", "title": "The Lantern", "author": []}
    assert like(issue, "1873-06", issue, "1873-07") == "no"
    assert like(issue, "1873-06", issue, "1873-06").startswith(
        "sure: the same title, neither names an author"
    )


def test_a_finder_gives_the_sure_ones_first() -> None:
    numbered = {**TARN, "DOI": "10.5555/a", "title": "Wax and Heads"}
    finder = Finder(
        [card("slip", {**TARN, "title": "Heads of the Vally: A List"}, "1932"), card("doi", numbered, "1932")]
    )
    found = finder.find(card("", {**TARN, "DOI": "10.5555/a"}, "1932"))
    assert {likeness.slug for likeness in found} == {"doi", "slip"}
    finder.add(card("right", TARN, "1932"))
    assert [likeness.is_sure for likeness in finder.find(card("", TARN, "1932"))] == [True, False]
