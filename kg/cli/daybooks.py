"""The commands that begin, fill and list a daybook."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.audit import told_report
from kg.cli.common import (
    FAULTS_FOUND,
    SIGNER,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    open_daybook,
    open_view,
    print_json,
    signer,
)

if TYPE_CHECKING:
    from kg.checks.findings import Report
    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Entry

#: Where the demo is begun unless a folder is named.
DEMO_FOLDER = Path("kilnmark-demo")


def begin_command(
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.")],
    title: Annotated[str, typer.Option("--title", help="What the daybook is called.")] = "Daybook",
    as_json: JsonOption = False,
) -> None:
    """Begin a new, empty daybook."""
    from kg.daybook.daybook import Daybook

    Daybook.begin(folder, title)
    if as_json:
        print_json({"begun": str(folder), "title": title})
        return
    typer.echo(f"Begun in {folder}. Add a first note with:  kilnmark add NOTE.toml -d {folder}")
    typer.echo("What a note looks like:  kilnmark add --example")


def demo_command(
    folder: Annotated[Path, typer.Argument(help="Where the demo daybook is kept.")] = DEMO_FOLDER,
    as_json: JsonOption = False,
) -> None:
    """Begin the demo, an invented trade, and test its first date."""
    from kg.chronology.chronology import Chronology
    from kg.chronology.fit import Question, fit
    from kg.chronology.telling import told_fit
    from kg.cli.fit import show_fit
    from kg.dates.conventions import convention
    from kg.dates.phrases import read_phrase
    from kg.daybook.daybook import Daybook
    from kg.daybook.demo import MAIN_PHRASE, MAIN_PIECE, begin_demo
    from kg.daybook.shelf import MARKER

    is_new = not (folder / MARKER).is_file()
    book = begin_demo(folder) if is_new else Daybook.open(folder)
    view = book.view()
    told = told_fit(fit(Chronology(view), Question(MAIN_PIECE, read_phrase(MAIN_PHRASE, convention()))), view)
    if as_json:
        print_json(told)
        return
    typer.echo(f"{'Begun' if is_new else 'Opened'}: an invented trade in {folder}, {len(view.live)} claims.")
    typer.echo(f'\n$ kilnmark fit {MAIN_PIECE} "{MAIN_PHRASE}" -d {folder}\n')
    show_fit(console(), told)
    typer.echo(f"\nSee it at the desk:    kilnmark desk -d {folder}")
    typer.echo(f"What else to look for: kilnmark audit -d {folder}, and the story in sources/demo/README.md")


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
        typer.echo(notes.EXAMPLE)
        return
    if note is None:
        raise BadOption(
            "No note is named. Give a file, or - to type one; `kilnmark add --example` shows the form."
        )
    book = open_daybook(daybook)
    text, form = _note_text(note)
    entry = book.compose(notes.read_note(text, book.view(), researcher=signer(researcher), form=form))
    report = EntryChecker(book.view()).check(entry)
    is_refused = bool(report.structural)
    if not dry_run and not is_refused:
        book.record(entry)
    _show_added(book, entry, report, dry_run, as_json)
    if is_refused:
        raise typer.Exit(FAULTS_FOUND)


def _note_text(note: Path) -> tuple[str, str]:
    if str(note) == "-":
        return sys.stdin.read(), "toml"
    try:
        text = note.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise BadOption(f"{note} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise BadOption(f"{note} is not UTF-8 text: {error}. Save it as UTF-8.") from error
    return text, "turtle" if note.suffix in {".ttl", ".turtle"} else "toml"


def _show_added(book: Daybook, entry: Entry, report: Report, dry_run: bool, as_json: bool) -> None:
    is_recorded = not dry_run and not report.structural
    findings = told_report(report, book.view())["findings"]
    if as_json:
        claims = [
            {"claim": c.id, "about": c.subject, "says": c.property, "value": c.value} for c in entry.claims
        ]
        print_json(
            {
                "recorded": is_recorded,
                "entry": entry.name,
                "claims": claims,
                "findings": findings,
            }
        )
        return
    view = book.view()
    for finding in findings:
        typer.echo(
            f"{finding['severity']}: {finding['focus_label']}: {finding['message']}\n    {finding['hint'] or ''}"
        )
    word = (
        "Recorded" if is_recorded else "Would record" if not report.structural else "Nothing was recorded of"
    )
    typer.echo(
        f"{word} {len(entry.things)} things, {len(entry.claims)} claims, {len(entry.judgements)} judgements."
    )
    for claim in entry.claims:
        typer.echo(f"  {claim.id}  {view.sentence(claim)}")


def list_command(
    words: Annotated[list[str] | None, typer.Argument(help="Words that the name or id holds.")] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", help="Only things of this class, such as Piece or Person.")
    ] = None,
    claims_of: Annotated[
        str | None, typer.Option("--claims", help="List the claims about one thing instead.")
    ] = None,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """List things by name, or the claims about one thing with their sources."""
    view = open_view(daybook)
    if claims_of is not None:
        slug = view.thing(claims_of).slug
        claims = [claim for claim in view.claims.values() if slug in (claim.subject, claim.value)]
        rows = [
            {
                "claim": c.id,
                "sentence": view.sentence(c),
                "citation": view.cite(c.citation),
                "standing": view.standing(c.id),
            }
            for c in claims
        ]
        _print_rows(rows, as_json, lambda r: f"{r['claim']}  {r['sentence']} — {r['citation']}{_not_held(r)}")
        return
    wanted = view.vocabulary.kind(kind).name if kind else None
    found = [
        {"id": thing.slug, "name": thing.label, "kind": ", ".join(thing.kinds)}
        for thing in sorted(view.things.values(), key=lambda t: t.slug)
        if (wanted is None or view.vocabulary.is_a(thing.kinds, wanted))
        and all(word.casefold() in f"{thing.slug} {thing.label}".casefold() for word in words or ())
    ]
    _print_rows(found, as_json, lambda r: f"{r['id']}  {r['name']} ({r['kind']})")


def _not_held(row: dict[str, Any]) -> str:
    return "" if row["standing"] == "held" else f" ({row['standing']})"


def _print_rows(rows: list[dict[str, Any]], as_json: bool, write: Any) -> None:
    if as_json:
        print_json(rows)
        return
    for row in rows:
        typer.echo(write(row))
    typer.echo(f"{len(rows)} found." if rows else "Nothing answers to that.")


def vocabulary_command(daybook: DaybookOption = None, as_json: JsonOption = False) -> None:
    """List the properties that a claim can use, and what each says about time."""
    from kg.cli.common import DaybookNotFound
    from kg.vocabulary import load_vocabulary

    try:
        vocabulary = open_daybook(daybook).vocabulary
    except DaybookNotFound:
        vocabulary = load_vocabulary()
    rows = [
        {"property": p.name, "label": p.label, "of": p.domain, "value": p.range, "group": p.group,
         "time": [f"{rule.label} ({rule.strength})" for rule in p.rules]}
        for p in vocabulary.properties.values()
    ]  # fmt: skip
    _print_rows(
        rows,
        as_json,
        lambda r: (
            f"{r['property']}  ({r['label']}): {r['of']} → {r['value']}"
            + "".join(f"\n    {t}" for t in r["time"])
        ),
    )


def merge_command(
    other: Annotated[Path, typer.Argument(help="The folder of the other daybook.")],
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take in all entries of another daybook."""
    book = open_daybook(daybook)
    new = book.merge(other)
    if as_json:
        print_json({"new": new, "entries": len(book.entries())})
        return
    typer.echo(f"{new} new entries; {len(book.entries())} in all.")
