"""The command ``read-mark``: what a mark says, the dates that follow, and the recorded marks nearest to it."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    REFUSED,
    AsOfOption,
    DaybookNotFound,
    DaybookOption,
    JsonOption,
    console,
    find_daybook,
    open_view,
    print_json,
    put,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.view import WorkingView
    from kg.marks.transcription import Transcription


def read_mark_command(
    mark: Annotated[
        str,
        typer.Argument(
            help="The mark as transcribed; or - to read one a line and answer each with a line of JSON."
        ),
    ] = "-",
    count: Annotated[
        int, typer.Option("--count", min=0, help="How many recorded marks to compare with.")
    ] = 5,
    faint: Annotated[
        bool, typer.Option("--faint", help="Also name recorded marks that are likelier another mark.")
    ] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Read a mark: "incised, back of head: D.R.G.M. 4556[.]0 / Germany / 139"."""
    from kg.marks.reading_telling import told_refusal
    from kg.marks.transcription import TranscriptionNotUnderstood

    compare = _Comparing(_view(daybook, as_of) if count else None, count, faint)
    if mark == "-":
        refused = 0
        for line in sys.stdin:
            text = line.rstrip("\r\n")
            try:
                told = answer(text, compare)
            except TranscriptionNotUnderstood as error:
                told = told_refusal(text, error)
                refused += 1
            typer.echo(json.dumps({**told, "as_of": as_of}, ensure_ascii=False))
        if refused:
            raise typer.Exit(REFUSED)
        return
    if not as_json:
        show_mark(console(), answer(mark, compare))
        return
    try:
        print_json({**answer(mark, compare), "as_of": as_of})
    except TranscriptionNotUnderstood as error:
        print_json({**told_refusal(mark, error), "as_of": as_of})
        raise typer.Exit(REFUSED) from None


def answer(text: str, compare: _Comparing) -> dict[str, Any]:
    """A mark read and compared, as plain values.

    :raises kg.marks.transcription.TranscriptionNotUnderstood: if the text breaks the conventions.
    """
    from kg.marks.reading import read_mark
    from kg.marks.reading_telling import told_mark

    read = read_mark(text)
    matches, note = compare.nearest(read.mark)
    return told_mark(read, matches, note)


class _Comparing:
    """The recorded marks of a daybook, indexed at the first question."""

    def __init__(self, view: WorkingView | None, count: int, with_faint: bool) -> None:
        self.view, self.count, self.with_faint = view, count, with_faint
        self.index: Any = None

    def nearest(self, mark: Transcription) -> tuple[list[dict[str, Any]], str]:
        """The nearest recorded marks as plain values, or why there are none."""
        if self.count == 0:
            return [], ""
        if self.view is None:
            return [], "No daybook is open, so no recorded mark was compared; name one with --daybook."
        from kg.marks.matching import NothingToMatch, daybook_index

        if self.index is None:
            self.index = daybook_index(self.view)
        try:
            found, why = self.index.offered(mark, self.count, with_faint=self.with_faint)
        except NothingToMatch as error:
            return [], str(error)
        hint = "" if self.with_faint else "; --faint names those that come nearest"
        return [self._told(match) for match in found], f"{why}{hint}." if why else ""

    def _told(self, match: Any) -> dict[str, Any]:
        assert self.view is not None, "a match comes from a view"
        return {
            "id": match.id,
            "label": self.view.label(match.id),
            "recorded": match.recorded,
            "facing": match.facing,
            "score_bits": match.score_bits,
            "decibans": match.decibans,
            "parts": list(match.told),
        }


def _view(daybook: Path | None, as_of: str | None) -> WorkingView | None:
    """The view to compare with; None if no daybook was named and none is around."""
    if daybook is None:
        try:
            find_daybook(None)
        except DaybookNotFound:
            return None
    return open_view(daybook, as_of)


