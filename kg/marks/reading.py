"""Reading a mark: every stretch of it in every way it can be read, and what the whole says of the date of making.

Nothing is dropped: what no table knows is read as a name, a number or a sign. A stretch that can be read in
several ways bounds the date only as far as all of them agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from kg.dates.window import Window
from kg.marks.bounds import STRENGTHS, DatedBound, Strength, day_in_words
from kg.marks.reading_dates import date_tokens, measure_tokens, price_tokens
from kg.marks.reading_diamond import diamond_tokens
from kg.marks.reading_numbers import labelled_tokens, number_tokens
from kg.marks.reading_turned import (
    in_order,
    names_of,
    placed,
    reversed_order,
    turned_numbers,
    with_questions,
    worth,
)
from kg.marks.reading_words import (
    caution_tokens,
    company_tokens,
    legal_tokens,
    material_tokens,
    name_tokens,
    place_tokens,
    street_tokens,
)
from kg.marks.rules import Caution
from kg.marks.tokens import Plain, Reading, Token, demoted
from kg.marks.transcription import Orientation, Transcription, parse_transcription

__all__ = ["MarkReading", "MarkWindow", "Reading", "Token", "bounds_of", "read_mark"]


@dataclass(frozen=True, slots=True)
class MarkWindow:
    """When a piece with this mark was made: its tightest window, how strong each side is, and what strains.

    ``hard`` is the window of the hard bounds alone; nothing outside it is possible if the mark belongs to the piece.
    """

    window: Window
    hard: Window
    earliest_strength: Strength | None
    latest_strength: Strength | None
    strains: tuple[str, ...] = ()


@dataclass(frozen=True)
class MarkReading:
    """A mark with all its tokens, each with all its readings."""

    mark: Transcription
    tokens: tuple[Token, ...]

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """Every reading of every token, in the order of the mark; ambiguous ones bound less strongly."""
        return tuple(reading for token in self.tokens for reading in demoted(token.readings))

    @cached_property
    def window(self) -> MarkWindow:
        """What all readings together allow for the making of the piece."""
        return _window(self.tokens)

    @cached_property
    def reasons(self) -> tuple[str, ...]:
        """What each reading says, one sentence for each bound and one for each reading that gives none."""
        found: dict[str, None] = {}
        for reading in self.readings:
            for sentence in [b.sentence for b in reading.bounds] or [reading.sentence]:
                found[f"{reading.text}: {sentence}"] = None
        return tuple(found)

    @cached_property
    def questions(self) -> tuple[str, ...]:
        """What must be looked at on the piece before one reading stands."""
        return tuple(dict.fromkeys(r.question for r in self.readings if r.question))

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """The cautions that the materials named on the mark call for."""
        return tuple(dict.fromkeys(caution for r in self.readings for caution in r.cautions))


def read_mark(mark: Transcription | str) -> MarkReading:
    """A mark read in every way.

    :raises kg.marks.transcription.TranscriptionNotUnderstood: if a text breaks the conventions.

    >>> whole = read_mark("D.R.G.M. 4556[.]0 / Germany / R. & S. GmbH / 139").window
    >>> str(whole.window), whole.earliest_strength, whole.latest_strength
    ('1911-01-01..1952-10-31/1911-01-01..1952-10-31', 'usual', 'usual')
    """
    if isinstance(mark, str):
        mark = parse_transcription(mark)
    whole, bare = Plain.of(mark, is_expanded=True), Plain.of(mark, is_expanded=False)
    tokens = _tokens(whole, bare)
    return MarkReading(mark, _merged(_facing(mark.orientation, whole, bare, tokens)))


def _tokens(whole: Plain, bare: Plain) -> list[Token]:
    """All that is read in a text, with and without what its reader supplied to abbreviations."""
    tokens = list(_certain(whole))
    if whole.text != bare.text:
        tokens += [t for t in (_moved(token, bare) for token in _certain(bare)) if _is_new(t, tokens)]
    tokens += list(name_tokens(whole, tokens))
    tokens += [_moved(token, filled, whole) for filled in whole.completions() for token in _completed(filled)]
    return tokens


def _facing(orientation: Orientation, whole: Plain, bare: Plain, tokens: list[Token]) -> list[Token]:
    """What is read in a mark the right way round; numbers and names both ways where that is open."""
    turned = turned_numbers(whole, orientation, tokens) if orientation != "as written" else []
    if orientation == "mirrored":
        order, bare_order = reversed_order(whole.text), reversed_order(bare.text)
        place = {at: new for new, at in enumerate(order)}
        other = in_order(whole, order, range(len(order)))
        others = _tokens(other, in_order(bare, bare_order, [place[bare.origin[at]] for at in bare_order]))
        if worth(others) > worth(tokens):
            return [placed(token, order) for token in others]
        if worth(others) < worth(tokens):
            return tokens
        turned += [placed(token, order) for token in names_of(others)]
    return with_questions(tokens, turned, orientation)


def bounds_of(mark: Transcription | str) -> tuple[Reading, ...]:
    """Every reading of a mark with the bounds that it gives, for the chronology.

    :raises kg.marks.transcription.TranscriptionNotUnderstood: if a text breaks the conventions.
    """
    return read_mark(mark).readings


def _certain(plain: Plain) -> Iterator[Token]:
    """All that rules and tables read in a text."""
    read: list[Token] = [
        *date_tokens(plain),
        *diamond_tokens(plain),
        *street_tokens(plain),
        *measure_tokens(plain),
    ]
    numbers = list(labelled_tokens(plain, read))
    read += numbers
    read += _apart(price_tokens(plain), read)
    wording = list(legal_tokens(plain))
    read += [t for t in wording if t.readings[0].kind != "address"]
    read += _apart((t for t in wording if t.readings[0].kind == "address"), numbers)
    read += material_tokens(plain)
    read += caution_tokens(plain, read)
    # What may be an address or may be a number is read as a number too.
    settled = [t for t in read if len(t.readings) == 1 or t.readings[0].kind != "address"]
    read += number_tokens(
        plain, [t for t in settled if any(c.isdigit() for c in plain.text[t.start : t.end])]
    )
    read += company_tokens(plain)
    read += place_tokens(plain)
    yield from read


def _apart(tokens: Iterable[Token], read: Iterable[Token]) -> list[Token]:
    """The tokens that share no place with what has been read."""
    spans = [(t.start, t.end) for t in read]
    return [t for t in tokens if not any(start < t.end and t.start < end for start, end in spans)]


def _completed(filled: Plain) -> Iterator[Token]:
    """What a completed word would say, with the way in which it is some other word; its bounds are weak."""
    for token in _certain(filled):
        if filled.is_filled(token.start, token.end):
            why = "only if the lost letters are these"
            said = filled.text[min(filled.filled) : max(filled.filled) + 1]
            yield replace(
                token,
                family="torn wording",
                readings=tuple(
                    replace(
                        reading,
                        bounds=tuple(b.at_most("weak", why) for b in reading.bounds),
                        sentence=f"{reading.sentence}; if the word is {said}",
                        alternatives=("another word",),
                    )
                    for reading in token.readings
                ),
            )


def _moved(token: Token, plain: Plain, shown_by: Plain | None = None) -> Token:
    """A token of a changed text, at its place in the whole text."""
    start, end = plain.place(token.start, token.end)
    places = [plain.place(r.start, max(r.end, r.start + 1)) for r in token.readings]
    moved = [replace(r, start=s, end=e) for r, (s, e) in zip(token.readings, places, strict=True)]
    if shown_by is not None:
        moved = [replace(r, text=shown_by.shown(r.start, r.end)) for r in moved]
    return replace(token, start=start, end=end, readings=tuple(moved))


def _is_new(token: Token, known: Iterable[Token]) -> bool:
    mine = {(r.kind, r.series, r.number) for r in token.readings}
    return not any(
        token.start < other.end
        and other.start < token.end
        and mine <= {(r.kind, r.series, r.number) for r in other.readings}
        for other in known
    )


def _merged(tokens: Iterable[Token]) -> tuple[Token, ...]:
    """Tokens in order; those of one stretch become one, with the readings of all."""
    by_span: dict[tuple[int, int, str], dict[tuple[object, ...], Reading]] = {}
    for token in tokens:
        kept = by_span.setdefault((token.start, token.end, token.family), {})
        for reading in token.readings:
            kept.setdefault(
                (reading.kind, reading.series, reading.number or reading.text, reading.sentence), reading
            )
    spans = sorted(by_span.items(), key=lambda item: item[0])
    return tuple(Token(first, last, tuple(found.values()), family) for (first, last, family), found in spans)


def _window(tokens: tuple[Token, ...]) -> MarkWindow:
    hard_first, hard_last = _side(tokens, "hard", is_first=True), _side(tokens, "hard", is_first=False)
    first, last = _side(tokens, "usual", is_first=True), _side(tokens, "usual", is_first=False)
    strains: list[str] = []
    if first is not None and last is not None and first > last:
        # What is usually not later gives way first, because dies and stock outlive the rule that they follow.
        sides = f"not before {day_in_words(first)} ({_strength(first, hard_first)})"
        strains.append(
            f"{sides}, yet not after {day_in_words(last)} ({_strength(last, hard_last)}): they strain"
        )
        last = hard_last if hard_last is not None and hard_last >= first else None
    return MarkWindow(
        Window.within(first, last),
        Window.within(hard_first, hard_last),
        _strength(first, hard_first),
        _strength(last, hard_last),
        tuple(strains),
    )


def _strength(day: int | None, hard: int | None) -> Strength | None:
    if day is None:
        return None
    return "hard" if day == hard else "usual"


def _side(tokens: tuple[Token, ...], strength: Strength, *, is_first: bool) -> int | None:
    """The tightest day on one side that bounds of at least this strength give, over all tokens."""
    days = [day for token in tokens if (day := _agreed(token, strength, is_first=is_first)) is not None]
    if not days:
        return None
    return max(days) if is_first else min(days)


def _agreed(token: Token, strength: Strength, *, is_first: bool) -> int | None:
    """What every reading of a token grants on one side; None if one of them does not bound it."""
    days = []
    for reading in token.readings:
        day = _own(reading.bounds, strength, is_first=is_first)
        if day is None or reading.alternatives:
            return None
        days.append(day)
    return (min(days) if is_first else max(days)) if days else None


def _own(bounds: tuple[DatedBound, ...], strength: Strength, *, is_first: bool) -> int | None:
    strong = STRENGTHS[: STRENGTHS.index(strength) + 1]
    if is_first:
        return max(
            (b.earliest for b in bounds if b.strength in strong and b.earliest is not None), default=None
        )
    return min((b.latest for b in bounds if b.strength in strong and b.latest is not None), default=None)
