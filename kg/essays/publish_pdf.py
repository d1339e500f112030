"""A print as PDF: pandoc writes the text for typst, typst sets the pages, offline and with its own fonts."""

from __future__ import annotations

import importlib.util
import json
import os
import re
import shutil
from pathlib import Path

from kg.essays.pandoc import PrintingFailed, PrintingNotInstalled, run_pandoc
from kg.essays.pandoc_tree import items, picture_name, tree
from kg.essays.publish_plan import Manuscript
from kg.essays.publish_words import print_words
from kg.resources import resource

#: A string of typst's own or an escaped backslash, an escaped quotation mark, a hyphen that would hide a question mark.
_SIGNS = re.compile(rb'("(?:[^"\\]|\\.)*"|\\\\)|\\([\'"])|-(?=\?)')


def pdf_pages(manuscript: Manuscript, folder: Path, moment: int) -> bytes:
    """The print as PDF; ``moment`` is the second of its making that stands in it.

    :raises kg.essays.pandoc.PrintingNotInstalled: if pandoc or typst is missing.
    :raises kg.essays.pandoc.PrintingFailed: if they refuse the print.
    """
    if importlib.util.find_spec("typst") is None:
        raise PrintingNotInstalled("typst")
    import typst

    style = manuscript.settings.chosen_style
    text = tree(manuscript, has_title=False)  # the page sets the title itself
    body = _as_written(run_pandoc(text, items(manuscript), style, folder, "typst", "--wrap=none"))
    root = folder / "pages"
    root.mkdir()
    (root / "body.typ").write_bytes(body)
    shutil.copyfile(resource("sources/reference/essay.typ"), root / "essay.typ")
    for one in manuscript.illustrations:
        if one.picture is not None:
            (root / picture_name(one)).write_bytes(one.picture.content)
    language, _, region = manuscript.settings.tag.partition("-")
    told = {
        "title": manuscript.title,
        "author": manuscript.settings.author or "",
        "lang": language,
        "region": region or None,
        "catalogue": manuscript.is_catalogue,
        "contents": print_words(manuscript.settings.language)["contents"],
    }
    try:
        made: bytes = typst.compile(
            str(root / "essay.typ"),
            root=str(root),
            sys_inputs={"print": json.dumps(told, ensure_ascii=False)},
            ignore_system_fonts=True,
            timestamp=moment,
            package_path=os.devnull,
            package_cache_path=os.devnull,
        )
    except (RuntimeError, typst.TypstError) as error:
        raise PrintingFailed(f"Typst could not set the pages: {error}") from error
    return made


def _as_written(body: bytes) -> bytes:
    """Typst's text whose quotation marks are set by the language, and whose hyphens stay as they are.

    Typst makes a dash of "---", which in the transcription of a mark stands for a lost stretch: pandoc escapes it.
    """
    return _SIGNS.sub(lambda found: found[1] or found[2] or rb"\-", body)
