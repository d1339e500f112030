"""What the weighing of a claim or source is asked for: witnesses, what falls with it, and what has changed since."""

from __future__ import annotations

from datetime import date
from typing import Any

from kg.attribution.change import told_ranking_change
from kg.attribution.questions import question_slug
from kg.daybook.as_one import as_one, identity_property
from kg.daybook.daybook import Daybook
from kg.daybook.record import Claim
from kg.daybook.view import NotInDaybook, WorkingView
from kg.errors import KilnmarkError
from kg.sources_weighed.dependence import Weighed
from kg.sources_weighed.impact import Fall, Impact
from kg.sources_weighed.printed import Printed
from kg.sources_weighed.standing import step_of
from kg.sources_weighed.telling import (
    headline,
    told,
    told_fall,
    told_printed,
    told_weighed_source,
    told_witnesses,
)


class NoSource(KilnmarkError):
    """A thing was named that is neither a claim nor a source."""


def told_weighing(
    book: Daybook,
    name: str,
    as_of: date | None,
    pieces: tuple[str, ...] = (),
    *,
    with_questions: bool = False,
) -> dict[str, Any]:
    """The weighing of a claim or a source, as of a day where one is named, and then beside today's.

    Things that are recorded as the same count as one. With pieces, or with the questions that are kept, it tells
    too how their rankings change if it is set aside.
    """
    recorded = book.view(as_of)
    found = claim_or_source(recorded, name)
    is_join = not isinstance(found, str) and found.property == identity_property(recorded)
    view = recorded if is_join else as_one(recorded).view
    what = view.claims[found.id] if not isinstance(found, str) else as_one(recorded).slug(found)
    weighed = Weighed(view)
    ranked = [recorded.thing(piece).slug for piece in pieces] + (
        _in_question(recorded) if with_questions else []
    )
    told = _told(weighed, what, list(dict.fromkeys(ranked)))
    told["as_of"] = as_of.isoformat() if as_of else None
    told["today"] = (
        _today(weighed, Weighed(as_one(book.view()).view), what) if as_of and not is_join else None
    )
    return told


def claim_or_source(view: WorkingView, name: str) -> Claim | str:
    """The claim of that id, or the slug of the source of that name.

    :raises NoSource: if it is a thing that is no source.
    :raises kg.daybook.view.NotInDaybook: if it is neither.
    """
    if name in view.claims:
        return view.claims[name]
    try:
        thing = view.thing(name)
    except NotInDaybook:
        try:
            return view.claim(name)
        except NotInDaybook as error:
            raise NotInDaybook(f"{name!r} is neither a source nor a claim of the daybook. {error}") from error
    if not view.vocabulary.is_a(thing.kinds, "Source"):
        raise NoSource(
            f"{thing.label} is no source. Weigh one of its claims; their ids are listed by "
            f"`kilnmark list --claims {thing.slug}`."
        )
    return thing.slug


def _told(weighed: Weighed, what: Claim | str, ranked: list[str]) -> dict[str, Any]:
    def told_with_rankings(fall: Fall) -> dict[str, Any]:
        rankings = [told_ranking_change(weighed.view, fall.fallen, piece) for piece in ranked]
        return {**told_fall(fall), "rankings": rankings}

    impact = Impact(weighed)
    if isinstance(what, str):
        told = told_weighed_source(weighed, what)
        return {**told, "fall": told_with_rankings(impact.of(sources=[what]))}
    told = told_witnesses(weighed, what)
    told["in_print"] = [told_printed(impact.printed, sentence) for sentence in impact.printed.on(what)]
    fall, narrow = impact.of(claims=[what.id]), impact.of_bottleneck(what)
    told["fall"] = told_with_rankings(fall)
    told["fall"]["direct"] = [row for row in told["fall"]["direct"] if row["claim"] != what.id]
    told["fall_of_bottleneck"] = None
    if narrow is not None:
        is_same = narrow.fallen == fall.fallen
        told["fall_of_bottleneck"] = {
            "set_aside": told["overturned_by"], "is_same": is_same, **told_with_rankings(narrow)
        }  # fmt: skip
    return told


def _in_question(view: WorkingView) -> list[str]:
    """The pieces whose ranking is kept as an open question."""
    asked = [claim for claim in view.live if claim.property == "askedOf"]
    return [claim.value for claim in asked if claim.subject == question_slug(claim.value)]


def _today(then: Weighed, now: Weighed, what: Claim | str) -> dict[str, Any]:
    """What has changed since for a claim or source."""
    if isinstance(what, str):
        before, after = (told_weighed_source(w, what) for w in (then, now))
        keys = ("origin", "claims", "all_that_follow")
        return {key: after[key] for key in keys if before[key] != after[key]}
    answer = now.witnesses(what)
    around = [*(claim for claim, _ in answer.statement.agreeing), *answer.statement.contrary]
    return {
        "headline": headline(now.view, answer),
        "step": step_of(now, what).value,
        "added": [told(now.view, claim) for claim in around if claim.id not in then.view.claims],
        "in_print": _footings_changed(Printed(then), Printed(now), what),
    }


def _footings_changed(then: Printed, now: Printed, claim: Claim) -> list[dict[str, Any]]:
    """The printed sentences resting on a claim whose footing was another, or that were not yet on record."""
    before = {sentence.thing: then.footing(sentence).value for sentence in then.on(claim)}
    after = {sentence.thing: now.footing(sentence).value for sentence in now.on(claim)}
    return [
        {"thing": thing, "label": now.weighed.view.label(thing), "then": before.get(thing), "now": footing}
        for thing, footing in after.items()
        if before.get(thing) != footing
    ]
