"""From proposals that were accepted to a note, which is checked and recorded as any other."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kg.daybook.daybook import Note
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.intake.passages.proposal import Passage, Proposal
from kg.intake.passages.propose import read_passage

#: Characters of a passage; a longer text is taken in by parts.
LONGEST_PASSAGE = 100_000
_RANGE = re.compile(r"(\d+)(?:\s*[-–]\s*(\d+))?")


class BadPassage(KilnmarkError):
    """A passage, its source or the choice of proposals cannot be used."""


def passage_from(text: str, view: WorkingView) -> Passage:
    """The proposals of a passage as it was typed or copied.

    :raises BadPassage: if it is empty, too long, or no text.
    """
    if not text.strip():
        raise BadPassage("The passage is empty. Paste the sentences as they are printed.")
    if len(text) > LONGEST_PASSAGE:
        raise BadPassage(
            f"The passage has {len(text):,} characters; at most {LONGEST_PASSAGE:,} are read at once. "
            "Give it by parts, each with its own page."
        )
    if "\x00" in text:
        raise BadPassage("The passage holds bytes that are no text. Save it as UTF-8 text and try again.")
    return read_passage(text, view)


def source_of(name: str, view: WorkingView) -> str:
    """The source that a passage is copied from, by its slug or display name.

    :raises BadPassage: if it is no source.
    :raises kg.daybook.view.NotInDaybook: if there is no such thing.
    """
    thing = view.thing(name)
    if not any(view.vocabulary.is_a(thing.kinds, kind) for kind in ("Source", "ObjectExamined")):
        kinds = ", ".join(
            view.vocabulary.kinds[kind].label for kind in thing.kinds if kind in view.vocabulary.kinds
        )
        raise BadPassage(
            f"{thing.slug} is no source but {kinds or 'something undescribed'}. Name the book, article or letter."
        )
    return thing.slug


def chosen(passage: Passage, choice: str) -> tuple[Proposal, ...]:
    """The proposals that a choice names: "all", "none", or numbers such as "1, 3-5".

    :raises BadPassage: if it names what is not there.
    """
    told = choice.strip().casefold()
    if told in {"all", "none", ""}:
        return passage.proposals if told == "all" else ()
    numbers: list[int] = []
    for part in re.split(r"[,;\s]+(?![-–])", re.sub(r"\s*[-–]\s*", "-", told)):
        found = _RANGE.fullmatch(part)
        if not found:
            raise BadPassage(f"{part!r} found; expected all, none, or numbers such as 1, 3-5.")
        first, last = int(found[1]), int(found[2] or found[1])
        if not 1 <= first <= last <= len(passage.proposals):
            raise BadPassage(f"{part!r} found; the proposals are numbered 1 to {len(passage.proposals)}.")
        numbers += range(first, last + 1)
    return tuple(passage.proposals[number - 1] for number in dict.fromkeys(numbers))


def note_of(
    proposals: Sequence[Proposal], source: str, locator: str, researcher: str, remark: str = ""
) -> Note:
    """The note that accepted proposals make: each claim cites the source, the place and the sentence.

    :raises BadPassage: if no place in the source is given.
    """
    if not locator.strip():
        raise BadPassage(
            "No place in the source is given. Name the page, folio or plate, as in --at 'p. 12'."
        )
    drafts = tuple(proposal.draft(source, locator.strip()) for proposal in proposals)
    return Note(researcher, remark or f"from a passage, {locator.strip()}", drafts=drafts)


def is_on_record(proposal: Proposal, view: WorkingView, source: str) -> bool:
    """Whether the source is on record with this very claim."""
    return any(
        claim.property == proposal.property
        and claim.value == proposal.value
        and claim.citation.source == source
        for claim in view.by_subject.get(proposal.subject, ())
    )
