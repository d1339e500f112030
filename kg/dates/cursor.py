"""A place among the tokens of a phrase, and one date of it as it is printed."""

from __future__ import annotations

from dataclasses import dataclass

from kg.dates.errors import DateNotUnderstood
from kg.dates.tokens import Token

#: What an operand may be a date in. The first four still want something from their neighbour.
PENDING = {"none", "short", "ordinal", "yearless"}


@dataclass(slots=True)
class Operand:
    """A date as printed, possibly lacking what its neighbour gives."""

    at: int
    kind: str = "none"  # none, short, ordinal, yearless, day, month, year, decade, century, season, period
    number: int = 0  # the year, the first year of the decade, the ordinal of the century, the season's code
    month: int = 0
    day: int = 0
    era: str = ""
    about: bool = False
    perhaps: bool = False
    bound: str = ""  # before, after, until, onward, since
    part: str = ""  # early, mid, late, later, earlier
    nth: str = ""  # "1", "2", … or "last", of `unit`
    unit: int = 0  # 2 halves, 3 thirds, 4 quarters, 10 decades of a century
    period: str = ""
    marked: bool = False  # a trailing "?" stood here
    digits: int = 0  # how many figures a short year was printed with
    style: str = ""  # how a decade was written: "s", "er" or "annees"
    to_year: int = 0  # winter 1878/79
    either_way: bool = False  # 3/12/1877, of which no language says what is the day
    width: int | None = None  # 5 in "1880 ± 5"


class Cursor:
    """A place among the tokens of a phrase."""

    __slots__ = ("index", "language", "notes", "text", "tokens")

    def __init__(self, text: str, tokens: list[Token], language: str | None) -> None:
        self.text = text
        self.tokens = tokens
        self.index = 0
        self.language = language
        self.notes: list[str] = []

    def peek(self, ahead: int = 0) -> Token | None:
        """The token some places ahead, or None past the end."""
        place = self.index + ahead
        return self.tokens[place] if 0 <= place < len(self.tokens) else None

    def is_sign(self, signs: str, ahead: int = 0) -> bool:
        """Whether a sign from a list stands some places ahead."""
        token = self.peek(ahead)
        return token is not None and token.kind == "sign" and token.text in signs

    def has(self, role: str, ahead: int = 0) -> bool:
        """Whether the word some places ahead has a role."""
        token = self.peek(ahead)
        return token is not None and token.roles is not None and role in token.roles

    def here(self) -> int:
        """The place in the text of the token to be read next."""
        token = self.peek()
        return token.start if token else len(self.text.rstrip())

    def refuse(self, wanted: str, at: int | None = None) -> DateNotUnderstood:
        """The error that points at the token to be read next."""
        return DateNotUnderstood(self.text, self.here() if at is None else at, wanted)

    def speaks(self, *languages: str) -> bool:
        """Whether the phrase is in one of some languages: as stated, or as its words show."""
        if self.language is not None:
            return self.language in languages
        return any(token.language in languages for token in self.tokens)


#: What stands where a date was looked for and not found.
WANTED = "a year, decade, century, month, season or named period"