def show_mark(out: Console, told: dict[str, Any]) -> None:
    """Print a reading as a page."""
    from rich.text import Text

    head = [told[k] for k in ("technique", "colour", "place") if told[k]]
    head += [told["orientation"]] if told["orientation"] != "as written" else []
    put(out, Text.assemble((told["visible"], "bold"), f"  ({', '.join(head)})" if head else ""))
    for token in told["tokens"]:
        readings = [told["readings"][at] for at in token["readings"]]
        _heading(out, token["text"] + (f": {len(readings)} ways to read it" if len(readings) > 1 else ""))
        for reading in readings:
            _show_reading(out, reading)
    made, hard = _span(told["window"]), _span(told["window"]["hard"], with_strength=False)
    _heading(out, f"Made {made}" if made else "The mark bounds no date")
    if hard:
        put(out, f"Beyond doubt, if the mark belongs to the piece: {hard}", 2, "dim")
    for title, key in (
        ("Strained", "strains"),
        ("To look at on the piece", "questions"),
        ("Mind", "cautions"),
    ):
        if told[key]:
            _heading(out, title)
            _bullets(out, told[key])
    _heading(out, "Nearest marks on record")
    for match in told["matches"]:
        facing = "" if match["facing"] == "as written" else f", {match['facing']}"
        score = f"{match['decibans']:+.1f} decibans for the same mark, worn"
        recorded = f"recorded as {match['recorded']}{facing}"
        _bullets(out, [f"{match['label']} [{match['id']}]: {score}; {recorded}"])
        put(out, "; ".join(match["parts"]), 6, "dim")
    if told["note_on_matches"] or not told["matches"]:
        _bullets(out, [told["note_on_matches"] or "not asked for"])


def _show_reading(out: Console, reading: dict[str, Any]) -> None:
    series = f", {reading['series']}" if reading["series"] else ""
    put(out, f"{reading['kind']}{series}: {reading['sentence']}", 2)
    shown = _tightest(reading["bounds"])
    for bound, following in zip(shown, [*shown, None][1:], strict=True):
        shape = {"hard": "●", "usual": "◐", "weak": "○"}[bound["strength"]]
        put(out, f"{shape} {bound['sentence']}", 4)
        if following is None or following["source"] != bound["source"]:
            put(out, bound["source"], 6, "dim")


def _tightest(bounds: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Of the bounds of one strength on one side only the tightest, in their order; JSON holds all."""
    kept: dict[tuple[str, bool], dict[str, Any]] = {}
    for bound in bounds:
        key = (bound["strength"], bound["earliest"] is not None)
        best = kept.get(key)
        if best is None or _is_tighter(bound, best):
            kept[key] = bound
    return [bound for bound in bounds if any(bound is one for one in kept.values())]


def _is_tighter(bound: dict[str, Any], other: dict[str, Any]) -> bool:
    if bound["earliest"] is not None:
        return bool(bound["earliest"] > other["earliest"])
    return bool((bound["latest"] or "9999") < (other["latest"] or "9999"))


def _span(window: dict[str, Any], *, with_strength: bool = True) -> str:
    sides = []
    for side, words in (("earliest", "not before"), ("latest", "not after")):
        if window[side]:
            strength = f" ({window[side + '_strength']})" if with_strength else ""
            sides.append(f"{words} {_day_in_words(window[side])}{strength}")
    return ", ".join(sides)


def _day_in_words(day: str) -> str:
    """A day as one reads it: "1 March 1891"; the first and last day of a year as that year."""
    from kg.dates.window import day_of
    from kg.marks.bounds import day_in_words

    year, month, of_month = (int(part) for part in day.rsplit("-", 2))
    return day_in_words(day_of(year, month, of_month))


def _heading(out: Console, text: str) -> None:
    out.print()
    put(out, text, 0, "bold")


def _bullets(out: Console, lines: list[str]) -> None:
    for line in lines:
        put(out, f"• {line}", 2)
