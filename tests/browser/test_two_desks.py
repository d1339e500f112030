"""Two colleagues at one desk, each in a browser of her own: both add, and each sees what the other added."""

from __future__ import annotations

from collections.abc import Callable

from kg.daybook.daybook import Daybook
from tests.browser.conftest import Look, Running
from tests.browser.hands import Mouse
from tests.browser.walk import ATTIC, Walk, finding

#: Who adds what, on which page of the same source.
ADDING = {"Thea Umbermere": ("1841", "p. 31"), "Ruben Oakhanger": ("1843", "p. 32")}


def test_two_colleagues_add_at_once_and_each_sees_the_others_entry(
    demo_desk: Running, look: Callable[..., Look]
) -> None:
    walks = {
        name: Walk(seen, Mouse(seen.page)) for name in ADDING for seen in [look(f"{demo_desk.address}/add")]
    }
    for name, walk in walks.items():
        walk.hand.choose("About", ATTIC)
        walk.look.rest()
        year, place = ADDING[name]
        finding(walk.hand, walk.look, "existed by", year, place)
        sign(walk, name)
    for walk in walks.values():
        walk.look.page.get_by_role("button", name="Record 1 finding", exact=True).click(no_wait_after=True)
    for name, walk in walks.items():
        walk.says(f"Recorded by {name}")
    entries = Daybook.open(demo_desk.folder).view().entries
    assert {entry.researcher for entry in entries.values()} >= set(ADDING)
    for walk in walks.values():
        walk.hand.write("Find", ATTIC)
        walk.page_of(ATTIC)
        for year, place in ADDING.values():
            walk.says(f", {place}")
            walk.look.page.get_by_role("link", name=year, exact=True).first.wait_for()
        assert walk.look.errors == []


def sign(walk: Walk, name: str) -> None:
    """Sign with a name of one's own, though the machine knows another."""
    other = walk.look.page.get_by_role("button", name="Sign with another name")
    if other.count():
        other.click()
    walk.hand.write("Your name, as your entries are to bear it", name)
    walk.look.rest()
