"""The commands of ``essay``: drafts, and essays kept in the daybook."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    JsonOption,
    counted,
    echo,
    open_daybook,
    open_view,
    past_day,
    print_json,
    progress_bar,
    signer,
)

if TYPE_CHECKING:
    from kg.daybook.view import WorkingView
    from kg.essays.draft_text import Draft
    from kg.essays.editions import Edition
    from kg.essays.house import HouseStyle

essay_app = typer.Typer(
    name="essay",
    help="Draft catalogue essays from the claims, keep them in the daybook, and freeze what goes to print.",
    no_args_is_help=True,
    add_completion=False,
)

ResearcherOption = Annotated[
    str | None,
    typer.Option(
        "--researcher", help="Who signs; else $KILNMARK_RESEARCHER, else the user of this computer."
    ),
]


@essay_app.callback()
def essay() -> None:
    """Draft catalogue essays from the claims, keep them in the daybook, and freeze what goes to print."""


@essay_app.command("draft")
def draft_command(
    pieces: Annotated[list[str] | None, typer.Argument(help="Pieces: ids, or names in quotes.")] = None,
    sale: Annotated[
        str | None, typer.Option("--sale", help="A sale or catalogue: draft every piece of it.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", help="Write to this new file instead of printing.")
    ] = None,
    language: Annotated[
        str, typer.Option("--language", help="The language of the draft; English so far.")
    ] = "en",
    house: Annotated[
        str | None, typer.Option("--house", help="The house's table of hedges: certainty-first or saleroom.")
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Draft essays in Markdown, every sentence with the claims that it rests on as notes."""
    from kg.essays.compose import draft_sale, pieces_of
    from kg.essays.plan import Bench

    if bool(pieces) == (sale is not None):
        raise BadOption("Name pieces, or a sale with --sale; one of the two.")
    if as_json and out is not None:
        raise BadOption("--json prints; --out writes Markdown. Leave one of the two out.")
    if out is not None:
        _must_be_new(out)
    style = _style(language, house)
    view = open_view(daybook, as_of)
    bench = Bench(view, style)
    slugs = pieces_of(bench.view, sale) if sale else [view.thing(name).slug for name in pieces or ()]
    drafts: list[Draft] = []
    with progress_bar("Drafting", is_quiet=as_json) as tell:
        for draft in draft_sale(bench, slugs):
            drafts.append(draft)
            tell(draft.title, len(drafts), len(slugs))
    if as_json:
        print_json([told_draft(draft) for draft in drafts])
    else:
        _put_drafts(drafts, out)


def _put_drafts(drafts: list[Draft], out: Path | None) -> None:
    """Print drafts, or write them to a new file and say so."""
    text = "\n".join(draft.markdown for draft in drafts)
    if out is None:
        echo(text.rstrip("\n"))
        return
    _write_new(out, text)
    sentences = sum(len(draft.sentences) for draft in drafts)
    echo(f"{counted(len(drafts), 'draft')}, {counted(sentences, 'sentence')}, written to {out}.")


def _style(language: str, house: str | None) -> HouseStyle:
    from kg.essays.house import HouseStyle

    return HouseStyle(house, language) if house else HouseStyle(language=language)


def _must_be_new(out: Path) -> None:
    if out.exists():
        raise BadOption(f"--out {str(out)!r} is there already; name a new file. Nothing was written.")


def _write_new(out: Path, text: str) -> None:
    """Write a file whole, or not at all; a file that is there by now is never replaced."""
    with tempfile.TemporaryDirectory(dir=out.parent, prefix=".draft-") as beside:
        part = Path(beside) / out.name
        part.write_text(text, encoding="utf-8")
        try:
            os.link(part, out)
        except FileExistsError:
            _must_be_new(out)


def told_draft(draft: Draft) -> dict[str, Any]:
    """A draft as plain tables."""
    return {
        "piece": draft.piece,
        "title": draft.title,
        "markdown": draft.markdown,
        "sections": [
            {
                "title": section.title,
                "paragraphs": [
                    [
                        {
                            "text": sentence.text,
                            "claims": [claim.id for claim in sentence.claims],
                            "own": sentence.is_own or not sentence.claims,
                            "computed": list(sentence.computed),
                        }
                        for sentence in paragraph
                    ]
                    for paragraph in section.paragraphs
                ],
            }
            for section in draft.sections
        ],
    }


