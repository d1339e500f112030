"""The terms of attribution that essays use, from the house's table, with what each means: the glossary of a print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from kg.daybook.view import WorkingView
from kg.essays.hedges import Hedge, table
from kg.essays.publish_words import print_words
from kg.essays.syntax import Essay, Paragraph, plain_words


@dataclass(frozen=True, slots=True)
class Term:
    """A degree of attribution in words, and its meaning."""

    words: str
    meaning: str


def terms_in_use(view: WorkingView, essays: Sequence[Essay], name: str, language: str) -> tuple[Term, ...]:
    """The terms of a table that stand in the text before a maker's name, in the order of the table.

    :raises kg.essays.hedges.HedgeUnknown: if there is no such table.
    """
    text = " ".join(
        plain_words(block.inlines)
        for essay in essays
        for block in essay.prose()
        if isinstance(block, Paragraph)
    )
    makers = sorted(
        (t.label for t in view.things.values() if view.vocabulary.is_a(t.kinds, "Actor")),
        key=len,
        reverse=True,
    )
    names = "|".join(re.escape(label) for label in makers if label in text) or r"(?!)"
    rows = sorted(table(name), key=lambda row: len(row.text("", language)), reverse=True)
    found: set[Hedge] = set()
    for row in rows:
        before, has_maker, after = row.text("\0", language).partition("\0")
        pattern = re.escape(before) + (f"(?:{names})" + re.escape(after) if has_maker else "")
        text, count = re.subn(rf"(?<!\w){pattern}(?!\w)", " ", text)
        if count:
            found.add(row)
    return tuple(
        Term(_heading(row, language), _meaning(row, language)) for row in table(name) if row in found
    )


def _heading(row: Hedge, language: str) -> str:
    return row.text("…", language)


def _meaning(row: Hedge, language: str) -> str:
    """The meaning in the print's language: the table's own words in English, else certainty and relation in turn."""
    if language == "en":
        return row.meaning
    words = print_words(language)
    return " ".join(words[key] for key in (row.relation, row.certainty) if key in words)
