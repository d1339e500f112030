"""A thing's page: all that the record says of it, where it comes up, and who touched it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kg.asking.history import Touch, touches
from kg.asking.mentions import Mentions
from kg.asking.parts import Part, named
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import kinds_text
from kg.chronology.telling import cautions, window_text
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.marks.reading import read_mark
from kg.marks.transcription import TranscriptionNotUnderstood
from kg.timeline import Timeline, timeline_with_reasons

#: Rows that one section shows before the reader asks for all.
MOST_ROWS = 40

#: Headings of the groups of properties, in the order in which a page is read; another group follows with its name.
HEADINGS = {
    "identity": "Names and numbers",
    "life": "Life",
    "activity": "Work",
    "making": "Making",
    "parts": "Parts",
    "marks": "Marks",
    "production": "Production",
    "registration": "Registration",
    "event": "Event",
    "availability": "Availability",
    "provenance": "Ownership and sale",
    "literature": "Literature",
    "bibliography": "Bibliography",
    "derivation": "Taken from",
    "question": "Questions and answers",
    "print": "In print",
}


class NotOnRecord(KilnmarkError):
    """An address names a thing or claim that the daybook does not hold on that day."""


@dataclass(frozen=True, slots=True)
class Section:
    """Claims under one heading; ``count`` is how many there are in all."""

    title: str
    rows: tuple[Row, ...]
    count: int


@dataclass(frozen=True, slots=True)
class PartOfPiece:
    """A part of a piece, with what is said of its own making."""

    name: Part
    kinds: str
    relation: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class MarkRead:
    """A mark as it is transcribed, with what each reading of it says."""

    mark: Part
    transcription: str
    claim: str
    sentences: tuple[str, ...]
    window: str | None
    question: str | None


@dataclass(frozen=True, slots=True)
class FollowingSource:
    """A source that follows this one or is followed by it, with the claims that say so."""

    source: Part
    because: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class ThingPage:
    """All that a thing's page shows."""

    slug: str
    label: str
    kinds: str
    is_confidential: bool
    is_source: bool
    is_artefact: bool
    is_piece: bool
    is_essay: bool
    can_be_dated: bool
    same_as: tuple[Part, ...]
    timeline: Timeline | None
    cautions: tuple[str, ...]
    sections: tuple[Section, ...]
    parts: tuple[PartOfPiece, ...]
    marks: tuple[MarkRead, ...]
    mentions: tuple[Section, ...]
    says: Section | None
    """What the source says; None for what is no source."""
    follows: tuple[FollowingSource, ...]
    followed_by: tuple[FollowingSource, ...]
    history: tuple[Touch, ...]
    claim_count: int


def thing_page(standpoint: Standpoint, slug: str, most: int | None = MOST_ROWS) -> ThingPage:
    """The page of a thing; ``most`` bounds the rows of a section, None shows them all.

    :raises NotOnRecord: if the daybook does not hold it on that day.
    """
    view = standpoint.view
    mentions = standpoint.kept("mentions", lambda: Mentions.of(view))
    is_named = slug in mentions.about or slug in mentions.leading or slug in mentions.citing
    if slug not in view.things and not is_named:
        when = f" as it stood on {view.as_of}" if view.as_of else ""
        raise NotOnRecord(f"{slug!r} is not in the daybook{when}. Look for it by its name, in the box above.")
    with standpoint.lock:
        return _page(standpoint, mentions, slug, most)


def _page(standpoint: Standpoint, mentions: Mentions, slug: str, most: int | None) -> ThingPage:
    view, vocabulary = standpoint.view, standpoint.view.vocabulary
    kinds = view.kinds(slug)
    about, leading, citing = (m.get(slug, ()) for m in (mentions.about, mentions.leading, mentions.citing))
    is_source = vocabulary.is_a(kinds, "Source") or bool(citing)
    attribution = next(prop for prop in vocabulary.properties.values() if prop.is_attribution)
    is_artefact = vocabulary.is_a(kinds, attribution.domain)
    thing = view.things.get(slug)
    follows, followed_by = _following(standpoint, slug) if is_source else ((), ())
    return ThingPage(
        slug=slug,
        label=view.label(slug),
        kinds=kinds_text(view, kinds),
        is_confidential=thing is not None and thing.is_confidential,
        is_source=is_source,
        is_artefact=is_artefact,
        is_piece=vocabulary.is_a(kinds, "Piece"),
        is_essay=vocabulary.is_a(kinds, "Essay"),
        can_be_dated=is_artefact or vocabulary.is_a(kinds, attribution.range),
        same_as=_same(view, slug, (*about, *leading)),
        timeline=timeline_with_reasons(slug, standpoint.chronology, standpoint.audit.conflicts),
        cautions=tuple(cautions(view, slug)),
        sections=tuple(_sections(view, slug, about, most)),
        parts=tuple(_parts(view, slug)) if is_artefact else (),
        marks=tuple(_marks(view, slug)),
        mentions=tuple(_mentions(view, slug, leading, most)),
        says=_section(view, slug, "What it says", _by_place(citing), most) if is_source else None,
        follows=follows,
        followed_by=followed_by,
        history=touches(view, _entries(mentions, slug, (*about, *leading, *citing))),
        claim_count=len({c.id for c in (*about, *leading, *citing)}),
    )


