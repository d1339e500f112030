"""A manuscript as the tree that pandoc reads: built part by part, so that it never parses a text of the user's."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from kg.essays.locators import for_processor
from kg.essays.publish_plan import CitedPlaces, Illustration, Manuscript, PrintedNote, note_rows
from kg.essays.syntax import (
    Block,
    Emphasis,
    Essay,
    Figure,
    Heading,
    Inline,
    ItemList,
    LineBreak,
    Link,
    NoteReference,
    Paragraph,
    Picture,
    Quotation,
    Strong,
    Text,
)

#: The version of pandoc's types that the tree is written for.
API_VERSION = (1, 23, 1)
_BLANKS = re.compile(r"([ \t\n]+)")
_LAST_STOP = re.compile(r"[.!?…]+[”’\"')»]*$")
_NO_ATTRIBUTES: list[Any] = ["", [], []]

Tree = dict[str, Any]


def tree(manuscript: Manuscript, *, has_title: bool = True) -> Tree:
    """The whole print as a tree of pandoc's, citations structured; a catalogue's title may be set elsewhere."""
    meta = {"lang": {"t": "MetaString", "c": manuscript.settings.tag}}
    blocks = list(_Setting(manuscript).blocks(has_title=has_title))
    return {"pandoc-api-version": list(API_VERSION), "meta": meta, "blocks": blocks}


def items(manuscript: Manuscript) -> list[dict[str, Any]]:
    """The sources as CSL-JSON under the ids that the tree uses; titles keep their capitals unless they are English."""
    return [_item(number, item) for number, item in enumerate(manuscript.items, start=1)]


def _item(number: int, item: Mapping[str, Any]) -> dict[str, Any]:
    changed = {**item, "id": f"s{number}"}
    if item.get("type") == "document" and not any(name in item for name in ("author", "archive", "number")):
        # An object or paper that is nowhere published: styles list it as they do a collection.
        changed["type"] = "collection"
    if not str(item.get("language", "")).startswith("en"):
        for name in ("title", "container-title", "collection-title"):
            if name in changed:
                changed[name] = f'<span class="nocase">{changed[name]}</span>'
    return changed


def strings(text: str) -> list[Tree]:
    """Words as pandoc's inlines."""
    return [
        {"t": "Space"} if _BLANKS.fullmatch(part) else {"t": "Str", "c": part}
        for part in _BLANKS.split(text)
        if part
    ]


