"""Numbers on a mark: digits that are clear, uncertain or lost, and the range of numbers that they allow."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kg.marks.glyphs import Gap, Glyph
from kg.marks.registers import Register
from kg.marks.tokens import DIGIT, LOST, STRETCH, Plain, Reading

#: A run of digits and lost characters; it is a number only if some digit of it can be seen.
RUN = re.compile(rf"{DIGIT}+")
#: Further groups of three digits, each behind a comma, dot, apostrophe or space.
GROUP = re.compile(rf"([.,' ])({DIGIT}{{3}})(?!{DIGIT})")


@dataclass(frozen=True, slots=True)
class Digits:
    """A number as far as it can be read: ``.`` in ``pattern`` for a digit that is lost, uncertain or restored.

    ``highest`` is None where nobody can say how many digits are lost. ``restored`` is the number that the reader
    of the mark supplies, where every doubtful digit is restored.
    """

    pattern: str
    lowest: int
    highest: int | None
    start: int
    end: int
    restored: int | None = None
    #: The lowest number if what is lost at either end was no digit; None if nothing is lost there.
    sure: int | None = None
    #: Whether a space parts the groups, so that two numbers may stand side by side.
    is_parted: bool = False

    @property
    def count(self) -> int:
        """The number of digits, as far as it is known."""
        return len(self.pattern)


def digits_at(plain: Plain, start: int) -> tuple[Digits, ...]:
    """The numbers that can be read from a place on: whole, and without groups that only a space joins.

    >>> from kg.marks.transcription import parse_transcription
    >>> found = digits_at(Plain.of(parse_transcription("1,14[.],592"), is_expanded=True), 0)
    >>> [(number.lowest, number.highest) for number in found]
    [(1140592, 1149592)]
    """
    run = RUN.match(plain.text, start)
    if run is None:
        return ()
    ends = [run.end()]
    spaced = [False]
    if len(run[0]) <= 3 and STRETCH not in run[0]:
        while group := GROUP.match(plain.text, ends[-1]):
            if group[1] == " ":
                ends.append(group.end())
                spaced.append(True)
            else:
                ends[-1] = group.end()
    found = (_digits(plain, start, end, parted) for end, parted in zip(ends, spaced, strict=True))
    return tuple(number for number in found if number is not None)


def _digits(plain: Plain, start: int, end: int, is_parted: bool) -> Digits | None:
    signs, low, high, restored = "", "", "", ""
    is_open = False
    for at in range(start, end):
        char, element = plain.text[at], plain.elements[at]
        if isinstance(element, Gap):
            # The lowest number lacks no more digits than must be lost; the highest has as many as may be.
            is_open = is_open or element.most is None
            low += "0" * element.least
            high += "9" * (element.most if element.most is not None else element.least)
            signs += "." * max(1, element.least)
            restored = "x"
        elif char == LOST or (char.isdigit() and isinstance(element, Glyph) and element.state != "clear"):
            low, high, signs = low + "0", high + "9", signs + "."
            restored += char if isinstance(element, Glyph) and element.state == "restored" else "x"
        elif char.isdigit():
            low, high, signs, restored = low + char, high + char, signs + char, restored + char
    if not any(c.isdigit() for c in plain.text[start:end]):
        return None
    if low.startswith("0") and signs.startswith("."):
        low = "1" + low[1:] if low[1:] or signs == "." else low
    number = int(restored) if restored.isdigit() and "." in signs else None
    highest = None if is_open else int(high or "0")
    return Digits(signs, int(low or "0"), highest, start, end, number, _sure(plain, start, end), is_parted)


def _sure(plain: Plain, start: int, end: int) -> int | None:
    """The lowest number without the lost characters at its ends, which need not be digits."""
    kept = plain.text[start:end].strip(f"{LOST}{STRETCH}")
    if len(kept) == end - start:
        return None
    begin = start + plain.text[start:end].find(kept)
    inner = _digits(plain, begin, begin + len(kept), False) if kept else None
    return inner.lowest if inner else 1


def register_reading(
    plain: Plain, register: Register, digits: Digits, start: int, is_certain_word: bool
) -> Reading:
    """A number read as one of a register, with its bounds; a restored digit gives a usual bound beside the hard one."""
    answer = register.look_up(digits.lowest, digits.highest)
    bounds = answer.bounds
    if digits.sure is not None:
        sure = register.look_up(min(digits.sure, digits.lowest), digits.highest).bounds
        bounds = sure + tuple(b.at_most("usual", "if every lost character is a digit") for b in bounds)
    if digits.restored is not None:
        supplied = register.look_up(digits.restored).bounds
        bounds += tuple(b.at_most("usual", "by the digits that the reader restored") for b in supplied)
    if not is_certain_word:
        bounds = tuple(b.at_most("usual", "the words before it are not all clear") for b in bounds)
    limits = answer.limits
    sentence = f"{register.name}, no. {shown(digits)}: given out {answer.when} ({register.year_means})"
    return Reading(
        register.kind,
        plain.shown(start, digits.end),
        shown(digits),
        tuple(dict.fromkeys(bounds)),
        "; ".join([sentence, *limits]),
        register.id,
        digits.lowest,
        digits.highest,
        answer.window if answer.rows else None,
        limits,
        None,
        (),
        (),
        start,
        digits.end,
    )


def shown(digits: Digits) -> str:
    """The digits as one writes them, lost and doubtful ones as ``[.]``."""
    return re.sub(r"\.+", lambda dots: f"[{dots[0]}]", digits.pattern)
