"""What is taken from the essay bench: the text, the essay as print in a style of citation, the evidence sheet."""

from __future__ import annotations

from dataclasses import dataclass

from kg.asking.essays import Opened, bench_of
from kg.asking.essays_text import mark_of, read_text
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice
from kg.essays.draft_text import plain
from kg.essays.glossary_in_use import terms_in_use
from kg.essays.hedges import DEFAULT_TABLE
from kg.essays.publish import FORMS, set_in
from kg.essays.publish_plan import Settings, manuscript
from kg.essays.publish_words import print_words
from kg.essays.sheet import evidence_sheet
from kg.essays.sheet_print import sheet_pdf
from kg.essays.styles import DEFAULTS, styles

#: The forms of print as one chooses them.
FORM_NAMES = {
    "docx": "A document for a word processor (DOCX)",
    "pdf": "Pages to print (PDF)",
    "html": "A web page (HTML)",
    "markdown": "Markdown with its notes written out",
}

#: The languages of print as one chooses them.
LANGUAGE_NAMES = {"en": "English", "fr": "French", "de": "German"}

_MEDIA = {
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
    "pdf": "application/pdf",
    "html": "text/html",
    "markdown": "text/markdown",
}


@dataclass(frozen=True, slots=True)
class Paper:
    """A file to take away: its name, what kind of file it is, and its bytes."""

    name: str
    media_type: str
    content: bytes
    told: tuple[str, ...] = ()
    """What a reader should know before it is used."""


def text_paper(opened: Opened, text: str) -> Paper:
    """The text as it is written, its notes naming the claims: what `kilnmark essay save` takes back."""
    return Paper(f"{opened.essay}.md", "text/markdown", text.encode("utf-8"))


def style_choices(language: str) -> tuple[Choice, ...]:
    """The styles of citation that there are, the house's own for a language first."""
    every = [Choice(one.name, one.what) for one in styles()]
    return tuple(sorted(every, key=lambda one: one.slug != DEFAULTS[language]))


def print_paper(
    standpoint: Standpoint, opened: Opened, text: str, form: str, style: str, language: str
) -> Paper:
    """A text in a form of print, its notes in a style of citation, made once.

    :raises kg.essays.syntax.EssayNotUnderstood: if it cannot be read, naming the place.
    :raises kg.essays.publish_plan.NotToBePrinted: if something in it must not stand in print.
    :raises kg.essays.pandoc.PrintingNotInstalled: if what prints is not installed.
    """

    def made() -> Paper:
        essay = read_text(standpoint, text)
        ready = manuscript(standpoint.view, (essay,), Settings(language, style))
        name = f"{opened.essay}-print{FORMS[form]}" if form == "markdown" else f"{opened.essay}{FORMS[form]}"
        return Paper(name, _MEDIA[form], set_in(ready, form), ready.told)

    return standpoint.kept(("essay print", mark_of(text), opened.essay, form, style, language), made)


def glossary_paper(standpoint: Standpoint, opened: Opened, text: str, language: str) -> Paper | None:
    """The terms of attribution that a text uses, each with what the house means by it; None where it uses none.

    :raises kg.essays.syntax.EssayNotUnderstood: if it cannot be read, naming the place.
    """

    def made() -> Paper | None:
        terms = terms_in_use(standpoint.view, (read_text(standpoint, text),), DEFAULT_TABLE, language)
        if not terms:
            return None
        heading = print_words(language)["glossary"]
        rows = "\n".join(f"- *{plain(one.words)}*: {plain(one.meaning)}" for one in terms)
        content = f"# {heading}\n\n{rows}\n".encode()
        return Paper(f"{opened.essay}-terms.md", "text/markdown", content)

    return standpoint.kept(("essay terms", mark_of(text), opened.essay, language), made)


def sheet_paper(standpoint: Standpoint, piece: str) -> Paper:
    """The evidence sheet of a piece, made once.

    :raises kg.essays.sheet_print.CannotPrint: if what prints it is not installed.
    """

    def made() -> Paper:
        content = sheet_pdf(evidence_sheet(bench_of(standpoint), piece))
        return Paper(f"{piece}-evidence.pdf", "application/pdf", content)

    with standpoint.lock:
        return standpoint.kept(("essay sheet", piece), made)


def sheets_of(standpoint: Standpoint, opened: Opened) -> tuple[Choice, ...]:
    """The pieces of an essay of which there can be an evidence sheet."""
    bench = bench_of(standpoint)
    return tuple(
        one
        for one in opened.pieces
        if bench.is_kind(one.slug, "Artefact") and not bench.whole.things[one.slug].is_confidential
    )
