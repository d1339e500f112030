"""What a daybook holds that a screen can ask about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from kg.daybook.view import WorkingView
from kg.vocabulary import Property


@dataclass(frozen=True, slots=True)
class Choice:
    """A thing to choose from a list: its slug and the line that stands for it."""

    slug: str
    text: str


@dataclass(frozen=True, slots=True)
class Stock:
    """What a daybook holds that a date can be asked of."""

    title: str
    claim_count: int
    subjects: tuple[Choice, ...]
    """Pieces, parts and makers, by name."""
    makers: tuple[Choice, ...]
    damaged: tuple[str, ...]
    """The entry files that could not be read and are left out."""


def stock_of(view: WorkingView, title: str, damaged: Iterable[str]) -> Stock:
    """What can be asked about on a day."""
    prop = _attribution(view)
    makers = choices(view, (prop.range,))
    subjects = choices(view, (prop.domain, prop.range))
    return Stock(title, len(view.live), subjects, makers, tuple(sorted(damaged)))


def _attribution(view: WorkingView) -> Property:
    return next(prop for prop in view.vocabulary.properties.values() if prop.is_attribution)


def choices(view: WorkingView, wanted: tuple[str, ...]) -> tuple[Choice, ...]:
    """The things of some classes, by name, each with a line that no other has."""
    vocabulary = view.vocabulary
    things = [t for t in view.things.values() if any(vocabulary.is_a(t.kinds, kind) for kind in wanted)]
    lines = {t.slug: f"{t.label} ({kinds_text(view, t.kinds)})" for t in things}
    counts = Counter(lines.values())
    found = []
    for thing in sorted(things, key=lambda t: (t.label.casefold(), t.slug)):
        line = lines[thing.slug] if counts[lines[thing.slug]] == 1 else f"{lines[thing.slug]} [{thing.slug}]"
        found.append(Choice(thing.slug, f"{line}, confidential" if thing.is_confidential else line))
    return tuple(found)


def kinds_text(view: WorkingView, kinds: Iterable[str]) -> str:
    """The classes of a thing as one reads them."""
    return ", ".join(view.vocabulary.kinds[kind].label for kind in kinds if kind in view.vocabulary.kinds)
