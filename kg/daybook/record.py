"""What an entry holds: things, claims and judgements, as plain values."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass, field
from datetime import UTC, datetime

from kg.errors import KilnmarkError

#: The first year of recording: names of entries have four digits for it.
FIRST_YEAR = 1000
_STAMP = "%Y%m%dT%H%M%S%fZ"


class BadRecord(KilnmarkError):
    """Something was offered for recording that the daybook does not take."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A maker, piece, source or other thing that claims speak of, with its classes and its display name."""

    slug: str
    kinds: tuple[str, ...]
    label: str
    is_confidential: bool = False
    convention: str | None = None
    """For sources: the named convention by which its dates are read."""


@dataclass(frozen=True, slots=True)
class Citation:
    """Where a source says something: the source, a locator in it, and perhaps the words themselves."""

    source: str
    locator: str
    quotation: str | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """A claim before it is recorded: a source says at a place that a subject has a value for a property.

    ``value`` is a slug for links, EDTF for dates, the text or number otherwise; ``written`` keeps the words that the
    source prints for a date.
    """

    subject: str
    property: str
    value: str
    citation: Citation
    written: str | None = None
    strength: str = "hard"
    is_confidential: bool = False


@dataclass(frozen=True, slots=True)
class Claim:
    """A recorded claim, with its id and the entry that holds it."""

    id: str
    subject: str
    property: str
    value: str
    citation: Citation
    written: str | None
    strength: str
    is_confidential: bool
    entry: str
    form: str = field(default="", compare=False, repr=False)
    """How the file wrote the value; it is needed only for a property that no vocabulary file defines."""

    def as_draft(self) -> Draft:
        """The claim without its id and entry: what it says and where it is printed."""
        return Draft(
            self.subject,
            self.property,
            self.value,
            self.citation,
            self.written,
            self.strength,
            self.is_confidential,
        )


@dataclass(frozen=True, slots=True)
class Judgement:
    """A later word on a claim: held, doubted, set aside or withdrawn, and why."""

    claim: str
    standing: str
    why: str
    entry: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One act of note-taking: immutable, dated, signed by its researcher."""

    name: str
    recorded: datetime
    researcher: str
    note: str
    things: tuple[Thing, ...]
    claims: tuple[Claim, ...]
    judgements: tuple[Judgement, ...]


def compose(
    recorded: datetime,
    researcher: str,
    note: str = "",
    *,
    things: tuple[Thing, ...] = (),
    drafts: tuple[Draft, ...] = (),
    judgements: tuple[Judgement, ...] = (),
) -> Entry:
    """An entry from its parts, with its name and the ids of its claims made from what they say.

    :raises BadRecord: if it holds nothing, or the time has no time zone or lies outside the years 1000 to 9999.
    """
    if not (things or drafts or judgements):
        raise BadRecord("The entry holds no thing, claim or judgement. Add at least one.")
    if recorded.tzinfo is None:
        raise BadRecord(f"The time {recorded} has no time zone. Give one, such as UTC.")
    recorded = in_utc(recorded)
    stamp = recorded.strftime(_STAMP)
    drafts = tuple(dict.fromkeys(drafts))
    name = f"{stamp}-{_digest(stamp, researcher, note, *map(repr, (*things, *drafts, *judgements)), size=10)}"
    claims = tuple(
        Claim(
            "c" + _digest(stamp, researcher, repr(draft), size=10),
            draft.subject,
            draft.property,
            draft.value,
            draft.citation,
            draft.written,
            draft.strength,
            draft.is_confidential,
            name,
        )
        for draft in drafts
    )
    judged = tuple(Judgement(j.claim, j.standing, j.why, name) for j in judgements)
    return Entry(name, recorded, researcher, note, things, claims, judged)


def in_utc(recorded: datetime) -> datetime:
    """A time in UTC.

    :raises BadRecord: if it lies outside the years 1000 to 9999 there: names of entries have four digits for the year.
    """
    try:
        moved = recorded.astimezone(UTC)
    except OverflowError:
        moved = None
    if moved is None or moved.year < FIRST_YEAR:
        raise BadRecord(
            f"The time of recording {recorded.isoformat()} lies outside the years {FIRST_YEAR} to 9999 (in UTC). "
            "Give the time when the note was made."
        )
    return moved


def recomposed(entry: Entry) -> Entry:
    """The entry made again from what it says: it has the same name and claim ids unless somebody changed them.

    :raises BadRecord: if nobody could have composed such an entry.
    """
    return compose(
        entry.recorded,
        entry.researcher,
        entry.note,
        things=entry.things,
        drafts=tuple(claim.as_draft() for claim in entry.claims),
        judgements=tuple(Judgement(j.claim, j.standing, j.why) for j in entry.judgements),
    )


def vouches_for(entry: Entry, claim: Claim) -> bool:
    """Whether the id of a claim follows from what the claim says and from its entry."""
    stamp = in_utc(entry.recorded).strftime(_STAMP)
    return claim.id == "c" + _digest(stamp, entry.researcher, repr(claim.as_draft()), size=10)


def _digest(*parts: str, size: int) -> str:
    raw = hashlib.sha256("\x1f".join(parts).encode()).digest()
    return base64.b32encode(raw).decode().lower()[:size]
