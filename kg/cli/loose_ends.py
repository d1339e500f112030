"""The command ``loose-ends``: what is not settled, what would settle it, and how much would change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    DaybookOption,
    JsonOption,
    console,
    open_daybook,
    past_day,
    print_json,
)
from kg.cli.page import claim_line, heading, line, section, source_name

if TYPE_CHECKING:
    from rich.console import Console

#: How many are printed unless all are asked for; JSON has them all.
SHOWN = 20
#: How many claims and names of one loose end are printed.
CLAIMS, NAMES = 4, 4


def loose_ends_command(
    kind: Annotated[
        str | None, typer.Option("--kind", help="Only this kind, such as circular or no-date.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Print every loose end, not only the first.")] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """List what is not settled, first what would change most."""
    from kg.asking.loose import told_loose_ends

    told = told_loose_ends(open_daybook(daybook), past_day(as_of), kind)
    if as_json:
        print_json(told)
    else:
        show_loose_ends(console(), told, None if every else SHOWN)


def show_loose_ends(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print loose ends as a page for reading."""
    from kg.sources_weighed.telling import counted

    ends = told["loose_ends"]
    heading(console, counted(len(ends), "loose end") if ends else "No loose ends")
    for name, number in told["counts"].items():
        line(console, f"{number:>4}  {name}: {told['kinds'][name]}", 2)
    if ends:
        line(console, "What one act would settle is one loose end. First what bears on most verdicts and sentences "
             "in print.", 2)  # fmt: skip
    for end in ends[:most]:
        _show_end(console, end)
    if most is not None and len(ends) > most:
        line(console, f"… and {len(ends) - most} more; --all prints them, --json holds them.", 2)
    if told["since"] is not None:
        _show_since(console, told)


def _show_end(console: Console, end: dict[str, Any]) -> None:
    from kg.sources_weighed.telling import counted

    heading(console, f"  {end['open']}: {_about(end)}")
    for row in end["claims"][:CLAIMS]:
        line(console, f"• {claim_line(row)}", 4)
    if len(end["claims"]) > CLAIMS:
        line(console, f"… and {counted(len(end['claims']) - CLAIMS, 'more claim', 'more claims')}", 4)
    sentences = end["bears_on_sentences"]
    printed = f" and {counted(sentences, 'sentence in print', 'sentences in print')}" if sentences else ""
    line(console, f"Bears on {counted(end['bears_on_verdicts'], 'verdict')}{printed}. {end['settled_by']}", 4)


def _about(end: dict[str, Any]) -> str:
    """What a loose end is about: the sources that say it and how much, or the things."""
    from kg.sources_weighed.telling import counted

    if not end["said_by"]:
        return _few(list(dict.fromkeys(end["labels"])))
    amount = f"{counted(len(end['claims']), 'claim')} about {counted(len(end['things']), 'thing')}"
    return f"{_few([source_name(row) for row in end['said_by']])} ({amount})"


def _few(labels: list[str]) -> str:
    """The first of some names, and how many more there are."""
    more = len(labels) - NAMES
    return "; ".join(labels[:NAMES]) + (f" … and {more} more" if more > 0 else "")


def _show_since(console: Console, told: dict[str, Any]) -> None:
    from kg.sources_weighed.telling import counted

    since = told["since"]
    heading(console, f"Since {told['as_of']}: {counted(len(since['added']), 'claim')} added")
    judged = [f"{claim_line(row)}: {row['finds']}, {row['why']}" for row in since["judged"]]
    section(console, "Judged", judged, None)
    changed = [
        f"{claim_line(row)}: {row['then']} → {row['now'] or 'no longer held'}" for row in since["verdicts"]
    ]
    section(console, "Verdicts that changed", changed, None)
    footings = [
        f"{s['label']}, “{s['text']}”: {s['then']} → {s['now'] or 'withdrawn'}" for s in since["sentences"]
    ]
    section(console, "Printed sentences that stand otherwise", footings, None)
