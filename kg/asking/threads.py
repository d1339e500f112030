"""What the screen *Threads* asks: the routes between two things, the surroundings of one, several along the years."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from kg.asking.parts import Part, named
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, choices
from kg.asking.thing import NotOnRecord
from kg.dates.window import Window, day_of, year_of
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.picture import FAMILIES, Family, Picture, kinds_of
from kg.picture.around import picture_around, picture_of_threads
from kg.picture.looks import family_of
from kg.sources_weighed.standing import Step, steps_below_the_best
from kg.threads.threads import LIKENESS, Allowed, Thread, Threads
from kg.timeline import (
    MOST_THINGS,
    Timeline,
    timeline_of_things,
    years_of_things,
)

#: Threads that are shown between two things.
MOST_THREADS = 3

#: How far from a thing its surroundings can be drawn.
FARTHEST = 3

#: Claims that join the same two things and are listed before the reader asks for all.
MOST_JOINING = 200

#: Further claims of one link that are shown under it.
MOST_OTHERS = 3

#: The standings that a reader may ask for at least, by their name in an address.
LEAST: Mapping[str, Step] = {
    "several": Step.SEVERAL,
    "first-hand": Step.FIRST_HAND,
    "second-hand": Step.SECOND_HAND,
    "contested": Step.CONTESTED,
    "unanchored": Step.NOT_KNOWN,
    "circular": Step.CIRCULAR,
}


class SameThing(KilnmarkError):
    """A thread was asked for that would lead from a thing to itself."""


@dataclass(frozen=True, slots=True)
class Sought:
    """What is asked on the screen, as its address says it."""

    begin: str | None = None
    end: str | None = None
    steps: int = 1
    without: frozenset[str] = frozenset()
    """Names of the families that are left out."""
    least: str | None = None
    is_sharing: bool = False
    """Whether threads may lead over what very many things share."""
    years: tuple[int, int] | None = None
    """What lies outside these is faded."""
    beside: tuple[str, ...] = ()
    """Further things to draw along the years."""
    every: str | None = None
    """The family all of whose things are drawn along the years."""
    explained: str | None = None
    """The thing whose limits are explained along the years."""
    is_joined: bool = False
    """Whether all claims that join the two are asked for, and no threads."""

    @classmethod
    def from_parts(cls, parts: Mapping[str, str]) -> Sought:
        """What an address asks for; parts that cannot be understood are passed over."""
        families = {family.name for family in FAMILIES}
        steps, every = parts.get("steps", ""), parts.get("all", "")
        return cls(
            parts.get("from") or None,
            parts.get("to") or None,
            int(steps) if steps in {str(n) for n in range(1, FARTHEST + 1)} else 1,
            frozenset(_listed(parts.get("without", ""))) & families,
            parts["least"] if parts.get("least") in LEAST else None,
            parts.get("shared") == "1",
            _years(parts.get("years", "")),
            tuple(_listed(parts.get("beside", "")))[:MOST_THINGS],
            every if every in families else None,
            parts.get("explained") or None,
            parts.get("joined") == "1",
        )

    def to_parts(self) -> dict[str, str]:
        """The address that asks for this; what is as usual is left out."""
        said = {
            "from": self.begin or "",
            "to": self.end or "",
            "steps": str(self.steps) if self.steps != 1 else "",
            "without": ",".join(sorted(self.without)),
            "least": self.least or "",
            "shared": "1" if self.is_sharing else "",
            "years": f"{self.years[0]}..{self.years[1]}" if self.years else "",
            "beside": ",".join(self.beside),
            "all": self.every or "",
            "explained": self.explained or "",
            "joined": "1" if self.is_joined else "",
        }
        return {name: text for name, text in said.items() if text}

    @property
    def is_nothing(self) -> bool:
        """Whether nothing is chosen yet."""
        return not (self.begin or self.end or self.beside or self.every)


def _listed(text: str) -> list[str]:
    return [one for one in dict.fromkeys(text.split(",")) if one]


def _years(text: str) -> tuple[int, int] | None:
    first, dots, last = text.partition("..")
    try:
        found = int(first[:6]), int(last[:6])
    except ValueError:
        return None
    return found if dots and found[0] <= found[1] else None


@dataclass(frozen=True, slots=True)
class Joint:
    """One step of a thread: the claim that joins two things best, and the others that do."""

    claim: Row
    standing: str
    others: tuple[Row, ...]
    more_others: int


@dataclass(frozen=True, slots=True)
class Told:
    """A thread with its sources."""

    number: int
    way: tuple[Part, ...]
    """The things that it leads over, from the first to the last."""
    headline: str
    joints: tuple[Joint, ...]


@dataclass(frozen=True, slots=True)
class ThreadsPage:
    """All that the screen shows of what was sought."""

    sought: Sought
    title: str
    begin: Part | None
    end: Part | None
    threads: tuple[Told, ...]
    joined: tuple[Row, ...]
    """All claims that join the two, where they were asked for."""
    joined_count: int
    picture: Picture | None
    faded: frozenset[str]
    """The things that lie outside the years that are looked at."""
    range: tuple[int, int] | None
    """The years that the things of the picture span."""
    timeline: Timeline | None
    advice: str | None
    """What to change where nothing was found."""


def things_to_choose(standpoint: Standpoint) -> tuple[Choice, ...]:
    """Every thing that a thread can begin or end at."""
    return standpoint.kept("threads: things", lambda: choices(standpoint.view, ("Thing",)))


def threads_page(standpoint: Standpoint, sought: Sought) -> ThreadsPage:
    """What was sought, with its picture and the same along the years.

    :raises NotOnRecord: if a thing is not in the daybook on that day.
    :raises SameThing: if both ends are one thing.
    """
    for slug in (sought.begin, sought.end, sought.explained, *sought.beside):
        _require(standpoint.view, slug)
    if sought.begin and sought.begin == sought.end:
        name = standpoint.view.label(sought.begin)
        raise SameThing(f"{name} stands at both ends; a thread joins two things. Choose another at one end.")
    with standpoint.lock:
        return standpoint.kept(("threads", sought), lambda: _page(standpoint, sought))


def _require(view: WorkingView, slug: str | None) -> None:
    if slug is not None and slug not in view.things:
        when = f" as it stood on {view.as_of}" if view.as_of else ""
        raise NotOnRecord(f"{slug!r} is not in the daybook{when}. Choose a thing from the list.")


def _page(standpoint: Standpoint, sought: Sought) -> ThreadsPage:
    view, threads = standpoint.view, standpoint.threads
    if sought.begin is None and sought.end is not None:
        sought = replace(sought, begin=sought.end, end=None)
    allowed = _allowed(view, sought)
    told: tuple[Told, ...] = ()
    joined: tuple[Row, ...] = ()
    count = 0
    picture = None
    if sought.begin and sought.end and sought.is_joined:
        claims = _joining(threads, sought.begin, sought.end)
        joined, count = tuple(row(view, claim) for claim in claims[:MOST_JOINING]), len(claims)
    elif sought.begin and sought.end:
        found = standpoint.kept(
            ("threads: routes", replace(sought, years=None, explained=None, beside=(), every=None)),
            lambda: threads.between(sought.begin or "", sought.end or "", MOST_THREADS, allowed),
        )
        told = tuple(_told(view, number, thread) for number, thread in enumerate(found, start=1))
        picture = picture_of_threads(threads, found) if found else None
    elif sought.begin:
        picture = surroundings(standpoint, sought)
    drawn = tuple(node.key for node in picture.nodes if node.is_thing) if picture else ()
    return ThreadsPage(
        sought,
        _title(view, sought),
        named(view, sought.begin) if sought.begin else None,
        named(view, sought.end) if sought.end else None,
        told,
        joined,
        count,
        picture,
        _faded(threads, drawn, sought.years),
        _range(standpoint, drawn),
        _timeline(standpoint, sought, drawn),
        _advice(sought, bool(told)),
    )


def surroundings(standpoint: Standpoint, sought: Sought) -> Picture:
    """The picture of what lies round the thing at which the search begins."""
    begin, allowed = sought.begin or "", _allowed(standpoint.view, replace(sought, is_sharing=True))
    with standpoint.lock:
        return standpoint.kept(
            ("threads: around", begin, sought.steps, sought.without, sought.least),
            lambda: picture_around(standpoint.threads, begin, sought.steps, allowed),
        )


def _allowed(view: WorkingView, sought: Sought) -> Allowed:
    """What may be passed through."""
    families = (family for family in FAMILIES if family.name in sought.without)
    kinds = (kinds_of(view.vocabulary, family) for family in families)
    without = frozenset[str]().union(*kinds, () if sought.is_sharing else LIKENESS)
    return Allowed(not_kinds=without, least=LEAST[sought.least] if sought.least else None)


def _joining(threads: Threads, one: str, other: str) -> list[Claim]:
    pair = sorted((threads.number[one], threads.number[other]))
    return [claim for _, claim in threads.joined.get((pair[0], pair[1]), ())]


def _told(view: WorkingView, number: int, thread: Thread) -> Told:
    weakest = max((link.step for link in thread.links), key=steps_below_the_best)
    count = f"{len(thread.links)} link{'' if len(thread.links) == 1 else 's'}"
    least = "its claim" if len(thread.links) == 1 else "its weakest claim"
    joints = tuple(
        Joint(
            row(view, link.claim),
            link.step.value,
            tuple(row(view, claim) for claim in link.others[:MOST_OTHERS]),
            max(len(link.others) - MOST_OTHERS, 0),
        )
        for link in thread.links
    )
    way = (named(view, thread.links[0].before), *(named(view, link.after) for link in thread.links))
    return Told(number, way, f"{count}; {least}: {weakest.value}", joints)


def _title(view: WorkingView, sought: Sought) -> str:
    if sought.begin and sought.end:
        if sought.is_joined:
            return f"What joins {view.label(sought.begin)} and {view.label(sought.end)}"
        return f"From {view.label(sought.begin)} to {view.label(sought.end)}"
    if sought.begin:
        return f"Round {view.label(sought.begin)}"
    return ""


def _faded(threads: Threads, things: Iterable[str], years: tuple[int, int] | None) -> frozenset[str]:
    """The things whose time, as the evidence bounds it, lies wholly outside some years."""
    if years is None:
        return frozenset()
    allowed = Allowed(during=Window.within(day_of(years[0]), day_of(years[1], 12, 31)))
    return frozenset(slug for slug in things if not threads.may_pass(slug, allowed))


def _range(standpoint: Standpoint, things: tuple[str, ...]) -> tuple[int, int] | None:
    days = years_of_things(things, standpoint.chronology)
    years = (year_of(days[0]), year_of(days[1])) if days else None
    return years if years and years[0] < years[1] else None


def _timeline(standpoint: Standpoint, sought: Sought, drawn: tuple[str, ...]) -> Timeline | None:
    timely = (slug for slug in drawn if slug == sought.begin or _is_timely(standpoint.view, slug))
    things = (*timely, *sought.beside, *_every(standpoint, sought.every))
    explained = sought.explained or sought.begin
    given = tuple(things)
    return standpoint.kept(
        ("threads: along the years", given, explained),
        lambda: timeline_of_things(given, standpoint.chronology, standpoint.audit.conflicts, explained),
    )


def _is_timely(view: WorkingView, slug: str) -> bool:
    """Whether a thing of the picture is drawn along the years too: no source, and nothing that many things share."""
    kinds = view.kinds(slug)
    is_shared = any(view.vocabulary.is_a(kinds, kind) for kind in LIKENESS)
    return not is_shared and family_of(view.vocabulary, kinds).name != "source"


def _every(standpoint: Standpoint, name: str | None) -> Iterator[str]:
    view = standpoint.view
    family = next((family for family in FAMILIES if family.name == name), None)
    if family is not None:
        yield from (s for s, t in view.things.items() if family_of(view.vocabulary, t.kinds) is family)


def _advice(sought: Sought, is_found: bool) -> str | None:
    """What may help where nothing joins the two in the way that was asked for."""
    if not (sought.begin and sought.end) or is_found or sought.is_joined:
        return None
    ways = []
    if not sought.is_sharing:
        ways.append("let threads lead over what very many things share")
    if sought.least:
        ways.append("ask for no least standing")
    if sought.without:
        ways.append("leave no kinds out")
    if not ways:
        return "No claims on record join them, however far one goes. Look at the surroundings of one of them."
    return f"Nothing joins them in this way. You can {', or '.join(ways)}."


def families_to_choose() -> tuple[Family, ...]:
    """The kinds of things that can be left out, or drawn along the years."""
    return FAMILIES
