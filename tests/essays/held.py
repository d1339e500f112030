"""What a sentence of a draft may say: the figures and names of its claims, and what is marked as worked out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kg.daybook.record import Claim
from kg.essays.draft_text import Sentence, plain
from kg.essays.plan import Bench

_NUMBER = re.compile(r"\d+")
#: A word with a capital that does not begin the sentence.
_NAME = re.compile(r"(?<=[\w,;:)’'”] )[^\W\d_a-z][\w’'-]*")


def unheld(bench: Bench, sentence: Sentence) -> list[str]:
    """The figures and names of a sentence that neither its claims hold nor the draft marks as worked out."""
    pool = " ".join([*sentence.computed, *(text for c in sentence.claims for text in _texts(bench, c))])
    numbers, words = set(_NUMBER.findall(pool)), set(re.findall(r"[\w’'-]+", pool))
    bare = sentence.text
    for worked_out in sorted(sentence.computed, key=len, reverse=True):
        bare = bare.replace(worked_out, " ")
    missing = [number for number in _NUMBER.findall(bare) if number not in numbers]
    return missing + [name for name in _NAME.findall(bare) if name not in words]


def _texts(bench: Bench, claim: Claim) -> Iterator[str]:
    view = bench.view
    yield from (plain(view.label(claim.subject)), plain(view.label(claim.value)), plain(claim.value))
    yield plain(claim.citation.quotation or "")
    prop = view.vocabulary.properties.get(claim.property)
    if prop is not None and prop.is_date:
        yield bench.date(claim).words
