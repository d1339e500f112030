"""The text on the essay bench: as it will be printed, the claims that it can rest on, and what has been changed."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from kg.asking.essays import bench_of
from kg.asking.parts import Part
from kg.asking.rows import Row, row
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice
from kg.asking.thing import HEADINGS
from kg.daybook.record import Claim
from kg.daybook.view import NotInDaybook, WorkingView
from kg.errors import KilnmarkError
from kg.essays.compose import compose
from kg.essays.plan import Bench, NothingToDraft
from kg.essays.sentences import Sentence, sentences
from kg.essays.syntax import Essay, EssayNotUnderstood, NoteReference, Paragraph, Place, read_essay

#: Words of a sentence that are shown in a list.
_SHOWN = 90
#: Two rows of so many pairs of paragraphs or words are compared pair by pair; the work grows with their product.
_COMPARED = 1_000_000
#: Marks that open what follows: a note stands before them.
_OPENING = re.compile(r"(?<=\s)[*_\[(“‘\"'„«]+$")


class NoPlaceForNote(KilnmarkError):
    """A note was to be put into a text that has no such sentence, or that would not be read as before."""


@dataclass(frozen=True, slots=True)
class PrintedNote:
    """A note of the text with its number: a claim, the writer's own judgement, or a remark."""

    number: int
    reference: NoteReference
    row: Row | None
    """The claim; None for a judgement, a remark, and where there is no such claim."""
    said: str


@dataclass(frozen=True)
class Preview:
    """A text taken apart, with its notes numbered in their order; notes of one claim and place share a number."""

    essay: Essay
    notes: tuple[PrintedNote, ...]
    numbers: Mapping[tuple[str | None, str | None, str | None], int]

    def number(self, reference: NoteReference) -> int:
        """The number of a note."""
        return self.numbers[_key(reference)]


@dataclass(frozen=True, slots=True)
class Offered:
    """A claim that the text can rest on, how often it does, and the note to write."""

    row: Row
    note: str
    count: int

    @property
    def line(self) -> str:
        """The claim on one line, to choose it by."""
        return "".join(part.text for part in (*self.row.sentence, Part(", in "), *self.row.cited))


@dataclass(frozen=True, slots=True)
class Group:
    """The claims of one property."""

    title: str
    claims: tuple[Offered, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some words of a difference: the same, added, or taken away."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Difference:
    """A paragraph that differs, with the line of the later text at which it stands."""

    line: int
    stretches: tuple[Stretch, ...]


def mark_of(text: str) -> str:
    """What a text is known by in what is kept of it."""
    return hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=16).hexdigest()


def read_text(standpoint: Standpoint, text: str) -> Essay:
    """A text taken apart, once.

    :raises kg.essays.syntax.EssayNotUnderstood: naming the place of what cannot stand in an essay.
    """
    return standpoint.kept(("essay read", mark_of(text)), lambda: read_essay(text))


def fault_of(standpoint: Standpoint, text: str) -> EssayNotUnderstood | None:
    """Why a text cannot be read as an essay, with its place; None where it can."""

    def found() -> EssayNotUnderstood | None:
        try:
            read_text(standpoint, text)
        except EssayNotUnderstood as error:
            return error
        return None

    return standpoint.kept(("essay fault", mark_of(text)), found)


# ---------------------------------------------------------------- as printed


def preview(standpoint: Standpoint, text: str) -> Preview:
    """A text as it will be printed.

    :raises kg.essays.syntax.EssayNotUnderstood: naming the place of what cannot stand in an essay.
    """
    return standpoint.kept(("essay preview", mark_of(text)), lambda: _preview(standpoint, text))


def _preview(standpoint: Standpoint, text: str) -> Preview:
    essay = read_text(standpoint, text)
    first: dict[tuple[str | None, str | None, str | None], NoteReference] = {}
    for reference in essay.references():
        first.setdefault(_key(reference), reference)
    notes = tuple(
        _printed(standpoint.view, number, reference)
        for number, reference in enumerate(first.values(), start=1)
    )
    return Preview(essay, notes, {key: number for number, key in enumerate(first, start=1)})


def _key(reference: NoteReference) -> tuple[str | None, str | None, str | None]:
    return reference.claim, reference.locator, reference.remark


def _printed(view: WorkingView, number: int, reference: NoteReference) -> PrintedNote:
    if reference.is_own:
        return PrintedNote(number, reference, None, "The writer's own judgement.")
    if reference.claim is None:
        return PrintedNote(number, reference, None, "")
    claim = view.claims.get(reference.claim)
    if claim is None:
        when = f" as it stood on {view.as_of}" if view.as_of else ""
        said = f"{reference.claim} is no claim of this daybook{when}. Correct the note."
        return PrintedNote(number, reference, None, said)
    place = f"Cited at {reference.locator}." if reference.locator else ""
    return PrintedNote(number, reference, row(view, claim), place)


