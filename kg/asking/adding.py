"""Adding a finding from the desk: the form that the vocabulary makes, what is wrong field by field, and the note."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, choices, kinds_text
from kg.asking.thing import HEADINGS
from kg.chronology.telling import window_text
from kg.dates.conventions import DEFAULT, conventions
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_date
from kg.daybook.daybook import Note
from kg.daybook.note_reader import Reader
from kg.daybook.notes import note_from_tables
from kg.daybook.record import Thing
from kg.daybook.view import WorkingView
from kg.intake.templates import Template
from kg.vocabulary import Property, Vocabulary

#: Groups of properties that have forms of their own: questions, and what stands in print.
APART = frozenset({"question", "print"})

#: Classes that nobody describes by hand: what the daybook itself is made of.
_OWN = frozenset({"Entry", "Claim", "Judgement"})

#: What each strength means, as the form tells it.
STRENGTHS = {
    "hard": "hard: the source says so outright",
    "usual": "usual: so it is as a rule; it never contradicts",
    "weak": "weak: a guess or a maybe; it never contradicts",
}


@dataclass(frozen=True, slots=True)
class PropertyChoice:
    """A property as the form offers it."""

    name: str
    label: str
    text: str
    """Its group and its label."""
    comment: str
    form: str
    """How its value is given: ``date``, ``number``, ``text`` or ``thing``."""
    range: str
    """The class of the things that can be its value."""
    range_label: str


@dataclass(frozen=True, slots=True)
class NewThing:
    """A thing that is not on record yet: its class and its name."""

    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Filled:
    """The fields of the form as they are filled in; a thing is a slug, or new."""

    about: str | NewThing | None = None
    says: str | None = None
    value: str | NewThing | None = None
    source: str | NewThing | None = None
    locator: str = ""
    quotation: str = ""
    strength: str = "hard"
    is_confidential: bool = False


@dataclass(frozen=True, slots=True)
class NoteDraft:
    """What is on the note so far: the rows and new things that `kg.daybook.notes` reads."""

    things: tuple[Thing, ...] = ()
    rows: tuple[Filled, ...] = ()

    def without(self, number: int) -> NoteDraft:
        """The note without one of its findings, and without the new things that no other one names."""
        rows = self.rows[:number] + self.rows[number + 1 :]
        named = {slug for row in rows for slug in (row.about, row.value, row.source)}
        return NoteDraft(tuple(thing for thing in self.things if thing.slug in named), rows)


@dataclass(frozen=True, slots=True)
class Checked:
    """A filled form after the check: the note with it put on, or what is wrong, field by field."""

    note: NoteDraft | None
    faults: Mapping[str, str] = field(default_factory=dict)


def properties_for(view: WorkingView, kinds: tuple[str, ...]) -> tuple[PropertyChoice, ...]:
    """The properties that can be said of a thing of these classes, in the order of the vocabulary's groups."""
    order = list(HEADINGS)
    vocabulary = view.vocabulary
    offered = [
        prop
        for prop in vocabulary.properties.values()
        if prop.group not in APART and not _joins(prop) and vocabulary.is_a(kinds, prop.domain)
    ]
    offered.sort(key=lambda p: (order.index(p.group) if p.group in order else len(order), p.group, p.order))
    return tuple(_choice(vocabulary, prop) for prop in offered)


def _joins(prop: Property) -> bool:
    """Whether a property says that two things are one, or two: a screen of its own does that."""
    return prop.is_identity or prop.name == "differentFrom"


def _choice(vocabulary: Vocabulary, prop: Property) -> PropertyChoice:
    form = "date" if prop.is_date else "number" if prop.is_number else "text" if prop.is_text else "thing"
    kind = vocabulary.kinds.get(prop.range)
    heading = HEADINGS.get(prop.group, prop.group.capitalize())
    text = f"{heading}: {prop.label}"
    return PropertyChoice(
        prop.name, prop.label, text, prop.comment, form, prop.range, kind.label if kind else prop.range
    )


