"""What goes to print: essays with every note resolved against the daybook, and nothing confidential in them.

Claims of one source in one note are one citation with all its places. What must not stand in print is refused with
its line and column; what a reader should know before printing is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from kg.daybook.csl import cited_source
from kg.daybook.view import LIVE, WorkingView
from kg.errors import KilnmarkError
from kg.essays.glossary_in_use import Term, terms_in_use
from kg.essays.hedges import DEFAULT_TABLE, table
from kg.essays.illustrations import LARGEST_IN_ALL, PictureFile, PictureRefused, picture_file
from kg.essays.private_names import private_surnames, unmasked
from kg.essays.publish_words import LANGUAGES, is_english, print_words
from kg.essays.sentences import essay_sentences
from kg.essays.styles import Style, style_named
from kg.essays.syntax import Emphasis, Essay, Figure, Inline, Link, NoteReference, Place, Strong, Text

#: Faults that are listed before the rest is counted.
_MOST_LISTED = 12


#: The end of a sentence that says no more than that a piece is in private hands.
_PRIVATE = re.compile(
    r"\b(?:private collection|private hands|collection particulière|Privatbesitz|Privatsammlung)\.?$",
    re.IGNORECASE,
)


class NotToBePrinted(KilnmarkError):
    """Essays cannot go to print as they are; every reason is named with its place, and nothing was written."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        told = "\n".join(f"  {reason}" for reason in self.reasons[:_MOST_LISTED])
        more = len(self.reasons) - _MOST_LISTED
        rest = f"\n  … and {more} more." if more > 0 else ""
        super().__init__(f"Nothing was printed. Mend this first:\n{told}{rest}")


@dataclass(frozen=True, slots=True)
class Settings:
    """How essays are printed."""

    language: str = "en"
    style: str | None = None
    title: str | None = None
    """The title of a catalogue; None for an essay, which has its own."""
    author: str | None = None
    hedges: str = DEFAULT_TABLE
    pictures: Path | None = None
    """The folder with the files of photographs."""

    @property
    def chosen_style(self) -> Style:
        """The style that is named, or the default of the language."""
        return style_named(self.style, self.language)

    @property
    def tag(self) -> str:
        """The language tag for a citation processor: the style's own where it is of the print's language."""
        own = self.chosen_style.language
        return own if own.split("-")[0] == self.language else LANGUAGES[self.language]


@dataclass(frozen=True, slots=True)
class CitedPlaces:
    """A source in a note, with all places in it that the note's claims name."""

    source: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PrintedNote:
    """A note as it is printed."""

    sources: tuple[CitedPlaces, ...]
    remarks: tuple[tuple[Inline, ...], ...] = ()
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class Illustration:
    """An illustration with its running number and its picture."""

    number: int
    figure: Figure
    label: str
    """What the daybook calls the photograph."""
    picture: PictureFile | None


@dataclass(frozen=True)
class Manuscript:
    """Essays ready for print."""

    essays: tuple[Essay, ...]
    settings: Settings
    items: tuple[Mapping[str, Any], ...]
    """The CSL-JSON items of the sources cited, in the order in which they are first cited."""
    illustrations: tuple[Illustration, ...]
    terms: tuple[Term, ...]
    told: tuple[str, ...]
    """What should be known before it goes out."""
    read_from_names: tuple[str, ...]
    """What in the references no claim says: it was read from the sources' names, or chosen among claims."""
    _view: WorkingView = field(repr=False)

    @property
    def is_catalogue(self) -> bool:
        """Whether it holds several essays under one title."""
        return self.settings.title is not None

    @property
    def title(self) -> str:
        """The title of the print."""
        return self.settings.title or (self.essays[0].title if self.essays else "")

    @property
    def words(self) -> Mapping[str, str]:
        """The house's words in the language of the print."""
        return print_words(self.settings.language)

    @cached_property
    def notes(self) -> int:
        """How many notes stand in the text; references in a row are one."""
        blocks = (block for essay in self.essays for block in essay.prose())
        return sum(_count(b.picture.inlines if isinstance(b, Figure) else b.inlines) for b in blocks)

    @cached_property
    def numbers(self) -> Mapping[int, Illustration]:
        """The illustrations by the identity of their figures in the essays."""
        return {id(one.figure): one for one in self.illustrations}

    def note(self, essay: Essay, references: Sequence[NoteReference]) -> PrintedNote:
        """The note that a row of references prints."""
        return resolved(self._view, essay, references)


