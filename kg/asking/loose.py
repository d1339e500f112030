"""What is asked of the loose ends: what is not settled, what would settle it, and what has changed since a day."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import Any

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.daybook.daybook import Daybook
from kg.errors import KilnmarkError
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.loose_ends import Loose, loose_ends
from kg.sources_weighed.since import Since
from kg.sources_weighed.telling import told_loose_end, told_since


class UnknownKind(KilnmarkError):
    """A kind of loose end was named that there is not."""


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