def kinds_under(view: WorkingView, wanted: str = "Thing") -> tuple[Choice, ...]:
    """The classes that a new thing can be of, where one of a class is wanted; by their labels."""
    vocabulary = view.vocabulary
    names = [name for name in vocabulary.descendants.get(wanted, ()) if name not in _OWN]
    labels = sorted((vocabulary.kinds[name].label, name) for name in names)
    return tuple(Choice(name, label) for label, name in labels)


def strengths(view: WorkingView) -> tuple[Choice, ...]:
    """How strongly a source can say something, the strongest first."""
    ranks = view.vocabulary.strengths
    return tuple(
        Choice(name, STRENGTHS.get(name, name)) for name in sorted(ranks, key=ranks.__getitem__, reverse=True)
    )


def choices_for(standpoint: Standpoint, draft: NoteDraft, wanted: str) -> tuple[Choice, ...]:
    """The things of a class on record, and before them those that are new on the note."""
    vocabulary = standpoint.view.vocabulary
    new = (thing for thing in draft.things if vocabulary.is_a(thing.kinds, wanted))
    fresh = tuple(
        Choice(t.slug, f"{t.label} ({kinds_text(standpoint.view, t.kinds)}, new on this note)") for t in new
    )
    return (*fresh, *things_of(standpoint, wanted))


def things_of(standpoint: Standpoint, wanted: str) -> tuple[Choice, ...]:
    """The things on record of a class, by name, for a list to choose from."""
    return standpoint.kept(("things of", wanted), lambda: choices(standpoint.view, (wanted,)))


def kinds_of(view: WorkingView, draft: NoteDraft, about: str | NewThing | None) -> tuple[str, ...]:
    """The classes of what a finding is about: on record, new on the note, or new in the form."""
    if isinstance(about, NewThing):
        return (about.kind,)
    here = [kind for thing in draft.things if thing.slug == about for kind in thing.kinds]
    return (*here, *view.kinds(about or ""))


def reading_of(view: WorkingView, text: str, source: str | NewThing | None) -> str:
    """How a date phrase is read by the convention of its source, as one sentence; why not, where it cannot be read."""
    if not text.strip():
        return ""
    thing = view.things.get(source) if isinstance(source, str) else None
    named = (thing.convention if thing else None) or view.convention or DEFAULT
    try:
        reading = read_date(text.strip(), named if named in conventions() else DEFAULT)
    except DateNotUnderstood as error:
        return str(error)
    if reading.edtf is None or reading.window is None:
        return f"“{text.strip()}” says that there is no date; leave the finding out."
    return f"Read as {reading.edtf}, which allows {window_text(reading.window)}. {reading.why}"


def namesakes(view: WorkingView, new: NewThing) -> tuple[Choice, ...]:
    """The things on record of the name that a new one is to bear: perhaps one of them is meant."""
    name = " ".join(new.name.casefold().split())
    found = (thing for thing in view.things.values() if name and thing.label.casefold() == name)
    return tuple(Choice(t.slug, f"{t.label} ({kinds_text(view, t.kinds)})") for t in found)


def form_of(view: WorkingView, says: str | None) -> str | None:
    """How the value of a property is given; None where no property is chosen."""
    prop = view.vocabulary.properties.get(says or "")
    return _choice(view.vocabulary, prop).form if prop else None


def put_on(view: WorkingView, draft: NoteDraft, filled: Filled) -> Checked:
    """The note with a finding put on it, or what is wrong with the finding, field by field."""
    faults = dict(_missing(view, filled))
    if faults:
        return Checked(None, faults)
    with_things, plain = _with_new_things(view, draft, filled)
    reader = Reader(view)
    reader.things = {thing.slug: thing for thing in with_things.things}
    row = _row(plain)
    told = _faults(reader, row)
    for name in ("about", "value", "source"):
        given = getattr(filled, name)
        if isinstance(given, NewThing) and not reader.is_plain(name, "label", given.name):
            told[name] = reader.faults[-1].message
    if told:
        return Checked(None, told)
    if plain in draft.rows:
        return Checked(None, {"value": "This finding is on the note already."})
    return Checked(NoteDraft(with_things.things, (*draft.rows, plain)))


