"""The command ``add``: record a note, or say all that is wrong with it."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.audit import show_findings, told_report
from kg.cli.common import (
    FAULTS_FOUND,
    SIGNER,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    counted,
    echo,
    open_daybook,
    print_json,
    signer,
)

if TYPE_CHECKING:
    from kg.checks.findings import Report
    from kg.daybook.record import Entry
    from kg.daybook.view import WorkingView


def add_command(
    note: Annotated[
        Path | None, typer.Argument(help="A note in TOML (.toml) or Turtle (.ttl), or - for TOML typed in.")
    ] = None,
    researcher: Annotated[
        str | None,
        typer.Option(
            "--researcher", help=f"Who signs, if the note does not say; else ${SIGNER}, else the user's name."
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be recorded; write nothing.")
    ] = False,
    example: Annotated[bool, typer.Option("--example", help="Print an example of a note.")] = False,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Record a note: things, claims with their sources, judgements; what is ill-formed is refused whole.

    A claim that contradicts others is recorded beside them: that is what a daybook is for. The contradiction is told.
    """
    from kg.checks.check import EntryChecker
    from kg.daybook import notes

    if example:
        echo(notes.EXAMPLE)
        return
    if note is None:
        raise BadOption(
            "No note is named. Give a file, or - to type one; `kilnmark add --example` shows the form."
        )
    book = open_daybook(daybook)
    view = book.view()
    text, form = _note_text(note)
    offered = notes.read_note(text, view, researcher=signer(researcher), form=form)
    fresh, known = notes.only_new(offered, view)
    if fresh is None:
        told = f"Nothing new: what the note says is on record already ({counted(len(known), 'claim')})."
        if as_json:
            print_json({"recorded": False, "already": known, "claims": [], "findings": []})
        else:
            echo(told)
        return
    entry = book.compose(fresh)
    checker = EntryChecker(view)
    report = checker.check(entry)
    is_refused = bool(report.structural)
    if not dry_run and not is_refused:
        book.record(entry)
    show_added(Added(entry, report, checker.change(entry).after, view, tuple(known), dry_run), as_json)
    if is_refused:
        raise typer.Exit(FAULTS_FOUND)


@dataclass(frozen=True)
class Added:
    """What came of a note: the entry, what the checks find, and the daybook before and after."""

    entry: Entry
    report: Report
    after: WorkingView
    before: WorkingView
    known: tuple[str, ...]
    is_dry_run: bool

    @property
    def is_recorded(self) -> bool:
        return not self.is_dry_run and not self.report.structural

    def findings(self) -> list[dict[str, Any]]:
        """What the checks find because of this note: each text once."""
        new = {claim.id for claim in self.entry.claims} | {thing.slug for thing in self.entry.things}
        new |= {judgement.claim for judgement in self.entry.judgements}
        told = told_report(self.report, self.after)["findings"]
        mine = [found for found in told if found["focus"] in new or new.intersection(found["claims"])]
        return list({(found["focus"], found["message"]): found for found in mine}.values())

    def renamed(self) -> list[str]:
        """Each thing that the note calls or classes otherwise than the daybook does."""
        lines = []
        for thing in self.entry.things:
            old = self.before.things.get(thing.slug)
            if old is None:
                continue
            would = "would be" if self.is_dry_run else "is now"
            if old.label != thing.label:
                lines.append(f"{thing.slug} was called {old.label} and {would} called {thing.label}.")
            more = sorted(set(thing.kinds) - set(old.kinds))
            if more:
                label = self.before.vocabulary.kinds
                was, too = (
                    ", ".join(label[k].label for k in kinds if k in label) for kinds in (old.kinds, more)
                )
                lines.append(f"{thing.slug} {would} a {was}, and {too} too.")
        return lines


def _note_text(note: Path) -> tuple[str, str]:
    from kg.intake.plain_text import NoUtf8, utf8_text

    if str(note) == "-":
        return sys.stdin.read(), "toml"
    try:
        text = utf8_text(note.read_bytes(), str(note))
    except OSError as error:
        raise BadOption(f"{note} cannot be read: {error.strerror}.") from error
    except NoUtf8 as error:
        raise BadOption(f"{error} Save it as UTF-8.") from error
    return text, "turtle" if note.suffix in {".ttl", ".turtle"} else "toml"


def show_added(added: Added, as_json: bool) -> None:
    """Print what came of a note, as a page for reading or as JSON."""
    entry, after = added.entry, added.after
    if as_json:
        claims = [
            {"claim": c.id, "about": c.subject, "says": c.property, "value": c.value} for c in entry.claims
        ]
        print_json(
            {
                "recorded": added.is_recorded,
                "entry": entry.name,
                "claims": claims,
                "already": list(added.known),
                "findings": added.findings(),
                "renamed": added.renamed(),
            }
        )
        return
    for line in added.renamed():
        echo(line)
    if added.report.structural:
        echo("Nothing was recorded; mend what is named below.")
        show_findings(console(), added.findings())
        return
    word = "Recorded" if added.is_recorded else "Would record"
    echo(
        f"{word} {counted(len(entry.things), 'thing')}, {counted(len(entry.claims), 'claim')}, "
        f"{counted(len(entry.judgements), 'judgement')}."
    )
    for claim in entry.claims:
        name = f"{claim.id}  " if added.is_recorded else ""
        echo(f"  {name}{after.sentence(claim)}")
    for judgement in entry.judgements:
        label = after.vocabulary.standings[judgement.standing]
        echo(f"  {judgement.claim}  {label}: {judgement.why}")
    if added.known:
        echo(f"On record already and left out: {', '.join(added.known)}.")
    show_findings(console(), added.findings())
