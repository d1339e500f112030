"""Who made a piece, in words: the attribution with its hedge and its reasons, the parts' makers, the maker's story."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from kg.attribution.candidates import Candidate, Ranking, Reason, rank
from kg.attribution.words import attribution
from kg.daybook.record import Claim
from kg.essays.draft_date import made_words, misfit
from kg.essays.draft_text import Sentence, in_words, plain, sentence
from kg.essays.draft_voice import Voice
from kg.essays.hedges import certainty_of, hedge, least_sure
from kg.essays.plan import Bench
from kg.sources_weighed.standing import Step, steps_below_the_best

MADE_BY, ATTRIBUTED = "madeBy", "attributedTo"
HANDS_THAT_MADE = ("assembledBy", "dressedBy", "commissionedBy", "designedBy", "madeAt")
#: Reasons that are told of a ranking, and the least weight, in decibans, of one that speaks against.
MOST_REASONS, AGAINST = 4, -3.0
_REASON_LEADS = ("the strongest reason is", "a further reason is", "another is", "there is also")
#: Excluded makers that are told: those that the piece resembles more than the trade as a whole does.
MOST_EXCLUDED = 2


def maker_paragraphs(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    """The attribution, the makers of the parts, others who had a hand in it, and the maker's story."""
    named = _by_maker(bench.said(voice.piece, MADE_BY))
    if named:
        yield [*_attributed(bench, voice, named), *_former(bench, voice)]
    given = _by_maker(bench.said(voice.piece, ATTRIBUTED))
    yield [s for maker, claims in given.items() for s in _opinion(bench, voice, maker, claims)]
    of_parts, others = [*_of_parts(bench, voice, set(named))], [*_others(bench, voice)]
    if not named and not given:
        if of_parts:
            if not bench.said(voice.piece, "assembledBy"):
                of_parts.append(
                    sentence(f"who put {voice.the_piece} together is not recorded", [], is_own=True)
                )
        else:
            yield from _unidentified(bench, voice)
    yield [*of_parts, *others]
    for maker in list(named)[:1]:
        yield [*story(bench, voice, maker)]


def _by_maker(claims: Sequence[Claim]) -> dict[str, list[Claim]]:
    found: dict[str, list[Claim]] = {}
    for claim in claims:
        found.setdefault(claim.value, []).append(claim)
    return found


def _attributed(bench: Bench, voice: Voice, named: dict[str, list[Claim]]) -> Iterator[Sentence]:
    ordered = sorted(named.items(), key=lambda item: steps_below_the_best(bench.step(item[1][0])))
    if len(ordered) > 1:
        number = in_words(len(ordered))
        every = [claim for claims in named.values() for claim in claims]
        yield sentence(f"{number} makers are named", every, number)
    for maker, claims in ordered:
        certainty = certainty_of(bench.step(claims[0]))
        if len(ordered) > 1:
            certainty = least_sure(certainty, "possibly")
        words = hedge(bench.style.hedges, certainty, "by").text(voice.name(maker))
        yield sentence(f"{voice.the_piece} is {words}", claims)
        yield from _reason(bench, voice, claims)


def _reason(bench: Bench, voice: Voice, claims: Sequence[Claim]) -> Iterator[Sentence]:
    """How the maker is known, first from the piece itself."""
    quoted = [c for c in claims if c.citation.source == voice.piece and c.citation.quotation]
    if quoted:
        words = plain(quoted[0].citation.quotation or "")
        yield sentence(f"{voice.noun.pronoun} is marked “{words}”", quoted[:1])
        return
    step, first = bench.step(claims[0]), claims[0]
    if any(c.citation.source == voice.piece for c in claims) and step in (Step.SEVERAL, Step.FIRST_HAND):
        yield sentence(f"this is read from {voice.the_piece} itself", claims)
    elif step is Step.SEVERAL:
        number = in_words(bench.weighed.counts(first).witnesses)
        yield sentence(f"{number} independent witnesses say so", claims, number)
    elif (told := _BY_STEP.get(step)) is not None:
        yield sentence(told, claims, is_own=True)


#: What is said of how a maker is known, by the standing of the claim.
_BY_STEP = {
    Step.FIRST_HAND: "this is known at first hand",
    Step.SECOND_HAND: "all who say so go back to one witness",
    Step.CONTESTED: "this is contested",
    Step.NOT_KNOWN: "how those who say so know it is not recorded",
    Step.CIRCULAR: "those who say so only follow each other",
    Step.DOUBTED: "we doubt it",
}


