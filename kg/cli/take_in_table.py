"""The route of ``take-in`` for tables: each row becomes claims, by a mapping."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from kg.cli.common import BadOption, echo, open_daybook, print_json, progress_bar, shown, signer

if TYPE_CHECKING:
    from kg.cli.take_in import Asked
    from kg.daybook.record import Draft, Entry
    from kg.intake.take_in import Plan

#: How many faults and claims are printed; JSON has every fault that was kept.
SHOWN = 20


def take_in_table(asked: Asked) -> None:
    """Take in a table: each row becomes claims with the row as their place, the whole table one entry."""
    from kg.intake.faults import FaultyRows
    from kg.intake.take_in import plan_take_in, record_plan

    if asked.mapping is None:
        raise BadOption(
            f"No mapping is named for {asked.file}. Give --map; `kilnmark take-in --example piece` shows one."
        )
    book = open_daybook(asked.daybook)
    with progress_bar("Taking in", is_quiet=asked.as_json) as tell:
        plan = plan_take_in(
            book.view(),
            Path(asked.file),
            mapping_file(asked.mapping),
            researcher=asked.researcher,
            otherwise=signer(None),
            progress=tell,
        )
        if not asked.dry_run and not asked.as_json and plan.refusing:
            raise FaultyRows(plan.table, plan.refusing)
        is_refused = bool(plan.refusing)
        entry = None if asked.dry_run or is_refused else record_plan(book, plan, tell)
    if asked.as_json:
        print_json(told_plan(plan, entry, is_dry_run=asked.dry_run))
    else:
        show_plan(plan, entry, is_dry_run=asked.dry_run)
    if is_refused:
        raise typer.Exit(1)


def show_example(kind: str) -> None:
    """Print the example mapping for one kind of thing, and the table beside it."""
    from kg.intake.faults import BadMapping
    from kg.resources import ResourceMissing, resource

    folder = resource("sources/mappings/examples")
    try:
        mapping, table = (resource(f"sources/mappings/examples/{kind}{end}") for end in (".toml", ".csv"))
    except ResourceMissing as error:
        known = ", ".join(sorted(file.stem for file in folder.glob("*.toml")))
        raise BadMapping(f"There is no example of {kind!r}; there are: {known}.") from error
    echo(mapping.read_text(encoding="utf-8"))
    echo("# The table beside it:\n")
    echo(table.read_text(encoding="utf-8"))


def mapping_file(named: str) -> Path:
    """The file of a mapping: a path, or the name of one that ships.

    :raises kg.intake.faults.BadMapping: if a bare name is neither.
    """
    from kg.intake.faults import BadMapping
    from kg.resources import ResourceMissing, resource

    path = Path(named)
    if path.is_file() or path.suffix or path.name != named:
        return path
    try:
        return resource(f"sources/mappings/{named}.toml")
    except ResourceMissing as error:
        known = ", ".join(sorted(file.stem for file in resource("sources/mappings").glob("*.toml")))
        raise BadMapping(
            f"{named!r} is neither a mapping file nor one that ships; these ship: {known}."
        ) from error


def told_plan(plan: Plan, entry: Entry | None, *, is_dry_run: bool) -> dict[str, Any]:
    """A plan as plain values for JSON."""
    return {
        "table": plan.table,
        "mapping": plan.mapping,
        "dry_run": is_dry_run,
        "recorded": entry.name if entry else None,
        "rows": plan.rows,
        "things": len(plan.things),
        "claims": len(plan.drafts),
        "already_recorded": plan.kept,
        "withdrawn": plan.withdrawn,
        "held_again": len(plan.judgements) - plan.withdrawn,
        "no_longer_in_the_file": plan.gone,
        "dates_left_out": plan.left_out,
        "says_no_date": plan.undated,
        "renamed": plan.relabelled,
        "faults": [
            {
                "row": fault.row,
                "column": fault.column,
                "found": fault.found,
                "expected": fault.expected,
                "what_to_do": fault.remedy,
                "left_out": fault.is_left_out,
            }
            for fault in plan.faults
        ],
        "would_record": [_draft(draft) for draft in plan.drafts] if is_dry_run else [],
        "judgements": [{"claim": j.claim, "finds": j.standing, "why": j.why} for j in plan.judgements],
    }


def _draft(draft: Draft) -> dict[str, Any]:
    return {
        "subject": draft.subject,
        "property": draft.property,
        "value": draft.value,
        "written": draft.written,
        "source": draft.citation.source,
        "locator": draft.citation.locator,
    }


def show_plan(plan: Plan, entry: Entry | None, *, is_dry_run: bool) -> None:
    """Print a plan as a page for reading."""
    if is_dry_run:
        head = "Nothing was written. This would be recorded:"
    elif entry is not None:
        head = f"Recorded as one entry, {entry.name}:"
    else:
        head = "Nothing to record: the daybook holds all of it already."
    echo(head)
    for line in _counts(plan):
        echo(f"  {line}")
    if is_dry_run:
        for draft in plan.drafts[:SHOWN]:
            said = draft.written or draft.value
            echo(f"  {draft.citation.locator}: {draft.subject} {draft.property} {said}  [{draft.value}]")
        _more(len(plan.drafts), "claims")
    for judgement in plan.judgements[:SHOWN]:
        echo(f"  {judgement.claim} {judgement.standing}: {judgement.why}")
    _more(len(plan.judgements), "judgements")
    for fault in sorted(plan.faults, key=lambda fault: fault.is_left_out)[:SHOWN]:
        typer.echo(shown(str(fault) if fault.is_left_out else f"Refused: {fault}"), err=True)
    if len(plan.faults) > SHOWN:
        typer.echo(f"… and {len(plan.faults) - SHOWN} more faults; --json lists them.", err=True)


def _counts(plan: Plan) -> list[str]:
    counts = (
        (plan.rows, "rows read by the mapping " + plan.mapping),
        (len(plan.things), "things new or newly described"),
        (len(plan.drafts), "claims"),
        (plan.kept, "claims on record already"),
        (plan.withdrawn, "claims withdrawn, since the table now says otherwise"),
        (len(plan.judgements) - plan.withdrawn, "claims held again"),
        (plan.gone, "claims whose rows are no longer in the file; left as they are"),
        (plan.left_out, "dates left out, since they could not be read"),
        (plan.undated, "cells that say that there is no date"),
        (plan.relabelled, "rows that give a thing another name; the first name is kept"),
    )
    return [f"{number} {what}" for number, what in counts if number]


def _more(count: int, what: str) -> None:
    if count > SHOWN:
        echo(f"  … and {count - SHOWN} more {what}")
