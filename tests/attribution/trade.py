"""Small invented trades for the tests of attribution: makers with habits, and pieces that show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta

from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary

BEGUN = datetime(2026, 1, 1, 9, tzinfo=UTC)
SWIVEL, SHOULDER, SOCKET = "feature-swivel-neck", "feature-shoulder-head", "feature-socket-head"
PAINTED, THREADED, SLEEPING = "feature-eyes-painted-plain", "feature-eyes-threaded", "feature-eyes-sleeping"
MOHAIR, LAMBSKIN = "feature-wig-mohair", "feature-wig-lambskin"
CORK, PLASTER = "feature-pate-cork", "feature-pate-plaster"
#: Habits of three invented makers: neck, eyes and wig of nearly all their pieces.
HABITS: Mapping[str, Sequence[str]] = {
    "brumelow": (SWIVEL, THREADED, LAMBSKIN),
    "tarn": (SHOULDER, PAINTED, MOHAIR),
    "ottery": (SOCKET, SLEEPING, MOHAIR),
}
PIECES_EACH = 12


def says(subject: str, prop: str, value: str, source: str = "book") -> Draft:
    return Draft(subject, prop, value, Citation(source, "p. 1"), written=value)


class Trade:
    """A daybook in memory: `add` records an entry, `view` shows what stands."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        features = {value for habit in HABITS.values() for value in habit} | {CORK, PLASTER}
        self.add(
            things=[
                Thing("book", ("Book",), "A Book of Heads"),
                Thing("lady", ("ObjectExamined", "Piece"), "Lady without a name"),
                *(Thing(slug, ("Feature",), slug) for slug in sorted(features)),
            ]
        )

    def add(self, *, things: Sequence[Thing] = (), drafts: Sequence[Draft] = ()) -> Entry:
        clock = BEGUN + timedelta(minutes=len(self.entries))
        entry = compose(clock, "A. Tester", "", things=tuple(things), drafts=tuple(drafts))
        self.entries.append(entry)
        return entry

    def maker(self, slug: str, habit: Sequence[str], pieces: int = PIECES_EACH, **years: int) -> None:
        """A maker with recorded pieces; one in six departs from the habit at one feature."""
        drafts = [says(slug, "activeIn", f"{years['begin']}/{years['end']}")] if years else []
        things = [Thing(slug, ("Firm", "Maker"), slug.title())]
        others = sorted({value for each in HABITS.values() for value in each})
        for number in range(pieces):
            piece = f"piece-{slug}-{number}"
            things.append(Thing(piece, ("Piece",), piece))
            drafts += [says(piece, "madeBy", slug)]
            shown = list(habit)
            if number % 6 == 5:
                family = shown[0].split("-")[-1]
                shown[0] = next(
                    v for v in others if v.split("-")[-1] != family and ("neck" in v or "head" in v)
                )
            drafts += [says(piece, "hasFeature", value) for value in shown]
        self.add(things=things, drafts=drafts)

    def lady(self, *seen: str) -> Entry:
        """What is seen on the lady without a name."""
        return self.add(drafts=[says("lady", "hasFeature", value, "lady") for value in seen])

    def view(self) -> WorkingView:
        return WorkingView.of(load_vocabulary(), self.entries, revision=f"trade-{len(self.entries)}")


def trade() -> Trade:
    """Three makers with twelve pieces each."""
    found = Trade()
    for slug, habit in HABITS.items():
        found.maker(slug, habit)
    return found
