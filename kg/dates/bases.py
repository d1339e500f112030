"""The date itself, without what qualifies it: a year, decade, century, day, month, season or period."""

from __future__ import annotations

from collections.abc import Callable

from kg.dates.conventions import parts
from kg.dates.cursor import Cursor, Operand
from kg.dates.tokens import Token
from kg.dates.turns import turn_year
from kg.dates.window import month_length


def read_base(cursor: Cursor, operand: Operand, previous: Operand | None) -> bool:
    """Read the date itself, if one stands at the cursor; False if none stands at the cursor."""
    token = cursor.peek()
    if token is None:
        return False
    operand.at = operand.at if operand.at >= 0 else token.start
    reader = _READERS.get(token.kind)
    if reader is not None:
        return reader(cursor, operand, token, previous)
    return False


def _number(cursor: Cursor, operand: Operand, token: Token, previous: Operand | None) -> bool:
    if _numeric_date(cursor, operand):
        return True
    if len(token.text) <= 2:
        return _small_number(cursor, operand, token, previous)
    if len(token.text) > 4:
        raise cursor.refuse("a year of at most four digits")
    operand.kind, operand.number = "year", token.number
    cursor.index += 1
    read_era(cursor, operand)
    if len(token.text) == 3 and not operand.era:
        _check_not_cut_short(cursor, token)
    return _month_after_year(cursor, operand) if len(token.text) == 4 else True


def _check_not_cut_short(cursor: Cursor, token: Token) -> None:
    """ "187-" and "187?" are years with a figure left out, in some catalogues; in others they are not."""
    sign, following = cursor.peek(), cursor.peek(1)
    if sign is not None and sign.start == token.end and sign.text in {"?", "-"}:
        ends = following is None or (following.kind == "sign" and following.text in ",;)].?-")
        if ends:
            raise cursor.refuse("all four digits of the year, or a decade written 1870s or 187X", token.start)


def _month_after_year(cursor: Cursor, operand: Operand) -> bool:
    """Read the rest of "1885 June 5" or "1885, 5 June", unless the month belongs to another year."""
    ahead = 1 if cursor.is_sign(",") else 0
    if cursor.has("month", ahead):
        month, day, length = cursor.peek(ahead), cursor.peek(ahead + 1), ahead + 2
        if not _may_be_a_day(day):
            day, length = None, ahead + 1
    elif cursor.has("month", ahead + 1) and _may_be_a_day(cursor.peek(ahead)):
        month, day, length = cursor.peek(ahead + 1), cursor.peek(ahead), ahead + 2
    else:
        return True
    following = cursor.peek(length + cursor.is_sign(",.", length))
    has_own_year = following is not None and following.kind == "number" and len(following.text) == 4
    if month is None or operand.era or has_own_year:
        return True
    operand.kind, operand.month = "month", int((month.roles or {})["month"])
    if day is not None:
        operand.kind, operand.day = "day", day.number
        _check_day(cursor, operand)
    cursor.index += length
    return True


def _may_be_a_day(token: Token | None) -> bool:
    return token is not None and token.kind in {"number", "ordinal"} and 1 <= token.number <= 31


def _small_number(cursor: Cursor, operand: Operand, token: Token, previous: Operand | None) -> bool:
    ahead = 2 if cursor.is_sign(".", 1) else 1
    if cursor.has("century", ahead):
        return _century(cursor, operand, token.number, ahead)
    # "12 May 1878", "12. Mai 1878", "12 de mayo" is not read: Spanish is not among the languages.
    if cursor.has("month", ahead) and token.number <= 31:
        operand.day = token.number
        cursor.index += ahead
        return _month(cursor, operand, previous)
    cursor.index += 1
    read_era(cursor, operand)
    if operand.era:
        operand.kind, operand.number = "year", token.number
        return True
    if previous is not None and previous.kind == "yearless" and previous.day and token.number <= 31:
        operand.month, operand.day = previous.month, token.number
        return _year_of_month(cursor, operand)
    operand.kind, operand.number, operand.digits = "short", token.number, len(token.text)
    if ahead == 2 and cursor.is_sign("."):
        cursor.index += 1
    return True


def _numeric_date(cursor: Cursor, operand: Operand) -> bool:
    """12/5/1929, 12.5.1929, 1929-05-12, 8/1959."""
    numbers = [cursor.peek(i) for i in (0, 2, 4)]
    a, b, c = numbers
    if a is None or b is None or b.kind != "number" or not (cursor.is_sign("/.-", 1)):
        return False
    sign = (cursor.peek(1) or a).text
    if a.end != b.start - 1:
        return False
    if c is not None and c.kind == "number" and cursor.is_sign(sign, 3) and c.start == b.end + 1:
        if len(c.text) == 4 and len(a.text) <= 2 and len(b.text) <= 2 and sign in "/.-":
            day, month = _day_and_month(cursor, operand, a, b, sign)
            return _full_date(cursor, operand, c.number, month, day, 5)
        if len(a.text) == 4 and len(b.text) == 2 and len(c.text) == 2 and sign in "-/":
            return _full_date(cursor, operand, a.number, b.number, c.number, 5)
        raise cursor.refuse("a date such as 5/18/1918, 18.5.1918 or 1918-05-18")
    if len(b.text) == 4 and len(a.text) <= 2 and sign in "/." and 1 <= a.number <= 12:
        operand.kind, operand.month, operand.number = "month", a.number, b.number
        cursor.index += 3
        return True
    return False


