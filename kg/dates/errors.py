"""What goes wrong when a date is read."""

from kg.errors import KilnmarkError


class DateNotUnderstood(KilnmarkError, ValueError):
    """A date was written in a form that this package does not read.

    >>> print(DateNotUnderstood("19o5", 2, "a digit"))
    Date not understood: expected a digit.
        19o5
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
        line, at = _excerpt(self.text, self.at)
        return f"Date not understood: expected {self.wanted}.\n    {line}\n    {' ' * at}^"


def _excerpt(text: str, at: int, width: int = 72) -> tuple[str, int]:
    """One printable line of the text around a place, and where the place stands in it."""
    start = max(0, min(at - width // 2, len(text) - width))
    piece = text[start : start + width]
    return "".join(c if c.isprintable() else " " for c in piece), at - start
