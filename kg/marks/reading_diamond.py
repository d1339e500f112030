"""Reading a registration diamond that a transcription describes in words.

It is written ``diamond, class IV, top T, right 7, bottom 6, left R``; what cannot be read is ``[.]``. Characters
without a corner may follow the word too (``diamond IV T 7 6 R``): then the reading asks for the corners.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from kg.marks.diamond import CORNERS, Diamond, DiamondNotPossible, diamond_table, question_about, read_diamond
from kg.marks.rules import legal_rule
from kg.marks.tokens import LOST, Plain, Reading, Token

#: What calls the diamond by its name.
WORD = re.compile(r"(?:registration\s+|design\s+|registry\s+)?diamond(?:\s+of)?(?!\w)|◇", re.IGNORECASE)
#: A corner or the class with what stands there.
ITEM = re.compile(
    rf"[\s,;:]*(?P<name>class|top|right|bottom|left)\s+(?P<value>[A-Za-z{LOST}]+|[\d{LOST}]{{1,2}})(?![\w{LOST}])",
    re.IGNORECASE,
)
_LOOSE = re.compile(rf"[\s,;:]*(?P<value>[IVX]{{2,4}}|[A-Z]|\d{{1,2}}|Rd|{LOST})(?![\w.{LOST}])")
_KIND = "registration diamond"


def diamond_tokens(plain: Plain) -> Iterator[Token]:
    """Diamonds with the characters of their corners."""
    for hit in WORD.finditer(plain.text):
        diamond, end = _described(plain, hit.end())
        readings = tuple(_readings(plain, diamond, hit.start(), end))
        yield Token(hit.start(), end, readings)


def _described(plain: Plain, at: int) -> tuple[Diamond, int]:
    said: dict[str, str] = {}
    while item := ITEM.match(plain.text, at):
        value = item["value"]
        is_doubtful = plain.has(*item.span("value"), "unclear", "restored", "erased")
        said[item["name"].lower()] = "" if LOST in value or is_doubtful else value
        at = item.end()
    loose: list[str] = []
    goods_class = said.pop("class", None) or None
    if plain.text[:at].casefold().endswith("of"):
        return Diamond(), at  # a date follows, which is read as one
    while not said and (one := _LOOSE.match(plain.text, at)) and len(loose) < len(CORNERS) + 1:
        if goods_class is None and one["value"] in diamond_table().classes and len(one["value"]) > 1:
            goods_class = one["value"]
        elif LOST not in one["value"] and not plain.has(*one.span("value"), "unclear", "restored", "erased"):
            loose.append(one["value"])
        at = one.end()
    corners = {corner: said.get(corner) for corner in CORNERS}
    return Diamond(**corners, goods_class=goods_class, loose=tuple(loose)), at


def _readings(plain: Plain, diamond: Diamond, start: int, end: int) -> Iterator[Reading]:
    text = plain.shown(start, end)
    plainest = Reading(_KIND, text, start=start, end=end)
    if not any(getattr(diamond, corner) for corner in CORNERS) and not diamond.loose:
        yield replace(
            plainest,
            bounds=legal_rule("[British registration diamond]").bounds,
            sentence="a design registered from 1842 to 1883",
            question="What stands at each corner, and in the circle on top? Then the day can be read.",
        )
        return
    try:
        found = read_diamond(diamond)
    except DiamondNotPossible as error:
        bounds = legal_rule("[British registration diamond]").bounds
        yield replace(
            plainest,
            bounds=bounds,
            sentence=f"{error}",
            question="Which character stands at each corner?",
        )
        return
    for one in found:
        yield replace(
            plainest,
            number=one.parcel,
            bounds=one.bounds,
            sentence=f"{one.sentence}",
            registered=one.window,
            question=question_about(diamond, found),
        )
