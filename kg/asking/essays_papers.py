"""What is taken from the essay bench: the text, the essay as print in a style of citation, the evidence sheet."""

from __future__ import annotations

from dataclasses import dataclass

from kg.asking.essays import Opened, bench_of
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice
from kg.essays.sheet import evidence_sheet
from kg.essays.sheet_print import sheet_pdf


@dataclass(frozen=True, slots=True)
class Paper:
    """A file to take away: its name, what kind of file it is, and its bytes."""

    name: str
    media_type: str
    content: bytes
    told: tuple[str, ...] = ()
    """What a reader should know before it is used."""


def text_paper(opened: Opened, text: str) -> Paper:
    """The text as it is written, its notes naming the claims: what `kilnmark essay save` takes back."""
    return Paper(f"{opened.essay}.md", "text/markdown", text.encode("utf-8"))


def sheet_paper(standpoint: Standpoint, piece: str) -> Paper:
    """The evidence sheet of a piece, made once.

    :raises kg.essays.sheet_print.CannotPrint: if what prints it is not installed.
    """

    def made() -> Paper:
        content = sheet_pdf(evidence_sheet(bench_of(standpoint), piece))
        return Paper(f"{piece}-evidence.pdf", "application/pdf", content)

    with standpoint.lock:
        return standpoint.kept(("essay sheet", piece), made)


def sheets_of(standpoint: Standpoint, opened: Opened) -> tuple[Choice, ...]:
    """The pieces of an essay of which there can be an evidence sheet."""
    bench = bench_of(standpoint)
    return tuple(
        one
        for one in opened.pieces
        if bench.is_kind(one.slug, "Artefact") and not bench.whole.things[one.slug].is_confidential
    )
