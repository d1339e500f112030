"""The command ``weigh``: how many witnesses a claim has, and what falls if a source falls."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import AsOfOption, DaybookOption, JsonOption, console, open_daybook, past_day, print_json
from kg.cli.page import claim_line, heading, line, section, source_name

if TYPE_CHECKING:
    from rich.console import Console

#: How many of each kind are printed; JSON has them all.
SHOWN = 12


def weigh_command(
    name: Annotated[str, typer.Argument(help="A claim's id, or a source: its id, or its name in quotes.")],
    every: Annotated[
        bool, typer.Option("--all", help="Print every line, not the first of each kind.")
    ] = False,
    ranking: Annotated[
        list[str] | None,
        typer.Option(
            "--ranking", help="Also tell how the ranking of this piece's makers changes; may be given again."
        ),
    ] = None,
    questions: Annotated[
        bool,
        typer.Option("--questions", help="The same for every piece whose ranking is kept as a question."),
    ] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Count the independent witnesses of a claim, or see what rests on a source."""
    from kg.asking.weighing import told_weighing

    book = open_daybook(daybook)
    told = told_weighing(book, name, past_day(as_of), tuple(ranking or ()), with_questions=questions)
    if as_json:
        print_json(told)
        return
    show = show_claim if "witnesses" in told else show_source
    show(console(), told, None if every else SHOWN)


