"""Words for the screen: the one function that every text not our own goes through, and small marks beside it."""

from __future__ import annotations

import html
from collections.abc import Iterable, Mapping
from typing import Any

from app.address import address
from kg.asking.parts import Part


def plain(text: object) -> str:
    """A text of the daybook or of the reader, safe at every place of a screen, in markup and in Markdown alike.

    >>> plain("Tarn & <b>Ottery</b>")
    'Tarn &#38; &#60;b&#62;Ottery&#60;&#47;b&#62;'
    """
    return _inert(" ".join(str(text).split()))


def lines(text: object) -> str:
    """A text whose lines and spaces matter, such as an error that points at a character."""
    return "\n".join(_inert(line) for line in str(text).splitlines())


def _inert(line: str) -> str:
    """A line in which every character that markup or Markdown could read as its own stands by its number."""
    return "".join(c if c.isalnum() else " " if c.isspace() else f"&#{_number(c)};" for c in line)


def _number(character: str) -> int:
    """The number of a character; a control character, which a browser would misread, is shown as not readable."""
    return ord(character) if character.isprintable() else ord("\N{REPLACEMENT CHARACTER}")


def tags(told: Mapping[str, Any]) -> str:
    """The words that stand beside a claim: its standing where it is not simply held, and "confidential"."""
    words = [] if told["standing"] == "held" else [told["standing"]]
    words += ["confidential"] if told["confidential"] else []
    return "".join(f' <span class="k-tag">{plain(word)}</span>' for word in words)


def link(to: str, said: str) -> str:
    """A link inside the desk; ``to`` is an `address`, ``said`` is markup already."""
    return f'<a class="k-go" href="{html.escape(to)}">{said}</a>'


def thing_link(slug: str, text: object | None = None) -> str:
    """A thing's name as a link to its page."""
    return link(address("thing", id=slug), plain(slug if text is None else text))


def claim_link(ident: str, text: object | None = None) -> str:
    """A link to a claim's page: its id, or a text that the claim decides."""
    return link(address("claim", id=ident), plain(ident if text is None else text))


def parts(given: Iterable[Part]) -> str:
    """Text in parts, each leading where it says."""
    return "".join(_part(one) for one in given)


def _part(one: Part) -> str:
    if one.thing is not None:
        return thing_link(one.thing, one.text)
    safe = plain(one.text)
    said = f"{' ' * one.text.startswith(' ')}{safe}{' ' * one.text.endswith(' ')}"
    return said if one.claim is None else link(address("claim", id=one.claim), said)


def claim(told: Mapping[str, Any]) -> str:
    """A claim as it is read: its sentence, citation, quotation and id, leading to the claim and to the source.

    A claim that is only supposed for a question leads nowhere.
    """
    quotation = f"<blockquote>{plain(told['quotation'])}</blockquote>" if told["quotation"] else ""
    sentence, cited, ident = plain(told["sentence"]), plain(told["citation"]), plain(told["claim"])
    if told["standing"] != "supposed":
        sentence = claim_link(told["claim"], told["sentence"])
        cited = thing_link(told["source"], told["citation"])
        ident = claim_link(told["claim"])
    return (
        f'<div class="k-claim">{sentence}{tags(told)}</div>'
        f'<div class="k-cite">{cited} <code>{ident}</code></div>{quotation}'
    )


def refusal(title: str, error: Exception) -> str:
    """What went wrong and what to do; an error that points at a character keeps its lines and spaces."""
    said = str(error)
    return notice(title, f"<pre>{lines(said)}</pre>" if "\n" in said else f"<p>{plain(said)}</p>", "k-cannot")


def notice(title: str, body: str, kind: str = "") -> str:
    """A framed message; ``body`` is markup already."""
    return f'<div class="k-notice {kind}" role="status"><strong>{plain(title)}</strong>{body}</div>'
