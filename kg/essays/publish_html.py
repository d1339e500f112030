"""A print as one web page that needs nothing beside it: cleaned, with its own style and its pictures within."""

from __future__ import annotations

import base64
import html
import re
from pathlib import Path

import nh3

from kg.essays.pandoc import run_pandoc
from kg.essays.pandoc_tree import items, picture_name, tree
from kg.essays.publish_plan import Manuscript
from kg.resources import resource

_TAGS = frozenset(
    ("a", "aside", "blockquote", "br", "cite", "dd", "div", "dl", "dt", "em", "figcaption", "figure", "h1", "h2", "h3",
     "h4", "h5", "h6", "hr", "img", "li", "ol", "p", "section", "span", "strong", "sub", "sup", "ul")
)  # fmt: skip
_ATTRIBUTES = {
    "*": {"class", "id", "role"},
    "a": {"href"},
    "img": {"src", "alt"},
    "ol": {"start", "type"},
}
_PAGE = """<!DOCTYPE html>
<html lang="{lang}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<title>{title}</title>
<style>
{style}</style>
</head>
<body>
<main>
{body}
</main>
</body>
</html>
"""


def html_page(manuscript: Manuscript, folder: Path) -> bytes:
    """The print as a web page in UTF-8.

    :raises kg.essays.pandoc.PrintingNotInstalled: if there is no pandoc.
    :raises kg.essays.pandoc.PrintingFailed: if it refuses the print.
    """
    # The pictures have names of ours here; their bytes are put in after cleaning.
    made = run_pandoc(
        tree(manuscript), items(manuscript), manuscript.settings.chosen_style, folder, "html5", "--wrap=none"
    )
    clean = nh3.clean(
        made.decode(),
        tags=set(_TAGS),
        attributes=_ATTRIBUTES,
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener noreferrer",
    )
    for one in manuscript.illustrations:
        if one.picture is not None:
            within = base64.b64encode(one.picture.content).decode()
            clean = clean.replace(
                f'src="{picture_name(one)}"', f'src="data:{one.picture.media_type};base64,{within}"'
            )
    if manuscript.is_catalogue:
        clean = _anew_with_each_entry(clean)
    page = _PAGE.format(
        lang=html.escape(manuscript.settings.tag),
        title=html.escape(manuscript.title),
        style=resource("sources/reference/essay.css").read_text(encoding="utf-8"),
        body=clean.strip(),
    )
    return page.encode()


_HEADING = re.compile(r"<h1[^>]*>(.*?)</h1>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")


def _anew_with_each_entry(body: str) -> str:
    """The text of a catalogue whose notes are counted, and listed under its title, entry by entry."""
    titles: dict[str, tuple[str, int]] = {}
    entry, count = "", 0

    def counted(found: re.Match[str]) -> str:
        nonlocal entry, count
        if found["heading"] is not None:
            entry, count = _TAG.sub("", _HEADING.sub(r"\1", found[0])), 0
            return found[0]
        count += 1
        titles[found["note"]] = (entry, count)
        return f"{found['lead']}<sup>{count}</sup>"

    pattern = r'(?P<heading><h1.*?</h1>)|(?P<lead><a href="#fn(?P<note>\d+)"[^>]*>)<sup>\d+</sup>'
    body = re.sub(pattern, counted, body, flags=re.DOTALL)
    is_first = True

    def listed(found: re.Match[str]) -> str:
        nonlocal is_first
        title, number = titles.get(found[1], ("", 0))
        if number != 1:
            return found[0]
        close, is_first = ("" if is_first else "</ol>\n"), False
        return f'{close}<p class="notes-of">{title}</p>\n<ol>\n{found[0]}'

    at = body.find('id="footnotes"')
    start = body.find("<ol>", at)
    if at < 0 or start < 0:
        return body
    return body[:start] + re.sub(r'<li id="fn(\d+)"[^>]*>', listed, body[start + len("<ol>") :])
