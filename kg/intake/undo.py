"""Undoing an entry: a further entry that withdraws what it said and takes back what it judged.

Nothing is deleted. Every claim of the entry that still takes part is withdrawn; every judgement of it that is still the
last on its claim gives way to the standing before. Undoing an undo restores in the same way. Things stay named, since
other entries may speak of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePath

from kg.daybook.daybook import Note
from kg.daybook.record import Entry, Judgement, Thing
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError

_PREFIX = "Undo of entry "
#: The fewest characters by which an entry may be called.
SHORTEST = 8


class CannotUndo(KilnmarkError):
    """There is no such entry, nothing of it stands that could be undone, or no reason is given."""


@dataclass(frozen=True, slots=True)
class Undoing:
    """What undoing an entry would record, and what it leaves."""

    entry: Entry
    note: Note
    named_only_here: tuple[Thing, ...]
    """Things that no other entry describes; they stay."""
    judged_since: int
    """Claims of its judgements on which someone has passed judgement since; they are left as they are."""

    @property
    def withdrawn(self) -> int:
        """How many claims are withdrawn."""
        return sum(judgement.standing == "withdrawn" for judgement in self.note.judgements)

    @property
    def restored(self) -> int:
        """How many claims get the standing back that they had before."""
        return len(self.note.judgements) - self.withdrawn


def plan_undo(view: WorkingView, name: str, researcher: str, why: str) -> Undoing:
    """What undoing an entry would record; nothing is written.

    :raises CannotUndo: if there is no such entry, nothing of it stands any more, or no reason is given.
    """
    entry = entry_named(view, name)
    reason = why.strip()
    if not reason:
        raise CannotUndo("No reason is given. Say why, so that a later reader can judge it.")
    own = {claim.id for claim in entry.claims}
    judgements = [
        Judgement(claim.id, "withdrawn", reason)
        for claim in entry.claims
        if view.standing(claim.id) != "withdrawn"
    ]
    mine = {judgement.claim for judgement in entry.judgements} - own
    last = {
        claim for claim in mine if claim in view.judgements and view.judgements[claim].entry == entry.name
    }
    earlier = _standings_before(view, entry, last)
    judgements += [
        Judgement(claim, earlier.get(claim, "held"), reason)
        for claim in sorted(last)
        if view.standing(claim) != earlier.get(claim, "held")
    ]
    if not judgements:
        raise CannotUndo(_nothing(entry))
    note = Note(researcher, f"{_PREFIX}{entry.name}: {reason}", judgements=tuple(judgements))
    return Undoing(entry, note, _named_only_in(view, entry), len(mine - last))


def entry_named(view: WorkingView, name: str) -> Entry:
    """The entry of that name or in the file of that name, or the one whose name begins so.

    :raises CannotUndo: if there is none, or more than one.
    """
    file = PurePath(name).name
    named = (entry for key, entry in view.entries.items() if name == key or file.startswith(f"{key}-"))
    if (found := next(named, None)) is not None:
        return found
    near = (
        [entry for key, entry in view.entries.items() if key.startswith(name)]
        if len(name) >= SHORTEST
        else []
    )
    if len(near) == 1:
        return near[0]
    if near:
        raise CannotUndo(
            f"{name!r} begins the names of {len(near)} entries; write more of it, e.g. {near[0].name}."
        )
    latest = [f"  {entry.name}  {shortened(entry.note)[:70]}" for entry in list(view.entries.values())[-5:]]
    told = "The last ones are:\n" + "\n".join(latest) if latest else "The daybook holds none yet."
    raise CannotUndo(f"There is no entry {name!r} in the daybook. {told}")


def shortened(note: str) -> str:
    """The remark of an entry without the checksum of the table that it comes from.

    >>> shortened("Table stocklist: stock.csv, 3 rows, SHA-256 00ff.")
    'Table stocklist: stock.csv, 3 rows'
    """
    return note.split(", SHA-256", 1)[0]


def undone_by(note: str) -> str | None:
    """The name of the entry that an entry with this remark undoes; None if it undoes none.

    >>> undone_by("Undo of entry 20260102T000000000000Z-aaaaaaaaaa: typed twice")
    '20260102T000000000000Z-aaaaaaaaaa'
    """
    return note.removeprefix(_PREFIX).split(":", 1)[0] if note.startswith(_PREFIX) else None


def _standings_before(view: WorkingView, entry: Entry, claims: set[str]) -> dict[str, str]:
    """The standing of some claims just before an entry was recorded; none for those nobody had judged."""
    found: dict[str, str] = {}
    for name in sorted(name for name in view.entries if name < entry.name):
        for judgement in view.entries[name].judgements:
            if judgement.claim in claims and judgement.standing in view.vocabulary.standings:
                found[judgement.claim] = judgement.standing
    return found


def _named_only_in(view: WorkingView, entry: Entry) -> tuple[Thing, ...]:
    others: Iterable[Entry] = (other for other in view.entries.values() if other.name != entry.name)
    elsewhere = {thing.slug for other in others for thing in other.things}
    return tuple(thing for thing in entry.things if thing.slug not in elsewhere)


def _nothing(entry: Entry) -> str:
    if not (entry.claims or entry.judgements):
        return f"Entry {entry.name} only names things; it makes no claim and passes no judgement that could be undone."
    return f"Nothing to undo: all that entry {entry.name} says is withdrawn, or was judged anew since."
