"""The command line: one command a module, each a thin call into the library."""

from __future__ import annotations

import typer

from kg.cli.read_date import read_date_command

app = typer.Typer(
    name="kilnmark",
    help="Research notes on dolls and their makers: claims with sources, and a chronology that tests them.",
    no_args_is_help=True,
    add_completion=False,
)
app.command("read-date")(read_date_command)


@app.callback()
def _root() -> None:
    """Research notes on dolls and their makers."""


def main() -> None:
    """Run the command line."""
    app()
