"""The working view: what follows from the claims held now, or as of a day."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from kg.dates.conventions import DEFAULT, Convention, ConventionUnknown
from kg.dates.conventions import convention as convention_named
from kg.dates.edtf import parse_edtf
from kg.dates.window import Window
from kg.daybook.record import Citation, Claim, Entry, Judgement, Thing
from kg.errors import KilnmarkError
from kg.vocabulary import Vocabulary

#: Standings whose claims still take part in the working view.
LIVE = frozenset({"held", "doubted"})


class NotInDaybook(KilnmarkError):
    """A thing or claim was named that the daybook does not hold."""


@dataclass(frozen=True)
class WorkingView:
    """Things, claims and judgements as they stand, with the look-ups that every computation needs."""

    vocabulary: Vocabulary
    things: Mapping[str, Thing]
    claims: Mapping[str, Claim]
    """Every claim on record, whatever its standing, in order of entry."""
    judgements: Mapping[str, Judgement]
    """The last judgement on each claim that has one."""
    entries: Mapping[str, Entry]
    revision: str
    as_of: date | None = None
    convention: str | None = None
    """The convention for sources that name none; None is the house's default."""
    ill_formed: Mapping[str, str] = field(default_factory=dict)
    """Claims and judgements that cannot be understood here, and why: they stay on record and take no part."""
    _windows: dict[tuple[str, str | None], Window] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(
        cls,
        vocabulary: Vocabulary,
        entries: Iterable[Entry],
        *,
        revision: str = "",
        as_of: date | None = None,
        convention: str | None = None,
    ) -> WorkingView:
        """The view of some entries, in whatever order they come; later days than ``as_of`` are left out."""
        kept = sorted(
            (entry for entry in entries if as_of is None or entry.recorded.date() <= as_of),
            key=lambda entry: entry.name,
        )
        things: dict[str, Thing] = {}
        claims: dict[str, Claim] = {}
        judgements: dict[str, Judgement] = {}
        sense = Sense(vocabulary)
        ill_formed: dict[str, str] = {}
        for entry in kept:
            for thing in entry.things:
                before = things.get(thing.slug)
                things[thing.slug] = thing if before is None else _joined(before, thing)
            for claim in entry.claims:
                claims.setdefault(claim.id, claim)
                if (why := sense.fault(claim)) is not None:
                    ill_formed[claim.id] = why
            for judgement in entry.judgements:
                if judgement.standing in vocabulary.standings:
                    judgements[judgement.claim] = judgement
        return cls(
            vocabulary,
            things,
            claims,
            judgements,
            {e.name: e for e in kept},
            revision,
            as_of,
            convention,
            ill_formed,
        )

    def standing(self, claim_id: str) -> str:
        """Held, doubted, setAside or withdrawn: what the last judgement found; held where there is none."""
        judged = self.judgements.get(claim_id)
        return judged.standing if judged else "held"

    @cached_property
    def live(self) -> tuple[Claim, ...]:
        """The claims that take part: those held and those doubted that can be understood here."""
        if not self.judgements and not self.ill_formed:
            return tuple(self.claims.values())
        gone = self.ill_formed
        return tuple(c for c in self.claims.values() if c.id not in gone and self.standing(c.id) in LIVE)

    @cached_property
    def passed_over(self) -> tuple[Claim, ...]:
        """The claims that are held or doubted but cannot be understood here; checks name them."""
        found = (self.claims[claim] for claim in self.ill_formed if claim in self.claims)
        return tuple(claim for claim in found if self.standing(claim.id) in LIVE)

    @cached_property
    def by_subject(self) -> Mapping[str, tuple[Claim, ...]]:
        """The live claims about each thing."""
        found: dict[str, list[Claim]] = defaultdict(list)
        for claim in self.live:
            found[claim.subject].append(claim)
        return {slug: tuple(claims) for slug, claims in found.items()}

    @cached_property
    def by_value(self) -> Mapping[str, tuple[Claim, ...]]:
        """The live claims whose value is each thing."""
        found: dict[str, list[Claim]] = defaultdict(list)
        links = {name for name, prop in self.vocabulary.properties.items() if prop.is_link}
        for claim in self.live:
            if claim.property in links:
                found[claim.value].append(claim)
        return {slug: tuple(claims) for slug, claims in found.items()}

    def thing(self, name: str) -> Thing:
        """The thing of that slug, or of that display name if only one has it.

        :raises NotInDaybook: if there is none, or more than one; near ones are named.
        """
        found = self.things.get(name)
        if found is not None:
            return found
        wanted = name.casefold().strip()
        same = [thing for thing in self.things.values() if thing.label.casefold() == wanted]
        if len(same) == 1:
            return same[0]
        if same:
            raise NotInDaybook(
                f"{name!r} names several things: {', '.join(t.slug for t in same)}. Give one of these."
            )
        when = f" as it stood on {self.as_of}" if self.as_of else ""
        raise NotInDaybook(f"{name!r} is not in the daybook{when}.{self.near(wanted)}")

    def near(self, wanted: str) -> str:
        """A sentence with the names nearest to one that was not found."""
        from difflib import get_close_matches

        names = {thing.label.casefold(): thing.slug for thing in self.things.values()}
        names |= {slug.casefold(): slug for slug in self.things}
        hits = (
            get_close_matches(wanted, names, n=3, cutoff=0.5)
            or [n for n in names if wanted and wanted in n][:3]
        )
        slugs = list(dict.fromkeys(names[hit] for hit in hits))
        return f" Near it: {', '.join(slugs)}." if slugs else " Names are listed by `kilnmark list`."

    def claim(self, name: str) -> Claim:
        """The claim of that id, or of the one id that begins so.

        :raises NotInDaybook: if there is none, or more than one.
        """
        found = self.claims.get(name)
        if found is not None:
            return found
        near = [claim for key, claim in self.claims.items() if key.startswith(name)] if len(name) >= 4 else []
        if len(near) == 1:
            return near[0]
        if near:
            raise NotInDaybook(f"{name!r} begins {len(near)} claim ids; write more of it, e.g. {near[0].id}.")
        raise NotInDaybook(
            f"No claim has the id {name!r}. Ids are shown beside every reason that `kilnmark fit` gives."
        )

    def label(self, slug: str) -> str:
        """The display name of a thing, or its slug if it was never described."""
        thing = self.things.get(slug)
        return thing.label if thing else slug

    def kinds(self, slug: str) -> tuple[str, ...]:
        """The classes of a thing; none if it was never described."""
        thing = self.things.get(slug)
        return thing.kinds if thing else ()

    def cite(self, citation: Citation) -> str:
        """A citation as one reads it: the source's name and the locator."""
        return f"{self.label(citation.source)}, {citation.locator}"

    def value_text(self, claim: Claim) -> str:
        """The value of a claim as one reads it: the words for a date, the name of a thing."""
        prop = self.vocabulary.properties.get(claim.property)
        if prop is not None and prop.is_date:
            return claim.written or claim.value
        return self.label(claim.value) if prop is not None and prop.is_link else claim.value

    def sentence(self, claim: Claim) -> str:
        """A claim as a short sentence: subject, property, value."""
        prop = self.vocabulary.properties.get(claim.property)
        return (
            f"{self.label(claim.subject)} {prop.label if prop else claim.property} {self.value_text(claim)}"
        )

    def date_convention(self, claim: Claim) -> Convention:
        """The convention by which the source of a claim reads its dates."""
        source = self.things.get(claim.citation.source)
        own = source.convention if source else None
        if own is not None and not is_convention(own):
            own = None  # `verify` names a source whose convention is unknown here
        return convention_named(own or self.convention or DEFAULT)

    def window(self, claim: Claim) -> Window:
        """What a date claim allows, circa widths of its source's convention applied."""
        convention = self.date_convention(claim)
        key = (claim.value, convention.name)
        found = self._windows.get(key)
        if found is None:
            date_given = parse_edtf(claim.value)
            found = convention.widened(
                date_given.window, date_given.begin_qualifier, date_given.end_qualifier
            )[0]
            self._windows[key] = found
        return found

    def core(self, claim: Claim) -> Window:
        """What a date claim says without any width for circa."""
        return parse_edtf(claim.value).window

    def is_confidential(self, claim: Claim) -> bool:
        """Whether a claim must stay out of print: it says so itself, or speaks of a confidential thing."""
        if claim.is_confidential:
            return True
        named = (claim.subject, claim.value, claim.citation.source)
        if any(slug in self.things and self.things[slug].is_confidential for slug in named):
            return True
        # A claim about a claim says what that one says.
        return any(
            slug in self.claims and slug != claim.id and self.claims[slug].is_confidential for slug in named
        )

    def dates(self) -> Iterator[tuple[Claim, Window]]:
        """Each live date claim with its window."""
        for claim in self.live:
            prop = self.vocabulary.properties.get(claim.property)
            if prop is not None and prop.is_date:
                yield claim, self.window(claim)

    def without(self, claim_ids: Iterable[str]) -> WorkingView:
        """The view with some claims set aside in thought."""
        gone = frozenset(claim_ids)
        kept = {key: claim for key, claim in self.claims.items() if key not in gone}
        return replace(
            self, claims=kept, revision=f"{self.revision}-{','.join(sorted(gone))}", _windows=self._windows
        )