# ---------------------------------------------------------------- claims to rest on


def palette(standpoint: Standpoint, pieces: Iterable[str], text: str) -> tuple[Group, ...]:
    """The claims about some pieces, their parts and marks, and what a draft would cite, by property.

    Nothing confidential is among them. A text that cannot be read cites nothing as yet.
    """
    wanted = tuple(pieces)
    claims = standpoint.kept(("essay claims", wanted), lambda: _claims(bench_of(standpoint), wanted))
    cited = _cited(standpoint, text)
    groups: dict[str, list[Offered]] = {}
    for claim in claims:
        one = row(standpoint.view, claim)
        groups.setdefault(one.property, []).append(Offered(one, f"[^{claim.id}]", cited[claim.id]))
    return tuple(Group(title, tuple(found)) for title, found in groups.items())


def _cited(standpoint: Standpoint, text: str) -> Counter[str]:
    if fault_of(standpoint, text) is not None:
        return Counter()
    essay = read_text(standpoint, text)
    return Counter(note.claim for note in essay.references() if note.claim is not None)


def _claims(bench: Bench, pieces: Sequence[str]) -> tuple[Claim, ...]:
    """The claims about each piece, then those that a draft of it would cite besides."""
    headings, properties = list(HEADINGS), bench.view.vocabulary.properties

    def order(claim: Claim) -> tuple[int, int, str]:
        prop = properties.get(claim.property)
        if prop is None:
            return len(headings), 0, claim.property
        return headings.index(prop.group) if prop.group in headings else len(headings), prop.order, prop.label

    found: dict[str, Claim] = {}
    for piece in pieces:
        own = {claim.id: claim for claim in _own(bench, piece)}
        told = sorted(own.values(), key=order)
        told += sorted((one for one in _drafted(bench, piece) if one.id not in own), key=order)
        found |= {claim.id: claim for claim in told}
    return tuple(found.values())


def _own(bench: Bench, piece: str) -> Iterator[Claim]:
    """The claims about a piece, its parts and its marks."""
    parts = [claim.value for claim in bench.parts(piece)]
    marks = [claim.value for one in (piece, *parts) for claim in bench.said(one, "bears")]
    for thing in dict.fromkeys((piece, *parts, *marks)):
        yield from bench.view.by_subject.get(thing, ())


def _drafted(bench: Bench, piece: str) -> Iterator[Claim]:
    try:
        draft = compose(bench, piece)
    except (NothingToDraft, NotInDaybook):
        return  # what is no piece has its own claims alone
    yield from {claim.id: claim for sentence in draft.sentences for claim in sentence.claims}.values()


# ---------------------------------------------------------------- a note put in


def places_for_notes(standpoint: Standpoint, text: str) -> tuple[Choice, ...]:
    """The sentences behind which a note can be put, those without one first; none where the text cannot be read."""
    if fault_of(standpoint, text) is not None:
        return ()
    essay = read_text(standpoint, text)
    found = [one for _, some in _by_paragraph(essay) for one in some]
    found.sort(key=lambda one: bool(one.notes))
    return tuple(Choice(str(one.place), _place_text(one)) for one in found)


def differences_from(standpoint: Standpoint, before: str, after: str) -> tuple[Difference, ...]:
    """What differs between two texts, worked out once."""
    name = ("essay differences", mark_of(before), mark_of(after))
    return standpoint.kept(name, lambda: differences(before, after))


def _place_text(one: Sentence) -> str:
    words = one.text if len(one.text) <= _SHOWN else f"{one.text[:_SHOWN]}…"
    return f"Line {one.place.line}: {words}" + ("" if one.notes else " (no note yet)")


