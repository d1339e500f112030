"""From a passage to proposed claims: each shows the words that it rests on, and nothing is recorded by itself.

The rule is small and stated. Link words (the lexicon) say a property; its subject is the first name on the side
that the lexicon gives, or the subject of the words before; its value is the nearest date or name of the right
class. A name that the daybook does not know, or that several things have, gives no proposal: it is told instead.
Denied sentences give none; hedged ones are proposed as weak.
"""

from __future__ import annotations

from dataclasses import dataclass

from kg.daybook.view import WorkingView
from kg.intake.passages.choosing import FIRST, Chooser, Chosen
from kg.intake.passages.clauses import Dated, Sentence, Trigger
from kg.intake.passages.names import Mention, NameIndex
from kg.intake.passages.proposal import NotTaken, Passage, Proposal, Words
from kg.intake.passages.words import words_of
from kg.prose import sentences_of
from kg.vocabulary import Property

#: What is said of a sentence that gives no proposal and no other reason.
NOTHING_FOUND = "nothing was found in this sentence; record by hand what it says"
#: A shop that opened is said to have opened, and not also to have been set up.
_SAID_INSTEAD = {"founded": "openedOn"}


def read_passage(text: str, view: WorkingView, index: NameIndex | None = None) -> Passage:
    """The claims that a passage proposes, in the order of its words."""
    names = index or NameIndex.of(view)
    found: dict[tuple[str, str, str], Proposal] = {}
    not_taken: list[NotTaken] = []
    before: list[str] = []
    language = names.words.language_of(words_of(text))
    for start, end in sentences_of(text, language):
        reader = _SentenceReader(
            view, Sentence(text[start:end], start, words_of(text[start:end]), names), before
        )
        proposals = reader.proposals()
        for proposal in proposals:
            found.setdefault((proposal.subject, proposal.property, proposal.value), proposal)
        not_taken += reader.not_taken
        if not proposals and not reader.not_taken:
            not_taken.append(NotTaken(Words(start, end, text[start:end]), NOTHING_FOUND))
        before = reader.subjects()
    return Passage(text, tuple(found.values()), tuple(dict.fromkeys(not_taken)))


@dataclass(frozen=True, slots=True)
class _Value:
    """A value for a claim, the words that it stands in, and what is to be said of it."""

    value: str
    written: str | None
    first: int
    last: int
    notes: tuple[str, ...] = ()


