"""LaTeX in the fields of a bibliography: accents and symbols become characters, braces go, the rest stays as typed.

Each text is passed over once, without recursion, so that no nesting can hold it up. What a macro that is not known
here means is not guessed: it stays as it is written, and is told.
"""

from __future__ import annotations

import re
import unicodedata

#: Accents of LaTeX, and the combining character that each adds to the letter after it.
_ACCENTS = {
    "`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", "=": "\u0304", "u": "\u0306", ".": "\u0307",
    '"': "\u0308", "r": "\u030a", "H": "\u030b", "v": "\u030c", "d": "\u0323", "c": "\u0327", "k": "\u0328",
    "b": "\u0331",
}  # fmt: skip
_SYMBOLS = {
    "ss": "ß", "ae": "æ", "AE": "Æ", "oe": "œ", "OE": "Œ", "o": "ø", "O": "Ø", "l": "ł", "L": "Ł", "aa": "å",
    "AA": "Å", "i": "ı", "j": "ȷ", "dh": "ð", "DH": "Ð", "th": "þ", "TH": "Þ", "dj": "đ", "DJ": "Đ",
    "S": "§", "P": "¶", "dag": "†", "ddag": "‡", "copyright": "©", "pounds": "£", "textsterling": "£",
    "texteuro": "€", "euro": "€", "textendash": "–", "textemdash": "—", "textquoteright": "’",
    "textquoteleft": "‘", "textquotedblleft": "“", "textquotedblright": "”", "guillemotleft": "«",
    "guillemotright": "»", "flqq": "«", "frqq": "»", "glqq": "„", "grqq": "“", "quotedblbase": "„",
    "ldots": "…", "dots": "…", "textellipsis": "…", "textdegree": "°", "degree": "°", "textonehalf": "½",
    "textonequarter": "¼", "textasciitilde": "~", "textbackslash": "\\", "textunderscore": "_",
    "slash": "/", "space": " ", "quad": " ", "qquad": " ", "times": "×",
}  # fmt: skip
#: Macros that only set their argument in another type; the argument stays.
_SETS = (
    "emph textit textbf textsc texttt textrm textsf textup textsl textnormal mkbibemph mkbibquote enquote uppercase "
    "lowercase mbox hbox url path em it bf sc rm sf tt itshape bfseries scshape upshape protect noopsort relax"
)
_SETTINGS = frozenset(_SETS.split())
_ACCENT = re.compile(
    r"""\\(?:([`'^~=."])\s*|([uHvrdckb])(?:\s+|(?=[{\\])))      # the accent
        (?:\{\s*(?:\\([ij])|([^\W\d_]))\s*\}|\\([ij])(?![A-Za-z])\s?|([^\W\d_]))  # the letter, in braces or bare""",
    re.VERBOSE,
)
_SYMBOL = re.compile(r"\\([A-Za-z]+)\*?(?:\{\}|\s+(?!$)|\s*$)?")
_ESCAPED = re.compile(r"\\([&%$#_{}])")
#: Characters that stand for escaped ones while bare braces and ties are taken out.
_HELD = {
    "&": "\ue000",
    "%": "\ue001",
    "$": "\ue002",
    "#": "\ue003",
    "_": "\ue004",
    "{": "\ue005",
    "}": "\ue006",
}
_BACK = {ord(held): mark for mark, held in _HELD.items()} | {0xE007: "~", 0xE008: "\\"}
#: What LaTeX reads otherwise than as it stands.
_SPECIAL = re.compile(r"[\\{}~`]|--|''|\u00a0")
_DASHES = (("---", "—"), ("--", "–"), ("``", "“"), ("''", "”"))


def decode(text: str) -> tuple[str, tuple[str, ...]]:
    r"""A text without its LaTeX, and the macros that are not known, which stay as typed.

    >>> decode(r'K{\"o}pfe \& B\'{e}b\'es, 1903--1905')
    ('Köpfe & Bébés, 1903–1905', ())
    >>> decode(r"\unheardof{Heads}")
    ('\\unheardof Heads', ('\\unheardof',))
    """
    unknown: list[str] = []
    if not _SPECIAL.search(text):
        return unicodedata.normalize("NFC", " ".join(text.split())), ()
    if "\\" in text:
        text = re.sub(r"[\ue000-\ue008]", "\ufffd", text)
        text = _ESCAPED.sub(lambda found: _HELD[found[1]], text)
        text = _ACCENT.sub(_accented, text)
        text = _SYMBOL.sub(lambda found: _symbol(found, unknown), text)
        text = re.sub(
            r"\\[,;:! /@-]|\\\\", lambda found: " " if found[0] in ("\\,", "\\ ", "\\\\") else "", text
        )
    for typed, dash in _DASHES:
        text = text.replace(typed, dash)
    text = text.replace("~", "\u00a0").replace("{", "").replace("}", "").translate(_BACK)
    text = unicodedata.normalize("NFC", " ".join(text.split(" "))).replace("\u00a0", " ")
    return " ".join(text.split()), tuple(dict.fromkeys(unknown))


def _accented(found: re.Match[str]) -> str:
    accent = found[1] or found[2]
    dotless = found[3] or found[5]
    # An accent replaces the dot of i and j: LaTeX's \i is then the plain letter.
    return unicodedata.normalize("NFC", (dotless or found[4] or found[6]) + _ACCENTS[accent])


def _symbol(found: re.Match[str], unknown: list[str]) -> str:
    name = found[1]
    if name in _SYMBOLS:
        return _SYMBOLS[name].replace("~", "\ue007").replace("\\", "\ue008")
    if name in _SETTINGS:
        return ""
    unknown.append("\\" + name)
    return "\ue008" + name + " "
