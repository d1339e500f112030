"""Testing a date: of a piece, of anything that has a date, or of a piece that a maker might have made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from kg.chronology.chronology import Asked, Chronology, Conflict
from kg.chronology.local import Limit
from kg.chronology.mark_bounds import MarkBound, ways_to_read
from kg.chronology.network import Supposed
from kg.chronology.verdict import (
    Alternative,
    Dating,
    Decider,
    Fit,
    SetAside,
    Side,
    Strain,
    Verdict,
    judge,
    judge_widened,
)
from kg.dates.edtf import parse_edtf
from kg.dates.phrases import Reading
from kg.dates.window import Window
from kg.daybook.record import Citation, Claim, Draft
from kg.errors import KilnmarkError


class NoDateToTest(KilnmarkError):
    """The thing asked about has no span of time that a date could speak of."""


#: A recorded date with more alternatives than this is not tried one by one.
MOST_ALTERNATIVES = 12


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: a thing, the date as read, perhaps a maker supposed, claims left out and claims supposed."""

    subject: str
    reading: Reading
    maker: str | None = None
    without: frozenset[str] = frozenset()
    supposed: tuple[Draft, ...] = ()


def fit(chronology: Chronology, question: Question) -> Fit:
    """The verdict on a date, with the claims that decide it.

    :raises NoDateToTest: if the thing has no span of time.
    """
    return _Test(chronology, question).answer()


