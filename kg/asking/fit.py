"""A date put to the test, as the screen *Fit a date* asks it, and all that its answer shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from kg.chronology.chronology import Chronology, Step
from kg.chronology.fit import Question, SuppositionContradicted, fit
from kg.chronology.telling import ORDER, day_text, headline, told_claim, told_fit
from kg.chronology.verdict import Fit, Side, Verdict
from kg.dates.conventions import DEFAULT, conventions
from kg.dates.phrases import Reading, read_date
from kg.daybook.record import Claim
from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.picture import Picture, picture
from kg.timeline import Timeline, timeline


class SaysNoDate(KilnmarkError):
    """A phrase was tested that says that there is no date."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A question as it is typed on the screen."""

    subject: str
    phrase: str
    maker: str | None = None
    convention: str | None = None
    circa: int | None = None
    """Half-width of circa in years; None leaves it to the convention."""
    without: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a chain of reasons as it is shown."""

    number: int | None
    """The claim's number on the screen; None where a rule speaks without a claim."""
    told: Mapping[str, Any]
    """The claim as `told_claim` tells it; empty for a rule alone."""
    rule: str
    strength: str
    convention: str | None
    follows: str | None
    """What follows so far, such as "death of Adela Brumelow: 31 May 1880"."""
    without: Verdict | None
    """The verdict without this claim, where it would be another."""


@dataclass(frozen=True, slots=True)
class Bound:
    """One limit as it is shown: its day and the links that lead to it."""

    title: str
    day: str | None
    links: tuple[Link, ...]


@dataclass(frozen=True)
class Answer:
    """Everything that the screen shows of one answer."""

    view: WorkingView
    asking: Asking
    reading: Reading
    fit: Fit
    verdict_with_all: Verdict | None
    """The verdict with nothing set aside, where something is set aside and it was another."""
    chronology: Chronology

    @cached_property
    def told(self) -> dict[str, Any]:
        """The answer as plain tables."""
        return told_fit(self.fit, self.view)

    @property
    def headline(self) -> str:
        """The verdict in one sentence."""
        return headline(self.fit, self.view)

    @cached_property
    def numbers(self) -> Mapping[str, int]:
        """The number of each claim that binds or excludes, in the order in which the screen gives them."""
        claims = dict.fromkeys(claim.id for claim in self._binding())
        return {claim: number for number, claim in enumerate(claims, start=1)}

    def _binding(self) -> Iterator[Claim]:
        if self.fit.clash is not None:
            yield from self.fit.clash.claims
        yield from (claim for side in (self.fit.not_before, self.fit.not_after) for claim in side.claims)

    @property
    def excluding(self) -> tuple[tuple[int, dict[str, Any]], ...]:
        """The claims that exclude the maker supposed, with their numbers; none where the maker is possible."""
        return tuple((self.numbers[told["claim"]], told) for told in self.told["excluded_by"])

    @cached_property
    def bounds(self) -> tuple[Bound, Bound]:
        """The two limits, each with its reasons in order from the calendar to the thing."""
        return self._bound("Not before", self.fit.not_before), self._bound("Not after", self.fit.not_after)

    @cached_property
    def timeline(self) -> Timeline:
        """The answer drawn along the years."""
        return timeline(self.fit, self.chronology)

    @cached_property
    def picture(self) -> Picture:
        """The network of the claims that the answer speaks of."""
        return picture(self.view, self.claims, self.fit.subject, self.numbers)

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """The claims that bind, exclude, strain or clash, each once, binding ones first."""
        return tuple(dict.fromkeys(self._claims()))

    def _claims(self) -> Iterator[Claim]:
        yield from self._binding()
        yield from (step.claim for strain in self.fit.strains for step in strain.steps if step.claim)
        yield from (dating.claim for dating in self.fit.datings)
        yield from (claim for aside in self.fit.set_aside for claim in aside.conflict.claims)

    @property
    def left_out(self) -> tuple[dict[str, Any], ...]:
        """The claims set aside for this question."""
        kept = (self.view.claims[claim] for claim in sorted(self.asking.without) if claim in self.view.claims)
        return tuple(told_claim(self.view, claim) for claim in kept)

    def _bound(self, title: str, side: Side) -> Bound:
        steps = [step for step in side.steps if step.claim is not None or step.why.label != ORDER]
        return Bound(
            title, day_text(side.day) if side.day is not None else None, tuple(map(self._link, steps))
        )

    def _link(self, step: Step) -> Link:
        claim, why = step.claim, step.why
        change = next((d.verdict for d in self.fit.deciders if d.claim == claim), None)
        told = told_claim(self.view, claim) if claim else {}
        convention = f"{why.convention} ({why.years} years)" if why.convention else None
        number = self.numbers.get(claim.id) if claim else None
        return Link(number, told, why.label, why.strength, convention, self._follows(step), change)

    def _follows(self, step: Step) -> str | None:
        if step.point is None or step.day is None:
            return None
        span = self.view.vocabulary.spans[step.point.span]
        word = span.begin_word if step.point.end == "begin" else span.end_word
        return f"{word} of {self.view.label(step.point.thing)}: {day_text(step.day)}"


def answer_of(chronology: Chronology, asking: Asking) -> Answer:
    """The answer to a question.

    :raises kg.dates.errors.DateNotUnderstood: if the phrase cannot be read.
    :raises SaysNoDate: if the phrase says that there is no date.
    """
    reading = read_date(asking.phrase, asking.convention or DEFAULT, circa=asking.circa)
    if reading.window is None:
        raise SaysNoDate(f"{asking.phrase!r} says that there is no date. Type a date, such as 'about 1878'.")
    view = chronology.view
    known = replace(asking, without=asking.without & view.claims.keys())
    found = fit(chronology, _question(view, known, reading))
    before = _verdict_with_all(chronology, known, reading) if known.without else None
    if before is found.verdict:
        before = None
    answer = Answer(view, known, reading, found, before, chronology)
    _ = answer.timeline  # drawn here, since it asks the chronology
    return answer


def date_conventions() -> tuple[str, ...]:
    """The names of the date conventions, the house's own first."""
    return (DEFAULT, *sorted(name for name in conventions() if name != DEFAULT))


def _question(view: WorkingView, asking: Asking, reading: Reading) -> Question:
    maker = view.thing(asking.maker).slug if asking.maker else None
    return Question(view.thing(asking.subject).slug, reading, maker, asking.without)


def _verdict_with_all(chronology: Chronology, asking: Asking, reading: Reading) -> Verdict | None:
    """The verdict with nothing set aside; None where the maker supposed would then contradict what is held."""
    try:
        return fit(
            chronology, _question(chronology.view, replace(asking, without=frozenset()), reading)
        ).verdict
    except SuppositionContradicted:
        return None