class Sense:
    """Tells which claims a vocabulary can understand; each date is read once."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self._dates: dict[str, str | None] = {}

    def fault(self, claim: Claim) -> str | None:
        """Why a claim can take no part here; None if it can."""
        prop = self.vocabulary.properties.get(claim.property)
        if prop is None:
            return f"the property {claim.property!r} is not in the vocabulary of this daybook"
        if claim.strength not in self.vocabulary.strengths:
            return f"the strength {claim.strength!r} is not in the vocabulary of this daybook"
        if prop.is_number and not _NUMBER.fullmatch(claim.value):
            return f"{claim.value[:40]!r} is no whole number"
        if prop.is_date:
            if claim.value not in self._dates:
                self._dates[claim.value] = _date_fault(claim.value)
            return self._dates[claim.value]
        return None

    def faults_of(self, entry: Entry) -> Iterator[str]:
        """A sentence for all in an entry that takes no part here."""
        for claim in entry.claims:
            if (why := self.fault(claim)) is not None:
                yield f"claim {claim.id} takes no part: {why}"
        for judgement in entry.judgements:
            if judgement.standing not in self.vocabulary.standings:
                told = f"it finds {judgement.standing!r}, which is unknown"
                yield f"a judgement on {judgement.claim} takes no part: {told}"
        for thing in entry.things:
            for kind in thing.kinds:
                if kind not in self.vocabulary.kinds:
                    yield f"{thing.slug} has the class {kind!r}, which is not in the vocabulary of this daybook"
            if thing.convention is not None and not is_convention(thing.convention):
                yield f"{thing.slug} has the unknown convention {thing.convention!r}; the default reads its dates"


_NUMBER = re.compile(r"[+-]?[0-9]{1,18}")


def is_convention(name: str) -> bool:
    """Whether there is a date convention of that name."""
    try:
        convention_named(name)
    except ConventionUnknown:
        return False
    return True


def _date_fault(text: str) -> str | None:
    """Why a text is no date in EDTF that a computation can use; None if it is one."""
    try:
        given = parse_edtf(text)
        convention_named(DEFAULT).widened(given.window, given.begin_qualifier, given.end_qualifier)
    except (ValueError, OverflowError):
        return f"{text[:40]!r} is no date in EDTF that can be read"
    return None


def _joined(before: Thing, later: Thing) -> Thing:
    """A thing described twice: classes add up, the later name stands, confidentiality is never lost."""
    return Thing(
        later.slug,
        tuple(sorted({*before.kinds, *later.kinds})),
        later.label,
        before.is_confidential or later.is_confidential,
        later.convention or before.convention,
    )
