"""What the audit asks the daybook: how its claims stand, what each set of claims holds, and what follows from it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from kg.chronology.chronology import Chronology, window_at
from kg.chronology.verdict import Verdict
from kg.dates.edtf import parse_edtf
from kg.daybook.discretion import Discretion, folded
from kg.daybook.record import Claim
from kg.daybook.view import LIVE, WorkingView
from kg.essays.auditing.dates import HeldDate
from kg.essays.auditing.words import any_of, bare, words
from kg.essays.hedges import certainty_of
from kg.essays.plan import Bench
from kg.essays.private_names import private_surnames
from kg.sources_weighed.standing import Step

_WORD = re.compile(r"[^\W_]+(?:[.’'][^\W_]+)*")
_NUMBER = re.compile(r"\d+")
_LETTERS = re.compile(r"[^\W_]+")
SEEN = ("Material", "Technique", "Feature")
NAMES = ("named", "familyName")
PARTS = ("hasOriginalPart", "hasPart", "hasReplacedPart")


@dataclass(frozen=True)
class Held:
    """What some claims hold: names, numbers, measures, words to quote, dates."""

    claims: tuple[Claim, ...]
    texts: tuple[str, ...]
    labels: tuple[str, ...]
    millimetres: tuple[int, ...]
    dates: tuple[HeldDate, ...]

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word, as `bare` writes it."""
        return frozenset(
            bare(part) for text in self.texts for word in _WORD.findall(text) for part in _parts(word)
        )

    @cached_property
    def folded(self) -> str:
        """All the texts for finding a name in, whatever its capitals."""
        return "\n".join(map(folded, self.texts))

    @cached_property
    def numbers(self) -> frozenset[str]:
        """Every number in figures."""
        return frozenset(number for text in self.texts for number in _NUMBER.findall(text))

    @cached_property
    def quotable(self) -> tuple[str, ...]:
        """The texts as `for_quotation` writes them."""
        return tuple(for_quotation(text) for text in self.texts)


def _parts(word: str) -> tuple[str, ...]:
    return (word, *re.split(r"[.’']", word))


def for_quotation(text: str) -> str:
    """A text without capitals, accents, signs and breaks of lines, for comparing what is quoted.

    >>> for_quotation("O. P. / Paris")
    ' o p paris '
    """
    return " ".join(["", *_LETTERS.findall(folded(text)), ""])


