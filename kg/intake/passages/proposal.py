"""A proposed claim with the words of the passage that it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from kg.daybook.record import Citation, Draft


@dataclass(frozen=True, slots=True)
class Words:
    """A stretch of the passage: where it begins and ends, and how it reads."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """A claim that a passage seems to make, with the words that it rests on."""

    subject: str
    property: str
    value: str
    written: str | None
    about_words: Words | None
    """None where the subject is carried over from the words before."""
    link_words: Words
    value_words: Words
    sentence: Words
    strength: str = "hard"
    notes: tuple[str, ...] = ()

    def draft(self, source: str, locator: str) -> Draft:
        """The claim as it would be recorded, with the sentence as its quotation."""
        quoted = " ".join(self.sentence.text.split())
        return Draft(
            self.subject,
            self.property,
            self.value,
            Citation(source, locator, quoted),
            self.written,
            self.strength,
        )


@dataclass(frozen=True, slots=True)
class NotTaken:
    """Words that look like a claim and give no proposal, and why."""

    words: Words
    why: str


@dataclass(frozen=True, slots=True)
class Passage:
    """What a passage holds: proposals, and what was seen and not taken."""

    text: str
    proposals: tuple[Proposal, ...]
    not_taken: tuple[NotTaken, ...]
