"""What stands beside a piece, in words: comparable pieces, open questions, and cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kg.attribution.observations import Finding, same_things
from kg.chronology.telling import DEFER
from kg.daybook.record import Claim
from kg.essays.draft_text import Section, Sentence, in_words, listed, plain, section, sentence
from kg.essays.draft_voice import Voice
from kg.essays.plan import PARTS, Bench
from kg.marks.rules import cautions_for

#: How many features two pieces must share to be compared by what is seen.
LEAST_SHARED = 3


def comparable_section(bench: Bench, voice: Voice) -> Section:
    """Other pieces of the same mould and model, and those of the maker that are most like it."""
    paragraphs: list[list[Sentence]] = []
    things = (voice.piece, *(claim.value for claim in bench.parts(voice.piece)))
    for thing in things:
        for name, word in (("fromMould", "from this mould"), ("ofModel", "of this model")):
            paragraphs += [[*_same(bench, voice, claim, word)] for claim in bench.said(thing, name)]
    for claim in bench.said(voice.piece, "madeBy")[:1]:
        paragraphs.append([*_like(bench, voice, claim)])
    return section("Comparable pieces", paragraphs)


def _same(bench: Bench, voice: Voice, claim: Claim, word: str) -> Iterator[Sentence]:
    """Rarity with its basis: how many others are recorded, and which."""
    others: dict[str, list[Claim]] = {}
    for other in bench.view.by_value.get(claim.value, ()):
        piece, because = _piece_of(bench, other.subject)
        if other.property == claim.property and piece not in _own(bench, voice):
            others.setdefault(piece, [other, *because])
    if not others:
        yield sentence(f"no other piece {word} is recorded in this daybook", [claim], is_own=True)
        return
    number = in_words(len(others))
    pieces, are = ("piece", "is") if len(others) == 1 else ("pieces", "are")
    named = list(others)[: bench.style.most_compared]
    lead = ": " if len(named) == len(others) else ", among them "
    names = listed([voice.name(piece) for piece in named])
    cited = [c for piece in named for c in others[piece]]
    text = f"{number} other {pieces} {word} {are} recorded{lead}{names}"
    yield sentence(text, [claim, *cited], number, is_own=True)


def _own(bench: Bench, voice: Voice) -> set[str]:
    same = same_things(bench.view, voice.piece)
    return {*same, *(claim.value for claim in bench.parts(voice.piece))}


def _piece_of(bench: Bench, thing: str) -> tuple[str, tuple[Claim, ...]]:
    """The piece that a part belongs to, with the claim that says so; the thing itself if it is no part."""
    for claim in bench.view.by_value.get(thing, ()):
        if claim.property in PARTS:
            return claim.subject, (claim,)
    return thing, ()


def _like(bench: Bench, voice: Voice, claim: Claim) -> Iterator[Sentence]:
    """The maker's pieces that share most with this one in what is seen."""
    own = _values(bench, voice.piece)
    pieces: dict[str, list[Claim]] = {}
    for other in bench.view.by_value.get(claim.value, ()):
        piece, because = _piece_of(bench, other.subject)
        if other.property == claim.property and piece not in _own(bench, voice):
            pieces.setdefault(piece, [other, *because])
    shared = {piece: own.keys() & _values(bench, piece).keys() for piece in pieces}
    best = max(map(len, shared.values()), default=0)
    if best < LEAST_SHARED:
        return
    piece = min(p for p, values in shared.items() if len(values) == best)
    words = listed([bench.seen(value) for value in own if value in shared[piece]])
    claims = [claim, *pieces[piece]]
    for value in own:
        if value in shared[piece]:
            claims += [own[value], _values(bench, piece)[value]]
    yield sentence(
        f"of the recorded pieces by {voice.name(claim.value)}, {voice.name(piece)} is most like "
        f"{voice.the_piece}; they share {words}",
        claims,
        is_own=True,
    )


def _values(bench: Bench, piece: str) -> dict[str, Claim]:
    """What a piece shows, by value, each with the claim that says so."""
    features = bench.features.features
    return {
        o.value: o.claims[0]
        for o in bench.observations(piece)
        if o.finding is Finding.PRESENT
        and o.claims
        and o.feature in features
        and not features[o.feature].values_of
    }


def open_section(bench: Bench, voice: Voice) -> Section:
    """What is not settled: questions with their answers, contested statements, and what cannot all be true."""
    return section(
        "Open questions", [*_questions(bench, voice), *_contested(bench, voice), *_conflicts(bench, voice)]
    )


def _around(bench: Bench, voice: Voice) -> list[str]:
    """The piece, its parts, and what they are of: maker, model, mould, mark."""
    things = [*_own(bench, voice)]
    linked = [
        claim.value
        for thing in things
        for claim in bench.said(thing, "madeBy", "ofModel", "fromMould", "bears", "bearsRegistration")
    ]
    return list(dict.fromkeys([*sorted(things), *linked]))