def _section(view: WorkingView, slug: str, title: str, claims: Iterable[Claim], most: int | None) -> Section:
    claims = tuple(claims)
    return Section(title, tuple(row(view, claim, slug) for claim in claims[:most]), len(claims))


def _sections(view: WorkingView, slug: str, about: Iterable[Claim], most: int | None) -> Iterator[Section]:
    """The claims about a thing by group, in the order of the vocabulary."""
    properties = view.vocabulary.properties
    grouped: dict[str, list[Claim]] = defaultdict(list)
    for claim in about:
        grouped[properties[claim.property].group if claim.property in properties else "other"].append(claim)
    order = list(HEADINGS)
    for group in sorted(grouped, key=lambda g: (order.index(g) if g in order else len(order), g)):
        claims = sorted(
            grouped[group], key=lambda c: properties[c.property].order if c.property in properties else 0
        )
        yield _section(view, slug, HEADINGS.get(group, group.capitalize()), claims, most)


def _mentions(view: WorkingView, slug: str, leading: Iterable[Claim], most: int | None) -> Iterator[Section]:
    """The claims that lead to a thing, by what they say of their own subject."""
    properties = view.vocabulary.properties
    by_property: dict[str, list[Claim]] = defaultdict(list)
    for claim in leading:
        by_property[claim.property].append(claim)
    for name in sorted(by_property, key=lambda n: (-len(by_property[n]), n)):
        title = properties[name].label if name in properties else name
        claims = sorted(by_property[name], key=lambda c: (view.label(c.subject).casefold(), c.id))
        yield _section(view, slug, f"{title[:1].upper()}{title[1:]} {view.label(slug)}", claims, most)


def _same(view: WorkingView, slug: str, claims: Iterable[Claim]) -> tuple[Part, ...]:
    """The other names under which the same thing is on record."""
    identities = {name for name, prop in view.vocabulary.properties.items() if prop.is_identity}
    live = {claim.id for claim in (*view.by_subject.get(slug, ()), *view.by_value.get(slug, ()))}
    others = (
        claim.value if claim.subject == slug else claim.subject
        for claim in claims
        if claim.property in identities and claim.id in live
    )
    return tuple(named(view, other) for other in dict.fromkeys(others))


def _parts(view: WorkingView, slug: str) -> Iterator[PartOfPiece]:
    properties = view.vocabulary.properties
    for claim in view.by_subject.get(slug, ()):
        if properties[claim.property].group != "parts":
            continue
        making = [c for c in view.by_subject.get(claim.value, ()) if properties[c.property].group == "making"]
        making.sort(key=lambda c: properties[c.property].order)
        yield PartOfPiece(
            named(view, claim.value),
            kinds_text(view, view.kinds(claim.value)),
            properties[claim.property].label,
            tuple(row(view, c) for c in making[:MOST_ROWS]),
        )


def _marks(view: WorkingView, slug: str) -> Iterator[MarkRead]:
    """The marks that a thing is or bears, as they are read."""
    properties = view.vocabulary.properties
    borne = [c.value for c in view.by_subject.get(slug, ()) if properties[c.property].group == "marks"]
    for mark in dict.fromkeys((slug, *borne)):
        for claim in view.by_subject.get(mark, ()):
            if properties[claim.property].reads_mark is not None:
                yield _mark_read(view, claim)


def _mark_read(view: WorkingView, claim: Claim) -> MarkRead:
    name = named(view, claim.subject)
    try:
        read = read_mark(claim.value)
    except TranscriptionNotUnderstood as error:
        return MarkRead(name, claim.value, claim.id, (), None, f"It cannot be read: expected {error.wanted}.")
    whole = read.window.window
    window = window_text(whole) if whole.first is not None or whole.last is not None else None
    return MarkRead(name, claim.value, claim.id, read.reasons, window, " ".join(read.questions) or None)


def _by_place(citing: Iterable[Claim]) -> list[Claim]:
    """What a source says in the order of its pages, as far as locators tell it."""
    return sorted(
        citing, key=lambda claim: (_numbers(claim.citation.locator), claim.citation.locator, claim.id)
    )


def _numbers(locator: str) -> tuple[int, ...]:
    digits = "".join(c if c.isascii() and c.isdigit() else " " for c in locator)
    return tuple(int(number[:9]) for number in digits.split())


def _following(
    standpoint: Standpoint, slug: str
) -> tuple[tuple[FollowingSource, ...], tuple[FollowingSource, ...]]:
    """The sources that this one follows, and those that follow it."""
    view, derivation = standpoint.view, standpoint.weighed.derivation
    number = derivation.number.get(slug)
    above: list[FollowingSource] = []
    below: list[FollowingSource] = []
    for (low, high), claims in derivation.links.items():
        if number in (low, high):
            other = derivation.sources[high if low == number else low]
            told = FollowingSource(
                named(view, other), tuple(row(view, claim) for claim in claims[:MOST_ROWS])
            )
            (above if low == number else below).append(told)
    return tuple(above), tuple(below)


def _entries(mentions: Mentions, slug: str, claims: Iterable[Claim]) -> Iterator[str]:
    yield from mentions.described.get(slug, ())
    for claim in claims:
        yield claim.entry
        yield from mentions.judged.get(claim.id, ())
