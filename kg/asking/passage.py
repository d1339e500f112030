"""A passage pasted from a source: what it seems to claim, each with its words, and the note of what is accepted."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from kg.asking.parts import Part, named
from kg.asking.standpoint import Standpoint
from kg.daybook.daybook import Note
from kg.daybook.view import WorkingView
from kg.intake.passages.proposal import Passage, Proposal
from kg.intake.passages.taking import BadPassage, is_on_record, note_of, passage_from, source_of

__all__ = ["BadPassage", "Proposed", "ReadPassage", "passage_note", "read_passage"]


@dataclass(frozen=True, slots=True)
class Proposed:
    """A claim that a passage seems to make."""

    said: tuple[Part, ...]
    rests_on: str
    """The words that it rests on."""
    strength: str | None
    """How strongly it would speak, where that is not "hard"."""
    notes: tuple[str, ...]
    is_on_record: bool
    """Whether the source is on record with it already."""


@dataclass(frozen=True, slots=True)
class ReadPassage:
    """What a passage holds: proposals in the order of its words, and what was seen and not taken."""

    proposals: tuple[Proposed, ...]
    not_taken: tuple[tuple[str, str], ...]
    """The words, and why."""


def read_passage(standpoint: Standpoint, text: str, source: str | None) -> ReadPassage:
    """What a passage seems to claim; nothing is written.

    :raises BadPassage: if it is empty, too long, or no text.
    """
    view, passage = standpoint.view, _passage(standpoint, text)
    return ReadPassage(
        tuple(_proposed(view, proposal, source) for proposal in passage.proposals),
        tuple((one.words.text, one.why) for one in passage.not_taken),
    )


def passage_note(
    standpoint: Standpoint, text: str, numbers: Collection[int], source: str, locator: str, researcher: str
) -> Note:
    """The note of the accepted proposals, by their places in `read_passage`.

    :raises BadPassage: if none is accepted, or the source or the place in it is not given.
    """
    if not numbers:
        raise BadPassage("No proposal is ticked. Tick those that the passage really says.")
    if not source:
        raise BadPassage("No source is chosen. Choose the book, article or letter that it is copied from.")
    if not locator.strip():
        raise BadPassage("No place in the source is given. Give the page, folio or plate, such as p. 12.")
    passage = _passage(standpoint, text)
    chosen = [one for number, one in enumerate(passage.proposals) if number in numbers]
    return note_of(chosen, source_of(source, standpoint.view), locator, researcher)


def _passage(standpoint: Standpoint, text: str) -> Passage:
    return standpoint.kept(("passage", text), lambda: passage_from(text, standpoint.view))


def _proposed(view: WorkingView, proposal: Proposal, source: str | None) -> Proposed:
    prop = view.vocabulary.properties[proposal.property]
    value = named(view, proposal.value) if prop.is_link else Part(proposal.written or proposal.value)
    words = (proposal.about_words, proposal.link_words, proposal.value_words)
    stretches = sorted({(one.start, one.text) for one in words if one is not None})
    return Proposed(
        (named(view, proposal.subject), Part(f" {prop.label} "), value),
        " … ".join(f"“{text}”" for _, text in stretches),
        None if proposal.strength == "hard" else proposal.strength,
        tuple(proposal.notes),
        bool(source) and is_on_record(proposal, view, source or ""),
    )
