"""When a piece was made, in words: the dating that stands, the limits with their reasons, and what cannot stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kg.chronology.audit import TestedDating
from kg.chronology.fit import imagined_claim
from kg.chronology.telling import day_text
from kg.chronology.verdict import Side, Verdict, judge
from kg.dates.edtf import parse_edtf
from kg.dates.window import Window
from kg.daybook.record import Citation, Claim, Draft
from kg.essays.dates_in_house import DateInHouse, edge_in_house, window_in_house
from kg.essays.draft_text import Sentence, in_words, listed, sentence
from kg.essays.draft_voice import Voice
from kg.essays.plan import Bench
from kg.sources_weighed.standing import steps_below_the_best

#: A chain of reasons longer than this is cited and not told.
LONGEST_CHAIN = 6


@dataclass(frozen=True, slots=True)
class Dated:
    """The date that may be printed of a piece: its words, how sure they are, and what they rest on."""

    date: DateInHouse
    certainty: str
    claims: tuple[Claim, ...]
    is_computed: bool
    """True where the words follow from the limits and stand in no source."""
    dating: Claim | None = None


def dated(bench: Bench, piece: str) -> Dated | None:
    """The date of a piece in house style; None where nothing on record dates it.

    A dating that cannot fit is never the date; of one that fits in part only the part that is possible.
    """
    low, high = bench.limits(piece)
    tested = [bench.datings[c.id] for c in bench.said(piece, "madeOn") if c.id in bench.datings]
    standing = [t for t in tested if t.verdict in (Verdict.FITS, Verdict.UNBOUNDED) and t.contested is None]
    if standing:
        best = min(standing, key=lambda t: (steps_below_the_best(bench.step(t.claim)), _width(t.window)))
        return Dated(bench.date(best.claim), bench.certainty([best.claim]), (best.claim,), False, best.claim)
    claims = (*low.claims, *high.claims)
    window = _between(low, high)
    if window is None:
        return None
    words = window_in_house(window, _days(bench, claims))
    return Dated(words, bench.certainty(claims), claims, True)


def _width(window: Window) -> int:
    first, last = window.first, window.last
    return last - first if first is not None and last is not None else 10**9


def _between(low: Side, high: Side) -> Window | None:
    """The days between two limits; None where there are none, or where a long making passes through both."""
    if (low.day is None and high.day is None) or (
        low.day is not None and high.day is not None and low.day > high.day
    ):
        return None
    return Window.within(low.day, high.day)


def date_paragraphs(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    """The date, its limits with their reasons, and the datings that cannot stand or stand in part."""
    found = dated(bench, voice.piece)
    low, high = bench.limits(voice.piece)
    yield [*_lead(bench, voice, found), *_strain(bench, voice, found)]
    is_said = found is not None and found.is_computed and found.certainty not in ("held", "probably")
    if low.claims and low.claims == high.claims:
        yield [sentence(f"this follows{_since(bench, voice, low)}", low.claims, *_allowances(voice, low))]
    else:
        yield [
            *_limit(bench, voice, low, is_low=True, is_said=is_said),
            *_limit(bench, voice, high, is_low=False, is_said=is_said),
        ]
    for group in _grouped(bench, voice):
        yield [*_other_dating(bench, voice, group, found)]
    for claim in bench.said(voice.piece, "ofPeriod"):
        yield [*_period(bench, voice, claim)]


def _lead(bench: Bench, voice: Voice, found: Dated | None) -> Iterator[Sentence]:
    if found is None:
        yield sentence(
            f"when {voice.the_piece} was made is not known: nothing on record dates it", [], is_own=True
        )
        return
    words = f"{voice.the_piece} {made_words(found)}"
    computed = [found.date.words] if found.is_computed else []
    yield sentence(words, found.claims, *computed, is_own=found.is_computed)
    if found.dating is None:
        return
    if bench.datings[found.dating.id].verdict is Verdict.UNBOUNDED:
        yield sentence(
            "nothing else on record confirms this date or excludes it", [found.dating], is_own=True
        )
    elif found.dating.id not in bench.strained and not any(
        bench.conflicts_of.get(c.id) for c in bench.view.by_subject.get(voice.piece, ())
    ):
        yield sentence("nothing else on record stands against this date", [found.dating], is_own=True)


def made_words(found: Dated) -> str:
    """That it was made then, with no more certainty than the date has."""
    if found.certainty == "held":
        return f"was made {found.date.phrase}"
    if found.certainty == "probably":
        return f"was probably made {found.date.phrase}"
    if found.is_computed:
        return f"was made {found.date.phrase}, if the record is right"
    return f"is dated {found.date.words}"


def _strain(bench: Bench, voice: Voice, found: Dated | None) -> Iterator[Sentence]:
    """A usual rule that the printed date breaks without being impossible."""
    strained = bench.strained.get(found.dating.id) if found is not None and found.dating is not None else None
    if strained is None:
        return
    side, is_low = _broken_side(strained)
    if side.claims:
        word = "earlier" if is_low else "later"
        yield sentence(
            f"that is {word} than one would expect{_since(bench, voice, side)}",
            [strained.claim, *side.claims],
            *_allowances(voice, side),
            is_own=True,
        )


def misfit(bench: Bench, piece: str, maker: str) -> tuple[Dated, Side] | None:
    """The date that a source gives a piece, with the limit it breaks if a maker made the piece; None if it fits."""
    found = dated(bench, piece)
    if found is None or found.dating is None:
        return None
    supposed = imagined_claim(Draft(piece, "madeBy", maker, Citation("", "supposed for this question")), 0)
    low, high = bench.limits(piece, supposed)
    window = bench.view.window(found.dating)
    if judge(window, low.day, high.day) is not Verdict.CANNOT:
        return None
    return found, _broken(low, high, window)[0]


def _broken_side(tested: TestedDating) -> tuple[Side, bool]:
    return _broken(tested.not_before, tested.not_after, tested.window)


def _broken(low: Side, high: Side, window: Window) -> tuple[Side, bool]:
    """The limit that a window lies beyond, and whether it is the lower one."""
    is_low = low.day is not None and window.last is not None and window.last < low.day
    return (low, True) if is_low else (high, False)


def _limit(bench: Bench, voice: Voice, side: Side, *, is_low: bool, is_said: bool) -> Iterator[Sentence]:
    """A limit with its reasons; that the record may be wrong is said once."""
    if side.day is None or not side.claims:
        return
    certainty = bench.certainty(side.claims)
    cannot = {"held": "cannot have been made", "probably": "was probably not made"}.get(
        certainty, "was not made"
    )
    word = "before" if is_low else "after"
    day = _edge(side.day, _days(bench, side.claims), is_low=is_low)
    own = [day, *_allowances(voice, side)]
    right = "" if is_said else _if_right(bench.certainty(_apart(bench, side)[1]))
    text = f"{voice.noun.pronoun} {cannot} {word} {day}{_since(bench, voice, side, right)}"
    yield sentence(text, side.claims, *own, is_own=True)


def _edge(day: int, recorded: frozenset[int], *, is_low: bool) -> str:
    """A limit as one writes it: a year or month where it is its first or last day, and no claim names that day."""
    return edge_in_house(day, is_low=is_low) if day not in recorded else day_text(day)


def _days(bench: Bench, claims: Sequence[Claim]) -> frozenset[int]:
    """The days that claims name as days."""
    properties = bench.view.vocabulary.properties
    windows = [
        bench.view.window(c) for c in claims if c.property in properties and properties[c.property].is_date
    ]
    return frozenset(w.first for w in windows if w.first is not None and w.first == w.last)


def _if_right(certainty: str) -> str:
    return "" if certainty in ("held", "probably") else " if the record is right"


def _apart(bench: Bench, side: Side) -> tuple[list[Claim], list[Claim]]:
    """The claims of a limit that name an unsure maker, and the rest."""
    unsure = [c for c in side.claims if c.property == "madeBy" and bench.certainty([c]) != "held"]
    return unsure, [c for c in side.claims if c not in unsure]


def _since(bench: Bench, voice: Voice, side: Side, right: str = "") -> str:
    """The reasons for a limit as clauses, from the calendar to the piece, with the years that a convention allows.

    A maker who is not held to have made the piece is a condition of the limit, never a reason for it.
    """
    unsure, reasons = _apart(bench, side)
    condition = f" if {voice.told(unsure, pronoun=True)}" if unsure else ""
    told = f"{condition} and{right}" if condition and right else condition or right
    if len(side.claims) > LONGEST_CHAIN or not reasons:
        return told
    allowed = _allowances(voice, side)
    extra = f", allowing {listed(allowed)}" if allowed else ""
    return f"{told}, since {voice.told(reasons, pronoun=True)}{extra}"


def _allowances(voice: Voice, side: Side) -> list[str]:
    """The conventions in a chain of reasons: "10 years for posthumous and successor use"."""
    labels = {c.name: c.label for c in voice.view.vocabulary.conventions.values()}
    told = {
        f"{step.why.years} years for {labels.get(step.why.convention, step.why.convention)}": None
        for step in side.steps
        if step.why.convention and step.why.years
    }
    return list(told)


def _grouped(bench: Bench, voice: Voice) -> list[list[TestedDating]]:
    """The datings by the words in which the house prints them, in order of entry."""
    groups: dict[tuple[str, Verdict], list[TestedDating]] = {}
    for claim in bench.said(voice.piece, "madeOn"):
        tested = bench.datings.get(claim.id)
        if tested is not None:
            groups.setdefault((bench.date(claim).words, tested.verdict), []).append(tested)
    return list(groups.values())


def _other_dating(
    bench: Bench, voice: Voice, group: Sequence[TestedDating], found: Dated | None
) -> Iterator[Sentence]:
    """What other datings say, and how they stand to the evidence."""
    claims = [tested.claim for tested in group]
    first = group[0]
    if found is not None and found.dating is not None and found.dating in claims:
        return
    count = len({claim.citation.source for claim in claims})
    who = "one source says" if count == 1 else f"{in_words(count)} sources say"
    yield sentence(
        f"{who} that {voice.noun.pronoun} was made {bench.date(first.claim).phrase}",
        claims,
        *([in_words(count)] if count > 1 else []),
    )
    if first.verdict is Verdict.CANNOT:
        yield from _why_not(bench, voice, first.claim, _broken_side(first)[0])
    elif first.verdict is Verdict.FITS:
        yield sentence("that is possible as well", claims, is_own=True)
    elif first.verdict is Verdict.IN_PART:
        yield from _what_is_left(bench, voice, first)


def _period(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    """A dating by period: told as what a source says, and with why it cannot stand where it cannot."""
    yield sentence(f"one source places {voice.noun.object} in the period {voice.name(claim.value)}", [claim])
    low, high = bench.limits(voice.piece)
    for period in bench.said(claim.value, "periodIn")[:1]:
        window = bench.view.window(period)
        if judge(window, low.day, high.day) is Verdict.CANNOT:
            yield from _why_not(bench, voice, claim, _broken(low, high, window)[0])


def _why_not(bench: Bench, voice: Voice, dating: Claim, side: Side) -> Iterator[Sentence]:
    right = _if_right(bench.certainty(_apart(bench, side)[1]))
    claims = [dating, *side.claims]
    yield sentence(
        f"that cannot stand{_since(bench, voice, side, right)}",
        claims,
        *_allowances(voice, side),
        is_own=True,
    )


def _what_is_left(bench: Bench, voice: Voice, tested: TestedDating) -> Iterator[Sentence]:
    low, high = bench.limits(voice.piece)
    window = _between(low, high)
    if window is None:
        return
    whole = parse_edtf(tested.claim.value)
    either = (
        whole.alternatives if len(whole.alternatives) > 1 and whole.qualifier is None else (tested.window,)
    )
    days = _days(bench, [tested.claim, *low.claims, *high.claims])
    left = [window_in_house(rest, days) for one in either if (rest := one.overlap(window)) is not None]
    if not left:
        return
    core = bench.view.core(tested.claim).overlap(window)
    width = (
        ", and that only by the width of “about”"
        if core is None and "about" in bench.date(tested.claim).words
        else ""
    )
    yield sentence(
        f"of that only {' or '.join(_only(words.phrase) for words in left)} is possible{width}",
        [tested.claim, *low.claims, *high.claims],
        *(words.words for words in left),
        is_own=True,
    )


def _only(phrase: str) -> str:
    """A date behind "only": 1876, where it is told as "in 1876"."""
    return phrase[3:] if phrase.startswith(("in ", "on ")) else f"the time {phrase}"
