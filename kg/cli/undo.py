"""The command ``undo``: withdraw what an entry said, by a further entry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from kg.cli.common import (
    SIGNER,
    DaybookOption,
    JsonOption,
    console,
    counted,
    open_daybook,
    print_json,
    put,
    signer,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.record import Entry
    from kg.daybook.view import WorkingView
    from kg.intake.undo import Undoing

#: How many things and claims are printed; JSON has them all.
SHOWN = 10


def undo_command(
    entry: Annotated[str, typer.Argument(help="The entry's name, or its first letters and figures.")],
    why: Annotated[str, typer.Option("--why", help="Why it is undone; kept with each claim.")],
    researcher: Annotated[
        str | None,
        typer.Option("--researcher", help=f"Who signs; else ${SIGNER}, else the user of this computer."),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be withdrawn; write nothing.")
    ] = False,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Undo an entry: a further entry withdraws its claims and takes back its judgements. Nothing is deleted.

    Undoing the undoing restores them.
    """
    from kg.intake.undo import plan_undo

    book = open_daybook(daybook)
    view = book.view()
    undoing = plan_undo(view, entry, signer(researcher) or "unknown", why)
    recorded = None if dry_run else book.record(book.compose(undoing.note))
    if as_json:
        print_json(
            {
                "undone": undoing.entry.name,
                "recorded": recorded.name if recorded else None,
                "judgements": [
                    {"claim": j.claim, "finds": j.standing, "why": j.why} for j in undoing.note.judgements
                ],
                "named_only_there": [thing.slug for thing in undoing.named_only_here],
                "judged_since": undoing.judged_since,
            }
        )
    else:
        show_undoing(console(), undoing, view, recorded)


def show_undoing(page: Console, undoing: Undoing, view: WorkingView, recorded: Entry | None) -> None:
    """Print what undoing an entry did, or would do, as a page for reading."""
    from kg.intake.undo import shortened

    entry = undoing.entry
    word = "Undone" if recorded else "Nothing was written. This would be undone"
    told = shortened(entry.note) or "an entry without a remark"
    put(page, f"{word}: {told} ({entry.researcher}, {entry.recorded.date()})")
    for number, what in (
        (undoing.withdrawn, "withdrawn"),
        (undoing.restored, "restored to the standing before"),
    ):
        if number:
            put(page, f"{counted(number, 'claim')} {what}", 2)
    for judgement in undoing.note.judgements[:SHOWN]:
        claim = view.claims.get(judgement.claim)
        label = view.vocabulary.standings[judgement.standing]
        put(page, f"{label}: {view.sentence(claim) if claim else judgement.claim}", 4)
    if len(undoing.note.judgements) > SHOWN:
        put(page, f"… and {len(undoing.note.judgements) - SHOWN} more; --json lists them.", 4)
    if undoing.judged_since:
        put(page, f"{counted(undoing.judged_since, 'claim')} judged anew since, and left as it stands", 2)
    if undoing.named_only_here:
        names = ", ".join(thing.label for thing in undoing.named_only_here[:SHOWN])
        more = len(undoing.named_only_here) - SHOWN
        told = f"{names} and {more} more" if more > 0 else names
        put(page, f"Named only there, and left as names without claims: {told}.", 2)
    if recorded:
        put(page, f"To restore it: kilnmark undo {recorded.name} --why …")