def _day_and_month(cursor: Cursor, operand: Operand, a: Token, b: Token, sign: str) -> tuple[int, int]:
    """The figures of the day and the month; day first with dots, as continental Europe writes it."""
    day_first = sign == "."
    if a.number > 12 or b.number > 12:
        day_first = a.number > 12
    elif sign != "." and a.number != b.number:
        decided = _order_shown(cursor)
        operand.either_way = decided is None
        day_first = decided is not False
        if decided is not None:
            order = "day, month, year" if day_first else "month, day, year"
            cursor.notes.append(f"the figures could be taken either way round; read as {order}")
    return (a.number, b.number) if day_first else (b.number, a.number)


def _order_shown(cursor: Cursor) -> bool | None:
    """Whether the day stands first: as the language has it, or as another date of the phrase shows.

    English leaves it open, for British and American dates differ.
    """
    if cursor.speaks("fr", "de"):
        return True
    orders = set()
    for index in range(len(cursor.tokens) - 4):
        a, sign, b, other, year = cursor.tokens[index : index + 5]
        numbers = a.kind == b.kind == year.kind == "number" and len(b.text) <= 2 and len(year.text) == 4
        if numbers and sign.text == other.text in {"/", "-"} and max(a.number, b.number) > 12:
            orders.add(a.number > 12)
    return orders.pop() if len(orders) == 1 else None


def _full_date(cursor: Cursor, operand: Operand, year: int, month: int, day: int, length: int) -> bool:
    operand.kind, operand.number, operand.month, operand.day = "day", year, month, day
    _check_day(cursor, operand)
    cursor.index += length
    return True


def _check_day(cursor: Cursor, operand: Operand) -> None:
    if not 1 <= operand.month <= 12:
        raise cursor.refuse("a month from 1 to 12")
    year = operand.number if operand.kind == "day" else 2000
    if not 1 <= operand.day <= month_length(year, operand.month):
        raise cursor.refuse(f"a day that month {operand.month} of that year has")


def _ordinal(cursor: Cursor, operand: Operand, token: Token, previous: Operand | None) -> bool:
    ahead = 1
    following = cursor.peek(1)
    if following is not None and following.text == "e" and following.kind == "word":
        ahead = 2  # "XIX e siècle", where the ending was set as a raised letter
    for joined in (ahead, ahead + 1):
        if cursor.has("century", joined) and (joined == ahead or cursor.is_sign("-.", ahead)):
            return _century(cursor, operand, token.number, joined)
    following = cursor.peek(ahead)
    if following is not None and following.text == "c":
        return _century(cursor, operand, token.number, ahead)
    if cursor.has("month", 1) and token.number <= 31:
        operand.day = token.number
        cursor.index += 1
        return _month(cursor, operand, previous)
    operand.kind, operand.number = "ordinal", token.number
    if token.text[-1:] == "e" and not token.text[:1].isdigit():
        operand.style = "roman"
    cursor.index += ahead
    return True


def _century(cursor: Cursor, operand: Operand, number: int, ahead: int) -> bool:
    if not 1 <= number <= 21:
        raise cursor.refuse("a century from the 1st to the 21st")
    operand.kind, operand.number = "century", number
    cursor.index += ahead + 1
    if cursor.is_sign(".") and (cursor.peek(-1) or cursor.peek()) is not None:
        cursor.index += 1
    read_era(cursor, operand)
    return True


def _decade(cursor: Cursor, operand: Operand, token: Token, previous: Operand | None) -> bool:
    cursor.index += 1
    operand.style = "er" if token.text.rstrip("n").endswith("er") else "s"
    while cursor.has("years") or (cursor.is_sign("-") and cursor.has("years", 1)):
        cursor.index += 1
    if cursor.is_sign("-") and any(cursor.has(join, 1) for join in ("and", "or", "to")):
        cursor.index += 1  # "1870er- und 1880er-Jahre"
    number = token.number
    if number < 100:
        operand.kind, operand.number, operand.style = "short", number, "decade"
        return _of_century(cursor, operand) or True
    operand.kind, operand.number = "decade", number
    read_era(cursor, operand)
    return True


def _of_century(cursor: Cursor, operand: Operand) -> bool:
    """Read "des 19. Jahrhunderts" after "80er Jahre"."""
    ahead = 0
    while cursor.has("filler", ahead):
        ahead += 1
    number = cursor.peek(ahead)
    length = 2 if cursor.is_sign(".", ahead + 1) else 1
    if (
        number is None
        or number.kind not in {"number", "ordinal"}
        or not cursor.has("century", ahead + length)
    ):
        return False
    if not ahead or not 1 <= number.number <= 21:
        return False
    operand.kind, operand.style = "decade", "er"
    operand.number += 100 * (number.number - 1)
    cursor.index += ahead + length + 1
    return True