def with_note(text: str, note: str, behind: str | None = None) -> str:
    """The text with a note behind the sentence that begins at a place, or behind its last sentence.

    :raises NoPlaceForNote: if there is no such sentence, or the note would change more than that.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    essay = read_essay(text)
    spans = list(_spans(text, essay))
    if not spans and behind is None:
        return f"{text.rstrip()}\n\n{note}\n".lstrip("\n")
    chosen = [(n, end) for n, (place, end) in enumerate(spans) if behind in (None, str(place))]
    if not chosen:
        raise NoPlaceForNote("That sentence is not in the text any more. Choose another, or copy the note.")
    number, end = chosen[-1]
    made = f"{text[:end]}{note}{text[end:]}"
    _require_one_more(essay, made, note, number)
    return made


def _require_one_more(essay: Essay, made: str, note: str, number: int) -> None:
    """See that every sentence is read as before, and that one has this note more."""
    wanted = _told(essay)
    text, notes = wanted[number]
    wanted[number] = (text, [*notes, note])
    try:
        after = _told(read_essay(made))
    except EssayNotUnderstood:
        after = []
    if after != wanted:
        raise NoPlaceForNote("The note cannot be put there by itself. Copy it, and put it in by hand.")


def _told(essay: Essay) -> list[tuple[str, list[str]]]:
    """Every sentence with its notes as they are written."""
    return [
        (one.text, [_written(note) for note in one.notes]) for _, some in _by_paragraph(essay) for one in some
    ]


def _written(note: NoteReference) -> str:
    place = f", {note.locator}" if note.locator else ""
    return f"[^{note.claim or note.remark or 'own'}{place}]"


def _by_paragraph(essay: Essay) -> Iterator[tuple[Paragraph, tuple[Sentence, ...]]]:
    for block in essay.prose():
        if isinstance(block, Paragraph):
            yield block, sentences(block)


def _spans(text: str, essay: Essay) -> Iterator[tuple[Place, int]]:
    """Where each sentence begins, and behind which character of the text it ends."""
    lines = text.split("\n")
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line) + 1)
    begins = {block.place.line for block in essay.prose()}

    def offset(place: Place) -> int:
        return starts[place.line - 1] + place.column - 1

    for paragraph, some in _by_paragraph(essay):
        last = paragraph.place.line
        while last < len(lines) and lines[last].strip(" >\t") and last + 1 not in begins:
            if lines[last].startswith("[^") and "]:" in lines[last]:
                break
            last += 1
        ends = [*(offset(one.place) for one in some[1:]), starts[last] - 1]
        for one, end in zip(some, ends, strict=True):
            yield one.place, len(_OPENING.sub("", text[:end]).rstrip())


# ---------------------------------------------------------------- differences


def differences(before: str, after: str) -> tuple[Difference, ...]:
    """What differs between two texts, by paragraphs and within them by words, in the order of the later."""
    old, new = _paragraphs(before), _paragraphs(after)
    end = len(after.split("\n"))
    found: list[Difference] = []
    for a, b, c, d in _unequal([text for _, text in old], [text for _, text in new]):
        here = new[c][0] if c < len(new) else end
        both = min(b - a, d - c)
        pairs = ((old[a + n][1], *new[c + n]) for n in range(both))
        found += [
            Difference(line, _by_words(was, now)) for was, line, now in pairs if was.split() != now.split()
        ]
        found += [Difference(here, (Stretch("removed", text),)) for _, text in old[a + both : b]]
        found += [Difference(line, (Stretch("added", text),)) for line, text in new[c + both : d]]
    return tuple(found)


def _unequal(old: Sequence[str], new: Sequence[str]) -> Iterator[tuple[int, int, int, int]]:
    """The stretches in which two rows differ; a long stretch between what is common at both ends is told as one."""
    least = min(len(old), len(new))
    first = next((n for n in range(least) if old[n] != new[n]), least)
    last = next((n for n in range(least - first) if old[-1 - n] != new[-1 - n]), least - first)
    a, b, c, d = first, len(old) - last, first, len(new) - last
    if (b - a) * (d - c) > _COMPARED:
        yield a, b, c, d
        return
    for kind, i, j, k, m in SequenceMatcher(None, old[a:b], new[c:d], autojunk=False).get_opcodes():
        if kind != "equal":
            yield a + i, a + j, c + k, c + m


def _paragraphs(text: str) -> list[tuple[int, str]]:
    """The paragraphs of a text, each with its line."""
    found: list[tuple[int, list[str]]] = []
    is_open = False
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            is_open = False
            continue
        if not is_open:
            found.append((number, []))
        found[-1][1].append(line)
        is_open = True
    return [(number, "\n".join(some)) for number, some in found]


def _by_words(before: str, after: str) -> tuple[Stretch, ...]:
    old, new = before.split(), after.split()
    found, at = list[Stretch](), 0
    for a, b, c, d in _unequal(old, new):
        found += [Stretch("same", " ".join(new[at:c]))] if c > at else []
        found += [Stretch("removed", " ".join(old[a:b]))] if b > a else []
        found += [Stretch("added", " ".join(new[c:d]))] if d > c else []
        at = d
    return (*found, Stretch("same", " ".join(new[at:]))) if at < len(new) else tuple(found)
