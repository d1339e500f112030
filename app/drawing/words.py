"""Words for the screen: the one function that every text not our own goes through, and small marks beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


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


def claim(told: Mapping[str, Any]) -> str:
    """A claim as it is read: its sentence, citation, quotation and id."""
    quotation = f"<blockquote>{plain(told['quotation'])}</blockquote>" if told["quotation"] else ""
    return (
        f'<div class="k-claim">{plain(told["sentence"])}{tags(told)}</div>'
        f'<div class="k-cite">{plain(told["citation"])} <code>{plain(told["claim"])}</code></div>{quotation}'
    )


def notice(title: str, body: str, kind: str = "") -> str:
    """A framed message; ``body`` is markup already."""
    return f'<div class="k-notice {kind}" role="status"><strong>{plain(title)}</strong>{body}</div>'
