"""Wording that a great many marks bear, weighed by how common it is and never by its letters.

What the law or the customs asked for stands on the marks of every maker, so that it hardly tells two marks apart,
however few marks are on record. Such wording weighs as much as its share of the recorded marks allows; the share
is never taken to be less than sources/rules/common_wording.csv says. Numbers, names and initials weigh as ever.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby

from kg.marks.confusion import ConfusionModel, Facing
from kg.marks.glyphs import Element, Gap, Glyph, LineBreak, Vacant
from kg.marks.matching_symbols import FIRST, Step, steps_of
from kg.marks.reading_dates import date_tokens
from kg.marks.reading_numbers import NUMBER_WORD
from kg.marks.reading_turned import in_order, reversed_order
from kg.marks.reading_words import legal_tokens
from kg.marks.registers import read_table
from kg.marks.rules import FOLDER, labels, legal_rules
from kg.marks.tokens import LOST, STRETCH, Plain, sign_of
from kg.marks.transcription import Transcription

#: Wording of two letters that may be initials as well is likelier a person's, so it weighs as initials do.
_LETTERS_OF_A_PERSON = 2
#: How many recorded marks bear some wording, and how many there are.
Counted = Callable[[bytes], tuple[int, int]]
#: Numbers and dates within wording tell marks apart.
_NUMBER = re.compile(rf"\d(?:[\d.,/ {LOST}{STRETCH}]*\d)?")
_Kinds = dict[int, str]


@lru_cache(maxsize=1)
def least_shares() -> Mapping[str, float]:
    """By kind of wording: the share of all marks below which it is never taken to be, as the table has it."""
    return {row["kind"]: float(row["least_share"]) for row in read_table(f"{FOLDER}/common_wording.csv")}


def weighed_steps(
    mark: Transcription | str, counted: Counted, model: ConfusionModel, facing: Facing = "as written"
) -> tuple[Step, ...]:
    """The steps of the mark in hand, its common wording with the chance that its share of the marks gives it.

    ``facing`` is how the mark is turned when it is compared; wording that agrees weighs the same however it stands.
    """
    steps = steps_of(mark)
    words = list(_words(steps, common_places(mark)))
    weights = [_bits(kind, [steps[at] for at in places], counted) for kind, places in words]
    most = -math.log2(least_shares()["all together"])
    scale = min(1.0, most / max(most, sum(weights)))
    weighed = list(steps)
    for (_, places), bits in zip(words, weights, strict=True):
        each = scale * bits / len(places)
        for at in places:
            weighed[at] = replace(steps[at], usual=_agreeing(steps[at], model, facing) / 2**each)
    for at in range(1, len(steps) - 1):
        beside = (weighed[at - 1], weighed[at + 1])
        if steps[at].kind == "break" and all(step.usual is not None for step in beside):
            # Where one such word ends and the next begins weighs nothing more.
            weighed[at] = replace(steps[at], usual=_agreeing(steps[at], model, facing))
    return tuple(weighed)


def is_common_alone(mark: Transcription | str) -> bool:
    """Whether all that can be read of a mark is wording that a great many marks bear.

    >>> is_common_alone("GERMANY"), is_common_alone("GERMANY 139")
    (True, False)
    """
    common = common_places(mark)
    seen = [step for step in steps_of(mark) if step.kind in ("character", "uncertain")]
    return bool(seen) and all(step.at in common for step in seen)


def common_places(mark: Transcription | str) -> _Kinds:
    """The places of a mark's elements that belong to common wording, each with the kind of the wording."""
    plain = _plain(mark)
    found = _in_text(plain)
    if isinstance(mark, Transcription) and mark.orientation == "mirrored":
        order = reversed_order(plain.text)
        turned = _in_text(in_order(plain, order, range(len(order))))
        # A mirrored mark is typed as it looks or as it reads: the way round in which more of it is wording.
        if len(turned) > len(found):
            return {order[at]: kind for at, kind in turned.items()}
    return found