def _questions(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    asked = [
        claim
        for thing in _around(bench, voice)
        for claim in bench.view.by_value.get(thing, ())
        if claim.property == "askedOf"
    ]
    for claim in asked:
        question = plain(bench.view.label(claim.subject)).rstrip("?.")
        yield [sentence(f"a question is open: {question[:1].lower()}{question[1:]}?", [claim])]
        answers = [c for c in bench.view.by_value.get(claim.subject, ()) if c.property == "answers"]
        for number, answer in enumerate(sorted(answers, key=lambda c: c.subject)):
            yield [*_answer(bench, voice, answer, is_first=number == 0)]


def _answer(bench: Bench, voice: Voice, answer: Claim, *, is_first: bool) -> Iterator[Sentence]:
    """An answer with the claims for it and against it; every answer is told in the same way."""
    lead = "one answer is" if is_first else "another answer is"
    for says in bench.said(answer.subject, "answerIs"):
        yield sentence(f"{lead} {voice.name(says.value)}", [answer, says])
    for name, word in (("supportedBy", "for it stands"), ("disputedBy", "against it stands")):
        links = [c for c in bench.said(answer.subject, name) if c.value in bench.view.claims]
        cited = [bench.view.claims[link.value] for link in links]
        if cited:
            told = listed([f"that {voice.clause(c).text}" for c in cited])
            yield sentence(f"{word} {told}", [*links, *cited])


def _contested(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    """Statements behind the maker and the date that others contradict, both sides with their witnesses."""
    low, high = bench.limits(voice.piece)
    makers = [c.value for c in bench.said(voice.piece, "madeBy")]
    behind = [*low.claims, *high.claims]
    behind += [c for maker in makers for c in bench.said(maker, "founded", "ceased")]
    told: set[str] = set()
    for claim in dict.fromkeys(behind):
        contrary = bench.weighed.statements.contrary(claim)
        if claim.id in told or not contrary:
            continue
        told |= {c.id for c in contrary} | {c.id for c in bench.weighed.statements.saying(claim)}
        yield [*_both_sides(bench, voice, claim, contrary)]


def _both_sides(bench: Bench, voice: Voice, claim: Claim, contrary: Sequence[Claim]) -> Iterator[Sentence]:
    yield sentence(f"some say that {voice.clause(claim).text}", bench.weighed.statements.saying(claim))
    yield from _witnesses(bench, claim)
    for value in dict.fromkeys(c.value for c in contrary):
        others = [c for c in contrary if c.value == value]
        doubted = all(bench.view.standing(c.id) == "doubted" for c in others)
        yield sentence(
            f"others say that {voice.clause(others[0]).text}{', which is doubted' if doubted else ''}", others
        )
        yield from _witnesses(bench, others[0])


def _witnesses(bench: Bench, claim: Claim) -> Iterator[Sentence]:
    """How many witnesses a statement comes to, where that is not plain from who says it."""
    answer = bench.weighed.witnesses(claim)
    stating, count = len(answer.stating), answer.count
    if stating > 1 and count < stating:
        numbers = (in_words(stating), in_words(count))
        witnesses = "witness" if count == 1 else "witnesses"
        yield sentence(
            f"{numbers[0]} sources have it, which come to {numbers[1]} independent {witnesses}",
            [c for c, _ in answer.statement.agreeing],
            *numbers,
            is_own=True,
        )


def _conflicts(bench: Bench, voice: Voice) -> Iterator[list[Sentence]]:
    """Claims on the piece and its sales that cannot all be true, datings and parts apart: these are told elsewhere."""
    things = {*_own(bench, voice)}
    things |= {c.value for c in bench.said(voice.piece, "offeredAt")}
    seen: set[tuple[str, ...]] = set()
    for thing in sorted(things):
        for claim in bench.view.by_subject.get(thing, ()):
            for conflict in bench.conflicts_of.get(claim.id, ()):
                key = tuple(sorted({f"{c.subject} {c.property} {c.value}" for c in conflict.claims}))
                names = {c.property for c in conflict.claims}
                if key in seen or names & {"madeOn", "hasOriginalPart"}:
                    continue
                seen.add(key)
                told = voice.told(conflict.claims)
                yield [sentence(f"these cannot all be true: {told}", conflict.claims, is_own=True)]


def caution_section(bench: Bench, voice: Voice) -> Section:
    """What can hurt or is protected, in the usual words, and whom to ask."""
    told: list[Sentence] = []
    for thing in (voice.piece, *(claim.value for claim in bench.parts(voice.piece))):
        for claim in bench.said(thing, "usesMaterial", "usesTechnique", "hasFeature"):
            told += _caution(bench, claim)
        for claim in bench.said(thing, "hazard"):
            told += [sentence(words, [claim]) for words in _sentences(claim.value)]
    once = list({s.text: s for s in told}.values())
    if once and not any("conservator" in s.text for s in once):
        once.append(sentence(DEFER, [], is_own=True))
    return section("Cautions", [once])


def _caution(bench: Bench, use: Claim) -> Iterator[Sentence]:
    label = plain(bench.view.label(use.value))
    recorded = bench.said(use.value, "hazard")
    for claim in recorded:
        first, *rest = _sentences(claim.value)
        yield sentence(f"{label} — {first[:1].lower()}{first[1:]}", [use, claim])
        yield from (sentence(words, [use, claim]) for words in rest)
    if not recorded:
        for caution in cautions_for(bench.view.label(use.value)):
            for words in _sentences(caution.text):
                yield sentence(words, [use], is_own=True)


def _sentences(text: str) -> list[str]:
    """The sentences of a caution, each of which gets its notes."""
    return [plain(part).rstrip(".") for part in text.replace(". ", ".\n").split("\n") if part.strip()]