class _Test:
    """One question under way."""

    def __init__(self, chronology: Chronology, question: Question) -> None:
        self.chronology = chronology
        self.view = chronology.view
        self.question = question
        self.supposing: list[Supposed] = [
            (imagined_claim(draft, number), None) for number, draft in enumerate(question.supposed)
        ]
        self.left_out = set(question.without)
        self.thing, self.span = self._target()
        self.core, self.claimed = self._claimed(question.reading)
        if question.maker is not None:
            self._suppose_maker(question.maker)

    def _target(self) -> tuple[str, str]:
        """The thing and the span that the date speaks of."""
        vocabulary, subject = self.view.vocabulary, self.question.subject
        kinds = self.view.kinds(subject)
        for prop in vocabulary.properties.values():
            # A piece that was examined is a source too; the date asked about is that which datings speak of.
            if prop.is_opinion and prop.is_date and prop.rules and vocabulary.is_a(kinds, prop.domain):
                return subject, prop.rules[0].subject_span
            # Of a maker, the time in which pieces can be made.
            if prop.is_attribution and prop.rules and vocabulary.is_a(kinds, prop.range):
                return subject, prop.rules[0].object_span or prop.rules[0].subject_span
        for kind in kinds:
            for above in (kind, *sorted(vocabulary.ancestors.get(kind, ()))):
                if vocabulary.kinds[above].spans:
                    return subject, vocabulary.kinds[above].spans[0]
        named = (
            ", ".join(vocabulary.kinds[k].label for k in kinds if k in vocabulary.kinds)
            or "of no known class"
        )
        raise NoDateToTest(
            f"{self.view.label(subject)} ({named}) has no date to test. Ask about a piece, part or maker."
        )

    def _claimed(self, reading: Reading) -> tuple[Window, Window]:
        """The core and the widened window that are tested; where acts are told apart, those of the making."""
        if reading.window is None or reading.core is None:
            raise NoDateToTest(
                f"{reading.text!r} says that there is no date. Give one to test, such as 'about 1878'."
            )
        if self.view.vocabulary.spans[self.span].is_lasting:
            return reading.core, reading.window
        if reading.making is None:
            raise NoDateToTest(
                f"{reading.text!r} does not say when it was made. Give a date of making to test."
            )
        return reading.making.core, reading.making.window

    def _suppose_maker(self, maker: str) -> None:
        """Suppose another maker in place of the one on record: rivals are not held against each other."""
        prop = next(p for p in self.view.vocabulary.properties.values() if p.is_attribution)
        draft = Draft(self.thing, prop.name, maker, Citation("", "supposed for this question"))
        self.supposing.append((imagined_claim(draft, len(self.supposing)), None))
        recorded = self.view.by_subject.get(self.thing, ())
        self.left_out |= {c.id for c in recorded if c.property == prop.name and c.value != maker}

    def ask(
        self, without: Iterable[str] = (), more: Sequence[Supposed] = (), *, is_strained: bool = False
    ) -> Asked:
        """The evidence (or the strained network) without some claims and with some supposed."""
        aside = frozenset(self.left_out.union(without))
        chronology = self.chronology.leaving_out(aside)
        solved = chronology.strained if is_strained else chronology.evidence
        return chronology.ask(solved, without=aside, supposing=[*self.supposing, *more], soft_too=is_strained)

    def sides(self, asked: Asked) -> tuple[Side, Side]:
        """The earliest day by which making can be over, and the latest by which it can begin.

        Of a stretch that lasts, such as a production, the date is some moment: its earliest begin and latest end count.
        """
        begin = asked.added.point(self.thing, self.span, "begin")
        end = asked.added.point(self.thing, self.span, "end")
        if begin is None or end is None:
            return Side(None), Side(None)
        if self.view.vocabulary.spans[self.span].is_lasting:
            begin, end = end, begin
        return Side(*asked.bound(end, Limit.EARLIEST)), Side(*asked.bound(begin, Limit.LATEST))

    def verdict(self, without: Iterable[str] = (), more: Sequence[Supposed] = ()) -> Verdict:
        """The verdict with some claims left out and some supposed."""
        return self.judged(self.ask(without, more))

    def judged(self, asked: Asked) -> Verdict:
        """The verdict under a network that was asked."""
        if asked.supposition.conflict is not None:
            return Verdict.CANNOT
        low, high = self.sides(asked)
        return judge_widened(self.core, self.claimed, low.day, high.day)

    def answer(self) -> Fit:
        reading, asked = self.question.reading, self.ask()
        if asked.supposition.conflict is not None:
            return self._excluded(*self._clash(asked))
        low, high = self.sides(asked)
        verdict = judge_widened(self.core, self.claimed, low.day, high.day)
        chain = tuple(dict.fromkeys((*low.claims, *high.claims)))
        return Fit(
            subject=self.question.subject,
            maker=self.question.maker,
            phrase=reading.text,
            why_read_so=reading.why,
            core=self.core,
            claimed=self.claimed,
            alternative_dates=reading.alternatives,
            span=self.span,
            verdict=verdict,
            not_before=low,
            not_after=high,
            without_circa=judge(self.core, low.day, high.day) if self.core != self.claimed else None,
            deciders=tuple(self._deciders(chain, verdict)),
            alternatives=(*self._of_phrase(low, high), *self._of_chain(chain), *self._of_marks(verdict)),
            strains=tuple(self._strains(low, high)),
            datings=tuple(self._datings(low, high)),
            set_aside=tuple(self._set_aside(chain)),
        )

    def _clash(self, asked: Asked) -> tuple[list[Claim], tuple[str, ...]]:
        """The claims of the cycle that a supposition closes, and the conventions in it."""
        edges = [asked.edge(edge) for edge in asked.supposition.conflict or ()]
        claims = list(dict.fromkeys(claim for *_, claim, _ in edges if claim is not None))
        whys = [why for *_, why in edges if why.convention]
        return claims, tuple(dict.fromkeys(f"{why.convention} ({why.years} years)" for why in whys))

    def _excluded(self, claims: list[Claim], conventions: tuple[str, ...]) -> Fit:
        """The answer where what is supposed cannot be true at any date: a maker is excluded, a claim is refused."""
        if self.question.maker is None:
            raise SuppositionContradicted(claims)
        without_maker = fit(self.chronology, replace(self.question, maker=None))
        return replace(
            without_maker,
            maker=self.question.maker,
            verdict=Verdict.CANNOT,
            without_circa=None,
            alternatives=(),
            strains=(),
            deciders=tuple(self._deciders(tuple(claims), Verdict.CANNOT)),
            clash=Conflict(tuple(claims), conventions),
        )

    def _deciders(self, chain: tuple[Claim, ...], verdict: Verdict) -> Iterator[Decider]:
        """Each statement of the chain that would change the verdict if it were wrong, with all claims that make it."""
        told: set[tuple[str, str, str]] = set()
        for claim in chain:
            said = (claim.subject, claim.property, claim.value)
            if claim.id not in self.view.claims or said in told:
                continue
            told.add(said)
            same = [
                c
                for c in self.view.by_subject.get(claim.subject, ())
                if _says(c) == said and c.id != claim.id
            ]
            without = [claim.id, *(other.id for other in same)]
            if (other := self.verdict(without)) is not verdict:
                yield Decider(claim, other, tuple(same))

    def _of_phrase(self, low: Side, high: Side) -> Iterator[Alternative]:
        windows = self.question.reading.alternatives
        for window in windows if len(windows) > 1 else ():
            yield Alternative("", window, judge(window, low.day, high.day))

    def _of_chain(self, chain: tuple[Claim, ...]) -> Iterator[Alternative]:
        """Each date that a binding claim leaves open ("1867 or 1876"), tried by itself."""
        for claim in chain:
            if not self.view.vocabulary.property(claim.property).is_date:
                continue
            windows = parse_edtf(claim.value).alternatives
            for number, window in enumerate(windows if 1 < len(windows) <= MOST_ALTERNATIVES else ()):
                tried = imagined_claim(claim.as_draft(), number)
                verdict = self.verdict([claim.id], [(tried, window)])
                yield Alternative(claim.written or claim.value, window, verdict, claim)

    def _of_marks(self, verdict: Verdict) -> Iterator[Alternative]:
        """Each way to read an ambiguous stretch of a mark on the piece, where at least one way changes the verdict."""
        vocabulary = self.view.vocabulary
        for bearing in self.view.by_subject.get(self.thing, ()):
            for claim in (
                self.view.by_subject.get(bearing.value, ()) if bearing.property in self._bearing else ()
            ):
                if (
                    vocabulary.property(claim.property).reads_mark is None
                    or claim.id in self.question.without
                ):
                    continue
                for ways in ways_to_read(claim.value):
                    told = [
                        Alternative(way.what, self.claimed, self._read_so(claim, way.bounds), claim)
                        for way in ways
                    ]
                    if any(alternative.verdict is not verdict for alternative in told):
                        yield from told

    @cached_property
    def _bearing(self) -> frozenset[str]:
        """The properties by which a thing bears a mark."""
        vocabulary = self.view.vocabulary
        marks = {p.domain for p in vocabulary.properties.values() if p.reads_mark is not None}
        return frozenset(p.name for p in vocabulary.properties.values() if p.range in marks and p.rules)

    def _read_so(self, claim: Claim, bounds: tuple[MarkBound, ...]) -> Verdict:
        return self.verdict([claim.id], [(imagined_claim(claim.as_draft(), 0), bounds)])

    def _strains(self, low: Side, high: Side) -> Iterator[Strain]:
        """Where usual and weak rules draw the limits closer than the date allows."""
        asked = self.ask(is_strained=True)
        if asked.supposition.conflict is not None:
            return
        soft_low, soft_high = self.sides(asked)
        claimed = self.claimed
        if (
            soft_low.day is not None
            and soft_low.day != low.day
            and (claimed.first is None or claimed.first < soft_low.day)
        ):
            yield Strain(True, _weakest(soft_low), soft_low.day, soft_low.steps)
        if (
            soft_high.day is not None
            and soft_high.day != high.day
            and (claimed.last is None or claimed.last > soft_high.day)
        ):
            yield Strain(False, _weakest(soft_high), soft_high.day, soft_high.steps)

    def _datings(self, low: Side, high: Side) -> Iterator[Dating]:
        for claim in self.view.by_subject.get(self.thing, ()):
            prop = self.view.vocabulary.properties.get(claim.property)
            if (
                prop is not None
                and prop.is_opinion
                and prop.is_date
                and claim.id not in self.question.without
            ):
                core, window = self.view.core(claim), self.view.window(claim)
                yield Dating(claim, window, judge_widened(core, window, low.day, high.day))

    def _set_aside(self, chain: tuple[Claim, ...]) -> Iterator[SetAside]:
        """The claims that the repair set aside about this thing and those that its chain speaks of."""
        chronology = self.chronology.leaving_out(frozenset(self.left_out))
        evidence = chronology.evidence
        if not evidence.repaired.removed:
            return
        near = {self.thing, *(slug for claim in chain for slug in (claim.subject, claim.value))}
        near |= {claim.value for claim in self.view.by_subject.get(self.thing, ())}
        conflicts = (*evidence.repaired.conflicts, *evidence.all_conflicts.conflicts)
        for number in sorted(evidence.repaired.removed):
            claim = self.view.claims[chronology.made.claim_ids[number]]
            if claim.subject in near or claim.value in near:
                told = next((c for c in conflicts if number in c), frozenset({number}))
                rivals = [evidence.cost[n] for n in told if n != number]
                is_equal = bool(rivals) and min(rivals) <= evidence.cost[number]
                yield SetAside(claim, chronology.conflict(told), self._if_right(chronology, number), is_equal)

    def _if_right(self, chronology: Chronology, number: int) -> Verdict | None:
        """The verdict if a claim that was set aside is right; None if it cannot be."""
        local = chronology.evidence.reading_with(number)
        if local is None:
            return None
        supposing = [(claim, said) for claim, said in self.supposing]
        asked = chronology.ask(chronology.evidence, without=self.left_out, supposing=supposing, local=local)
        return self.judged(asked)


class SuppositionContradicted(KilnmarkError):
    """What was supposed for the question cannot be true beside what is held."""

    def __init__(self, claims: Sequence[Claim]) -> None:
        #: The claims that it contradicts, the supposed ones among them.
        self.claims = tuple(claims)
        super().__init__(
            "What you suppose contradicts what is held: "
            + "; ".join(
                f"{claim.subject} {claim.property} {claim.written or claim.value}" for claim in claims
            )
            + ". Leave one of these out with --without."
        )


def _says(claim: Claim) -> tuple[str, str, str]:
    return (claim.subject, claim.property, claim.value)


def imagined_claim(draft: Draft, number: int) -> Claim:
    """A claim that is supposed for the sake of a question and stands in no entry."""
    return Claim(
        f"supposed-{number + 1}",
        draft.subject,
        draft.property,
        draft.value,
        draft.citation,
        draft.written,
        draft.strength,
        draft.is_confidential,
        "",
    )


def _weakest(side: Side) -> str:
    order = {"weak": 0, "usual": 1, "hard": 2}
    found = [step.why.strength for step in side.steps] + [s.claim.strength for s in side.steps if s.claim]
    return min(found, key=lambda strength: order[strength], default="usual")
