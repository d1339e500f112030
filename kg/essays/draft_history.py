"""The later life of a piece, in words: first sale, owners, sales, exhibitions, plates, and the silences between."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kg.dates.window import Window, civil
from kg.daybook.record import Claim
from kg.essays.draft_date import dated
from kg.essays.draft_text import Section, Sentence, listed, section, sentence, with_article
from kg.essays.draft_voice import Voice
from kg.essays.plan import Bench

OWNED = "ownedBy"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened to a piece: when, as far as is known, and the sentence that tells it."""

    when: Window
    claims: tuple[Claim, ...]
    told: Sentence | None
    """None where another section tells it: the event only breaks a silence here."""
    is_first_sale: bool = False
    ends_silence_as: str = ""
    """What a silence before it is said to last until, where this section does not tell the event."""

    @property
    def place(self) -> tuple[int, int, int]:
        """Its place in the order of time, by years; a first sale of no known date stands first, others last."""
        if self.when.last is None:
            return (0 if self.is_first_sale else 2, 0, 0)
        return 1, civil(self.when.last)[0], self.when.first or 0


def provenance_section(bench: Bench, voice: Voice) -> Section:
    """The chain of owners and sales in order of time; what is silent for long is stated."""
    events = sorted(
        [*_first_sale(bench, voice), *_owners(bench, voice), *_sales(bench, voice), *_shown(bench, voice)],
        key=lambda event: event.place,
    )
    told, private = [*_with_gaps(bench, voice, events)], [*_private(bench, voice)]
    if not any(event.told is not None for event in events):
        told = [] if private else [sentence("no owner or sale is recorded", [], is_own=True)]
    return section("Provenance", [[*told, *private]])


def _first_sale(bench: Bench, voice: Voice) -> Iterator[Event]:
    sellers, dates = bench.said(voice.piece, "soldBy"), bench.said(voice.piece, "soldOn")
    if not (sellers or dates):
        return
    by = f" by {listed(list(dict.fromkeys(voice.name(c.value) for c in sellers)))}" if sellers else ""
    when = f" {bench.date(dates[0]).phrase}" if dates else ""
    told = sentence(f"{voice.the_piece} was first sold{by}{when}", [*sellers, *dates[:1]])
    window = bench.view.window(dates[0]) if dates else Window()
    if not dates:
        high = bench.limits(voice.piece)[1]
        if any(claim in high.claims for claim in sellers):
            window = Window.within(None, high.day)
            yield Event(window, (*sellers, *high.claims), told, is_first_sale=True)
            return
    yield Event(window, (*sellers, *dates[:1]), told, is_first_sale=True)


def _published(bench: Bench, source: str) -> tuple[Window, tuple[Claim, ...]]:
    """When a source was published; unknown for the piece itself and for what has no date."""
    claims = bench.said(source, "publishedOn")[:1]
    return (bench.view.window(claims[0]), claims) if claims else (Window(), ())


def _owners(bench: Bench, voice: Voice) -> Iterator[Event]:
    seen: dict[str, list[Claim]] = {}
    for claim in bench.said(voice.piece, OWNED, "ownedInLifetimeBy"):
        seen.setdefault(claim.value, []).append(claim)
    sold = _sellers(bench, voice)
    for owner, claims in seen.items():
        if owner in sold:
            window, because = sold[owner]
            told = sentence(f"{voice.the_piece} belonged to {voice.name(owner)}", claims)
            yield Event(window, (*claims, *because), told)
            continue
        dated = [(*_published(bench, c.citation.source), c) for c in claims]
        window, publication, claim = min(dated, key=lambda d: (d[0].last is None, d[0].last or 0))
        by = ""
        if window.last is not None:
            year = civil(window.last)[0]
            by = f"by {year} "
        told = sentence(
            f"{by}{voice.the_piece} belonged to {voice.name(owner)}",
            [*claims, *publication],
        )
        yield Event(window, (claim, *publication), told)


def _sellers(bench: Bench, voice: Voice) -> dict[str, tuple[Window, tuple[Claim, ...]]]:
    """Owners from whom a sale of the piece came: they had it until then."""
    found = {}
    for offered in bench.said(voice.piece, "offeredAt"):
        held = bench.said(offered.value, "heldOn")[:1]
        for by in bench.said(offered.value, "consignedBy", "fromTheEstateOf"):
            if held:
                found[by.value] = (bench.view.window(held[0]), (offered, by, *held))
    return found


def _sales(bench: Bench, voice: Voice) -> Iterator[Event]:
    for claim in bench.said(voice.piece, "offeredAt"):
        held, at = bench.said(claim.value, "heldOn")[:1], bench.said(claim.value, "heldAt")[:1]
        sale = voice.name(claim.value)
        place = f" in {voice.name(at[0].value)}" if at and bench.view.label(at[0].value) not in sale else ""
        when = f" {bench.date(held[0]).phrase}" if held else ""
        told = sentence(f"{voice.the_piece} was offered at {sale}{place}{when}", [claim, *held, *at])
        yield Event(bench.view.window(held[0]) if held else Window(), (claim, *held), told)
        for by in bench.said(claim.value, "consignedBy", "fromTheEstateOf"):
            if not bench.conflicts_of.get(by.id):
                window = bench.view.window(held[0]) if held else Window()
                yield Event(window, (claim, by, *held), sentence(f"the sale {_consigned(voice, by)}", [by]))


