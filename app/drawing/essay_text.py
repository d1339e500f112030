"""The text of an essay on screen: as it will be printed, its claims, what differs; all markup is made here."""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from app.drawing import record
from app.drawing.words import claim_link, lines, link, notice, parts, plain
from kg.asking.essays import EditionTold, LostSentence, OnRecord, VersionTold
from kg.asking.essays_findings import Audited, Found
from kg.asking.essays_text import Difference, Group, Offered, Preview, PrintedNote
from kg.asking.parts import Part
from kg.essays.syntax import (
    Block,
    Emphasis,
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

#: The deepest heading that markup has; the title of an essay stands one below that of the screen's parts.
_DEEPEST, _BELOW = 6, 2


def printed(shown: Preview) -> str:
    """A text as it will be printed, with its notes below it."""
    body = "".join(_block(shown, block) for block in shown.essay.blocks)
    remarks = dict(shown.essay.remarks)
    notes = "".join(_note(shown, one, remarks.get(one.reference.remark or "", ())) for one in shown.notes)
    listed = f'<ol class="e-notes">{notes}</ol>' if notes else ""
    return f'<article class="e-page">{body}{listed}</article>'


def _block(shown: Preview, block: Block) -> str:
    match block:
        case Heading():
            level = min(block.level + _BELOW, _DEEPEST)
            return f"<h{level}>{_inlines(shown, block.inlines)}</h{level}>"
        case Paragraph():
            return f"<p>{_inlines(shown, block.inlines)}</p>"
        case Figure():
            return f"<figure>{_picture(shown, block.picture)}</figure>"
        case Quotation():
            return f"<blockquote>{''.join(_block(shown, one) for one in block.blocks)}</blockquote>"
        case ItemList():
            kind = f'ol start="{block.first}"' if block.is_numbered else "ul"
            items = "".join(f"<li>{''.join(_block(shown, one) for one in item)}</li>" for item in block.items)
            return f"<{kind}>{items}</{kind[:2]}>"


def _inlines(shown: Preview, inlines: Sequence[Inline]) -> str:
    """Inlines in a row; notes that stand side by side are divided by a comma."""
    made = []
    for before, one in pairwise([None, *inlines]):
        is_further = isinstance(before, NoteReference) and isinstance(one, NoteReference)
        made += ["<sup>, </sup>"] if is_further else []
        made += [_inline(shown, one)] if one is not None else []
    return "".join(made)


def _inline(shown: Preview, one: Inline) -> str:
    match one:
        case Text():
            return parts([Part(one.text)])
        case LineBreak():
            return "<br>"
        case NoteReference():
            return _sign(shown, one)
        case Emphasis():
            return f"<em>{_inlines(shown, one.inlines)}</em>"
        case Strong():
            return f"<strong>{_inlines(shown, one.inlines)}</strong>"
        case Link():
            to = html.escape(one.target)
            said = _inlines(shown, one.inlines)
            return f'<a class="k-go" href="{to}" target="_blank" rel="noopener noreferrer">{said}</a>'
        case Picture():
            return _picture(shown, one)


def _sign(shown: Preview, note: NoteReference) -> str:
    """The number of a note; one that rests on a claim leads to it."""
    number = shown.number(note)
    told = shown.notes[number - 1]
    said = claim_link(note.claim, number) if note.claim and told.row else plain(number)
    fault = " class=e-fault" if note.claim and not told.row else ""
    return f"<sup{fault}>{said}</sup>"


def _picture(shown: Preview, picture: Picture) -> str:
    caption = _inlines(shown, picture.inlines)
    return f'<div class="e-picture">Photograph {plain(picture.name)}</div><figcaption>{caption}</figcaption>'


def _note(shown: Preview, note: PrintedNote, remark: Sequence[Inline]) -> str:
    """A note with what it rests on."""
    if note.row is not None:
        said = (
            f"{parts(note.row.sentence)}{record.tags(note.row)}. "
            f'<span class="k-small">{parts(note.row.cited)} <code>{claim_link(note.row.claim)}</code>'
            f"{f' {plain(note.said)}' if note.said else ''}</span>"
        )
    elif remark:
        said = _inlines(shown, remark)
    else:
        fault = ' class="e-fault"' if note.reference.claim else ""
        said = f"<span{fault}>{plain(note.said)}</span>"
    return f"<li>{said}</li>"


def claims(groups: Iterable[Group]) -> str:
    """The claims that a text can rest on, by property, each with the note to write."""
    return "".join(
        f'<section class="e-group"><h3>{plain(group.title.capitalize())}</h3>'
        f"{''.join(offered(one) for one in group.claims)}</section>"
        for group in groups
    )


def offered(one: Offered) -> str:
    """A claim with its standing, its source, its note, and how often the text cites it."""
    count = "not cited yet" if not one.count else "cited" if one.count == 1 else f"cited {one.count} times"
    quotation = f"<blockquote>{plain(one.row.quotation)}</blockquote>" if one.row.quotation else ""
    return (
        f'<div class="e-claim{" e-cited" * bool(one.count)}"><div class="k-claim">{parts(one.row.sentence)}'
        f'{record.tags(one.row)}</div><div class="k-cite">{parts(one.row.cited)}</div>{quotation}'
        f'<div class="e-use"><code>{plain(one.note)}</code> <span>{plain(count)}</span> '
        f"{claim_link(one.row.claim, 'its page')}</div></div>"
    )


def differences(found: Iterable[Difference]) -> str:
    """What differs between two texts: what is added underlined, what is taken away struck."""
    return "".join(
        f'<div class="e-diff"><span class="k-small">Line {plain(one.line)}</span>'
        f"<p>{' '.join(_stretch(some.kind, some.text) for some in one.stretches)}</p></div>"
        for one in found
    )


def _stretch(kind: str, text: str) -> str:
    tag = {"added": "ins", "removed": "del"}.get(kind)
    return f"<{tag}>{plain(text)}</{tag}>" if tag else plain(text)


def editions(found: Iterable[EditionTold], since: Mapping[str, Audited]) -> str:
    """Print editions, each with the sentences that have lost their footing, and what has become untrue since."""
    return "".join(_edition(one, since.get(one.slug)) for one in found)


def _edition(one: EditionTold, since: Audited | None) -> str:
    lost = "".join(_lost(some) for some in one.lost)
    return (
        f'<section class="e-group"><h3>{parts([Part(one.label, thing=one.slug)])}</h3>'
        f'<p class="k-small">{plain(one.said)}</p>{lost}{_since(since)}</section>'
    )


def _since(told: Audited | None) -> str:
    if told is None:
        return ""
    body = "".join(_finding(one) for one in told.found)
    return f'<p class="k-small">{plain(told.said)}</p>{body}'


def _lost(one: LostSentence) -> str:
    return (
        f'<div class="e-lost"><p>{parts([Part(f"“{one.text}”", thing=one.thing)])}</p>'
        f"{record.sentences(one.rows)}</div>"
    )


def on_record(found: Iterable[tuple[OnRecord, str]]) -> str:
    """Essays on record, each leading to the bench; with the address that opens it."""
    return "".join(
        f'<div class="k-rec k-wide"><div><div class="k-claim">{link(to, plain(one.title))}</div>'
        f'<div class="k-cite">{"on " if one.about else ""}{", ".join(parts([about]) for about in one.about)}'
        f"{'; ' if one.about else ''}{plain(one.said)}</div>"
        f"{f'<div class=e-fault>{plain(one.lost)}</div>' if one.lost else ''}</div></div>"
        for one, to in found
    )


def versions(found: Iterable[VersionTold]) -> str:
    """The versions of an essay, each leading to the claim that holds it."""
    rows = "".join(
        f"<li>{claim_link(one.claim, one.said)}{' <span class=e-stands>stands</span>' * one.is_standing}</li>"
        for one in found
    )
    return f'<ul class="k-list">{rows}</ul>'


def source(text: str) -> str:
    """A text as it is written, to be read only."""
    return f'<pre class="e-source" role="region" aria-label="The text as it stood" tabindex="0">{lines(text)}</pre>'


def reasons(title: str, found: Iterable[str]) -> str:
    """Why something is refused, one reason a line."""
    told = "".join(f"<li>{plain(one)}</li>" for one in found)
    return notice(title, f'<ul class="k-list">{told}</ul>', "k-cannot")


def findings(told: Audited) -> str:
    """What the audit finds: each finding opens to its sentence, the remedy and the claims."""
    return f'<p role="status">{plain(told.said)}</p>' + "".join(_finding(one) for one in told.found)


def _finding(one: Found) -> str:
    said = (
        parts([Part(one.before)])
        + (f"<mark>{plain(one.marked)}</mark>" if one.marked else "")
        + parts([Part(one.after)])
    )
    sentence = f"<blockquote>{said}</blockquote>" if one.before or one.marked else ""
    words = f" <strong>{plain(one.words)}</strong>" if one.words else ""
    rows = f'<div class="e-rows">{record.sentences(one.rows)}</div>' if one.rows else ""
    where = f'<span class="k-small">{plain(one.place)}: {plain(one.kind)}.</span>'
    told = f"{sentence}<p>{plain(one.message)}</p><p><strong>{plain(one.remedy)}</strong></p>{rows}"
    return f'<details class="e-finding"><summary>{where}{words}</summary><div>{told}</div></details>'
