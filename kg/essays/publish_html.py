"""A print as one web page that needs nothing beside it: cleaned, with its own style and its pictures within."""

from __future__ import annotations

import base64
import html
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
    page = _PAGE.format(
        lang=html.escape(manuscript.settings.tag),
        title=html.escape(manuscript.title),
        style=resource("sources/reference/essay.css").read_text(encoding="utf-8"),
        body=clean.strip(),
    )
    return page.encode()
