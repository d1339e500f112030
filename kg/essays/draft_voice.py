"""How things are called in the essay on one piece, and how claims are told there as clauses."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kg.attribution.observations import same_things
from kg.daybook.record import Claim
from kg.essays.draft_text import Sentence, listed, plain, sentence
from kg.essays.hedges import lead_of
from kg.essays.house import Noun, clauses, noun_of
from kg.essays.plan import Bench
from kg.sources_weighed.standing import steps_below_the_best

#: Classes whose names are shortened to what stands before the first comma, once they have been given in full.
SHORTENED = ("Actor", "Mould")
#: Classes whose names stand in quotation marks.
QUOTED = ("Mark", "Event")
_PLURAL = {"is": "are", "was": "were", "has": "have", "bears": "bear", "shows": "show", "belongs": "belong"}


@dataclass(frozen=True, slots=True)
class Clause:
    """A claim as a clause: its grammatical subject, and what is said of it."""

    about: str
    subject: str
    predicate: str
    is_of_the_piece: bool = False
    """Whether the claim is one about the piece of the essay itself."""

    @property
    def text(self) -> str:
        """The clause whole."""
        return f"{self.subject} {self.predicate}".strip()


def with_article_of_registration(label: str) -> str:
    """The name of a registration in running text: one that describes it takes its article, a number takes none.

    >>> [with_article_of_registration(t) for t in ("Brevet of Tarn", "Bath design register, no. 4", "D.R.P. 16 204")]
    ['the brevet of Tarn', 'the Bath design register, no. 4', 'D.R.P. 16 204']
    """
    head = re.split(r" (?:of|at|for) |, ", label, maxsplit=1)[0]
    if head == label or re.search(r"[\d.]", head):
        return label
    return f"the {label if ' ' in head else label[:1].lower() + label[1:]}"


class Voice:
    """How things are called in the essay on one piece; a long name is given in full once."""

    def __init__(self, bench: Bench, piece: str) -> None:
        self.bench = bench
        self.view = bench.view
        self.piece = piece
        self.noun: Noun = noun_of(self.view.label(piece))
        self._met: set[str] = set()
        self._again: dict[str, str] = {}
        self._same = frozenset(same_things(self.view, piece))
        self._own = dict.fromkeys(self._same, self.the_piece)
        for claim in bench.parts(piece):
            self._own[claim.value] = f"the {self._part(claim.value)}"

    def _part(self, part: str) -> str:
        kinds = self.view.vocabulary.kinds
        known = [kinds[kind].label for kind in self.view.kinds(part) if kind in kinds]
        return known[0] if known else "part"

    @property
    def the_piece(self) -> str:
        """The piece in running text: "the lady"."""
        return f"the {self.noun.noun}"

    def name(self, slug: str) -> str:
        """A thing in running text: this piece and its parts by their nouns, another piece by its name in italics."""
        if slug in self._own:
            return self._own[slug]
        if slug not in self.view.things:
            return plain(slug)
        label = plain(self.view.label(slug))
        if self.bench.is_kind(slug, "Artefact"):
            return f"*{label}*"
        if any(self.bench.is_kind(slug, kind) for kind in QUOTED):
            return f"“{label}”"
        if any(self.bench.is_kind(slug, kind) for kind in SHORTENED):
            short = label.partition(", ")[0]
            label = short if slug in self._met else label
            self._met.add(slug)
        return with_article_of_registration(label) if self.bench.is_kind(slug, "Registration") else label

    def mark(self, slug: str) -> str:
        """A mark in quotation marks, as transcribed where that is recorded."""
        read = self.bench.said(slug, "transcribed")
        return f"“{plain(read[0].value if read else self.view.label(slug))}”"

    def _subject(self, slug: str, *, pronoun: bool) -> str:
        if pronoun and slug in self._same:
            return self.noun.pronoun
        if slug in self._again:
            return self._again[slug]
        return self.as_subject(slug)

    def speaking_of(self, maker: str, *, is_spoken_of: bool = True) -> None:
        """From here a maker is "the firm", or "the maker" where it is no firm; or again its name."""
        if is_spoken_of:
            self._again[maker] = "the firm" if self.bench.is_kind(maker, "Firm") else "the maker"
        else:
            self._again.pop(maker, None)

    def as_subject(self, slug: str) -> str:
        """A name as the subject of a clause: one that ends in an apposition is closed by a comma."""
        name = self.name(slug)
        return f"{name}," if ", " in name and not name.startswith("“") else name

    def clause(self, claim: Claim, *, pronoun: bool = False) -> Clause:
        """What a claim says, as a clause of a sentence."""
        prop = self.view.vocabulary.properties.get(claim.property)
        pattern = clauses().get(claim.property) or f"{{s}} {prop.label if prop else claim.property} {{v}}"
        is_link = prop is not None and prop.is_link
        date = self.bench.date(claim) if prop is not None and prop.is_date else None
        subject, about, rest = "", claim.subject, pattern
        if pattern.startswith("{s} "):
            subject, rest = self._subject(claim.subject, pronoun=pronoun), pattern[4:]
        elif pattern.startswith("{v} ") and is_link:
            subject, rest, about = self._subject(claim.value, pronoun=pronoun), pattern[4:], claim.value
        words: dict[str, str] = {"q": f"“{plain(claim.value)}”"}
        if "{s}" in rest:
            is_object = pronoun and claim.subject in self._same
            words["s"] = self.noun.object if is_object else self.name(claim.subject)
        value = date.words if date else plain(claim.value)
        if "{v}" in rest:
            words["v"] = self.name(claim.value) if is_link else value
        words |= {"when": date.phrase if date else value, "date": value}
        predicate = rest.format_map(words)
        if self.is_plural(about):
            verb, _, more = predicate.partition(" ")
            predicate = f"{_PLURAL.get(verb, verb)} {more}"
        return Clause(about, subject, predicate, claim.subject in self._same)

    def is_plural(self, slug: str) -> bool:
        """Whether a part of the piece is spoken of in the plural: shoes, papers."""
        return slug in self._own and slug not in self._same and self._own[slug].endswith("s")

    def be(self, slug: str) -> str:
        """ "is" or "are", as a thing is spoken of."""
        return "are" if self.is_plural(slug) else "is"

    def told(self, claims: Iterable[Claim], *, pronoun: bool = False) -> str:
        """Several claims as clauses in a row; neighbours that speak of one thing share their subject."""
        groups: list[list[Clause]] = []
        properties = self.view.vocabulary.properties
        for claim in claims:
            if claim.property in properties and properties[claim.property].is_identity:
                continue  # two records of one thing are one thing in an essay
            clause = self.clause(claim, pronoun=pronoun)
            if groups and groups[-1][0].about == clause.about:
                if clause.predicate not in [c.predicate for c in groups[-1]]:
                    groups[-1].append(clause)
            else:
                groups.append([clause])
        for group in groups:
            subject = group[0].subject
            group.sort(key=lambda clause: not clause.is_of_the_piece)
            group[0] = replace(group[0], subject=subject)
        parts = [f"{g[0].subject} {listed([c.predicate for c in g])}".strip() for g in groups]
        if len(parts) > 1 and any("," in part or " and " in part for part in parts):
            return f"{'; '.join(parts[:-1])}; and {parts[-1]}"
        return listed(parts)

    def hedged(self, claims: Sequence[Claim]) -> Sentence:
        """A clause that claims say together, led by how well it is founded."""
        return sentence(f"{self.lead(claims)} {self.clause(claims[0]).text}", claims)

    def lead(self, claims: Sequence[Claim]) -> str:
        """The words that lead to a statement which rests on some claims; none where all are held."""
        return lead_of(max((self.bench.step(claim) for claim in claims), key=steps_below_the_best))