@essay_app.command("save")
def save_command(
    file: Annotated[Path, typer.Argument(help="The essay in Markdown.", exists=True, dir_okay=False)],
    about: Annotated[str, typer.Option("--about", help="The piece that it is about.")],
    name: Annotated[str | None, typer.Option("--name", help="Its name; else made from the piece's.")] = None,
    researcher: ResearcherOption = None,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Save a text as the next version of the essay on a piece; earlier versions stay on record."""
    from kg.essays.stored import essay_slug, save_essay, versions

    book = open_daybook(daybook)
    piece = book.view().thing(about).slug
    slug = name or essay_slug(piece)
    entry = save_essay(book, slug, read_essay_file(file), _signed(researcher), about=[piece])
    number = len(versions(book.view(), slug))
    if as_json:
        print_json({"essay": slug, "version": number, "entry": entry.name})
    else:
        echo(f"Saved {slug}, version {number} (entry {entry.name}).")


#: Bytes of a file that is offered as an essay.
LARGEST_FILE = 4 * 2**20


def read_essay_file(file: Path) -> str:
    """The text of a file that is offered as an essay.

    :raises BadOption: if it is too large, or no text in UTF-8.
    """
    if file.stat().st_size > LARGEST_FILE:
        raise BadOption(f"{file} is too large for an essay; expected at most {LARGEST_FILE // 2**20} MB.")
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadOption(
            f"{file} is no text in UTF-8: {error.reason} at byte {error.start}. Save it as UTF-8."
        ) from error


def _signed(researcher: str | None) -> str:
    named = signer(researcher)
    if named is None:
        raise BadOption("Nobody signs. Give --researcher, or set $KILNMARK_RESEARCHER.")
    return named


@essay_app.command("list")
def list_essays_command(
    daybook: DaybookOption = None, as_of: AsOfOption = None, as_json: JsonOption = False
) -> None:
    """List the essays of the daybook, with their versions and print editions."""
    view = open_view(daybook, as_of)
    told = told_essays(view)
    if as_json:
        print_json(told)
        return
    for row in told:
        echo(f"{row['essay']}  {row['title']}")
        echo(f"    {counted(row['versions'], 'version')}, the last by {row['researcher']} on {row['saved']}")
        for edition in row["editions"]:
            lost = len(edition["lost"])
            of = counted(edition["sentences"], "sentence")
            state = (
                f"{lost} of its {of} lost their footing" if lost else f"all of its {of} keep their footing"
            )
            echo(f"    {edition['edition']}: {state}")
            for sentence in edition["lost"]:
                echo(f"        “{sentence}”")
    echo(
        f"{counted(len(told), 'essay')}." if told else "No essay is saved yet; `kilnmark essay save` does it."
    )


def told_essays(view: WorkingView) -> list[dict[str, Any]]:
    """The essays of a daybook as plain tables."""
    from kg.essays.editions import editions
    from kg.essays.stored import essays, is_about, title_of, versions
    from kg.sources_weighed.dependence import Weighed

    weighed, printed = Weighed(view), editions(view)
    told = []
    for slug in essays(view):
        every = versions(view, slug)
        last = every[-1]
        told.append(
            {
                "essay": slug,
                "title": title_of(last.text) or view.label(slug),
                "about": list(is_about(view, slug)),
                "versions": len(every),
                "researcher": last.researcher,
                "saved": last.recorded.date().isoformat() if last.recorded else None,
                "editions": [_told_edition(weighed, e) for e in printed if e.essay == slug],
            }
        )
    return told


def _told_edition(weighed: Any, edition: Edition) -> dict[str, Any]:
    from kg.essays.editions import stale

    return {
        "edition": edition.slug,
        "day": edition.day,
        "sentences": len(edition.sentences),
        "lost": [sentence.text for sentence in stale(weighed, edition)],
    }


@essay_app.command("show")
def show_command(
    essay: Annotated[str, typer.Argument(help="An essay or a print edition, by its id.")],
    version: Annotated[int | None, typer.Option("--version", min=1, help="An earlier version.")] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print the text of an essay or of a print edition."""
    view = open_view(daybook, as_of)
    slug, number, text = _text(view, essay, version)
    if as_json:
        print_json({"essay": slug, "version": number, "text": text})
    else:
        echo(text.rstrip("\n"))


def _text(view: WorkingView, essay: str, version: int | None) -> tuple[str, int | None, str]:
    from kg.essays.editions import editions
    from kg.essays.stored import latest, versions

    edition = next((e for e in editions(view) if e.slug == essay), None)
    if edition is not None:
        return edition.slug, None, edition.text
    last = latest(view, essay)
    every = versions(view, essay)
    if version is not None and version > len(every):
        raise BadOption(f"--version {version} found; {essay} has {counted(len(every), 'version')}.")
    chosen = every[version - 1] if version is not None else last
    return essay, chosen.number, chosen.text


@essay_app.command("freeze")
def freeze_command(
    essay: Annotated[str, typer.Argument(help="The essay that goes to print.")],
    day: Annotated[
        str | None, typer.Option("--day", help="The day of print, YYYY-MM-DD; else today.")
    ] = None,
    title: Annotated[str | None, typer.Option("--title", help="What the edition is called.")] = None,
    researcher: ResearcherOption = None,
    daybook: DaybookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Record the print edition of an essay: its sentences, and the claims that each rests on that day."""
    from kg.essays.editions import editions, freeze

    book = open_daybook(daybook)
    freeze(book, essay, _signed(researcher), day=_print_day(day), title=title)
    edition = editions(book.view(), essay)[-1]
    if as_json:
        print_json({"edition": edition.slug, "day": edition.day, "sentences": len(edition.sentences)})
    else:
        echo(f"Frozen: {edition.slug}, {counted(len(edition.sentences), 'sentence')} with their evidence.")
        echo("`kilnmark loose-ends --kind printed` tells which of them lose their footing.")


def _print_day(text: str | None) -> Any:
    if text is not None and not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise BadOption(f"--day {text!r} found; expected a day such as 2026-06-15.")
    return past_day(text)