class _Setting:
    """Sets one manuscript."""

    def __init__(self, manuscript: Manuscript) -> None:
        self.manuscript = manuscript
        self.words = manuscript.words
        self.language = manuscript.settings.language
        self.style = manuscript.settings.chosen_style
        self.ids = {item["id"]: f"s{number}" for number, item in enumerate(manuscript.items, start=1)}
        self.headings = 0

    def blocks(self, *, has_title: bool) -> Iterator[Tree]:
        made = self.manuscript
        if made.is_catalogue and has_title:
            yield _div([_para(strings(made.title))], "Title")
        for number, essay in enumerate(made.essays, start=1):
            for block in essay.blocks:
                yield self.block(essay, block, number if made.is_catalogue else None)
        yield from self.illustrations()
        yield from self.glossary()
        if made.items:
            yield self.back_heading("sources")
            yield {"t": "Div", "c": [["refs", [], []], []]}

    # ------------------------------------------------------------ the end matter

    def back_heading(self, key: str) -> Tree:
        level = 1 if self.manuscript.is_catalogue else 2
        return self.header(level, strings(self.words[key]))

    def header(self, level: int, inlines: list[Tree]) -> Tree:
        self.headings += 1
        return {"t": "Header", "c": [level, [f"h{self.headings}", [], []], inlines]}

    def illustrations(self) -> Iterator[Tree]:
        found = self.manuscript.illustrations
        if found:
            yield self.back_heading("illustrations")
            rows = [self.illustration_words(one) for one in found]
            yield {"t": "LineBlock", "c": rows}

    def illustration_words(self, one: Illustration) -> list[Tree]:
        caption = _LAST_STOP.sub("", one.figure.picture.caption.strip())
        label = f"{self.words['photograph']} {one.label}."
        start = f"{self.words['figure']}\xa0{one.number}. "
        return strings(f"{start}{caption}. {label}" if caption else f"{start}{label}")

    def glossary(self) -> Iterator[Tree]:
        terms = self.manuscript.terms
        if terms:
            yield self.back_heading("glossary")
            rows = [[[_emph(strings(term.words))], [[_plain(strings(term.meaning))]]] for term in terms]
            yield {"t": "DefinitionList", "c": [[row[0], row[1]] for row in rows]}

    # ------------------------------------------------------------ blocks

    def block(self, essay: Essay, block: Block, number: int | None = None) -> Tree:
        match block:
            case Heading():
                inlines = self.inlines(essay, block.inlines)
                if number is not None and block.level == 1:
                    inlines = [*strings(f"{number}"), {"t": "Str", "c": "\u2003"}, *inlines]
                return self.header(block.level, inlines)
            case Paragraph():
                return _para(self.inlines(essay, block.inlines))
            case Quotation():
                return {"t": "BlockQuote", "c": [self.block(essay, inner) for inner in block.blocks]}
            case ItemList():
                return self.item_list(essay, block)
            case Figure():
                return self.figure(essay, block)

    def item_list(self, essay: Essay, block: ItemList) -> Tree:
        items = [[self.block(essay, inner) for inner in item] for item in block.items]
        if block.is_tight:
            items = [
                [{"t": "Plain", "c": one["c"]} if one["t"] == "Para" else one for one in item]
                for item in items
            ]
        if block.is_numbered:
            return {"t": "OrderedList", "c": [[block.first, {"t": "Decimal"}, {"t": "Period"}], items]}
        return {"t": "BulletList", "c": items}

    def figure(self, essay: Essay, figure: Figure) -> Tree:
        one = self.manuscript.numbers[id(figure)]
        caption = [
            *strings(f"{self.words['figure']}\xa0{one.number}. "),
            *self.inlines(essay, figure.picture.inlines),
        ]
        if one.picture is None:
            shown = _emph(strings(f"[{self.words['no picture']}]"))
        else:
            words = strings(figure.picture.caption)
            shown = {"t": "Image", "c": [_NO_ATTRIBUTES, words, [picture_name(one), ""]]}
        return {"t": "Figure", "c": [_NO_ATTRIBUTES, [None, [_plain(caption)]], [_plain([shown])]]}

    # ------------------------------------------------------------ inlines

    def inlines(self, essay: Essay, inlines: Sequence[Inline]) -> list[Tree]:
        found: list[Tree] = []
        for group in note_rows(inlines):
            if isinstance(group, list):
                note = self.manuscript.note(essay, group)
                found = self.with_note(essay, found, note)
            else:
                found += self.inline(essay, group)
        return found

    def inline(self, essay: Essay, inline: Inline) -> list[Tree]:
        match inline:
            case Text():
                return strings(inline.text)
            case LineBreak():
                return [{"t": "LineBreak"}]
            case Emphasis():
                return [_emph(self.inlines(essay, inline.inlines))]
            case Strong():
                return [{"t": "Strong", "c": self.inlines(essay, inline.inlines)}]
            case Link():
                words = self.inlines(essay, inline.inlines)
                return [{"t": "Link", "c": [_NO_ATTRIBUTES, words, [inline.target, ""]]}]
            case Picture() | NoteReference():  # these stand by themselves, never here
                return []

    def with_note(self, essay: Essay, before: list[Tree], note: PrintedNote) -> list[Tree]:
        cite = [self.cite(note.sources)] if note.sources else []
        words = self.note_words(essay, note)
        if self.style.is_note:
            if not words:
                return before + cite
            if not cite:
                return [*before, _note(words)]
            # In a note of our own the style would not know that it stands at the beginning: "ebd." for "Ebd.".
            cite[0]["c"][0][-1]["citationSuffix"] += [*strings(". "), *words]
            return before + cite
        end = [_note(words)] if words else []
        return (_before_the_stop(before, cite[0]) if cite else before) + end

    def note_words(self, essay: Essay, note: PrintedNote) -> list[Tree]:
        """What a note says besides its citations."""
        found: list[Tree] = []
        for remark in note.remarks:
            found += [*([{"t": "Space"}] if found else []), *self.inlines(essay, remark)]
        if note.is_own:
            found += [*([{"t": "Space"}] if found else []), *strings(f"{self.words['own']}.")]
        return found

    def cite(self, sources: Sequence[CitedPlaces]) -> Tree:
        return {"t": "Cite", "c": [[self.citation(one) for one in sources], []]}

    def citation(self, cited: CitedPlaces) -> Tree:
        place = for_processor(cited.places, self.language)
        return {
            "citationId": self.ids[cited.source],
            "citationPrefix": [],
            "citationSuffix": strings(f", {place}") if place else [],
            "citationMode": {"t": "NormalCitation"},
            "citationNoteNum": 0,
            "citationHash": 0,
        }


def picture_name(one: Illustration) -> str:
    """The name that the picture of an illustration has beside the print."""
    kind = one.picture.kind if one.picture else "none"
    return f"picture-{one.number}.{kind}"


def _before_the_stop(before: list[Tree], cite: Tree) -> list[Tree]:
    """A citation in the text stands before the full stop that ends its sentence."""
    last = before[-1] if before else None
    stop = _LAST_STOP.search(last["c"]) if last is not None and last["t"] == "Str" else None
    space = {"t": "Space"}
    if last is None or stop is None or stop[0].startswith(("?", "!", "…")) or len(stop[0]) > 1:
        return [*before, space, cite]
    bare = last["c"][: stop.start()]
    return [
        *before[:-1],
        *([{"t": "Str", "c": bare}] if bare else []),
        space,
        cite,
        {"t": "Str", "c": stop[0]},
    ]


def _para(inlines: list[Tree]) -> Tree:
    return {"t": "Para", "c": inlines}


def _plain(inlines: list[Tree]) -> Tree:
    return {"t": "Plain", "c": inlines}


def _emph(inlines: list[Tree]) -> Tree:
    return {"t": "Emph", "c": inlines}


def _note(inlines: list[Tree]) -> Tree:
    return {"t": "Note", "c": [_para(inlines)]}


def _div(blocks: list[Tree], style: str) -> Tree:
    name = style.lower().replace(" ", "-")
    return {"t": "Div", "c": [["", [name], [["custom-style", style]]], blocks]}
