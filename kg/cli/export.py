"""The command ``export``: the whole daybook in an open format."""

from __future__ import annotations

import codecs
import io
import sys
from pathlib import Path
from typing import IO, TYPE_CHECKING, Annotated, Any, cast

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    counted,
    open_daybook,
    past_day,
    progress_bar,
    shown,
)
from kg.intake.forms import Form

if TYPE_CHECKING:
    from kg.intake.export import Export


def _form(name: str) -> Form:
    """The format of a name.

    :raises BadOption: if there is none; the message names all.
    """
    try:
        return Form(name)
    except ValueError as error:
        raise BadOption(f"--as {name!r} found; expected one of {', '.join(Form)}.") from error


def export(
    form: Annotated[
        Form, typer.Option("--as", help="The format.", parser=_form, metavar="|".join(Form))
    ] = Form.TRIG,
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

    if out is not None:
        require_ours(out)
    if out is None and not form.is_text and sys.stdout.isatty():
        raise BadOption(f"A workbook cannot be shown here. Give --out FILE.{form.value}.")
    day = past_day(as_of)
    book = open_daybook(daybook)
    with progress_bar("Exporting", is_quiet=out is None) as tell:
        if out is None:
            done = export_daybook(
                book, form, _standard_output(), as_of=day, with_confidential=confidential, progress=tell
            )
        else:
            with new_file(out, book) as file:
                done = export_daybook(
                    book, form, file, as_of=day, with_confidential=confidential, progress=tell
                )
    tell_export(done, confidential)


#: How each form of an export begins: with its remark, with its headings, or as the packed parts of a workbook do.
_OURS = (
    b"# Kilnmark daybook ",
    b'{"about this export": ["Kilnmark daybook ',
    b"id,subject,subject label,property,",
)
_WORKBOOK = b"PK\x03\x04"


def require_ours(out: Path) -> None:
    """Refuse to write over a file that is no export; an earlier export gives way, and that is told.

    :raises BadOption: if another file stands there.
    """
    if not out.is_file() or out.stat().st_size == 0:
        return
    with out.open("rb") as file:
        head = file.read(max(map(len, _OURS)))
    is_workbook = out.suffix.lower() == ".xlsx" and head.startswith(_WORKBOOK)
    if not (is_workbook or head.startswith(_OURS)):
        raise BadOption(f"{out} is there already and is no export of a daybook. Give --out another name.")
    typer.echo(f"The earlier export {out} is replaced.", err=True)


class _Shown(io.RawIOBase):
    """Passes text on to a terminal with nothing in it that steers it."""

    def __init__(self) -> None:
        self.decoder = codecs.getincrementaldecoder("utf-8")()

    def writable(self) -> bool:
        return True

    def write(self, raw: Any, /) -> int:
        sys.stdout.write(shown(self.decoder.decode(bytes(raw))))
        return len(raw)


def _standard_output() -> IO[bytes]:
    """Standard output as it is, for a file or a pipe; to a terminal, without what would steer it."""
    return cast("IO[bytes]", _Shown()) if sys.stdout.isatty() else sys.stdout.buffer


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