def note_rows(inlines: Sequence[Inline]) -> Iterator[Inline | list[NoteReference]]:
    """The inlines, with references in a row as one list; that a piece is in private hands wants no note of ours."""
    row: list[NoteReference] = []
    before = ""
    for inline in (*inlines, None):
        if isinstance(inline, NoteReference):
            row.append(inline)
            continue
        if row and not (all(one.is_own for one in row) and _PRIVATE.search(before)):
            yield row
        row = []
        if inline is not None:
            before = inline.text if isinstance(inline, Text) else ""
            yield inline


def _count(inlines: Sequence[Inline]) -> int:
    return sum(
        1
        if isinstance(row, list)
        else _count(row.inlines)
        if isinstance(row, Emphasis | Strong | Link)
        else 0
        for row in note_rows(inlines)
    )


def resolved(view: WorkingView, essay: Essay, references: Sequence[NoteReference]) -> PrintedNote:
    """A row of references as a note: each source once, with all its places in the order of the claims."""
    places: dict[str, dict[str, None]] = {}
    for reference in references:
        if reference.claim is not None:
            citation = view.claims[reference.claim].citation
            places.setdefault(citation.source, {})[reference.locator or citation.locator] = None
    written = dict(essay.remarks)
    return PrintedNote(
        tuple(CitedPlaces(source, tuple(found)) for source, found in places.items()),
        tuple(written[r.remark] for r in references if r.remark is not None),
        any(reference.is_own for reference in references),
    )


def manuscript(view: WorkingView, essays: Iterable[Essay], settings: Settings | None = None) -> Manuscript:
    """Essays made ready for print.

    :raises NotToBePrinted: if a note or a name in them must not stand in print, or names nothing.
    :raises kg.essays.illustrations.PictureRefused: if the file of a photograph cannot be printed.
    :raises kg.essays.styles.StyleUnknown: if the style does not ship.
    :raises kg.essays.publish_words.LanguageUnknown: if the house has no words in the language.
    """
    settings = settings or Settings()
    print_words(settings.language)
    style_named(settings.style, settings.language)
    essays = tuple(essays)
    reasons = [reason for essay in essays for reason in _reasons(view, essay)]
    if not essays:
        reasons.append("There is no text.")
    for essay in essays:
        if not essay.blocks:
            where = f"{essay.origin}: there" if essay.origin else "There"
            reasons.append(f"{where} is no text.")
    if reasons:
        raise NotToBePrinted(reasons)
    told = [reason for essay in essays for reason in _fallen(view, essay, settings)]
    if settings.language != "en" and any(is_english(essay.text) for essay in essays):
        language = {"de": "German", "fr": "French"}[settings.language]
        told.append(f"The text is English, but the words round its notes and lists are {language}.")
    items, read_from_names = _items(view, essays)
    illustrations = tuple(_illustrations(view, essays, settings.pictures, told))
    terms = terms_in_use(view, essays, settings.hedges, settings.language)
    return Manuscript(essays, settings, items, illustrations, terms, tuple(told), read_from_names, view)


def _items(
    view: WorkingView, essays: Sequence[Essay]
) -> tuple[tuple[Mapping[str, Any], ...], tuple[str, ...]]:
    sources = dict.fromkeys(
        view.claims[reference.claim].citation.source
        for essay in essays
        for reference in essay.references()
        if reference.claim is not None
    )
    cited = [cited_source(view, source) for source in sources]
    told = tuple(dict.fromkeys(sentence for one in cited for sentence in one.told))
    return tuple(one.item for one in cited), told


# ---------------------------------------------------------------- what must not be printed


def _reasons(view: WorkingView, essay: Essay) -> Iterator[str]:
    for reference in essay.references():
        if (why := _unfit(view, reference)) is not None:
            yield _at(essay, reference.place, why)
    for block in essay.prose():
        if isinstance(block, Figure) and (why := _unfit_picture(view, block.picture.name)) is not None:
            yield _at(essay, block.place, why)
    yield from _names(view, essay)


def _at(essay: Essay, place: Place, why: str) -> str:
    where = f"{essay.origin}, line" if essay.origin else "Line"
    return f"{where} {place.line}, column {place.column}: {why}"


