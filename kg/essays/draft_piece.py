"""The first sections of a draft: what is seen. The piece, its parts, its materials, its condition."""

from __future__ import annotations

from collections.abc import Iterator

from kg.attribution.observations import Finding, Observation
from kg.daybook.record import Claim
from kg.essays.draft_text import Section, Sentence, in_words, listed, plain, section, sentence, with_article
from kg.essays.draft_voice import Voice
from kg.essays.house import height_in_house
from kg.essays.plan import Bench

NECK, HEAD, BODY, JOINTS = "seen-neck", "seen-head-material", "seen-body", "seen-joints"
HAIR, PATE, HANDS = "seen-hair", "seen-pate", "seen-hands"
#: Features of the face in the order in which a description gives them.
FACE = ("seen-eyes", "seen-mouth", "seen-ears")
#: Features that the opening sentences tell; what is seen besides stands after them.
TOLD = frozenset({NECK, HEAD, BODY, JOINTS, HAIR, PATE, HANDS, *FACE})
SEEN = ("hasFeature", "usesTechnique")


def the_piece(bench: Bench, voice: Voice) -> Section:
    """Kind and size first, then head, body and what else is seen on the piece."""
    return section(
        "The piece",
        [
            [*_opening(bench, voice), *_more_heights(bench, voice)],
            [*_face(bench, voice), *_not_examined(bench, voice)],
            [*_hands(bench, voice), *_other_features(bench, voice), *_size_number(bench, voice)],
        ],
    )


