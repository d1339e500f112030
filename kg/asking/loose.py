"""What is asked of the loose ends: what is not settled, what would settle it, and what has changed since a day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from kg.asking.parts import Part, named
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.daybook.daybook import Daybook
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.loose_ends import Loose, LooseEnd, loose_ends
from kg.sources_weighed.since import Since
from kg.sources_weighed.telling import counted, told_loose_end, told_since

#: Loose ends on one page of the screen, and claims and names of each that are shown.
A_PAGE, CLAIMS, NAMES = 20, 3, 4


class UnknownKind(KilnmarkError):
    """A kind of loose end was named that there is not."""


@dataclass(frozen=True, slots=True)
class Way:
    """Where a loose end can be worked on: a screen by its module, the parts of its address, and what it is called."""

    screen: str
    parts: tuple[tuple[str, str], ...]
    said: str


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """A loose end as a screen shows it."""

    kind: str
    open: str
    """What is open, as a heading."""
    about: tuple[Part, ...]
    more_names: int
    amount: str | None
    """How much the same sources say, where that is what makes it one loose end."""
    claims: tuple[Row, ...]
    more_claims: int
    bears: str | None
    """How many verdicts and sentences in print it bears on; None where on none."""
    settled_by: str
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class KindOfEnd:
    """A kind of loose end with how many there are of it."""

    name: str
    open: str
    count: int


@dataclass(frozen=True, slots=True)
class LoosePage:
    """A page of the loose ends: first what would change most."""

    kinds: tuple[KindOfEnd, ...]
    kind: str | None
    count: int
    """How many loose ends there are in all, of every kind."""
    number: int
    """The page, counted from one."""
    pages: int
    heading: str
    ends: tuple[OpenEnd, ...]


def loose_page(standpoint: Standpoint, kind: str = "", number: str = "") -> LoosePage:
    """The loose ends, or those of one kind; ``kind`` and ``number`` are as an address gives them.

    :raises UnknownKind: if there is no such kind.
    """
    known = {_name(one): one for one in Loose}
    if kind and kind not in known:
        raise UnknownKind(f"{kind!r} is no kind of loose end. There are: {', '.join(known)}.")
    every = all_loose_ends(standpoint)
    counts = Counter(end.kind for end in every)
    ends = [end for end in every if not kind or end.kind is known[kind]]
    pages = max(-(-len(ends) // A_PAGE), 1)
    at = min(max(int(number), 1), pages) if number.isascii() and number.isdigit() else 1
    shown = ends[(at - 1) * A_PAGE : at * A_PAGE]
    return LoosePage(
        tuple(KindOfEnd(_name(one), _capital(one.value), counts[one]) for one, _ in counts.most_common()),
        kind or None,
        len(every),
        at,
        pages,
        _heading(len(ends), at, shown),
        tuple(open_end(standpoint, end) for end in shown),
    )


def all_loose_ends(standpoint: Standpoint) -> tuple[LooseEnd, ...]:
    """Every loose end of a standpoint, worked out once."""
    return standpoint.kept("loose ends", lambda: loose_ends(standpoint.weighed, standpoint.audit))


def open_end(standpoint: Standpoint, end: LooseEnd) -> OpenEnd:
    """A loose end as a screen shows it."""
    view = standpoint.view
    names = list(end.said_by or dict.fromkeys(end.things))
    amount = None
    if end.said_by:
        amount = f"{counted(len(end.claims), 'claim')} about {counted(len(end.things), 'thing')}"
    return OpenEnd(
        _name(end.kind),
        _capital(end.kind.value),
        tuple(named(view, name) for name in names[:NAMES]),
        max(len(names) - NAMES, 0),
        amount,
        tuple(row(view, claim) for claim in end.claims[:CLAIMS]),
        max(len(end.claims) - CLAIMS, 0),
        _bears(end),
        end.settled_by,
        tuple(_ways(view, end, names)),
    )


def _heading(count: int, at: int, shown: Sequence[LooseEnd]) -> str:
    """How many there are, and which of them are shown."""
    said = counted(count, "loose end")
    first = (at - 1) * A_PAGE + 1
    return said if len(shown) == count else f"{said}, {first} to {first + len(shown) - 1} shown"


def _name(kind: Loose) -> str:
    return kind.name.lower().replace("_", "-")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _bears(end: LooseEnd) -> str | None:
    said = [counted(end.verdicts, "dating")] if end.verdicts else []
    said += [counted(end.sentences, "sentence in print", "sentences in print")] if end.sentences else []
    return f"Bears on {' and '.join(said)}." if said else None


#: Kinds that are worked on at the page of what they are about, by the screen and what its address calls the thing.
_AT = {
    Loose.NO_MAKER: ("whose_is_it", "id", "Whose is it?"),
    Loose.NO_DATE: ("fit_a_date", "subject", "Fit a date"),
    Loose.OPEN_END: ("add", "about", "Add a finding"),
    Loose.NEVER_SEEN: ("sources_weighed", "id", "Weigh this source"),
    Loose.CIRCULAR: ("sources_weighed", "id", "Weigh the first of them"),
    Loose.NOT_INDEPENDENT: ("sources_weighed", "id", "Weigh the first of them"),
}


def _ways(view: WorkingView, end: LooseEnd, names: Sequence[str]) -> Iterator[Way]:
    if end.kind in _AT and names:
        screen, called, said = _AT[end.kind]
        yield Way(screen, ((called, names[0]),), said)
    elif end.said_by:
        which = "this source" if len(end.said_by) == 1 else "the first of them"
        yield Way("sources_weighed", (("id", end.said_by[0]),), f"Weigh {which}")
    elif end.claims:
        yield Way("sources_weighed", (("id", end.claims[0].id),), "Weigh the first claim")
    if end.kind in (Loose.CONFLICT, Loose.CONTESTED):
        yield Way("judge", (("id", end.claims[0].id),), "Judge the first claim")
    for piece in _asked_of(view, end):
        yield Way("whose_is_it", (("id", piece),), "Whose is it?")


def _asked_of(view: WorkingView, end: LooseEnd) -> list[str]:
    """The piece of a question, where the question is whose a piece is."""
    if end.kind not in (Loose.NO_ANSWER, Loose.SEVERAL_ANSWERS):
        return []
    asked = [c.value for c in view.by_subject.get(end.things[0], ()) if c.property == "askedOf"]
    return [thing for thing in asked if view.vocabulary.is_a(view.kinds(thing), "Artefact")]


def told_loose_ends(book: Daybook, as_of: date | None, kind: str | None) -> dict[str, Any]:
    """The loose ends as of a day or now, and beside a past day what has changed since.

    :raises UnknownKind: if there is no such kind.
    """
    known = [one.name.lower().replace("_", "-") for one in Loose]
    if kind is not None and kind not in known:
        raise UnknownKind(f"--kind {kind!r} found; expected one of {', '.join(known)}.")
    view = book.view(as_of)
    audit = Audit(Chronology(view))
    every = [told_loose_end(view, end) for end in loose_ends(Weighed(view), audit)]
    ends = [end for end in every if kind in (None, end["kind"])]
    since = told_since(Since(audit, Audit(Chronology(book.view())))) if as_of else None
    return {
        "as_of": as_of.isoformat() if as_of else None,
        "counts": dict(Counter(end["kind"] for end in every).most_common()),
        "kinds": {one.name.lower().replace("_", "-"): one.value for one in Loose},
        "loose_ends": ends,
        "since": since,
    }
