"""The commands that begin a daybook and bring another in: ``begin``, ``demo``, ``merge``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kg.cli.common import DaybookOption, JsonOption, console, open_daybook, print_json

#: Where the demo is begun unless a folder is named.
DEMO_FOLDER = Path("kilnmark-demo")


def begin_command(
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.")],
    title: Annotated[str, typer.Option("--title", help="What the daybook is called.")] = "Daybook",
    as_json: JsonOption = False,
) -> None:
    """Begin a new, empty daybook."""
    from kg.daybook.daybook import Daybook

    Daybook.begin(folder, title)
    if as_json:
        print_json({"begun": str(folder), "title": title})
        return
    typer.echo(f"Begun in {folder}. Add a first note with:  kilnmark add NOTE.toml -d {folder}")
    typer.echo("What a note looks like:  kilnmark add --example")


def demo_command(
    folder: Annotated[Path, typer.Argument(help="Where the demo daybook is kept.")] = DEMO_FOLDER,
    as_json: JsonOption = False,
) -> None:
    """Begin the demo, an invented trade, and test its first date."""
    from kg.chronology.chronology import Chronology
    from kg.chronology.fit import Question, fit
    from kg.chronology.telling import told_fit
    from kg.cli.fit import show_fit
    from kg.dates.conventions import convention
    from kg.dates.phrases import read_phrase
    from kg.daybook.daybook import Daybook
    from kg.daybook.demo import MAIN_PHRASE, MAIN_PIECE, begin_demo
    from kg.daybook.shelf import MARKER

    is_new = not (folder / MARKER).is_file()
    book = begin_demo(folder) if is_new else Daybook.open(folder)
    view = book.view()
    told = told_fit(fit(Chronology(view), Question(MAIN_PIECE, read_phrase(MAIN_PHRASE, convention()))), view)
    if as_json:
        print_json(told)
        return
    typer.echo(f"{'Begun' if is_new else 'Opened'}: an invented trade in {folder}, {len(view.live)} claims.")
    typer.echo(f'\n$ kilnmark fit {MAIN_PIECE} "{MAIN_PHRASE}" -d {folder}\n')
    show_fit(console(), told)
    typer.echo(f"\nSee it at the desk:    kilnmark desk -d {folder}")
    typer.echo(f"What else to look for: kilnmark audit -d {folder}, and the story in sources/demo/README.md")


def merge_command(
    other: Annotated[Path, typer.Argument(help="The folder of the other daybook.")],
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take in all entries of another daybook."""
    book = open_daybook(daybook)
    new = book.merge(other)
    if as_json:
        print_json({"new": new, "entries": len(book.entries())})
        return
    typer.echo(f"{new} new entries; {len(book.entries())} in all.")
