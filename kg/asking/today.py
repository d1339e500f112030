"""The first screen: what was added lately, what it brought about, what lost its footing, what to look at first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from itertools import groupby

from kg.asking.desk import Desk
from kg.asking.history import day_of_entry, touch
from kg.asking.loose import OpenEnd, all_loose_ends, open_end
from kg.asking.parts import Part, named, sentence
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.chronology.chronology import Conflict
from kg.chronology.telling import MONTHS
from kg.daybook.record import Claim, Entry
from kg.daybook.view import LIVE, WorkingView
from kg.essays.editions import passages
from kg.essays.stored import essays, latest, title_of
from kg.essays.syntax import EssayNotUnderstood
from kg.sources_weighed.printed import Footing, Printed, Sentence
from kg.sources_weighed.since import Since
from kg.sources_weighed.statement import said
from kg.sources_weighed.telling import counted

#: Stretches to look back over, in days, as an address names them.
STRETCHES = {"week": 7, "month": 30, "quarter": 91, "year": 365}

#: What is shown of each: groups of entries, things and claims of an entry, conflicts, sentences, loose ends.
GROUPS, NAMES, CLAIMS, CONFLICTS, SENTENCES, ENDS = 6, 4, 3, 5, 6, 4

#: Longer texts, such as whole essays, are cut.
_LONGEST = 160


@dataclass(frozen=True, slots=True)
class Noted:
    """An entry as the first screen shows it."""

    holds: str
    note: str
    things: tuple[Part, ...]
    more_things: int
    claims: tuple[tuple[Part, ...], ...]
    more_claims: int
    judged: tuple[Judged, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A judgement: the claim, what was found and why."""

    claim: Part
    finding: str
    why: str


@dataclass(frozen=True, slots=True)
class Sitting:
    """What one researcher noted on one day."""

    day: str
    researcher: str
    entries: tuple[Noted, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch to look back over, and whether it is the one shown."""

    name: str
    said: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class Lately:
    """What was added within a stretch, the latest first."""

    is_empty: bool
    """Whether the daybook holds nothing at all."""
    title: str
    holds: str
    since: date
    heading: str
    stretches: tuple[Stretch, ...]
    sittings: tuple[Sitting, ...]
    more: str | None
    """How many entries more there are than are shown."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Claims that cannot all be true."""

    claims: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Turned:
    """A dating whose verdict is another now."""

    row: Row
    then: str
    now: str


@dataclass(frozen=True, slots=True)
class Unfounded:
    """Something printed or written that rests on what no longer stands."""

    where: Part
    words: str | None
    claims: tuple[Row, ...]
    """The claims that it rests on and that are set aside, withdrawn or no longer on record as held."""


@dataclass(frozen=True, slots=True)
class Brought:
    """What the additions of a stretch brought about, and what stands open now."""

    conflicts: tuple[Clash, ...]
    conflict_heading: str
    settled: int
    """How many of the conflicts of that day are none any more."""
    turned: tuple[Turned, ...]
    more_turned: int
    unfounded: tuple[Unfounded, ...]
    more_unfounded: int
    shaken: int
    """Printed sentences that rest on what is contested, doubted or unanchored."""
    ends: tuple[OpenEnd, ...]
    end_count: int


def lately(standpoint: Standpoint, stretch: str = "", today: date | None = None) -> Lately:
    """What was added lately; without a stretch, within the shortest in which anything was added."""
    view = standpoint.view
    day = view.as_of or today or datetime.now(UTC).date()
    last = max((entry.recorded.date() for entry in view.entries.values()), default=day)
    name = stretch if stretch in STRETCHES else _shortest(day - last)
    since = day - timedelta(days=STRETCHES[name])
    fresh = [entry for entry in view.entries.values() if entry.recorded.date() > since]
    sittings = tuple(_sittings(view, fresh))
    shown = sum(len(one.entries) for one in sittings)
    return Lately(
        not view.entries,
        standpoint.title,
        f"{counted(len(view.live), 'claim')} about {counted(len(view.things), 'thing')}, "
        f"in {counted(len(view.entries), 'entry', 'entries')}.",
        since,
        _heading(fresh, since, last),
        tuple(Stretch(one, f"a {one}", one == name) for one in STRETCHES),
        sittings,
        f"and {counted(left, 'more entry', 'more entries')}" if (left := len(fresh) - shown) else None,
    )


def _shortest(age: timedelta) -> str:
    return next((name for name, days in STRETCHES.items() if age.days < days), list(STRETCHES)[-1])


def _heading(fresh: Sequence[Entry], since: date, last: date) -> str:
    day = _day_text(since)
    if not fresh:
        return f"Nothing was added since {day}; the last entry is of {_day_text(last)}."
    claims = sum(len(entry.claims) for entry in fresh)
    judgements = sum(len(entry.judgements) for entry in fresh)
    judged = f" and {counted(judgements, 'judgement')}" if judgements else ""
    who = counted(len({entry.researcher for entry in fresh}), "researcher")
    entries = counted(len(fresh), "entry", "entries")
    return f"Since {day}: {entries} by {who}, with {counted(claims, 'claim')}{judged}."


def _day_text(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _sittings(view: WorkingView, entries: Iterable[Entry]) -> Iterator[Sitting]:
    """The entries by day and researcher, the latest first, as many as are shown."""
    latest_first = sorted(
        entries, key=lambda e: (e.recorded.date(), e.researcher, e.recorded, e.name), reverse=True
    )
    for entry_group, (_, group) in enumerate(
        groupby(latest_first, key=lambda e: (e.recorded.date(), e.researcher))
    ):
        if entry_group == GROUPS:
            return
        some = list(group)
        yield Sitting(
            day_of_entry(some[0].recorded),
            some[0].researcher,
            tuple(_noted(view, entry) for entry in some[:GROUPS]),
        )


def _noted(view: WorkingView, entry: Entry) -> Noted:
    things = list(dict.fromkeys([*(t.slug for t in entry.things), *(c.subject for c in entry.claims)]))
    known = [slug for slug in things if slug in view.things]
    told = touch(view, entry.name)
    return Noted(
        told.holds,
        told.note,
        tuple(named(view, slug) for slug in known[:NAMES]),
        max(len(known) - NAMES, 0),
        tuple(_led(view, claim) for claim in entry.claims[:CLAIMS]),
        max(len(entry.claims) - CLAIMS, 0),
        tuple(_judged(view, entry)),
    )


def _led(view: WorkingView, claim: Claim) -> tuple[Part, ...]:
    """A claim whose property leads to the claim, and whose names lead to the things."""
    subject, says, value = sentence(view, claim)
    return subject, Part(says.text, claim=claim.id), replace(value, text=_cut(value.text))


def _cut(text: str) -> str:
    """A text short enough for a line or two, cut between words."""
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST].rsplit(' ', 1)[0]} …"


