"""What the commands share: finding the daybook, printing, and the meaning of exit codes."""

from __future__ import annotations

import getpass
import io
import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.errors import KilnmarkError

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Claim
    from kg.daybook.view import WorkingView

#: Exit codes: the question was answered; the input or daybook was refused; the command was misused; faults were found.
ANSWERED, REFUSED, MISUSED, FAULTS_FOUND, INTERRUPTED = 0, 1, 2, 3, 130

#: The environment variable that names the daybook where no option does.
VARIABLE = "KILNMARK_DAYBOOK"

#: The environment variable that names the researcher where neither note nor option does.
SIGNER = "KILNMARK_RESEARCHER"

DaybookOption = Annotated[
    Path | None,
    typer.Option(
        "--daybook", "-d", help=f"The daybook's folder; else ${VARIABLE}, else the one around this folder."
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object instead of a page for reading.")]
AsOfOption = Annotated[
    str | None, typer.Option("--as-of", help="A past day, YYYY-MM-DD: answer as it stood then.")
]


class BadOption(KilnmarkError):
    """An option's value cannot be used."""


class DaybookNotFound(KilnmarkError):
    """No daybook was named, and there is none around the present folder."""

    def __init__(self) -> None:
        super().__init__(
            "There is no daybook here. Do one of these:\n"
            "  kilnmark demo                     see it at work on an invented trade\n"
            "  kilnmark begin my-daybook         begin one of your own\n"
            f"  kilnmark fit -d FOLDER …          name one that you have (or set {VARIABLE})"
        )


def find_daybook(named: Path | None) -> Path:
    """The folder of the daybook that is meant.

    :raises DaybookNotFound: if none is named and none stands around the present folder.
    """
    from kg.daybook.shelf import MARKER

    if named is not None:
        return named
    if os.environ.get(VARIABLE):
        return Path(os.environ[VARIABLE])
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / MARKER).is_file():
            return folder
    raise DaybookNotFound


def signer(named: str | None) -> str | None:
    """Who signs an entry: the name given, else $KILNMARK_RESEARCHER, else the user of this computer."""
    if named or os.environ.get(SIGNER):
        return named or os.environ[SIGNER]
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return None


def open_daybook(named: Path | None) -> Daybook:
    """The daybook that is meant, open; damaged entries are told on standard error."""
    from kg.daybook.daybook import Daybook

    daybook = Daybook.open(find_daybook(named))
    daybook.entries()
    for name, what in daybook.damaged.items():
        typer.echo(f"Left out: entry file {name}: {what}. `kilnmark verify` tells more.", err=True)
    return daybook


def open_view(named: Path | None, as_of: str | None = None, convention: str | None = None) -> WorkingView:
    """The working view of the daybook that is meant, now or as of a day."""
    return open_daybook(named).view(past_day(as_of), convention)


def tell_changed(folder: Path, claims: Iterable[Claim]) -> None:
    """Say on standard error which of the entries behind some claims were changed since they were recorded."""
    from kg.daybook.shelf import Shelf

    shelf = Shelf.open(folder)
    for damage in shelf.faults_of({claim.entry for claim in claims}):
        typer.echo(f"Do not trust this answer: {damage.file} is {damage.what}.", err=True)


def past_day(text: str | None) -> date | None:
    """The day that an option names.

    :raises BadOption: if it is no day.
    """
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise BadOption(f"--as-of {text!r} found; expected a day such as 2026-06-15.") from error


class _Trimmed(io.StringIO):
    """Passes lines on to standard output without the blanks that fill them up."""

    def write(self, text: str) -> int:
        super().write(text)
        *whole, rest = self.getvalue().split("\n")
        self.seek(0)
        self.truncate()
        super().write(rest)
        for line in whole:
            sys.stdout.write(line.rstrip() + "\n")
        return len(text)


def console() -> Console:
    """Where pages for reading are printed; without a terminal, $COLUMNS or 110 wide."""
    from rich.console import Console

    if sys.stdout.isatty():
        return Console(highlight=False)
    columns = os.environ.get("COLUMNS", "")
    width = int(columns) if columns.isdigit() and int(columns) >= MIN_COLUMNS else 110
    return Console(width=width, highlight=False, file=_Trimmed())


#: Narrower than this no sentence can be read.
MIN_COLUMNS = 30


#: Characters that steer a terminal or turn the direction of what follows: control codes and bidirectional overrides.
_STEERING = {
    code: "\ufffd"
    for code in (*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F), *range(0x2066, 0x206A))
    if chr(code) not in "\n\t"
}


def shown(text: str) -> str:
    """A text as it may be printed: what would steer the terminal stands as a mark of its own."""
    return text.translate(_STEERING)


def put(console: Console, text: str | Text, indent: int = 0, style: str = "") -> None:
    """Print one paragraph, indented, wrapped to the width; a string is printed as it is, without markup."""
    from rich.padding import Padding
    from rich.text import Text

    body = Text(text, style=style) if isinstance(text, str) else text
    body.plain = shown(body.plain)
    if not body.plain:  # a padded paragraph of nothing would print no line at all
        console.print()
        return
    console.print(Padding(body, (0, 0, 0, indent), expand=False))


def counted(number: int, noun: str) -> str:
    """A number with its noun: 1 claim, 2 claims.

    >>> counted(1, "claim"), counted(0, "thing")
    ('1 claim', '0 things')
    """
    return f"{number} {noun}" + ("" if number == 1 else "s")


def echo(text: str) -> None:
    """One line on standard output, with nothing in it that steers the terminal."""
    typer.echo(shown(text))


def print_json(told: Any) -> None:
    """One JSON value on standard output."""
    typer.echo(json.dumps(told, ensure_ascii=False, indent=2))


@contextmanager
def progress_bar(title: str, *, is_quiet: bool = False) -> Iterator[Callable[[str, int, int], None]]:
    """A progress bar on standard error, as a function that long work calls with (what, done, of)."""
    if is_quiet or not sys.stderr.isatty():
        yield lambda _what, _done, _of: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.completed}"),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(title, total=None)

        def tell(what: str, done: int, of: int) -> None:
            bar.update(task, description=f"{title}: {what}", completed=done, total=of or None)

        yield tell
