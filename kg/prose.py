"""Where the sentences of a text begin and end."""

from __future__ import annotations

import re

_END = re.compile(r"[.!?…]+[»”\"')\]]*(?=\s+[\"“«„(]?[A-ZÀ-Ý0-9])|\n\s*\n")
_SHORT = re.compile(
    r"(?:\b(?:[A-ZÀ-Ý]|Mr|Mrs|Dr|St|Co|No|Nos|Nr|Bd|pl|fig|figs|vol|p|pp|c|ca|cf|geb|gest|Gebr|Wwe|u|od|Jh|Jhdt|Mme|Mlle|MM|Vve|Cie|approx|Inv|Abb|Taf|Kat|Jan|Feb|Sept|Oct|Nov|Dec|Dez|Okt|bzw|usw|ff|etc|bros|Bros|Messrs|[Rr]d|[Rr]eg|[Pp]at|D\.R|G\.M|R\.G))\.$|\b\d{1,2}\.$"
)


def sentences_of(text: str) -> list[tuple[int, int]]:
    """The begin and end of each sentence of a text, without the blanks around it."""
    ends = [m.end() for m in _END.finditer(text) if not _SHORT.search(text[: m.end()])] + [len(text)]
    found, start = [], 0
    for end in ends:
        piece = text[start:end]
        lead = len(piece) - len(piece.lstrip())
        if piece.strip():
            found.append((start + lead, start + len(piece.rstrip())))
        start = end
    return found