def _judged(view: WorkingView, entry: Entry) -> Iterator[Judged]:
    for judgement in entry.judgements[:NAMES]:
        claim = view.claims.get(judgement.claim)
        if claim is not None:
            words = view.vocabulary.standings.get(judgement.standing, judgement.standing)
            yield Judged(Part(_cut(view.sentence(claim)), claim=claim.id), words, judgement.why)


def brought(desk: Desk, standpoint: Standpoint, since: date) -> Brought:
    """What has come of the additions since a day, beside the day's own standpoint."""
    return standpoint.kept(("brought", since), lambda: _brought(standpoint, desk.standpoint(since)))


def _brought(now: Standpoint, then: Standpoint) -> Brought:
    view = now.view
    is_changed = len(then.view.entries) != len(view.entries)
    fresh, settled = _new_conflicts(then, now) if is_changed else ([], 0)
    turned = list(_turned(then, now)) if is_changed else []
    unfounded = [*_lost(now), *_essays_unfounded(now)]
    ends = all_loose_ends(now)
    conflicts = tuple(Clash(tuple(row(view, c) for c in one.claims)) for one in fresh[:CONFLICTS])
    return Brought(
        conflicts,
        _conflict_heading(len(fresh), len(conflicts), len(set(map(_stated, now.audit.conflicts)))),
        settled,
        tuple(turned[:SENTENCES]),
        max(len(turned) - SENTENCES, 0),
        tuple(unfounded[:SENTENCES]),
        max(len(unfounded) - SENTENCES, 0),
        _shaken(now),
        tuple(open_end(now, end) for end in ends[:ENDS]),
        len(ends),
    )


def _conflict_heading(fresh: int, shown: int, every: int) -> str:
    of_all = f"{counted(every, 'set', 'sets')} of claims in all cannot be true together."
    if not fresh:
        return f"No new contradiction. {of_all}" if every else "No claims contradict each other."
    first = f" The first {shown} are shown." if shown < fresh else ""
    return f"{counted(fresh, 'new contradiction')}.{first} {of_all}"


def _new_conflicts(then: Standpoint, now: Standpoint) -> tuple[list[Conflict], int]:
    """The conflicts that were none then, whoever repeats their claims, and how many of then are settled."""
    before = {_stated(conflict): conflict for conflict in then.audit.conflicts}
    after = {_stated(conflict): conflict for conflict in now.audit.conflicts}
    fresh = [conflict for stated, conflict in after.items() if stated not in before]
    return fresh, len(before.keys() - after.keys())


def _stated(conflict: Conflict) -> frozenset[tuple[str, str, str]]:
    return frozenset(map(said, conflict.claims))


def _turned(then: Standpoint, now: Standpoint) -> Iterator[Turned]:
    for change in Since(then.audit, now.audit).verdicts:
        after = change.now.value if change.now is not None else "no longer held"
        yield Turned(row(now.view, change.claim), change.then.value, after)


def printed_of(standpoint: Standpoint) -> Printed:
    """The printed sentences of a standpoint."""
    return standpoint.kept("printed", lambda: Printed(standpoint.weighed))


def _lost(standpoint: Standpoint) -> Iterator[Unfounded]:
    """The printed sentences that have lost their footing, the last printed first."""
    printed = printed_of(standpoint)
    for one in reversed(printed.sentences):
        if printed.footing(one) is Footing.LOST:
            yield _unfounded(standpoint, one)


def _unfounded(standpoint: Standpoint, one: Sentence) -> Unfounded:
    view = standpoint.view
    gone = [claim for claim in one.claims if view.standing(claim.id) not in LIVE]
    return Unfounded(
        named(view, one.source),
        one.text or view.label(one.thing),
        tuple(row(view, claim) for claim in gone or one.claims),
    )


def _shaken(standpoint: Standpoint) -> int:
    printed = printed_of(standpoint)
    return sum(printed.footing(one) is Footing.SHAKEN for one in printed.sentences)


def _essays_unfounded(standpoint: Standpoint) -> Iterator[Unfounded]:
    """The essays whose notes name claims that no longer stand."""
    view = standpoint.view
    for slug in essays(view):
        text = latest(view, slug).text
        try:
            cited = dict.fromkeys(name for passage in passages(text) for name in passage.claims)
        except EssayNotUnderstood:
            continue  # the essay bench tells what cannot be read in it
        gone = [view.claims[n] for n in cited if n in view.claims and view.standing(n) not in LIVE]
        if gone:
            where = Part(title_of(text) or view.label(slug), thing=slug)
            yield Unfounded(where, None, tuple(row(view, claim) for claim in gone))