def _plain(mark: Transcription | str) -> Plain:
    elements = mark.elements if isinstance(mark, Transcription) else tuple(map(_element, mark))
    return Plain("".join(map(sign_of, elements)), elements, origin=tuple(range(len(elements))))


def _element(char: str) -> Element:
    """A character of plain text as an element; what can stand on no piece is as good as a space."""
    if char == "…":
        return Gap(1, None)
    if char == "\n":
        return LineBreak()
    try:
        return Glyph(char)
    except ValueError:
        return Vacant()


def _in_text(plain: Plain) -> _Kinds:
    found: _Kinds = {}
    for kind, start, end in _spans(plain):
        found.update((at, kind) for at in range(start, end))
    told = [hit.span() for hit in _NUMBER.finditer(plain.text)]
    told += [(token.start, token.end) for token in date_tokens(plain)]
    for start, end in told:
        for at in range(start, end):
            found.pop(at, None)
    return found


def _spans(plain: Plain) -> Iterator[tuple[str, int, int]]:
    """Wording that a rule knows, words before numbers, and what is half lost and can be such wording."""
    for label in labels():
        for hit in label.pattern.finditer(plain.text):
            behind = NUMBER_WORD.match(plain.text, hit.end())
            if behind or not plain.text[hit.end() : hit.end() + 1].isalnum():
                yield "words before a number", hit.start(), behind.end() if behind else hit.end()
    for token in legal_tokens(plain):
        first = token.readings[0]
        letters = sum(map(str.isalpha, first.text))
        is_signature = len(token.readings) > 1 and letters <= _LETTERS_OF_A_PERSON
        if first.kind in least_shares() and not is_signature:
            yield first.kind, token.start, token.end
    for start, end in plain.half_lost(_spellings()):
        yield "legal wording", start, end


@lru_cache(maxsize=1)
def _spellings() -> tuple[str, ...]:
    """What wording that is half lost may be completed to."""
    whole = {s for rule in legal_rules() if rule.kind in least_shares() for s in rule.spellings}
    return tuple(sorted(whole | {word for phrase in whole for word in phrase.split()}))


def _words(steps: Sequence[Step], kinds: _Kinds) -> Iterator[tuple[str, list[int]]]:
    """Each piece of common wording: its kind, and the numbers of the steps that were seen of it."""
    for kind, run in groupby(range(len(steps)), key=lambda at: kinds.get(steps[at].at)):
        seen = [at for at in run if steps[at].kind in ("character", "uncertain", "break")]
        while seen and steps[seen[-1]].kind == "break":
            seen.pop()
        while seen and steps[seen[0]].kind == "break":
            seen.pop(0)
        if kind is not None and seen:
            yield kind, seen


def _bits(kind: str, steps: Iterable[Step], counted: Counted) -> float:
    """How much some wording weighs: the rarer it is among the recorded marks, the more, down to the least share."""
    bearing, marks = counted(bytes(step.symbol for step in steps))
    share = bearing / marks if marks else 0.0
    return -math.log2(min(1.0, max(share, least_shares()[kind])))


def _agreeing(step: Step, model: ConfusionModel, facing: Facing) -> float:
    """The chance that a symbol as written is seen as itself, so that wording that agrees weighs what it is worth."""
    if step.kind == "break":
        return 1 - model.chance("space or point")
    goes_on = 1 - model.chance("missing run begins") - model.chance("added run begins")
    return float(model.seen_as(facing)[step.symbol, step.symbol]) * goes_on


def bearers(marks: Sequence[bytes]) -> Counted:
    """Counts how many of some recorded marks bear some wording, each wording once."""
    joined = b"\0" + b"\0".join(marks) + b"\0"

    @lru_cache(maxsize=1_024)
    def counted(word: bytes) -> tuple[int, int]:
        # The wording stands apart from what is before and behind it; then the rest of the mark is passed over.
        inside, literal = rb"[" + re.escape(bytes([FIRST])) + rb"-\xff]", re.escape(word)
        pattern = literal + rb"(?!" + inside + rb")(?<!" + inside + literal + rb")[^\0]*"
        return len(re.findall(pattern, joined)), len(marks)

    return counted
