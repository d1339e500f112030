"""Sources weighed: how many witnesses a claim has and through whom, and what falls if a source or claim falls."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from kg.asking.bearing import impact_of, is_confidential
from kg.asking.lineage import End, Lineage, lineage, origin_words
from kg.asking.parts import Part, named
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, kinds_text
from kg.asking.weighing import claim_or_source
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed, Witnesses
from kg.sources_weighed.derivation import Derivation, Origin
from kg.sources_weighed.impact import Fall, Impact
from kg.sources_weighed.printed import Sentence
from kg.sources_weighed.standing import standing_of
from kg.sources_weighed.statement import Agreement
from kg.sources_weighed.telling import counted, fewest_sentence, headline, listed, told_wider

#: Lines of one kind that are shown; the rest are counted.
MOST = 12


@dataclass(frozen=True, slots=True)
class Said:
    """Some claims under a heading, the first `MOST` of them."""

    title: str
    rows: tuple[Row, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Change:
    """Something that stands otherwise afterwards: before and after."""

    what: tuple[Part, ...]
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class InPrint:
    """A sentence in print: where it stands, its words, and how it is founded."""

    where: Part
    words: str
    footing: str


@dataclass(frozen=True, slots=True)
class Falling:
    """What falls if something is set aside in thought."""

    title: str
    summary: str
    claims: tuple[Said, ...]
    verdicts: tuple[Change, ...]
    more_verdicts: int
    sentences: tuple[InPrint, ...]
    more_sentences: int
    wider: tuple[Change, ...]
    more_wider: int


@dataclass(frozen=True, slots=True)
class WeighedPage:
    """The weighing of a claim or of a source."""

    name: str
    is_claim: bool
    title: tuple[Part, ...]
    is_confidential: bool
    about: str
    """What kind of thing it is, or where the claim is printed."""
    headline: str
    further: tuple[str, ...]
    """More sentences on how it stands."""
    lineage: Lineage | None
    left_out: str | None
    """Why the picture holds fewer sources than there are, where it does."""
    routes: tuple[tuple[str, tuple[Part, ...]], ...]
    """Routes that share no source: how each begins, and its sources in turn."""
    circles: tuple[tuple[Part, ...], ...]
    said: tuple[Said, ...]
    in_print: tuple[InPrint, ...]
    falls: tuple[Falling, ...]


def sources_to_choose(standpoint: Standpoint) -> tuple[Choice, ...]:
    """The sources of a daybook, by name."""
    return standpoint.kept("sources to choose", lambda: tuple(_choices(standpoint.view)))


def _choices(view: WorkingView) -> Iterable[Choice]:
    things = [t for t in view.things.values() if view.vocabulary.is_a(t.kinds, "Source")]
    for thing in sorted(things, key=lambda t: (t.label.casefold(), t.slug)):
        marks = ", confidential" if thing.is_confidential else ""
        yield Choice(thing.slug, f"{thing.label} ({kinds_text(view, thing.kinds)}{marks})")


# ---------------------------------------------------------------- one claim or source


def weighed_page(standpoint: Standpoint, name: str) -> WeighedPage:
    """The weighing of a claim by its id, or of a source by its id or name.

    :raises kg.asking.weighing.NoSource: if it is a thing that is no source.
    :raises kg.daybook.view.NotInDaybook: if it is neither.
    """
    what = claim_or_source(standpoint.view, name.strip())
    if isinstance(what, str):
        return standpoint.kept(("weighed", what), lambda: _source_page(standpoint, what))
    return standpoint.kept(("weighed", what.id), lambda: _claim_page(standpoint, what))


def _claim_page(standpoint: Standpoint, claim: Claim) -> WeighedPage:
    view, weighed, impact = standpoint.view, standpoint.weighed, impact_of(standpoint)
    answer, standing, shown = weighed.witnesses(claim), standing_of(weighed, claim), row(view, claim)
    fewest = fewest_sentence(answer)
    return WeighedPage(
        claim.id,
        True,
        shown.sentence,
        view.is_confidential(claim),
        view.cite(claim.citation),
        headline(view, answer),
        (*([fewest] if fewest else []), f"Standing: {standing.step.value}.", *standing.reasons),
        _lineage_of_claim(weighed, claim, answer),
        None,
        tuple(_route(weighed, answer, route) for route in answer.possible_routes),
        tuple(_circle(view, circle) for circle in answer.circles),
        _said_of_claim(view, answer),
        tuple(_in_print(impact, sentence) for sentence in impact.printed.on(claim)),
        tuple(_falls_of_claim(impact, claim, answer)),
    )


def _lineage_of_claim(weighed: Weighed, claim: Claim, answer: Witnesses) -> Lineage | None:
    if not answer.stating:
        return None
    derivation = weighed.derivation
    stating = tuple(derivation.number[source] for source in answer.stating)
    more = {
        derivation.number[other.citation.source]: derivation.of_claim[other.id]
        for other, _ in answer.statement.agreeing
        if other.id in derivation.of_claim
    }
    behind = derivation.above([*stating, *(n for above in more.values() for n in above)])
    said = Part(weighed.view.sentence(claim), claim=claim.id)
    end = End(said, weighed.view.is_confidential(claim), claim, stating, more=more)
    return lineage(weighed, behind, frozenset(answer.bottleneck), end)


def _route(weighed: Weighed, answer: Witnesses, route: Sequence[str]) -> tuple[str, tuple[Part, ...]]:
    origin = answer.origins.get(route[0], Origin.NOT_KNOWN)
    begins = "begins first-hand" if origin is Origin.FIRST_HAND else "its beginning is not known"
    return begins, tuple(named(weighed.view, source) for source in route)


def _circle(view: WorkingView, circle: Sequence[str]) -> tuple[Part, ...]:
    return tuple(named(view, source) for source in circle)


def _said_of_claim(view: WorkingView, answer: Witnesses) -> tuple[Said, ...]:
    agreeing = answer.statement.agreeing
    same = [c for c, how in agreeing if how is Agreement.VALUE]
    near = [c for c, how in agreeing if how is Agreement.OVERLAP]
    given = (
        _said(view, "Who says so", same),
        _said(view, "Who says so with an overlapping date", near),
        _said(view, "Against it", answer.statement.contrary),
    )
    return tuple(one for one in given if one.rows)


def _said(view: WorkingView, title: str, claims: Sequence[Claim]) -> Said:
    return Said(title, tuple(row(view, claim) for claim in claims[:MOST]), max(len(claims) - MOST, 0))


def _in_print(impact: Impact, sentence: Sentence) -> InPrint:
    view = impact.weighed.view
    return InPrint(
        named(view, sentence.source),
        sentence.text or view.label(sentence.thing),
        impact.printed.footing(sentence).value,
    )


def _falls_of_claim(impact: Impact, claim: Claim, answer: Witnesses) -> Iterable[Falling]:
    view = impact.weighed.view
    fall, narrow = impact.of(claims=[claim.id]), impact.of_bottleneck(claim)
    with_it = counted(len(fall.following), "other claim falls", "other claims fall")
    yield _falling(fall, "If this claim alone is set aside", f"{with_it} with it.", direct=False)
    if narrow is None:
        return
    names = listed(view, answer.overturning)
    what = "its bottleneck falls" if answer.bottleneck else "all that carry it fall"
    title = f"If {what} as witness to it: {names}"
    if narrow.fallen == fall.fallen:
        yield Falling(title, "The same falls.", (), (), 0, (), 0, (), 0)
    else:
        yield _falling(narrow, title, _summary(narrow))


def _summary(fall: Fall) -> str:
    falls = f"{counted(len(fall.direct), 'claim falls', 'claims fall')}"
    more = f", and {len(fall.following)} more that had it by no other line" if fall.following else ""
    lost = counted(len(fall.unanchored), "claim stands and leads", "claims stand and lead")
    unanchored = f"; {lost} to no first-hand evidence any more" if fall.unanchored else ""
    return f"{falls}{more}{unanchored}."


def _falling(fall: Fall, title: str, summary: str, *, direct: bool = True) -> Falling:
    view = fall.weighed.view
    given = (
        _said(view, "These fall, since they had it by no other line", fall.following),
        _said(view, "These stand, and lead to no first-hand evidence any more", fall.unanchored),
        _said(view, "Its own claims", fall.direct if direct else ()),
    )
    verdicts = [Change(row(view, v.claim).sentence, v.before.value, v.after.value) for v in fall.verdicts]
    wider = [_wider(view, told_wider(view, one)) for one in fall.wider]
    sentences = [_in_print(fall.impact, sentence) for sentence in fall.sentences]
    return Falling(
        title,
        summary,
        tuple(one for one in given if one.rows),
        tuple(verdicts[:MOST]),
        max(len(verdicts) - MOST, 0),
        tuple(sentences[:MOST]),
        max(len(sentences) - MOST, 0),
        tuple(wider[:MOST]),
        max(len(wider) - MOST, 0),
    )


def _wider(view: WorkingView, told: dict[str, Any]) -> Change:
    what = named(view, told["thing"]), Part(f", {told['span']}")
    return Change(what, told["before"]["text"], told["after"]["text"])


def _source_page(standpoint: Standpoint, source: str) -> WeighedPage:
    view, weighed, impact = standpoint.view, standpoint.weighed, impact_of(standpoint)
    derivation = weighed.derivation
    n = derivation.number.get(source)
    below = 0 if n is None else len(derivation.below([n])) - 1
    own = weighed.by_source.get(source, ())
    follow = counted(below, "source follows", "sources follow")
    about = (c for c in view.live if c.property == "sourceContradicts" and source in (c.subject, c.value))
    given = (
        _said(view, "Contradicts another source", list(about)),
        _said(view, "Stated independent", _independent(derivation, source)),
    )
    picture, left_out = _lineage_of_source(weighed, source)
    return WeighedPage(
        source,
        False,
        (named(view, source),),
        is_confidential(view, source),
        kinds_text(view, view.kinds(source)),
        f"{counted(len(own), 'claim cites', 'claims cite')} it; {follow} it, directly or through others. "
        f"Its origin: {origin_words(weighed, source)}.",
        (),
        picture,
        left_out,
        (),
        () if n is None else tuple(_circles_through(weighed, n)),
        tuple(one for one in given if one.rows),
        (),
        (_source_falls(impact, source),),
    )


def _source_falls(impact: Impact, source: str) -> Falling:
    fall = impact.of(sources=[source])
    return _falling(fall, "If this source is set aside", _summary(fall))


def _independent(derivation: Derivation, source: str) -> list[Claim]:
    return [claim for pair, claim in derivation.independent.items() if source in pair]


def _circles_through(weighed: Weighed, n: int) -> Iterable[tuple[Part, ...]]:
    derivation = weighed.derivation
    for members in derivation.circular:
        if n in members:
            yield _circle(weighed.view, [derivation.sources[m] for m in derivation.loop(members)])


#: Sources drawn round one source; beyond, only those next to it are drawn, and then the first of them.
MOST_ROUND = 30


def _lineage_of_source(weighed: Weighed, source: str) -> tuple[Lineage | None, str | None]:
    derivation = weighed.derivation
    n = derivation.number.get(source)
    if n is None:
        return None, None
    every = derivation.above([n]) | derivation.below([n])
    if len(every) < 2:
        return None, None
    shown, left_out = every, None
    if len(every) > MOST_ROUND:
        near = [*derivation.parents.get(n, ()), *derivation.children.get(n, ())]
        shown = frozenset([n, *near[: MOST_ROUND - 1]])
        left_out = (
            f"{counted(len(every) - len(shown), 'further source')} before or after these "
            f"{'is' if len(every) - len(shown) == 1 else 'are'} left out."
        )
    end = End(named(weighed.view, source), is_confidential(weighed.view, source), source=n)
    return lineage(weighed, shown, frozenset(), end), left_out
