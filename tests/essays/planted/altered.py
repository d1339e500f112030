"""The demo's drafts with one fault planted in a sentence by a rule: another year, maker, measure, no note, no hedge.

The drafts pass the audit as they are, so each fault that it tells of an altered sentence is due to the alteration.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from kg.essays.audit import Evidence, Kind, audit
from kg.essays.compose import compose
from kg.essays.draft_text import Draft, Sentence, plain
from kg.essays.plan import Bench
from kg.essays.syntax import read_essay

_YEAR = re.compile(r"\b1[789]\d\d\b")
_CENTIMETRES = re.compile(r"\((\d+)(?:\.\d)? cm\)")
_HEDGED = re.compile(r"\b(?:probably|possibly) (?=by )|(?<=was )probably (?=made )")


@dataclass(frozen=True, slots=True)
class Altered:
    """An altered sentence, how it was altered, the kind of fault that makes, and the piece of its essay."""

    how: str
    kind: Kind
    piece: str
    title: str
    markdown: str


def altered(bench: Bench, draft: Draft) -> Iterator[Altered]:
    """Every alteration of every sentence of a draft."""
    makers = sorted(t.label for s, t in bench.view.things.items() if bench.is_kind(s, "Maker"))
    for sentence in draft.sentences:
        for how, kind, text in _texts(bench, sentence, makers):
            yield Altered(how, kind, draft.piece, draft.title, replace(sentence, text=text).markdown)
        if sentence.claims and not sentence.is_own:
            yield Altered("no note", Kind.NO_CLAIM, draft.piece, draft.title, sentence.text)


def _texts(bench: Bench, sentence: Sentence, makers: Sequence[str]) -> Iterator[tuple[str, Kind, str]]:
    text = sentence.text
    bare = re.sub(r"“[^”]*”|\*[^*]*\*", lambda m: "\x00" * len(m[0]), text)
    year = _YEAR.search(bare)
    if year is not None and sentence.claims:
        # "By 1958" is held by every earlier year, so it is made earlier; a date elsewhere is made later.
        step = -7 if bare[: year.start()].rstrip().casefold().endswith("by") else 7
        yield (
            "another year",
            Kind.NOT_HELD,
            f"{text[: year.start()]}{int(year[0]) + step}{text[year.end() :]}",
        )
    size = _CENTIMETRES.search(text)
    if size is not None:
        yield "another height", Kind.NOT_HELD, text.replace(size[0], f"({int(size[1]) + 3} cm)")
    named = {
        plain(bench.view.label(claim.value)).partition(", ")[0]
        for claim in sentence.claims
        if claim.property == "madeBy"
    }
    for name in sorted(named):
        other = next(
            m for m in makers if not set(re.findall(r"\w{3,}", m)) & set(re.findall(r"\w{3,}", text))
        )
        if f"by {name}" in bare:
            changed = text.replace(f"by {name}", f"by {plain(other).partition(', ')[0]}")
            yield "another maker", Kind.NOT_HELD, changed
    if _HEDGED.search(text) and not sentence.is_own:
        yield "no hedge", Kind.TOO_SURE, _HEDGED.sub("", text)


def found_by_alteration(
    bench: Bench, pieces: Sequence[str], tell: Callable[[Altered], None] | None = None
) -> dict[str, tuple[int, int]]:
    """For each way of altering, how many altered sentences were found, and of how many; ``tell`` hears of the rest."""
    evidence = Evidence(bench.whole)
    counts: Counter[tuple[str, bool]] = Counter()
    for piece in pieces:
        for one in altered(bench, compose(bench, piece)):
            essay = read_essay(f"# {plain(one.title)}\n\n{one.markdown}\n")
            is_found = any(f.kind is one.kind for f in audit(evidence, essay, about=[one.piece]))
            counts[one.how, is_found] += 1
            if tell is not None and not is_found:
                tell(one)
    ways = sorted({how for how, _ in counts})
    return {how: (counts[how, True], counts[how, True] + counts[how, False]) for how in ways}
