"""One date of a phrase with what qualifies it: "early", "before", "c.", "second half of the", "or later".

What it leaves out ("late 19th" in "late 19th to early 20th century") is filled in afterwards, by
``kg.dates.terms``.
"""

from __future__ import annotations

from kg.dates.bases import read_base, read_era
from kg.dates.cursor import WANTED, Cursor, Operand
from kg.dates.tokens import Token

_PREFIXES = ("before", "after", "until", "onward", "since")


def read_operand(cursor: Cursor, previous: Operand | None = None) -> Operand:
    """The date at the cursor, which moves past it.

    :raises DateNotUnderstood: if there is none.
    """
    operand = Operand(cursor.here())
    _prefix(cursor, operand)
    if not read_base(cursor, operand, previous) and not operand.part and not operand.unit:
        raise cursor.refuse(WANTED)
    _suffix(cursor, operand)
    return operand


def _prefix(cursor: Cursor, operand: Operand) -> None:
    """All that may stand before the date itself, in any order."""
    while (token := cursor.peek()) is not None:
        if token.kind == "sign" and token.text in "?~":
            operand.perhaps |= token.text == "?"
            operand.about |= token.text == "~"
        elif token.kind == "sign" and token.text in ':"' and cursor.has("filler", -1):
            pass
        elif token.roles is None or not _prefix_word(cursor, operand, token):
            if not _ordinal_part(cursor, operand) and not _letter_part(cursor, operand):
                return
            _comma_before_century(cursor)
            continue
        cursor.index += 1


def _prefix_word(cursor: Cursor, operand: Operand, token: Token) -> bool:
    if token.has("filler") or (token.has("periodnoun") and _names_a_period(cursor)):
        return True
    if token.has("circa"):
        operand.about = True
        operand.bound = operand.bound or next((b for b in _PREFIXES if token.has(b)), "")
    elif token.has("perhaps"):
        operand.perhaps = True
    elif token.has("part") and not operand.part:
        operand.part = (token.roles or {})["part"]
        return _after_part(cursor)
    else:
        bound = next((b for b in _PREFIXES if token.has(b)), "")
        joins_parts = (operand.part or operand.unit) and token.has("to")
        if not bound or operand.bound or joins_parts:
            return False
        operand.bound = bound
        if token.has("soon"):
            side = "end" if bound == "after" else "begin"
            cursor.notes.append(f"'{cursor.text[token.start : token.end]}' gives no {side}, so none is set")
    return True


def _names_a_period(cursor: Cursor) -> bool:
    """Whether "époque", "reign of" or the like stands before the name of a period."""
    ahead = 1
    while cursor.has("filler", ahead):
        ahead += 1
    return cursor.has("period", ahead)


def _after_part(cursor: Cursor) -> bool:
    """Step over the hyphen of "mid-1870s" and "mid- to late", but not over that of "early-mid"."""
    following = cursor.peek(2)
    if (
        cursor.is_sign("-", 1)
        and following is not None
        and not following.has("part")
        and not following.has("ordinal")
    ) or (cursor.is_sign("-", 1) and following is not None and _is_spelled_century(cursor)):
        cursor.index += 1
    return True


def _is_spelled_century(cursor: Cursor) -> bool:
    """Whether "nineteenth century" follows the hyphen of "mid-nineteenth century"."""
    return cursor.has("ordinal", 2) and cursor.has("century", 3)


def _ordinal_part(cursor: Cursor, operand: Operand) -> bool:
    """Read "second half", "2. Hälfte", "dernier quart", and leave the cursor past it."""
    token = cursor.peek()
    if token is None or operand.unit:
        return False
    nth = (token.roles or {}).get("ordinal", "")
    if token.kind == "ordinal" or (token.kind == "number" and token.number <= 10):
        nth = str(token.number)
    if not nth:
        return False
    ahead = 2 if cursor.is_sign(".", 1) or cursor.is_sign("-", 1) else 1
    unit = _unit(cursor, ahead)
    if not unit:
        return False
    if nth != "last" and not 1 <= int(nth) <= unit:
        raise cursor.refuse(f"a number from 1 to {unit}, for there are {unit} of these")
    operand.nth, operand.unit = nth, unit
    cursor.index += ahead + 1
    if cursor.is_sign("-."):
        cursor.index += 1
    return True


#: "E. 19. Jh.": letters that are read so only right before a century with its number.
_PART_LETTERS = {"a": "early", "m": "mid", "e": "late"}


def _letter_part(cursor: Cursor, operand: Operand) -> bool:
    """Read the A., M. or E. for Anfang, Mitte or Ende of a German century."""
    token = cursor.peek()
    if (
        token is None
        or token.text not in _PART_LETTERS
        or operand.part
        or cursor.text[token.end : token.end + 1] != "."
    ):
        return False
    ahead = 2 if cursor.is_sign(".", 1) else 1  # the full stop of a known word is left out of the tokens
    number = cursor.peek(ahead)
    if number is None or number.kind != "number" or not cursor.is_sign(".", ahead + 1):
        return False
    if not cursor.has("century", ahead + 2):
        return False
    operand.part = _PART_LETTERS[token.text]
    cursor.index += ahead
    return True


def _comma_before_century(cursor: Cursor) -> None:
    """Step over the comma of "third quarter, 19th century"."""
    if not cursor.is_sign(","):
        return
    ahead = 3 if cursor.is_sign(".", 2) else 2
    number = cursor.peek(1)
    if number is not None and (number.kind in {"number", "ordinal"} and cursor.has("century", ahead)):
        cursor.index += 1


