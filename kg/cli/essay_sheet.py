"""The command ``essay sheet``: a piece's evidence on two pages, to take to the viewing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kg.cli.common import AsOfOption, DaybookOption, echo, open_view


def sheet_command(
    piece: Annotated[str, typer.Argument(help="A piece: its id, or its name in quotes.")],
    out: Annotated[
        Path | None, typer.Option("--out", "-o", help="The PDF to write; else PIECE.pdf in this folder.")
    ] = None,
    date: Annotated[
        str | None,
        typer.Option("--date", help="The date to put to the test; else the first that a source gives."),
    ] = None,
    photograph: Annotated[
        Path | None,
        typer.Option("--photograph", help="A photograph to print, JPEG or PNG; else an empty frame."),
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
) -> None:
    """Print a piece's evidence on two pages: its date, what binds it, witnesses, makers, questions, next looks."""
    from kg.essays.plan import Bench
    from kg.essays.sheet import evidence_sheet
    from kg.essays.sheet_print import new_pdf, photograph_from, sheet_pdf

    picture = photograph_from(photograph) if photograph is not None else None
    sheet = evidence_sheet(Bench(open_view(daybook, as_of)), piece, date)
    path = new_pdf(out or Path(f"{sheet.piece}.pdf"), sheet_pdf(sheet, picture))
    echo(f"Two pages on {sheet.title}: {path}")
