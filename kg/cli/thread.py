"""The command ``thread``: the most trustworthy ways from one thing to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    open_daybook,
    past_day,
    print_json,
)
from kg.cli.page import claim_line, heading, line

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.view import WorkingView
    from kg.threads.threads import Allowed


def thread_command(
    one: Annotated[str, typer.Argument(help="A thing: its id, or its name in quotes.")],
    other: Annotated[str, typer.Argument(help="Another thing.")],
    most: Annotated[int, typer.Option("--most", min=1, max=100, help="How many threads.")] = 3,
    through: Annotated[
        list[str] | None, typer.Option("--through", help="Pass only through this class; may be given again.")
    ] = None,
    not_through: Annotated[
        list[str] | None,
        typer.Option("--not-through", help="Never pass through this class; may be given again."),
    ] = None,
    likeness: Annotated[
        bool,
        typer.Option(
            "--likeness", help="Also pass through what very many things share: features, materials, places …"
        ),
    ] = False,
    least: Annotated[
        str | None,
        typer.Option("--least", help="No claim below this standing: several, first-hand, second-hand …"),
    ] = None,
    during: Annotated[
        str | None,
        typer.Option(
            "--during", help="Pass only through things that may be of these years, such as 1870s or 1871-80."
        ),
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Follow claims from one thing to another: thread retailer-x mould-100."""
    from kg.daybook.as_one import as_one
    from kg.sources_weighed.dependence import Weighed
    from kg.threads.telling import told_thread
    from kg.threads.threads import LIKENESS, Threads

    book = open_daybook(daybook)
    told: dict[str, Any] = {"as_of": as_of, "today": None}
    for key, day in (("threads", past_day(as_of)), *((("today", None),) if as_of else ())):
        recorded = book.view(day)
        joined = as_one(recorded)
        view = joined.view
        ends = joined.slug(recorded.thing(one).slug), joined.slug(recorded.thing(other).slug)
        if ends[0] == ends[1]:
            raise BadOption(
                f"{one!r} and {other!r} are the same thing, {view.label(ends[0])}; a thread joins two things. "
                "Name another thing at its other end."
            )
        threads = Threads(Weighed(view))
        left_out = (*(not_through or ()), *(() if likeness else LIKENESS))
        allowed = allowed_of(view, through, left_out, least, during)
        told |= {"from": view.label(ends[0]), "to": view.label(ends[1])}
        told[key] = [told_thread(threads, thread) for thread in threads.between(*ends, most, allowed)]
    if as_json:
        print_json(told)
    else:
        show_threads(console(), told)


def allowed_of(
    view: WorkingView,
    through: list[str] | None,
    not_through: tuple[str, ...],
    least: str | None,
    during: str | None,
) -> Allowed:
    """What a thread may pass through, from the options.

    :raises BadOption: if a standing or a date is none.
    """
    from kg.dates.conventions import convention
    from kg.dates.phrases import read_phrase
    from kg.sources_weighed.standing import Step
    from kg.threads.threads import Allowed

    steps = {step.name.lower().replace("_", "-"): step for step in Step}
    if least is not None and least not in steps:
        raise BadOption(f"--least {least!r} found; expected one of {', '.join(steps)}.")
    window = read_phrase(during, convention()).window if during is not None else None
    if during is not None and window is None:
        raise BadOption(f"--during {during!r} says that there is no date; give one, such as 1870s.")
    return Allowed(
        frozenset(view.vocabulary.kind(name).name for name in through) if through else None,
        frozenset(view.vocabulary.kind(name).name for name in not_through),
        steps[least] if least is not None else None,
        window,
    )


def show_threads(console: Console, told: dict[str, Any]) -> None:
    """Print threads as a page for reading."""
    heading(console, f"{told['from']} to {told['to']}")
    _show(console, told["threads"])
    if told["today"] is not None:
        is_same = told["today"] == told["threads"]
        heading(console, f"Since {told['as_of']}: {'nothing has changed' if is_same else 'today'}")
        if not is_same:
            _show(console, told["today"])


def _show(console: Console, threads: list[dict[str, Any]]) -> None:
    if not threads:
        line(console, "Nothing on record joins them in the way that was asked for.", 2)
    for number, thread in enumerate(threads, start=1):
        below = thread["steps_below_the_best"]
        links = f"{thread['links']} link{'' if thread['links'] == 1 else 's'}"
        heading(console, f"  Thread {number}: {links}, {below} steps of standing below the best")
        for step in thread["steps"]:
            line(console, f"{step['from_label']} → {step['to_label']}", 4)
            line(console, claim_line(step), 6)
            more = f"; {len(step['others'])} more claims join them" if step["others"] else ""
            line(console, f"{step['step']}{more}", 6)
