"""The commands of ``essay``: drafts, and essays kept in the daybook."""

from __future__ import annotations

import typer

essay_app = typer.Typer(
    name="essay",
    help="Draft catalogue essays from the claims, keep them in the daybook, and freeze what goes to print.",
    no_args_is_help=True,
    add_completion=False,
)


@essay_app.callback()
def essay() -> None:
    """Draft catalogue essays from the claims, keep them in the daybook, and freeze what goes to print."""