def note_of(view: WorkingView, draft: NoteDraft, researcher: str, remark: str = "") -> Note:
    """The note as it is recorded, checked as a typed note is.

    :raises kg.daybook.note_reader.BadNote: naming every fault with its place.
    """
    things = [_thing_table(thing) for thing in draft.things]
    rows = [_row(filled) for filled in draft.rows]
    return note_from_tables({"thing": things, "claim": rows, "remark": remark}, view, researcher)


def _missing(view: WorkingView, filled: Filled) -> Iterator[tuple[str, str]]:
    """The fields that every finding needs and this one has not."""
    wanted = {
        "about": "Choose what the finding is about, or name a new thing.",
        "says": "Choose what the source says of it.",
        "value": "Fill in what it says.",
        "source": "Choose the source that says so, or name a new one.",
        "locator": "Give the place in the source, such as p. 12, pl. 4 or “head, back”.",
    }
    for name, told in wanted.items():
        given = getattr(filled, name)
        if isinstance(given, NewThing):
            if not given.name.strip():
                yield name, "Give the new one a name."
            elif given.kind not in view.vocabulary.kinds:
                yield name, "Choose what kind of thing the new one is."
        elif given is None or not str(given).strip():
            yield name, told


def _with_new_things(view: WorkingView, draft: NoteDraft, filled: Filled) -> tuple[NoteDraft, Filled]:
    """The note with the new things of a form described on it, and the form naming them by their slugs."""
    things = list(draft.things)
    slugs: dict[str, Any] = {}
    for name in ("about", "value", "source"):
        given = getattr(filled, name)
        if isinstance(given, NewThing):
            label = " ".join(given.name.split())
            same = next((t for t in things if t.label == label and given.kind in t.kinds), None)
            made = same or Thing(_new_slug(view, things, given.kind, label), (given.kind,), label)
            if same is None:
                things.append(made)
            slugs[name] = made.slug
    return NoteDraft(tuple(things), draft.rows), replace(filled, **slugs)


def _new_slug(view: WorkingView, things: list[Thing], kind: str, label: str) -> str:
    """A name for the address of a new thing that no other thing has."""
    base = Template.of("{kind}-{label}").slug(
        {"kind": view.vocabulary.kinds[kind].label, "label": label.casefold()}
    )
    taken = {thing.slug for thing in things} | view.things.keys()
    number, slug = 2, base
    while slug in taken:
        number, slug = number + 1, f"{base}-{number}"
    return slug


def _row(filled: Filled) -> dict[str, Any]:
    """A finding as a table of a note."""
    row: dict[str, Any] = {
        "about": filled.about,
        "says": filled.says,
        "value": str(filled.value).strip(),
        "source": filled.source,
        "locator": filled.locator.strip(),
        "strength": filled.strength,
    }
    row |= {"quotation": filled.quotation.strip()} if filled.quotation.strip() else {}
    row |= {"confidential": True} if filled.is_confidential else {}
    return row


def _thing_table(thing: Thing) -> dict[str, Any]:
    return {"id": thing.slug, "kind": list(thing.kinds), "label": thing.label}


def _faults(reader: Reader, row: Mapping[str, Any]) -> dict[str, str]:
    """What is wrong with a finding: the first fault of the note reader in each field."""
    told: dict[str, str] = {}

    def look(name: str, reading: Callable[[], object]) -> None:
        before = len(reader.faults)
        reading()
        if len(reader.faults) > before:
            told.setdefault(name, reader.faults[before].message)

    for key, value in row.items():
        look(key, partial(reader.is_plain, key, key, value))
    if told:
        return told
    prop = reader.property("says", row)
    look("about", lambda: reader.about("about", prop, row))
    look("source", lambda: reader.source("source", str(row["source"])))
    if prop is not None:
        look("value", lambda: reader.value("value", prop, row))
    return told
