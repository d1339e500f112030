"""Competing answers: a ranking kept as an open question, rerun when evidence changes, and what changed since.

Nothing is copied into the daybook but the question, its answers and the claims for and against each. What the ranking
was when it was kept follows from the entries that stood then, so it is computed again, and compared with today's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kg.attribution.candidates import Candidate, Ranking, rank
from kg.attribution.weight import DECIBANS_PER_NAT
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Claim, Draft, Thing
from kg.daybook.view import LIVE, WorkingView
from kg.errors import KilnmarkError

#: Answers that are kept; all of at least this probability, and the decoys that dates rule out.
LEAST, MOST = 0.02, 6
#: Weights nearer to nothing than this, in decibans, are neither for nor against.
TELLING = 1.0


class NoSourceForAnswer(KilnmarkError):
    """A question was to be kept, but no source is named that its claims could cite."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A maker whose place, probability or weight changed between two rankings."""

    maker: str
    before: Candidate | None
    after: Candidate | None
    because: tuple[tuple[str, float, float], ...]
    """Reasons whose weight changed: label, decibans before, decibans after."""


@dataclass(frozen=True)
class Changes:
    """What changed since a question was kept, and why."""

    question: str
    kept: str
    """The name of the entry that kept it."""
    moved: tuple[Moved, ...]
    unrecorded: tuple[float, float]
    added: tuple[Claim, ...]
    """Claims recorded since that this piece's ranking rests on."""
    dropped: tuple[Claim, ...]
    """Claims that it rested on and that no longer stand."""


def question_slug(piece: str) -> str:
    """The id of the question who made a piece."""
    return f"question-who-made-{piece}"


def kept(view: WorkingView, piece: str) -> str | None:
    """The entry in which the question was last kept; None if it never was."""
    slug = question_slug(piece)
    entries = [
        claim.entry for claim in view.claims.values() if claim.subject == slug and claim.property == "askedOf"
    ]
    return max(entries, default=None)


def note_of(ranking: Ranking, researcher: str, source: str | None = None) -> Note:
    """The note that keeps a ranking: question, answers, and the claims for and against each.

    The answers are the makers of at least `LEAST`, at most `MOST` of them, and always "none of these".

    :raises NoSourceForAnswer: if the piece is no source itself and none is named.
    """
    view, piece = ranking.view, ranking.piece
    cited = source or piece
    if not view.vocabulary.is_a(view.kinds(cited), "Source"):
        raise NoSourceForAnswer(
            f"{view.label(cited)} is no source, so the answers would cite nothing. "
            f"Name one with --source, such as your own working notes."
        )
    slug = question_slug(piece)
    things = [Thing(slug, ("Question",), f"Who made {view.label(piece)}?")]
    citation = Citation(cited, "ranked by weight of evidence")
    drafts = [Draft(slug, "askedOf", piece, citation)]
    for candidate in _answers(ranking):
        answer = f"answer-{piece}-{candidate.maker}"
        things.append(Thing(answer, ("Answer",), f"{view.label(candidate.maker)} made {view.label(piece)}"))
        drafts.append(Draft(answer, "answers", slug, citation))
        drafts.append(Draft(answer, "answerIs", candidate.maker, citation))
        drafts += [
            Draft(answer, says, claim, citation) for says, claim in _for_and_against(ranking, candidate)
        ]
    none = f"answer-{piece}-none-of-these"
    things.append(Thing(none, ("Answer",), f"None of these made {view.label(piece)}"))
    drafts.append(Draft(none, "answers", slug, citation))
    return Note(
        researcher, f"Kept as an open question: who made {view.label(piece)}?", tuple(things), tuple(drafts)
    )


def news(view: WorkingView, note: Note) -> Note | None:
    """What a note says that does not stand yet, with the question asked anew; None where all of it stands."""
    stands = {(c.subject, c.property, c.value) for c in view.live}
    things = tuple(thing for thing in note.things if thing.slug not in view.things)
    fresh = [d for d in note.drafts if (d.subject, d.property, d.value) not in stands]
    if not things and not fresh:
        return None
    asked = [d for d in note.drafts if d.property == "askedOf" and d not in fresh]
    return replace(note, things=things, drafts=(*asked, *fresh))


def _answers(ranking: Ranking) -> list[Candidate]:
    if ranking.too_few is not None:
        return []
    leading = [c for c in ranking.candidates if c.exclusion is None and c.probability >= LEAST]
    leading = leading or [c for c in ranking.candidates if c.exclusion is None][:1]
    decoys = [c for c in ranking.candidates if c.exclusion is not None and c.if_not_excluded >= LEAST]
    return [*leading[: MOST - len(decoys)], *decoys][:MOST]


