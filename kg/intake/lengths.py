"""Lengths as catalogues print them, read as whole millimetres: 38,5 cm; 12½ in.; 12 1/2."""

from __future__ import annotations

import re
from fractions import Fraction

#: Millimetres in each unit; the inch is 25.4 mm by the international agreement of 1959.
UNITS = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
#: How the units are written behind a number.
_WRITTEN = {
    "mm": "mm", "mm.": "mm", "cm": "cm", "cm.": "cm",
    "in": "in", "in.": "in", "ins": "in", "ins.": "in", "inch": "in", "inches": "in", '"': "in", "”": "in", "″": "in",
}  # fmt: skip
_FRACTIONS = {
    "½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3),
    "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
}  # fmt: skip
_LENGTH = re.compile(
    rf"""(?: (?P<whole>[0-9]{{1,5}}) (?: [.,](?P<decimals>[0-9]{{1,4}}) )? )?
         (?: (?P<gap>\s*-\s*|\s*)
             (?: (?P<sign>[{"".join(_FRACTIONS)}]) | (?P<top>[0-9]{{1,2}})[/⁄](?P<below>[0-9]{{1,2}}) ) )?
         \s* (?P<unit>[a-z]+\.?|["”″])?""",
    re.VERBOSE | re.IGNORECASE,
)
#: Decimals that may as well part the thousands: 1.250 is one and a quarter, or twelve hundred and fifty.
_LIKE_THOUSANDS = 3


class LengthNotUnderstood(ValueError):
    """A text is no length, or may be read as two."""

    def __init__(self, text: str, wanted: str) -> None:
        super().__init__(f"{text!r} found; expected {wanted}.")
        self.wanted = wanted


def millimetres(text: str, unit: str) -> int:
    """A length in whole millimetres, halves rounded up; a unit that the text names goes before the one given.

    :raises LengthNotUnderstood: if it is no length above nothing, or its decimals may be thousands.

    >>> millimetres("38,5", "cm"), millimetres("12½ in.", "in"), millimetres("12 1/2", "in")
    (385, 318, 318)
    >>> millimetres("16 in.", "cm")
    406
    """
    found = _LENGTH.fullmatch(text.strip())
    used = _WRITTEN.get(found["unit"].lower()) if found and found["unit"] else unit
    if found is None or used is None or not (found["whole"] or found["sign"] or found["top"]):
        raise LengthNotUnderstood(text, _wanted(unit))
    if len(found["decimals"] or "") == _LIKE_THOUSANDS:
        raise LengthNotUnderstood(text, f"{_wanted(unit)}; three decimals may be thousands")
    number = _number(found)
    whole = 0 if number is None else int(number * UNITS[used] + Fraction(1, 2))
    if not whole:
        raise LengthNotUnderstood(text, _wanted(unit))
    return whole


def _number(found: re.Match[str]) -> Fraction | None:
    """The number that the parts of a length make; None if they make none."""
    decimals, part = found["decimals"], Fraction(0)
    if found["sign"]:
        part = _FRACTIONS[found["sign"]]
    elif found["top"]:
        top, below = int(found["top"]), int(found["below"])
        is_part = 0 < top < below and (found["whole"] is None or found["gap"])
        if not is_part:
            return None
        part = Fraction(top, below)
    if part and (decimals or (found["gap"].strip() and not found["whole"])):
        return None
    return Fraction(f"{found['whole'] or 0}.{decimals or 0}") + part


def _wanted(unit: str) -> str:
    return {
        "mm": "a length in millimetres such as 385",
        "cm": "a length in centimetres such as 38.5 or 38,5",
        "in": "a length in inches such as 12½, 12 1/2 or 12.5",
    }[unit]
