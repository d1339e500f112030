"""Whose is it? A piece with its ranking and reasons, what may be supposed of it, and what to look at next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from kg.asking.history import day_of_entry
from kg.asking.loose import all_loose_ends
from kg.asking.observing import (
    LookingGroup,
    Supposed,
    form_of,
    note_of_findings,
    supposed_texts,
    view_with,
)
from kg.asking.parts import Part, named
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, kinds_text
from kg.asking.trust import Trust, trust_of
from kg.attribution.candidates import Ranking, rank
from kg.attribution.change import chance
from kg.attribution.features import Features, load_features
from kg.attribution.inquiry import Inquiry
from kg.attribution.questions import compared, kept, news, note_of, question_slug, view_when
from kg.attribution.shown import percent
from kg.attribution.telling import told_ranking
from kg.chronology.chronology import Chronology
from kg.daybook.daybook import Note
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.sources_weighed.loose_ends import Loose

#: Makers that are ranked on the screen, reasons of each, and weights below which a reason is not told.
TOP, REASONS, LEAST_WEIGHT = 5, 12, 0.5

#: Makers excluded that are told; the likeliest of them first.
MOST_STRUCK = 8


class NothingToKeep(KilnmarkError):
    """A ranking was to be kept that cannot be: it is only supposed, or already kept as it stands."""


@dataclass(frozen=True, slots=True)
class Reason:
    """What speaks for a maker or against, with its weight and its claims."""

    feature: str
    found: str
    decibans: str
    is_for: bool
    share: float
    """Its weight beside the heaviest on the screen, between 0 and 1; for a bar."""
    counted: str
    claims: tuple[Mapping[str, Any], ...]
    is_plain: bool
    """Whether its claims say no more than the feature and what was found."""
    example: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Runner:
    """A maker in the ranking; without a name, the maker not in the daybook or all others together."""

    maker: Part
    is_confidential: bool
    chance: str
    share: float
    decibans: str
    recorded: str
    reasons: tuple[Reason, ...]
    more_reasons: int


@dataclass(frozen=True, slots=True)
class Struck:
    """A maker that the dates rule out, with the claims that cannot all be true together with it."""

    maker: Part
    but_for: str | None
    claims: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True, slots=True)
class NextLook:
    """A look not yet taken: what it is expected to tell, what it takes, what to mind, what may be found."""

    feature: str
    look_for: str
    bits: str
    share: float
    cost: str
    caution: str
    was_tried: bool
    outcomes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A maker whose chance is another than before, and the features that make it so."""

    maker: Part
    before: str
    after: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Whose:
    """The answer for a piece, with what is supposed of it."""

    piece: Part
    kinds: str
    is_confidential: bool
    headline: str
    certainty: str
    basis: str
    too_few: str | None
    runners: tuple[Runner, ...]
    struck: tuple[Struck, ...]
    more_struck: int
    not_asked: str | None
    looks: tuple[NextLook, ...]
    never: tuple[str, ...]
    trust: Trust | None
    supposed: tuple[tuple[str, str], ...]
    moved: tuple[Moved, ...]
    """What the suppositions move."""
    kept_on: str | None
    """When the ranking was last kept as an open question."""
    question: str | None
    needs_source: bool
    """Whether the piece is no source itself, so that a kept ranking must cite another."""


def pieces_to_ask(standpoint: Standpoint) -> tuple[Choice, ...]:
    """The pieces: first those without a maker, then all others, by name."""
    return standpoint.kept("pieces to ask", lambda: tuple(_pieces(standpoint)))


def _pieces(standpoint: Standpoint) -> Iterator[Choice]:
    view = standpoint.view
    open_ = {end.things[0] for end in all_loose_ends(standpoint) if end.kind is Loose.NO_MAKER}
    things = [t for t in view.things.values() if view.vocabulary.is_a(t.kinds, "Piece")]
    for thing in sorted(things, key=lambda t: (t.slug not in open_, t.label.casefold(), t.slug)):
        marks = ["without a maker"] if thing.slug in open_ else []
        marks += ["confidential"] if thing.is_confidential else []
        yield Choice(thing.slug, thing.label + (f" ({', '.join(marks)})" if marks else ""))


def seen_form(standpoint: Standpoint, piece: str) -> tuple[LookingGroup, ...]:
    """The form of what can be seen on a piece."""
    return standpoint.kept(("seen", piece), lambda: _seen_form(standpoint, piece))


def _seen_form(standpoint: Standpoint, piece: str) -> tuple[LookingGroup, ...]:
    recorded = _inquiry(standpoint).recorded
    values = dict(zip(recorded.columns, recorded.values, strict=True))
    return form_of(standpoint.view, _features(), piece, values)