def _consigned(voice: Voice, claim: Claim) -> str:
    word = "was consigned by" if claim.property == "consignedBy" else "came from the estate of"
    return f"{word} {voice.name(claim.value)}"


def _shown(bench: Bench, voice: Voice) -> Iterator[Event]:
    """Exhibitions and plates break a silence; the next section tells them."""
    for claim in bench.said(voice.piece, "exhibitedAt"):
        held = bench.said(claim.value, "heldOn")[:1]
        if held:
            yield Event(
                bench.view.window(held[0]), (claim, *held), None, ends_silence_as="the exhibition of "
            )
    for claim in bench.said(voice.piece, "illustratedIn"):
        window, publication = _published(bench, claim.value)
        if publication:
            yield Event(window, (claim, *publication), None, ends_silence_as="the publication of ")
    for claim in bench.said(voice.piece, "existedBy"):
        told = sentence(f"{voice.noun.pronoun} was in being by {bench.date(claim).words}", [claim])
        yield Event(bench.view.window(claim), (claim,), told)


def _with_gaps(bench: Bench, voice: Voice, events: Sequence[Event]) -> Iterator[Sentence]:
    """The events in their order; between two that lie far apart, that nothing is recorded."""
    last_day, last_claims = _made(bench, voice.piece)
    roughly = _roughly(bench, last_claims)
    told_years = {_year(event.when) for event in events if event.told is not None}
    for event in events:
        is_open = event.is_first_sale and event.when.first is None  # it may have been sold at once
        begin = event.when.first if event.when.first is not None else event.when.last
        if last_day is not None and begin is not None and event.when.last is not None and not is_open:
            claims = [*last_claims, *event.claims]
            until = "" if _year(event.when) in told_years else event.ends_silence_as
            yield from _gap(bench, last_day, begin, claims, (roughly, until))
        if event.told is not None:
            yield event.told
        if event.when.last is not None and (last_day is None or event.when.last > last_day):
            last_day, last_claims, roughly = event.when.last, event.claims, ""


def _made(bench: Bench, piece: str) -> tuple[int | None, tuple[Claim, ...]]:
    """The last day of the making: of the date that is printed, else a limit to which no convention adds years."""
    found = dated(bench, piece)
    if found is not None and found.dating is not None:
        return bench.view.core(found.dating).last, found.claims
    high = bench.limits(piece)[1]
    is_allowed_for = any(step.why.convention and step.why.years for step in high.steps)
    return (None, ()) if is_allowed_for else (high.day, high.claims)


def _year(when: Window) -> int | None:
    return civil(when.last)[0] if when.last is not None else None


def _roughly(bench: Bench, claims: Sequence[Claim]) -> str:
    """The word for a date of making that is told as rough, so that a silence does not begin more exactly."""
    words = bench.date(claims[0]).words if len(claims) == 1 and claims[0].property == "madeOn" else ""
    return next((f"{word} " for word in ("perhaps", "about") if words.startswith(word)), "")


def _gap(
    bench: Bench, last: int, begin: int, claims: Sequence[Claim], leads: tuple[str, str]
) -> Iterator[Sentence]:
    one, other = civil(last)[0], civil(begin)[0]
    if other - one > bench.style.gap_years:
        years = (str(one), str(other))
        yield sentence(
            f"between {leads[0]}{one} and {leads[1]}{other} nothing is recorded", claims, *years, is_own=True
        )


def _private(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    """That the piece is in private hands, where that is all that may be said."""
    hidden = [
        claim
        for claim in bench.whole.by_subject.get(voice.piece, ())
        if claim.property == OWNED and bench.whole.is_confidential(claim)
    ]
    if hidden:
        yield sentence(f"{voice.the_piece} is in a private collection", [], is_own=True)


def shown_section(bench: Bench, voice: Voice) -> Section:
    """Where the piece was exhibited, and where it is illustrated; the titles stand in the notes."""
    return section("Exhibited and published", [[*_exhibited(bench, voice)], [*_illustrated(bench, voice)]])


def _exhibited(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    for claim in bench.said(voice.piece, "exhibitedAt"):
        held = bench.said(claim.value, "heldOn")[:1]
        when = f" {bench.date(held[0]).phrase}" if held else ""
        yield sentence(f"{voice.the_piece} was exhibited at {voice.name(claim.value)}{when}", [claim, *held])


def _illustrated(bench: Bench, voice: Voice) -> Iterator[Sentence]:
    words, claims = [], []
    plates = bench.said(voice.piece, "illustratedIn")
    for claim in sorted(plates, key=lambda c: _published(bench, c.value)[0].last or 0):
        publication = bench.said(claim.value, "publishedOn")[:1]
        kinds = bench.view.vocabulary.kinds
        known = [kinds[k].label for k in bench.view.kinds(claim.value) if k in kinds]
        of = f" of {bench.date(publication[0]).words}" if publication else ""
        words.append(f"{with_article(known[0] if known else 'source')}{of}")
        claims += [claim, *publication]
    if words:
        yield sentence(f"{voice.noun.pronoun} is illustrated in {listed(words)}", claims)
