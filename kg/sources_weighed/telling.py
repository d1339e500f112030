"""Weighed claims and sources, falls, loose ends and changes in words and as plain tables, for screens and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from kg.chronology.telling import told_claim, told_window, window_text
from kg.dates.window import Window
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed, Witnesses
from kg.sources_weighed.derivation import Origin
from kg.sources_weighed.impact import Fall
from kg.sources_weighed.loose_ends import LooseEnd
from kg.sources_weighed.printed import Printed, Sentence
from kg.sources_weighed.rests import WiderWindow
from kg.sources_weighed.since import Since
from kg.sources_weighed.standing import standing_of

#: Property by which a source as a whole is said to contradict another.
SOURCE_CONTRADICTS = "sourceContradicts"


def counted(count: int, one: str, many: str | None = None) -> str:
    """A number with its noun.

    >>> counted(1, "witness", "witnesses"), counted(2, "source")
    ('1 witness', '2 sources')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def told_sentence(view: WorkingView, claim: Claim) -> str:
    """A claim as a sentence; a claim about a claim is told with that claim's own sentence."""
    prop = view.vocabulary.properties.get(claim.property)
    if prop is None or "Claim" not in (prop.domain, prop.range):
        return view.sentence(claim)
    about = _quoted(view, claim.subject) if prop.domain == "Claim" else view.label(claim.subject)
    value = _quoted(view, claim.value) if prop.range == "Claim" else view.label(claim.value)
    return f"{about} {prop.label} {value}"


def _quoted(view: WorkingView, claim_id: str) -> str:
    claim = view.claims.get(claim_id)
    return f"“{view.sentence(claim)}” ({view.label(claim.citation.source)})" if claim else claim_id


def told(view: WorkingView, claim: Claim) -> dict[str, Any]:
    """A claim with its sentence, citation and standing."""
    return {**told_claim(view, claim), "sentence": told_sentence(view, claim)}


def headline(view: WorkingView, answer: Witnesses) -> str:
    """How many say it, how many witnesses that makes, and through whom all of it passes."""
    if not answer.stating:
        return "No source on record says it any more: the claim is set aside or withdrawn."
    said = counted(len(answer.stating), "source says", "sources say") + " it"
    witnesses = counted(answer.count, "independent witness", "independent witnesses")
    open_lines = answer.possible - answer.count
    if answer.possible == 0:
        return f"{said}; no line leads out of the circle of those who follow each other: it is unanchored."
    if answer.count == 0:
        ends = counted(answer.possible, "line ends", "lines end")
        return f"{said}; {ends} in sources of which nothing is recorded: it is unanchored."
    told_open = f", and at most {open_lines} more, whose origin is not known" if open_lines else ""
    narrow = f"; all of it passes through {listed(view, answer.bottleneck)}" if answer.bottleneck else ""
    return f"{said}; {witnesses}{told_open}{narrow}."


def listed(view: WorkingView, sources: Iterable[str]) -> str:
    """The names of some sources in a row."""
    names = [view.label(source) for source in sources]
    return names[0] if len(names) == 1 else f"{'; '.join(names[:-1])} and {names[-1]}" if names else "nothing"


def told_witnesses(weighed: Weighed, claim: Claim) -> dict[str, Any]:
    """The whole weighing of a claim."""
    view, answer = weighed.view, weighed.witnesses(claim)
    standing = standing_of(weighed, claim)
    return {
        **told(view, claim),
        "headline": headline(view, answer),
        "agreeing": [{**told(view, c), "agreement": how.value} for c, how in answer.statement.agreeing],
        "contrary": [told(view, c) for c in answer.statement.contrary],
        "stating": len(answer.stating),
        "witnesses": answer.count,
        "possible": answer.possible,
        "fewest": answer.fewest,
        "fewest_sentence": fewest_sentence(answer),
        "anchored": answer.is_anchored,
        "routes": [told_route(view, answer, route) for route in answer.routes],
        "possible_routes": [told_route(view, answer, route) for route in answer.possible_routes],
        "bottleneck": [told_source(view, source) for source in answer.bottleneck],
        "overturned_by": [told_source(view, source) for source in answer.overturning],
        "origins": [
            {**told_source(view, source), "origin": origin.value} for source, origin in answer.origins.items()
        ],
        "ties": [
            {"one": view.label(one), "other": view.label(other), "tie": tie.value}
            for one, other, tie in weighed.ties(answer.origins)
        ],
        "circles": [[told_source(view, source) for source in circle] for circle in answer.circles],
        "step": standing.step.value,
        "reasons": list(standing.reasons),
    }


def fewest_sentence(answer: Witnesses) -> str | None:
    """What the worst case makes of the count, where it is less than the most routes."""
    if answer.fewest >= answer.possible or answer.fewest == 0:
        return None
    return (
        f"Some sources follow several others. {counted(answer.fewest, 'beginning')} could account for all of it, "
        f"if each had it from the same."
    )


def told_source(view: WorkingView, source: str) -> dict[str, Any]:
    """A source by its id and name."""
    thing = view.things.get(source)
    return {
        "source": source,
        "label": view.label(source),
        "confidential": bool(thing and thing.is_confidential),
    }


def told_route(view: WorkingView, answer: Witnesses, route: Sequence[str]) -> list[dict[str, Any]]:
    """A route of derivation, from where it begins to the source that says it."""
    steps = [told_source(view, source) for source in route]
    steps[0]["origin"] = answer.origins.get(route[0], Origin.NOT_KNOWN).value
    return steps


