"""Which names and dates of a sentence belong to its link words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from kg.daybook.view import WorkingView
from kg.intake.passages.clauses import Dated, Sentence, Trigger
from kg.intake.passages.names import Mention

#: A value farther than this many words from the link words is not taken for theirs.
FARTHEST = 12
#: A name so near behind the link words belongs to them, whatever preposition stands between.
NEXT = 2
#: Link words at most so far from the begin of a sentence begin it: "Geboren wurde sie", "In Coburg founded".
FIRST = 2


@dataclass(slots=True)
class Chosen:
    """Things chosen for a place in a claim, and the words that name them; none if carried over."""

    slugs: list[str]
    mentions: list[Mention] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


class Chooser:
    """Chooses subjects and values for the link words of one sentence."""

    def __init__(
        self, view: WorkingView, sentence: Sentence, before: list[str], tell: Callable[[Mention, str], None]
    ) -> None:
        self.view, self.sentence, self.lexicon = view, sentence, sentence.lexicon
        self.before = before
        """The subjects of the sentence before: what a pronoun takes up."""
        self.tell = tell
        self.subjects: list[str] = []
        """The subjects of the words before in this sentence."""
        self.spent: set[int] = set()
        self.spent_dates: set[int] = set()

    def date(self, trigger: Trigger, side: str) -> Dated | None:
        """The nearest date on a side of the link words that has not been used yet."""
        first, last = self._region(trigger, side, for_date=True)
        dates = [date for date in self.sentence.dates(first, last) if date.first not in self.spent_dates]
        if side == "left":
            dates = [date for date in reversed(dates) if trigger.first - date.last <= FARTHEST]
        else:
            dates = [date for date in dates if date.first - trigger.last <= FARTHEST]
        lead = trigger.link.value_lead
        for dated in dates:
            leads = {word.plain for word in self.sentence.words[max(dated.first - 2, 0) : dated.first + 1]}
            if not lead or lead & leads:
                return dated
        return None

    # ------------------------------------------------------------ subjects

    def relative(self, trigger: Trigger, wanted: str) -> Chosen | None:
        """The name that a relative clause follows directly: "Teichgräber, who died in 1897"."""
        words = self.sentence.words
        for place in range(trigger.first - 1, max(trigger.first - 8, 0), -1):
            if words[place].plain in self.lexicon.single("relative") and words[place - 1].text == ",":
                for mention in self.sentence.mentions:
                    if mention.last == place - 1:
                        return self._as_chosen([mention], wanted)
        return None

    def carried(self, trigger: Trigger, wanted: str) -> Chosen | None:
        """The subjects of the words or the sentence before, as far as they are of a class."""
        first = self.sentence.region_before(trigger)
        if self.subjects:
            fitting = [slug for slug in self.subjects if self.is_a(slug, wanted)]
            return Chosen(fitting) if fitting else None
        pronoun = self.lexicon.first_in("pronoun", self.sentence.words, first, trigger.first + 1)
        pronoun = pronoun or self.lexicon.first_in(
            "pronounthing", self.sentence.words, first, trigger.first + 1
        )
        if pronoun is None or not self.before:
            return self._first_in_sentence(trigger, wanted)
        fitting = [slug for slug in self.before if self.is_a(slug, wanted)]
        return Chosen(fitting) if len(fitting) == 1 or fitting == self.before else None

    def _first_in_sentence(self, trigger: Trigger, wanted: str) -> Chosen | None:
        """The first name of the sentence, where nothing before the link words was taken for a subject."""
        for mention in self.sentence.mentions:
            if mention.last > trigger.first:
                return None
            if mention.first not in self.spent and not self._lead_of(mention, 0) & self.lexicon.single("by"):
                return self._as_chosen([mention], wanted) if mention.is_known else None
        return None

    def behind(self, trigger: Trigger, wanted: str, taken: Iterable[int]) -> Chosen | None:
        """The name that follows the link words, in a sentence that begins with them or has its verb second."""
        gone = set(taken) | self.spent
        is_first = trigger.first <= FIRST
        if not is_first and self.sentence.language == "en":
            return None
        passed: set[int] = set()
        for mention in self.sentence.mentions:
            if mention.first < trigger.last or mention.first in gone or mention.first in passed:
                continue
            if mention.first - trigger.last > (FARTHEST if is_first else NEXT + 1) or not mention.is_known:
                return None
            led = self._lead_of(mention, trigger.last)
            lead = trigger.link.about_lead
            group = self._coordinated(mention, self.sentence.mentions)
            if led & lead if lead else not led & self.lexicon.single("by"):
                return self._as_chosen(group if lead else [mention], wanted)
            passed.update(other.first for other in group)
        return None

    def is_in_anothers_clause(self, trigger: Trigger) -> bool:
        """Whether the link words speak of what belongs to a name before: "Haubensack, whose child had died"."""
        for place in range(trigger.first - 1, -1, -1):
            if self.sentence.words[place].text in {",", ";"}:
                return False
            if self.sentence.words[place].plain in self.lexicon.single("possessiverelative"):
                return True
        return False

    def possessed(self, trigger: Trigger, wanted: str) -> Chosen | None:
        """ "her costume": the part of the piece that the sentence speaks of."""
        words = self.sentence.words
        first, last = self._region(trigger, "left")
        for place in range(max(first, 1), last):
            kinds = [kind for kind, nouns in self.lexicon.parts().items() if words[place].plain in nouns]
            is_hers = words[place - 1].plain in self.lexicon.single("possessive")
            if not kinds or not is_hers or not self.view.vocabulary.is_a(kinds, wanted):
                continue
            pieces = [slug for m in self.sentence.mentions if m.last <= place for slug in m.exact]
            pieces = [slug for slug in [*pieces, *self.before] if self.is_a(slug, "Piece")]
            parts = self._parts_of(pieces[:1], kinds[0])
            return Chosen(parts) if len(parts) == 1 else Chosen([])
        return None

    # ------------------------------------------------------------ choosing names

    def _region(self, trigger: Trigger, side: str, *, for_date: bool = False) -> tuple[int, int]:
        if side == "left":
            return self.sentence.region_before(trigger, for_date=for_date), trigger.first
        inside = any(not place for place in trigger.link.words)
        last = self.sentence.region_after(trigger, for_date=for_date)
        return (trigger.first + 1 if inside else trigger.last), last

    def choose(
        self,
        trigger: Trigger,
        side: str,
        wanted: str,
        lead: frozenset[str],
        *,
        is_value: bool,
        taken: Iterable[int] = (),
    ) -> Chosen | None:
        """The first fitting name on a side of the link words; an empty choice where a name stands in the way."""
        first, last = self._region(trigger, side)
        gone = set(taken) | (set() if is_value and lead else self.spent)
        mentions = [
            m for m in self.sentence.mentions if m.first >= first and m.last <= last and m.first not in gone
        ]
        passed: set[int] = set()
        for mention in mentions:
            if mention.first in passed:
                continue
            led = self._lead_of(mention, max(first - 1, 0) if side == "right" else first)
            if lead and not led & lead:
                continue
            is_next = side == "right" and mention.first - trigger.last <= NEXT
            if not lead and not is_next and led & self.lexicon.single("by"):
                passed.update(other.first for other in self._coordinated(mention, mentions))
                continue
            between = self.sentence.words[trigger.last : mention.first] if side == "right" else ()
            if lead and is_value and any(word.text == "," for word in between):
                continue
            if side == "right" and mention.first - trigger.last > FARTHEST:
                return None
            if not mention.is_known:
                self.tell(
                    mention,
                    f"the daybook knows nothing of the name “{self.sentence.shown(mention.first, mention.last)}”",
                )
                return Chosen([])
            group = self._coordinated(mention, mentions)
            chosen = self._as_chosen(group, wanted)
            if chosen is not None:
                return chosen
        return None

    def _lead_of(self, mention: Mention, first: int) -> frozenset[str]:
        """The words directly before a name, over articles and lower-case words, to the sign or name before."""
        found: set[str] = set()
        words = self.sentence.words
        for place in range(mention.first - 1, max(mention.first - 4, first - 1), -1):
            if not words[place].is_word and words[place].text != "'":
                break
            found.add(words[place].plain)
            if words[place].plain in self.lexicon.single("by") | self.lexicon.of:
                break
        return frozenset(found)

    def _coordinated(self, mention: Mention, mentions: list[Mention]) -> list[Mention]:
        """A name with those that are joined to it by "and" or a comma before "and"."""
        group = [mention]
        for other in mentions:
            if other.first <= group[-1].last:
                continue
            between = [word.plain for word in self.sentence.words[group[-1].last : other.first]]
            joined = [word for word in between if word not in self.lexicon.single("by")]
            if joined and all(word in self.lexicon.conjunctions or word in {",", "&"} for word in joined):
                group.append(other)
            else:
                break
        conjunctions = self.lexicon.conjunctions | {"&"}
        spanned = self.sentence.words[group[0].first : group[-1].last]
        return group if any(word.plain in conjunctions for word in spanned) else [mention]

    def _as_chosen(self, mentions: list[Mention], wanted: str) -> Chosen | None:
        chosen = Chosen([])
        for mention in mentions:
            slugs = self.fitting(mention, wanted)
            if len(slugs) == 1:
                chosen.slugs += slugs
                chosen.mentions.append(mention)
                if mention.slip:
                    chosen.notes.append(
                        f"“{self.sentence.shown(mention.first, mention.last)}” is taken for {self.view.label(slugs[0])}"
                    )
            elif len(slugs) > 1 and mention is mentions[0]:
                names = ", ".join(self.view.label(slug) for slug in slugs[:4])
                shown = self.sentence.shown(mention.first, mention.last)
                self.tell(mention, f"“{shown}” may be {names}; write it out or record it by hand")
                return Chosen([])
        return chosen if chosen.slugs else None

    def fitting(self, mention: Mention, wanted: str) -> list[str]:
        """The things of a class that a name may mean; those of that very name before those called so in short."""
        mention_part = self._part(mention, wanted)
        if mention_part is not None:
            return mention_part
        for slugs in (mention.exact, mention.loose):
            fitting = [slug for slug in slugs if self.is_a(slug, wanted)]
            if len(fitting) > 1:
                fitting = self._by_maker(fitting) or fitting
            if fitting:
                return fitting
        return []

    def _part(self, mention: Mention, wanted: str) -> list[str] | None:
        """Of "the head of the lady with the blue snood": her head; None where no part is named."""
        words = self.sentence.words
        before = words[max(mention.first - 4, 0) : mention.first]
        of = [
            place
            for place, word in enumerate(before)
            if word.plain in self.lexicon.of | {"der", "des", "d'", "l'"}
        ]
        if not of or of[-1] == 0:
            return None
        noun = before[of[-1] - 1].plain
        kinds = [kind for kind, nouns in self.lexicon.parts().items() if noun in nouns]
        pieces = [slug for slug in mention.exact if self.is_a(slug, "Piece")]
        if not kinds or not pieces or not self.view.vocabulary.is_a(kinds, wanted):
            return None
        return self._parts_of(pieces, kinds[0])

    def _parts_of(self, pieces: Iterable[str], kind: str) -> list[str]:
        parts = {
            claim.value for piece in pieces for claim in self.view.by_subject.get(piece, ())
            if claim.property in {"hasPart", "hasOriginalPart", "hasReplacedPart"} and self.is_a(claim.value, kind)
        }  # fmt: skip
        return sorted(parts)

    def _by_maker(self, slugs: list[str]) -> list[str]:
        """Of several moulds with one number, those of a maker that the sentence names."""
        named = {slug for mention in self.sentence.mentions for slug in (*mention.exact, *mention.loose)}
        return [
            slug
            for slug in slugs
            if any(c.value in named and c.property == "mouldOf" for c in self.view.by_subject.get(slug, ()))
        ]

    def is_a(self, slug: str, wanted: str) -> bool:
        """Whether a thing is of a class."""
        return self.view.vocabulary.is_a(self.view.kinds(slug), wanted)

    # ------------------------------------------------------------ life in brackets