def _features() -> Features:
    return load_features()


def _inquiry(standpoint: Standpoint) -> Inquiry:
    return standpoint.kept("inquiry", lambda: Inquiry.of(standpoint.view))


def whose(standpoint: Standpoint, piece: str, supposed: Supposed = ()) -> Whose:
    """Who a piece may be by, with what is supposed of it.

    :raises kg.attribution.candidates.NotAPiece: if the thing is no piece or part.
    :raises kg.daybook.view.NotInDaybook: if the daybook does not hold it.
    """
    slug = standpoint.view.thing(piece).slug
    return standpoint.kept(("whose", slug, supposed), lambda: _whose(standpoint, slug, supposed))


def _ranked(standpoint: Standpoint, piece: str, supposed: Supposed) -> Ranking:
    return standpoint.kept(("ranking", piece, supposed), lambda: _rank(standpoint, piece, supposed))


def _rank(standpoint: Standpoint, piece: str, supposed: Supposed) -> Ranking:
    """The ranking; what is supposed changes what is known of this piece, and nothing that others teach."""
    inquiry = _inquiry(standpoint)
    if not supposed:
        return rank(standpoint.view, piece, chronology=standpoint.chronology, inquiry=inquiry)
    view = view_with(standpoint.view, _features(), piece, supposed)
    other = Inquiry(replace(inquiry.recorded, view=view), inquiry.settings, inquiry)
    return rank(view, piece, chronology=Chronology(view), inquiry=other)


