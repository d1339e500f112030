"""The route of ``take-in`` for bibliographies: each record a source, with claims cited to the file and the line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from kg.cli.common import (
    BadOption,
    console,
    counted,
    open_daybook,
    print_json,
    progress_bar,
    put,
    shown,
    signer,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.record import Entry
    from kg.intake.bibliography import Plan, Taken, Wishes
    from kg.intake.bibliography.record import FieldReport
    from kg.vocabulary import Property

#: How many sources, claims and fields of a kind are printed; JSON has all.
SHOWN = 20


def take_in_bibliography(
    file: Path,
    *,
    same: Sequence[str] = (),
    new: Sequence[str] = (),
    leave_out: bool = False,
    encoding: str | None = None,
    dry_run: bool = False,
    researcher: str | None = None,
    daybook: Path | None = None,
    as_json: bool = False,
) -> None:
    """Take in a bibliography; ``same`` holds RECORD=SOURCE pairs, ``new`` records that are joined with nothing."""
    from kg.intake.bibliography import FaultyRecords, plan_bibliography, record_bibliography

    book = open_daybook(daybook)
    with progress_bar("Taking in", is_quiet=as_json) as tell:
        plan = plan_bibliography(
            book.view(),
            file,
            researcher=signer(researcher),
            encoding=encoding,
            wishes=wishes_of(same, new),
            progress=tell,
        )
        is_refused = bool(plan.faults) and (not leave_out or not plan.records)
        if is_refused and not dry_run and not as_json:
            raise FaultyRecords(plan.file, plan.faults)
        is_written = not dry_run and not is_refused
        entry = record_bibliography(book, plan, leave_out=leave_out, progress=tell) if is_written else None
    if as_json:
        print_json(told_bibliography(plan, entry, is_dry_run=dry_run))
    else:
        show_bibliography(plan, entry, book.vocabulary.properties, is_dry_run=dry_run, is_refused=is_refused)
    if is_refused:
        raise typer.Exit(1)


def wishes_of(same: Iterable[str], new: Iterable[str]) -> Wishes:
    """What the options say of single records.

    :raises BadOption: if one is no RECORD=SOURCE.
    """
    from kg.intake.bibliography import Wishes

    pairs = {}
    for text in same:
        record, sign, source = text.rpartition("=")
        if not (record and sign and source):
            raise BadOption(
                f"--same {text!r} found; expected RECORD=SOURCE, such as tarn1892=book-tarn-1892."
            )
        pairs[record] = source
    return Wishes(pairs, frozenset(new))


def told_bibliography(plan: Plan, entry: Entry | None, *, is_dry_run: bool) -> dict[str, Any]:
    """A plan as plain values for JSON."""
    return {
        "bibliography": plan.file,
        "format": plan.format,
        "source": plan.source,
        "dry_run": is_dry_run,
        "recorded": entry.name if entry else None,
        "records": [_taken(taken) for taken in plan.taken],
        "things": len(plan.things),
        "claims": len(plan.drafts),
        "already_recorded": plan.kept,
        "said_by_others_already": plan.known,
        "no_longer_in_the_file": plan.gone,
        "fields": {outcome.value: number for outcome, number in plan.outcomes().items()},
        "field_by_field": [_field(report) for report in plan.report],
        "people": list(plan.told),
        "faults": [
            {"line": f.line, "found": f.found, "expected": f.expected, "what_to_do": f.remedy}
            for f in plan.faults
        ],
        "would_record": [
            {
                "subject": draft.subject,
                "property": draft.property,
                "value": draft.value,
                "written": draft.written,
                "locator": draft.citation.locator,
            }
            for draft in (plan.drafts if is_dry_run else ())
        ],
        "judgements": [{"claim": j.claim, "finds": j.standing, "why": j.why} for j in plan.judgements],
    }


def _taken(taken: Taken) -> dict[str, Any]:
    return {
        "record": taken.record,
        "line": taken.line,
        "source": taken.source,
        "name": taken.label,
        "stands": taken.standing.value,
        "reasons": list(taken.reasons),
        "may_be": [
            {"source": doubt.slug, "reasons": list(doubt.reasons), "against": list(doubt.against)}
            for doubt in taken.doubts
        ],
    }


def _field(report: FieldReport) -> dict[str, Any]:
    return {
        "line": report.line,
        "record": report.record,
        "field": report.field,
        "outcome": report.outcome.value,
        "why": report.why,
    }


def show_bibliography(
    plan: Plan,
    entry: Entry | None,
    properties: Mapping[str, Property],
    *,
    is_dry_run: bool,
    is_refused: bool,
) -> None:
    """Print a plan as a page for reading."""
    page = console()
    put(page, f"{plan.file}: {plan.format}, {counted(plan.records, 'record')}")
    if is_refused:
        put(page, "Nothing was written, and this file would be refused; what is at fault stands below.")
        put(page, "With --leave-out this would be recorded:")
    elif is_dry_run:
        put(page, "Nothing was written. This would be recorded:")
    elif entry is not None:
        put(page, f"Recorded as one entry, {entry.name}, with the file as its source, {plan.source}:")
    else:
        put(page, "Nothing to record: the daybook holds all of it already.")
    _sources(page, plan)
    _claims(page, plan, properties, is_dry_run=is_dry_run)
    _fields(page, plan)
    _section(
        page,
        "name that may be somebody on record"
        if len(plan.told) == 1
        else "names that may be people on record",
        plan.told,
    )
    for fault in plan.faults[:SHOWN]:
        typer.echo(shown(f"Fault, {fault}"), err=True)
    if len(plan.faults) > SHOWN:
        typer.echo(f"… and {len(plan.faults) - SHOWN} more faults; --json lists them.", err=True)


def _sources(page: Console, plan: Plan) -> None:
    from kg.intake.bibliography import Standing

    heads = {
        Standing.NEW: ("new source", "new sources"),
        Standing.KNOWN: (
            "on record already; only what is new of it is added",
            "on record already; only what is new of them is added",
        ),
        Standing.TWICE: ("record that repeats another of the file", "records that repeat others of the file"),
        Standing.TAKEN_BEFORE: (
            "record taken in from this file before",
            "records taken in from this file before",
        ),
    }
    for standing, (one, many) in heads.items():
        here = [taken for taken in plan.taken if taken.standing is standing]
        lines = [] if standing is Standing.TAKEN_BEFORE else [_line(taken) for taken in here]
        _section(page, one if len(here) == 1 else many, lines, len(here))
    doubtful = [(taken, doubt) for taken in plan.taken for doubt in taken.doubts]
    _section(
        page,
        "may be on record; kept apart unless you say so:",
        [f"--same {taken.record}={doubt.slug}  {doubt}" for taken, doubt in doubtful],
    )


def _line(taken: Taken) -> str:
    why = f" ({', '.join(taken.reasons)})" if taken.reasons else ""
    return f"line {taken.line}: {taken.label}  [{taken.source}]{why}"


def _claims(page: Console, plan: Plan, properties: Mapping[str, Property], *, is_dry_run: bool) -> None:
    withdrawn = sum(judgement.standing == "withdrawn" for judgement in plan.judgements)
    counts = (
        (len(plan.drafts), "claims"),
        (plan.kept, "claims taken in from this file before"),
        (plan.known, "sayings that other sources on record make already"),
        (withdrawn, "claims withdrawn, since the file now says otherwise"),
        (len(plan.judgements) - withdrawn, "claims held again"),
        (plan.gone, "claims whose records are no longer in the file; left as they are"),
    )
    for number, what in counts:
        if number:
            put(page, f"{number} {what}", 2)
    if is_dry_run:
        lines = (
            f"line {draft.citation.locator.removeprefix('line ').split(',')[0]}: {draft.subject} "
            f"{properties[draft.property].label} {draft.written or draft.value}"
            for draft in plan.drafts
            if draft.property != "bibliographicRecord"
        )
        for line in islice(lines, SHOWN):
            put(page, line, 4)
        _more(page, sum(draft.property != "bibliographicRecord" for draft in plan.drafts), "claims")
    for judgement in plan.judgements[:SHOWN]:
        put(page, f"{judgement.claim} {judgement.standing}: {judgement.why}", 4)
    _more(page, len(plan.judgements), "judgements")


def _fields(page: Console, plan: Plan) -> None:
    from kg.intake.bibliography.record import Outcome

    counts = plan.outcomes()
    told = ", ".join(f"{counts[outcome]} {outcome.value}" for outcome in Outcome if counts[outcome])
    if told:
        put(page, f"Fields: {told}", 2)
    for outcome in (Outcome.NOT_UNDERSTOOD, Outcome.QUESTIONED):
        lines = [
            f"line {report.line}, {_named(report)}{report.field}: {report.why}"
            for report in plan.report
            if report.outcome is outcome
        ]
        _section(page, f"{'field' if len(lines) == 1 else 'fields'} {outcome.value}", lines)


def _named(report: FieldReport) -> str:
    """The record's key; a record without one is known by its line alone."""
    return "" if report.record.startswith("line ") else f"{report.record}, "


def _section(page: Console, head: str, lines: Sequence[str], count: int | None = None) -> None:
    """A head with its count, and the first lines under it; nothing where there are none."""
    number = len(lines) if count is None else count
    if not number:
        return
    put(page, f"{number} {head}", 2)
    for line in lines[:SHOWN]:
        put(page, line, 4)
    _more(page, len(lines), "")


def _more(page: Console, count: int, what: str) -> None:
    if count > SHOWN:
        put(page, f"… and {count - SHOWN} more {what}".rstrip() + "; --json lists them", 4)
