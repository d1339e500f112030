"""The route of ``take-in`` for tables: each row becomes claims, by a mapping."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from kg.cli.common import (
    BadOption,
    console,
    counted,
    echo,
    open_daybook,
    print_json,
    progress_bar,
    put,
    shown,
    signer,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.cli.take_in import Asked
    from kg.daybook.record import Draft, Entry
    from kg.intake.alike import Alike
    from kg.intake.effects import Effects
    from kg.intake.take_in import Plan

#: How many faults and claims are printed; JSON has every fault that was kept.
SHOWN = 20
#: How many datings and contradictions are printed.
SHOWN_EFFECTS = 10


def take_in_table(asked: Asked) -> None:
    """Take in a table: each row becomes claims with the row as their place, the whole table one entry."""
    from kg.intake.alike import alike
    from kg.intake.faults import FaultyRows
    from kg.intake.take_in import plan_take_in, record_plan, try_plan

    if asked.mapping is None:
        raise BadOption(
            f"No mapping is named for {asked.file}. Give --map; `kilnmark take-in --example piece` shows one."
        )
    book = open_daybook(asked.daybook)
    with progress_bar("Taking in", is_quiet=asked.as_json) as tell:
        before = book.view()
        plan = plan_take_in(
            before,
            Path(asked.file),
            mapping_file(asked.mapping),
            researcher=asked.researcher,
            otherwise=signer(None),
            progress=tell,
        )
        if not asked.dry_run and not asked.as_json and plan.refusing:
            raise FaultyRows(plan.table, plan.refusing)
        tried = None if plan.refusing and not asked.dry_run else try_plan(book, plan, tell)
        is_refused = bool(plan.refusing or (tried and tried[1].refusing))
        is_kept = not asked.dry_run and not is_refused
        entry = record_plan(book, plan, tell, tried) if is_kept else None
    taken = Taken(plan, entry, tried, asked.dry_run, is_refused, alike(before, plan.things))
    if asked.as_json:
        print_json(told_taken(taken))
    else:
        show_taken(console(), taken)
    if is_refused:
        raise typer.Exit(1)


@dataclass(frozen=True)
class Taken:
    """What came of a table: its plan, the entry if it was recorded, and what the entry brings or would bring."""

    plan: Plan
    entry: Entry | None
    tried: tuple[Entry, Effects] | None
    is_dry_run: bool
    is_refused: bool
    alike: tuple[Alike, ...] = ()
    """New things that are probably on record under another name."""


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


def told_taken(taken: Taken) -> dict[str, Any]:
    """What came of a table as plain values for JSON."""
    plan = taken.plan
    return {
        "table": plan.table,
        "mapping": plan.mapping,
        "dry_run": taken.is_dry_run,
        "recorded": taken.entry.name if taken.entry else None,
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
        "would_record": [_draft(draft) for draft in plan.drafts] if taken.is_dry_run else [],
        "judgements": [{"claim": j.claim, "finds": j.standing, "why": j.why} for j in plan.judgements],
        "effects": told_effects(taken.tried[1]) if taken.tried else None,
        "probably_on_record": [
            {
                "thing": one.thing.slug,
                "name": one.thing.label,
                "is": one.proposal.other,
                "called": one.proposal.names[1],
                "decibans": round(one.proposal.weight, 1),
            }
            for one in taken.alike
        ],
    }


def _draft(draft: Draft) -> dict[str, Any]:
    return {
        "subject": draft.subject,
        "property": draft.property,
        "value": draft.value,
        "written": draft.written,
        "source": draft.citation.source,
        "locator": draft.citation.locator,
        "quotation": draft.citation.quotation,
        "confidential": draft.is_confidential,
    }


def told_effects(effects: Effects) -> dict[str, Any]:
    """What an entry brings as plain values for JSON."""
    from kg.chronology.telling import told_claim, told_dating

    after = effects.after
    return {
        "shapes": [
            {
                "severity": f.severity.value.lower(),
                "word": f.severity.word,
                "focus": f.focus,
                "message": f.message,
                "hint": f.hint,
            }
            for f in effects.findings
        ],
        "cannot_fit": [told_dating(after, dating) for dating in effects.impossible],
        "conflicts": [[told_claim(after, claim) for claim in c.claims] for c in effects.conflicts],
        "not_looked_for": list(effects.untold),
    }


def show_taken(page: Console, taken: Taken) -> None:
    """Print what came of a table as a page for reading."""
    plan = taken.plan
    if taken.is_refused:
        head = "Nothing was written, and this table would be refused; what is at fault stands below."
    elif taken.is_dry_run:
        head = "Nothing was written. This would be recorded:"
    elif taken.entry is not None:
        head = f"Recorded as one entry, {taken.entry.name}:"
    else:
        head = "Nothing to record: the daybook holds all of it already."
    put(page, head)
    for line in _counts(plan):
        put(page, line, 2)
    if taken.is_dry_run and taken.tried:
        _show_rows(page, *taken.tried)
    if plan.judgements:
        _show_judgements(page, taken)
    _show_faults(plan)
    if taken.tried:
        show_effects(page, taken.tried[1], is_dry_run=taken.entry is None)
    _show_alike(page, taken)
    if taken.entry is not None:
        put(page, f"To take it back: kilnmark undo {taken.entry.name} --why …")


def _show_alike(page: Console, taken: Taken) -> None:
    """The new things that are probably on record under another name, with the command that joins them."""
    if not taken.alike:
        return
    put(page, "")
    put(page, f"Probably on record under another name: {len(taken.alike)}")
    for one in taken.alike[:SHOWN_EFFECTS]:
        put(page, f"{one.thing.label} is {one.proposal.names[1]}: {one.proposal.weight:+.1f} decibans", 2)
        put(page, f"kilnmark same-as {one.thing.slug} {one.proposal.other} --why …", 4)
    _more(page, len(taken.alike), "names", SHOWN_EFFECTS)


def _show_rows(page: Console, entry: Entry, effects: Effects) -> None:
    """The claims of the first rows, each row once."""
    place = None
    for claim in entry.claims[:SHOWN]:
        if claim.citation.locator != place:
            place = claim.citation.locator
            put(page, place, 2)
        read = f"  [{claim.value}]" if claim.written and claim.written != claim.value else ""
        kept = "  (confidential)" if effects.after.is_confidential(claim) else ""
        put(page, f"{effects.after.sentence(claim)}{read}{kept}", 4)
    _more(page, len(entry.claims), "claims")


def _show_judgements(page: Console, taken: Taken) -> None:
    """What is withdrawn or held again, each claim as a sentence with the reason."""
    put(page, "")
    after = taken.tried[1].after if taken.tried else None
    for judgement in taken.plan.judgements[:SHOWN]:
        claim = after.claims.get(judgement.claim) if after else None
        said = after.sentence(claim) if after and claim else judgement.claim
        label = after.vocabulary.standings[judgement.standing] if after else judgement.standing
        put(page, f"{label}: {said}  [{judgement.claim}]", 2)
        put(page, judgement.why, 4)
    _more(page, len(taken.plan.judgements), "judgements")


def _show_faults(plan: Plan) -> None:
    for fault in sorted(plan.faults, key=lambda fault: fault.is_left_out)[:SHOWN]:
        typer.echo(shown(str(fault) if fault.is_left_out else f"Refused: {fault}"), err=True)
    if len(plan.faults) > SHOWN:
        typer.echo(f"… and {len(plan.faults) - SHOWN} more; --json lists them.", err=True)


def show_effects(page: Console, effects: Effects, *, is_dry_run: bool) -> None:
    """Print what an entry brings: faults, datings that cannot fit, claims that cannot all be true."""
    from kg.chronology.telling import dating_reason

    after = effects.after
    for finding in effects.findings[:SHOWN]:
        put(page, "")
        put(page, f"{finding.severity.word}: {finding.message}", 2)
        put(page, finding.hint, 4)
    _more(page, len(effects.findings), "findings")
    if effects.impossible:
        put(page, "")
        put(page, f"Datings that {'would not' if is_dry_run else 'do not'} fit: {len(effects.impossible)}")
    for dating in effects.impossible[:SHOWN_EFFECTS]:
        put(page, f"✕ {after.sentence(dating.claim)} — {after.cite(dating.claim.citation)}", 2)
        put(page, dating_reason(after, dating), 4)
    _more(page, len(effects.impossible), "datings", SHOWN_EFFECTS)
    if effects.conflicts:
        put(page, "")
        put(page, f"Claims that cannot all be true: {len(effects.conflicts)}")
    for conflict in effects.conflicts[:SHOWN_EFFECTS]:
        for number, claim in enumerate(conflict.claims):
            mark = " " if number else "✕"
            put(page, f"{mark} {after.sentence(claim)} — {after.cite(claim.citation)}  [{claim.id}]", 2)
    _more(page, len(effects.conflicts), "such sets", SHOWN_EFFECTS)
    if effects.is_quiet:
        put(page, "No contradiction was found." if effects.untold else "It contradicts nothing on record.")
    for sentence in effects.untold:
        put(page, sentence)


def _counts(plan: Plan) -> list[str]:
    counts = (
        (plan.rows, "row", "read by the mapping " + plan.mapping),
        (len(plan.things), "thing", "new or newly described"),
        (len(plan.drafts), "claim", ""),
        (plan.kept, "claim", "on record already"),
        (plan.withdrawn, "claim", "withdrawn, since the table now says otherwise"),
        (len(plan.judgements) - plan.withdrawn, "claim", "held again"),
        (plan.gone, "claim", "of rows that are no longer in the file; left standing"),
        (plan.left_out, "date", "left out, since not understood"),
        (plan.undated, "cell", "saying that there is no date"),
        (plan.relabelled, "row", "with another name for a thing; the first name is kept"),
    )
    return [f"{counted(number, noun)} {what}".rstrip() for number, noun, what in counts if number]


def _more(page: Console, count: int, what: str, most: int = SHOWN) -> None:
    if count > most:
        put(page, f"… and {count - most} more {what}; --json lists them.", 2)
