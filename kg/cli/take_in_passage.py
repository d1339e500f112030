"""The route of ``take-in`` for passages: what a passage copied from a source seems to claim, accepted or not."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from rich.text import Text

from kg.cli.add import Added, show_added
from kg.cli.common import (
    FAULTS_FOUND,
    BadOption,
    console,
    counted,
    echo,
    open_daybook,
    print_json,
    put,
    shown,
    signer,
)

if TYPE_CHECKING:
    from kg.daybook.daybook import Daybook
    from kg.daybook.view import WorkingView
    from kg.intake.passages.proposal import Passage, Proposal

#: Characters of a stretch of a passage that are printed.
LONGEST_SHOWN = 70

HOW = (
    "Nothing is recorded yet. Give --accept all, or the numbers to accept, such as --accept 1,3-5, "
    "with --source and --at."
)


def take_in_passage(
    file: str,
    *,
    source: str | None,
    locator: str | None,
    accept: str | None,
    dry_run: bool,
    researcher: str | None,
    daybook: Path | None,
    as_json: bool,
) -> None:
    """Show the claims that a passage proposes; record those that are accepted, as one entry."""
    from kg.intake.passages import taking

    book = open_daybook(daybook)
    view = book.view()
    named = taking.source_of(source, view) if source else None
    passage = taking.passage_from(_text(file), view)
    if not as_json:
        show_passage(passage, view, named)
    if accept is None and not as_json and not dry_run and named and _is_asked(file) and passage.proposals:
        accept = typer.prompt("Record which? all, none, or numbers such as 1, 3-5", default="none")
    picked = taking.chosen(passage, accept or "none")
    if not picked:
        if as_json:
            print_json({"recorded": False, **told_passage(passage, view, named)})
        elif passage.proposals:
            echo("Nothing was recorded." if accept else HOW)
        return
    if named is None:
        raise BadOption("No source is named. Say where the passage stands: --source SOURCE --at 'p. 12'.")
    note = taking.note_of(picked, named, locator or "", signer(researcher) or "")
    _record(book, view, note, dry_run=dry_run, as_json=as_json)


def _record(book: Daybook, view: WorkingView, note: Any, *, dry_run: bool, as_json: bool) -> None:
    from kg.checks.check import EntryChecker
    from kg.daybook import notes

    fresh, known = notes.only_new(note, view)
    if fresh is None:
        if as_json:
            print_json({"recorded": False, "already": known, "claims": [], "findings": []})
        else:
            echo(f"Nothing new: all of it is on record already ({counted(len(known), 'claim')}).")
        return
    entry = book.compose(fresh)
    checker = EntryChecker(view)
    report = checker.check(entry)
    if not dry_run and not report.structural:
        book.record(entry)
    show_added(Added(entry, report, checker.change(entry).after, view, tuple(known), dry_run), as_json)
    if report.structural:
        raise typer.Exit(FAULTS_FOUND)


def _text(file: str) -> str:
    from kg.intake.plain_text import NoUtf8, utf8_text

    raw = sys.stdin.buffer.read() if file == "-" else _bytes(Path(file))
    try:
        return utf8_text(raw, "The passage" if file == "-" else file)
    except NoUtf8 as error:
        raise BadOption(f"{error} Save it as UTF-8.") from error


def _bytes(path: Path) -> bytes:
    from kg.intake.passages.taking import LONGEST_PASSAGE

    if not path.is_file():
        raise BadOption(f"{path} is no file. Name a text file, or - to type the passage.")
    if path.stat().st_size > 4 * LONGEST_PASSAGE:
        raise BadOption(
            f"{path} is too long for a passage: at most {LONGEST_PASSAGE:,} characters. Give it by parts."
        )
    return path.read_bytes()


def _is_asked(file: str) -> bool:
    return file != "-" and sys.stdin.isatty() and sys.stdout.isatty()


def show_passage(passage: Passage, view: WorkingView, source: str | None) -> None:
    """Print the proposals of a passage, each with the words that it rests on."""
    from kg.intake.passages.taking import is_on_record

    page = console()
    if not passage.proposals:
        put(page, "No claim was found in this passage by names that the daybook knows.")
    for number, proposal in enumerate(passage.proposals, 1):
        put(page, Text(f"{number:>2}  {sentence_of(proposal, view)}", style="bold"))
        put(page, f"rests on {_rests(proposal)}", 4)
        for note in proposal.notes:
            put(page, note, 4)
        if source and is_on_record(proposal, view, source):
            put(page, "on record already from this source", 4)
    if passage.not_taken:
        put(page, "")
        put(page, "Seen and not taken:")
        for passed in passage.not_taken:
            put(page, f"“{_short(shown(passed.words.text))}”: {passed.why}", 4)
    put(page, "")


def _short(text: str) -> str:
    """A stretch of a passage on one line, its begin only where it is long."""
    words = " ".join(text.split())
    return words if len(words) <= LONGEST_SHOWN else f"{words[:LONGEST_SHOWN].rstrip()} …"


def sentence_of(proposal: Proposal, view: WorkingView) -> str:
    """A proposal as a short sentence: subject, property, value."""
    prop = view.vocabulary.properties[proposal.property]
    value = view.label(proposal.value) if prop.is_link else proposal.written or proposal.value
    return f"{view.label(proposal.subject)} {prop.label} {value}"


def _rests(proposal: Proposal) -> str:
    words = [proposal.about_words, proposal.link_words, proposal.value_words]
    stretches = sorted({(w.start, w.text) for w in words if w is not None})
    return " … ".join(f"“{text}”" for _, text in stretches)


def told_passage(passage: Passage, view: WorkingView, source: str | None) -> dict[str, Any]:
    """A passage's proposals as plain values for JSON."""
    from kg.intake.passages.taking import is_on_record

    def stretch(words: Any) -> dict[str, Any] | None:
        return {"start": words.start, "end": words.end, "text": words.text} if words else None

    return {
        "proposals": [
            {
                "number": number,
                "subject": proposal.subject,
                "property": proposal.property,
                "value": proposal.value,
                "written": proposal.written,
                "says": sentence_of(proposal, view),
                "rests_on": {
                    "subject": stretch(proposal.about_words),
                    "link": stretch(proposal.link_words),
                    "value": stretch(proposal.value_words),
                },
                "sentence": stretch(proposal.sentence),
                "strength": proposal.strength,
                "notes": list(proposal.notes),
                "on_record": bool(source and is_on_record(proposal, view, source)),
            }
            for number, proposal in enumerate(passage.proposals, 1)
        ],
        "not_taken": [{**(stretch(n.words) or {}), "why": n.why} for n in passage.not_taken],
    }
