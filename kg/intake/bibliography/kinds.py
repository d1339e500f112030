"""Which class of source a record is, and the name by which one cites it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kg.daybook.csl import type_of_kinds
from kg.intake.bibliography.record import Name, Record, cut
from kg.intake.bibliography.texts import folded, one_line, slugged, title_words
from kg.vocabulary import Vocabulary

#: The class of source for each type of the Citation Style Language; all others are a source as such.
_KINDS = {
    "book": "Book", "classic": "Book", "collection": "Book", "thesis": "Book", "pamphlet": "Book", "report": "Book",
    "article": "Article", "article-journal": "Article", "article-magazine": "Article", "article-newspaper": "Article",
    "chapter": "Article", "entry": "Article", "entry-dictionary": "Article", "entry-encyclopedia": "Article",
    "paper-conference": "Article", "review": "Article", "review-book": "Article", "periodical": "PeriodicalIssue",
    "patent": "PatentText", "personal_communication": "Letter", "interview": "Testimony", "dataset": "Dataset",
}  # fmt: skip
#: Types of what stands in something larger, and shares its ISBN.
PARTS = frozenset(kind for kind, name in _KINDS.items() if name == "Article")


def kind_of(record: Record, vocabulary: Vocabulary) -> str:
    """The class of source: by what the record calls itself where a class has that name, else by its type."""
    called = folded(record.text("genre"))
    below = vocabulary.descendants.get("Source", frozenset())
    for name in sorted(below):
        if called and folded(vocabulary.kinds[name].label) == called:
            return name
    if called.endswith((" catalogue", " catalog")) and "Catalogue" in below:
        return "Catalogue"
    return _KINDS.get(record.type, "Source")


def type_to_claim(record: Record, kinds: Sequence[str], vocabulary: Vocabulary) -> str | None:
    """The type of CSL, where the classes of the source do not say it already."""
    has_imprint = bool(record.text("publisher") or record.text("publisher-place"))
    return None if type_of_kinds(vocabulary, kinds, has_imprint=has_imprint) == record.type else record.type


def label_of(record: Record, date: str) -> str:
    """The name of a new source: author, title, and where and when it appeared, as the literature is cited.

    An article's title stands in quotation marks, with the periodical after it.
    """
    people = record.people.get("author") or record.people.get("editor")
    names = [_short(name) for name in people.names[:3]] if people else []
    if people and (len(people.names) > 3 or people.is_cut):
        names = [names[0], "others"]
    title = one_line(record.text("title")) or f"Untitled {record.type.replace('_', ' ').replace('-', ' ')}"
    container = one_line(record.text("container-title"))
    volume, place = one_line(record.text("volume")), one_line(record.text("publisher-place"))
    numbered = f"{container} {volume}".strip()
    body = f"'{title}', {numbered}" if container else title
    imprint = ", ".join(part for part in (place, date) if part)
    said = ", ".join(part for part in (_listed(names), body) if part)
    return cut(f"{said} ({imprint})" if imprint else said, 300)


def slug_of(record: Record, kind: str, year: str) -> str:
    """The name of a new source in the daybook: class, family name, year and the first words of the title."""
    people = record.people.get("author") or record.people.get("editor")
    first = slugged(people.names[0].family or people.names[0].literal) if people else ""
    parts = (_prefix(kind), first[:40].strip("-"), slugged(year)[:12], title_words(record.text("title")))
    return "-".join(part for part in parts if part)


def _prefix(kind: str) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", "-", kind).lower()


def _short(name: Name) -> str:
    """A name with initials.

    >>> _short(Name("Bellegarrigue", "Jean-Marc"))
    'J.-M. Bellegarrigue'
    """
    if name.literal:
        return one_line(name.literal)
    initials = re.sub(r"(\w)\w*\.?", r"\1.", name.given)
    return one_line(" ".join(part for part in (initials, name.particle, name.family) if part))


def _listed(names: list[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else "".join(names)
