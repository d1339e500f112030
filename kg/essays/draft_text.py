"""A draft as sections, paragraphs and sentences, each sentence with the claims that it was written from.

In Markdown a claim stands behind its sentence as a footnote reference, ``[^c014…]``; ``[^own]`` marks what is the
writer's own: a conclusion, a count, or that nothing is recorded.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kg.daybook.record import Claim
from kg.essays.syntax import TURNING, escaped

OWN = "[^own]"
#: Characters that are not seen, or turn what follows: they cannot stand in an essay.
_UNSEEN = re.compile(f"{TURNING.pattern}|[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_LISTLIKE = re.compile(r"^(#|[-+] |\d+[.)] )")
#: Words after which the first noun of a description is complete.
_AFTER_NOUN = re.compile(r" (?:with|without|of|on|to|round|in|and|for|from) |, | \(")
#: Nouns of the trade that take no article. Common practice, no source.
_MASS = frozenset(("hair", "leather", "celluloid", "lockstitch", "rubber", "wood", "wax", "bisque", "porcelain",
                   "composition", "cloth", "nylon", "vinyl", "fibre", "papier-mâché", "gutta-percha", "cord",
                   "stringing", "mohair", "kid"))  # fmt: skip


def plain(text: str) -> str:
    """A text from the record as it may stand in Markdown: it is text and nothing else.

    >>> print(plain("C[---]T[---] / PARIS"))
    C\\[---\\]T\\[---\\] / PARIS
    """
    return escaped(_UNSEEN.sub("", " ".join(text.split())))


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence of a draft, in Markdown without its notes."""

    text: str
    claims: tuple[Claim, ...] = ()
    is_own: bool = False
    """Whether the writer concludes, counts, or says that nothing is recorded."""
    computed: tuple[str, ...] = ()
    """Figures and dates in it that no claim holds as they stand: they are worked out from its claims."""

    @property
    def markdown(self) -> str:
        """The sentence with its notes."""
        notes = "".join(f"[^{claim.id}]" for claim in self.claims)
        return f"{self.text}{notes}{OWN if self.is_own or not self.claims else ''}"


def sentence(text: str, claims: Iterable[Claim], *computed: str, is_own: bool = False) -> Sentence:
    """A sentence with a capital and a full stop, each claim once."""
    whole = text.strip()
    whole = whole[:1].upper() + whole[1:]
    if not whole.endswith((".", "!", "?", ".”")):
        whole += "."
    once = tuple({claim.id: claim for claim in claims if claim.entry}.values())
    return Sentence(whole, once, is_own, tuple(computed))


Paragraph = tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a draft under a heading; one idea a paragraph."""

    title: str
    paragraphs: tuple[Paragraph, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A cited draft of an essay on one piece."""

    piece: str
    title: str
    sections: tuple[Section, ...]

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        """Every sentence in its order."""
        return tuple(s for section in self.sections for p in section.paragraphs for s in p)

    @property
    def markdown(self) -> str:
        """The draft as Markdown, with the claims as footnote references."""
        lines = [f"# {plain(self.title)}"]
        for section in self.sections:
            lines.append(f"## {section.title}")
            lines += [_paragraph(paragraph) for paragraph in section.paragraphs]
        return "\n\n".join(lines) + "\n"


def _paragraph(paragraph: Paragraph) -> str:
    text = " ".join(sentence.markdown for sentence in paragraph)
    return f"\\{text}" if _LISTLIKE.match(text) else text


def section(title: str, paragraphs: Iterable[Sequence[Sentence]]) -> Section:
    """A section of the paragraphs that hold a sentence."""
    return Section(title, tuple(tuple(paragraph) for paragraph in paragraphs if paragraph))


def listed(words: Sequence[str], last: str = "and") -> str:
    """Words in a row.

    >>> listed(["a head", "a body", "a wig"])
    'a head, a body and a wig'
    """
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


def with_article(label: str) -> str:
    """A description with its article, where English gives it one.

    >>> [with_article(t) for t in ("open mouth with teeth", "ears pierced in", "kid leather", "wig of human hair")]
    ['an open mouth with teeth', 'ears pierced in', 'kid leather', 'a wig of human hair']
    """
    noun = _AFTER_NOUN.split(label, maxsplit=1)[0].casefold()
    words = noun.split() or [""]
    is_plural = any(w.endswith("s") and not w.endswith(("ss", "us")) for w in (words[0], words[-1]))
    if is_plural or words[-1] in _MASS:
        return label
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {label}"


_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def in_words(number: int) -> str:
    """A small number as a word.

    >>> in_words(3), in_words(14)
    ('three', '14')
    """
    return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else str(number)
