"""A claim's page: what it says and where, how it stands, who else says so and who says otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from kg.asking.history import Touch, day_of_entry, touch
from kg.asking.mentions import Mentions
from kg.asking.parts import Part
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import kinds_text
from kg.asking.thing import NotOnRecord
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.sources_weighed.printed import Printed
from kg.sources_weighed.telling import fewest_sentence, headline


@dataclass(frozen=True, slots=True)
class Judged:
    """One judgement on a claim: what was found, why, by whom and when."""

    standing: str
    why: str
    researcher: str
    day: str


@dataclass(frozen=True, slots=True)
class ClaimPage:
    """All that a claim's page shows."""

    row: Row
    standing: str
    comment: str
    """What the property means."""
    written: str | None
    """The words of a date as the source prints them, where they are kept."""
    edtf: str | None
    source_kinds: str
    witnesses: str
    fewest: str | None
    step: str
    reasons: tuple[str, ...]
    witness_count: int
    agreeing: tuple[Row, ...]
    contrary: tuple[Row, ...]
    about_it: tuple[Row, ...]
    """Claims about this claim, or that name it."""
    in_print: tuple[Part, ...]
    judgements: tuple[Judged, ...]
    """The last first."""
    entry: Touch | None


def claim_page(standpoint: Standpoint, ident: str) -> ClaimPage:
    """The page of a claim.

    :raises NotOnRecord: if the daybook does not hold it on that day.
    """
    view = standpoint.view
    claim = view.claims.get(ident)
    if claim is None:
        when = f" as the daybook stood on {view.as_of}" if view.as_of else ""
        raise NotOnRecord(
            f"There is no claim {ident!r}{when}. Ids of claims stand beside every reason and row."
        )
    with standpoint.lock:
        return _page(standpoint, claim)


def _page(standpoint: Standpoint, claim: Claim) -> ClaimPage:
    from kg.sources_weighed.standing import standing_of

    view, weighed = standpoint.view, standpoint.weighed
    mentions = standpoint.kept("mentions", lambda: Mentions.of(view))
    prop = view.vocabulary.properties.get(claim.property)
    answer, standing = weighed.witnesses(claim), standing_of(weighed, claim)
    printed = standpoint.kept("printed", lambda: Printed(weighed))
    about = (*mentions.about.get(claim.id, ()), *mentions.leading.get(claim.id, ()))
    return ClaimPage(
        row=row(view, claim),
        standing=view.vocabulary.standings[view.standing(claim.id)],
        comment=prop.comment if prop else "",
        written=claim.written,
        edtf=claim.value if prop is not None and prop.is_date else None,
        source_kinds=kinds_text(view, view.kinds(claim.citation.source)),
        witnesses=headline(view, answer),
        fewest=fewest_sentence(answer),
        step=standing.step.value,
        reasons=tuple(standing.reasons),
        witness_count=answer.count,
        agreeing=tuple(row(view, c) for c, _ in answer.statement.agreeing if c.id != claim.id),
        contrary=tuple(row(view, c) for c in answer.statement.contrary),
        about_it=tuple(row(view, c) for c in about),
        in_print=tuple(
            Part(sentence.text or sentence.thing, thing=sentence.thing) for sentence in printed.on(claim)
        ),
        judgements=_judgements(view, mentions, claim.id),
        entry=touch(view, claim.entry) if claim.entry in view.entries else None,
    )


def _judgements(view: WorkingView, mentions: Mentions, ident: str) -> tuple[Judged, ...]:
    words = view.vocabulary.standings
    return tuple(
        Judged(words.get(j.standing, j.standing), j.why, entry.researcher, day_of_entry(entry.recorded))
        for entry in (view.entries[name] for name in reversed(mentions.judged.get(ident, ())))
        for j in entry.judgements
        if j.claim == ident
    )
