"""The command ``fit``: does this date fit all else that is recorded?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    DaybookOption,
    JsonOption,
    find_daybook,
    open_view,
    print_json,
    put,
    tell_changed,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.record import Draft
    from kg.daybook.view import WorkingView

#: How each verdict is marked: a shape besides the word and the colour.
MARKS = {
    "fits": ("●", "green"),
    "fits in part": ("◐", "yellow"),
    "cannot fit": ("✕", "red"),
    "nothing bounds it": ("○", "cyan"),
}


def fit_command(
    subject: Annotated[str, typer.Argument(help="A piece, part or maker: its id, or its name in quotes.")],
    phrase: Annotated[str, typer.Argument(help="The date as a catalogue prints it, or EDTF.")],
    maker: Annotated[
        str | None, typer.Option("--maker", help="Suppose that this maker made the piece.")
    ] = None,
    without: Annotated[
        list[str] | None, typer.Option("--without", help="A claim to leave out; may be given again.")
    ] = None,
    suppose: Annotated[
        list[str] | None,
        typer.Option("--suppose", help="A claim to suppose, as 'THING PROPERTY VALUE'; may be given again."),
    ] = None,
    no_convention: Annotated[
        list[str] | None,
        typer.Option("--no-convention", help="A convention to switch off, by name or family (working-life)."),
    ] = None,
    convention_name: Annotated[
        str | None, typer.Option("--convention", help="The convention by which the phrase is read.")
    ] = None,
    circa: Annotated[int | None, typer.Option("--circa", min=0, help="Half-width of circa in years.")] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Test a date: fit piece-lady-with-blue-snood "about 1878"."""
    from kg.chronology.chronology import Chronology
    from kg.chronology.fit import Question, fit
    from kg.chronology.network import Conventions
    from kg.chronology.telling import told_fit
    from kg.dates.conventions import DEFAULT, convention
    from kg.dates.phrases import read_phrase

    means = convention(convention_name or DEFAULT)
    reading = read_phrase(phrase, means.with_circa(circa) if circa is not None else means)
    view = open_view(daybook, as_of)
    question = Question(
        view.thing(subject).slug,
        reading,
        maker=view.thing(maker).slug if maker else None,
        without=frozenset(view.claim(name).id for name in without or ()),
        supposed=tuple(supposed_claim(view, text) for text in suppose or ()),
    )
    chronology = Chronology(view, Conventions.without(no_convention or (), view.vocabulary))
    answer = fit(chronology, question)
    tell_changed(find_daybook(daybook), answer.claims)
    told = told_fit(answer, view)
    if as_json:
        print_json(told)
    else:
        from kg.cli.common import console

        show_fit(console(), told)


def supposed_claim(view: WorkingView, text: str) -> Draft:
    """The claim that ``--suppose "THING PROPERTY VALUE"`` stands for.

    :raises kg.daybook.notes.BadNote: if it does not say a claim that the vocabulary knows.
    """
    from kg.daybook.notes import supposed_draft

    return supposed_draft(text, view)


def show_fit(console: Console, told: dict[str, Any]) -> None:
    """Print an answer as a page for reading."""
    from rich.text import Text

    shape, colour = MARKS[told["verdict"]]
    put(console, Text.assemble((told["label"], "bold"), f', claimed "{told["phrase"]}"'))
    put(console, told["read_as"], 2, "dim")
    console.print()
    word = told["verdict"].upper() + (" (contested)" if told["contested"] else "")
    put(console, Text.assemble((f"{shape} {word}", f"bold {colour}"), f"  {told['headline']}"))
    if told["circa"]:
        put(console, told["circa"], 2)
    for sentence in told["contested"]:
        put(console, sentence, 2, "bold")
    if told["excluded_by"]:
        _heading(console, "These cannot all be true")
        for claim in told["excluded_by"]:
            _claim(console, claim)
        for convention in told["excluded_by_conventions"]:
            put(console, f"by the convention {convention}", 6, "dim")
    _side(console, "Not before", told["not_before"])
    _side(console, "Not after", told["not_after"])
    _deciding(console, told)
    for strain in told["strains"]:
        _heading(console, "Strained, not impossible: " + strain["sentence"])
        _steps(console, strain["because"])
    _list(console, "Each alternative by itself", [_alternative(a) for a in told["alternatives"]])
    _list(
        console,
        "Other datings on record, tested the same way",
        [f"{d['sentence']} ({d['citation']}): {d['verdict']}  [{d['claim']}]" for d in told["datings"]],
    )
    for aside in told["set_aside"]:
        _heading(console, "Set aside, because these cannot all be true")
        for claim in aside["conflict"]:
            is_aside = claim["claim"] == aside["claim"]
            _claim(
                console, claim, f"  ← set aside; if it is right: {aside['verdict_with']}" if is_aside else ""
            )
    _list(console, "Caution", told["cautions"])


def _side(console: Console, title: str, side: dict[str, Any]) -> None:
    if side["day"] is None:
        _heading(console, f"{title}: nothing on record")
        return
    _heading(console, f"{title} {side['text']}, because")
    _steps(console, side["because"])


def _steps(console: Console, steps: list[dict[str, Any]]) -> None:
    for step in steps:
        if step["claim"]:
            _claim(console, step)
        convention = f" (convention: {step['convention']})" if step["convention"] else ""
        bound = f" → {step['bounds']}: {step['day']}" if step["bounds"] and step["day"] else ""
        put(console, f"{step['rule']}{convention}{bound}", 6, "dim")


def _claim(console: Console, claim: dict[str, Any], mark: str = "") -> None:
    from rich.text import Text

    notes = [claim["standing"]] if claim["standing"] != "held" else []
    notes += ["confidential"] if claim["confidential"] else []
    behind = f" ({', '.join(notes)})" if notes else ""
    name = (f"  [{claim['claim']}]", "dim")
    put(
        console,
        Text.assemble("• ", claim["sentence"], f" — {claim['citation']}", name, behind, (mark, "bold")),
        4,
    )
    if claim.get("quotation"):
        put(console, f"“{claim['quotation']}”", 6, "italic")


def _deciding(console: Console, told: dict[str, Any]) -> None:
    if told["deciding"]:
        _heading(console, "One statement decides: if it is wrong, the verdict changes")
        for claim in told["deciding"]:
            _claim(console, claim, f"  → {claim['verdict_without']}")
            if claim["repeated_by"]:
                also = ", ".join(f"{c['citation']} [{c['claim']}]" for c in claim["repeated_by"])
                put(console, f"with all that say the same: {also}", 6)
    elif told["verdict"] == "cannot fit":
        either = "each reason alone is enough, or several would have to be wrong"
        _heading(console, f"No single statement decides: {either}")


def _alternative(told: dict[str, Any]) -> str:
    if told["claim"] is None:
        return f"{told['text']}: {told['verdict']}"
    return f"{told['what']} ({told['sentence']}  [{told['claim']}]): {told['text']} {told['verdict']}"


def _list(console: Console, title: str, lines: list[str]) -> None:
    if lines:
        _heading(console, title)
    for line in lines:
        put(console, f"• {line}", 4)


def _heading(console: Console, text: str) -> None:
    console.print()
    put(console, text, 2, "bold")
