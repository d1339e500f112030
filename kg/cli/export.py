"""The command ``export``: the whole daybook in an open format."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kg.cli.common import AsOfOption, BadOption, DaybookOption, counted, open_daybook, past_day, progress_bar
from kg.intake.forms import Form

if TYPE_CHECKING:
    from kg.intake.export import Export


def export(
    form: Annotated[Form, typer.Option("--as", help="The format.")] = Form.TRIG,
    out: Annotated[
        Path | None, typer.Option("--out", help="The file to write; else standard output.")
    ] = None,
    confidential: Annotated[
        bool,
        typer.Option(
            "--confidential", help="Include what is confidential. Such a file must not be passed on."
        ),
    ] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
) -> None:
    """Export the daybook in an open format.

    trig, nquads, jsonld: every entry whole. turtle: what stands now. crm, crm-nt: every claim in the words of CIDOC
    CRM, as Turtle or N-Triples. csv, xlsx: a line for each claim; xlsx also a sheet for each kind of thing. All of them
    leave out what is confidential, and say so, unless --confidential is given.
    """
    from kg.intake.export import export_daybook, new_file

    if out is None and not form.is_text and sys.stdout.isatty():
        raise BadOption(f"A workbook cannot be shown here. Give --out FILE.{form.value}.")
    day = past_day(as_of)
    book = open_daybook(daybook)
    with progress_bar("Exporting", is_quiet=out is None) as tell:
        if out is None:
            done = export_daybook(
                book, form, sys.stdout.buffer, as_of=day, with_confidential=confidential, progress=tell
            )
        else:
            with new_file(out, book) as file:
                done = export_daybook(
                    book, form, file, as_of=day, with_confidential=confidential, progress=tell
                )
    tell_export(done, confidential)


def tell_export(done: Export, with_confidential: bool) -> None:
    """Say on standard error what was exported and what was left out."""
    entries = "1 entry" if done.entries == 1 else f"{done.entries} entries"
    typer.echo(f"Exported {counted(done.claims, 'claim')} of {entries}.", err=True)
    for remark in done.remarks:
        typer.echo(remark, err=True)
    if with_confidential:
        typer.echo("This export holds confidential matter. Do not pass it on or print from it.", err=True)
    else:
        typer.echo(f"Left out as confidential: {done.left_out}.", err=True)
