"""The commands that begin a daybook and bring another in: ``begin``, ``demo``, ``merge``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    FAULTS_FOUND,
    INTERRUPTED,
    DaybookOption,
    JsonOption,
    console,
    counted,
    echo,
    open_daybook,
    print_json,
    progress_bar,
    put,
)

if TYPE_CHECKING:
    from kg.intake.merge import MergePlan

#: How many lines of one sort are printed; JSON has all of them.
SHOWN = 12

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


def merge_command(
    other: Annotated[Path, typer.Argument(help="The folder of the other daybook.")],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would come in and what would follow; write nothing.")
    ] = False,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take in all entries of another daybook, and tell what comes of it: new conflicts, names with two meanings.

    Entries that are damaged over there are named and left out. Merging again, or the other way round, gives the same.
    """
    from kg.intake.merge import merge, plan_merge

    book = open_daybook(daybook)
    with progress_bar("Merging", is_quiet=as_json) as tell:
        plan = plan_merge(book, other, tell)
        reached = 0

        def written(number: int) -> None:
            nonlocal reached
            reached = number
            tell("entries written", number, len(plan.files))

        try:
            done = 0 if dry_run else merge(book, plan, written)
        except KeyboardInterrupt:
            told = f"Interrupted after {reached} of {len(plan.files)} entries, each of which is whole."
            typer.echo(f"{told} Merge again to take in the rest.", err=True)
            raise typer.Exit(INTERRUPTED) from None
    total = len(book.entries()) if done or not dry_run else len(plan.after.entries)
    if as_json:
        print_json({"new": len(plan.files), "entries": total, "dry_run": dry_run, **told_merge(plan)})
    else:
        show_merge(plan, total, is_dry_run=dry_run)
    if plan.refused:
        raise typer.Exit(FAULTS_FOUND)


def told_merge(plan: MergePlan) -> dict[str, Any]:
    """What a merge brings, as plain values."""
    from kg.chronology.telling import told_claim, told_dating

    view = plan.after
    return {
        "claims": plan.claims,
        "known": plan.known,
        "refused": [{"file": damage.file, "what": damage.what} for damage in plan.refused],
        "not_understood": list(plan.not_understood),
        "two_meanings": [
            {
                "name": pair.here.slug,
                "here": {"label": pair.here.label, "kinds": list(pair.here.kinds)},
                "there": {"label": pair.there.label, "kinds": list(pair.there.kinds)},
                "other_kind": pair.is_other_kind,
                "stands": view.label(pair.here.slug),
            }
            for pair in plan.meanings
        ],
        "new_conflicts": [[told_claim(view, claim) for claim in found.claims] for found in plan.conflicts],
        "wholly_theirs": list(plan.wholly_theirs),
        "no_longer_fit": [told_dating(view, dating) for dating in plan.impossible],
        "theirs_do_not_fit": [told_dating(view, dating) for dating in plan.theirs_impossible],
        "rejudged": [
            {**told_claim(view, found.claim), "before": found.before, "after": found.after}
            for found in plan.rejudged
        ],
    }


def show_merge(plan: MergePlan, total: int, *, is_dry_run: bool) -> None:
    """Print what a merge brings as a page for reading."""
    told = told_merge(plan)
    number = "1 new entry" if len(plan.files) == 1 else f"{len(plan.files)} new entries"
    head = "Nothing was written. Would take in" if is_dry_run else "Took in"
    echo(f"{head} {number} with {counted(plan.claims, 'claim')}; {total} entries in all.")
    _listed(
        "Left out, since they are damaged over there", [f"{d['file']}: {d['what']}" for d in told["refused"]]
    )
    _listed("Not in the vocabulary here; they take no part", told["not_understood"])
    _listed("Names that mean two things", [_meaning(pair) for pair in told["two_meanings"]])
    _show_conflicts(plan)
    if theirs := sum(plan.wholly_theirs):
        kinds = "conflict comes along that lies" if theirs == 1 else "conflicts come along that lie"
        echo(f"\n{theirs} {kinds} wholly in what they say; `kilnmark audit` tells them.")
    for title, key in (
        ("Datings of yours that can no longer stand", "no_longer_fit"),
        ("Datings of theirs that do not fit", "theirs_do_not_fit"),
    ):
        _listed(title, [f"{_one(dating)}\n{dating['because']}" for dating in told[key]])
    standings = plan.after.vocabulary.standings
    _listed(
        "Claims of yours that they judge otherwise",
        [f"{_one(f)}: {standings[f['before']]}, now {standings[f['after']]}" for f in told["rejudged"]],
    )


def _show_conflicts(plan: MergePlan) -> None:
    """The conflicts between this daybook and the other, by the claim that they share, where no dating tells them."""
    from kg.chronology.telling import told_claim
    from kg.intake.merge import by_shared_claim

    dated = {dating.claim.id for dating in (*plan.impossible, *plan.theirs_impossible)}
    across = [
        conflict
        for conflict, is_theirs in zip(plan.conflicts, plan.wholly_theirs, strict=True)
        if not (is_theirs or any(claim.id in dated for claim in conflict.claims))
    ]
    if not across:
        return
    page, lines, told = console(), 0, 0
    put(page, "")
    put(page, f"Claims of yours and theirs that cannot all be true: {len(across)}")
    for shared, against in by_shared_claim(across):
        if lines + 2 > SHOWN:
            break
        put(page, f"✕ {_one(told_claim(plan.after, shared))}", 2)
        lines += 1
        for others in against[: SHOWN - lines]:
            put(page, " and ".join(_one(told_claim(plan.after, claim)) for claim in others), 6)
            lines += 1
            told += 1
    if told < len(across):
        put(page, f"… and {len(across) - told} more; --json lists them.", 2)


def _meaning(pair: dict[str, Any]) -> str:
    """What a name means here and there, which display name stands, and what to do about it."""
    name, stands = pair["name"], pair["stands"]
    here, there = (f"{side['label']} ({', '.join(side['kinds'])})" for side in (pair["here"], pair["there"]))
    if pair["other_kind"]:
        advice = "They are not one thing: give one of them another name before you merge."
    elif stands == pair["here"]["label"]:
        advice = f"Yours stands, {stands}, since it was recorded later."
    else:
        advice = (
            f"Theirs stands, {stands}, since it was recorded later. To keep yours, add a note with a [[thing]] "
            f"whose id is {name} and whose label is yours. If they are two things, one needs another id; then "
            f"`kilnmark same-as --not` keeps them apart."
        )
    return f"{name}: here {here}, there {there}.\n{advice}"


def _one(claim: dict[str, Any]) -> str:
    return f"{claim['sentence']} — {claim['citation']}  [{claim['claim']}]"


def _listed(title: str, lines: list[str]) -> None:
    if not lines:
        return
    page = console()
    put(page, "")
    put(page, f"{title}: {len(lines)}")
    for line in lines[:SHOWN]:
        head, _, rest = line.partition("\n")
        put(page, head, 2)
        if rest:
            put(page, rest, 4)
    if len(lines) > SHOWN:
        put(page, f"… and {len(lines) - SHOWN} more; --json lists them.", 2)
