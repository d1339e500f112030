"""The command ``read-date``: what a catalogue's date says, and how it was read."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from typing import Annotated, Any

import typer

from kg.dates.conventions import DEFAULT, Convention, ConventionUnknown, convention
from kg.dates.errors import DateNotUnderstood
from kg.dates.making import Making
from kg.dates.phrases import Language, Reading, Stage, read_phrase
from kg.dates.window import Window, iso


class Tongue(StrEnum):
    """The languages that catalogue dates are read in."""

    EN = "en"
    FR = "fr"
    DE = "de"


def read_date_command(
    phrase: Annotated[
        str, typer.Argument(help="The date as printed, or '-' for one a line on standard input.")
    ] = "-",
    convention_name: Annotated[
        str, typer.Option("--convention", help="The convention that the source follows.")
    ] = DEFAULT,
    circa: Annotated[int | None, typer.Option("--circa", min=0, help="Half-width of circa in years.")] = None,
    lang: Annotated[Tongue | None, typer.Option("--lang", help="The language of the source.")] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object instead of a page for reading.")
    ] = False,
) -> None:
    """Read a date as a catalogue prints it: "c. 1878", "um 1890", "fin du XIXe siècle"."""
    try:
        means = convention(convention_name)
    except ConventionUnknown as error:
        typer.echo(f"{error.args[0]}", err=True)
        raise typer.Exit(2) from None
    if circa is not None:
        means = means.with_circa(circa)
    language: Language | None = lang.value if lang else None
    if phrase == "-":
        for line in sys.stdin:
            typer.echo(json.dumps(answer(line.rstrip("\r\n"), means, language), ensure_ascii=False))
        return
    _one(phrase, means, language, as_json)


def _one(phrase: str, means: Convention, language: Language | None, as_json: bool) -> None:
    if as_json:
        found = answer(phrase, means, language)
        typer.echo(json.dumps(found, ensure_ascii=False))
        raise typer.Exit(1 if found["status"] == "refused" else 0)
    try:
        _show(read_phrase(phrase, means, language))
    except DateNotUnderstood as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from None


def answer(phrase: str, means: Convention, language: Language | None = None) -> dict[str, Any]:
    """A reading, or the refusal of one, as plain values for JSON."""
    try:
        reading = read_phrase(phrase, means, language)
    except DateNotUnderstood as error:
        return {
            "text": phrase,
            "status": "refused",
            "edtf": None,
            **dict.fromkeys(("earliest", "latest", "core_earliest", "core_latest", "qualifier")),
            "stages": [],
            "making": None,
            "why": f"At character {error.at + 1}: expected {error.wanted}.",
        }
    return {
        "text": phrase,
        "status": reading.status,
        "edtf": reading.edtf,
        "earliest": _day(reading.window, True),
        "latest": _day(reading.window, False),
        "core_earliest": _day(reading.core, True),
        "core_latest": _day(reading.core, False),
        "qualifier": reading.qualifier,
        "stages": [_stage(stage) for stage in reading.stages],
        "making": _making(reading.making),
        "why": reading.why,
    }


def _making(making: Making | None) -> dict[str, Any] | None:
    if making is None:
        return None
    return {
        "edtf": making.edtf,
        "earliest": _day(making.window, True),
        "latest": _day(making.window, False),
        "core_earliest": _day(making.core, True),
        "core_latest": _day(making.core, False),
    }


def _stage(stage: Stage) -> dict[str, Any]:
    return {
        "stage": stage.word,
        "kind": stage.kind,
        "edtf": stage.edtf,
        "earliest": _day(stage.window, True),
        "latest": _day(stage.window, False),
        "core_earliest": _day(stage.core, True),
        "core_latest": _day(stage.core, False),
        "qualifier": stage.qualifier,
    }


def _day(window: Window | None, first: bool) -> str | None:
    if window is None:
        return None
    day = window.first if first else window.last
    return None if day is None else iso(day)


def _show(reading: Reading) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(show_header=False, box=None, pad_edge=False)
    for label, value in _lines(reading):
        table.add_row(Text(label, style="bold"), Text(value))
    Console().print(table)


def _lines(reading: Reading) -> list[tuple[str, str]]:
    if reading.status == "no-date":
        return [("As printed", reading.text), ("Date", "none"), ("How read", reading.why)]
    lines = [
        ("As printed", reading.text),
        ("EDTF", reading.edtf or ""),
        ("As it stands", _words(reading.core)),
        ("With allowance", _words(reading.window)),
    ]
    if reading.qualifier:
        lines.append(("Qualified", reading.qualifier))
    if len(reading.alternatives) > 1:
        lines.append(("One of", ", or ".join(_words(window) for window in reading.alternatives)))
    lines += [(f"Stage: {s.word}", _words(s.window) if s.window else "no date given") for s in reading.stages]
    if reading.stages:
        made = _words(reading.making.window) if reading.making else "not said"
        lines.append(("Making", made))
    return [*lines, ("How read", reading.why)]


def _words(window: Window | None) -> str:
    if window is None:
        return "none"
    begin = iso(window.first) if window.first is not None else "open" if window.begin_open else "not known"
    end = iso(window.last) if window.last is not None else "open" if window.end_open else "not known"
    return f"{begin} to {end}"