class _SentenceReader:
    """Reads one sentence; a pronoun at its begin takes up the subjects of the one before."""

    def __init__(self, view: WorkingView, sentence: Sentence, before: list[str]) -> None:
        self.view, self.sentence, self.lexicon = view, sentence, sentence.lexicon
        self.chooser = Chooser(view, sentence, before, self._tell)
        self.found: list[Proposal] = []
        self.not_taken: list[NotTaken] = []

    def subjects(self) -> list[str]:
        """What a pronoun in the next sentence may take up."""
        known = [mention for mention in self.sentence.mentions if mention.is_known]
        return self.chooser.subjects or (list(known[0].exact or known[0].loose) if known else [])

    def proposals(self) -> list[Proposal]:
        """The claims that the sentence proposes."""
        self._life_in_brackets()
        triggers = sorted(self.sentence.triggers, key=lambda t: (t.first, -t.last))
        done: set[tuple[int, str]] = set()
        for trigger in triggers:
            place = (trigger.first, trigger.link.property)
            if place in done or (trigger.first, _SAID_INSTEAD.get(trigger.link.property, "")) in done:
                continue
            if not _is_said_longer(trigger, triggers) and self._try(trigger):
                done.add(place)
        return self.found

    # ------------------------------------------------------------ one link

    def _try(self, trigger: Trigger) -> bool:
        prop = self.view.vocabulary.properties.get(trigger.link.property)
        if self.chooser.is_in_anothers_clause(trigger):
            return False
        values = self._values(trigger, prop) if prop else []
        if prop is None or not values:
            return False
        about = self._about(trigger, prop, values)
        if about is None or not about.slugs:
            return False
        first, last = self.sentence.clause(trigger)
        if (place := self._denied(first, last)) is not None:
            why = f"denied or only intended: “{self.sentence.shown(*place)}”"
            self.not_taken.append(NotTaken(self._words(trigger.first, trigger.last), why))
            return True
        hedge = self.lexicon.first_in("hedge", self.sentence.words, first, last)
        for subject in about.slugs:
            for value in values:
                if value.value != subject:
                    self._propose(trigger, prop, subject, value, about, hedge)
        self._use_up(trigger, prop, about, values)
        return True

    def _denied(self, first: int, last: int) -> tuple[int, int] | None:
        """The word that denies a clause; "and not in 1879" denies the other date, and not the clause."""
        words = self.sentence.words
        place = self.lexicon.first_in("negation", words, first, last)
        while place is not None:
            is_contrast = place[0] > 0 and words[place[0] - 1].plain in self.lexicon.conjunctions
            behind = words[place[1] : place[1] + 3]
            if not (is_contrast and any(word.text[0].isdigit() for word in behind)):
                return place
            place = self.lexicon.first_in("negation", words, place[1], last)
        return None

    def _propose(
        self,
        trigger: Trigger,
        prop: Property,
        subject: str,
        value: _Value,
        about: Chosen,
        hedge: tuple[int, int] | None,
    ) -> None:
        notes = [] if about.mentions else [f"the subject is carried over: {self.view.label(subject)}"]
        notes += [*about.notes, *value.notes]
        if hedge is not None:
            notes.append(f"weak, since the passage says “{self.sentence.shown(*hedge)}”")
        self.found.append(
            Proposal(
                subject,
                prop.name,
                value.value,
                value.written,
                self._words(about.mentions[0].first, about.mentions[-1].last) if about.mentions else None,
                self._words(trigger.first, trigger.last),
                self._words(value.first, value.last),
                self._whole(),
                "weak" if hedge else "hard",
                tuple(dict.fromkeys(notes)),
            )
        )

    def _use_up(self, trigger: Trigger, prop: Property, about: Chosen, values: list[_Value]) -> None:
        """What is a value once is no subject later; what stands on the left is the subject of what follows."""
        for value in values:
            if prop.is_date:
                self.chooser.spent_dates.add(value.first)
            else:
                self.chooser.spent.update(range(value.first, value.last))
        if not about.mentions or about.mentions[0].first < trigger.first:
            self.chooser.subjects = about.slugs

    def _values(self, trigger: Trigger, prop: Property) -> list[_Value]:
        sides: tuple[str, ...] = ("right", "left") if trigger.link.value == "any" else (trigger.link.value,)
        if trigger.first <= FIRST and trigger.link.value_lead:
            sides = tuple(dict.fromkeys((*sides, "right")))
        for side in sides:
            if prop.is_date:
                dated = self.chooser.date(trigger, side)
                if dated is not None:
                    return [_Value(dated.edtf, dated.written, dated.first, dated.last)]
            elif prop.is_link:
                chosen = self.chooser.choose(
                    trigger, side, prop.range, trigger.link.value_lead, is_value=True
                )
                if chosen is not None:
                    notes = tuple(chosen.notes)
                    return [
                        _Value(slug, None, chosen.mentions[0].first, chosen.mentions[-1].last, notes)
                        for slug in chosen.slugs
                    ]
        if prop.is_link and trigger.link.value == "left" and not trigger.link.value_lead:
            return self._carried_values(trigger, prop)
        return []

    def _carried_values(self, trigger: Trigger, prop: Property) -> list[_Value]:
        carried = self.chooser.carried(trigger, prop.range)
        if carried is None:
            return []
        return [
            _Value(
                slug,
                None,
                trigger.first,
                trigger.last,
                (f"the value is carried over: {self.view.label(slug)}",),
            )
            for slug in carried.slugs
        ]

    def _about(self, trigger: Trigger, prop: Property, values: list[_Value]) -> Chosen | None:
        side = trigger.link.about
        if side == "left" and (relative := self.chooser.relative(trigger, prop.domain)) is not None:
            return relative
        taken = [] if prop.is_date else [place for v in values for place in range(v.first, v.last)]
        chosen = self.chooser.choose(
            trigger, side, prop.domain, trigger.link.about_lead, is_value=False, taken=taken
        )
        if chosen is not None or side != "left":
            return chosen
        return (
            self.chooser.possessed(trigger, prop.domain)
            or self.chooser.behind(trigger, prop.domain, taken)
            or self.chooser.carried(trigger, prop.domain)
        )

    # ------------------------------------------------------------ years in brackets

    def _life_in_brackets(self) -> None:
        """ "Gottlob Haubensack (1824–1881)": born and died; after a firm, its years of work."""
        words = self.sentence.words
        for mention in self.sentence.mentions:
            at = mention.last
            if not mention.is_known or at >= len(words) or words[at].text != "(":
                continue
            close = next((place for place in range(at, len(words)) if words[place].text == ")"), at)
            inside = self.sentence.dates(at + 1, close)
            is_whole = len(inside) == 1 and (inside[0].first, inside[0].last) == (at + 1, close)
            if is_whole and "/" in inside[0].edtf:
                self._life(mention, inside[0])

    def _life(self, mention: Mention, dated: Dated) -> None:
        is_other = bool(mention.exact) and not self.chooser.is_a(mention.exact[0], "Person")
        people = [] if is_other else self.chooser.fitting(mention, "Person")
        firms = [] if people else self.chooser.fitting(mention, "Firm")
        claims: list[tuple[str, str, str, str]] = []
        if len(people) == 1:
            begin, _, end = dated.edtf.partition("/")
            years = [part.strip() for part in dated.written.replace("-", "–").split("–")]
            first, last = (years[0], years[1]) if len(years) == 2 else (begin, end)
            claims = [(people[0], "bornOn", begin, first), (people[0], "diedOn", end, last)]
        elif len(firms) == 1:
            claims = [(firms[0], "activeIn", dated.edtf, dated.written)]
        for subject, prop, value, written in claims:
            if value in {"", ".."} or prop not in self.view.vocabulary.properties:
                continue
            self.found.append(
                Proposal(
                    subject,
                    prop,
                    value,
                    written,
                    self._words(mention.first, mention.last),
                    self._words(mention.last, mention.last + 1),
                    self._words(dated.first, dated.last),
                    self._whole(),
                    notes=("years in brackets after a name",),
                )
            )
        self.chooser.spent_dates.add(dated.first)

    # ------------------------------------------------------------ words

    def _words(self, first: int, last: int) -> Words:
        words, start = self.sentence.words, self.sentence.start
        return Words(
            start + words[first].start, start + words[last - 1].end, self.sentence.shown(first, last)
        )

    def _whole(self) -> Words:
        start = self.sentence.start
        return Words(start, start + len(self.sentence.text), self.sentence.text)

    def _tell(self, mention: Mention, why: str) -> None:
        self.not_taken.append(NotTaken(self._words(mention.first, mention.last), why))


def _is_said_longer(trigger: Trigger, triggers: list[Trigger]) -> bool:
    """Whether a longer row of words in the same place says the same property, and so more exactly."""
    return any(
        other.first <= trigger.first
        and other.last > trigger.last
        and other.link.property == trigger.link.property
        for other in triggers
    )