def _known(cursor: Cursor, operand: Operand, token: Token, previous: Operand | None) -> bool:
    roles = token.roles or {}
    if "era" in roles:
        return _era_first(cursor, operand, roles["era"])
    if "month" in roles:
        return _month(cursor, operand, previous)
    if "season" in roles:
        return _season(cursor, operand, roles["season"])
    if "years" in roles:
        return _years_word(cursor, operand)
    if "turn" in roles:
        return _turn(cursor, operand, roles["turn"])
    if "period" in roles:
        operand.kind, operand.period = "period", roles["period"]
        cursor.index += 1
        while cursor.has("periodnoun") or (cursor.is_sign("-") and cursor.has("periodnoun", 1)):
            cursor.index += 1
        return True
    if "ordinal" in roles and roles["ordinal"] != "last":
        return _ordinal(
            cursor, operand, Token("ordinal", "", token.start, token.end, int(roles["ordinal"])), previous
        )
    return False


def _era_first(cursor: Cursor, operand: Operand, era: str) -> bool:
    number = cursor.peek(1)
    if number is None or number.kind != "number" or len(number.text) > 4:
        return False
    operand.kind, operand.number, operand.era = "year", number.number, era
    cursor.index += 2
    return True


def _month(cursor: Cursor, operand: Operand, previous: Operand | None) -> bool:
    token = cursor.peek()
    operand.month = int(((token.roles if token else None) or {})["month"])
    cursor.index += 1
    day = cursor.peek()
    if (
        not operand.day
        and day is not None
        and day.kind in {"number", "ordinal"}
        and len(day.text.rstrip("sthndr")) <= 2
    ):
        if day.number > 31 or (day.kind == "number" and cursor.has("era", 1)):
            raise cursor.refuse("a day from 1 to 31 or a year of four digits")
        operand.day = day.number
        cursor.index += 1
    return _year_of_month(cursor, operand)


def _year_of_month(cursor: Cursor, operand: Operand) -> bool:
    ahead = 0
    while cursor.is_sign(",.", ahead) or (cursor.has("filler", ahead) and ahead < 2):
        ahead += 1
    year = cursor.peek(ahead)
    if year is None or year.kind != "number" or len(year.text) != 4:
        operand.kind = "yearless"
        return True
    operand.kind, operand.number = ("day" if operand.day else "month"), year.number
    if operand.day:
        _check_day(cursor, operand)
    cursor.index += ahead + 1
    return True


def _season(cursor: Cursor, operand: Operand, code: str) -> bool:
    ahead = 1
    while cursor.is_sign(",", ahead) or cursor.has("filler", ahead):
        ahead += 1
    year = cursor.peek(ahead)
    operand.number, operand.month = 0, int(code)
    if year is None or year.kind != "number" or len(year.text) != 4:
        operand.kind = "yearless"
        cursor.index += 1
        return True
    operand.kind, operand.number = "season", year.number
    cursor.index += ahead + 1
    short = cursor.peek(1)
    if code == "24" and cursor.is_sign("/-") and short is not None and short.kind == "number":
        if short.number not in {year.number + 1, (year.number + 1) % 100}:
            raise cursor.refuse("the year that follows, as in winter 1878/79", short.start)
        operand.to_year = year.number + 1
        cursor.index += 2
    return True


def _years_word(cursor: Cursor, operand: Operand) -> bool:
    """Années 1870; the German and English "Jahre 1870", "years 1870" are years, not decades."""
    token, number = cursor.peek(), cursor.peek(1)
    if token is None or number is None or number.kind != "number":
        return False
    cursor.index += 1
    if token.language == "fr" and len(number.text) == 4 and number.number % 10 == 0:
        operand.kind, operand.number, operand.style = "decade", number.number, "annees"
        cursor.index += 1
        return True
    if len(number.text) == 2 and number.number % 10 == 0:
        start, operand.number = cursor.index, number.number
        cursor.index += 1
        if _of_century(cursor, operand):
            return True
        cursor.index = start
    return _number(cursor, operand, number, None)


def _turn(cursor: Cursor, operand: Operand, value: str) -> bool:
    """Read "turn of the century", "turn of the 20th century" or "Wende 19./20. Jh."."""
    cursor.index += 1
    year = 1900 if value == "alone" else turn_year(cursor)
    operand.kind, operand.number, operand.about = "year", year, True
    cursor.notes.append(
        f"the turn of the century is taken as about {year} ({parts()['century', 'turn'].basis})"
    )
    return True


_Reader = Callable[[Cursor, Operand, Token, Operand | None], bool]
_READERS: dict[str, _Reader] = {"number": _number, "ordinal": _ordinal, "decade": _decade, "known": _known}


def read_era(cursor: Cursor, operand: Operand) -> None:
    """Read an era, such as BCE, that follows a year, decade or century."""
    token = cursor.peek()
    if token is not None and token.has("era"):
        operand.era = (token.roles or {})["era"]
        cursor.index += 1