#: "1. H. 19. Jh.": letters that are read so only between an ordinal and a century.
_LETTERS = {"h": 2, "d": 3, "v": 4}


def _unit(cursor: Cursor, ahead: int) -> int:
    token = cursor.peek(ahead)
    if token is None:
        return 0
    if token.has("unit"):
        return int((token.roles or {})["unit"])
    if token.text == "third":
        return 3
    if token.text in _LETTERS and (cursor.has("century", ahead + 2) or cursor.has("century", ahead + 3)):
        return _LETTERS[token.text]
    if token.text in _LETTERS and cursor.has("century", ahead + 4):
        return _LETTERS[token.text]
    return 0


def _suffix(cursor: Cursor, operand: Operand) -> None:
    """All that may follow a date: "?", "(?)", "or later", "ca."."""
    while (token := cursor.peek()) is not None:
        if token.kind == "sign" and token.text == "?":
            operand.perhaps = operand.marked = True
            cursor.index += 1
        elif _set_apart(cursor, operand) or _width(cursor, operand):
            continue
        elif token.has("orlater") and not operand.bound:
            operand.bound = "onward"
            cursor.index += 1
        elif token.has("orearlier") and not operand.bound:
            operand.bound = "until"
            cursor.index += 1
        elif token.has("circa") and _ends_after(cursor):
            operand.about = operand.marked = True
            cursor.index += 1
        elif token.has("perhaps") and _ends_after(cursor):
            operand.perhaps = operand.marked = True
            cursor.index += 1
        elif token.has("era") and not operand.era and operand.kind in {"year", "century", "decade"}:
            read_era(cursor, operand)
        else:
            return


def _ends_after(cursor: Cursor) -> bool:
    """Whether the next token is the last of its clause, as "ca." is in "1878 ca."."""
    following = cursor.peek(1)
    return following is None or (following.kind == "sign" and following.text in ",;)].")


def _set_apart(cursor: Cursor, operand: Operand) -> bool:
    """Read what follows a date in brackets or after a comma and belongs to it."""
    if cursor.is_sign("([") and _in_brackets(cursor, operand):
        return True
    if cursor.is_sign(",") and (cursor.has("orlater", 1) or cursor.has("orearlier", 1)):
        cursor.index += 1
        return True
    if cursor.is_sign(",") and _after_a_comma(cursor, operand):
        return True
    return operand.kind in {"century", "decade", "ordinal"} and _trailing_part(cursor, operand)


_YEARS = {"years", "year", "yrs", "yr", "y", "ans", "jahre", "jahren", "j"}


def _width(cursor: Cursor, operand: Operand) -> bool:
    """Read "± 5", "+/- 5 years" or "(+/-5)" after a date."""
    opened = int(cursor.is_sign("(["))
    ahead = opened
    if cursor.is_sign("±", ahead):
        ahead += 1
    elif cursor.is_sign("+", ahead):
        ahead += 2 if cursor.is_sign("/", ahead + 1) else 1
        if not cursor.is_sign("-", ahead):
            return False
        ahead += 1
    else:
        return False
    number, unit = cursor.peek(ahead), cursor.peek(ahead + 1)
    if number is None or number.kind != "number" or len(number.text) > 3 or operand.width is not None:
        return False
    ahead += 2 if unit is not None and unit.text in _YEARS else 1
    if opened and not cursor.is_sign(")]", ahead):
        return False
    operand.width = number.number
    cursor.index += ahead + opened
    return True


def _in_brackets(cursor: Cursor, operand: Operand) -> bool:
    """Read "(?)", "(circa)" or "(probably)" after a date."""
    token = cursor.peek(1)
    if token is None or not cursor.is_sign(")]", 2):
        return False
    if token.text == "?" or token.has("perhaps"):
        operand.perhaps = operand.marked = True
    elif token.has("circa"):
        operand.about = operand.marked = True
    elif not token.has("filler"):
        return False
    cursor.index += 3
    return True


def _after_a_comma(cursor: Cursor, operand: Operand) -> bool:
    """Read ", probably" or ", ca." at the end of a clause."""
    token, following = cursor.peek(1), cursor.peek(2)
    if token is None or not (token.has("perhaps") or token.has("circa")) or not _is_end(following):
        return False
    operand.marked = True
    operand.perhaps |= token.has("perhaps")
    operand.about |= token.has("circa")
    cursor.index += 2
    return True


def _is_end(token: Token | None) -> bool:
    return token is None or (token.kind == "sign" and token.text in ",;)]")


def _trailing_part(cursor: Cursor, operand: Operand) -> bool:
    """Read the part that follows its century: "19th century (late)", "19. Jh., 2. Hälfte"."""
    if operand.part or operand.unit:
        return False
    start, opened = cursor.index, cursor.is_sign("([")
    cursor.index += opened or cursor.is_sign(",")
    token = cursor.peek()
    if token is not None and token.has("part"):
        part = (token.roles or {})["part"]
        cursor.index += 1
    elif token is not None and _ordinal_part(cursor, operand):
        part = ""
    else:
        cursor.index = start
        return False
    ends = cursor.is_sign(")]") if opened else _is_end(cursor.peek())
    if not ends:
        cursor.index, operand.nth, operand.unit = start, "", 0
        return False
    operand.part = part
    cursor.index += opened
    return True
