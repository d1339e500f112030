"""Citations and references in a plain manner of the house, for Markdown, which needs no other program."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from kg.essays.locators import in_words
from kg.essays.publish_words import print_words

#: Types of works whose titles stand in italics.
_WHOLE = frozenset(
    ("book", "thesis", "report", "pamphlet", "map", "manuscript", "document", "periodical", "collection", "dataset",
     "webpage", "patent")
)  # fmt: skip


def full_citation(item: Mapping[str, Any], places: Sequence[str], language: str) -> str:
    """A source as it is cited first, with the places in it; titles of whole works between asterisks.

    >>> item = {"type": "book", "title": "A book of heads", "author": [{"family": "Tarn", "given": "A."}],
    ...         "publisher-place": "Bath", "issued": {"date-parts": [[1958]]}}
    >>> full_citation(item, ["p. 12"], "de")
    'A. Tarn, *A book of heads* (Bath, 1958), S. 12'
    """
    names = _names(item.get("author", ()), language, is_first=False)
    parts = [names, *_work(item, language)]
    head = ", ".join(part for part in parts if part)
    imprint = _imprint(item)
    told = f"{head} ({imprint})" if imprint else head
    return ", ".join(part for part in (told, in_words(places, language)) if part)


def short_citation(item: Mapping[str, Any], places: Sequence[str], language: str) -> str:
    """A source as it is cited again: family names, title, places."""
    family = ", ".join(str(n.get("family") or n.get("literal") or "") for n in item.get("author", ()))
    parts = [family, _title(item), in_words(places, language)]
    return ", ".join(part for part in parts if part)


def reference(item: Mapping[str, Any], language: str) -> str:
    """A source as it stands in the list of sources, the family name first."""
    names = _names(item.get("author", ()), language, is_first=True)
    head = ", ".join(part for part in (names, *_work(item, language)) if part)
    imprint = _imprint(item)
    pages = str(item.get("page", ""))
    told = f"{head} ({imprint})" if imprint else head
    return ", ".join(part for part in (told, in_words([f"p. {pages}"], language) if pages else "") if part)


def sort_key(item: Mapping[str, Any]) -> tuple[str, str]:
    """By what sources are put in order: family name or title, then title."""
    first: Mapping[str, Any] = next(iter(item.get("author", ())), {})
    name = str(first.get("family") or first.get("literal") or item.get("title", ""))
    return name.casefold(), str(item.get("title", "")).casefold()


def escaped_for_markdown(text: str) -> str:
    """A text as it may stand in Markdown."""
    from kg.essays.syntax import escaped

    return escaped(" ".join(text.split()))


def _work(item: Mapping[str, Any], language: str) -> Iterable[str]:
    words = print_words(language)
    yield _title(item)
    if "container-title" in item:
        volume = " ".join(str(item[name]) for name in ("volume",) if name in item)
        issue = f".{item['issue']}" if "issue" in item else ""
        container = f"*{escaped_for_markdown(str(item['container-title']))}*"
        journal = item.get("type", "").startswith("article")
        yield f"{'' if journal else words['in'] + ' '}{container}{' ' + volume if volume else ''}{issue}"
    for role, key in (("editor", "edited by"), ("translator", "translated by")):
        if item.get(role):
            yield f"{words[key]} {_names(item[role], language, is_first=False)}"
    for name in ("genre", "number", "archive", "call-number"):
        if name in item:
            yield escaped_for_markdown(str(item[name]))


def _title(item: Mapping[str, Any]) -> str:
    title = escaped_for_markdown(str(item.get("title", "")))
    if not title:
        return ""
    return f"*{title}*" if item.get("type") in _WHOLE and "container-title" not in item else f"“{title}”"


def _names(names: Sequence[Mapping[str, Any]], language: str, *, is_first: bool) -> str:
    told = []
    for number, name in enumerate(names):
        if name.get("literal") == "others":
            told.append(print_words(language)["and others"])
        else:
            told.append(_name(name, family_first=is_first and number == 0))
    return ", ".join(escaped_for_markdown(name) for name in told if name)


def _name(name: Mapping[str, Any], *, family_first: bool) -> str:
    if "literal" in name:
        return str(name["literal"])
    particle = str(name.get("non-dropping-particle") or name.get("dropping-particle") or "")
    family = " ".join(part for part in (particle, str(name.get("family", ""))) if part)
    given, suffix = str(name.get("given", "")), str(name.get("suffix", ""))
    parts = [family, given] if family_first else [f"{given} {family}".strip()]
    return ", ".join(part for part in (*parts, suffix) if part)


def _imprint(item: Mapping[str, Any]) -> str:
    place, publisher = str(item.get("publisher-place", "")), str(item.get("publisher", ""))
    where = ": ".join(escaped_for_markdown(part) for part in (place, publisher) if part)
    return ", ".join(part for part in (where, _year(item.get("issued", {}))) if part)


def _year(issued: Mapping[str, Any]) -> str:
    if issued.get("literal"):
        return escaped_for_markdown(str(issued["literal"]))
    parts = issued.get("date-parts") or []
    years = [str(part[0]) for part in parts if part]
    told = "–".join(dict.fromkeys(years))
    return f"c. {told}" if told and issued.get("circa") else told
