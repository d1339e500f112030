"""The command ``take-in``: a table, bibliography or passage into the daybook, each by a route of its own.

A route is a function that is given what was asked for. Its flag chooses it; without a flag, the ending of the file's
name does. A new route is one line of ``ROUTES`` and, if it needs one, a flag.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from kg.cli.common import BadOption, DaybookOption, JsonOption


@dataclass(frozen=True, slots=True)
class Asked:
    """What ``take-in`` was asked for."""

    file: str
    """The name of the file, or - for what is typed in."""
    mapping: str | None
    source: str | None
    locator: str | None
    accept: str | None
    dry_run: bool
    researcher: str | None
    daybook: Path | None
    as_json: bool
    same: tuple[str, ...] = ()
    """For a bibliography: RECORD=SOURCE pairs that are joined."""
    new: tuple[str, ...] = ()
    """For a bibliography: records that are joined with nothing."""
    leave_out: bool = False
    encoding: str | None = None


@dataclass(frozen=True, slots=True)
class Route:
    """One way of taking in: the function that does it, and the endings of the files that go this way."""

    take_in: Callable[[Asked], None]
    endings: frozenset[str] = frozenset()


def _table(asked: Asked) -> None:
    from kg.cli.take_in_table import take_in_table

    take_in_table(asked)


def _passage(asked: Asked) -> None:
    from kg.cli.take_in_passage import take_in_passage

    take_in_passage(
        asked.file,
        source=asked.source,
        locator=asked.locator,
        accept=asked.accept,
        dry_run=asked.dry_run,
        researcher=asked.researcher,
        daybook=asked.daybook,
        as_json=asked.as_json,
    )


def _bibliography(asked: Asked) -> None:
    from kg.cli.take_in_bibliography import take_in_bibliography

    take_in_bibliography(
        Path(asked.file),
        same=asked.same,
        new=asked.new,
        leave_out=asked.leave_out,
        encoding=asked.encoding,
        dry_run=asked.dry_run,
        researcher=asked.researcher,
        daybook=asked.daybook,
        as_json=asked.as_json,
    )


def _rdf(asked: Asked) -> None:
    from kg.cli.take_in_rdf import take_in_rdf

    take_in_rdf(asked)


#: Every route by its flag. Tables take what no other route's ending claims.
ROUTES = {
    "table": Route(_table),
    "passage": Route(_passage, frozenset({".txt", ".md"})),
    "rdf": Route(_rdf, frozenset({".ttl", ".turtle", ".trig", ".nt", ".nq", ".jsonld", ".rdf", ".owl"})),
    "bibliography": Route(_bibliography, frozenset({".bib", ".bibtex", ".ris", ".json", ".csljson"})),
}


def take_in(
    file: Annotated[
        str | None,
        typer.Argument(
            help="A table (CSV, TSV, XLSX), a bibliography (BibTeX, RIS, CSL-JSON), RDF (TTL, TRIG, JSONLD, …) or a "
            "passage (TXT)."
        ),
    ] = None,
    mapping: Annotated[
        str | None,
        typer.Option("--map", help="For a table: the mapping, a TOML file or the name of one that ships."),
    ] = None,
    passage: Annotated[
        bool,
        typer.Option("--passage", help="The file is a passage copied from a source; - reads what is typed."),
    ] = False,
    bibliography: Annotated[
        bool, typer.Option("--bibliography", help="The file is a bibliography, whatever its name ends in.")
    ] = False,
    same: Annotated[
        list[str] | None,
        typer.Option(
            "--same", help="For a bibliography: RECORD=SOURCE, where a record is a source on record."
        ),
    ] = None,
    new: Annotated[
        list[str] | None,
        typer.Option(
            "--new", help="For a bibliography: a record that is no source on record, by key or line."
        ),
    ] = None,
    leave_out: Annotated[
        bool, typer.Option("--leave-out", help="For a bibliography: pass over records that cannot be read.")
    ] = False,
    encoding: Annotated[
        str | None,
        typer.Option("--encoding", help="For a bibliography: utf-8, latin-1, cp1252 or utf-16; else UTF-8."),
    ] = None,
    source: Annotated[
        str | None, typer.Option("--source", help="For a passage: the source that it is copied from.")
    ] = None,
    locator: Annotated[
        str | None, typer.Option("--at", help="For a passage: its place in the source, such as 'p. 12'.")
    ] = None,
    accept: Annotated[
        str | None,
        typer.Option("--accept", help="For a passage: the proposals to record: all, none, or numbers."),
    ] = None,
    example: Annotated[
        str | None,
        typer.Option(
            "--example", help="Print a mapping and a small table for one kind of thing, such as piece."
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be recorded and every fault; write nothing.")
    ] = False,
    researcher: Annotated[
        str | None,
        typer.Option(
            "--researcher", help="Who signs; else the mapping says, else the user of this computer."
        ),
    ] = None,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take in a table, a bibliography or a passage: what it says becomes claims, each with its place in the source.

    A table needs a mapping, which says what each column means; the whole table becomes one entry.
    """
    if example is not None:
        from kg.cli.take_in_table import show_example

        show_example(example)
        return
    if file is None:
        raise BadOption("No file is named. Give a table with --map, a bibliography, or a passage.")
    asked = Asked(
        file, mapping, source, locator, accept, dry_run, researcher, daybook, as_json,
        tuple(same or ()), tuple(new or ()), leave_out, encoding,
    )  # fmt: skip
    route_of(asked, {"passage": passage, "bibliography": bibliography}).take_in(asked)


def route_of(asked: Asked, flags: dict[str, bool]) -> Route:
    """The route that a flag names, else the one of the file's ending; with a mapping it is a table.

    :raises BadOption: if two ways are asked for at once.
    """
    named = [name for name, is_given in flags.items() if is_given] + ["table"] * (asked.mapping is not None)
    if len(named) > 1:
        raise BadOption(
            f"{' and '.join(named)} were asked for; a file is taken in one way. A mapping is for tables only."
        )
    if named:
        return ROUTES[named[0]]
    ending = Path(asked.file).suffix.lower()
    return next((route for route in ROUTES.values() if ending in route.endings), ROUTES["table"])