def _whose(standpoint: Standpoint, piece: str, supposed: Supposed) -> Whose:
    view = standpoint.view
    ranking = _ranked(standpoint, piece, supposed)
    told = told_ranking(ranking, top=TOP)
    thing, words = view.things[piece], told["attribution"]
    struck = [c for c in told["candidates"] if c["is_excluded"]]
    looks = told["next_looks"]
    most_bits = max((look["bits"] for look in looks), default=0.0)
    entry = kept(view, piece)
    return Whose(
        named(view, piece),
        kinds_text(view, thing.kinds),
        thing.is_confidential,
        _capital(words["words"]),
        f"Certainty: {words['certainty']}. Relation: {words['relation']}.",
        f"{_capital(words['basis'])}.",
        told["too_few"],
        tuple(_runners(ranking, told)),
        tuple(_struck(view, one) for one in struck[:MOST_STRUCK]),
        max(len(struck) - MOST_STRUCK, 0),
        _not_asked(told["dates_not_asked"]),
        tuple(_look(look, most_bits) for look in looks),
        tuple(told["never_recorded"]),
        None if told["calibration"] is None else trust_of(told["calibration"]),
        supposed_texts(seen_form(standpoint, piece), supposed),
        tuple(_moved(view, _ranked(standpoint, piece, ()), ranking)) if supposed else (),
        day_of_entry(view.entries[entry].recorded) if entry else None,
        question_slug(piece) if entry else None,
        not view.vocabulary.is_a(thing.kinds, "Source"),
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _not_asked(count: int) -> str | None:
    return f"The dates of {count} unlikely makers were not asked about." if count else None


def _runners(ranking: Ranking, told: Mapping[str, Any]) -> Iterator[Runner]:
    """The leading makers, the maker not in the daybook, and all others together."""
    if told["too_few"]:
        return
    view = ranking.view
    leading = [c for c in told["candidates"] if not c["is_excluded"]]
    weights = [abs(r["decibans"]) for c in leading for r in c["reasons"]]
    heaviest = max(weights, default=0.0) or 1.0
    for one in leading:
        reasons = [r for r in one["reasons"] if abs(r["decibans"]) >= LEAST_WEIGHT]
        # The strongest on either side: they come in order, those for the maker first.
        cut = REASONS // 2
        shown = reasons if len(reasons) <= REASONS else [*reasons[:cut], *reasons[-cut:]]
        yield Runner(
            named(view, one["maker"]),
            view.things[one["maker"]].is_confidential if one["maker"] in view.things else False,
            percent(one["probability"]),
            one["probability"],
            f"{one['decibans']:+.1f}",
            f"{one['recorded_pieces']:g}",
            tuple(_reason(view, r, heaviest) for r in shown),
            len(reasons) - len(shown),
        )
    unrecorded = told["unrecorded_maker"]
    yield Runner(
        Part("A maker not in the daybook"), False, percent(unrecorded), unrecorded, "+0.0", "–", (), 0
    )
    rest = 1 - sum(c["probability"] for c in leading) - unrecorded
    if rest > 5e-4:
        yield Runner(Part("All others together"), False, percent(rest), rest, "", "", (), 0)


def _reason(view: WorkingView, told: Mapping[str, Any], heaviest: float) -> Reason:
    return Reason(
        told["feature"],
        told["found"],
        f"{told['decibans']:+.1f}",
        told["decibans"] > 0,
        min(abs(told["decibans"]) / heaviest, 1.0),
        "; ".join(_counted(told)),
        tuple(told["claims"]),
        told["kind"] == "feature",
        tuple(part for one in told["examples"][:1] for part in _example(view, one)),
    )


def _example(view: WorkingView, told: Mapping[str, Any]) -> tuple[Part, Part]:
    """A recorded piece, and the claim on it by its citation; one that is its own source is not named twice."""
    claim = view.claims[told["claim"]]
    is_own = claim.citation.source == told["piece"]
    cited = claim.citation.locator if is_own else view.cite(claim.citation)
    return named(view, told["piece"]), Part(f", {cited}", claim=claim.id)


def _counted(told: Mapping[str, Any]) -> Iterator[str]:
    if "shown" in told:
        yield f"on {told['shown']:g} of {told['of']:g} recorded pieces of this maker"
        yield f"on {told['trade_shown']:g} of {told['trade_of']:g} in the trade"
    if "cap" in told:
        yield f"at most {told['cap']:.1f} by the marks on record"
    if told["share"] < 1:
        yield f"counts {told['share']:g}, as it repeats another"


def _struck(view: WorkingView, told: Mapping[str, Any]) -> Struck:
    tempting = told["if_not_excluded"]
    is_tempting = tempting is not None and tempting >= 0.01
    return Struck(
        named(view, told["maker"]),
        f"but for this {percent(tempting)}" if is_tempting else None,
        tuple(told["excluded_by"]),
    )


def _look(told: Mapping[str, Any], most: float) -> NextLook:
    return NextLook(
        told["feature"],
        told["look_for"],
        f"{told['bits']:.3f} bits",
        told["bits"] / most if most else 0.0,
        told["cost"],
        told["caution"],
        told["was_tried"],
        tuple(
            f"{one['value']} ({percent(one['chance'])}): then {one['leader']} {percent(one['probability'])}"
            for one in told["outcomes"]
        ),
    )


def _moved(view: WorkingView, before: Ranking, after: Ranking) -> Iterator[Moved]:
    """The makers whose chance is another as it is shown."""
    told = told_ranking(after, top=1, changes=compared(before, after))["changes"]
    yield from _told_moves(view, told["moved"])


def _told_moves(view: WorkingView, moves: Iterable[dict[str, Any]]) -> Iterator[Moved]:
    for one in moves:
        then, now = chance(one, "before"), chance(one, "after")
        if then != now:
            because = tuple(
                f"{r['feature']} {r['decibans_before']:+.1f} → {r['decibans_after']:+.1f}"
                for r in one["because"]
            )
            yield Moved(named(view, one["maker"]), then, now, because)


def since_kept(standpoint: Standpoint, piece: str) -> tuple[Moved, ...] | None:
    """What has moved since the ranking was last kept as a question; None if it never was."""
    return standpoint.kept(("since kept", piece), lambda: _since_kept(standpoint, piece))


def _since_kept(standpoint: Standpoint, piece: str) -> tuple[Moved, ...] | None:
    view = standpoint.view
    entry = kept(view, piece)
    if entry is None:
        return None
    before = view_when(view, entry)
    if piece not in before.things:
        return ()
    return tuple(_moved(view, rank(before, piece), _ranked(standpoint, piece, ())))


def question_note(standpoint: Standpoint, piece: str, researcher: str, source: str | None = None) -> Note:
    """The note that keeps the ranking as an open question with its answers.

    :raises NothingToKeep: if it is kept already and nothing has changed.
    :raises kg.attribution.questions.NoSourceForAnswer: if the piece is no source and none is named.
    """
    view = standpoint.view
    ranking = _ranked(standpoint, piece, ())
    note = note_of(ranking, researcher, source)
    fresh = news(view, note)
    if fresh is None and kept(view, piece) is not None:
        raise NothingToKeep("The question is kept already, and all that it says still stands as it was kept.")
    return fresh or note


def findings_note(standpoint: Standpoint, piece: str, supposed: Supposed, researcher: str) -> Note:
    """The note that records what was supposed as seen.

    :raises kg.asking.observing.NothingSupposed: if there is nothing to record.
    """
    return note_of_findings(standpoint.view, _features(), piece, supposed, researcher)
