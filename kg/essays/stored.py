"""Essays in the daybook: each saving is a further entry, whose text stands in place of the one before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Entry, Judgement, Thing
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.essays.syntax import EssayNotUnderstood, read_essay
from kg.vocabulary import SLUG

ESSAY, ABOUT, TEXT = "Essay", "essayAbout", "essayText"


class NoSuchEssay(KilnmarkError):
    """An essay was named that the daybook does not hold."""


class NothingToSave(KilnmarkError):
    """A text was offered as an essay that is empty, or that stands already, or under a name that cannot be used."""


@dataclass(frozen=True, slots=True)
class Version:
    """An essay as it was saved once."""

    number: int
    text: str
    researcher: str
    recorded: datetime | None
    """None where the entry is not at hand."""
    claim: Claim


def essay_slug(piece: str) -> str:
    """The name of the essay on a piece.

    >>> essay_slug("piece-lady-with-blue-snood")
    'essay-lady-with-blue-snood'
    """
    return f"essay-{piece.removeprefix('piece-')}"


def title_of(markdown: str) -> str | None:
    """The title of a text, if it has one and can be read.

    >>> title_of("# Lady with a comb")
    'Lady with a comb'
    """
    try:
        return read_essay(markdown).title[:200] or None
    except EssayNotUnderstood:
        return None


def save_essay(
    book: Daybook,
    slug: str,
    markdown: str,
    researcher: str,
    *,
    about: Iterable[str] = (),
    recorded: datetime | None = None,
) -> Entry:
    """Record a text as the next version of an essay; the version before stays on record as withdrawn.

    :raises NothingToSave: if the text is empty or stands already.
    :raises kg.essays.syntax.EssayNotUnderstood: if it cannot be read, naming the place.
    :raises kg.daybook.view.NotInDaybook: if it is about a thing that is not there.
    """
    view = book.view()
    things = [view.thing(name).slug for name in about]
    note = essay_note(view, slug, markdown, researcher, about=things, recorded=recorded)
    return book.record(book.compose(note))


def essay_note(
    view: WorkingView,
    slug: str,
    markdown: str,
    researcher: str,
    *,
    about: Iterable[str] = (),
    recorded: datetime | None = None,
) -> Note:
    """The note by which a version of an essay is recorded.

    :raises NothingToSave: if the text is empty or stands already.
    :raises kg.essays.syntax.EssayNotUnderstood: if it cannot be read, naming the place.
    """
    _check(view, slug, markdown)
    number = len(versions(view, slug)) + 1
    place = Citation(slug, f"version {number}")
    known = {claim.value for claim in view.by_subject.get(slug, ()) if claim.property == ABOUT}
    drafts = [Draft(slug, TEXT, markdown, place)]
    drafts += [Draft(slug, ABOUT, thing, place) for thing in about if thing not in known]
    label = f"Essay: {title_of(markdown) or slug}"
    gone = [c for c in view.by_subject.get(slug, ()) if c.property == TEXT]
    judgements = [Judgement(c.id, "withdrawn", f"Replaced by version {number}.") for c in gone]
    return Note(
        researcher,
        f"Essay saved, version {number}.",
        (Thing(slug, (ESSAY,), label),),
        tuple(drafts),
        tuple(judgements),
        recorded,
    )


def _check(view: WorkingView, slug: str, markdown: str) -> None:
    if not SLUG.fullmatch(slug):
        raise NothingToSave(f"{slug!r} is no name for an essay; use letters, digits, '.', '_' and '-'.")
    if not markdown.strip():
        raise NothingToSave("The text is empty; nothing was saved.")
    read_essay(markdown)
    thing = view.things.get(slug)
    if thing is not None and not view.vocabulary.is_a(thing.kinds, ESSAY):
        raise NothingToSave(f"{slug} names {thing.label}, which is no essay. Give the essay another name.")
    known = versions(view, slug)
    if known and view.standing(known[-1].claim.id) == "held" and known[-1].text == markdown:
        raise NothingToSave(f"Version {known[-1].number} of {slug} has this very text; nothing was saved.")


def versions(view: WorkingView, slug: str) -> tuple[Version, ...]:
    """Every version of an essay, the first first; none where there is no such essay."""
    found = [claim for claim in view.claims.values() if claim.subject == slug and claim.property == TEXT]
    return tuple(_version(view, number, claim) for number, claim in enumerate(found, start=1))


def _version(view: WorkingView, number: int, claim: Claim) -> Version:
    entry = view.entries.get(claim.entry)
    who, when = (entry.researcher, entry.recorded) if entry else ("", None)
    return Version(number, claim.value, who, when, claim)


def latest(view: WorkingView, slug: str) -> Version:
    """The version of an essay that stands.

    :raises NoSuchEssay: if there is none, or none as of the view's day.
    """
    live = [v for v in versions(view, slug) if view.standing(v.claim.id) in ("held", "doubted")]
    if live:
        return live[-1]
    when = f" as it stood on {view.as_of}" if view.as_of else ""
    known = ", ".join(essays(view)[:5])
    hint = f" There are: {known}." if known else " `kilnmark essay save` records one."
    raise NoSuchEssay(f"{slug!r} is no essay of this daybook{when}.{hint}")


def essay_text(view: WorkingView, slug: str) -> str:
    """The text of an essay that stands, in Markdown.

    :raises NoSuchEssay: if there is none.
    """
    return latest(view, slug).text


def essays(view: WorkingView) -> tuple[str, ...]:
    """The essays that have a version which stands, by name."""
    return tuple(sorted({claim.subject for claim in view.live if claim.property == TEXT}))


def is_about(view: WorkingView, slug: str) -> tuple[str, ...]:
    """The things that an essay is about."""
    return tuple(claim.value for claim in view.by_subject.get(slug, ()) if claim.property == ABOUT)
