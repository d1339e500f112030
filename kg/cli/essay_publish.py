"""The command ``essay publish``: essays or a whole catalogue in print."""

from __future__ import annotations

import os
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    counted,
    echo,
    open_view,
    print_json,
    put,
)

if TYPE_CHECKING:
    from kg.daybook.view import WorkingView
    from kg.essays.publish_plan import Manuscript, Settings
    from kg.essays.syntax import Essay

#: Bytes of a file of essays; a catalogue of 500 entries has some 3 MB.
LARGEST_FILE = 20_000_000
#: Sentences that are printed of those that tell what to look at.
_MOST_TOLD = 8


def publish_command(
    essays: Annotated[list[str], typer.Argument(help="Essays of the daybook by id, or files in Markdown.")],
    form: Annotated[
        str | None,
        typer.Option("--as", help="docx, pdf, html or markdown; else by the ending of --out, else docx."),
    ] = None,
    style: Annotated[
        str | None, typer.Option("--style", help="The citation style; `--style list` tells which there are.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="Write to this new file.")] = None,
    catalogue: Annotated[
        bool, typer.Option("--catalogue", help="Number the essays and begin with a title and contents.")
    ] = False,
    title: Annotated[str | None, typer.Option("--title", help="The title of the catalogue.")] = None,
    author: Annotated[str | None, typer.Option("--author", help="Who signs the print.")] = None,
    language: Annotated[
        str, typer.Option("--language", help="The language of the essays: en, fr or de.")
    ] = "en",
    pictures: Annotated[
        Path | None,
        typer.Option("--pictures", help="The folder with the photographs, each under its id in the daybook."),
    ] = None,
    house: Annotated[
        str | None, typer.Option("--house", help="The house's table of hedges: certainty-first or saleroom.")
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print essays with notes, sources, illustrations and terms, as a document, pages, a web page or Markdown."""
    from kg.essays.hedges import DEFAULT_TABLE, table
    from kg.essays.publish import set_in
    from kg.essays.publish_plan import Settings, manuscript
    from kg.essays.publish_words import print_words
    from kg.essays.styles import style_named

    if style == "list":
        _list_styles()
        return
    words = print_words(language)
    style_named(style, language)
    table(house or DEFAULT_TABLE)
    chosen = _form(form, out)
    target = _target(out, essays, chosen)
    if pictures is not None and not pictures.is_dir():
        raise BadOption(f"--pictures {str(pictures)!r} is no folder. Name one that is there.")
    view = open_view(daybook, as_of)
    read = [essay for name in essays for essay in _read(view, name)]
    if catalogue or title or len(read) > 1:
        title = title or words["catalogue"]
    settings = Settings(language, style, title, author, house or DEFAULT_TABLE, pictures)
    made = manuscript(view, read, settings)
    _write_new(target, set_in(made, chosen))
    _tell(made, settings, target, chosen, as_json)


def _form(form: str | None, out: Path | None) -> str:
    from kg.essays.publish import FORMS

    by_ending = {ending: name for name, ending in FORMS.items()}
    chosen = form or by_ending.get(out.suffix.casefold() if out else "", "docx" if out is None else "")
    if chosen not in FORMS:
        found = f"--as {form!r}" if form else f"--out {str(out)!r} with no known ending"
        raise BadOption(f"{found} found; expected --as with one of {', '.join(FORMS)}.")
    return chosen


def _target(out: Path | None, essays: list[str], form: str) -> Path:
    from kg.essays.publish import FORMS

    name = Path(essays[0]).stem if len(essays) == 1 else "catalogue"
    target = out or Path(f"{name}{FORMS[form]}")
    if target.exists():
        raise BadOption(f"{target} is there already; name a new file with --out. Nothing was written.")
    if not target.parent.is_dir():
        raise BadOption(f"{target.parent} is no folder; make it first. Nothing was written.")
    return target


def _read(view: WorkingView, name: str) -> tuple[Essay, ...]:
    """The essays of a file, or the one of the daybook with that name."""
    from kg.cli.essay import _text
    from kg.essays.syntax import EssayNotUnderstood, read_catalogue

    file = Path(name)
    is_file = file.suffix.casefold() in (".md", ".markdown", ".txt") or file.is_file()
    text = _file_text(file) if is_file else _text(view, name, None)[2]
    try:
        found = read_catalogue(text)
    except EssayNotUnderstood as error:
        raise BadOption(f"{name}: {error}") from error
    return tuple(replace(essay, origin=name) for essay in found)


def _file_text(file: Path) -> str:
    if not file.is_file():
        raise BadOption(f"{file} is no file. Name one that is there, or an essay of the daybook by its id.")
    if file.stat().st_size > LARGEST_FILE:
        raise BadOption(f"{file} has more than {LARGEST_FILE // 1_000_000} MB. Print it in parts.")
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadOption(
            f"{file} is no text in UTF-8: {error.reason} at byte {error.start}. Save it as UTF-8."
        ) from error


def _write_new(target: Path, content: bytes) -> None:
    """Write a file whole, or not at all; a file that is there by now is never replaced."""
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".print-") as beside:
        part = Path(beside) / target.name
        part.write_bytes(content)
        try:
            os.link(part, target)
        except FileExistsError as error:
            raise BadOption(f"{target} is there by now; name a new file. Nothing was written.") from error


def _list_styles() -> None:
    from kg.essays.styles import styles

    width = max(len(style.name) for style in styles())
    for style in styles():
        echo(f"{style.name:<{width}}  {style.what}")


def _tell(made: Manuscript, settings: Settings, target: Path, form: str, as_json: bool) -> None:
    if as_json:
        told: dict[str, Any] = {
            "file": str(target),
            "form": form,
            "style": settings.chosen_style.name,
            "language": settings.language,
            "essays": len(made.essays),
            "notes": made.notes,
            "sources": len(made.items),
            "illustrations": len(made.illustrations),
            "terms": len(made.terms),
            "told": list(made.told),
            "read_from_names": list(made.read_from_names),
        }
        print_json(told)
        return
    parts = [
        counted(len(made.essays), "essay"),
        counted(made.notes, "note"),
        counted(len(made.items), "source"),
    ]
    if made.illustrations:
        parts.append(counted(len(made.illustrations), "illustration"))
    echo(f"Printed to {target}: {', '.join(parts)}, in the style {settings.chosen_style.name}.")
    page = console()
    if made.told:
        put(page, "Look at this before it goes out:")
        for line in made.told[:_MOST_TOLD]:
            put(page, line, indent=2)
        if len(made.told) > _MOST_TOLD:
            put(page, f"… and {len(made.told) - _MOST_TOLD} more; --json tells all.", indent=2)
    if made.read_from_names:
        put(
            page,
            "Some references stand as the sources' names have them, since no claim gives their parts; "
            f"--json tells of {counted(len(made.read_from_names), 'such reading')}.",
        )