def _for_and_against(ranking: Ranking, candidate: Candidate) -> Iterator[tuple[str, str]]:
    held = ranking.view.claims
    said: dict[str, str] = {}
    if candidate.exclusion is not None:
        said |= {claim.id: "disputedBy" for claim in candidate.exclusion.claims}
    for reason in ranking.reasons(candidate.maker):
        if abs(reason.decibans) >= TELLING:
            for claim in reason.evidence.claims:
                said.setdefault(claim.id, "supportedBy" if reason.decibans > 0 else "disputedBy")
    yield from ((says, claim) for claim, says in said.items() if claim in held)


def view_when(view: WorkingView, entry: str) -> WorkingView:
    """The working view as it stood before an entry was recorded."""
    earlier = [e for name, e in view.entries.items() if name < entry]
    return WorkingView.of(view.vocabulary, earlier, revision=f"before-{entry}", convention=view.convention)


def changes(ranking: Ranking) -> Changes | None:
    """What changed since the piece's question was last kept; None if it never was."""
    entry = kept(ranking.view, ranking.piece)
    if entry is None:
        return None
    before = view_when(ranking.view, entry)
    if ranking.piece not in before.things:
        return None
    return compared(rank(before, ranking.piece, settings=ranking.inquiry.settings), ranking, entry)


def compared(before: Ranking, after: Ranking, entry: str = "") -> Changes:
    """The difference of two rankings of one piece, and the claims that make it."""
    places_before = {c.maker: (n, c) for n, c in enumerate(before.candidates)}
    places_after = {c.maker: (n, c) for n, c in enumerate(after.candidates)}
    moved = []
    for maker in dict.fromkeys([c.maker for c in (*after.candidates, *before.candidates)]):
        old, new = places_before.get(maker), places_after.get(maker)
        if _is_notable(old[1] if old else None, new[1] if new else None):
            because = _because(before, after, maker)
            moved.append(Moved(maker, old[1] if old else None, new[1] if new else None, because))
    added, dropped = _claims_between(before, after)
    return Changes(
        question_slug(after.piece), entry, tuple(moved), (before.unrecorded, after.unrecorded), added, dropped
    )


def _is_notable(old: Candidate | None, new: Candidate | None) -> bool:
    if old is None or new is None:
        return max(c.probability for c in (old, new) if c is not None) >= LEAST
    if (old.exclusion is None) != (new.exclusion is None):
        return True
    is_in_play = max(old.probability, new.probability) >= LEAST
    has_shifted = is_in_play and abs(old.decibans - new.decibans) >= TELLING
    return has_shifted or abs(old.probability - new.probability) >= LEAST / 4


def _because(before: Ranking, after: Ranking, maker: str) -> tuple[tuple[str, float, float], ...]:
    def weights(ranking: Ranking) -> dict[str, float]:
        if maker not in ranking.inquiry.recorded.makers:
            return {}
        at = ranking.inquiry.recorded.makers.index(maker)
        return {e.label: float(e.logs[at]) * DECIBANS_PER_NAT for e in ranking.evidence}

    old, new = weights(before), weights(after)
    found = [(label, old.get(label, 0.0), new.get(label, 0.0)) for label in dict.fromkeys([*new, *old])]
    return tuple(
        sorted((r for r in found if abs(r[1] - r[2]) >= TELLING / 2), key=lambda r: -abs(r[2] - r[1]))
    )


def _claims_between(before: Ranking, after: Ranking) -> tuple[tuple[Claim, ...], tuple[Claim, ...]]:
    """Claims on which the two rankings rest, added and dropped: those about the piece, and those that exclude."""

    def rests_on(ranking: Ranking) -> dict[str, Claim]:
        about = [c for e in ranking.evidence for c in e.claims]
        about += [c for exclusion in ranking.excluded.values() for c in exclusion.claims]
        about += [c for seen in ranking.inquiry.recorded.seen for o in seen for c in o.claims]
        return {c.id: c for c in about}

    old, new = rests_on(before), rests_on(after)
    now, then = after.view, before.view
    added = tuple(c for key, c in new.items() if key not in then.claims)
    dropped = tuple(c for key, c in old.items() if key not in now.claims or now.standing(key) not in LIVE)
    return added, dropped
