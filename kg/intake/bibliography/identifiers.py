"""Numbers that identify a publication: ISBN (ISO 2108), ISSN (ISO 3297) and DOI (ISO 26324)."""

from __future__ import annotations

import re

_ISBN = re.compile(r"97[89](?:[ -]?\d){10}|\d(?:[ -]?\d){8}[ -]?[\dXx]")
_DOI = re.compile(r"(?:https?://(?:dx\.)?doi\.org/|doi:\s*)?(10\.\d{4,9}/\S+)", re.IGNORECASE)


def isbn13(text: str) -> str | None:
    """The 13 digits of an ISBN of 10 or 13, its check digit verified; None if it is wrong or no ISBN.

    >>> isbn13("0-306-40615-2"), isbn13("978-0-306-40615-7"), isbn13("978-0-306-40615-8")
    ('9780306406157', '9780306406157', None)
    """
    digits = re.sub(r"[\s\u2010-\u2015-]", "", text).upper()
    if re.fullmatch(r"\d{9}[\dX]", digits):
        total = sum((10 - at) * (10 if mark == "X" else int(mark)) for at, mark in enumerate(digits))
        return _with_check(f"978{digits[:9]}") if total % 11 == 0 else None
    if re.fullmatch(r"97[89]\d{10}", digits):
        return digits if _with_check(digits[:12]) == digits else None
    return None


def _with_check(twelve: str) -> str:
    total = sum(int(mark) * (3 if at % 2 else 1) for at, mark in enumerate(twelve))
    return f"{twelve}{-total % 10}"


def isbns(text: str) -> tuple[frozenset[str], tuple[str, ...]]:
    """Every ISBN in a text, as 13 digits; and what looks like one and is none.

    >>> isbns("0-306-40615-2 (cloth); 0-306-40615-3")[1]
    ('0-306-40615-3',)
    """
    good, bad = set(), []
    for found in _ISBN.finditer(text.replace("\u2010", "-").replace("\u2011", "-").replace("–", "-")):
        number = isbn13(found[0])
        if number:
            good.add(number)
        else:
            bad.append(found[0])
    return frozenset(good), tuple(bad)


def is_issn(text: str) -> bool:
    """Whether a text is an ISSN with a right check digit.

    >>> is_issn("0378-5955"), is_issn("0378-5954")
    (True, False)
    """
    digits = text.strip().upper().replace("-", "")
    if not re.fullmatch(r"\d{7}[\dX]", digits):
        return False
    return sum((8 - at) * (10 if mark == "X" else int(mark)) for at, mark in enumerate(digits)) % 11 == 0


def doi(text: str) -> str | None:
    """A DOI without its address and in small letters, since case says nothing; None if it is none.

    >>> doi("https://doi.org/10.1000/182"), doi("doi:10.1000/ABC"), doi("182")
    ('10.1000/182', '10.1000/abc', None)
    """
    found = _DOI.fullmatch(text.strip())
    return found[1].lower() if found else None
