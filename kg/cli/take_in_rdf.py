"""The route of ``take-in`` for RDF: entries of another daybook, claims with their citation, plain statements."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from kg.cli.common import (
    FAULTS_FOUND,
    INTERRUPTED,
    BadOption,
    console,
    counted,
    echo,
    open_daybook,
    print_json,
    shown,
    signer,
)

if TYPE_CHECKING:
    from kg.cli.take_in import Asked
    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Entry
    from kg.daybook.view import WorkingView
    from kg.intake.effects import Effects
    from kg.intake.rdf_in import RdfPlan

#: How many claims, findings and other lines are printed; JSON has all of them.
SHOWN = 12


def take_in_rdf(asked: Asked) -> None:
    """Take in an RDF file: what speaks the daybook's vocabulary is recorded, the rest is listed."""
    from kg.intake.rdf_in import check_plan, plan_rdf

    if asked.file == "-":
        raise BadOption("RDF is read from a file, whose ending says what it is. Save it first.")
    book = open_daybook(asked.daybook)
    plan = plan_rdf(book.view(), Path(asked.file), signer(asked.researcher) or "")
    effects = check_plan(book, plan)
    is_refused = bool(effects.refusing)
    recorded: tuple[Entry, ...] = () if asked.dry_run or is_refused else _recorded(book, plan)
    entries = recorded or plan.all_entries(book)
    if asked.as_json:
        print_json(_told(plan, entries, effects, is_recorded=bool(recorded)))
    else:
        _show(plan, entries, effects, asked.dry_run, is_refused)
    if is_refused:
        raise typer.Exit(FAULTS_FOUND)


def _recorded(book: Daybook, plan: RdfPlan) -> tuple[Entry, ...]:
    """Record a plan; who breaks off is told how far it came."""
    from kg.intake.rdf_in import record_rdf

    reached = of = 0

    def written(number: int, total: int) -> None:
        nonlocal reached, of
        reached, of = number, total

    try:
        return record_rdf(book, plan, written)
    except KeyboardInterrupt:
        if not reached:
            raise
        told = f"Interrupted after {reached} of {of} entries, each of which is whole."
        typer.echo(f"{told} Take the file in again for the rest.", err=True)
        raise typer.Exit(INTERRUPTED) from None


def _told(
    plan: RdfPlan, entries: tuple[Entry, ...], effects: Effects, *, is_recorded: bool
) -> dict[str, Any]:
    """What came of the file as plain values."""
    from kg.checks.findings import Report
    from kg.cli.audit import told_report
    from kg.cli.take_in_table import told_effects

    return {
        "file": plan.file,
        "form": plan.form,
        "statements": plan.statements,
        "recorded": is_recorded,
        "entries": [
            {
                "entry": entry.name,
                "researcher": entry.researcher,
                "recorded": entry.recorded.isoformat(),
                "things": [thing.slug for thing in entry.things],
                "claims": [
                    {"claim": c.id, "about": c.subject, "says": c.property, "value": c.value,
                     "source": c.citation.source, "locator": c.citation.locator}
                    for c in entry.claims
                ],
                "judgements": len(entry.judgements),
            }
            for entry in entries
        ],
        "entries_already_recorded": plan.known_entries,
        "claims_already_recorded": plan.known_claims,
        "claims_set_aside_here": plan.set_aside,
        "said_again_in_cidoc_crm": plan.said_again,
        "not_understood": dict(plan.not_understood),
        "findings": told_report(Report.of(effects.findings, {}), effects.after)["findings"],
        "effects": told_effects(effects),
    }  # fmt: skip


def _show(
    plan: RdfPlan,
    entries: tuple[Entry, ...],
    effects: Effects,
    is_dry_run: bool,
    is_refused: bool,
) -> None:
    from kg.cli.take_in_table import show_effects

    echo(f"{plan.file}: {counted(plan.statements, 'statement')} of {plan.form}.")
    if is_refused:
        echo("Nothing was recorded; mend what is named below.")
    elif plan.is_empty:
        echo("Nothing new: the daybook holds all of it already.")
    else:
        _show_entries(plan, entries, effects.after, "Would record" if is_dry_run else "Recorded")
    for number, what in (
        (plan.known_entries, "entries were on record already"),
        (plan.known_claims, "claims were on record already"),
        (plan.said_again, "statements say the same again in CIDOC CRM"),
        (plan.set_aside, "claims were set aside or withdrawn here before; they are not brought back"),
    ):
        if number:
            echo(f"  {number} {what}")
    if not plan.is_empty:
        show_effects(console(), effects, is_dry_run=is_dry_run or is_refused)
    _show_rest(plan)


def _show_entries(plan: RdfPlan, entries: tuple[Entry, ...], after: WorkingView, word: str) -> None:
    claims = [claim for entry in entries for claim in entry.claims]
    judged = sum(len(entry.judgements) for entry in entries)
    things = sum(len(entry.things) for entry in entries)
    number = "1 entry" if len(entries) == 1 else f"{len(entries)} entries"
    echo(
        f"{word} {number}: {counted(things, 'thing')}, {counted(len(claims), 'claim')}, {counted(judged, 'judgement')}."
    )
    if plan.entries:
        signed = sorted({entry.researcher for entry in plan.entries})
        kept = (
            f"{len(plan.entries)} of them keep"
            if plan.note
            else "They keep"
            if len(entries) > 1
            else "It keeps"
        )
        echo(f"  {kept} the hand and day of another daybook: {', '.join(signed[:SHOWN])}.")
    for claim in claims[:SHOWN]:
        echo(f"  {claim.id}  {after.sentence(claim)} — {after.cite(claim.citation)}")
    _more(len(claims), "claims")


def _show_rest(plan: RdfPlan) -> None:
    if not plan.not_understood:
        return
    total = sum(plan.not_understood.values())
    typer.echo(
        shown(f"Not understood and left out: {counted(total, 'statement')}, by what they say:"), err=True
    )
    counts: dict[str, int] = dict(plan.not_understood)
    if len(counts) > SHOWN:
        counts = {}
        for name, number in plan.not_understood.items():
            words = (
                f"in words of {name.partition(':')[0]}"
                if not name.startswith("<")
                else name.rpartition("/")[0] + "…>"
            )
            counts[words] = counts.get(words, 0) + number
    for name, number in list(counts.items())[:SHOWN]:
        typer.echo(shown(f"  {number:>6}  {name}"), err=True)
    if len(counts) < len(plan.not_understood) or len(counts) > SHOWN:
        typer.echo("  --json lists each of them.", err=True)


def _more(count: int, what: str) -> None:
    if count > SHOWN:
        echo(f"  … and {count - SHOWN} more {what}; --json lists them.")
