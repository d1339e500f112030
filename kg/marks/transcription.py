r"""A mark written down as seen, by the Leiden conventions of epigraphy in a form that can be typed.

=================  =========================================================================
``Ạ`` or ``A?``    an uncertain character (a dot below, U+0323, or a question mark behind)
``[...]``          lost characters, one for each dot
``[- 3-5 -]``      three to five lost characters; ``[- 12 -]`` twelve, ``[- 3+ -]`` three or more
``[---]``          lost characters of unknown number
``[abc]``          characters restored by the reader
``a(bc)``          an abbreviation, with the letters that the reader supplies
``[[abc]]``        characters erased, still legible; ``[[..]]`` erased and no longer legible
``(vac.)``         a vacant space; ``(vac. 3)`` of three characters
``|``              a new line, as a line break does, or a stroke with a space beside it: ``A / B``
``\``              the next sign stands on the piece itself: ``\[``, ``\?``
=================  =========================================================================

A stroke without spaces is a character of the mark (``139/4``). ``(c)`` and ``(r)`` standing alone are © and ®.
In front may stand a head, closed by a colon: ``incised, back of head, mirrored: …``. It names a technique,
a colour, a place or an orientation; the words are those of sources/rules/mark_heads.csv.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from typing import Literal

from kg.marks.glyphs import (
    VACANT,
    Element,
    Gap,
    Glyph,
    LineBreak,
    State,
    Vacant,
    bare,
    cluster,
    seen,
    spelled,
)
from kg.marks.transcription_faults import NothingTyped, TranscriptionNotUnderstood
from kg.marks.transcription_head import head_words, read_head

__all__ = [
    "Element",
    "Gap",
    "Glyph",
    "LineBreak",
    "NothingTyped",
    "Orientation",
    "State",
    "Transcription",
    "TranscriptionNotUnderstood",
    "Vacant",
    "head_words",
    "parse_transcription",
    "without_head",
]

Orientation = Literal["as written", "mirrored", "inverted"]

#: Longer text is not a mark; the limit keeps a pasted page from being read as one.
LONGEST_MARK = 2_000
_BREAK = re.compile(r"\s*(?:\||\n|\s/|/(?=\s|$))\s*")
_SPACE = re.compile(r"\s+")
_COUNT = re.compile(r"- *(\d{1,3})(?:-(\d{1,3})|(\+))? *-")
#: What a gap with a length begins with, and all the signs that only a gap holds.
_GAP_BEGUN = re.compile(r"(?:[-–—] *(?:\d{1,3}(?:-\d{1,3}|\+)?)? *[-–—]?)?")
_GAP_SIGNS = re.compile(r"[-–—\d +?~±.]+")
_TYPED_SIGNS = {"(c)": "©", "(C)": "©", "(r)": "®", "(R)": "®"}


@dataclass(frozen=True, slots=True)
class Transcription:
    """A mark as seen: how it was made, where it sits, which way it faces, and its characters in order.

    ``str`` gives the text as it was typed, or, if it was not typed, in the plainest form.
    """

    technique: str | None = None
    colour: str | None = None
    place: str | None = None
    orientation: Orientation = "as written"
    elements: tuple[Element, ...] = ()
    #: The text as typed; it is used for printing, never for comparing.
    written: str = field(default="", compare=False, repr=False)

    def __post_init__(self) -> None:
        said = read_head(f"{self.head}:")[0] if self.head else {}
        fields = {"technique": self.technique, "colour": self.colour, "place": self.place}
        if self.orientation != "as written":
            fields["orientation"] = self.orientation
        if said != {role: word for role, word in fields.items() if word}:
            raise ValueError(
                f"{self.head!r} is no head of a mark; see sources/rules/mark_heads.csv for its words"
            )
        before: Element = LineBreak()
        for element in self.elements:
            if (
                isinstance(element, Glyph)
                and element.state == "expanded"
                and before in (LineBreak(), Glyph(" "))
            ):
                raise ValueError(
                    "an expansion stands behind no letter; it needs the abbreviation that it expands"
                )
            before = element

    @property
    def head(self) -> str:
        """Technique, colour, place and orientation as a head is typed, without its colon."""
        facing = None if self.orientation == "as written" else self.orientation
        return ", ".join(word for word in (self.technique, self.colour, self.place, facing) if word)

    @property
    def visible(self) -> str:
        """What can be read on the piece, as plain text: ``…`` for what is lost, `` / `` for a new line.

        >>> parse_transcription("D.R.G.M. 17[.]10 / Germ[any]").visible
        'D.R.G.M. 17…10 / Germ…'
        """
        return re.sub("…+", "…", "".join(map(seen, self.elements)))

    @property
    def text(self) -> str:
        """The mark as the reader takes it: restored and expanded characters filled in, ``…`` for what is lost."""
        parts = (e.char or "…" if isinstance(e, Glyph) else seen(e) for e in self.elements)
        return re.sub("…+", "…", "".join(parts))

    def __str__(self) -> str:
        if self.written and parse_transcription(self.written) == self:
            return self.written
        return (f"{self.head}: " if self.head else "") + spelled(self.elements)


def parse_transcription(text: str) -> Transcription:
    """The mark that a text describes.

    :raises TranscriptionNotUnderstood: if the text breaks the conventions, pointing at the character.

    >>> mark = parse_transcription("incised, back of head, mirrored: 17[.] / A?")
    >>> mark.technique, mark.place, mark.orientation, mark.elements[2], mark.elements[-1]
    ('incised', 'back of head', 'mirrored', Glyph(char='', state='lost'), Glyph(char='A', state='unclear'))
    """
    if len(text) > LONGEST_MARK:
        raise TranscriptionNotUnderstood(text, LONGEST_MARK, f"at most {LONGEST_MARK} characters")
    if not text.strip():
        raise NothingTyped(text)
    head, start = read_head(text)
    elements = _Scanner(text, start).elements()
    if not elements:
        raise TranscriptionNotUnderstood(text, len(text), "the characters of the mark")
    technique, colour, place, orientation = (
        head.get(r) for r in ("technique", "colour", "place", "orientation")
    )
    facing: Orientation = "mirrored" if orientation == "mirrored" else "as written"
    facing = "inverted" if orientation == "inverted" else facing
    return Transcription(technique, colour, place, facing, elements, text)


def without_head(text: str) -> str:
    """A text without its head, for one that breaks the conventions in its mark.

    >>> without_head("incised: 17]3")
    '17]3'
    """
    try:
        return text[read_head(text)[1] :].lstrip()
    except TranscriptionNotUnderstood:
        return text


class _Scanner:
    """Reads the characters of a mark from left to right."""

    def __init__(self, text: str, at: int) -> None:
        self.text, self.at, self.start = text, at, at
        self.found: list[Element] = []

    def fault(self, at: int, wanted: str) -> TranscriptionNotUnderstood:
        return TranscriptionNotUnderstood(self.text, at, wanted)

    def elements(self) -> tuple[Element, ...]:
        while self.at < len(self.text):
            if line := _BREAK.match(self.text, self.at):
                self.found.append(LineBreak())
                self.at = line.end()
            elif space := _SPACE.match(self.text, self.at):
                if self.at > self.start and space.end() < len(self.text):
                    self.found.append(Glyph(" "))
                self.at = space.end()
            else:
                self.step()
        return tuple(self.found)

    def step(self) -> None:
        char = self.text[self.at]
        if self.text.startswith("[[", self.at):
            self.erased()
        elif char == "[":
            self.bracket()
        elif char == "(":
            self.parenthesis()
        elif char in "])}>{<?…":
            raise self.stray(char)
        else:
            self.found.append(self.glyph("clear"))

    def stray(self, char: str) -> TranscriptionNotUnderstood:
        what = {
            "]": "an opening '[' before this ']'",
            ")": "an opening '(' before this ')'",
            "?": "a character for this '?' to call uncertain",
            "…": "'[---]' for lost characters",
        }.get(char, "the mark as seen, without an editor's corrections")
        return self.fault(self.at, rf"{what} (or '\{char}' if it stands on the piece)")

    def glyph(self, state: State) -> Glyph:
        """The character here, with the signs that belong to it."""
        begun = self.at
        is_escaped = self.text[self.at] == "\\"
        if is_escaped:
            self.at += 1
            if self.at >= len(self.text):
                raise self.fault(begun, "a character after the backslash")
        raw = cluster(self.text, self.at)
        if not raw[0].isprintable() or unicodedata.combining(raw[0]):
            raise self.fault(self.at, "a printable character")
        self.at += len(raw)
        char = bare(raw)
        is_unclear = char != unicodedata.normalize("NFC", raw)
        if self.text.startswith("?", self.at):
            self.at += 1
            is_unclear = True
        if is_unclear and (state != "clear" or char == " "):
            kind = "a space" if char == " " else f"a character that is {state}"
            raise self.fault(self.at - 1, f"no sign of uncertainty on {kind}")
        return Glyph(char, "unclear" if is_unclear else state)

    def closed(self, opening: str, closing: str) -> tuple[str, int]:
        """The text between brackets and where it begins; escaped signs do not close."""
        begun = self.at + len(opening)
        at = begun
        while at < len(self.text):
            if self.text.startswith(closing, at):
                if at == begun:
                    raise self.fault(at, f"something between '{opening}' and '{closing}'")
                return self.text[begun:at], begun
            if self.text[at] in "[(|\n" or (self.text[at] == "/" and " " in self.text[at - 1 : at + 2]):
                raise self.fault(
                    at, f"'{closing}' before this; brackets close on their own line and do not nest"
                )
            at += 2 if self.text[at] == "\\" else 1
        raise self.fault(self.at, f"'{closing}' to close this bracket")

    def within(self, inside: str, begun: int, state: State, closing: str) -> None:
        """Add the characters between brackets, all in one state."""
        self.at = begun
        while self.at < begun + len(inside):
            if self.text[self.at] in "]){}<>?…":
                raise self.stray(self.text[self.at])
            if self.text[self.at] == "." and state != "expanded" and self.is_doubtful_dot(begun, inside):
                raise self.fault(
                    self.at, r"'[.]' of its own for a lost character, or '\.' for a full stop on the piece"
                )
            self.found.append(self.glyph(state))
        self.at = begun + len(inside) + len(closing)

    def is_doubtful_dot(self, begun: int, inside: str) -> bool:
        """Whether a dot beside a digit or a dot could be a lost character as well as a full stop."""
        beside = self.text[max(begun, self.at - 1) : min(self.at + 2, begun + len(inside))]
        return ".." in beside or any(c.isdigit() for c in beside)

    def bracket(self) -> None:
        inside, begun = self.closed("[", "]")
        if not self.lost(inside, begun, is_erased=False):
            self.within(inside, begun, "restored", "]")
        else:
            self.at = begun + len(inside) + 1

    def erased(self) -> None:
        inside, begun = self.closed("[[", "]]")
        if not self.lost(inside, begun, is_erased=True):
            self.within(inside, begun, "erased", "]]")
        else:
            self.at = begun + len(inside) + 2

    def lost(self, inside: str, begun: int, *, is_erased: bool) -> bool:
        """Whether the brackets say that something is lost; if so, it is added."""
        plain = inside.replace(" ", "")
        state: State = "erased" if is_erased else "lost"
        if not plain:
            raise self.fault(begun, "dots for lost characters, '---' or the characters themselves")
        if set(plain) == {"."}:
            self.found += [Glyph("", state)] * len(plain)
        elif set(plain) <= set("-–—"):
            self.found.append(Gap(1, None, is_erased))
        elif counted := _COUNT.fullmatch(inside):
            least = int(counted[1])
            most = None if counted[3] else int(counted[2] or least)
            if most is not None and (most < least or most == 0):
                raise self.fault(begun + counted.start(1), "a number of characters, or a range that rises")
            exact: list[Element] = [Glyph("", state)] * least
            self.found += exact if most == least else [Gap(least, most, is_erased)]
        else:
            self.refuse_malformed_gap(inside, begun)
            return False
        return True

    def refuse_malformed_gap(self, inside: str, begun: int) -> None:
        """Raise where dashes can only be meant for a gap, yet are none: at the first sign that fits no gap."""
        plain = re.sub(r"\\.", "xx", inside)
        ends = [sign in "-–—" for sign in (plain[0], plain[-1])]
        if all(ends) or (any(ends) and _GAP_SIGNS.fullmatch(plain)):
            place = len(_GAP_BEGUN.match(plain)[0])  # type: ignore[index]  # it matches the empty text too
        elif "--" in plain:
            place = plain.index("--")
        else:
            return
        wanted = "'[---]' for a lost stretch, or its length as '[- 3 -]', '[- 2-4 -]' or '[- 3+ -]'"
        raise self.fault(begun + place, wanted)

    def parenthesis(self) -> None:
        stands_alone = self.at == 0 or not self.found or self.found[-1] in (LineBreak(), Glyph(" "))
        sign = _TYPED_SIGNS.get(self.text[self.at : self.at + 3])
        if sign and stands_alone:
            self.found.append(Glyph(sign))
            self.at += 3
            return
        opened = self.at
        inside, begun = self.closed("(", ")")
        if vacant := VACANT.fullmatch(inside):
            self.found.append(Vacant(int(vacant[1]) if vacant[1] else None))
            self.at = begun + len(inside) + 1
        elif stands_alone:
            wanted = r"letters before '(' that this expands, '(vac.)', or '\(' for a bracket on the piece"
            raise self.fault(opened, wanted)
        else:
            self.within(inside, begun, "expanded", ")")
