"""Recording from the desk: a note is tried first, and recorded only by who may, as it was tried, signed and whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from kg.asking.desk import Desk
from kg.asking.effect import MOST_TOLD, Effect, effect_of
from kg.asking.history import touch
from kg.asking.lines import Line, lines_of
from kg.asking.roles import Act, Colleague, acts_of, signing
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.daybook.daybook import Note
from kg.daybook.notes import only_new
from kg.daybook.record import Entry
from kg.errors import KilnmarkError
from kg.intake.effects import Progress
from kg.intake.undo import plan_undo


class NothingNew(KilnmarkError):
    """All that a note says is on record already."""


class OnlyToday(KilnmarkError):
    """Something was to be recorded while a past day is shown."""


class Refused(KilnmarkError):
    """A note holds something that is ill-formed by itself; nothing was recorded."""


@dataclass(frozen=True)
class Trial:
    """A note tried before it is recorded: what would be written, and what that would change."""

    note: Note
    """What is left of the note without what is on record already."""
    lines: tuple[Line, ...]
    known: tuple[str, ...]
    """The ids of the claims that are on record already and left out."""
    effect: Effect
    revision: str
    """The daybook that it was tried against."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry that was just recorded, as it is told."""

    entry: str
    headline: str
    rows: tuple[Row, ...]
    """The claims that it made or judged, at most `MOST_TOLD`."""
    more: int


def recorded(standpoint: Standpoint, name: str) -> Recorded:
    """What an entry that was just recorded holds."""
    view = standpoint.view
    entry = view.entries[name]
    judged = (view.claims[j.claim] for j in entry.judgements if j.claim in view.claims)
    claims = tuple(dict.fromkeys((*entry.claims, *judged)))
    told = touch(view, name)
    return Recorded(
        name,
        f"Recorded by {told.researcher}, {told.day}: {told.holds}",
        tuple(row(view, claim) for claim in claims[:MOST_TOLD]),
        max(len(claims) - MOST_TOLD, 0),
    )


def try_note(desk: Desk, note: Note, progress: Progress | None = None) -> Trial:
    """What recording a note would write and change; nothing is written.

    :raises NothingNew: if all of it is on record already.
    """
    standpoint = desk.standpoint()
    view = standpoint.view
    fresh, known = only_new(note, view)
    if fresh is None:
        raise NothingNew(
            "Nothing new: what the note says is on record already"
            + (f" as {', '.join(known)}." if known else ".")
        )
    with desk.daybook() as daybook:
        entry = daybook.compose(fresh)
    effect = effect_of(standpoint, entry, progress)
    return Trial(fresh, tuple(lines_of(view, entry)), tuple(known), effect, view.revision)


def record_note(
    desk: Desk, colleague: Colleague, note: Note, as_of: date | None = None, *, acts: tuple[Act, ...] = ()
) -> Entry:
    """Record a note as one entry, signed by the colleague; what a colleague recorded meanwhile is no obstacle.

    ``acts`` are what it does beyond what it holds, such as undoing.

    :raises OnlyToday: if a past day is shown.
    :raises kg.asking.roles.MayNot: if the colleague's role does not allow what the note does.
    :raises kg.asking.roles.NoName: if nobody signs.
    :raises NothingNew: if all of it is on record already.
    :raises Refused: if something of it is ill-formed by itself.
    """
    require_today(as_of)
    colleague.require(acts)
    signed = replace(note, researcher=signing(colleague.name))
    with desk.daybook() as daybook:
        view = daybook.view()
        colleague.require(acts_of(signed, view.vocabulary, view.claims))
        fresh, known = only_new(signed, view)
        if fresh is None:
            raise NothingNew(
                f"Nothing new: it is on record already{_as(known)}. Perhaps a colleague was first."
            )
        entry = daybook.compose(fresh)
        _require_sound(desk, entry)
        return daybook.record(entry)


def undo_entry(desk: Desk, colleague: Colleague, name: str, why: str, as_of: date | None = None) -> Entry:
    """Undo an entry by a further one; nothing is deleted.

    :raises kg.intake.undo.CannotUndo: if there is no such entry, or nothing of it stands.
    :raises kg.asking.roles.MayNot: if the colleague's role does not allow it.
    :raises OnlyToday: if a past day is shown.
    """
    with desk.daybook() as daybook:
        undoing = plan_undo(daybook.view(), name, signing(colleague.name), why)
        return record_note(desk, colleague, undoing.note, as_of, acts=(Act.UNDO,))


def require_today(as_of: date | None) -> None:
    """Refuse to record while a past day is shown.

    :raises OnlyToday: if it is.
    """
    if as_of is not None:
        raise OnlyToday(
            f"The daybook is shown as it stood on {as_of}; nothing can be added to the past. "
            "Go back to today, above, and record it then."
        )


def draft_lines(desk: Desk, note: Note) -> list[Line]:
    """The claims and judgements of a note as they are read; nothing is written."""
    view = desk.standpoint().view
    with desk.daybook() as daybook:
        return lines_of(view, daybook.compose(note))


def _as(known: list[str]) -> str:
    return f" as {', '.join(known)}" if known else ""


def _require_sound(desk: Desk, entry: Entry) -> None:
    from kg.checks.check import EntryChecker

    standpoint = desk.standpoint()
    checker = standpoint.kept("entry checker", lambda: EntryChecker(standpoint.view))
    faults = checker.check(entry).structural
    if faults:
        told = "\n".join(f"  - {fault.message} {fault.hint}" for fault in faults)
        raise Refused(f"Nothing was recorded; mend this first:\n{told}")