def _opening(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    piece = voice.piece
    heights = bench.said(piece, "heightMm")[:1]
    necks, heads = bench.present(piece, NECK)[:1], bench.present(piece, HEAD)[:1]
    head = _head_words(bench, necks, heads)
    body, bodies = _body_words(bench, piece)
    size = height_in_house(int(heights[0].value)) if heights else ""
    claims = [*heights, *_claims(necks), *_claims(heads), *_claims(bodies)]
    has = " on ".join(filter(None, (head, body)))
    if head and body and (" on " in head or ", " in head):
        has = f"{head}, and {body}"
    stands = f"stands {size} high" if size else ""
    told = " and ".join(filter(None, (stands, f"has {has}" if has else "")))
    if told:
        yield sentence(f"{voice.the_piece} {told}", claims, *([size] if size else []))


def _head_words(bench: Bench, necks: tuple[Observation, ...], heads: tuple[Observation, ...]) -> str:
    material = bench.seen(heads[0].value) if heads else ""
    neck = plain(bench.view.label(necks[0].value)) if necks else ""
    if not neck:
        return f"a head of {material}" if material else ""
    if not material:
        return with_article(neck)
    is_head = neck.split(" on ")[0].endswith("head")
    joined = f"{neck} of {material}" if is_head and " on " not in neck else f"{neck}, the head of {material}"
    return with_article(joined)


def _body_words(bench: Bench, piece: str) -> tuple[str, tuple[Observation, ...]]:
    joints = tuple(o for o in bench.present(piece, JOINTS) if "body" in bench.view.label(o.value))[:1]
    bodies = bench.present(piece, BODY)[:1]
    if joints:
        return bench.seen(joints[0].value), (*joints, *bodies)
    if bodies:
        return f"a body of {bench.seen(bodies[0].value)}", bodies
    return "", ()


def _more_heights(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    first, *others = bench.said(voice.piece, "heightMm") or (None,)
    for claim in others:
        if first is not None and claim.value != first.value:
            size = height_in_house(int(claim.value))
            yield sentence(f"another measurement gives {size}", [claim], size)
    for claim in bench.said(voice.piece, "heightIncludes"):
        yield sentence(f"the height was measured with this on: {plain(claim.value)}", [claim])


def _face(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    """Hair, pate, eyes, mouth and ears in one sentence; what is not shown is said apart."""
    words, absent, claims = [], [], []
    hair, pate = bench.present(voice.piece, HAIR), bench.present(voice.piece, PATE)
    for each in hair:
        words.append(bench.seen(each.value))
    if pate:
        under = bench.seen(pate[0].value)
        is_wigged = bool(words) and "wig" in words[-1]
        words[-1:] = [f"{words[-1]} over {under}"] if is_wigged else [*words[-1:], under]
    claims += [*_claims(hair), *_claims(pate)]
    for feature in FACE:
        for each in bench.present(voice.piece, feature):
            label = plain(bench.view.label(each.value))
            subject, negated, rest = label.partition(" not ")
            if negated and "," not in subject:
                absent.append(f"the {subject} are not {rest}")
            else:
                words.append(with_article(label))
            claims += each.claims
    if words:
        tail = f"; {listed(absent)}" if absent else ""
        yield sentence(f"the head has {listed(words)}{tail}", claims)
    elif absent:
        yield sentence(listed(absent), claims)


def _not_examined(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for each in bench.observations(voice.piece):
        if each.finding is Finding.NOT_EXAMINED:
            name = bench.features.features[each.feature].label
            yield sentence(f"the {name} has not been examined", each.claims)


def _hands(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for each in bench.present(voice.piece, HANDS):
        yield sentence(f"{voice.noun.pronoun} has {bench.seen(each.value)}", each.claims)
    lacking = [o for o in bench.observations(voice.piece) if o.finding is Finding.ABSENT]
    for each in lacking:
        label = plain(bench.view.label(each.value))
        yield sentence(f"{voice.noun.pronoun} has no {label}", each.claims)


def _other_features(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    """What is seen on the piece or a part and has no place in the sentences before."""
    told = {c.id for o in bench.observations(voice.piece) if o.feature in TOLD for c in o.claims}
    used = {o.value for o in bench.observations(voice.piece) if o.feature in TOLD}
    for thing in (voice.piece, *(claim.value for claim in bench.parts(voice.piece))):
        claims = [c for c in bench.said(thing, *SEEN) if c.id not in told and c.value not in used]
        words = list(dict.fromkeys(bench.seen(claim.value) for claim in claims))
        if words:
            yield sentence(f"{voice.name(thing)} also shows {listed(words)}", claims)


def _size_number(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for claim in bench.said(voice.piece, "sizeNumber"):
        yield sentence(f"{voice.noun.pronoun} bears the size number {plain(claim.value)}", [claim])


def _claims(observations: tuple[Observation, ...]) -> list[Claim]:
    return [claim for each in observations for claim in each.claims]


def materials_and_costume(bench: Bench, voice: Voice) -> Section:
    """Materials that are not told with head and body, the parts and whether they are original, the condition."""
    return section(
        "Materials, costume and condition",
        [[*_materials(bench, voice)], [*_originality(bench, voice)], [*_condition(bench, voice)]],
    )


def _materials(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    heads = {o.value for f in (HEAD, BODY) for o in bench.present(voice.piece, f)[:1]}
    told: dict[tuple[str, str], list[Claim]] = {}
    for thing in (voice.piece, *(claim.value for claim in bench.parts(voice.piece))):
        for claim in bench.said(thing, "usesMaterial"):
            if claim.value not in heads:
                told.setdefault((claim.subject, claim.value), []).append(claim)
    for (thing, material), claims in told.items():
        yield sentence(f"{bench.seen(material)} is found on {voice.name(thing)}", claims)
        for available in bench.said(material, "availableFrom")[:1]:
            when = bench.date(available).phrase
            yield sentence(f"this was first to be had {when}", [available])


def _originality(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    parts = bench.parts(voice.piece)
    original = [c for c in parts if c.property == "hasOriginalPart"]
    settled = [c for c in original if not bench.conflicts_of.get(c.id)]
    if settled:
        certainty = bench.certainty(settled)
        adverb = "" if certainty == "held" else f"{certainty} "
        order = list(bench.view.vocabulary.kinds)
        settled.sort(key=lambda c: min((order.index(k) for k in bench.view.kinds(c.value)), default=0))
        names = list(dict.fromkeys(voice.name(c.value) for c in settled))
        verb = "are" if len(names) > 1 else voice.be(settled[0].value)
        yield sentence(f"{listed(names)} {verb} {adverb}original to {voice.the_piece}", settled)
    for claim in original:
        for conflict in bench.conflicts_of.get(claim.id, ())[:1]:
            others = [c for c in conflict.claims if c.id != claim.id]
            name = voice.name(claim.value)
            yield sentence(f"whether {name} {voice.be(claim.value)} original is contested", [claim])
            number = in_words(len(conflict.claims))
            told = (
                f"one account has it so, yet {voice.told(others)}: these {number} claims cannot all be true"
            )
            yield sentence(told, conflict.claims, number)
            yield sentence(f"{name} may have been put to {voice.the_piece} later", [claim], is_own=True)
    for claim in parts:
        if claim.property == "hasReplacedPart":
            yield sentence(f"{voice.name(claim.value)} {voice.be(claim.value)} replaced", [claim])
        elif claim.property == "hasPart":
            yield sentence(
                f"whether {voice.name(claim.value)} {voice.be(claim.value)} original is not recorded",
                [claim],
                is_own=True,
            )


def _condition(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for claim in bench.said(voice.piece, "condition"):
        yield sentence(f"condition: {plain(claim.value).rstrip('.')}", [claim])
