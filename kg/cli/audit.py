"""The commands ``audit`` and ``verify``: what cannot stand, and whether the record is whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    FAULTS_FOUND,
    AsOfOption,
    DaybookOption,
    JsonOption,
    console,
    find_daybook,
    open_daybook,
    open_view,
    print_json,
    progress_bar,
    put,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.checks.findings import Report
    from kg.daybook.view import WorkingView

#: How many of each kind are printed; JSON has them all.
SHOWN = 20


def audit_command(
    no_convention: Annotated[
        list[str] | None,
        typer.Option("--no-convention", help="A convention to switch off, by name or family (working-life)."),
    ] = None,
    convention_name: Annotated[
        str | None, typer.Option("--convention", help="The date convention for sources that carry none.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Print every finding, not the first of each kind.")
    ] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Test every dating against all else, list what cannot all be true, and run the shapes."""
    from kg.checks.check import check_all, load_users_shapes
    from kg.chronology.audit import Audit
    from kg.chronology.chronology import Chronology
    from kg.chronology.network import Conventions
    from kg.chronology.telling import told_audit

    view = open_view(daybook, as_of, convention_name)
    users = load_users_shapes(find_daybook(daybook))
    conventions = Conventions.without(no_convention or (), view.vocabulary)
    with progress_bar("Auditing", is_quiet=as_json) as tell:
        told = told_audit(Audit(Chronology(view, conventions, tell)))
        report = check_all(view, progress=tell, users=users)
    told["shapes"] = told_report(report, view)
    if as_json:
        print_json(told)
    else:
        show_audit(console(), told, None if every else SHOWN)


def told_report(report: Report, view: WorkingView) -> dict[str, Any]:
    """A report of the shapes as plain tables."""
    return {
        "summary": report.summary,
        "checked": dict(report.matched),
        "findings": [
            {
                "severity": finding.severity.value.lower(),
                "word": finding.severity.word,
                "shape": finding.shape,
                "focus": finding.focus,
                "focus_label": view.label(finding.focus),
                "message": finding.message,
                "hint": finding.hint,
                "claims": list(finding.claims),
            }
            for finding in report.findings
        ],
    }


def show_audit(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print an audit as a page for reading."""
    counts = told["datings"]
    console.print(f"{told['claims']} claims; {sum(counts.values())} datings tested: " + ", ".join(
        f"{number} {'fit' if verdict == 'fits' else verdict}" for verdict, number in counts.items()
    ))  # fmt: skip
    if told["conventions_off"]:
        console.print(f"Switched off: {', '.join(told['conventions_off'])}")
    _section(console, "Datings that cannot fit", told["impossible"], most, _impossible)
    conflicts = list(zip(told["conflicts"], told["conflict_conventions"], strict=True))
    _section(console, "Claims that cannot all be true", conflicts, most, _conflict)
    if told["more_conflicts_than_listed"]:
        console.print("  Some claims are in more conflicts than are listed.")
    _section(
        console,
        "Least doubtful repair: doubt these and the rest can be true",
        told["least_doubtful_repair"],
        most,
        _one,
    )
    _section(
        console, "Datings that are strained, not impossible", told["strained_datings"], most, _impossible
    )
    _section(console, "Usual rules that the evidence strains", told["strains"], most, _strain)
    alone = [finding for finding in told["shapes"]["findings"] if len(finding["claims"]) < 2]
    _section(console, "Ill-formed by the shapes", alone, most, _finding)
    together = len(told["shapes"]["findings"]) - len(alone)
    console.print(f"\nShapes: {told['shapes']['summary']}")
    if together:
        console.print(
            f"{together} of these set claims against each other, as told above; --json holds them too."
        )


def _section(console: Console, title: str, rows: list[Any], most: int | None, write: Any) -> None:
    from rich.text import Text

    console.print()
    console.print(Text(f"{title}: {len(rows) or 'none'}", style="bold"))
    for row in rows[:most]:
        write(console, row)
    if most is not None and len(rows) > most:
        console.print(f"  … and {len(rows) - most} more; --all prints them, --json holds them.")


def _impossible(console: Console, row: dict[str, Any]) -> None:
    mark = "✕" if row["verdict"] == "cannot fit" else "◐"
    put(console, f"{mark} {row['sentence']} — {row['citation']}  [{row['claim']}]", 2)
    put(console, row["because"], 4)
    if row["contested"]:
        put(console, f"(contested: {row['contested']['sentence']}, see below)", 4)


def _conflict(console: Console, row: tuple[list[dict[str, Any]], list[str]]) -> None:
    claims, conventions = row
    for number, claim in enumerate(claims):
        put(
            console,
            f"{'✕' if number == 0 else ' '} {claim['sentence']} — {claim['citation']}  [{claim['claim']}]",
            2,
        )
    for convention in conventions:
        put(console, f"by the convention {convention}", 14)


def _one(console: Console, claim: dict[str, Any]) -> None:
    put(console, f"• {claim['sentence']} — {claim['citation']}  [{claim['claim']}]", 2)


def _strain(console: Console, row: dict[str, Any]) -> None:
    put(console, f"◐ {row['strength']}: {row['rule']}", 2)
    for claim in row["claims"]:
        put(console, f"{claim['sentence']} — {claim['citation']}  [{claim['claim']}]", 6)


def show_findings(console: Console, rows: list[dict[str, Any]], most: int | None = None) -> None:
    """Print findings as `told_report` has them, under a blank line; nothing where there are none."""
    if not rows:
        return
    put(console, "")
    for row in rows[:most]:
        _finding(console, row)
    if most is not None and len(rows) > most:
        put(console, f"… and {len(rows) - most} more; --json lists them.", 2)


def _finding(console: Console, row: dict[str, Any]) -> None:
    put(console, f"{row['word']}: {row['focus_label']}: {row['message']}", 2)
    if row["hint"]:
        put(console, row["hint"], 4)


def verify_command(daybook: DaybookOption = None, as_json: JsonOption = False) -> None:
    """Check every entry file against the hash in its name; name each changed, truncated or foreign file."""
    book = open_daybook(daybook)
    damages = list(book.verify())
    if as_json:
        print_json(
            {"entries": len(book.entries()), "damaged": [{"file": d.file, "what": d.what} for d in damages]}
        )
    else:
        for damage in damages:
            typer.echo(f"{damage.file}: {damage.what}")
        typer.echo(
            f"{len(book.entries())} entries are whole."
            if not damages
            else f"{len(damages)} files need a look."
        )
    if damages:
        raise typer.Exit(FAULTS_FOUND)