def _former(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    """Attributions that were set aside, told as former."""
    live = {claim.value for claim in bench.said(voice.piece, MADE_BY)}
    gone = [
        claim
        for claim in bench.view.claims.values()
        if claim.subject == voice.piece
        and claim.property == MADE_BY
        and bench.view.standing(claim.id) == "setAside"
        and claim.value not in live
    ]
    for maker, claims in _by_maker(gone).items():
        words = hedge(bench.style.hedges, "formerly", "by").text(voice.name(maker))
        yield sentence(f"{voice.noun.pronoun} was {words}", claims)


def _opinion(bench: Bench, voice: Voice, maker: str, claims: Sequence[Claim]) -> Iterator[Sentence]:
    """An attribution by likeness: never more than probable, whoever says it."""
    certainty = least_sure("probably", certainty_of(bench.step(claims[0])))
    words = hedge(bench.style.hedges, certainty, "by").text(voice.name(maker))
    yield sentence(f"{voice.the_piece} is {words}", claims)


def _of_parts(bench: Bench, voice: Voice, makers: set[str]) -> Iterator[Sentence]:
    for part in dict.fromkeys(claim.value for claim in bench.parts(voice.piece)):
        for maker, claims in _by_maker(bench.said(part, MADE_BY)).items():
            if maker in makers:
                continue
            words = hedge(bench.style.hedges, certainty_of(bench.step(claims[0])), "by").text(
                voice.name(maker)
            )
            yield sentence(f"{voice.name(part)} {voice.be(part)} {words}", claims)


def _others(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for claim in bench.said(voice.piece, *HANDS_THAT_MADE):
        yield voice.hedged([claim])


#: What is told of a maker, in this order; of each the best-founded claim.
STORY = ("succeeded", "founded", "activeIn", "ceased")


def story(bench: Bench, voice: Voice, maker: str) -> Iterator[Sentence]:
    """Where the maker worked, from whom the house came, and when it began and ended."""
    told: list[list[Claim]] = [[claim] for claim in bench.said(maker, "workedAt")[:1]]
    for name in STORY:
        claims = bench.said(maker, name)
        if claims:
            best = min(claims, key=lambda c: steps_below_the_best(bench.step(c)))
            told.append([c for c in claims if c.value == best.value])
    for lead, groups in groupby(told, key=voice.lead):
        together = list(groups)
        every = [claim for claims in together for claim in claims]
        yield sentence(f"{lead} {voice.told(claims[0] for claims in together)}", every)
        voice.speaking_of(maker)
    voice.speaking_of(maker, is_spoken_of=False)


def _unidentified(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    """The makers ranked by what is seen: the likeliest with the reasons, and the tempting ones who are excluded."""
    ranking = rank(bench.view, voice.piece, chronology=bench.chronology, inquiry=bench.inquiry)
    words = attribution(ranking)
    lead = sentence(f"no source names the maker of {voice.the_piece}", [], is_own=True)
    if words.maker is None or ranking.leader is None:
        unnamed = hedge(bench.style.hedges, "unidentified", "none").text("")
        yield [lead, sentence(f"{voice.noun.pronoun} is {unnamed}", [], is_own=True)]
    else:
        told = hedge(bench.style.hedges, words.certainty, words.relation).text(voice.name(words.maker))
        reasons = _reasons(ranking, words.maker)
        claims = [claim for reason in reasons for claim in reason.evidence.claims]
        name = voice.name(words.maker)
        yield [lead, sentence(f"on what is seen {voice.noun.pronoun} is {told}", claims, name, is_own=True)]
        yield [*_for_and_against(bench, voice, ranking, words.maker), *_misfit(bench, voice, words.maker)]
    yield [s for out in _tempting(ranking) for s in _excluded(bench, voice, out)]


def _misfit(bench: Bench, voice: Voice, maker: str) -> Iterator[Sentence]:
    """That the likeliest maker cannot fit the date that is printed."""
    found = misfit(bench, voice.piece, maker)
    if found is None:
        return
    date, side = found
    claims = [claim for claim in side.claims if claim.entry]
    told = f"yet {voice.told(claims, pronoun=True)}" if claims else f"yet {voice.name(maker)} cannot have"
    text = f"this maker does not fit the date: {voice.the_piece} {made_words(date)}, {told}"
    yield sentence(text, [*date.claims, *claims], is_own=True)


def _reasons(ranking: Ranking, maker: str) -> list[Reason]:
    return [reason for reason in ranking.reasons(maker) if reason.decibans > 1][:MOST_REASONS]


def _for_and_against(bench: Bench, voice: Voice, ranking: Ranking, maker: str) -> Iterator[Sentence]:
    for number, reason in enumerate(_reasons(ranking, maker)):
        claims = [*reason.evidence.claims, *(example.claim for example in reason.examples)]
        lead = _REASON_LEADS[min(number, len(_REASON_LEADS) - 1)]
        share, own = _share(reason)
        yield sentence(f"{lead} {_found(reason)}{share}", claims, *own, is_own=True)
    against = [r for r in ranking.reasons(maker) if r.decibans < AGAINST]
    for reason in against[-1:]:
        name, own = voice.name(maker), _share(reason)[1]
        text = f"against {name} speaks {_found(reason)}"
        yield sentence(text, reason.evidence.claims, name, *own, is_own=True)


def _found(reason: Reason) -> str:
    """What was found, as it stands behind "the reason is"."""
    kind, found = plain(reason.evidence.label), plain(reason.evidence.found)
    return f"the {kind} “{found}”" if reason.evidence.mark is not None else f"the {kind}: {found}"


def _share(reason: Reason) -> tuple[str, list[str]]:
    """How many recorded pieces of the maker show it, and the figures that were counted."""
    found = plain(reason.evidence.found)
    if reason.evidence.column < 0 or not reason.of:
        return "", [found]
    shown, of = _count(reason.shown), _count(reason.of)
    pieces = "piece" if of == "one" else "pieces"
    return f", as on {shown} of {of} recorded {pieces} of this maker", [shown, of, found]


def _count(number: float) -> str:
    """A count of pieces; a doubted claim counts half, so it may be no whole number."""
    return in_words(int(number)) if float(number).is_integer() else f"{number:g}"


def _tempting(ranking: Ranking) -> list[Candidate]:
    """The makers that what is seen speaks for and the dates exclude."""
    out = [c for c in ranking.candidates if c.exclusion is not None and c.decibans > 0]
    return sorted(out, key=lambda c: -c.decibans)[:MOST_EXCLUDED]


def _excluded(bench: Bench, voice: Voice, out: Candidate) -> Iterator[Sentence]:
    if out.exclusion is None or not out.exclusion.claims:
        return
    name = voice.name(out.maker)
    yield sentence(
        f"{name} is excluded, though {voice.noun.pronoun} is like the pieces of that maker: "
        f"{voice.told(out.exclusion.claims, pronoun=True)}",
        out.exclusion.claims,
        is_own=True,
    )
