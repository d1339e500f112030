"""The command ``essay audit``: what an essay says that its claims do not carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    FAULTS_FOUND,
    AsOfOption,
    DaybookOption,
    JsonOption,
    console,
    counted,
    open_daybook,
    past_day,
    print_json,
    progress_bar,
    put,
)
from kg.cli.essay import read_essay_file

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.daybook import Daybook
    from kg.essays.audit import Evidence, Finding

#: So much of a sentence is shown with its fault.
_SHOWN = 160


@dataclass(frozen=True, slots=True)
class Audited:
    """An essay, a file or a print edition, with its faults."""

    name: str
    title: str
    findings: tuple[Finding, ...]


def audit_essays_command(
    essays: Annotated[
        list[str] | None,
        typer.Argument(help="Files in Markdown, essays or print editions; without any, all of the daybook."),
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Hold every sentence against its claims: facts that none holds, wording too sure, what fell, what is secret."""
    from kg.essays.audit import Evidence

    book = open_daybook(daybook)
    view = book.view(past_day(as_of))
    evidence = Evidence(view, book.view())
    names = essays if essays else [*_all_names(evidence)]
    found: list[Audited] = []
    with progress_bar("Auditing", is_quiet=as_json) as tell:
        for number, name in enumerate(names, start=1):
            found += _audited(book, evidence, name)
            tell(name, number, len(names))
    if as_json:
        print_json({"faults": sum(len(one.findings) for one in found), "essays": [*map(told, found)]})
    else:
        _show(console(), found)
    if any(one.findings for one in found):
        raise typer.Exit(FAULTS_FOUND)


def _all_names(evidence: Evidence) -> Iterator[str]:
    from kg.essays.editions import editions
    from kg.essays.stored import essays

    yield from essays(evidence.whole)
    yield from (edition.slug for edition in editions(evidence.whole))


def _audited(book: Daybook, evidence: Evidence, name: str) -> Iterator[Audited]:
    """The essays of a file, or the one of that name; a file stands before an essay of its name."""
    from kg.essays.editions import editions

    if Path(name).is_file():
        yield from _of_file(evidence, Path(name))
        return
    edition = next((e for e in editions(evidence.whole) if e.slug == name), None)
    yield _of_edition(book, evidence, name) if edition is not None else _of_essay(evidence, name)


def _of_file(evidence: Evidence, file: Path) -> Iterator[Audited]:
    from kg.essays.audit import audit, unread
    from kg.essays.syntax import EssayNotUnderstood, read_catalogue

    text = read_essay_file(file)
    try:
        every = read_catalogue(text)
    except EssayNotUnderstood as error:
        yield Audited(str(file), "", (unread(text, error),))
        return
    for essay in every:
        yield Audited(str(file), essay.title, audit(evidence, essay))


def _of_essay(evidence: Evidence, name: str) -> Audited:
    from kg.essays.audit import audit_text
    from kg.essays.stored import is_about, latest, title_of

    version = latest(evidence.whole, name)
    day = version.recorded.date() if version.recorded else None
    about = is_about(evidence.whole, name)
    return Audited(
        name, title_of(version.text) or "", audit_text(evidence, version.text, about=about, day=day)
    )


def _of_edition(book: Daybook, evidence: Evidence, name: str) -> Audited:
    from kg.essays.audit import Evidence, audit_edition
    from kg.essays.editions import editions

    edition = next(e for e in editions(evidence.whole) if e.slug == name)
    then = Evidence(book.view(date.fromisoformat(edition.day))) if edition.day else evidence
    return Audited(name, edition.label, audit_edition(evidence, then, edition))


def told(one: Audited) -> dict[str, Any]:
    """An essay with its faults as plain tables."""
    return {
        "essay": one.name,
        "title": one.title,
        "findings": [
            {
                "kind": finding.kind.name.lower().replace("_", "-"),
                "line": finding.place.line,
                "column": finding.place.column,
                "words": finding.words,
                "message": finding.message,
                "remedy": finding.remedy,
                "claims": list(finding.claims),
            }
            for finding in one.findings
        ],
    }


def _show(page: Console, found: list[Audited]) -> None:
    for one in found:
        if one.findings:
            title = f" ({one.title})" if one.title else ""
            put(page, f"{one.name}{title}: {counted(len(one.findings), 'fault')}", style="bold")
            for finding in one.findings:
                _show_finding(page, finding)
            page.print()
    put(page, _summary(found))


def _show_finding(page: Console, finding: Finding) -> None:
    words = finding.words if len(finding.words) <= _SHOWN else f"{finding.words[:_SHOWN].rstrip()}…"
    put(page, f"{finding.place}  {finding.kind.value}", 2)
    if words and f"“{words}”" not in finding.message:
        put(page, f"“{words}”", 6)
    put(page, finding.message, 6)
    put(page, finding.remedy, 6, style="dim")


def _summary(found: list[Audited]) -> str:
    """How many essays are without fault, and how many faults of each kind the others have."""
    if not found:
        return "There is no essay yet. `kilnmark essay save` records one, or name a file."
    clean = sum(not one.findings for one in found)
    kinds: dict[str, int] = {}
    for one in found:
        for finding in one.findings:
            kinds[finding.kind.value] = kinds.get(finding.kind.value, 0) + 1
    if not kinds:
        return f"{counted(len(found), 'text')} audited; no fault found."
    each = "; ".join(
        f"{number} × {kind}" for kind, number in sorted(kinds.items(), key=lambda k: (-k[1], k[0]))
    )
    return f"{counted(len(found), 'text')} audited, {clean} without fault. {each}."
