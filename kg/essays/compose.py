"""Drafts of catalogue essays: one piece, or a whole sale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kg.daybook.view import WorkingView
from kg.essays.draft_beside import caution_section, comparable_section, open_section
from kg.essays.draft_date import date_paragraphs
from kg.essays.draft_history import provenance_section, shown_section
from kg.essays.draft_maker import maker_paragraphs
from kg.essays.draft_marks import mark_section
from kg.essays.draft_piece import materials_and_costume, the_piece
from kg.essays.draft_text import Draft, Section, section
from kg.essays.draft_voice import Voice
from kg.essays.plan import Bench, NothingToDraft


def compose(bench: Bench, piece: str) -> Draft:
    """A draft with its structure: sections, paragraphs, sentences, and the claims of each.

    :raises NothingToDraft: if the thing is no piece or part, or is confidential itself.
    :raises kg.daybook.view.NotInDaybook: if there is no such thing.
    """
    thing = bench.whole.thing(piece)
    if not bench.is_kind(thing.slug, "Artefact"):
        kinds = ", ".join(thing.kinds) or "of no known class"
        raise NothingToDraft(
            f"{thing.label} ({kinds}) is no piece. Name a piece; `kilnmark list --kind Piece` shows them."
        )
    if thing.is_confidential:
        raise NothingToDraft(f"{thing.slug} is confidential and must not be printed. Release it first.")
    voice = Voice(bench, thing.slug)
    return Draft(thing.slug, thing.label, tuple(_sections(bench, voice)))


def _sections(bench: Bench, voice: Voice) -> Iterator[Section]:
    made = section("Maker and date", [*maker_paragraphs(bench, voice), *date_paragraphs(bench, voice)])
    every = (
        the_piece(bench, voice),
        made,
        mark_section(bench, voice),
        materials_and_costume(bench, voice),
        provenance_section(bench, voice),
        shown_section(bench, voice),
        comparable_section(bench, voice),
        open_section(bench, voice),
        caution_section(bench, voice),
    )
    yield from (one for one in every if one.paragraphs)


def draft(desk: Bench | WorkingView, piece: str) -> str:
    """A cited draft of an essay on a piece, in Markdown.

    :raises NothingToDraft: if the thing is no piece or part, or is confidential itself.
    """
    bench = desk if isinstance(desk, Bench) else Bench(desk)
    return compose(bench, piece).markdown


def pieces_of(view: WorkingView, sale: str) -> tuple[str, ...]:
    """The pieces offered at a sale, or illustrated in a catalogue, in the order of their lots.

    :raises NothingToDraft: if no piece is recorded there.
    """
    thing = view.thing(sale)
    claims = [
        claim
        for claim in view.by_value.get(thing.slug, ())
        if claim.property in ("offeredAt", "illustratedIn")
        and view.vocabulary.is_a(view.kinds(claim.subject), "Artefact")
        and not view.is_confidential(claim)
    ]
    ordered = sorted(claims, key=lambda claim: (_numbers(claim.citation.locator), claim.subject))
    found = tuple(dict.fromkeys(claim.subject for claim in ordered))
    if not found:
        raise NothingToDraft(
            f"No piece is recorded as offered at or illustrated in {thing.label}. Name a sale or catalogue, "
            "or record the pieces with `kilnmark add`."
        )
    return found


def _numbers(locator: str) -> tuple[int, ...]:
    """The numbers in a locator, so that lot 9 stands before lot 14."""
    return tuple(int(part) for part in "".join(c if c.isdecimal() else " " for c in locator).split())


def draft_sale(desk: Bench | WorkingView, sale: str | Sequence[str]) -> Iterator[Draft]:
    """Drafts of all pieces of a sale or catalogue, or of those listed; what is common is worked out once.

    :raises NothingToDraft: if no piece is recorded there.
    """
    bench = desk if isinstance(desk, Bench) else Bench(desk)
    pieces = pieces_of(bench.view, sale) if isinstance(sale, str) else sale
    return (compose(bench, piece) for piece in pieces)