def show_claim(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print the weighing of a claim as a page for reading."""
    heading(console, told["sentence"])
    line(console, told["headline"], 2)
    if told["fewest_sentence"]:
        line(console, told["fewest_sentence"], 2)
    line(console, f"Standing: {told['step']}", 2)
    for reason in told["reasons"]:
        line(console, f"• {reason}", 4)
    section(console, "Said by", [_said(row) for row in told["agreeing"]], most)
    section(console, "Against it", [claim_line(row) for row in told["contrary"]], most)
    routes = told["possible_routes"]
    section(console, "Routes that share no source", [_route(route) for route in routes], most)
    unknown = [source_name(row) for row in told["origins"] if row["origin"] == "not known"]
    section(console, "Nothing is recorded of what these follow (not known, not independent)", unknown, most)
    section(console, "Circular citation", [" → ".join(map(source_name, c)) for c in told["circles"]], most)
    section(
        console,
        "Fewest sources whose fall overturns it",
        [source_name(s) for s in told["overturned_by"]],
        most,
    )
    printed = [f"{printed_line(row)}: {row['footing']}" for row in told["in_print"]]
    section(console, "In print, resting on it", printed, most)
    show_falls_of_claim(console, told, most)
    show_today(console, told)


def show_falls_of_claim(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print what falls with a claim, and apart from it what falls with its bottleneck, by name."""
    from kg.sources_weighed.telling import counted

    with_it = counted(len(told["fall"]["following"]), "other claim falls", "other claims fall")
    show_fall(console, told["fall"], f"If this claim alone is set aside: {with_it} with it", most)
    narrow = told["fall_of_bottleneck"]
    if narrow is None:
        return
    names = " and ".join(map(source_name, narrow["set_aside"]))
    what = "its bottleneck falls" if told["bottleneck"] else "all that carry it fall"
    if narrow["is_same"]:
        section(console, f"If {what} as witness to it: {names}; the same falls", [], most)
        return
    show_fall(console, narrow, f"If {what} as witness to it: {names}; {_fallen(narrow)}", most)


def show_source(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print what rests on a source as a page for reading."""
    heading(console, source_name(told))
    line(console, f"Origin: {told['origin']}. {told['claims']} claims cite it.", 2)
    section(console, "It follows", [_followed(row) for row in told["follows"]], most)
    section(console, "Followed by", [_followed(row) for row in told["followed_by"]], most)
    if told["all_that_follow"] > len(told["followed_by"]):
        line(console, f"{told['all_that_follow']} sources in all, directly or through others.", 4)
    section(console, "Contradicts", [claim_line(row) for row in told["contradicts"]], most)
    independent = [f"{source_name(row)} ({row['citation']})" for row in told["independent"]]
    section(console, "Stated independent of", independent, most)
    section(console, "Circular citation", [" → ".join(map(source_name, c)) for c in told["circles"]], most)
    show_fall(console, told["fall"], f"If set aside, these fall: {_fallen(told['fall'])}", most)
    if told["fall"]["following"]:
        line(console, "Where a whole source follows another, all that it says is taken to. Where only one claim does, "
             "record that: claimTakenFrom, claimFollows.", 2)  # fmt: skip
    show_today(console, told)


def _fallen(fall: dict[str, Any]) -> str:
    from kg.sources_weighed.telling import counted

    return (
        f"{counted(len(fall['direct']), 'claim')}, and {len(fall['following'])} that had it by no other line"
    )


def show_fall(console: Console, fall: dict[str, Any], title: str, most: int | None) -> None:
    """Print what falls if what the title names is set aside."""
    section(console, title, [claim_line(row) for row in fall["following"]], most)
    section(console, "These lose their anchor", [claim_line(row) for row in fall["unanchored"]], most)
    changed = [f"{claim_line(row)}: {row['before']} → {row['after']}" for row in fall["verdicts"]]
    section(console, "Verdicts that change", changed, most)
    section(
        console,
        "Printed sentences that lose their footing",
        [printed_line(s) for s in fall["sentences"]],
        most,
    )
    wider = [
        f"{source_name(w)}, {w['span']}: {w['before']['text']} → {w['after']['text']}" for w in fall["wider"]
    ]
    section(console, "Known less closely", wider, most)
    for ranking in fall["rankings"]:
        section(console, f"Who made it: {source_name(ranking)}", _ranking_lines(ranking), most)


def _ranking_lines(ranking: dict[str, Any]) -> list[str]:
    """Who leads before and after, and each maker whose chance is another as it is shown; or that nothing changes."""
    from kg.attribution.change import chance

    before, after = (ranking[f"leads_{when}"] or "nobody" for when in ("before", "after"))
    if not ranking["is_changed"]:
        return [f"Nothing changes in the ranking as it is shown. First: {before}."]
    chances = [(m["label"], chance(m, "before"), chance(m, "after")) for m in ranking["moved"]]
    return [
        f"first as before: {before}" if before == after else f"first: {before} → {after}",
        *(f"{label}: {old} → {new}" for label, old, new in chances if old != new),
    ]


def printed_line(row: dict[str, Any]) -> str:
    """A printed sentence as one line: its place and its words."""
    mark = " (confidential)" if row["confidential"] else ""
    return f"{row['citation']}: “{row['text']}”{mark}"


def show_today(console: Console, told: dict[str, Any]) -> None:
    """Print what has changed since the day that was asked about."""
    today = told["today"]
    if today is None:
        return
    heading(console, f"Since {told['as_of']}")
    if not today:
        line(console, "Nothing has changed.", 4)
    for key in ("headline", "step", "origin", "claims", "all_that_follow"):
        if key in today:
            line(console, f"{key.replace('_', ' ')} today: {today[key]}", 4)
    for row in today.get("added", ()):
        line(console, f"added: {claim_line(row)}", 4)
    for row in today.get("in_print", ()):
        line(console, f"in print, {row['label']}: {row['then'] or 'not yet on record'} → {row['now']}", 4)


def _said(row: dict[str, Any]) -> str:
    how = "" if row["agreement"] == "the same value" else f"; {row['agreement']}"
    return claim_line(row) + how


def _route(route: list[dict[str, Any]]) -> str:
    return f"({route[0]['origin']}) " + " → ".join(map(source_name, route))


def _followed(row: dict[str, Any]) -> str:
    return f"{source_name(row)}  [{', '.join(claim['claim'] for claim in row['because'])}]"
