"""The turn from one century to another: "turn of the 20th century", "Wende 19./20. Jh."."""

from __future__ import annotations

from kg.dates.cursor import Cursor


def turn_year(cursor: Cursor) -> int:
    """The year in which the century begins that is turned to.

    :raises DateNotUnderstood: if one century is named of which it is not plain which end is meant.
    """
    at, onward = cursor.here(), False
    numbers: list[int] = []
    while (token := cursor.peek()) is not None and len(numbers) < 3:
        if token.kind in {"number", "ordinal"} and token.number <= 21:
            numbers.append(token.number)
        elif token.text == "zum" and not numbers:
            onward = True
        elif not (token.has("filler") or token.has("to") or token.has("and") or cursor.is_sign("./-")):
            break
        cursor.index += 1
        if cursor.has("century"):
            cursor.index += 1
            if len(numbers) == 2 or not _another_century(cursor):
                break
    two = len(numbers) == 2 and numbers[1] == numbers[0] + 1
    one = len(numbers) == 1 and (onward or numbers[0] >= 20)
    if not (two or one) or not cursor.has("century", -1):
        raise cursor.refuse("the two centuries, as in 'turn of the 18th to the 19th century'", at)
    return 100 * (numbers[-1] - 1)


def _another_century(cursor: Cursor) -> bool:
    ahead = 0
    while cursor.has("filler", ahead) or cursor.has("to", ahead) or cursor.has("and", ahead):
        ahead += 1
    number = cursor.peek(ahead)
    length = 2 if cursor.is_sign(".", ahead + 1) else 1
    return bool(ahead) and number is not None and cursor.has("century", ahead + length)
