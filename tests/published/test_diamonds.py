"""Registration diamonds that published guides work out, and the exceptions of the register.

Two guides print letters and date together. Others print only the date of a pictured mark and describe the corners;
there the letters are those of the key printed on the same page, so the check is of layout and day, not of letters.
"""

import pytest

from kg.dates.window import Window, day_of, iso
from kg.marks.diamond import Diamond, diamond_table, read_diamond


@pytest.mark.parametrize(
    ("diamond", "date"),
    [
        pytest.param(
            Diamond(top="Q", left="B", right="23"),
            "1866-10-23",
            id="Silver Dictionary, reprinted at kosros.ru: letters and date",
        ),
        pytest.param(
            Diamond(top="D", left="K", right="12"),
            "1852-11-12",
            id="guide reprinted at eytera.ru: K for November, D for 1852, 12th",
        ),
        pytest.param(
            Diamond(top="N", left="A", right="2"), "1864-12-02", id="murrayam.supanet.com, first example"
        ),
        pytest.param(
            Diamond(top="1", right="K", bottom="R"), "1883-08-01", id="murrayam.supanet.com, second example"
        ),
        pytest.param(
            Diamond(top="28", right="Y", bottom="K"), "1879-11-28", id="guide to diamond marks, ebay.com.au"
        ),
    ],
)
def test_a_published_diamond_has_its_published_date(diamond: Diamond, date: str) -> None:
    dates = [reading.window for reading in read_diamond(diamond)]
    assert [(iso(w.first), iso(w.last)) for w in dates if w.first and w.last] == [(date, date)]


@pytest.mark.parametrize(
    ("diamond", "first", "last"),
    [
        pytest.param(
            Diamond(top="K", left="R"), (1857, 9, 1), (1857, 9, 19), id="R for 1 to 19 September 1857"
        ),
        pytest.param(Diamond(top="Z", left="K"), (1860, 12, 1), (1860, 12, 31), id="K for December 1860"),
        pytest.param(
            Diamond(right="W", bottom="G"), (1878, 3, 1), (1878, 3, 6), id="W and G for 1 to 6 March 1878"
        ),
    ],
)
def test_an_exception_of_the_register_is_offered_beside_the_rule(
    diamond: Diamond, first: tuple[int, int, int], last: tuple[int, int, int]
) -> None:
    assert Window.within(day_of(*first), day_of(*last)) in [r.window for r in read_diamond(diamond)]


def test_each_period_has_a_letter_for_each_of_its_years_and_no_letter_twice() -> None:
    years = diamond_table().years
    for period, first, last in (("1842/1867", 1842, 1867), ("1868/1883", 1868, 1883)):
        assert sorted(year for (p, _), year in years.items() if p == period) == list(range(first, last + 1))
    assert sorted(set(diamond_table().months.values())) == list(range(1, 13))


@pytest.mark.parametrize(("month", "begins"), [("C", (1843, 1, 7)), ("R", (1843, 8, 7))])
def test_a_diamond_without_its_year_begins_in_its_own_month_after_the_register_opened(
    month: str, begins: tuple[int, int, int]
) -> None:
    # The register opened in September 1842, so neither January nor August of that year can be meant.
    by_rule = read_diamond(Diamond("", "7", "6", month), "1842/1867")[0]
    assert by_rule.window.first == day_of(*begins)