class Evidence:
    """A working view made ready for audits; what takes time is worked out once for all essays."""

    def __init__(self, view: WorkingView, today: WorkingView | None = None) -> None:
        self.whole = view
        #: What is confidential by now must not be printed, whatever day is asked for.
        self.today = today or view
        self.bench = Bench(view)
        self.view = self.bench.view
        self._held: dict[tuple[str, ...], Held] = {}
        self._edges: dict[frozenset[str], frozenset[int]] = {}

    @cached_property
    def discretion(self) -> Discretion:
        """What must stay out of print."""
        return Discretion(self.today)

    @cached_property
    def surnames(self) -> re.Pattern[str] | None:
        """Finds the surnames that must stay out of print."""
        return private_surnames(self.today)

    def is_confidential(self, claim: Claim) -> bool:
        """Whether a claim must stay out of print."""
        return claim.id in self.discretion.claims or self.whole.is_confidential(claim)

    @cached_property
    def name_words(self) -> frozenset[str]:
        """Words of the names of makers, owners and places, by which a name at the head of a sentence is known."""
        found = (
            bare(word)
            for slug, thing in self.whole.things.items()
            if self.is_kind(slug, "Actor") or self.is_kind(slug, "Place")
            for word in _WORD.findall(thing.label)
            if word[:1].isupper() and len(word) > 2
        )
        return frozenset(found) - frozenset(words("begins")) - frozenset(bare(w) for w in words("not_a_name"))

    @cached_property
    def kind_words(self) -> frozenset[str]:
        """Words of the classes' names: "the Register" names nobody."""
        kinds = self.whole.vocabulary.kinds.values()
        return frozenset(bare(word) for kind in kinds for word in _WORD.findall(kind.label))

    @cached_property
    def seen(self) -> re.Pattern[str]:
        """Finds the materials, techniques and features on record in a folded text, by name up to the first comma."""
        things = self.whole.things.items()
        labels = (t.label for s, t in things if any(self.is_kind(s, kind) for kind in SEEN))
        names = {folded(re.split(r", | \(", label)[0]) for label in labels}
        return any_of(name for name in names if len(name) > 2)

    def is_kind(self, thing: str, kind: str) -> bool:
        """Whether a thing is of a class."""
        return self.whole.vocabulary.is_a(self.whole.kinds(thing), kind)

    def open_claims(self, ids: Iterable[str]) -> tuple[Claim, ...]:
        """The claims of some ids that are on record and not confidential, whatever their standing."""
        found = (self.whole.claims.get(name) for name in ids)
        return tuple(claim for claim in found if claim is not None and not self.is_confidential(claim))

    def is_live(self, claim: Claim) -> bool:
        """Whether a claim is held or doubted."""
        return self.whole.standing(claim.id) in LIVE

    def step(self, claim: Claim) -> Step:
        """How well a claim stands; what is contested only by datings that cannot fit is not contested."""
        step = self.bench.step(claim)
        if step is not Step.CONTESTED:
            return step
        contrary = self.bench.weighed.statements.contrary(claim)
        if not contrary or not all(self.cannot_fit(other) for other in contrary):
            return step
        counts = self.bench.weighed.counts(claim)
        if counts.witnesses > 1:
            return Step.SEVERAL
        is_first = self.bench.weighed.is_said_first_hand(claim)
        return Step.FIRST_HAND if is_first else Step.SECOND_HAND

    def cannot_fit(self, claim: Claim) -> bool:
        """Whether a claim is a dating that the rest of the record excludes."""
        tested = self.bench.datings.get(claim.id)
        return tested is not None and tested.verdict is Verdict.CANNOT

    def certainty(self, claim: Claim) -> str:
        """The most that may be said on one claim."""
        return certainty_of(self.step(claim))

    # ------------------------------------------------------------ what claims hold

    def held(self, claims: tuple[Claim, ...]) -> Held:
        """What some claims hold together."""
        key = tuple(claim.id for claim in claims)
        found = self._held.get(key)
        if found is None:
            found = self._held[key] = self._hold(claims)
        return found

    def _hold(self, claims: tuple[Claim, ...]) -> Held:
        properties = self.whole.vocabulary.properties
        texts: dict[str, None] = {}
        labels: dict[str, None] = {}
        sizes: list[int] = []
        dates: list[HeldDate] = []
        for claim in claims:
            prop = properties.get(claim.property)
            things = [claim.subject, claim.citation.source, *self.upstream(claim)]
            if prop is not None and prop.is_date:
                dates += self._dates(claim)
            elif prop is not None and prop.is_number:
                sizes += [int(claim.value)] if claim.property.endswith("Mm") else []
                texts[claim.value] = None
            elif prop is not None and prop.is_link:
                things.append(claim.value)
            else:
                texts[claim.value] = None
            texts |= dict.fromkeys(t for t in (claim.citation.quotation, claim.citation.locator) if t)
            for thing in dict.fromkeys(things):
                names = self._names(thing)
                labels |= dict.fromkeys(names)
                texts |= dict.fromkeys((*names, *self._further(thing)))
        return Held(claims, tuple(texts), tuple(labels), tuple(sizes), tuple(dates))

    def _dates(self, claim: Claim) -> Iterator[HeldDate]:
        given = parse_edtf(claim.value)
        wide = self.whole.window(claim)
        if len(given.alternatives) > 1:
            yield from (
                HeldDate(window, window, given.qualifier is not None) for window in given.alternatives
            )
        yield HeldDate(given.window, wide, given.qualifier is not None)

    def _names(self, thing: str) -> tuple[str, ...]:
        said = self.view.by_subject.get(thing, ())
        return (self.whole.label(thing), *(c.value for c in said if c.property in NAMES))

    def _further(self, thing: str) -> Iterator[str]:
        """What can be said of a thing without a claim of its own: letters of a mark, author, piece of a part."""
        for claim in self.view.by_subject.get(thing, ()):
            if claim.property == "transcribed":
                yield claim.value
            elif claim.property == "writtenBy":
                yield self.whole.label(claim.value)
        for claim in self.view.by_value.get(thing, ()):
            if claim.property in PARTS:
                yield self.whole.label(claim.subject)

    def upstream(self, claim: Claim) -> tuple[str, ...]:
        """The sources that the source of a claim follows, itself left out."""
        derivation = self.bench.weighed.derivation
        number = derivation.number.get(claim.citation.source)
        if number is None:
            return ()
        starts = [number, *derivation.of_claim.get(claim.id, ())]
        return tuple(derivation.sources[n] for n in sorted(derivation.above(starts)) if n != number)

    def edges(self, claims: tuple[Claim, ...]) -> frozenset[int]:
        """The limits of the making of pieces and parts, as days, that follow from some claims alone."""
        live = {claim.id: claim for claim in claims if self.is_live(claim)}
        key = frozenset(live)
        found = self._edges.get(key)
        if found is None:
            found = self._edges[key] = frozenset(self._limits(replace(self.view, claims=live)))
        return found

    def _limits(self, view: WorkingView) -> Iterator[int]:
        chronology = Chronology(view)
        for solved in (chronology.evidence, chronology.everything):
            solution = solved.repaired.solution
            for (thing, _), base in chronology.made.bases.items():
                if not self.is_kind(thing, "Artefact"):
                    continue
                window = window_at(solution, base)
                bounds = (window.begin_earliest, window.begin_latest, window.end_earliest, window.end_latest)
                yield from (day for day in bounds if day is not None)

    @cached_property
    def years_allowed(self) -> Mapping[int, str]:
        """The numbers of years that conventions allow, each with one that does."""
        return {c.years: c.label for c in self.whole.vocabulary.conventions.values()}
