"""The essay bench: what can be worked on, versions and print editions of a text, and what is recorded of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from kg.asking.desk import Desk
from kg.asking.parts import Part, named
from kg.asking.recording import record_note, require_today
from kg.asking.roles import Act, Colleague, signing
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, choices
from kg.daybook.record import Entry
from kg.daybook.view import LIVE, WorkingView
from kg.errors import KilnmarkError
from kg.essays.compose import compose
from kg.essays.editions import CannotFreeze, Edition, edition_note, editions, stale
from kg.essays.plan import Bench
from kg.essays.stored import (
    ABOUT,
    Version,
    essay_note,
    essay_slug,
    essays,
    is_about,
    latest,
    title_of,
    versions,
)

#: The class of what an essay can be drafted of.
_PIECE = "Piece"


class SavedMeanwhile(KilnmarkError):
    """An essay was to be saved over a version that its writer has not seen."""


@dataclass(frozen=True, slots=True)
class OnRecord:
    """An essay on record in a list: its title, what it is about, and how it stands."""

    slug: str
    title: str
    about: tuple[Part, ...]
    said: str
    lost: str
    """What has lost its footing in its print editions; empty where nothing has."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A text on the bench, as it is on record or freshly drafted."""

    essay: str
    """The name under which it is saved."""
    title: str
    pieces: tuple[Choice, ...]
    """What it is about, the first first."""
    text: str
    number: int
    """The versions that there are already."""
    said: str
    is_draft: bool
    day: date | None = None
    """The day on which it was saved."""
    on_record: tuple[Choice, ...] = ()
    """The essays on record about a piece that is drafted."""


@dataclass(frozen=True, slots=True)
class VersionTold:
    """A saved version in a list."""

    number: int
    said: str
    text: str
    claim: str
    is_standing: bool


@dataclass(frozen=True, slots=True)
class LostSentence:
    """A printed sentence that has lost its footing, and the claims that it rested on."""

    text: str
    thing: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class EditionTold:
    """A print edition with what has become of it."""

    slug: str
    label: str
    said: str
    text: str
    lost: tuple[LostSentence, ...]


def bench_of(standpoint: Standpoint) -> Bench:
    """The daybook made ready for essays, without what is confidential; hold the lock while asking it."""
    return standpoint.kept("essay bench", lambda: Bench(standpoint.view))


def pieces_to_draft(standpoint: Standpoint) -> tuple[Choice, ...]:
    """The pieces that an essay can be drafted of; confidential ones are not among them."""

    def found() -> tuple[Choice, ...]:
        things = standpoint.view.things
        return tuple(
            one for one in choices(standpoint.view, (_PIECE,)) if not things[one.slug].is_confidential
        )

    return standpoint.kept("essay pieces", found)


def essays_on_record(standpoint: Standpoint) -> tuple[OnRecord, ...]:
    """Every essay that stands, by title."""

    def found() -> tuple[OnRecord, ...]:
        lost = Counter({one.essay: len(stale(standpoint.weighed, one)) for one in editions_of(standpoint)})
        printed = Counter(one.essay for one in editions_of(standpoint))
        told = [
            _on_record(standpoint.view, slug, printed[slug], lost[slug]) for slug in essays(standpoint.view)
        ]
        return tuple(sorted(told, key=lambda one: (one.title.casefold(), one.slug)))

    return standpoint.kept("essays on record", found)


def _on_record(view: WorkingView, slug: str, printed: int, lost: int) -> OnRecord:
    last = latest(view, slug)
    said = f"{_counted(last.number, 'version')}, the last {_by(last)}"
    said += f"; {_counted(printed, 'print edition')}" if printed else ""
    told = (
        f"{_counted(lost, 'printed sentence')} {'has' if lost == 1 else 'have'} lost footing" if lost else ""
    )
    about = tuple(named(view, thing) for thing in is_about(view, slug))
    return OnRecord(slug, title_of(last.text) or view.label(slug), about, said, told)


def opened_essay(standpoint: Standpoint, slug: str) -> Opened:
    """An essay on record, as its last version stands.

    :raises kg.essays.stored.NoSuchEssay: if there is none.
    """
    view = standpoint.view
    last = latest(view, slug)
    number = len(versions(view, slug))
    about = tuple(Choice(thing, view.label(thing)) for thing in is_about(view, slug))
    title = title_of(last.text) or view.label(slug)
    said = f"Version {last.number}, saved {_by(last)}."
    day = last.recorded.date() if last.recorded else None
    return Opened(slug, title, about, last.text, number, said, False, day)


