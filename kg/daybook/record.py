"""What an entry holds: things, claims and judgements, as plain values."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime

from kg.errors import KilnmarkError


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

    :raises BadRecord: if it holds nothing, or the time has no time zone.
    """
    if not (things or drafts or judgements):
        raise BadRecord("The entry holds no thing, claim or judgement. Add at least one.")
    if recorded.tzinfo is None:
        raise BadRecord(f"The time {recorded} has no time zone. Give one, such as UTC.")
    recorded = recorded.astimezone(UTC)
    stamp = recorded.strftime("%Y%m%dT%H%M%S%fZ")
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


def _digest(*parts: str, size: int) -> str:
    raw = hashlib.sha256("\x1f".join(parts).encode()).digest()
    return base64.b32encode(raw).decode().lower()[:size]