def told_weighed_source(weighed: Weighed, source: str) -> dict[str, Any]:
    """What is recorded of a source: where it has its matter from, and who follows it."""
    view, derivation = weighed.view, weighed.derivation
    number = derivation.number.get(source)
    links = {pair: claims for pair, claims in derivation.links.items() if number in pair}
    return {
        **told_source(view, source),
        "origin": (derivation.origin(number) if number is not None else Origin.NOT_KNOWN).value,
        "follows": [_told_link(weighed, high, cs) for (low, high), cs in links.items() if low == number],
        "followed_by": [_told_link(weighed, low, cs) for (low, high), cs in links.items() if high == number],
        "all_that_follow": 0 if number is None else len(derivation.below([number])) - 1,
        "circles": [
            [told_source(view, derivation.sources[n]) for n in derivation.loop(members)]
            for members in derivation.circular
            if number in members
        ],
        "independent": [
            {**told_source(view, other), "claim": claim.id, "citation": view.cite(claim.citation)}
            for pair, claim in derivation.independent.items()
            if source in pair
            for other in sorted(pair - {source})
        ],
        "contradicts": [
            told(view, claim)
            for claim in view.live
            if claim.property == SOURCE_CONTRADICTS and source in (claim.subject, claim.value)
        ],
        "claims": sum(claim.citation.source == source for claim in view.live),
    }


def _told_link(weighed: Weighed, other: int, claims: Sequence[Claim]) -> dict[str, Any]:
    view = weighed.view
    return {
        **told_source(view, weighed.derivation.sources[other]),
        "because": [told(view, claim) for claim in claims],
    }


def told_printed(printed: Printed, sentence: Sentence) -> dict[str, Any]:
    """A printed sentence with its place, its footing, and the claims that it rests on."""
    view = printed.weighed.view
    supports = printed.supports(sentence)
    return {
        "thing": sentence.thing,
        "label": view.label(sentence.thing),
        "text": sentence.text,
        "citation": view.cite(sentence.citation.citation),
        "confidential": any(view.is_confidential(claim) for claim in (sentence.citation, *sentence.claims)),
        "footing": printed.footing(sentence).value,
        "claims": [{**told(view, support.claim), "step": support.step.value} for support in supports],
    }


def told_fall(fall: Fall) -> dict[str, Any]:
    """What falls, what loses its anchor, which windows widen, which verdicts and printed sentences change."""
    view = fall.weighed.view
    return {
        "direct": [told(view, claim) for claim in fall.direct],
        "following": [told(view, claim) for claim in fall.following],
        "unanchored": [told(view, claim) for claim in fall.unanchored],
        "verdicts": [
            {**told(view, v.claim), "before": v.before.value, "after": v.after.value} for v in fall.verdicts
        ],
        "sentences": [told_printed(fall.impact.printed, sentence) for sentence in fall.sentences],
        "datings_fallen": [told(view, dating.claim) for dating in fall.fallen_datings],
        "wider": [told_wider(view, wider) for wider in fall.wider],
    }


def told_wider(view: WorkingView, wider: WiderWindow) -> dict[str, Any]:
    """A span known less closely; where its first and last day are the same, its begin and end tell the difference."""
    thing = view.things.get(wider.thing)
    before, after = window_text(wider.before), window_text(wider.after)
    if before == after:
        before, after = _begin_and_end(wider.before), _begin_and_end(wider.after)
    return {
        "thing": wider.thing,
        "label": view.label(wider.thing),
        "confidential": bool(thing and thing.is_confidential),
        "span": view.vocabulary.spans[wider.span].label,
        "before": {**(told_window(wider.before) or {}), "text": before},
        "after": {**(told_window(wider.after) or {}), "text": after},
    }


def _begin_and_end(window: Window) -> str:
    begin = Window.within(window.begin_earliest, window.begin_latest)
    end = Window.within(window.end_earliest, window.end_latest)
    return f"begun {window_text(begin)}, ended {window_text(end)}"


def told_loose_end(view: WorkingView, end: LooseEnd) -> dict[str, Any]:
    """A loose end with what would settle it and how much would change."""
    return {
        "kind": end.kind.name.lower().replace("_", "-"),
        "open": end.kind.value,
        "things": list(end.things),
        "labels": [view.label(thing) for thing in end.things],
        "claims": [told(view, claim) for claim in end.claims],
        "bears_on_verdicts": end.verdicts,
        "bears_on_sentences": end.sentences,
        "sources": end.sources,
        "said_by": [told_source(view, source) for source in end.said_by],
        "settled_by": end.settled_by,
    }


def told_since(since: Since) -> dict[str, Any]:
    """What was added, judged and decided anew between a past day and now."""
    view = since.now.chronology.view
    return {
        "added": [told(view, claim) for claim in since.added],
        "judged": [
            {
                **told(view, view.claims[judgement.claim]),
                "finds": view.vocabulary.standings[judgement.standing],
                "why": judgement.why,
            }
            for judgement in since.judged
        ],
        "verdicts": [
            {**told(view, v.claim), "then": v.then.value, "now": v.now.value if v.now is not None else None}
            for v in since.verdicts
        ],
        "sentences": [
            {
                "thing": s.sentence.thing,
                "label": view.label(s.sentence.thing),
                "text": s.sentence.text,
                "then": s.then.value,
                "now": s.now.value if s.now is not None else None,
            }
            for s in since.sentences
        ],
    }