def _unfit(view: WorkingView, reference: NoteReference) -> str | None:
    """Why a note cannot be printed; None if it can."""
    if reference.claim is None:
        return None
    claim = view.claims.get(reference.claim)
    if claim is None:
        return f"{reference.claim} is no claim of this daybook. Correct the note."
    source = view.things.get(claim.citation.source)
    if source is not None and source.is_confidential:
        return f"{claim.id} rests on {source.slug}, which is confidential. Cite another source."
    if view.is_confidential(claim):
        return f"{claim.id} is confidential. Leave it and what it says out."
    if source is None or not view.vocabulary.is_a(source.kinds, "Source"):
        return (
            f"{claim.id} cites {claim.citation.source}, which is no source of this daybook. Correct it there."
        )
    return None


def _unfit_picture(view: WorkingView, name: str) -> str | None:
    thing = view.things.get(name)
    if thing is None or not view.vocabulary.is_a(thing.kinds, "Photograph"):
        return f"{name} is no photograph of this daybook.{view.near(name.casefold())}"
    return f"{name} is confidential. Leave the picture out." if thing.is_confidential else None


def _names(view: WorkingView, essay: Essay) -> Iterator[str]:
    """Where the text names what is confidential."""
    labels = {thing.label.casefold(): thing.slug for thing in view.things.values() if thing.is_confidential}
    labels = {label: slug for label, slug in labels.items() if len(label) > 1}
    if not labels:
        return
    # Markup within a name must not hide it, nor a line's end; so each is looked for with both between its words.
    between = r"[\s*_\\]+"
    pattern = re.compile(
        "|".join(
            rf"(?<!\w){between.join(map(re.escape, label.split()))}(?!\w)"
            for label in sorted(labels, key=len, reverse=True)
        )
    )
    surnames = private_surnames(view)
    found: set[int] = set()
    for text, where in ((essay.text, range(len(essay.text) + 1)), unmasked(essay.text)):
        found |= {where[at] for at in _named_in(text, pattern, surnames)}
    for at in sorted(found):
        yield _at(essay, _place(essay, essay.text, at), _NAMED)


def _named_in(text: str, names: re.Pattern[str], surnames: re.Pattern[str] | None) -> Iterator[int]:
    """Where a text holds a confidential name, or a surname that stands in none of those."""
    folded = text.casefold()
    if len(folded) != len(text):
        folded = text.lower()
    whole = [found.span() for found in names.finditer(folded)]
    yield from (first for first, _ in whole)
    for found in surnames.finditer(text) if surnames else ():
        if not any(first <= found.start() < last for first, last in whole):
            yield found.start()


_NAMED = "this names what is confidential. Write “private collection”, or leave it out."


def _place(essay: Essay, text: str, at: int) -> Place:
    return Place(essay.first_line + text.count("\n", 0, at), at - text.rfind("\n", 0, at))


def _fallen(view: WorkingView, essay: Essay, settings: Settings) -> Iterator[str]:
    """Where a sentence rests on a claim that takes no part any more, and does not say "formerly"."""
    rows = (
        row.text("\0", settings.language) for row in table(settings.hedges) if row.certainty == "formerly"
    )
    former = {words.split()[0].casefold() for words in rows}
    for sentence in essay_sentences(essay, settings.language):
        if former & set(re.findall(r"\w+", sentence.text.casefold())):
            continue
        for reference in sentence.notes:
            if reference.claim is not None and (standing := view.standing(reference.claim)) not in LIVE:
                why = f"{reference.claim} is {view.vocabulary.standings[standing]}. Rewrite it, or tell it as former."
                yield _at(essay, reference.place, why)


# ---------------------------------------------------------------- illustrations


def _illustrations(
    view: WorkingView, essays: Sequence[Essay], folder: Path | None, told: list[str]
) -> Iterator[Illustration]:
    missing, number, in_all = 0, 0, 0
    read: dict[str, PictureFile | None] = {}
    for essay in essays:
        for block in essay.prose():
            if not isinstance(block, Figure):
                continue
            number += 1
            name = block.picture.name
            if name not in read:
                read[name] = picture_file(folder, name) if folder is not None else None
                picture = read[name]
                in_all += len(picture.content) if picture else 0
            if in_all > LARGEST_IN_ALL:
                raise PictureRefused(
                    f"The pictures have more than {LARGEST_IN_ALL // 1_000_000} MB together. Save them smaller."
                )
            missing += read[name] is None
            yield Illustration(number, block, view.label(name), read[name])
    if missing:
        where = f"in {folder}" if folder else "yet; --pictures names their folder"
        one = "illustration has" if missing == 1 else "illustrations have"
        told.append(f"{missing} {one} no picture {where}.")
