"""What can be wrong with a mark as it was typed, each with the place and what would have been accepted there."""

from __future__ import annotations

import unicodedata

from kg.errors import KilnmarkError


class TranscriptionNotUnderstood(KilnmarkError, ValueError):
    """A mark was written in a form that the conventions do not allow.

    >>> print(TranscriptionNotUnderstood("17[3", 2, "']' to close this bracket"))
    Mark not understood: expected ']' to close this bracket.
        17[3
          ^
    """

    def __init__(self, text: str, at: int, wanted: str) -> None:
        super().__init__(text, at, wanted)
        #: The text as given.
        self.text = text
        #: The place in the text, counted from 0, where reading stopped.
        self.at = at
        #: What would have been accepted there.
        self.wanted = wanted

    def __str__(self) -> str:
        start = max(0, min(self.at - 36, len(self.text) - 72))
        excerpt = "".join(
            c if c.isprintable() or unicodedata.combining(c) else " " for c in self.text[start : start + 72]
        )
        before = sum(1 for c in excerpt[: self.at - start] if not unicodedata.combining(c))
        return f"Mark not understood: expected {self.wanted}.\n    {excerpt}\n    {' ' * before}^"


class NothingTyped(TranscriptionNotUnderstood):
    """A mark was asked about, but there was no text."""

    def __init__(self, text: str) -> None:
        super().__init__(text, len(text), "the characters of the mark")

    def __str__(self) -> str:
        return f'Nothing was typed: expected {self.wanted}, such as "D.R.G.M. 4556[.]0 / Germany".'
