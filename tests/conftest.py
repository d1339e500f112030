"""Small invented daybooks that many tests begin from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Thing

# No test is timed: on a busy machine a law would fail by the clock and not by what it says.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

#: Things that the short claims of tests speak of: slug, class, name.
CAST = (
    Thing("book", ("Book",), "A Book of Heads"),
    Thing("register", ("Register",), "Register of Deposits"),
    Thing("brumelow", ("Person",), "Adela Brumelow"),
    Thing("tarn", ("Firm",), "Tarn & Ottery"),
    Thing("shop", ("Retailer",), "The Lantern Bazaar"),
    Thing("deposit", ("DesignDeposit",), "Deposit 142"),
    Thing("lady", ("Piece",), "Lady with a blue snood"),
    Thing("head", ("Head",), "Head of the lady"),
    Thing("plates", ("Book",), "Plates of Heads"),
    Thing("sale", ("Sale",), "Sale at Bath"),
)


class Scene:
    """A daybook under construction: `say` adds one claim in an entry of its own."""

    def __init__(self, folder: Path) -> None:
        self.daybook = Daybook.begin(folder / "daybook", "Test")
        self.clock = datetime(2026, 1, 1, 9, tzinfo=UTC)
        self.add(things=CAST)

    def add(self, *, things: Sequence[Thing] = (), drafts: Sequence[Draft] = ()) -> tuple[Claim, ...]:
        """Record an entry and return its claims."""
        self.clock += timedelta(minutes=1)
        note = Note("A. Tester", things=tuple(things), drafts=tuple(drafts), recorded=self.clock)
        return self.daybook.record(self.daybook.compose(note)).claims

    def say(self, subject: str, says: str, value: str, source: str = "book", strength: str = "hard") -> Claim:
        """Record one claim."""
        draft = Draft(subject, says, value, Citation(source, "p. 1"), written=value, strength=strength)
        return self.add(drafts=[draft])[0]


@pytest.fixture(autouse=True)
def usual_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages are pinned as they are printed without a terminal, whatever the width of the one that runs the tests."""
    monkeypatch.delenv("COLUMNS", raising=False)


@pytest.fixture
def scene(tmp_path: Path) -> Scene:
    """A new daybook with a small cast and no claims."""
    return Scene(tmp_path)


@pytest.fixture
def scenes(tmp_path: Path) -> Callable[[str], Scene]:
    """As many new daybooks as a test asks for, by name."""
    return lambda name: Scene(tmp_path / name)