def opened_draft(standpoint: Standpoint, piece: str) -> Opened:
    """A fresh draft of an essay on a piece.

    :raises kg.essays.plan.NothingToDraft: if the thing is no piece, or is confidential.
    :raises kg.daybook.view.NotInDaybook: if there is no such thing.
    """
    with standpoint.lock:
        draft = standpoint.kept(("essay draft", piece), lambda: compose(bench_of(standpoint), piece))
    slug, view = essay_slug(draft.piece), standpoint.view
    number = len(versions(view, slug))
    claims = {claim.id for sentence in draft.sentences for claim in sentence.claims}
    said = (
        f"A draft from {_counted(len(claims), 'claim')} in {_counted(len(draft.sentences), 'sentence')}; "
        "nothing is saved yet."
    )
    about = (Choice(draft.piece, draft.title),)
    known = tuple(Choice(name, view.label(name)) for name in _essays_on(view, draft.piece))
    return Opened(slug, draft.title, about, draft.markdown, number, said, True, on_record=known)


def versions_told(standpoint: Standpoint, slug: str) -> tuple[VersionTold, ...]:
    """The versions of an essay, the last first."""
    view = standpoint.view
    return tuple(
        VersionTold(
            one.number,
            f"Version {one.number}, saved {_by(one)}",
            one.text,
            one.claim.id,
            view.standing(one.claim.id) in LIVE,
        )
        for one in reversed(versions(view, slug))
    )


def editions_told(standpoint: Standpoint, slug: str) -> tuple[EditionTold, ...]:
    """The print editions of an essay, the last first, each with the sentences that have lost their footing."""

    def found() -> tuple[EditionTold, ...]:
        printed = [one for one in editions_of(standpoint) if one.essay == slug]
        return tuple(_edition_told(standpoint, one) for one in reversed(printed))

    return standpoint.kept(("essay editions", slug), found)


def editions_of(standpoint: Standpoint) -> tuple[Edition, ...]:
    """Every print edition, in order of entry."""
    return standpoint.kept("all editions", lambda: editions(standpoint.view))


def _edition_told(standpoint: Standpoint, edition: Edition) -> EditionTold:
    view = standpoint.view
    lost = tuple(
        LostSentence(one.text, one.thing, tuple(row(view, claim) for claim in one.claims))
        for one in stale(standpoint.weighed, edition)
    )
    count = len(edition.sentences)
    if not count:
        said = "No sentence of it rests on a claim."
    elif lost:
        said = f"{len(lost)} of its {_counted(count, 'sentence')} {'has' if len(lost) == 1 else 'have'} lost footing."
    else:
        said = f"All of its {_counted(count, 'sentence')} with claims keep their footing."
    return EditionTold(edition.slug, edition.label, said, edition.text, lost)


def why_not_frozen(desk: Desk, slug: str, day: date) -> tuple[str, ...]:
    """Why an essay cannot go to print as it was saved by the end of a day; nothing where it can.

    :raises kg.essays.stored.NoSuchEssay: if there was no such essay on that day.
    """
    with desk.daybook() as book:
        standpoint = desk.standpoint()

        def found() -> tuple[str, ...]:
            try:
                edition_note(book, slug, "", day=day)
            except CannotFreeze as error:
                return error.reasons
            return ()

        return standpoint.kept(("essay unfit", slug, day), found)


def freeze_edition(
    desk: Desk, colleague: Colleague, slug: str, day: date, title: str, as_of: date | None
) -> Entry:
    """Record the print edition of an essay as it was saved by the end of a day.

    :raises kg.essays.editions.CannotFreeze: naming every reason.
    :raises kg.asking.roles.MayNot: if the colleague may not publish.
    """
    require_today(as_of)
    with desk.daybook() as book:
        note = edition_note(book, slug, signing(colleague.name), day=day, title=title.strip() or None)
        return record_note(desk, colleague, note, as_of, acts=(Act.PUBLISH,))


def save_version(
    desk: Desk, colleague: Colleague, opened: Opened, text: str, seen: int, as_of: date | None
) -> Entry:
    """Record a text as the next version of an essay; ``seen`` is how many versions its writer knows of.

    :raises SavedMeanwhile: if there are more.
    :raises kg.essays.stored.NothingToSave: if the text is empty or stands already.
    :raises kg.essays.syntax.EssayNotUnderstood: if it cannot be read, naming the place.
    """
    require_today(as_of)
    with desk.daybook() as book:
        view = book.view()
        known = versions(view, opened.essay)
        if len(known) > seen:
            raise SavedMeanwhile(
                f"Version {known[-1].number} was saved meanwhile, {_by(known[-1])}. Look at its differences below, "
                "take over what you want, and say that you have seen it."
            )
        about = [one.slug for one in opened.pieces]
        note = essay_note(view, opened.essay, text, signing(colleague.name), about=about)
        return record_note(desk, colleague, note, as_of)


def _essays_on(view: WorkingView, piece: str) -> tuple[str, ...]:
    """The essays that stand and are about a piece."""
    about = [claim.subject for claim in view.by_value.get(piece, ()) if claim.property == ABOUT]
    standing = set(essays(view))
    return tuple(dict.fromkeys(slug for slug in about if slug in standing))


def _by(version: Version) -> str:
    who = f"by {version.researcher}" if version.researcher else "by someone not named"
    return f"{who} on {version.recorded.date().isoformat()}" if version.recorded else who


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
