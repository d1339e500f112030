"""The same day's work with the keyboard alone: no place of it needs a mouse."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.browser.conftest import Look, Running
from tests.browser.hands import Keys
from tests.browser.walk import Walk

#: Steps of the Tab key from one act to the next, in the middle of the day; the list of screens is the farthest.
USUAL = 40


def test_a_days_work_is_done_with_the_keyboard_alone(
    demo_desk: Running, look: Callable[..., Look], tmp_path: Path
) -> None:
    seen = look(demo_desk.address)
    hand = Keys(seen.page)
    Walk(seen, hand, is_thorough=False).whole(tmp_path)
    assert seen.errors == []
    assert sorted(hand.steps)[len(hand.steps) // 2] <= USUAL
